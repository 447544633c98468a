//! The answer as a terminal shows it: the plain answer first, then a short table, then what was
//! assumed and from where, then warnings and cautions.
//!
//! Text from a build may hold anything; control characters are shown as `�`, so that a name cannot
//! move the cursor or colour the screen.

mod layout;

pub use crownwheel_quantities::text::{clean, clean_lines, is_hidden, shown_path};

pub use layout::{grid_text, sentence, sentence_after, within, wrapped};
