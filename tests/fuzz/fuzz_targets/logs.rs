//! A log as CSV; what is read becomes a trip, and the trip a cycle.

#![no_main]

use crownwheel_logs::ReadOptions;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &[u8]| {
    crownwheel_fuzz::logs::check("log.csv", input, &ReadOptions::default());
});
