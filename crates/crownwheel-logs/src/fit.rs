//! Road load from speeds of coasting cars: the fit, its noise and its bands.
//!
//! The measured speeds of all runs are compared with the speed-time curves of one set of
//! coefficients ([`crownwheel::coastdown::curve`]); nothing is differentiated. Every run has a first
//! speed of its own. Gradient and wind along the road are fitted with the rest as far as they are
//! not known: they act against one direction and with the other.
//!
//! What bands are made from:
//! * **noise within a run** ([`noise`]): a white part and a part with memory, as phones have, whose
//!   sizes and memory are found by restricted maximum likelihood; nothing is taken for white that is
//!   not;
//! * **scatter between runs** ([`scatter`]): gusts and gear oil make runs differ by more than the
//!   noise within them. When they do, what they differ by is estimated and widens the bands.

pub mod noise;
mod problem;
mod reml;
pub mod scatter;
mod solve;

pub use noise::Noise;
pub use problem::{Belief, Question, Run, RunFacts};
pub use solve::{Estimate, RoadLoadFit, RunFit, fit};
