//! What a car can be asked for: range, use, times, grades, axle loads, hours to charge, price.
//!
//! A [`Quantity`] is one row in [`rows`]: its name, its unit, which way is better, how it is said, the
//! runs that it needs and how it is read from them. A [`Question`] is a quantity with its arguments: the
//! range on one cycle and day, the time between two speeds. [`Questions`] drives what many of them need,
//! once for all of them and for many cars side by side, and reads the answers.
//!
//! ```
//! use crownwheel::cycle::Cycle;
//! use crownwheel::{Car, Day, example};
//! use crownwheel_quantities::{Fleet, Question, Questions, rows};
//! let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
//! let asked = vec![
//!     Question::of(&rows::RANGE).on_cycle("udds").on_day("mild"),
//!     Question::of(&rows::TIME).between(0.0, 50.0),
//! ];
//! let cycles = vec![Cycle::builtin("udds").expect("it is built in").into()];
//! let questions = Questions::new(asked, cycles, vec!["mild".into()], Vec::new())?;
//! let answers = questions.of_one(&car, &[day], None);
//! assert_eq!(questions.list()[0].key(), "range_km.udds.mild");
//! assert!(answers[0] > 80.0 && answers[1] > 3.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod band;
pub mod demand;
mod number;
mod quantity;
mod question;
mod questions;
mod read;
pub mod rows;
pub mod text;
pub mod unit;
mod warning;
pub mod worth;
mod written;

pub use band::{Band, Deciles};
pub use crownwheel::name::Name;
pub use demand::{Bound, Condition, Demand, Fact};
pub use number::Number;
pub use quantity::{Endless, Quantity, Reading};
pub use question::Question;
pub use questions::{Fleet, NamedCycle, NotThere, Questions, Run, Supply, ready};
pub use read::{Names, NotAsked};
pub use unit::{Unit, Units};
pub use warning::Warning;
