//! Size marks of tyres.

#![no_main]

use crownwheel_files::tyre_mark;
use crownwheel_fuzz::check_finite;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    match tyre_mark::parse(text) {
        Ok(read) => {
            let mark = read.mark;
            check_finite("a tyre", &[mark.section_width_m, mark.aspect_frac, mark.rim_diameter_m]);
            assert!(mark.section_width_m > 0.0 && mark.rim_diameter_m > 0.0);
        }
        Err(error) => {
            assert!(!error.to_string().is_empty());
            // What is offered in its place must itself be a mark.
            if let Some(meant) = tyre_mark::nearest(text) {
                tyre_mark::parse(&meant).unwrap_or_else(|error| panic!("{meant}: {error}"));
            }
        }
    }
});
