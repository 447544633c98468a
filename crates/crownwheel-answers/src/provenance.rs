//! Where an answer comes from: program, inputs, and what was assumed on the way.

use serde::Serialize;

/// Which program made an answer from which inputs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Provenance {
    /// Version of the program, `0.1.0`.
    pub program_version: String,
    /// Hash of everything that was read, hexadecimal.
    pub inputs_hash: String,
    /// Seed of the random draws. `None`: nothing was drawn.
    pub seed: Option<u64>,
}

/// A value that the build does not give.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Assumption {
    /// Path of the key in a build file.
    pub key: String,
    /// Value with its unit, as a build would write it.
    pub value: String,
    /// How unsure the value is, as a build would write it (`± 8 %`). `None`: taken as certain.
    pub band: Option<String>,
    /// Who says so.
    pub source: String,
    /// Which answers depend on it, in a few words.
    pub matters: Option<String>,
    /// How to find the value of one's own car.
    pub find_out: Option<String>,
    /// The table of the build that `instead` stands in.
    pub table: Option<String>,
    /// The line to write instead of assuming it. `None`: it was worked out from other keys, so change
    /// those; or it is no key.
    pub instead: Option<String>,
}
