//! The answers of a report, each explained.

use super::{ExplainAsked, Subject};
use crate::{LoadCase, Units};

/// What is the same on all days and needs nothing else to be said.
const ONCE: [&str; 7] = [
    "effective_mass",
    "rolling_radius",
    "overall_ratio",
    "drag_area",
    "rolling_resistance",
    "pack_energy",
    "pack_full_voltage",
];

/// Spans of speed that a report gives times for.
const SPANS: [&str; 5] = ["kmh_0_50", "kmh_0_100", "mph_0_60", "kmh_50_80", "kmh_80_120"];

/// Names of what a report shows of each load case, cycle, day (by their places), speed and supply. Not
/// every car has all of them.
#[must_use]
pub fn explained_in_report(
    subject: &Subject,
    asked: &ExplainAsked,
    days: &[usize],
    speeds_kmh: &[f64],
) -> Vec<String> {
    let days: Vec<&str> = days.iter().map(|day| subject.days[*day].name()).collect();
    names(asked, &days, &speed_words(speeds_kmh, subject.units))
}

fn names(asked: &ExplainAsked, days: &[&str], speeds: &[String]) -> Vec<String> {
    let first = days.first().copied().unwrap_or_default();
    let mut names: Vec<String> = Vec::new();
    for case in LoadCase::ALL.map(LoadCase::key) {
        let of_case = ["mass", "axle_load.front", "axle_load.rear"];
        names.extend(of_case.map(|what| format!("{what}.{case}")));
    }
    for cycle in &asked.cycles {
        for what in ["range", "use"] {
            names.extend(days.iter().map(|day| format!("{what}.{}.{day}", cycle.name())));
        }
    }
    names.extend(SPANS.map(|span| format!("time.{span}.{first}")));
    names.extend(["top_speed", "start_grade"].map(|what| format!("{what}.{first}")));
    for speed in speeds {
        names.push(format!("hold_grade.{speed}.{first}"));
        names.push(format!("drag.{speed}.{first}"));
        names.push(format!("motor_speed.{speed}"));
    }
    let charge = |supply: &crate::from_car::Supply| format!("charge_hours.{}.{first}", supply.name);
    names.extend(asked.supplies.iter().map(charge));
    names.extend(days.iter().map(|day| format!("air_density.{day}")));
    names.extend(ONCE.map(str::to_owned));
    names
}

/// Speeds as names of answers say them, those that are whole numbers: `112_kmh`, `70_mph`.
fn speed_words(speeds_kmh: &[f64], units: Units) -> Vec<String> {
    let word = |speed: &f64| speed_word(*speed, units);
    speeds_kmh.iter().filter_map(word).collect()
}

/// A speed as names of answers say it, if it is a whole number in these units.
#[must_use]
pub fn speed_word(speed_kmh: f64, units: Units) -> Option<String> {
    let shown = units.value(speed_kmh, crate::Unit::Kmh);
    let whole = (shown - shown.round()).abs() < 1e-6;
    let suffix = match units {
        Units::Metric => "kmh",
        Units::Us => "mph",
    };
    whole.then(|| format!("{}_{suffix}", crate::unit::digits(shown, 0)))
}
