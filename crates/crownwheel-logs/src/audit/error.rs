//! Why a log cannot be compared with a build.

use std::fmt;

use crownwheel::spec::SpecError;

use crate::trip::TripError;

/// A log that cannot bear an audit.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum AuditError {
    /// It is no trip.
    Trip(TripError),
    /// It lacks volts or amperes.
    NoColumn {
        /// File.
        file: String,
        /// What is missing.
        what: &'static str,
        /// A heading for it.
        example: &'static str,
    },
    /// Too little of it has volts and amperes.
    Gappy {
        /// File.
        file: String,
        /// Share of the time with readings, 0..1.
        share: f64,
    },
    /// Too short to judge.
    TooShort {
        /// File.
        file: String,
        /// Way with readings, m.
        distance_m: f64,
        /// Time with readings, s.
        seconds: f64,
        /// Energy that left the pack, J.
        out_j: f64,
    },
    /// The core refuses the car or the day.
    Refused(SpecError),
    /// The sums went astray.
    Astray,
}

/// Shortest way that can be judged, m.
pub(super) const SHORTEST_M: f64 = 3000.0;
/// Shortest time that can be judged, s.
pub(super) const SHORTEST_S: f64 = 300.0;
/// Least energy that can be judged, J (0.2 kWh).
pub(super) const LEAST_J: f64 = 0.72e6;
/// Least share of the time with readings.
pub(super) const LEAST_SHARE: f64 = 0.5;

impl fmt::Display for AuditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Trip(error) => write!(f, "{error}"),
            Self::NoColumn { file, what, example } => write!(
                f,
                "the log `{file}` has no {what}: an audit needs speed, pack volts and pack amperes in one log; write the heading as {example}"
            ),
            Self::Gappy { file, share } => write!(
                f,
                "the log `{file}` cannot be judged: only {:.0} % of its time has volts and amperes, at least {:.0} % is wanted",
                100.0 * share,
                100.0 * LEAST_SHARE
            ),
            Self::TooShort { file, distance_m, seconds, out_j } => write!(
                f,
                "the log `{file}` is too short to judge: {:.1} km, {:.0} s and {:.2} kWh with readings; at least {:.0} km, {SHORTEST_S:.0} s and {:.1} kWh are wanted",
                distance_m / 1000.0,
                seconds,
                out_j / 3.6e6,
                SHORTEST_M / 1000.0,
                LEAST_J / 3.6e6
            ),
            Self::Refused(error) => write!(f, "{error}"),
            Self::Astray => f.write_str("the comparison gave no finite numbers"),
        }
    }
}

impl std::error::Error for AuditError {}

impl From<TripError> for AuditError {
    fn from(error: TripError) -> Self {
        Self::Trip(error)
    }
}

impl From<SpecError> for AuditError {
    fn from(error: SpecError) -> Self {
        Self::Refused(error)
    }
}
