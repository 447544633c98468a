//! Sweeps as people write them: the demos, how options are made, and what is refused.

mod bad_choices;
mod bad_sweeps;
mod bad_values;
mod bench;
mod demos;
mod options;
mod rubbish;
