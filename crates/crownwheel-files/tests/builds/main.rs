//! Builds as people write them: the demo, what is assumed, and what is refused.

mod assumed;
mod bad_builds;
mod bench;
mod demo;
mod knobs;
mod rubbish;
