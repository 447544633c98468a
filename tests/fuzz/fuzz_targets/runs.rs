//! A log with coasting runs: read, judged, and fitted where a run bears it.

#![no_main]

use crownwheel_fuzz::{check_finite, logs};
use crownwheel_logs::ReadOptions;
use crownwheel_logs::coastdown::conditions::UncertainValue;
use crownwheel_logs::coastdown::{Conditions, coast_down};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &[u8]| {
    let Some(log) = logs::read("runs.csv", input, &ReadOptions::default()) else { return };
    let about = |value: f64, sd: f64| UncertainValue { value, sd };
    let conditions = Conditions {
        mass_kg: about(905.0, 5.0),
        rotating_kg: about(30.0, 3.0),
        temperature_k: about(284.15, 1.0),
        pressure_pa: about(101_325.0, 200.0),
        ..Conditions::default()
    };
    let answer = coast_down(&[log], &conditions);
    assert!(!answer.plain.is_empty());
    if let Some(f0_n) = answer.f0_n {
        check_finite("f0", &[f0_n]);
    }
});
