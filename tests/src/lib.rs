//! Whole-program tests and published checks live in `tests/tests/`, one file per subject; what they and
//! the programs in `src/bin` share is here.

pub mod browser;
pub mod certification;
pub mod score;
pub mod trips;

/// The program of the front page, run as a test of the documentation.
#[cfg(doctest)]
#[doc = include_str!("../../README.md")]
pub struct FrontPage;
