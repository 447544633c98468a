//! `pull` and `charge` for a terminal.

use crownwheel::constants::METRE_PER_MILE;
use crownwheel_quantities::rows;

use super::answers::{first_line, heading, tail, tail_of};
use super::layout::grid_text;
use crate::ratios::ratio_table;
use crate::unit::{MISSING, digits};
use crate::{Band, ChargeAnswer, GaugesAnswer, Grid, PullAnswer, Question, Unit};

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
    let mut section = |title: String, grid: Grid| {
        if !grid.rows.is_empty() {
            heading(&mut out, &title);
            out.push_str(&grid_text(&grid));
        }
    };
    let ratios = ratio_table(&answer.ratios, answer.units);
    section(ratios.title.clone(), ratios.grid());
    section(answer.hold_table().title, answer.hold_grid());
    section(answer.hill_table().title, answer.hill_grid());
    for table in [
        answer.overrun_table(),
        answer.braking_table(),
        answer.over_rev_table(),
        answer.shaft_table(),
    ] {
        section(table.title.clone(), table.grid());
    }
    out.push_str(&tail(&tail_of!(answer)));
    out
}

/// `charge` for a terminal.
#[must_use]
pub fn charge_text(answer: &ChargeAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&answer.supply_grid()));
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
        let time = |from_kmh: f64, to_kmh: f64, value: Option<f64>| {
            self.time_band(from_kmh, to_kmh).unwrap_or_else(|| seconds(value))
        };
        let sixty_kmh = 60.0 * METRE_PER_MILE / 1000.0;
        let top = |top: &crate::pull::TopSpeed| {
            format!("{}, limit: {}", self.units.text(top.kmh, Unit::Kmh), top.limit)
        };
        let quarter = self.quarter_mile_speed_kmh.map_or_else(
            || seconds(None),
            |speed| {
                format!("{} at {}", seconds(times.quarter_mile), self.units.text(speed, Unit::Kmh))
            },
        );
        let start = self.start_text().unwrap_or_else(|| "does not start on the flat".to_owned());
        let thirty = match (self.thirty_minutes.power_kw, self.thirty_minutes.speed_kmh) {
            (Some(kw), Some(speed)) => {
                format!("{}, {}", self.units.text(kw, Unit::Kw), self.units.text(speed, Unit::Kmh))
            }
            _ => "heat not known".to_owned(),
        };
        let rows = [
            ("0 to 50 km/h", time(0.0, 50.0, times.kmh_0_50)),
            ("0 to 100 km/h", time(0.0, 100.0, times.kmh_0_100)),
            ("the same with half the step", seconds(self.kmh_0_100_half_step_s)),
            ("0 to 60 mph", time(0.0, sixty_kmh, times.mph_0_60)),
            ("50 to 80 km/h", time(50.0, 80.0, times.kmh_50_80)),
            ("80 to 120 km/h", time(80.0, 120.0, times.kmh_80_120)),
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

    /// A time with its band, if there is one.
    fn time_band(&self, from_kmh: f64, to_kmh: f64) -> Option<String> {
        self.band_text(&Question::of(&rows::TIME).between(from_kmh, to_kmh))
    }

    fn start_text(&self) -> Option<String> {
        let grade = self.start_grade_pct?;
        let banded = self.band_text(&Question::of(&rows::START_GRADE));
        Some(banded.unwrap_or_else(|| self.units.text_to(grade, Unit::Pct, 0)))
    }

    /// An answer with its band, on the day that was asked.
    fn band_text(&self, question: &Question) -> Option<String> {
        let (name, band) = self.bands.iter().find(|(name, _)| name.is_like(question))?;
        Some(name.shown(band, self.units))
    }

    /// The steepest grades held, with their bands.
    #[must_use]
    pub fn hold_grid(&self) -> Grid {
        let mut grid = self.hold_table().grid();
        for (row, line) in grid.rows.iter_mut().zip(&self.hold) {
            let held = Question::of(&rows::HOLD_GRADE).at_kmh(line.speed_kmh);
            put(row, self.hold_table().place("grade_pct"), self.band_text(&held));
        }
        grid
    }

    /// The hills of the build and half an hour on the flat, with their bands.
    #[must_use]
    pub fn hill_grid(&self) -> Grid {
        let mut grid = self.hill_table().grid();
        for (row, line) in grid.rows.iter_mut().zip(self.hills.iter().chain(&self.cruise)) {
            let minutes = self.band_text(&line.cut_back());
            put(row, self.hill_table().place("minutes_to_cut_back"), minutes);
        }
        grid
    }

    /// Launch, climbing and speed in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let never = rows::TIME.endless.map(|it| it.shown);
        let sprint = |to_kmh: f64, nominal: Option<f64>| {
            let seconds = nominal.map(|seconds| format!("{} s", digits(seconds, 1)));
            match self.time_band(0.0, to_kmh).or(seconds) {
                Some(time) if Some(&*time) != never => format!("0 to {to_kmh} km/h in {time}"),
                _ => format!("{to_kmh} km/h is not reached"),
            }
        };
        let launch = sprint(50.0, self.times_s.kmh_0_50);
        let hundred = sprint(100.0, self.times_s.kmh_0_100);
        let start = match self.start_text() {
            Some(grade) => format!("starts on {grade}"),
            None => "does not start on the flat".to_owned(),
        };
        format!(
            "{launch}, {hundred}, {start}; top speed {}, limited by {}.",
            self.units.text(self.top_speed.kmh, Unit::Kmh),
            self.top_speed.limit
        )
    }
}

/// Puts a text in the place of a cell, if there are both.
fn put(row: &mut [String], place: Option<usize>, text: Option<String>) {
    if let (Some(cell), Some(text)) = (place.and_then(|at| row.get_mut(at)), text) {
        *cell = text;
    }
}

impl ChargeAnswer {
    /// Hours at a supply with their band, if there is one: `3.7 h (3.6 to 3.9)`, or without the unit.
    fn hours_text(&self, supply: &str, hours: f64, symbol: &str) -> String {
        let of = |name: &Question| {
            name.is(&rows::CHARGE_HOURS) && name.supply().is_some_and(|it| **it == *supply)
        };
        let banded = self.bands.iter().find(|(name, _)| of(name));
        let (name, band) =
            banded.map_or((None, Band::only(hours)), |(name, band)| (Some(name), *band));
        match name.filter(|_| !band.middle().is_finite()) {
            Some(name) => name.shown(&band, self.units),
            None => band.with_symbol(self.units, Unit::None, 1, symbol),
        }
    }

    /// A row for each supply, with the band of its hours.
    #[must_use]
    pub fn supply_grid(&self) -> Grid {
        let table = self.table().without_empty_columns();
        let (place, mut grid) = (table.place("hours"), table.grid());
        for (row, line) in grid.rows.iter_mut().zip(&self.supplies) {
            put(row, place, line.hours.map(|hours| self.hours_text(&line.name, hours, "")));
        }
        grid
    }

    /// How long each supply takes, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        if self.supplies.is_empty() {
            return "The build names no supply to charge from: add [supply.NAME] with limit = \"7.4 kW\".".to_owned();
        }
        let each = self.supplies.iter().map(|line| match (line.hours, line.wall_kwh) {
            (Some(hours), Some(kwh)) => format!(
                "{} and {} from the wall at {}",
                self.hours_text(&line.name, hours, "h"),
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
