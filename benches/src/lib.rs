//! Benchmarks of the model against a bare kernel of like arithmetic.

pub mod bare;
pub mod demo;
pub mod machine;
pub mod options;
pub mod rate;
pub mod sides;
pub mod worlds;
