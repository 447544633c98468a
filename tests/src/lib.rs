//! Whole-program tests and published checks live in `tests/tests/`, one file per subject; what they and
//! the programs in `src/bin` share is here.

pub mod browser;
pub mod certification;
