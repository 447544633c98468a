//! What the targets share: a limit on memory, files from one input, and what must hold for whatever a
//! reader gives back.

pub mod logs;
mod memory;
pub mod room;

use crownwheel::cycle::{Cycle, Samples};
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::pull::Throttle;
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::weights::{LoadCase, loaded};
use crownwheel::{Car, Day};
use crownwheel_files::Report;
use crownwheel_files::quantity::{Spread, SpreadKind};

/// Every problem names its line and column, says what is wrong, and can be shown.
pub fn check_report(report: &Report) {
    assert!(!report.is_empty(), "a report of nothing");
    for problem in report.problems() {
        assert!(problem.line > 0 && problem.column > 0, "no place: {problem:?}");
        assert!(!problem.what.is_empty(), "nothing is said: {problem:?}");
        assert!(!problem.allowed.is_empty() || !problem.hint.is_empty(), "no way out: {problem:?}");
    }
    // Drawing takes longer than reading, and the others are drawn alike.
    let last = &report.problems()[report.problems().len() - 1];
    let shown = last.render(false);
    assert!(shown.contains(&format!(":{}:{}", last.line, last.column)), "{shown}");
    assert!(!shown.contains('\u{1b}'), "an escape gets through: {shown:?}");
}

/// All numbers are finite.
pub fn check_finite(what: &str, numbers: &[f64]) {
    for number in numbers {
        assert!(number.is_finite(), "{what}: {number}");
    }
}

/// A value and its band are finite, and the band is not turned round.
pub fn check_spread(what: &str, spread: &Spread) {
    check_finite(what, &[spread.nominal]);
    match spread.kind {
        SpreadKind::Uniform { low, high } => {
            check_finite(what, &[low, high]);
            assert!(low <= high, "{what}: {low} .. {high}");
        }
        SpreadKind::Normal { half_width_95 } => {
            check_finite(what, &[half_width_95]);
            assert!(half_width_95 >= 0.0, "{what}: ± {half_width_95}");
        }
        SpreadKind::Exact => {}
    }
}

/// A car that was accepted can be weighed, pulls and drives: nothing is left that can fail.
pub fn use_car(spec: &CarSpec, days: &[DaySpec], cycle: &Cycle) {
    let car = Car::new(spec).expect("a build that was read makes a car");
    for case in LoadCase::ALL {
        let weight = loaded(&spec.weights, &spec.pack, case).corners;
        check_finite("a wheel's load", &[weight.front_axle_kg(), weight.rear_axle_kg()]);
    }
    for day in days {
        let day = Day::new(day).expect("a day that was read is a day");
        let throttle = Throttle::new(&car, &day, spec.pack.usable_to_frac);
        if let Some(row) = throttle.row(10.0) {
            check_finite("pull", &[row.pull_n, row.road_load_n, Throttle::acceleration_mps2(&row)]);
        }
        let mut state = start_state(&car, &day, cycle);
        drive(&mut Driver::new(&car, &day), cycle, &mut state, |done| {
            check_finite("a step", &[done.step.distance_m, done.step.state.speed_mps]);
            check_finite("charge", &[done.step.state.charge_frac, done.step.state.heat_used]);
            true
        });
    }
}

/// A start, a steady drive and a stop in twelve seconds.
pub fn short_cycle() -> Cycle {
    let samples = Samples::ByTime {
        time_s: vec![0.0, 1.0, 5.0, 8.0, 11.0, 12.0],
        speed_mps: vec![0.0, 1.0, 14.0, 14.0, 0.0, 0.0],
        grade: crownwheel::cycle::Grade::Frac(vec![0.0, 0.0, 0.0, 0.03, -0.02, 0.0]),
    };
    Cycle::new("short", &samples).expect("it can be driven")
}
