//! The hills of a build: what each asks of the car, how that is found, and its table.

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::hold::{Climb, Climber, HoldTime};
use crownwheel::name::Name;
use crownwheel::pull::Throttle;
use crownwheel::{Car, Day};
use crownwheel_quantities::{Question, rows};
use serde::Serialize;

use crate::from_car::{kmh, windows};
use crate::pull::PullAnswer;
use crate::{Table, Unit, Units, Window};

/// Points of the heat on a hill.
const HEAT_POINTS: usize = 200;

/// A named hill.
#[derive(Clone, Debug, PartialEq)]
pub struct Hill {
    /// Name.
    pub name: Name,
    /// Length, m.
    pub length_m: f64,
    /// Speed and grade.
    pub climb: Climb,
}

/// A named hill.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HillLine {
    /// Name.
    pub hill: Name,
    /// Length, km.
    pub length_km: f64,
    /// Grade, %.
    pub grade_pct: f64,
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Time that the hill takes at that speed, min.
    pub minutes: f64,
    /// Time until the motor cuts back, from cold, min. `None`: see `held`.
    pub minutes_to_cut_back: Option<f64>,
    /// The same after 20 minutes on the flat at that speed, min.
    pub minutes_to_cut_back_warm: Option<f64>,
    /// How it ends, in words.
    pub held: String,
    /// How it ends after 20 minutes on the flat.
    pub held_warm: String,
    /// Highest steady speed that a cold motor holds on its grade, km/h. `None`: it holds none.
    pub fastest_kmh: Option<f64>,
    /// What limits it.
    pub fastest_limit: String,
    /// Highest steady speed that a hot motor holds on its grade for good, km/h. `None`: it holds none.
    pub fastest_hot_kmh: Option<f64>,
    /// What limits it.
    pub fastest_hot_limit: String,
    /// Worst rolling values on the way up, cold at the foot.
    pub windows: Vec<Window>,
    /// Used heat on the way up, cold at the foot. Empty: heat is not known.
    pub heat: Vec<HeatPoint>,
}

/// A moment on a hill.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HeatPoint {
    /// Time from its foot, min.
    pub time_min: f64,
    /// Used share of the motor's heat, 1 at the limit.
    pub heat_used: f64,
}

impl HillLine {
    /// The time until the motor cuts back as worlds name it, without its day.
    #[must_use]
    pub fn cut_back(&self) -> Question {
        if self.grade_pct == 0.0 {
            return Question::of(&rows::CRUISE_MINUTES).at_kmh(self.speed_kmh);
        }
        Question::of(&rows::HOLD_MINUTES).at_kmh(self.speed_kmh).on_grade_pct(self.grade_pct)
    }

    /// A hill on a day, from a state of charge.
    pub(crate) fn of((car, day): (&Car, &Day), charge_frac: f64, hill: &Hill) -> HillLine {
        let climber = Climber::new(car, day, charge_frac);
        let throttle = Throttle::new(car, day, charge_frac);
        let fastest = |heat_used: f64| match throttle.fastest_on(hill.climb.grade_frac, heat_used) {
            Some((speed_mps, limit)) => (Some(kmh(speed_mps)), limit.name().to_owned()),
            None => (None, "not held".to_owned()),
        };
        let ((fastest_kmh, fastest_limit), (fastest_hot_kmh, fastest_hot_limit)) =
            (fastest(0.0), fastest(1.0));
        let (cold, warm) = (climber.cold(hill.climb), climber.warm(hill.climb));
        let seconds = hill.length_m / hill.climb.speed_mps;
        let heat = match cold {
            HoldTime::HeatNotKnown => Vec::new(),
            _ => climber.heat_on(hill.climb, seconds),
        };
        let every = (heat.len() / HEAT_POINTS).max(1);
        HillLine {
            hill: hill.name.clone(),
            length_km: hill.length_m / 1000.0,
            grade_pct: 100.0 * hill.climb.grade_frac,
            speed_kmh: kmh(hill.climb.speed_mps),
            minutes: seconds / 60.0,
            minutes_to_cut_back: minutes(cold),
            minutes_to_cut_back_warm: minutes(warm),
            held: words(cold),
            held_warm: words(warm),
            fastest_kmh,
            fastest_limit,
            fastest_hot_kmh,
            fastest_hot_limit,
            windows: windows(&climber.loads_on(hill.climb, seconds)),
            heat: heat
                .iter()
                .step_by(every)
                .map(|(time_s, used)| HeatPoint { time_min: time_s / 60.0, heat_used: *used })
                .collect(),
        }
    }
}

impl PullAnswer {
    fn hills_and_cruise(&self) -> impl Iterator<Item = &HillLine> {
        self.hills.iter().chain(&self.cruise)
    }

    /// The named hills.
    #[must_use]
    pub fn hill_table(&self) -> Table {
        let title = "The hills of the build, and half an hour on the flat";
        Table::of("pull-hills", title, self.units, self.hills_and_cruise())
            .words("hill", "hill", |it| &it.hill)
            .col("length_km", "length", Unit::Km, |it| it.length_km)
            .to(1)
            .col("grade_pct", "grade", Unit::Pct, |it| it.grade_pct)
            .col("speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .words("minutes", "min for the hill", |it| it.minutes)
            .to(1)
            .words("minutes_to_cut_back", "min to cut-back", |it| it.minutes_to_cut_back)
            .to(1)
            .words("held", "from cold", |it| it.held.as_str())
            .words("minutes_to_cut_back_warm", "min, after 20 min cruise", |it| {
                it.minutes_to_cut_back_warm
            })
            .to(1)
            .words("held_warm", "after 20 min cruise", |it| it.held_warm.as_str())
            .col("fastest_kmh", "fastest, cold", Unit::Kmh, |it| it.fastest_kmh)
            .words("fastest_limit", "limit", |it| it.fastest_limit.as_str())
            .col("fastest_hot_kmh", "fastest, hot", Unit::Kmh, |it| it.fastest_hot_kmh)
            .words("fastest_hot_limit", "limit, hot", |it| it.fastest_hot_limit.as_str())
            .table()
    }

    /// The same for people, with the bands of the minutes.
    #[must_use]
    pub fn hills_with_bands(&self) -> Table {
        let minutes = self.hills_and_cruise().map(|line| self.band_text(&line.cut_back()));
        self.hill_table().with("minutes_to_cut_back", minutes)
    }

    /// Worst rolling currents, torque and heats on each hill, in metric units whatever the others are.
    pub(crate) fn hill_windows_table(&self) -> Table {
        let all = self.hills.iter().flat_map(|hill| hill.windows.iter().map(move |it| (hill, it)));
        let title = "Worst rolling values on each hill";
        Table::of("pull-hill-windows", title, Units::Metric, all)
            .words("hill", "hill", |(hill, _)| &hill.hill)
            .words("windows.quantity", "quantity", |(_, it)| it.quantity.key())
            .words("windows.unit", "unit", |(_, it)| Units::Metric.symbol(it.quantity.unit()))
            .col("windows.window_s", "over", Unit::S, |(_, it)| it.window_s)
            .words("windows.value", "worst", |(_, it)| it.value)
            .to(1)
            .table()
    }
}

/// Half an hour at 112 km/h on the flat, as a hill of no grade.
pub(crate) fn cruise() -> Hill {
    let speed_mps = 112.0 / KMH_PER_MPS;
    let climb = Climb { speed_mps, grade_frac: 0.0 };
    Hill { name: "the flat".into(), length_m: 1800.0 * speed_mps, climb }
}

pub(crate) fn minutes(held: HoldTime) -> Option<f64> {
    match held {
        HoldTime::CutBackAfter(seconds) => Some(seconds / 60.0),
        _ => None,
    }
}

/// How a climb ends.
pub(crate) fn words(held: HoldTime) -> String {
    match held {
        HoldTime::Always => "held for good".to_owned(),
        HoldTime::CutBackAfter(_) => "motor cuts back".to_owned(),
        HoldTime::EmptyAfter(seconds) => {
            format!("pack empty first, after {:.0} min", seconds / 60.0)
        }
        HoldTime::NotAtAll(limit) => format!("not held: {}", limit.name()),
        HoldTime::HeatNotKnown => "heat not known, give motor.peak_seconds".to_owned(),
    }
}
