//! Published checks, closed forms, properties and whole runs, one file per subject.
#![allow(clippy::missing_panics_doc, reason = "tests panic to fail")]

mod closed_forms;
mod demo;
mod demo_runs;
mod fixture;
mod published;
mod run;
