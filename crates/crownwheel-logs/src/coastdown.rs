//! Coast-downs: from logs to runs, from runs to road load.
//!
//! 1. [`segments`]: stretches of a log in which speed falls, one or many in a file;
//! 2. [`directions`]: which way each went;
//! 3. [`judge`]: braking and driving are found against what all runs have in common; ends are
//!    trimmed, runs that cannot bear a fit are refused with the reason;
//! 4. [`conditions`]: mass, weather, gradient and wind, as far as they are known;
//! 5. [`crate::fit`] on the speed-time curves, free and with the linear part tied to 0;
//! 6. [`answer`]: coefficients, bands, what the runs cannot tell apart.

pub mod answer;
pub mod conditions;
pub mod directions;
pub mod judge;
pub mod segments;
mod words;

pub use answer::coast_down;
pub use conditions::{Conditions, UncertainValue, Wind};

/// Runs that are looked at, at most: a hundred more would narrow nothing and take minutes.
pub const MOST_RUNS: usize = 64;
