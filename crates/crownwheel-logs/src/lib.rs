//! Trips and runs as people record them: repair, segments, comparison with a build.
//!
//! [`read::read_log`] reads what phones, loggers and battery monitors write (CSV, GPX 1.0 and 1.1)
//! into a [`Log`] of columns in SI, and counts every repair. Times are never invented: a file
//! without them is a route.

pub mod audit;
pub mod coastdown;
pub mod fit;
pub mod geodesy;
pub mod least_squares;
pub mod log;
pub mod read;
pub mod repairs;
pub mod trip;

pub use log::{Log, Part};
pub use read::{LogError, ReadOptions, read_log, read_log_piped, read_log_watched};
pub use repairs::{Repair, RepairKind, Repairs};
