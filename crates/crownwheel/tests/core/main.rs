//! The physics from outside, as one program: it is compiled once.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

mod model;
mod ranges;
mod side_by_side;
#[cfg(feature = "serde")]
mod written_down;
