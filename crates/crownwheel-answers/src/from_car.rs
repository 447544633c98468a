//! From a car to answers: runs the model and puts its numbers into the answers' units.

#[cfg(test)]
mod bench;
mod brakes;
mod charge;
mod check;
mod compare;
mod concerns;
mod days;
mod driveline;
mod explain;
mod gauges;
mod pull;
mod range;
mod routes;
mod springs;
mod trace;
mod weigh;

pub use crate::hills::Hill;
pub use charge::{ChargeAsked, charge};
pub use check::check;
pub use compare::{CompareAsked, Number, moves, numbers};
pub use concerns::concerns;
pub use explain::{ExplainAsked, explain, explain_question, explained, explained_in_report};
pub use gauges::{SpeedometerSource, gauges};
pub use pull::{pull, pull_at};
pub(crate) use range::windows;
pub use range::{AskedTrip, RangeRequest, middle_world, range, range_alone};
pub use routes::AskedRoute;
pub use trace::{cycle_trace, motor_curves};
pub use weigh::weigh;

use crownwheel::constants::JOULE_PER_WH;
use crownwheel::constants::KMH_PER_MPS;
use crownwheel::{Car, Day};

use crate::{Assumption, LineToAdd, Provenance, Units, Warning};

/// A car with its days and what the answers say about where everything came from.
#[derive(Clone, Debug)]
pub struct Subject {
    /// The car.
    pub car: Car,
    /// Days, the first is the usual one; at least one.
    pub days: Vec<Day>,
    /// Program and inputs.
    pub provenance: Provenance,
    /// Every default that was used.
    pub assumed: Vec<Assumption>,
    /// How tables were read, and the like.
    pub notes: Vec<String>,
    /// What a person should look at, of what was read.
    pub warnings: Vec<Warning>,
    /// Lines that would narrow the answers most.
    pub lines_to_add: Vec<LineToAdd>,
    /// Units that the answers are shown in.
    pub units: Units,
}

/// Something that a person should look at.
fn warning(code: &str, text: String) -> Warning {
    Warning { code: code.to_owned(), text }
}

/// Revolutions per minute.
pub(crate) fn rpm(radps: f64) -> f64 {
    radps * 30.0 / std::f64::consts::PI
}

/// Kilometres per hour.
pub(crate) fn kmh(mps: f64) -> f64 {
    mps * KMH_PER_MPS
}

/// Watt-hours per kilometre; not a number when nothing was driven, which is null in JSON.
fn wh_per_km(joules: f64, metres: f64) -> f64 {
    if metres > 0.0 { joules / JOULE_PER_WH / (metres / 1000.0) } else { f64::NAN }
}
