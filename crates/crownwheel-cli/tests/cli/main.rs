//! The command line as a person uses it: one file for each thing that is asked of it.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

mod bands;
mod bench;
mod check;
mod coastdown;
mod explore;
mod explore_bounds;
#[cfg(unix)]
mod help;
#[cfg(unix)]
mod hostile;
mod keys;
mod library;
mod licences;
mod logs;
mod odd_input;
mod page;
mod pipes;
mod routes;
#[cfg(unix)]
mod shells;
mod side_by_side;
mod since;
mod sweep;
mod titles;
mod whole_program;
