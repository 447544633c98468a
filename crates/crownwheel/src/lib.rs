//! The physics of an electrically converted car: weights, road load, driveline, motor, pack, and
//! the drive step that joins them.
//!
//! A [`CarSpec`] describes a car in SI numbers. [`Car::new`] checks it once; after that nothing can
//! fail. [`Car::on`] a [`Day`] is asked for the range over a [`Cycle`], for a [`Trace`] of it, for pull and
//! charge, and gives a [`Plant`] that another program steps.
//!
//! ```
//! use crownwheel::{Car, Cycle, Day, example};
//!
//! let spec = example::small_saloon().with("driveline.axle.ratio", 3.89)?;
//! let on = Car::new(&spec)?.on(&Day::mild());
//! assert!(on.range(&Cycle::udds()).distance_m > 100e3);
//! let trace = on.trace(&Cycle::hwfet());
//! assert_eq!(trace.time_s.len(), trace.from_pack_w.len());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! There are no files, threads, clocks, printing or text formats in here.

pub mod air;
mod axle_loads;
pub mod balance;
pub mod batch;
pub mod car;
pub mod cell;
pub mod charger;
pub mod coastdown;
pub mod constants;
pub mod cycle;
pub mod day;
pub mod drive;
pub mod driveline;
pub mod energy_label;
pub mod example;
pub mod gauges;
pub mod grip;
pub mod heat;
mod heating;
pub mod hold;
pub mod keys;
pub mod knob;
pub mod lane;
pub mod limit;
pub mod loads;
pub mod motor;
pub mod name;
pub mod normal;
pub mod on_day;
pub mod overrun;
pub mod pack;
pub mod plant;
pub mod pull;
pub mod range;
pub mod ready;
pub mod road_load;
pub mod rolling;
pub mod rules;
pub mod space;
pub mod spec;
pub mod spread;
pub mod springs;
pub mod step;
pub mod table;
pub mod trace;
pub mod trials;
pub mod tyre;
pub mod tyre_label;
pub mod unsure;
pub mod weights;
pub mod windows;

pub use car::Car;
pub use cycle::Cycle;
pub use day::Day;
pub use knob::Knob;
pub use limit::Limit;
pub use on_day::OnDay;
pub use plant::{Command, Plant, PlantError, PlantStep, Road, Start};
pub use spec::CarSpec;
pub use trace::Trace;
