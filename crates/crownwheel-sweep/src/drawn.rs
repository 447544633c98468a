//! How a car or a day is in one world.

use std::ops::Range;
use std::sync::Arc;

use crownwheel::knob::{DayKnob, Knob};
use crownwheel::spec::{CarSpec, DaySpec, SpecError};
use crownwheel::spread::{Cut, Spread};
use crownwheel::unsure::{DayModel, Model};

use crate::worlds::Worlds;

impl Worlds {
    /// A car joined with the draws of everything that is unsure about it.
    #[must_use]
    pub fn of_car<'a>(&self, model: &'a Model) -> DrawnCar<'a> {
        let draws = model.unsure.iter().map(|unsure| {
            (unsure.knob, Draws::new(self, &unsure.key, unsure.spread, unsure.physical))
        });
        DrawnCar { nominal: &model.car, draws: draws.collect() }
    }

    /// A day joined with the draws of everything that is unsure about it.
    #[must_use]
    pub fn of_day<'a>(&self, model: &'a DayModel) -> DrawnDay<'a> {
        let draws = model.unsure.iter().map(|unsure| {
            (unsure.knob, Draws::new(self, &unsure.key, unsure.spread, unsure.physical))
        });
        DrawnDay { nominal: &model.day, draws: draws.collect() }
    }
}

/// A car in any world.
#[derive(Clone, Debug)]
pub struct DrawnCar<'a> {
    nominal: &'a CarSpec,
    draws: Vec<(Knob, Draws)>,
}

impl DrawnCar<'_> {
    /// What is unsure in these worlds, in standard deviations from its nominal value: a list over the worlds for each.
    #[must_use]
    pub fn deviations(&self, worlds: Range<usize>) -> Vec<Vec<f64>> {
        self.draws.iter().map(|(_, draws)| draws.deviations(worlds.clone())).collect()
    }

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
    /// As [`DrawnCar::deviations`].
    #[must_use]
    pub fn deviations(&self, worlds: Range<usize>) -> Vec<Vec<f64>> {
        self.draws.iter().map(|(_, draws)| draws.deviations(worlds.clone())).collect()
    }

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
    middle: f64,
    deviation: f64,
}

impl Draws {
    fn new(worlds: &Worlds, key: &str, spread: Spread, physical: (f64, f64)) -> Draws {
        let (middle, deviation) = (spread.nominal, spread.standard_deviation());
        Draws { units: worlds.units(key), cut: spread.within(physical), middle, deviation }
    }

    fn deviations(&self, worlds: Range<usize>) -> Vec<f64> {
        let scale = if self.deviation > 0.0 { 1.0 / self.deviation } else { 0.0 };
        worlds.map(|world| (self.value(world) - self.middle) * scale).collect()
    }

    fn value(&self, world: usize) -> f64 {
        self.cut.at(self.units[world])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::example;
    use crownwheel::unsure::{DayUnsure, UncertainNumber};
    use std::num::NonZeroUsize;

    fn unsure(car: &CarSpec, key: &str, spread: Spread) -> UncertainNumber {
        let knob = Knob::find(key, car).unwrap();
        UncertainNumber { key: Arc::from(key), knob, spread, physical: (0.0, f64::INFINITY) }
    }

    fn worlds() -> Worlds {
        Worlds::new(1, NonZeroUsize::new(50).unwrap(), 10)
    }

    #[test]
    fn a_world_sets_what_is_unsure_and_nothing_else() {
        let car = example::small_saloon();
        let spread = Spread::normal(0.0115, 0.0015);
        let model = Model {
            unsure: vec![unsure(&car, "tyres.rolling_resistance", spread)],
            car: car.clone(),
        };
        let worlds = worlds();
        let units = worlds.units("tyres.rolling_resistance");
        for world in [0, 7, 49] {
            let mut right = car.clone();
            right.tyres.rolling_resistance = spread.at(units[world], (0.0, f64::INFINITY));
            assert_eq!(worlds.of_car(&model).car(world).unwrap(), right);
        }
    }

    #[test]
    fn the_same_input_is_alike_in_every_option() {
        let car = example::small_saloon();
        let key = "tyres.rolling_resistance";
        let narrow = Model {
            unsure: vec![unsure(&car, key, Spread::normal(0.0105, 0.0015))],
            car: car.clone(),
        };
        let wide = Model { unsure: vec![unsure(&car, key, Spread::normal(0.0115, 0.003))], car };
        let worlds = worlds();
        let rolling = |model: &Model, world| {
            worlds.of_car(model).car(world).unwrap().tyres.rolling_resistance
        };
        for world in 0..50 {
            let (narrow, wide) = (rolling(&narrow, world), rolling(&wide, world));
            // What is cut away below 0 lies seven standard deviations off.
            assert!((2.0 * (narrow - 0.0105) - (wide - 0.0115)).abs() < 1e-12, "{narrow} {wide}");
        }
    }

    #[test]
    fn a_day_in_a_world_and_what_is_no_number_of_it() {
        let day = example::mild_day();
        let windy = example::winter_day();
        let unsure = |path: &str, day: &DaySpec| DayUnsure {
            key: Arc::from(path),
            knob: DayKnob::find(path, day).unwrap(),
            spread: Spread::normal(288.15, 2.0),
            physical: (200.0, 330.0),
        };
        let worlds = worlds();
        let model =
            DayModel { day: day.clone(), unsure: vec![unsure("day.mild.temperature", &day)] };
        let cold: Vec<f64> =
            (0..50).map(|world| worlds.of_day(&model).day(world).unwrap().temperature_k).collect();
        assert!(cold.iter().any(|k| *k < 287.0) && cold.iter().any(|k| *k > 289.0));
        // The example's day is calm.
        let calm = DayModel { day, unsure: vec![unsure("day.winter.wind", &windy)] };
        assert!(worlds.of_day(&calm).day(0).is_err());
    }
}
