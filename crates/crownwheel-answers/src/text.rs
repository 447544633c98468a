//! The answer as a terminal shows it: the plain answer first, then a short table, then what was
//! assumed and from where, then warnings and cautions.
//!
//! Text from a build may hold anything; control characters are shown as `�`, so that a name cannot
//! move the cursor or colour the screen.

mod answers;
mod check;
mod coasting;
mod compare;
mod explain;
mod layout;
mod pulling;
mod sweep;
mod trips;
mod world;

pub use crownwheel_quantities::text::{clean, clean_lines, is_hidden, shown_path};

pub use answers::{range_text, weigh_text};
pub use check::check_text;
pub use coasting::coast_down_text;
pub use compare::compare_text;
pub use explain::explain_text;
pub use layout::{grid_text, sentence, sentence_after, within, wrapped};
pub use pulling::{charge_text, gauges_text, pull_text};
pub use sweep::sweep_text;
pub use trips::{audit_text, trip_text};
pub use world::world_text;
