//! Benchmarks of the model against a bare kernel of like arithmetic.

pub mod bare;
pub mod rate;
