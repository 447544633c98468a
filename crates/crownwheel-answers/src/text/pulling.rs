//! `pull` and `charge` for a terminal.

use super::answers::{first_line, heading, tail, tail_of};
use super::layout::grid_text;
use crate::ratios::ratio_table;
use crate::unit::{MISSING, digits};
use crate::{ChargeAnswer, GaugesAnswer, Grid, PullAnswer, Table, Unit};

/// Speeds between the rows that a terminal shows, km/h.
const SHOWN_EVERY_KMH: f64 = 10.0;

/// `pull` for a terminal.
#[must_use]
pub fn pull_text(answer: &PullAnswer) -> String {
    let mut out = first_line(&answer.plain);
    let mut table = answer.table();
    let last = answer.table.len().saturating_sub(1);
    let mut row = 0;
    table.rows.retain(|_| {
        let speed_kmh = answer.table.get(row).map_or(0.0, |line| line.speed_kmh);
        let shown = row == last || (speed_kmh / SHOWN_EVERY_KMH).fract().abs() < 1e-9;
        row += 1;
        shown
    });
    out.push_str(&grid_text(&table.grid()));
    heading(&mut out, "At full throttle");
    out.push_str(&grid_text(&answer.times_grid()));
    let mut section = |table: Table| {
        if !table.rows.is_empty() {
            heading(&mut out, &table.title);
            out.push_str(&grid_text(&table.grid()));
        }
    };
    section(ratio_table(&answer.ratios, answer.units));
    section(answer.hold_table());
    section(answer.hill_table());
    section(answer.overrun_table());
    section(answer.braking_table());
    section(answer.over_rev_table());
    section(answer.shaft_table());
    out.push_str(&tail(&tail_of!(answer)));
    out
}

/// `charge` for a terminal.
#[must_use]
pub fn charge_text(answer: &ChargeAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&answer.table().without_empty_columns().grid()));
    out.push_str(&tail(&tail_of!(answer)));
    out
}

/// `gauges` for a terminal.
#[must_use]
pub fn gauges_text(answer: &GaugesAnswer) -> String {
    let mut out = first_line(&answer.plain);
    for table in [answer.speed_table(), answer.charge_table()] {
        heading(&mut out, &table.title);
        out.push_str(&grid_text(&table.grid()));
    }
    out.push_str(&tail(&tail_of!(answer)));
    out
}

impl GaugesAnswer {
    /// What the speedometer reads, and the motor's speed at a cruise.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let speedometer = match &self.speedometer {
            Some(speedometer) => format!(
                "At a true 100 km/h the speedometer reads {} km/h",
                digits(speedometer.reads_at_100_kmh_kmh, 1)
            ),
            None => "What the speedometer belonged to is not known: give [speedometer] final_drive and tyre_size".to_owned(),
        };
        let cruise = self.speeds.iter().find(|line| (line.speed_kmh - 100.0).abs() < 1e-9);
        match cruise {
            Some(line) => format!(
                "{speedometer}; the motor then turns at {}.",
                self.units.text(line.motor_speed_rpm, Unit::Rpm)
            ),
            None => format!("{speedometer}."),
        }
    }
}

impl PullAnswer {
    /// Times at full throttle and highest speeds, a line each.
    #[must_use]
    pub fn times_grid(&self) -> Grid {
        let times = &self.times_s;
        let seconds = |value: Option<f64>| {
            value.map_or_else(|| MISSING.to_owned(), |value| format!("{} s", digits(value, 1)))
        };
        let top = |top: &crate::pull::TopSpeed| {
            format!("{}, limit: {}", self.units.text(top.kmh, Unit::Kmh), top.limit)
        };
        let quarter = self.quarter_mile_speed_kmh.map_or_else(
            || seconds(None),
            |speed| {
                format!("{} at {}", seconds(times.quarter_mile), self.units.text(speed, Unit::Kmh))
            },
        );
        let start = self.start_grade_pct.map_or_else(
            || "does not start on the flat".to_owned(),
            |grade| self.units.text(grade, Unit::Pct),
        );
        let thirty = match (self.thirty_minutes.power_kw, self.thirty_minutes.speed_kmh) {
            (Some(kw), Some(speed)) => {
                format!("{}, {}", self.units.text(kw, Unit::Kw), self.units.text(speed, Unit::Kmh))
            }
            _ => "heat not known".to_owned(),
        };
        let rows = [
            ("0 to 50 km/h", seconds(times.kmh_0_50)),
            ("0 to 100 km/h", seconds(times.kmh_0_100)),
            ("the same with half the step", seconds(self.kmh_0_100_half_step_s)),
            ("0 to 60 mph", seconds(times.mph_0_60)),
            ("50 to 80 km/h", seconds(times.kmh_50_80)),
            ("80 to 120 km/h", seconds(times.kmh_80_120)),
            ("quarter mile", quarter),
            ("top speed on the flat", top(&self.top_speed)),
            ("top speed into 10 m/s", top(&self.top_speed_into_10_mps)),
            ("steepest start", start),
            ("thirty minutes: power, speed", thirty),
        ];
        Grid {
            head: vec!["what".to_owned(), "value".to_owned()],
            rows: rows.map(|(what, value)| vec![what.to_owned(), value]).to_vec(),
            right: vec![false, false],
        }
    }

    /// Launch, climbing and speed in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let launch = match self.times_s.kmh_0_50 {
            Some(seconds) => format!("0 to 50 km/h in {} s", digits(seconds, 1)),
            None => "50 km/h is not reached".to_owned(),
        };
        let hundred = match self.times_s.kmh_0_100 {
            Some(seconds) => format!("0 to 100 km/h in {} s", digits(seconds, 1)),
            None => "100 km/h is not reached".to_owned(),
        };
        let start = match self.start_grade_pct {
            Some(grade) => format!("starts on {}", self.units.text_to(grade, Unit::Pct, 0)),
            None => "does not start on the flat".to_owned(),
        };
        format!(
            "{launch}, {hundred}, {start}; top speed {}, limited by {}.",
            self.units.text(self.top_speed.kmh, Unit::Kmh),
            self.top_speed.limit
        )
    }
}

impl ChargeAnswer {
    /// How long each supply takes, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        if self.supplies.is_empty() {
            return "The build names no supply to charge from: add [supply.NAME] with limit = \"7.4 kW\".".to_owned();
        }
        let each = self.supplies.iter().map(|line| match (line.hours, line.wall_kwh) {
            (Some(hours), Some(kwh)) => format!(
                "{} h and {} from the wall at {}",
                digits(hours, 1),
                self.units.text(kwh, Unit::Kwh),
                line.name
            ),
            _ => format!("no charge at {}", line.name),
        });
        format!(
            "From {} to {}: {}.",
            self.units.text_to(self.from_pct, Unit::Pct, 0),
            self.units.text_to(self.to_pct, Unit::Pct, 0),
            each.collect::<Vec<_>>().join("; ")
        )
    }
}
