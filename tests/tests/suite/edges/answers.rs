//! Every answer of a car, looked through for numbers that are none.

use crownwheel::cycle::Cycle;
use crownwheel::hold::Climb;
use crownwheel::range::{RangeRun, range as drive_to_the_end};
use crownwheel::spec::{CarSpec, DaySpec, SpecError};
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::{
    ChargeAsked, CompareAsked, Hill, RangeRequest, Subject, charge, check, gauges, moves, numbers,
    pull, range, weigh,
};
use crownwheel_answers::{CompareAnswer, Units, json};
use crownwheel_quantities::Supply;
use crownwheel_testkit::assert_close;
use serde::Serialize;

pub(super) use crate::fixture::subject;

/// Share of the gross energy that may be missing from a balance.
const CLOSED_REL: f64 = 1e-9;

/// A refusal names a key, a value that is out, and what is allowed.
pub(super) fn assert_plain_refusal(name: &str, error: &SpecError) {
    let text = error.to_string();
    assert!(!error.key().is_empty(), "{name}: {text}");
    assert!(text.contains(" must be ") && error.allowed().len() > 3, "{name}: {text}");
}

/// Asserts that a car is driven, pulled, weighed, charged and compared in finite numbers on each day.
pub(super) fn assert_finite(name: &str, car: &CarSpec, days: &[DaySpec], cycles: &[Cycle]) {
    let subject = subject(car, days).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert_answers(name, &subject, cycles, &supplies());
    assert_balances(name, car, days, cycles);
}

/// A weak socket and a strong one.
fn supplies() -> Vec<Supply> {
    let supply = |name: &str, limit_w: f64| Supply { name: name.into(), limit_w };
    vec![supply("garage", 2300.0), supply("wallbox", 7400.0)]
}

/// Every answer of a subject is finite, as fields, as JSON and in words.
pub(super) fn assert_answers(name: &str, subject: &Subject, cycles: &[Cycle], supplies: &[Supply]) {
    let weighed = weigh(subject);
    look(&format!("{name}: weigh"), &weighed, &weighed.sheet().text());
    let checked = check(subject);
    look(&format!("{name}: check"), &checked, &checked.sheet().text());
    let read = gauges(subject, None);
    look(&format!("{name}: gauges"), &read, &read.sheet().text());
    let asked = RangeRequest {
        cycles: cycles.to_vec(),
        days: (0..subject.days.len()).collect(),
        steady_kmh: vec![1.0, 50.0, 112.0],
        ..RangeRequest::default()
    };
    let mut driven = range(subject, &asked);
    let text = driven.sheet().text();
    as_json(name, &driven);
    // A pack that does not empty, and a cycle of a few metres, have no range, and say so.
    driven.results.retain(|result| {
        let ends = result.range_km.nominal.is_finite();
        assert_eq!(ends, !["gives back", "too short"].contains(&result.end.as_str()), "{result:?}");
        ends
    });
    // Energy for a distance has a meaning where there was a distance; else it is null.
    driven.results.retain(|result| {
        let moved = result.range_km.nominal > 0.0;
        assert!(moved || result.use_wh_per_km.is_nan(), "{name}: {result:?}");
        moved
    });
    look(&format!("{name}: range"), &driven, &text);
    for day in 0..subject.days.len() {
        let pulled = pull(subject, day, &[bank()]);
        look(&format!("{name}: pull {day}"), &pulled, &pulled.sheet().text());
        let pack = &subject.car.spec().pack;
        for (from_frac, to_frac) in [(0.0, 1.0), (pack.floor_frac(), pack.usable_to_frac)] {
            let supplies = supplies.to_vec();
            let asked = ChargeAsked { day, from_frac, to_frac, supplies, wall_use: None };
            let charged = charge(subject, &asked);
            look(&format!("{name}: charge {day}"), &charged, &charged.sheet().text());
        }
    }
    compared(name, subject, cycles, supplies);
}

/// A steep bank: 8 % at 60 km/h for 5.2 km.
fn bank() -> Hill {
    let climb = Climb { speed_mps: 60.0 / 3.6, grade_frac: 0.08 };
    Hill { name: "bank".into(), length_m: 5200.0, climb }
}

/// A car compared with itself does not move.
fn compared(name: &str, subject: &Subject, cycles: &[Cycle], supplies: &[Supply]) {
    let asked = CompareAsked {
        cycles: cycles.to_vec(),
        days: subject.days.iter().map(|day| day.name().to_string()).collect(),
        charge_frac: (0.1, 0.9),
    };
    let numbers = numbers(subject, supplies, &asked);
    // What is never reached is infinite until it is put into words; not a number it must not be.
    let odd = numbers.iter().find(|(_, value)| value.is_some_and(f64::is_nan));
    assert!(odd.is_none(), "{name}: compare: {odd:?}");
    let mut answer = CompareAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        first: "one".into(),
        second: "other".into(),
        answers: moves(&numbers, &numbers, &[], subject.units),
        ..CompareAnswer::default()
    };
    answer.plain = answer.plain_line();
    look(&format!("{name}: compare"), &answer, &answer.sheet().text());
}

/// Fields, JSON and words without a number that is none. JSON writes such a number as null, so it is
/// looked for before it gets there.
fn look(name: &str, answer: &(impl Serialize + std::fmt::Debug), text: &str) {
    let fields = format!("{answer:?}");
    for (what, text) in [("fields", fields.as_str()), ("words", text)] {
        if let Some((place, word)) = words(text).find(|(_, word)| is_odd(word)) {
            // Debug text and words are ASCII but for units: a cut within one moves to its end.
            let from = text.ceil_char_boundary(place.saturating_sub(160));
            panic!("{name}: {word} in the {what}, after `{}`", &text[from..place]);
        }
    }
    as_json(name, answer);
}

/// An answer is written in both systems of units.
fn as_json(name: &str, answer: &impl Serialize) {
    for units in [Units::Metric, Units::Us] {
        json::text(answer, units).unwrap_or_else(|why| panic!("{name}: {why}"));
    }
}

fn is_odd(word: &str) -> bool {
    matches!(word, "NaN" | "inf")
}

/// Runs of letters and digits with their places.
fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let parts = text.split(|c: char| !c.is_alphanumeric());
    parts.map(move |part| (part.as_ptr() as usize - text.as_ptr() as usize, part))
}

/// Every run to the end: its balance closes, and nothing left the pack that was not in it.
fn assert_balances(name: &str, car: &CarSpec, days: &[DaySpec], cycles: &[Cycle]) {
    for day in days {
        for cycle in cycles {
            let name = format!("{name}: {} on a {} day", cycle.name(), day.name);
            assert_balance(&name, &to_the_end(car, day, cycle));
        }
    }
}

/// A run to the end.
pub(super) fn to_the_end(car: &CarSpec, day: &DaySpec, cycle: &Cycle) -> RangeRun {
    drive_to_the_end(&Car::new(car).unwrap(), &Day::new(day).unwrap(), cycle)
}

/// The balance of a run closes. On a road that only falls, the height is thousands of times what
/// passes through the pack, and rounding is a share of the height.
pub(super) fn assert_balance(name: &str, run: &RangeRun) {
    let scale_j = run.balance.scale_j().max(run.balance.sum.climbing_j.abs());
    let missing_j = run.balance.imbalance_j();
    assert_close!(missing_j, 0.0, abs = CLOSED_REL * scale_j, rel = 0.0, "{name}");
    assert!(run.distance_m >= 0.0 && run.duration_s > 0.0, "{name}: {run:?}");
}
