//! Options, worlds, demands and decisions.
//!
//! * [`Space`] numbers options, each a [`Model`]: a nominal car and what is unsure about it.
//! * [`Worlds`] draws everything that is unsure once, so that all options are judged in the same
//!   worlds.
//! * [`quantile`] sums up an answer over the worlds, [`shares`] says which input moves it, [`facts`]
//!   weighs the worlds by what was measured.
//! * [`demand`], [`frontier`], [`ranking`] and [`screening`] decide; [`mod@sweep`], [`gathered`] and
//!   [`decision`] do all that for a whole space, and [`result`] puts it into words.
//!
//! No files and no printing in here.
//!
//! ```
//! use std::num::NonZeroUsize;
//! use std::sync::Arc;
//!
//! use crownwheel::knob::Knob;
//! use crownwheel::{Car, example};
//! use crownwheel_sweep::quantile::Sample;
//! use crownwheel::spread::Spread;
//! use crownwheel_sweep::{Model, UncertainNumber, Weights, Worlds};
//!
//! let car = example::small_saloon();
//! let knob = Knob::find("tyres.rolling_resistance", &car)?;
//! let unsure = UncertainNumber {
//!     key: Arc::from("tyres.rolling_resistance"),
//!     knob,
//!     spread: Spread::normal(0.0115, 0.0015),
//!     physical: (0.004, 0.03),
//! };
//! let model = Model { car, unsure: vec![unsure] };
//! let worlds = Worlds::new(1, NonZeroUsize::new(200).expect("not nought"), 0);
//!
//! let drawn = worlds.of_car(&model);
//! let mut rolling = Vec::new();
//! for world in 0..worlds.count() {
//!     rolling.push(Car::new(&drawn.car(world)?)?.spec().tyres.rolling_resistance);
//! }
//! let sample = Sample::new(&rolling, &Weights::equal(200)).expect("there are values");
//! assert!((sample.value(0.5) - 0.0115).abs() < 1e-5);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod answer_fit;
pub mod conditioning;
pub mod course;
pub mod decision;
pub mod demand;
pub mod drawn;
pub mod facts;
pub mod fit;
pub mod frontier;
pub mod gathered;
pub mod measure_next;
pub mod pilot;
pub mod quantile;
pub mod ranking;
pub mod relatives;
pub mod repeat;
pub mod replay;
pub mod result;
pub mod run;
pub mod screening;
pub mod shares;
pub mod single;
pub mod sweep;
pub mod trips;
pub mod weights;
pub mod worlds;

pub use crownwheel::space::{AxisValue, Base, Choice, OptionCase, Space, SweptNumber};
pub use crownwheel::unsure::{DayModel, DayUnsure, Model, UncertainNumber};
pub use demand::{Judgement, Probability};
pub use weights::Weights;
pub use worlds::Worlds;
