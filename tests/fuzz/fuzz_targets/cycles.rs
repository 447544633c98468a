//! A cycle file; what is accepted and short is driven once.

#![no_main]

use std::sync::LazyLock;

use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::{Car, Day, example};
use crownwheel_files::cycle_file;
use crownwheel_fuzz::{check_finite, check_report};
use libfuzzer_sys::fuzz_target;

/// Legs that are driven: a longer cycle holds nothing new.
const MOST_LEGS: usize = 300;

static CAR: LazyLock<(Car, Day)> = LazyLock::new(|| {
    let car = Car::new(&example::small_saloon()).expect("the example is a car");
    (car, Day::new(&example::mild_day()).expect("the example is a day"))
});

fuzz_target!(|text: &str| {
    match cycle_file::parse("cycle.csv", "cycle", text) {
        Ok((cycle, _)) => {
            let sums = [cycle.distance_m(), cycle.duration_s(), cycle.climb_m()];
            check_finite("a cycle", &sums);
            assert!(!cycle.legs().is_empty() && cycle.distance_m() > 0.0);
            if cycle.legs().len() <= MOST_LEGS {
                let (car, day) = &*CAR;
                let mut state = start_state(car, day, &cycle);
                drive(&mut Driver::new(car, day), &cycle, &mut state, |done| {
                    let after = done.step.state;
                    check_finite("a step", &[after.speed_mps, after.charge_frac, after.heat_used]);
                    after.charge_frac > 0.0
                });
            }
        }
        Err(report) => check_report(&report),
    }
});
