//! What lies outside of the car: hills, supplies, days and measured facts.

use crownwheel::name::Name;
use std::path::PathBuf;
use std::sync::Arc;

use crownwheel::cycle::BUILTIN_NAMES;
use crownwheel::spec::{DaySpec, RoadSurface, ShortTrips, TyreMark, Wind};
use crownwheel_quantities::Supply;

use crate::assemble::Assembler;
use crate::cycle_file::is_builtin_name;
pub use crate::demands::{Axle, Demand, DemandKind};
use crate::message::printable;
use crate::quantity::Spread;
use crate::values::Value;
use crate::wind::WindText;

/// A named hill.
#[derive(Clone, Debug, PartialEq)]
pub struct Hill {
    /// Name as written in the build.
    pub name: Name,
    /// Length, m.
    pub length_m: f64,
    /// Rise over run.
    pub grade_frac: f64,
    /// Speed on it, m/s.
    pub speed_mps: f64,
}

/// A cycle by name or by file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CycleRef {
    /// A built-in cycle.
    Builtin(String),
    /// A file, from the current folder.
    File(PathBuf),
}

/// What the speedometer belonged to.
#[derive(Clone, Debug, PartialEq)]
pub struct Speedometer {
    /// Final-drive ratio before the conversion.
    pub final_drive_ratio: f64,
    /// Tyres before the conversion.
    pub tyre: TyreMark,
    /// A wheel drives it, rather than the gearbox or the propeller shaft.
    pub from_wheel: bool,
    /// Pulses of a sender for a turn of the drive. `None`: no sender is given.
    pub pulses_per_turn: Option<f64>,
}

/// A fact measured on the finished car.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// Name as written in the build.
    pub name: Arc<str>,
    /// The cycle that was driven.
    pub cycle: CycleRef,
    /// Name of the day it was driven on.
    pub day: Name,
    /// Energy for a distance, J/m.
    pub use_jpm: Spread,
    /// Where it was measured.
    pub at: MeasuredAt,
}

/// Where energy was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuredAt {
    /// At the pack's terminals, net.
    Pack,
    /// At the wall, while it was put back.
    Wall,
}

pub(crate) fn speedometer(a: &mut Assembler<'_>) -> Option<Speedometer> {
    if !a.values.has_table("speedometer") {
        return None;
    }
    let final_drive_ratio = a.number("speedometer.final_drive");
    let tyre = match a.value("speedometer.tyre_size") {
        Some(Value::Mark(text)) => Some(text.mark),
        _ => None,
    };
    let from_wheel = a.text("speedometer.driven_from") == "wheel";
    let pulses_per_turn = a.optional("speedometer.pulses_per_turn");
    tyre.map(|tyre| Speedometer { final_drive_ratio, tyre, from_wheel, pulses_per_turn })
}

pub(crate) fn hills(a: &mut Assembler<'_>) -> Vec<Hill> {
    let mut hills = Vec::new();
    for name in a.values.names("hill") {
        hills.push(Hill {
            name: a.name("hill", &name),
            length_m: a.number(&format!("hill.{name}.length")),
            grade_frac: a.number(&format!("hill.{name}.grade")),
            speed_mps: a.number(&format!("hill.{name}.speed")),
        });
    }
    hills
}

pub(crate) fn supplies(a: &mut Assembler<'_>) -> Vec<Supply> {
    let mut supplies = Vec::new();
    for name in a.values.names("supply") {
        supplies.push(Supply {
            name: a.name("supply", &name),
            limit_w: a.number(&format!("supply.{name}.limit")),
        });
    }
    supplies
}

/// The days; without any, a mild one is assumed.
pub(crate) fn days(a: &mut Assembler<'_>) -> Vec<DaySpec> {
    let names = a.values.names("day");
    if names.is_empty() {
        let temperature_k = a.number_or(
            "day.mild.temperature",
            "15 °C",
            "no day is named: a mild, calm, dry one is taken",
        );
        return vec![day(a, "mild", temperature_k)];
    }
    names.iter().map(|name| day(a, name, 0.0)).collect()
}

/// A day; its temperature as written, or as said where it is not.
fn day(a: &mut Assembler<'_>, name: &str, temperature_k: f64) -> DaySpec {
    let mut day = DaySpec { name: a.name("day", name), temperature_k, ..DaySpec::default() };
    day.short_trips = short_trips(a, name);
    day.wind = wind(a, &format!("day.{name}.wind"));
    a.fill_day(&mut day);
    day.road = match a.text(&format!("day.{name}.road")).as_str() {
        "wet" => RoadSurface::Wet,
        "ice" => RoadSurface::Ice,
        "rough" => RoadSurface::Rough,
        _ => RoadSurface::Dry,
    };
    day
}

/// Short trips, said by both their keys.
fn short_trips(a: &mut Assembler<'_>, name: &str) -> Option<ShortTrips> {
    let keys = ["trip_length", "pause"].map(|key| format!("day.{name}.{key}"));
    match keys.each_ref().map(|key| a.values.get(key).is_some()) {
        [false, false] => return None,
        [true, true] => {}
        [has_length, _] => {
            let (there, lacking) = if has_length { (0, 1) } else { (1, 0) };
            let words = format!("it belongs to {}", keys[there]);
            let hint = "write trip_length = \"12 km\" and pause = \"2 h\"";
            a.missing_table(&keys[lacking], &words, hint);
        }
    }
    Some(ShortTrips { length_m: 0.0, pause_s: 0.0 })
}

/// The wind without the height that it holds at.
fn wind(a: &mut Assembler<'_>, key: &str) -> Wind {
    let text = match a.value(key) {
        Some(Value::Wind(wind)) => wind,
        _ => WindText::Calm,
    };
    let Some(speed) = text.speed_mps() else { return Wind::Calm };
    let (speed_mps, height_m) = (a.keep(key, speed), 0.0);
    match text {
        WindText::AllRound(_) => Wind::AllRound { speed_mps, height_m },
        _ => Wind::AlongRoad { speed_mps, height_m },
    }
}

pub(crate) fn measured(a: &mut Assembler<'_>) -> Vec<Measurement> {
    let mut facts = Vec::new();
    for name in a.values.names("measured") {
        let path = format!("measured.{name}");
        let cycle = cycle(a, &format!("{path}.cycle"));
        let day = day_name(a, &format!("{path}.day"));
        if let (Some((at, use_jpm)), Some(cycle)) = (measured_use(a, &path), cycle) {
            facts.push(Measurement { name: Arc::from(name), cycle, day, use_jpm, at });
        }
    }
    facts
}

/// Energy for a distance, at the pack or at the wall.
fn measured_use(a: &mut Assembler<'_>, path: &str) -> Option<(MeasuredAt, Spread)> {
    let keys = [MeasuredAt::Pack, MeasuredAt::Wall].map(|at| (at, format!("{path}.{}", at.key())));
    let given = |(at, key): &(MeasuredAt, String)| match a.values.get(key)?.value {
        Value::Number(spread) => Some((*at, spread)),
        _ => None,
    };
    let [(_, pack), (_, wall)] = &keys;
    match keys.each_ref().map(given) {
        [Some(_), Some(_)] => {
            let what = format!("`{wall}` cannot stand beside `{pack}`: a fact is one number");
            a.exclude(wall, &what, "give the other one a [measured.NAME] of its own");
            None
        }
        [Some(one), None] | [None, Some(one)] => Some(one),
        [None, None] => {
            if !a.values.was_refused(wall) {
                let words = "neither it nor `wall` says what was measured";
                let hint = "write use = \"141 Wh/km ± 5 %\" or wall = \"168 Wh/km ± 5 %\"";
                a.missing_table(pack, words, hint);
            }
            None
        }
    }
}

impl MeasuredAt {
    fn key(self) -> &'static str {
        match self {
            MeasuredAt::Pack => "use",
            MeasuredAt::Wall => "wall",
        }
    }
}

/// A cycle that a key names; it must be built in or be there.
pub(crate) fn cycle(a: &mut Assembler<'_>, key: &str) -> Option<CycleRef> {
    let name = match a.value(key)? {
        Value::Text(name) => name,
        _ => return None,
    };
    if is_builtin_name(&name) {
        if !BUILTIN_NAMES.contains(&name.as_str()) {
            let what = format!("`{key}`: there is no built-in cycle `{name}`");
            let hint = "the name of a cycle file has a dot in it, as in moor-round.csv";
            a.refuse_value(key, what, &BUILTIN_NAMES.join(", "), hint);
        }
        return Some(CycleRef::Builtin(name));
    }
    let path = a.file_path(key, &name);
    if let Err(error) = a.files.look(&path) {
        let what = format!("`{key}`: cannot read `{}`: {error}", printable(&name));
        a.refuse_file(key, what, error.hint());
    }
    Some(CycleRef::File(path))
}

/// The day that a key names; it must be one of the build's.
pub(crate) fn day_name(a: &mut Assembler<'_>, key: &str) -> Name {
    let day = a.text(key);
    let mut days = a.values.names("day");
    if days.is_empty() {
        days.push("mild".to_owned());
    }
    if !day.is_empty() && !days.contains(&day) {
        let what = format!("`{key}`: there is no day `{day}`");
        a.refuse_value(key, what, &days.join(", "), "name one of the [day.NAME] tables");
    }
    a.name("day", &day)
}
