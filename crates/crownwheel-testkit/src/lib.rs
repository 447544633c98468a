//! Test helpers shared by the crates: strict float comparison and loaders of reference tables.
//!
//! Start with [`assert_close!`] and the levels in [`tolerance`]; published values come from
//! [`checks::expected`].

pub mod checks;
mod close;
mod table;
pub mod tolerance;

pub use close::difference_too_large;
pub use table::{Row, Table};
