#![doc = include_str!("../README.md")]

mod asked;
mod assemble;
#[cfg(test)]
mod bench;
pub mod build;
mod car_part;
pub mod cold_capacity_file;
pub mod curve_file;
pub mod cycle_file;
mod demands;
pub mod document;
mod driveline_part;
mod explain;
pub mod input;
mod instead;
pub mod keys;
mod lift_part;
pub mod loss_map_file;
pub mod message;
mod model;
mod motor_part;
pub mod ocv_file;
pub mod outside;
mod pack_part;
pub mod pair;
pub mod quantity;
mod road_load_part;
pub mod sweep_file;
pub mod table_csv;
mod table_rules;
pub mod template;
pub mod tyre_mark;
mod tyres_part;
pub mod units;
mod values;
mod weights_part;
pub mod wind;
pub mod write_back;

pub use asked::MeasuredFact;
pub use build::{Build, BuildText, load};
pub use document::Set;
pub use instead::Line;
pub use message::{Problem, Report};
pub use model::as_written;
pub use pair::Pair;
pub use sweep_file::{SweepBuild, load_sweep};
