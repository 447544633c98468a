//! A car or a day with what is unsure about it, and how it is in one world.

use std::sync::Arc;

use crownwheel::knob::{DayKnob, Knob};
use crownwheel::spec::{CarSpec, DaySpec, SpecError};

use crate::spread::{Cut, Spread};
use crate::worlds::Worlds;

/// An unsure number of a car.
#[derive(Clone, Debug, PartialEq)]
pub struct Unsure {
    /// Path in a build file, `tyres.rolling_resistance`. Its draws hang on this name.
    pub key: Arc<str>,
    /// The number.
    pub knob: Knob,
    /// How unsure it is, in the unit of its field in [`crownwheel::spec`].
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
    pub unsure: Vec<Unsure>,
}

/// An unsure number of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct DayUnsure {
    /// Path in a build file, `day.winter.wind`. Its draws hang on this name.
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

impl Model {
    /// The car in one world, counted from 0. To make many, see [`Model::drawn`].
    ///
    /// # Errors
    /// An unsure number is none of this car.
    ///
    /// # Panics
    /// When there is no such world.
    pub fn in_world(&self, worlds: &Worlds, world: usize) -> Result<CarSpec, SpecError> {
        self.drawn(worlds).car(world)
    }

    /// The car joined with the draws of everything that is unsure about it.
    #[must_use]
    pub fn drawn(&self, worlds: &Worlds) -> DrawnCar<'_> {
        let draws = self.unsure.iter().map(|unsure| {
            (unsure.knob, Draws::new(worlds, &unsure.key, unsure.spread, unsure.physical))
        });
        DrawnCar { nominal: &self.car, draws: draws.collect() }
    }
}

impl DayModel {
    /// The day in one world, counted from 0. To make many, see [`DayModel::drawn`].
    ///
    /// # Errors
    /// An unsure number is none of this day.
    ///
    /// # Panics
    /// When there is no such world.
    pub fn in_world(&self, worlds: &Worlds, world: usize) -> Result<DaySpec, SpecError> {
        self.drawn(worlds).day(world)
    }

    /// The day joined with the draws of everything that is unsure about it.
    #[must_use]
    pub fn drawn(&self, worlds: &Worlds) -> DrawnDay<'_> {
        let draws = self.unsure.iter().map(|unsure| {
            (unsure.knob, Draws::new(worlds, &unsure.key, unsure.spread, unsure.physical))
        });
        DrawnDay { nominal: &self.day, draws: draws.collect() }
    }
}

/// A car in any world.
#[derive(Clone, Debug)]
pub struct DrawnCar<'a> {
    nominal: &'a CarSpec,
    draws: Vec<(Knob, Draws)>,
}

impl DrawnCar<'_> {
    /// The car in one world, counted from 0.
    ///
    /// # Errors
    /// An unsure number is none of this car.
    ///
    /// # Panics
    /// When there is no such world.
    pub fn car(&self, world: usize) -> Result<CarSpec, SpecError> {
        let mut car = self.nominal.clone();
        for (knob, draws) in &self.draws {
            knob.set(&mut car, draws.value(world))?;
        }
        Ok(car)
    }
}

/// A day in any world.
#[derive(Clone, Debug)]
pub struct DrawnDay<'a> {
    nominal: &'a DaySpec,
    draws: Vec<(DayKnob, Draws)>,
}

impl DrawnDay<'_> {
    /// The day in one world, counted from 0.
    ///
    /// # Errors
    /// An unsure number is none of this day.
    ///
    /// # Panics
    /// When there is no such world.
    pub fn day(&self, world: usize) -> Result<DaySpec, SpecError> {
        let mut day = self.nominal.clone();
        for (knob, draws) in &self.draws {
            knob.set(&mut day, draws.value(world))?;
        }
        Ok(day)
    }
}

/// The values of one unsure number in all worlds.
#[derive(Clone, Debug)]
struct Draws {
    units: Arc<[f64]>,
    cut: Cut,
}

impl Draws {
    fn new(worlds: &Worlds, key: &str, spread: Spread, physical: (f64, f64)) -> Draws {
        Draws { units: worlds.units(key), cut: spread.within(physical) }
    }

    fn value(&self, world: usize) -> f64 {
        self.cut.at(self.units[world])
    }
}
