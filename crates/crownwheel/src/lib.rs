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
//! Which type one needs:
//!
//! | to | take |
//! |---|---|
//! | describe a car in code | [`CarSpec`], [`CarSpec::with`], [`example`] |
//! | check it | [`Car::new`] |
//! | say where it drives | [`Cycle`], [`Day`] |
//! | ask how far, how hard, how long at the socket | [`OnDay::range`], [`OnDay::pull`], [`OnDay::charge`] |
//! | plot a drive | [`Trace`] |
//! | step it from another program | [`Plant`], [`Command`], [`Road`] |
//! | change one number by its key | [`Knob`], [`keys`] |
//! | weights, gauges, currents over minutes | [`weights`], [`gauges`], [`windows`] |
//!
//! There are no files, threads, clocks, printing or text formats in here, and nothing panics. Features: `simd` (on) drives cars
//! side by side with the widest instructions of the machine, with the same bits; `serde` writes and reads descriptions.
//! Modules that are hidden here serve the other crates of the workspace and may change with any version.

#[doc(hidden)]
pub mod air;
#[doc(hidden)]
pub mod alike;
mod axle_loads;
#[doc(hidden)]
pub mod balance;
#[doc(hidden)]
pub mod batch;
#[doc(hidden)]
pub mod car;
#[doc(hidden)]
pub mod cell;
pub mod charger;
#[doc(hidden)]
pub mod coastdown;
#[doc(hidden)]
pub mod constants;
pub mod cycle;
#[doc(hidden)]
pub mod day;
#[doc(hidden)]
pub mod drive;
#[doc(hidden)]
pub mod driveline;
#[doc(hidden)]
pub mod energy_label;
pub mod example;
pub mod gauges;
#[doc(hidden)]
pub mod grip;
#[doc(hidden)]
pub mod heat;
mod heating;
#[doc(hidden)]
pub mod hold;
pub mod keys;
pub mod knob;
#[doc(hidden)]
pub mod lane;
pub mod limit;
#[doc(hidden)]
pub mod loads;
#[doc(hidden)]
pub mod motor;
#[doc(hidden)]
pub mod name;
#[doc(hidden)]
pub mod normal;
pub mod on_day;
#[doc(hidden)]
pub mod overrun;
#[doc(hidden)]
pub mod pack;
pub mod plant;
pub mod pull;
pub mod range;
#[doc(hidden)]
pub mod ready;
#[doc(hidden)]
pub mod road_load;
#[doc(hidden)]
pub mod rolling;
#[doc(hidden)]
pub mod rules;
#[doc(hidden)]
pub mod space;
pub mod spec;
#[doc(hidden)]
pub mod spread;
#[doc(hidden)]
pub mod springs;
#[doc(hidden)]
pub mod step;
#[doc(hidden)]
pub mod table;
pub mod trace;
#[doc(hidden)]
pub mod trials;
#[doc(hidden)]
pub mod tyre;
#[doc(hidden)]
pub mod tyre_label;
#[doc(hidden)]
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
