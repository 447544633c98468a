//! Options, worlds, demands and decisions.
//!
//! A [`Space`] numbers options, each a [`Model`]: a nominal car and what is unsure about it.
//! [`Worlds`] draws everything that is unsure once, so that all options are judged in the same
//! worlds.
//!
//! No files and no printing in here.

pub mod facts;
pub mod model;
pub mod space;
pub mod spread;
pub mod worlds;

pub use model::{DayModel, DayUnsure, Model, Unsure};
pub use space::{Axis, AxisValue, Base, Choice, OptionCase, Space};
pub use spread::{Spread, SpreadKind};
pub use worlds::Worlds;
pub mod quantile;
pub mod shares;
pub mod weights;
