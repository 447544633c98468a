//! A sweep over a build that is sound; the first and the last option are made and used.

#![no_main]

use std::sync::LazyLock;

use crownwheel_files::load_sweep;
use crownwheel_fuzz::room::Room;
use crownwheel_fuzz::{check_report, short_cycle, use_car};
use libfuzzer_sys::fuzz_target;

/// The demo's own build: a sweep of a build that is refused would say nothing about sweeps.
static ROOM: LazyLock<Room> = LazyLock::new(|| {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin");
    let room = Room::new("sweep");
    for name in ["build.toml", "motor-curve.csv", "motor-losses.csv", "moor-round.csv"] {
        room.write(name, &std::fs::read(demo.join(name)).expect("the demo is there"));
    }
    room
});

fuzz_target!(|input: &[u8]| {
    ROOM.write("sweep.toml", input);
    match load_sweep(ROOM.path(), &[]) {
        Ok(sweep) => {
            assert!(!sweep.space.is_empty());
            for index in [0, sweep.space.len() - 1] {
                let option = sweep.space.option(index).expect("it is one of them");
                if let Ok(model) = option.model {
                    use_car(&model.car, &sweep.build.days[..1], &short_cycle());
                }
            }
        }
        Err(report) if std::str::from_utf8(input).is_ok_and(|text| !text.contains('\0')) => {
            check_report(&report);
        }
        Err(report) => assert!(!report.is_empty() && !report.to_string().is_empty()),
    }
});
