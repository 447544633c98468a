//! A build with its tables; what is accepted is weighed, pulls and drives twelve seconds.

#![no_main]

use std::sync::LazyLock;

use crownwheel_files::build;
use crownwheel_fuzz::room::Room;
use crownwheel_fuzz::{check_report, check_spread, short_cycle, use_car};
use libfuzzer_sys::fuzz_target;

static ROOM: LazyLock<Room> = LazyLock::new(|| Room::new("build"));

fuzz_target!(|input: &[u8]| {
    ROOM.lay("build.toml", input);
    match build::load(ROOM.path(), &[]) {
        Ok(build) => {
            for (key, spread) in &build.spreads {
                check_spread(key, spread);
            }
            use_car(&build.car, &build.days, &short_cycle());
        }
        // A file that is no text at all has no lines to name.
        Err(report) if std::str::from_utf8(input).is_ok_and(|text| !text.contains('\0')) => {
            check_report(&report);
        }
        Err(report) => assert!(!report.is_empty() && !report.to_string().is_empty()),
    }
});
