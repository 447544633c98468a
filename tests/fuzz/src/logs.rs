//! What must hold for a log that was read, and for what is made of it.

use crownwheel_logs::log::{Clock, Log, Quantity};
use crownwheel_logs::read::read_log_from;
use crownwheel_logs::trip::{CycleAxis, Trip, route, trip};
use crownwheel_logs::{LogError, ReadOptions};

use crate::check_finite;

/// Rows that are kept: small, so that thinning is reached.
const MOST_ROWS: usize = 400;

/// Of so many logs one is made a trip.
const TRIPS: usize = 8;

/// Reads a log, and makes a trip and a cycle of it where there is one in it.
pub fn check(name: &str, input: &[u8], options: &ReadOptions) {
    let Some(log) = read(name, input, options) else { return };
    // A trip takes a hundred times as long as reading; this target is about reading.
    if input.len() % TRIPS != 0 {
        return;
    }
    let made = if options.as_route { route(&log, 15.0) } else { trip(&log) };
    match made {
        Ok(made) => check_trip(&made),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// Reads a log and checks it. `None`: it was refused, and the words say why.
pub fn read(name: &str, input: &[u8], options: &ReadOptions) -> Option<Log> {
    let options = ReadOptions { most_rows: MOST_ROWS, ..*options };
    match read_log_from(name, input, &options) {
        Ok(log) => {
            check_log(&log);
            Some(log)
        }
        Err(error) => {
            check_error(name, &error);
            None
        }
    }
}

fn check_error(name: &str, error: &LogError) {
    let words = error.to_string();
    assert!(words.contains(name) && words.contains("help"), "{words}");
    assert!(!error.hint().is_empty());
}

fn check_log(log: &Log) {
    assert!(!log.is_empty() && log.len() <= MOST_ROWS && log.line.len() == log.len());
    let mut next = 0;
    for part in &log.parts {
        assert_eq!(part.rows.start, next, "parts follow each other");
        next = part.rows.end;
        let times = &log.time_s[part.rows.clone()];
        check_finite("time", times);
        let rises = times.windows(2).all(|pair| pair[0] < pair[1]);
        assert!(rises || log.clock == Clock::None);
    }
    assert_eq!(next, log.len());
    for quantity in Quantity::ALL {
        if let Some(column) = log.column(quantity) {
            assert_eq!(column.len(), log.len());
            assert!(column.iter().all(|value| !value.is_infinite()), "{quantity:?}");
        }
    }
}

fn check_trip(made: &Trip) {
    for column in [&made.time_s, &made.distance_m, &made.speed_mps] {
        check_finite("a trip", column);
        assert_eq!(column.len(), made.time_s.len());
    }
    assert!(made.time_s.windows(2).all(|pair| pair[0] < pair[1]));
    // A log may claim 900 km/h; then the words say so.
    let cycle = match made.cycle() {
        Ok(cycle) => cycle,
        Err(error) => return assert!(error.to_string().contains("cannot be driven"), "{error}"),
    };
    check_finite("a cycle", &[cycle.distance_m(), cycle.duration_s(), cycle.climb_m()]);
    for along in [CycleAxis::Time, CycleAxis::Distance] {
        crownwheel_files::cycle_file::parse("trip.csv", "trip", &made.cycle_csv(along))
            .unwrap_or_else(|report| panic!("what is written can be read: {report}"));
    }
}
