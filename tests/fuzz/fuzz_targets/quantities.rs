//! Numbers with units and spreads, limits of supplies, winds, and voltages at a speed.

#![no_main]

use crownwheel_files::units;
use crownwheel_files::{quantity, wind};
use crownwheel_fuzz::{check_finite, check_spread};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &[u8]| {
    // The first byte chooses what is measured.
    let [choice, text @ ..] = input else { return };
    let Ok(text) = std::str::from_utf8(text) else { return };
    let all: Vec<_> = units::all().collect();
    let dimension = all[usize::from(*choice) % all.len()].dimension;
    match quantity::parse(text, dimension) {
        Ok(spread) => check_spread(text, &spread),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
    // Any unit that is offered in place of an unknown one must be known.
    if let Some(meant) = units::nearest(text, dimension) {
        assert!(units::find(meant).is_some(), "{meant}");
    }
    match quantity::parse_power_limit(text) {
        Ok(power_w) => check_finite(text, &[power_w]),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
    match quantity::parse_voltage_at_speed(text) {
        Ok(per_radps) => check_finite(text, &[per_radps]),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
    if let Ok(Some(speed)) = wind::parse(text).map(|wind| wind.speed_mps()) {
        check_spread(text, &speed);
    }
});
