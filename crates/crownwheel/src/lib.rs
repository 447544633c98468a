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
//! | describe a car in code | [`Essentials`], [`CarSpec`], [`CarSpec::with`], [`example`] |
//! | check it | [`Car::new`] |
//! | say where it drives | [`Cycle`], [`Day`] |
//! | ask how far, how hard, how long at the socket | [`OnDay::range`], [`OnDay::pull`], [`OnDay::charge`] |
//! | plot a drive | [`Trace`] |
//! | step it from another program | [`Plant`], [`Command`], [`Road`] |
//! | change one number by its key | [`Knob`], [`keys`] |
//! | weights, gauges, currents over minutes | [`weights`], [`gauges`], [`windows`] |
//!
//! # Recipes
//!
//! Six facts make a car; the rest is assumed, each with its source, and replaced by its key.
//!
//! ```
//! use crownwheel::{Car, Chemistry, EssentialPack, Essentials, example, spec::{MotorCurve, TyreMark}};
//! let (spec, assumed) = Essentials {
//!     corners: example::small_saloon().weights.corners,
//!     tyre: TyreMark::radial(155.0, 80.0, 13.0),
//!     drag_area_m2: 0.71,
//!     motor: MotorCurve::of_plate((165.0, 50e3), (75.0, 27e3), 838.0),
//!     pack: EssentialPack { chemistry: Chemistry::Nmc, cells_in_series: 36, capacity_ah: 156.0, mass_kg: 103.0 },
//!     ratio: 6.33,
//! }
//! .car();
//! let car = Car::new(&spec.with("car.wheelbase", 2.32)?)?;
//! assert!(assumed.iter().all(|it| !it.source.is_empty()) && car.mass_kg() > 900.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Which final drive: launch force, N, and top speed, m/s, of each.
//!
//! ```
//! # use crownwheel::{Car, Day, example};
//! let (spec, _) = example::essentials().car();
//! for ratio in [5.5, 6.3, 7.0] {
//!     let on = Car::new(&spec.with("driveline.axle.ratio", ratio)?)?.on(&Day::mild());
//!     let pull = on.pull(0.9);
//!     let launch_n = pull.row(0.0).ok_or("it does not start")?.pull_n;
//!     assert!(launch_n > 2000.0 && pull.top_speed().0 > 25.0);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Range before buying cells, with an own pack: any number of the [`CarSpec`] may be written.
//!
//! ```
//! # use crownwheel::{Car, Cycle, Day, example, spec::OpenCircuitTable};
//! let mut far = Vec::new();
//! for cells in [32, 36, 40] {
//!     let mut facts = example::essentials();
//!     facts.pack.cells_in_series = cells;
//!     let (mut spec, _) = facts.car();
//!     let rest = OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.2, 4.1] };
//!     spec.pack.open_circuit = std::sync::Arc::new(rest);
//!     spec.pack.cell_max_voltage_v = 4.1;
//!     far.push(Car::new(&spec)?.on(&Day::mild()).range(&Cycle::udds()).distance_m);
//! }
//! assert!(far.is_sorted());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! An own cycle, by time, s and m/s, and what a plot of it needs:
//!
//! ```
//! # use crownwheel::{Car, Cycle, Day, example};
//! let shop = Cycle::by_time("shop", &[(0.0, 0.0), (10.0, 12.0), (60.0, 12.0), (75.0, 0.0)])?;
//! let trace = Car::new(&example::essentials().car().0)?.on(&Day::mild()).trace(&shop);
//! let rows = trace.time_s.iter().zip(&trace.speed_mps).zip(&trace.from_pack_w);
//! assert!(rows.clone().count() > 4 && rows.clone().all(|((_, speed), _)| *speed <= 12.0));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! A motor from arrays, losses and all:
//!
//! ```
//! # use crownwheel::{Car, example, spec::{LossMap, MotorLossSpec}};
//! let (mut spec, _) = example::essentials().car();
//! let (speeds, torques) = ([0.0, 400.0, 838.0], [0.0, 80.0, 165.0]);
//! let map = LossMap::from_fn(&speeds, &torques, |radps, nm| 100.0 + 0.2 * nm * nm + radps);
//! spec.motor.losses = MotorLossSpec::Map(map.into());
//! assert!(Car::new(&spec).is_ok());
//! ```
//!
//! Stepped by another program; what it asks may be bounded, and what is no number is an error that changes nothing:
//!
//! ```
//! # use crownwheel::{Car, Command, Day, Limit, Road, Start, example};
//! let on = Car::new(&example::essentials().car().0)?.on(&Day::mild());
//! let mut plant = on.plant(Start::at_charge(0.8))?;
//! for _ in 0..100 {
//!     let step = plant.step(0.1, Command::Speed(8.0), Road::grade(0.04))?;
//!     assert!(step.voltage_v > 90.0);
//! }
//! assert!(plant.step(0.1, Command::Speed(f64::NAN), Road::flat()).is_err());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Errors name the key, what was given and what is allowed:
//!
//! ```
//! # use crownwheel::{Car, example};
//! let mut spec = example::small_saloon();
//! spec.weights.wheelbase_m = 30.0;
//! let wrong = Car::new(&spec).unwrap_err();
//! assert_eq!(wrong.to_string(), "`car.wheelbase` must be 0.5 m to 10 m, not 30 m");
//! assert_eq!(wrong.key(), "car.wheelbase");
//! ```
//!
//! A build file with its bands, and a sweep that can be stopped, are asked through `crownwheel_answers::Build`.
//!
//! # Features, and what may change
//!
//! There are no files, threads, clocks, printing or text formats in here, and nothing panics. Features: `simd` (on) drives cars
//! side by side with the widest instructions of the machine, with the same bits; `serde` writes and reads descriptions.
//! Modules that are hidden here serve the other crates of the workspace and may change with any version. Rust 1.85 builds
//! it; what counts as a break, says the crate's README.

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
mod essentials;
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
#[doc(hidden)]
pub mod usual;
pub mod weights;
pub mod windows;

pub use car::Car;
pub use cycle::Cycle;
pub use day::Day;
pub use essentials::{Assumed, Chemistry, EssentialPack, Essentials};
pub use knob::Knob;
pub use limit::Limit;
pub use on_day::OnDay;
pub use plant::{Command, Plant, PlantError, PlantStep, Road, Start};
pub use spec::CarSpec;
pub use trace::Trace;
