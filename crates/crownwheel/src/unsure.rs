//! A car or a day with what is unsure about it.

use std::sync::Arc;

use crate::knob::{DayKnob, Knob};
use crate::spec::{CarSpec, DaySpec};
use crate::spread::Spread;

/// Worlds in which what is unsure is drawn where nobody says how many.
pub const USUAL_WORLDS: usize = 2000;

/// An unsure number of a car.
#[derive(Clone, Debug, PartialEq)]
pub struct UncertainNumber {
    /// Path in a build file, `tyres.rolling_resistance`. Its draws depend on this name.
    pub key: Arc<str>,
    /// The number.
    pub knob: Knob,
    /// How unsure it is, in the unit of its field in [`crate::spec`].
    pub spread: Spread,
    /// Lowest and highest value that make sense, in the same unit; infinite where there is none.
    pub physical: (f64, f64),
}

/// One option's car: nominal, and what is unsure about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// The car with every number at its nominal value.
    pub car: CarSpec,
    /// Its unsure numbers.
    pub unsure: Vec<UncertainNumber>,
}

/// An unsure number of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct DayUnsure {
    /// Path in a build file, `day.winter.wind`. Its draws depend on this name.
    pub key: Arc<str>,
    /// The number.
    pub knob: DayKnob,
    /// How unsure it is, in the unit of its field in [`DaySpec`].
    pub spread: Spread,
    /// Lowest and highest value that make sense, in the same unit; infinite where there is none.
    pub physical: (f64, f64),
}

/// A day: nominal, and what is unsure about it.
#[derive(Clone, Debug, PartialEq)]
pub struct DayModel {
    /// The day with every number at its nominal value.
    pub day: DaySpec,
    /// Its unsure numbers.
    pub unsure: Vec<DayUnsure>,
}
