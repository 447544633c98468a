//! `pull`: tractive effort, times, hills and speeds.

use crownwheel::constants::METRE_PER_MILE;
use crownwheel_quantities::rows;

use super::bands_table;
use crate::pull::{PullAnswer, PullLine, TopSpeed};
use crate::ratios::ratio_table;
use crate::sheet::{Look, Section, Sheet};
use crate::unit::{MISSING, digits};
use crate::{Cell, Question, Rule, Table, Unit};

/// Speeds between the rows that people are shown, km/h.
const SHOWN_EVERY_KMH: f64 = 10.0;

/// Files of the pull at less charge.
const LESS_CHARGE: [&str; 2] = ["pull-half-charge", "pull-nearly-empty"];

impl PullAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let hills = Section::new("hills", "Hills and heat")
            .drawn(&["hill-heat"])
            .by(&[Rule::Hills])
            .file(self.hold_table())
            .shown(Look::Rows, self.hold_with_bands())
            .file(self.hill_table())
            .shown(Look::Rows, self.hills_with_bands())
            .file(self.hill_windows_table());
        let pull = Section::new("pull", "Pull")
            .drawn(&["tractive-effort", "full-throttle"])
            .by(&[Rule::Pull, Rule::FullThrottle])
            .file(self.table())
            .shown(Look::Rows, self.short_table())
            .shown(Look::Tight, self.times_table())
            .table(Look::Rows, ratio_table(&self.ratios, self.units));
        let shafts = Section::new("shafts", "Braking and shafts")
            .by(&[Rule::Overrun, Rule::Braking, Rule::ShaftSpeeds])
            .table(Look::Rows, self.overrun_table())
            .table(Look::Rows, self.braking_table())
            .table(Look::Tight, self.over_rev_table())
            .table(Look::Rows, self.shaft_table());
        let less = LESS_CHARGE.into_iter().zip(&self.at_less_charge);
        let pull = less.fold(pull, |section, (name, at)| {
            section.file(self.pull_table(name, at.charge_pct, &at.table))
        });
        let pull = pull.file(bands_table("pull-bands", &self.bands, self.units));
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![pull, hills, shafts])
            .assuming(&self.assumed)
            .warning(&self.warnings, &self.cautions)
    }

    /// A row every km/h, at full charge.
    #[must_use]
    pub fn table(&self) -> Table {
        self.pull_table("pull", self.charge_pct, &self.table)
    }

    fn short_table(&self) -> Table {
        let last = self.table.len().saturating_sub(1);
        let shown = |(place, line): &(usize, &PullLine)| {
            *place == last || (line.speed_kmh / SHOWN_EVERY_KMH).fract().abs() < 1e-9
        };
        let lines = self.table.iter().enumerate().filter(shown).map(|(_, line)| line);
        self.pull_table("", self.charge_pct, lines)
    }

    fn pull_table<'a>(
        &self,
        name: &'static str,
        charge_pct: f64,
        lines: impl IntoIterator<Item = &'a PullLine>,
    ) -> Table {
        let title = format!("Tractive effort against speed at {charge_pct:.0} % charge");
        Table::of(name, title, self.units, lines)
            .col("speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .col("motor_speed_rpm", "motor", Unit::Rpm, |it| it.motor_speed_rpm)
            .words("gear", "gear", |it| it.gear)
            .to(0)
            .col("effective_mass_kg", "effective mass", Unit::Kg, |it| it.effective_mass_kg)
            .col("pull_n", "pull", Unit::N, |it| it.pull_n)
            .col("continuous_pull_n", "pull, hot", Unit::N, |it| it.continuous_pull_n)
            .col("road_load_n", "road load, flat", Unit::N, |it| it.road_load_n)
            .col("road_load_5_pct_n", "on 5 %", Unit::N, |it| it.road_load_5_pct_n)
            .col("road_load_10_pct_n", "on 10 %", Unit::N, |it| it.road_load_10_pct_n)
            .col("road_load_20_pct_n", "on 20 %", Unit::N, |it| it.road_load_20_pct_n)
            .words("limit", "limit", |it| it.limit.as_str())
            .table()
    }

    /// Steepest grades at steady speeds.
    #[must_use]
    pub fn hold_table(&self) -> Table {
        Table::of("pull-hold", "Steepest grades held, and how long", self.units, &self.hold)
            .col("speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .col("grade_pct", "grade", Unit::Pct, |it| it.grade_pct)
            .col("continuous_grade_pct", "grade, hot", Unit::Pct, |it| it.continuous_grade_pct)
            .words("minutes_to_cut_back", "min to cut-back", |it| it.minutes_to_cut_back)
            .to(1)
            .words("minutes_to_cut_back_warm", "after 20 min cruise", |it| {
                it.minutes_to_cut_back_warm
            })
            .to(1)
            .words("held", "on that grade", |it| it.held.as_str())
            .words("limit", "limit of the pull", |it| it.limit.as_str())
            .table()
    }

    fn hold_with_bands(&self) -> Table {
        let held = |speed_kmh| Question::of(&rows::HOLD_GRADE).at_kmh(speed_kmh);
        let grades = self.hold.iter().map(|line| self.band_text(&held(line.speed_kmh)));
        self.hold_table().with("grade_pct", grades)
    }

    /// Axle loads at 0.5 g before and after, and when the motor alone locks the driven axle.
    fn braking_table(&self) -> Table {
        let title = "Braking: axle loads at 0.5 g, and locking by the motor alone in the wet";
        let key = |key: &str| format!("braking.{key}");
        Table::of("pull-braking", title, self.units, [&self.braking])
            .col(key("front_at_half_g_before_kg"), "front before", Unit::Kg, |it| {
                it.front_at_half_g_before_kg
            })
            .col(key("rear_at_half_g_before_kg"), "rear before", Unit::Kg, |it| {
                it.rear_at_half_g_before_kg
            })
            .col(key("front_at_half_g_after_kg"), "front after", Unit::Kg, |it| {
                it.front_at_half_g_after_kg
            })
            .col(key("rear_at_half_g_after_kg"), "rear after", Unit::Kg, |it| {
                it.rear_at_half_g_after_kg
            })
            .col(key("lock_in_the_wet_mps2"), "driven axle locks at", Unit::Mps2, |it| {
                it.lock_in_the_wet_mps2
            })
            .table()
    }

    /// Road speed at the motor's highest speed in each gear.
    fn over_rev_table(&self) -> Table {
        let title = "Road speed that the motor's highest speed allows, downhill too";
        Table::of("pull-over-rev", title, self.units, &self.over_rev)
            .words("over_rev.gear", "gear", |it| it.gear)
            .to(0)
            .col("over_rev.speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .table()
    }

    /// Braking by the motor alone.
    fn overrun_table(&self) -> Table {
        Table::of("pull-overrun", "Hardest braking by the motor alone", self.units, &self.overrun)
            .col("speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .col("charge_pct", "charge", Unit::Pct, |it| it.charge_pct)
            .to(0)
            .col("braking_n", "braking force", Unit::N, |it| it.braking_n)
            .col("deceleration_mps2", "deceleration", Unit::Mps2, |it| it.deceleration_mps2)
            .words("limit", "limit", |it| it.limit.as_str())
            .table()
    }

    /// Shaft speeds. The motor's is worked out in the usual gear, so it leads there where it is the only one.
    fn shaft_table(&self) -> Table {
        let one_gear = self.shafts.iter().all(|it| it.gear == self.shafts[0].gear);
        let of = |speed_kmh| Question::of(&rows::MOTOR_SPEED).at_kmh(speed_kmh);
        Table::of("pull-shafts", "Shaft speeds", self.units, &self.shafts)
            .col("speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .to(1)
            .words("gear", "gear", |it| it.gear)
            .to(0)
            .col("motor_speed_rpm", "motor", Unit::Rpm, |it| {
                let cell = Cell::from(it.motor_speed_rpm);
                if one_gear { cell.of(&of(it.speed_kmh)) } else { cell }
            })
            .col("propeller_shaft_rpm", "propeller shaft", Unit::Rpm, |it| it.propeller_shaft_rpm)
            .words("over_speed", "too fast for the motor", |it| it.over_speed)
            .table()
    }

    /// Times at full throttle and highest speeds, a line each.
    fn times_table(&self) -> Table {
        let times = &self.times_s;
        let seconds = |value: Option<f64>| {
            value.map_or_else(|| MISSING.to_owned(), |value| format!("{} s", digits(value, 1)))
        };
        let time = |from_kmh: f64, to_kmh: f64, value: Option<f64>| {
            self.time_band(from_kmh, to_kmh).unwrap_or_else(|| seconds(value))
        };
        let sixty_kmh = 60.0 * METRE_PER_MILE / 1000.0;
        let top = |top: &TopSpeed| {
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
        let facts = [
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
        Table::facts("At full throttle", facts.map(|(what, value)| (what.to_owned(), value)))
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
    pub(crate) fn band_text(&self, question: &Question) -> Option<String> {
        let (name, band) = self.bands.iter().find(|(name, _)| name.is_like(question))?;
        Some(name.shown(band, self.units))
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
