//! Each answer as a [`Sheet`](crate::Sheet): its tables, and which of them it shows under which heading. A key is
//! the path of the value in the answer's JSON.

mod audit;
mod charge;
mod check;
mod coastdown;
mod compare;
mod demands;
mod explain;
mod gauges;
mod pull;
mod range;
mod shared;
mod sweep;
mod trace;
mod trip;
mod weigh;
mod world;

pub use explain::inputs_table;
pub use range::steady_at;
pub use shared::{assumed_table, bands_table, measure_table, warnings_table};
pub use sweep::OptionTable;
