//! One option in one world again: everything that was drawn, and every answer.

use std::sync::Arc;

use crownwheel::spec::{CarSpec, DaySpec, SpecError};
use crownwheel::spread::Spread;
use crownwheel::unsure::Model;
use crownwheel::{Car, Day};

use crate::course::Course;
use crate::run::{Reference, Runner};
use crate::worlds::Worlds;

/// An input as it was drawn.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Draw {
    /// Path in a build file.
    pub key: Arc<str>,
    /// Its draw in this world, inside (0, 1).
    pub unit: f64,
    /// Its nominal value, in the unit of its field in [`crownwheel::spec`].
    pub nominal: f64,
    /// Its value in this world, in the same unit.
    pub value: f64,
}

/// An option in one world.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Replay {
    /// What is unsure about the car, then about the days, in the order of the models.
    pub drawn: Vec<Draw>,
    /// The answers at the nominal values, in the order of the course's names.
    pub nominal: Vec<f64>,
    /// The answers in this world, in the same order: the numbers that the sweep has.
    pub values: Vec<f64>,
    /// The car of this world.
    pub car: CarSpec,
    /// The days of this world, in the order of the course.
    pub days: Vec<DaySpec>,
}

impl Replay {
    /// An option in one world, counted from 0; `like` is what was found of a sweep's reference. `None`: there is no such
    /// world.
    ///
    /// # Errors
    /// The nominal car or a nominal day cannot be.
    pub fn new(
        course: &Course,
        worlds: &Worlds,
        (model, price): (&Model, Option<f64>),
        world: usize,
        like: Option<&Reference>,
    ) -> Result<Option<Replay>, SpecError> {
        if world >= worlds.count() {
            return Ok(None);
        }
        let mut runner = Runner::new(course, worlds, model, price)?;
        let nominal = runner.nominal();
        if worlds.count() == 1 {
            let days = course.days.iter().map(|day| day.day.clone()).collect();
            let (values, car) = (nominal.clone(), model.car.clone());
            return Ok(Some(Replay { drawn: Vec::new(), nominal, values, car, days }));
        }
        runner.find(like);
        let values = runner.more(world..world + 1);
        let value = |values: &Vec<f64>| values.first().copied().unwrap_or(f64::NAN);
        let draw = |key: &Arc<str>, spread: &Spread, physical: (f64, f64)| {
            let unit = worlds.units(key)[world];
            let value = spread.at(unit, physical);
            Draw { key: Arc::clone(key), unit, nominal: spread.nominal, value }
        };
        let of_car = model.unsure.iter().map(|it| draw(&it.key, &it.spread, it.physical));
        let of_days = course.days.iter().flat_map(|day| &day.unsure);
        let of_days = of_days.map(|it| draw(&it.key, &it.spread, it.physical));
        // A world whose numbers make no car, or no day, counts as the nominal one.
        let car = worlds.of_car(model).car(world).ok().filter(|car| Car::new(car).is_ok());
        let day = |model: &crownwheel::unsure::DayModel| {
            let drawn = worlds.of_day(model).day(world).ok().filter(|day| Day::new(day).is_ok());
            drawn.unwrap_or_else(|| model.day.clone())
        };
        Ok(Some(Replay {
            drawn: of_car.chain(of_days).collect(),
            nominal,
            values: values.iter().map(value).collect(),
            car: car.unwrap_or_else(|| model.car.clone()),
            days: course.days.iter().map(day).collect(),
        }))
    }
}
