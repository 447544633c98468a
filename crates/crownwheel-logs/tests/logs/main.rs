//! Logs from outside, as one program: it is compiled once.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

mod audits;
mod coast_down_bands;
mod corpus;
mod mutations;
mod reading;
mod trips;
