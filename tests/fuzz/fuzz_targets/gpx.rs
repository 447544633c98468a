//! A track as GPX, read with its times and as a route without them.

#![no_main]

use crownwheel_logs::ReadOptions;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|input: &[u8]| {
    // What does not start as XML goes to the other reader, which has its own target.
    if input.trim_ascii_start().first() == Some(&b'<') {
        let as_route = input.len() % 4 == 3;
        let options = ReadOptions { as_route, ..ReadOptions::default() };
        crownwheel_fuzz::logs::check("track.gpx", input, &options);
    }
});
