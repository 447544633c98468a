//! What a name asks to have explained.

use std::fmt;

use super::ExplainAsked;
use crate::from_car::Subject;
use crate::{Axle, LoadCase};

/// An answer that can be explained. Days, cycles and supplies are places in their lists.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum What {
    Mass(LoadCase),
    AxleLoad(Axle, LoadCase),
    EffectiveMass,
    RollingRadius,
    DragArea,
    RollingResistance,
    OverallRatio,
    AirDensity { day: usize },
    PackVoltage,
    RoadLoad { speed_kmh: f64, day: usize },
    MotorSpeed { speed_kmh: f64 },
    PackEnergy,
    Range { cycle: usize, day: usize },
    Use { cycle: usize, day: usize },
    ChargeTime { supply: usize, day: usize },
    TopSpeed { day: usize },
    Time { from_kmh: f64, to_kmh: f64, day: usize },
    Grade { speed_kmh: f64, day: usize },
}

/// What can be explained, with what may stand behind it.
const KNOWN: [&str; 19] = [
    "mass[.CASE]",
    "axle_load.front|rear[.CASE]",
    "effective_mass",
    "rolling_radius",
    "overall_ratio",
    "drag[.SPEED][.DAY]",
    "drag_area",
    "rolling_resistance",
    "air_density[.DAY]",
    "motor_speed[.SPEED]",
    "pack_energy",
    "pack_full_voltage",
    "range[.CYCLE][.DAY]",
    "use[.CYCLE][.DAY]",
    "top_speed[.DAY]",
    "time[.0_100][.DAY]",
    "start_grade[.DAY]",
    "hold_grade[.SPEED][.DAY]",
    "charge_hours[.SUPPLY][.DAY]",
];

/// The same without what may stand behind, for a shell to offer.
pub const EXPLAINED: [&str; 20] = [
    "mass",
    "axle_load.front",
    "axle_load.rear",
    "effective_mass",
    "rolling_radius",
    "overall_ratio",
    "drag",
    "drag_area",
    "rolling_resistance",
    "air_density",
    "motor_speed",
    "pack_energy",
    "pack_full_voltage",
    "range",
    "use",
    "top_speed",
    "time",
    "start_grade",
    "hold_grade",
    "charge_hours",
];

/// A name that says no answer that can be explained.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct NotExplained {
    /// The whole name.
    pub name: String,
    /// The part that is wrong.
    pub part: String,
    /// What is wrong with it.
    pub why: &'static str,
    /// What may stand there. Empty: nothing.
    pub known: Vec<String>,
    /// The one of them that looks most like it, if any does.
    pub nearest: Option<String>,
}

impl NotExplained {
    fn new(name: &str, part: &str, why: &'static str, known: Vec<String>) -> NotExplained {
        NotExplained {
            name: name.to_owned(),
            part: part.to_owned(),
            why,
            nearest: nearest(part, &known),
            known,
        }
    }
}

impl fmt::Display for NotExplained {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let NotExplained { name, part, why, known, nearest } = self;
        write!(f, "`{name}`: `{part}` {why}")?;
        if let Some(nearest) = nearest {
            write!(f, "; did you mean `{nearest}`?")?;
        }
        if known.is_empty() {
            Ok(())
        } else {
            write!(f, "\nWhat may stand there: {}", known.join(", "))
        }
    }
}

impl std::error::Error for NotExplained {}

/// What may stand behind the first word, as far as it was said.
#[derive(Default)]
struct Said {
    case: Option<LoadCase>,
    axle: Option<Axle>,
    speed_kmh: Option<f64>,
    span_kmh: Option<(f64, f64)>,
    cycle: Option<usize>,
    day: Option<usize>,
    supply: Option<usize>,
}

/// Which of these a word takes.
#[derive(Clone, Copy, Default)]
struct Takes {
    case: bool,
    axle: bool,
    speed: bool,
    span: bool,
    cycle: bool,
    day: bool,
    supply: bool,
}

/// Reads a name.
pub(super) fn read(subject: &Subject, asked: &ExplainAsked) -> Result<What, NotExplained> {
    let mut parts = asked.answer.trim().split('.');
    let word = parts.next().unwrap_or_default();
    let refused = |part: &str, why, known| NotExplained::new(&asked.answer, part, why, known);
    let Some((stem, takes)) = stem(word) else {
        let all = KNOWN.map(str::to_owned).to_vec();
        return Err(refused(word, "cannot be explained", all));
    };
    let mut said = Said::default();
    // Names of days, cycles and supplies have no dots; a cycle's file may be given with its ending.
    for part in parts.filter(|part| *part != "csv") {
        if !take(&mut said, part, takes, subject, asked) {
            let known = known(takes, subject, asked);
            let why = if known.is_empty() {
                "says nothing here: leave it out"
            } else {
                "says nothing here"
            };
            return Err(refused(part, why, known));
        }
    }
    if stem == "axle_load" && said.axle.is_none() {
        let both = ["axle_load.front", "axle_load.rear"].map(str::to_owned).to_vec();
        return Err(refused(word, "does not say which axle", both));
    }
    if takes.supply && asked.supplies.is_empty() {
        return Err(refused(word, "needs a supply, and the build has none", Vec::new()));
    }
    if takes.cycle && asked.cycles.is_empty() {
        return Err(refused(word, "needs a cycle, and there is none", Vec::new()));
    }
    Ok(what(stem, word, &said))
}

/// Least likeness, 0 to 1, of a name that may have been meant.
const LIKE: f64 = 0.6;

/// The known name most like a part; of a pattern such as `range[.CYCLE]` the word counts.
fn nearest(part: &str, known: &[String]) -> Option<String> {
    let words = known.iter().map(|name| name.split(['[', '.']).next().unwrap_or(name));
    let like = |word: &str| strsim::normalized_damerau_levenshtein(part, word);
    words
        .map(|word| (like(word), word))
        .filter(|(likeness, word)| *likeness >= LIKE && *word != part)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word.to_owned())
}

fn what(stem: &str, word: &str, said: &Said) -> What {
    let case = said.case.unwrap_or(LoadCase::DriverOnly);
    let (day, cycle) = (said.day.unwrap_or(0), said.cycle.unwrap_or(0));
    match stem {
        "mass" => What::Mass(case),
        "front_axle" => What::AxleLoad(Axle::Front, case),
        "rear_axle" => What::AxleLoad(Axle::Rear, case),
        "axle_load" => What::AxleLoad(said.axle.unwrap_or(Axle::Rear), case),
        "effective_mass" => What::EffectiveMass,
        "rolling_radius" => What::RollingRadius,
        "drag" => What::RoadLoad { speed_kmh: said.speed_kmh.unwrap_or(80.0), day },
        "motor_speed" => What::MotorSpeed { speed_kmh: said.speed_kmh.unwrap_or(112.0) },
        "overall_ratio" => What::OverallRatio,
        "drag_area" => What::DragArea,
        "rolling_resistance" => What::RollingResistance,
        "air_density" => What::AirDensity { day },
        "pack_full_voltage" => What::PackVoltage,
        "pack_energy" => What::PackEnergy,
        "range" => What::Range { cycle, day },
        "use" => What::Use { cycle, day },
        "charge_time" => What::ChargeTime { supply: said.supply.unwrap_or(0), day },
        "top_speed" => What::TopSpeed { day },
        "time" => {
            let (from_kmh, to_kmh) = said.span_kmh.unwrap_or((0.0, 100.0));
            What::Time { from_kmh, to_kmh, day }
        }
        _ => {
            let usual = if word.starts_with("start") { 0.0 } else { 80.0 };
            What::Grade { speed_kmh: said.speed_kmh.unwrap_or(usual), day }
        }
    }
}

/// The word without the unit that JSON writes behind it, and what may follow.
fn stem(word: &str) -> Option<(&'static str, Takes)> {
    let none = Takes::default();
    let day = Takes { day: true, ..none };
    Some(match word {
        "mass" | "mass_kg" | "weight" => ("mass", Takes { case: true, ..none }),
        "axle_load" | "axle_load_kg" => ("axle_load", Takes { case: true, axle: true, ..none }),
        "front_axle" | "front_axle_kg" => ("front_axle", Takes { case: true, ..none }),
        "rear_axle" | "rear_axle_kg" => ("rear_axle", Takes { case: true, ..none }),
        "effective_mass" | "effective_mass_kg" => ("effective_mass", none),
        "rolling_radius" | "rolling_radius_m" => ("rolling_radius", none),
        "overall_ratio" => ("overall_ratio", none),
        "drag_area" | "drag_area_m2" => ("drag_area", none),
        "rolling_resistance" => ("rolling_resistance", none),
        "air_density" | "air_density_kgpm3" => ("air_density", day),
        "pack_full_voltage" | "pack_full_voltage_v" => ("pack_full_voltage", none),
        "drag" | "road_load" | "road_load_n" => ("drag", Takes { speed: true, ..day }),
        "motor_speed" | "motor_speed_rpm" | "cruise_motor_speed_rpm" => {
            ("motor_speed", Takes { speed: true, ..none })
        }
        "pack_energy" | "pack_energy_kwh" => ("pack_energy", none),
        "range" | "range_km" => ("range", Takes { cycle: true, ..day }),
        "use" | "use_wh_per_km" => ("use", Takes { cycle: true, ..day }),
        "top_speed" | "top_speed_kmh" => ("top_speed", day),
        "time" | "times" | "times_s" => ("time", Takes { span: true, ..day }),
        "start_grade" | "start_grade_pct" => ("grade", day),
        "hold_grade" | "hold_grade_pct" => ("grade", Takes { speed: true, ..day }),
        "charge_time" | "charge_hours" | "charge" => ("charge_time", Takes { supply: true, ..day }),
        _ => return None,
    })
}

/// Takes one part. Whether it says anything here.
fn take(
    said: &mut Said,
    part: &str,
    takes: Takes,
    subject: &Subject,
    asked: &ExplainAsked,
) -> bool {
    let case = || LoadCase::ALL.into_iter().find(|case| case.key() == part);
    let axle = || [Axle::Front, Axle::Rear].into_iter().find(|axle| axle.word() == part);
    let day = || subject.days.iter().position(|day| day.name() == part);
    let cycle = || asked.cycles.iter().position(|cycle| cycle.name() == part);
    let supply = || asked.supplies.iter().position(|supply| *supply.name == *part);
    put(&mut said.day, takes.day, day)
        || put(&mut said.cycle, takes.cycle, cycle)
        || put(&mut said.supply, takes.supply, supply)
        || put(&mut said.case, takes.case, case)
        || put(&mut said.axle, takes.axle, axle)
        || put(&mut said.speed_kmh, takes.speed, || speed(part))
        || put(&mut said.span_kmh, takes.span, || span(part))
}

fn put<T>(place: &mut Option<T>, takes: bool, found: impl Fn() -> Option<T>) -> bool {
    if takes && place.is_none() {
        *place = found();
        return place.is_some();
    }
    false
}

/// Km/h in a mph.
const KMH_PER_MPH: f64 = crownwheel::constants::METRE_PER_MILE / 1000.0;

/// `112_kmh`, `70_mph`, `112`.
fn speed(part: &str) -> Option<f64> {
    let (number, factor) = match part.strip_suffix("_mph") {
        Some(number) => (number, KMH_PER_MPH),
        None => (part.strip_suffix("_kmh").unwrap_or(part), 1.0),
    };
    let speed: f64 = number.parse().ok()?;
    (speed.is_finite() && (0.0..=400.0).contains(&speed)).then_some(speed * factor)
}

/// `0_100`, `kmh_0_100`, `mph_0_60`.
fn span(part: &str) -> Option<(f64, f64)> {
    let (numbers, factor) = match part.strip_prefix("mph_") {
        Some(numbers) => (numbers, KMH_PER_MPH),
        None => (part.strip_prefix("kmh_").unwrap_or(part), 1.0),
    };
    let (from, to) = numbers.split_once('_')?;
    let (from, to): (f64, f64) = (from.parse().ok()?, to.parse().ok()?);
    let fits = from >= 0.0 && from < to && to <= 400.0;
    fits.then_some((from * factor, to * factor))
}

/// What may stand behind a word.
fn known(takes: Takes, subject: &Subject, asked: &ExplainAsked) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    if takes.axle {
        all.extend(["front", "rear"].map(str::to_owned));
    }
    if takes.case {
        all.extend(LoadCase::ALL.map(|case| case.key().to_owned()));
    }
    if takes.cycle {
        all.extend(asked.cycles.iter().map(|cycle| cycle.name().to_owned()));
    }
    if takes.supply {
        all.extend(asked.supplies.iter().map(|supply| supply.name.to_string()));
    }
    if takes.speed {
        all.push("a speed such as 80_kmh".to_owned());
    }
    if takes.span {
        all.push("two speeds such as 0_100".to_owned());
    }
    if takes.day {
        all.extend(subject.days.iter().map(|day| day.name().to_owned()));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: Option<f64>, b: f64) -> bool {
        a.is_some_and(|a| (a - b).abs() < 1e-9)
    }

    #[test]
    fn speeds_are_read_with_and_without_a_unit() {
        assert!(close(speed("112_kmh"), 112.0) && close(speed("80"), 80.0));
        assert!(close(speed("70_mph"), 112.654_08));
        for wrong in ["fast", "-5", "1e9", "NaN", ""] {
            assert_eq!(speed(wrong), None, "{wrong}");
        }
        assert!(span("kmh_0_100").is_some() && span("80_120").is_some());
        assert!(close(span("mph_0_60").map(|span| span.1), 96.560_64));
        for wrong in ["100_0", "0", "a_b", "0_1e9", "NaN_5"] {
            assert_eq!(span(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn what_a_shell_offers_is_known_and_all_of_it() {
        let offered = KNOWN.iter().flat_map(|known| {
            let word = known.split('[').next().unwrap_or_default();
            match word.strip_suffix("front|rear") {
                Some(stem) => vec![format!("{stem}front"), format!("{stem}rear")],
                None => vec![word.to_owned()],
            }
        });
        assert_eq!(offered.collect::<Vec<_>>(), EXPLAINED);
    }

    #[test]
    fn every_known_word_has_its_stem() {
        for known in KNOWN {
            let word = known.split(['.', '[']).next().unwrap();
            assert!(stem(word).is_some(), "{word}");
        }
    }
}
