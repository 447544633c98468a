//! What the car must do: the `[demand.NAME]` tables.

use crownwheel::name::Name;
use crownwheel::weights::LoadCase;

use crate::assemble::Assembler;
use crate::outside::{CycleRef, cycle, day_name};

/// Something that the car must do.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Name as written in the build; with its kind, `moor.range`, if the table holds several.
    pub name: Name,
    /// What it must do.
    pub what: DemandKind,
    /// How sure it must be, 0..1. `None`: at the nominal values.
    pub sure_frac: Option<f64>,
}

/// An axle of the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axle {
    /// Front axle.
    Front,
    /// Rear axle.
    Rear,
}

/// The kinds of demands. A `day` is the name of one of the build's days.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum DemandKind {
    /// Drive a cycle on a day at least so far.
    Range {
        /// The cycle.
        cycle: CycleRef,
        /// The day.
        day: Name,
        /// Shortest distance that will do, m.
        at_least_m: f64,
        /// Whether the car must keep up with the cycle so far; else the distance to empty counts.
        following: bool,
    },
    /// Hold a speed on the flat.
    Cruise {
        /// The speed, m/s.
        speed_mps: f64,
        /// Highest motor speed, rad/s.
        motor_speed_at_most_radps: Option<f64>,
        /// Shortest time without cut-back, s.
        at_least_s: Option<f64>,
        /// The day.
        day: Name,
    },
    /// Hold a speed on a grade.
    Hill {
        /// The speed, m/s.
        speed_mps: f64,
        /// The grade, rise over run: the steepest that it holds is at least this.
        grade_at_least_frac: f64,
        /// Shortest time without cut-back, s.
        at_least_s: Option<f64>,
        /// The day.
        day: Name,
    },
    /// Start from rest on a grade.
    Start {
        /// The grade, rise over run.
        grade_at_least_frac: f64,
        /// The day.
        day: Name,
    },
    /// Gain speed at full throttle.
    Time {
        /// Speed at the start, m/s.
        from_mps: f64,
        /// Speed at the end, m/s.
        to_mps: f64,
        /// Longest time that will do, s.
        at_most_s: f64,
        /// The day.
        day: Name,
    },
    /// Keep an axle below a load.
    AxleLoad {
        /// The axle.
        axle: Axle,
        /// Who is aboard.
        case: LoadCase,
        /// Highest load that will do, kg.
        at_most_kg: f64,
    },
    /// Charge within a time.
    ChargeTime {
        /// Name of the supply.
        supply: Name,
        /// State of charge at the start, 0..1. `None`: the floor of the usable part.
        from_frac: Option<f64>,
        /// State of charge at the end, 0..1. `None`: the top of the usable part.
        to_frac: Option<f64>,
        /// Longest time that will do, s.
        at_most_s: f64,
        /// The day.
        day: Name,
    },
    /// Cost no more than this, in the currency of the sweep.
    Price {
        /// Highest price that will do.
        at_most: f64,
    },
    /// Weigh no more than this.
    Mass {
        /// Who is aboard.
        case: LoadCase,
        /// Highest mass that will do, kg.
        at_most_kg: f64,
    },
}

/// Seconds in a minute.
const MINUTE_S: f64 = 60.0;

type KindReader = fn(&mut Assembler<'_>, &str) -> Option<DemandKind>;

/// The kinds by the name of their table.
const KINDS: [(&str, KindReader); 9] = [
    ("range", range),
    ("cruise", cruise),
    ("hill", hill),
    ("start", start),
    ("time", time),
    ("axle_load", axle_load),
    ("charge_time", charge_time),
    ("price", price),
    ("mass", mass),
];

pub(crate) fn demands(a: &mut Assembler<'_>) -> Vec<Demand> {
    let mut demands = Vec::new();
    for name in a.values.names("demand") {
        let path = format!("demand.{name}");
        let kinds: Vec<(&str, KindReader)> = KINDS
            .into_iter()
            .filter(|(kind, _)| a.values.has_table(&format!("{path}.{kind}")))
            .collect();
        // A kind that nobody knows is said already.
        let refused = |kind: &String| a.values.was_refused(&format!("{path}.{kind}"));
        if kinds.is_empty() && !a.values.names(&path).iter().any(refused) {
            let hint = "write for example range = { ... } or cruise = { ... }: see `crownwheel keys \
                demand`";
            a.missing_table(&format!("{path}.range"), "the demand says nothing", hint);
        }
        for (kind, read) in &kinds {
            let path = format!("{path}.{kind}");
            let name = a.name("demand", &name);
            let name = if kinds.len() > 1 { name.below(kind) } else { name };
            let what = read(a, &path);
            let sure_frac = a.optional(&format!("{path}.sure"));
            demands.extend(what.map(|what| Demand { name, what, sure_frac }));
        }
    }
    demands
}

fn range(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let cycle = cycle(a, &format!("{path}.cycle"));
    let day = day_name(a, &format!("{path}.day"));
    let at_least_m = a.number(&format!("{path}.at_least"));
    let following = a.optional_flag(&format!("{path}.following")).unwrap_or(true);
    Some(DemandKind::Range { cycle: cycle?, day, at_least_m, following })
}

fn cruise(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    Some(DemandKind::Cruise {
        speed_mps: a.number(&format!("{path}.speed")),
        motor_speed_at_most_radps: a.optional(&format!("{path}.motor_speed_at_most")),
        at_least_s: minutes_s(a, path),
        day: day(a, path),
    })
}

/// A grade at a speed, or one of the build's hills from foot to top.
fn hill(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let (named, speed, grade) =
        (format!("{path}.named"), format!("{path}.speed"), format!("{path}.at_least"));
    let Some(name) = a.optional_text(&named) else {
        if a.values.was_refused(&named) {
            return None;
        }
        for key in [&speed, &grade] {
            if a.values.get(key).is_none() {
                let hint = "write hill = { speed = \"60 km/h\", at_least = \"8 %\" }, or hill = { \
                    named = \"moor_bank\" }";
                a.missing_table(key, "a grade is held at a speed", hint);
            }
        }
        return Some(DemandKind::Hill {
            speed_mps: a.optional(&speed).unwrap_or_default(),
            grade_at_least_frac: a.optional(&grade).unwrap_or_default(),
            at_least_s: minutes_s(a, path),
            day: day(a, path),
        });
    };
    for key in [&speed, &grade, &format!("{path}.minutes_at_least")] {
        if a.values.get(key).is_some() {
            a.conflict(&named, key);
        }
    }
    let hills = a.values.names("hill");
    if !hills.contains(&name) {
        let what = format!("`{named}`: there is no hill `{name}`");
        a.refuse_value(&named, what, &listed(&hills), "name one of the [hill.NAME] tables");
        return None;
    }
    let length_m = a.number(&format!("hill.{name}.length"));
    let speed_mps = a.number(&format!("hill.{name}.speed"));
    Some(DemandKind::Hill {
        speed_mps,
        grade_at_least_frac: a.number(&format!("hill.{name}.grade")),
        at_least_s: Some(length_m / speed_mps),
        day: day(a, path),
    })
}

fn start(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let grade_at_least_frac = a.number(&format!("{path}.at_least"));
    Some(DemandKind::Start { grade_at_least_frac, day: day(a, path) })
}

fn time(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let to = format!("{path}.to");
    let (from_mps, to_mps) =
        (a.optional(&format!("{path}.from")).unwrap_or_default(), a.number(&to));
    if a.values.get(&to).is_some() && to_mps <= from_mps {
        let what = format!("`{to}` is not above the speed that it starts from");
        a.refuse_value(&to, what, "more than `from`", "from standstill leave `from` out");
    }
    let at_most_s = a.number(&format!("{path}.at_most"));
    Some(DemandKind::Time { from_mps, to_mps, at_most_s, day: day(a, path) })
}

fn axle_load(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let front = a.text(&format!("{path}.axle")) == "front";
    let axle = if front { Axle::Front } else { Axle::Rear };
    let case = case(a, path);
    let key = format!("{path}.at_most");
    let plate = if front { "plate.front_axle" } else { "plate.rear_axle" };
    let at_most_kg = match a.optional(&key).or_else(|| a.optional(plate)) {
        Some(at_most_kg) => at_most_kg,
        None => {
            let hint = "write at_most = \"660 kg\", or the axle's load in [plate]";
            a.missing_table(&key, "neither it nor the plate says what the axle may carry", hint);
            0.0
        }
    };
    Some(DemandKind::AxleLoad { axle, case, at_most_kg })
}

fn charge_time(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let key = format!("{path}.supply");
    let supply = a.text(&key);
    let supplies = a.values.names("supply");
    if !supply.is_empty() && !supplies.contains(&supply) {
        let what = format!("`{key}`: there is no supply `{supply}`");
        a.refuse_value(&key, what, &listed(&supplies), "name one of the [supply.NAME] tables");
    }
    let to = format!("{path}.to");
    let (from_frac, to_frac) = (a.optional(&format!("{path}.from")), a.optional(&to));
    if let (Some(from_frac), Some(to_frac)) = (from_frac, to_frac)
        && to_frac <= from_frac
    {
        a.refuse_value(&to, format!("`{to}` is not above `from`"), "more than `from`", "");
    }
    let at_most_s = a.number(&format!("{path}.at_most"));
    let day = day(a, path);
    let supply = a.name("supply", &supply);
    Some(DemandKind::ChargeTime { supply, from_frac, to_frac, at_most_s, day })
}

fn price(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    Some(DemandKind::Price { at_most: a.number(&format!("{path}.at_most")) })
}

fn mass(a: &mut Assembler<'_>, path: &str) -> Option<DemandKind> {
    let case = case(a, path);
    Some(DemandKind::Mass { case, at_most_kg: a.number(&format!("{path}.at_most")) })
}

fn minutes_s(a: &mut Assembler<'_>, path: &str) -> Option<f64> {
    a.optional(&format!("{path}.minutes_at_least")).map(|minutes| minutes * MINUTE_S)
}

/// Who is aboard.
fn case(a: &mut Assembler<'_>, path: &str) -> LoadCase {
    match a.text(&format!("{path}.case")).as_str() {
        "converted, empty" => LoadCase::ConvertedEmpty,
        "driver only" => LoadCase::DriverOnly,
        "at gross" => LoadCase::AtGross,
        _ => LoadCase::EverySeat,
    }
}

/// The day that a demand names, else the first of the build.
fn day(a: &mut Assembler<'_>, path: &str) -> Name {
    let key = format!("{path}.day");
    if a.values.get(&key).is_some() {
        return day_name(a, &key);
    }
    let first = a.values.names("day").into_iter().next();
    a.name("day", &first.unwrap_or_else(|| "mild".to_owned()))
}

/// What is allowed if a name must be one of these.
fn listed(names: &[String]) -> String {
    if names.is_empty() { "none: there is no such table".to_owned() } else { names.join(", ") }
}
