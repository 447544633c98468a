//! Tables of each answer. A key is the path of the value in the answer's JSON.

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

pub(crate) use compare::{changed_grid, moved_grid};
pub use explain::inputs_table;
pub use range::steady_at;
pub use shared::{assumed_table, measure_table, warnings_table};
pub use sweep::{OptionTable, bands_table};
pub use trip::repairs_table;
