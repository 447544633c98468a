//! Answers from outside, as one program: it is compiled once.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

mod fixture;
mod from_car;
mod pulling;
mod renderings;
mod same_words;
mod subjects;
mod sweep;
mod us_units;
