//! Published checks, closed forms, properties and whole runs, one file per subject.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]
#![allow(clippy::disallowed_methods, reason = "the system's functions are another road than ours")]

mod broken_input;
mod certification;
mod closed_forms;
mod coast_down;
mod common_practice;
mod demo;
mod demo_answers;
mod demo_runs;
mod edges;
mod fitted;
mod fixture;
mod gearbox;
mod motor_heat;
mod motor_torque;
mod normal;
mod pack_limits;
mod properties;
mod published;
mod run;
mod second_road;
mod smooth;
mod threads;
mod weather;
