//! Something that a person should look at.

use serde::Serialize;

/// Something that a person should look at; the answer stands all the same.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// Short name for programs, `rear_axle_over_plate`.
    pub code: String,
    /// One sentence for people.
    pub text: String,
}
