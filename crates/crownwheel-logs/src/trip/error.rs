//! Why a log is no trip.

use std::fmt;

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::cycle::{CycleError, CycleProblem, FASTEST_MPS};

/// A log that cannot be made a trip.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TripError {
    /// Too few rows with a speed or a fix.
    TooFewRows {
        /// File.
        file: String,
        /// Rows that can be used.
        rows: usize,
    },
    /// The car hardly moved.
    TooShort {
        /// File.
        file: String,
        /// Way, m.
        distance_m: f64,
    },
    /// A route needs fixes.
    NoFixes {
        /// File.
        file: String,
    },
    /// A speed for a route that no car drives.
    SpeedOutOfRange {
        /// Speed, m/s.
        speed_mps: f64,
    },
    /// The core refuses the cycle.
    NotDrivable {
        /// File.
        file: String,
        /// Time after the start of the trip, s.
        time_s: f64,
        /// Its words.
        error: CycleError,
    },
}

impl fmt::Display for TripError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewRows { file, rows } => write!(
                f,
                "the log `{file}` is no trip: only {rows} of its rows have a speed or a fix; at least {} are wanted",
                super::FEWEST_ROWS
            ),
            Self::TooShort { file, distance_m } => write!(
                f,
                "the log `{file}` is no trip: the car moves {distance_m:.0} m in it; at least {:.0} m are wanted",
                super::SHORTEST_TRIP_M
            ),
            Self::NoFixes { file } => write!(
                f,
                "the log `{file}` is no route: it has no latitude and longitude; a log with a speed and times needs no --speed"
            ),
            Self::SpeedOutOfRange { speed_mps } => write!(
                f,
                "no route is driven at {:.0} km/h: give --speed between 5 km/h and 250 km/h, for example --speed \"60 km/h\"",
                speed_mps * KMH_PER_MPS
            ),
            Self::NotDrivable { file, time_s, error } => {
                write!(f, "the trip of `{file}` cannot be driven: {time_s:.0} s after its start ")?;
                not_drivable(f, &error.problem)
            }
        }
    }
}

/// The core's refusal in the words of a log, with a way out.
fn not_drivable(f: &mut fmt::Formatter<'_>, problem: &CycleProblem) -> fmt::Result {
    let kmh = |mps: f64| mps * KMH_PER_MPS;
    match *problem {
        CycleProblem::SpeedOutOfRange { speed_mps } => write!(
            f,
            "the speed is {:.0} km/h, and 0 to {:.0} km/h is allowed; look at the unit in the heading of the speed, or say it with --speed-unit",
            kmh(speed_mps),
            kmh(FASTEST_MPS)
        ),
        CycleProblem::TooLong => f.write_str(
            "it is longer than three weeks; look at the unit of the time, and for jumps of the clock",
        ),
        ref other => write!(f, "{other}; cut the log before or behind it"),
    }
}

impl std::error::Error for TripError {}
