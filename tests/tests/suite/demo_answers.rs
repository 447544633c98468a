//! The demos through the answers of `check`, `weigh` and `range`; and the van in US units against the
//! same van in metric.

use crownwheel::cycle::Cycle;
use crownwheel_answers::Units;
use crownwheel_answers::from_car::{RangeRequest, Subject, check, range, weigh};
use crownwheel_testkit::difference_too_large;
use serde_json::Value;

use crate::demo::{DEMOS, Demo, GODWIT, GODWIT_METRIC};
use crate::fixture;

/// Relative allowance between two ways to write the same number.
const SAME_REL: f64 = 1e-9;

/// Numbers smaller than this are what rounding leaves of a difference, in any unit of an answer.
const ROUNDING_ABS: f64 = 1e-9;

fn subject(demo: Demo, units: Units) -> Subject {
    let build = demo.build();
    Subject { units, ..fixture::subject(&build.car, &build.days).unwrap() }
}

/// The town cycle and the demo's own, on every day, and three steady speeds.
fn asked(demo: Demo, subject: &Subject) -> RangeRequest {
    let mut cycles = vec![Cycle::builtin("udds").unwrap()];
    cycles.extend(demo.own_cycles());
    RangeRequest {
        cycles,
        days: (0..subject.days.len()).collect(),
        steady_kmh: vec![40.0, 60.0, 80.0],
        ..RangeRequest::default()
    }
}

/// The three answers of a demo as JSON, by name.
fn answers(demo: Demo, units: Units) -> [(&'static str, Value); 3] {
    let subject = subject(demo, units);
    let asked = asked(demo, &subject);
    [
        ("check", serde_json::to_value(check(&subject)).unwrap()),
        ("weigh", serde_json::to_value(weigh(&subject)).unwrap()),
        ("range", serde_json::to_value(range(&subject, &asked)).unwrap()),
    ]
}

/// Calls `see` with every leaf of a JSON value and the path to it.
fn leaves<'a>(path: &str, value: &'a Value, see: &mut impl FnMut(String, &'a Value)) {
    match value {
        Value::Array(items) => {
            for (place, item) in items.iter().enumerate() {
                leaves(&format!("{path}[{place}]"), item, see);
            }
        }
        Value::Object(fields) => {
            for (name, field) in fields {
                leaves(&format!("{path}.{name}"), field, see);
            }
        }
        leaf => see(path.to_owned(), leaf),
    }
}

fn all_leaves<'a>(name: &str, value: &'a Value) -> Vec<(String, &'a Value)> {
    let mut all = Vec::new();
    leaves(name, value, &mut |path, leaf| all.push((path, leaf)));
    all
}

/// Asserts that two answers have the same fields, and the same in each; numbers within rounding.
/// Returns how many numbers were compared.
fn assert_same(name: &str, one: &Value, other: &Value) -> usize {
    let (one, other) = (all_leaves(name, one), all_leaves(name, other));
    assert_eq!(one.len(), other.len(), "{name} has the same fields");
    let mut numbers = 0;
    for ((path, left), (other_path, right)) in one.into_iter().zip(other) {
        assert_eq!(path, other_path);
        if let (Some(left), Some(right)) = (left.as_f64(), right.as_f64()) {
            numbers += 1;
            let why = difference_too_large(left, right, ROUNDING_ABS, SAME_REL);
            assert!(why.is_none(), "{path}: {}", why.unwrap_or_default());
        } else {
            assert_eq!(left, right, "{path}");
        }
    }
    numbers
}

/// Every answer has its numbers, and none of them was lost on the way to JSON.
#[test]
fn every_demo_is_checked_weighed_and_driven() {
    for demo in DEMOS {
        for (name, answer) in answers(demo, Units::Metric) {
            let leaves = all_leaves(name, &answer);
            let numbers = leaves.iter().filter(|(_, leaf)| leaf.is_number()).count();
            assert!(numbers > 10, "{demo:?} {name}: {numbers} numbers");
            assert!(!answer["plain"].as_str().unwrap().is_empty(), "{demo:?} {name}");
        }
        let (_, driven) = &answers(demo, Units::Metric)[2];
        for result in driven["results"].as_array().unwrap() {
            assert!(result["range_km"]["nominal"].as_f64().unwrap() > 5.0, "{demo:?}: {result}");
            assert!(result["use_wh_per_km"].as_f64().unwrap() > 30.0, "{demo:?}: {result}");
        }
    }
}

/// Which unit a build is written in changes no answer: every number of the van in pounds, inches,
/// miles and °F is that of the van in metric, and every sentence is the same.
#[test]
fn the_van_in_us_units_is_the_van_in_metric() {
    for units in [Units::Metric, Units::Us] {
        for ((name, us), (_, metric)) in
            answers(GODWIT, units).into_iter().zip(answers(GODWIT_METRIC, units))
        {
            let numbers = assert_same(name, &us, &metric);
            assert!(numbers > 10, "{name}: {numbers} numbers");
        }
    }
}

/// Units of the answers change what is shown, never what was computed.
#[test]
fn answers_hold_the_same_numbers_whatever_units_they_are_shown_in() {
    for demo in DEMOS {
        for ((name, metric), (_, us)) in
            answers(demo, Units::Metric).into_iter().zip(answers(demo, Units::Us))
        {
            // Miles per gallon are for those who think in them, and the speeds at which gears are
            // shown are round in the units that are asked for.
            let is_number = |(path, leaf): &(String, &Value)| {
                let by_unit = path.ends_with(".equivalent_mpg") || path.contains(".gears[");
                leaf.is_number() && !by_unit
            };
            let metric = all_leaves(name, &metric);
            let us = all_leaves(name, &us);
            let metric: Vec<_> = metric.iter().filter(|leaf| is_number(leaf)).collect();
            let us: Vec<_> = us.iter().filter(|leaf| is_number(leaf)).collect();
            assert_eq!(metric, us, "{demo:?} {name}");
        }
    }
}
