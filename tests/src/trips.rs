//! Measured trips of a car against its builds: how far predictions lie off, and how many trips a band holds.

pub mod audits;
pub mod log;
pub mod predict;
pub mod score;
