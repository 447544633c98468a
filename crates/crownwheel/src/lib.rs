//! The physics of an electrically converted car: weights, road load, driveline, motor, pack, and
//! the drive step that joins them.
//!
//! A [`spec::CarSpec`] describes a car in SI numbers. [`Car::new`] checks it once; after that
//! nothing can fail. [`ready::Ready`] joins a car and a [`Day`], [`step::step`] drives it through
//! one leg of a [`cycle::Cycle`], and [`range::range`] repeats a cycle until the pack is empty.
//!
//! ```
//! use crownwheel::cycle::Cycle;
//! use crownwheel::{Car, Day, example, range::range};
//!
//! let car = Car::new(&example::small_saloon())?;
//! let day = Day::new(&example::mild_day())?;
//! let cycle = Cycle::builtin("udds").expect("it is built in");
//! let run = range(&car, &day, &cycle);
//! assert!(run.distance_m > 100e3);
//! # Ok::<(), crownwheel::spec::SpecError>(())
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
pub mod overrun;
pub mod pack;
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
pub mod trials;
pub mod tyre;
pub mod tyre_label;
pub mod unsure;
pub mod weights;
pub mod windows;

pub use car::Car;
pub use day::Day;
