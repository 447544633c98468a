//! One option in its worlds: every answer in every world.

use std::ops::Range;

use crownwheel::range::{Fidelity, Prepared, ShortRange, short_ranges};
use crownwheel::ready::Ready;
use crownwheel::spec::SpecError;
use crownwheel::{Car, Day};

use crate::course::{Course, Run};
use crate::model::Model;
use crate::pilot::{PILOTS, TwoWays, Way};
use crate::worlds::Worlds;

/// Worlds that are made and answered together.
const TOGETHER: usize = 64;

/// An option that can be built, ready to be run.
#[derive(Clone, Debug)]
pub struct Runner<'a> {
    course: &'a Course,
    worlds: &'a Worlds,
    model: &'a Model,
    car: Car,
    days: Vec<Day>,
    price: Option<f64>,
    /// By the course's runs, once pilots were driven.
    ways: Vec<Way>,
}

/// Answers over the worlds: a list over the worlds for each answer.
pub type Values = Vec<Vec<f64>>;

impl<'a> Runner<'a> {
    /// An option.
    ///
    /// # Errors
    /// When the nominal car or a nominal day cannot be.
    pub fn new(
        course: &'a Course,
        worlds: &'a Worlds,
        model: &'a Model,
        price: Option<f64>,
    ) -> Result<Runner<'a>, SpecError> {
        Runner::beside(None, course, worlds, model, price)
    }

    /// An option that may share sheets with another.
    ///
    /// # Errors
    /// When the nominal car or a nominal day cannot be.
    pub fn beside(
        other: Option<&Car>,
        course: &'a Course,
        worlds: &'a Worlds,
        model: &'a Model,
        price: Option<f64>,
    ) -> Result<Runner<'a>, SpecError> {
        let car = match other {
            Some(other) => other.beside(&model.car)?,
            None => Car::new(&model.car)?,
        };
        let days: Result<Vec<Day>, SpecError> =
            course.days.iter().map(|day| Day::new(&day.day)).collect();
        Ok(Runner { course, worlds, model, car, days: days?, price, ways: Vec::new() })
    }

    /// The nominal car.
    #[must_use]
    pub fn car(&self) -> &Car {
        &self.car
    }

    /// How the ranges of the worlds are found, by the course's runs.
    #[must_use]
    pub(crate) fn ways(&self) -> &[Way] {
        &self.ways
    }

    /// As [`Runner::ways`] of the same option told before.
    pub(crate) fn set_ways(&mut self, ways: Vec<Way>) {
        self.ways = ways;
    }

    /// How far corrected ranges scatter about driven ones, relative, the worst of all cycles and days.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.ways.iter().map(Way::scatter).fold(0.0, f64::max)
    }

    /// Every answer with all inputs at their nominal values.
    #[must_use]
    pub fn nominal(&self) -> Vec<f64> {
        let days: Vec<Vec<Day>> = self.days.iter().map(|day| vec![day.clone()]).collect();
        let cars = std::slice::from_ref(&self.car);
        let ready = ready(cars, &days);
        let answers = self.course.answers(cars, &days, &ready, self.price, |run, cases| {
            short_ranges(cases, self.course.laid(run).own(), Fidelity::Every)
        });
        answers.into_iter().map(|values| values.first().copied().unwrap_or(f64::NAN)).collect()
    }

    /// The first worlds, with the pilots among them.
    pub fn first(&mut self, count: usize) -> Values {
        let pilots = PILOTS.min(count);
        let mut ways = Vec::new();
        let mut values = self.part(0..pilots, |run, cases, cycle| {
            let (way, driven) = Way::of(cases, cycle);
            ways.push((run, way));
            driven
        });
        self.ways = ways.into_iter().map(|(_, way)| way).collect();
        append(&mut values, self.more(pilots..count));
        values
    }

    /// Other worlds, after [`Runner::first`].
    #[must_use]
    pub fn more(&self, worlds: Range<usize>) -> Values {
        let runs = self.course.runs();
        let mut values = vec![Vec::with_capacity(worlds.len()); self.course.names.len()];
        let mut start = worlds.start;
        while start < worlds.end {
            let end = (start + TOGETHER).min(worlds.end);
            let part = self.part(start..end, |run, cases, cycle| {
                let place = runs.iter().position(|known| *known == run);
                let way = place.and_then(|place| self.ways.get(place)).unwrap_or(&Way::Driven);
                way.ranges(cases, cycle)
            });
            append(&mut values, part);
            start = end;
        }
        values
    }

    fn part(
        &self,
        worlds: Range<usize>,
        mut range: impl FnMut(Run, &[Prepared<'_>], &TwoWays) -> Vec<ShortRange>,
    ) -> Values {
        let drawn = self.model.drawn(self.worlds);
        // A world whose numbers make no car, or no day, counts as the nominal one.
        let car = |world: usize| {
            let spec = drawn.car(world).ok();
            spec.and_then(|spec| self.car.beside(&spec).ok()).unwrap_or_else(|| self.car.clone())
        };
        let cars: Vec<Car> = worlds.clone().map(car).collect();
        let days: Vec<Vec<Day>> = self
            .course
            .days
            .iter()
            .zip(&self.days)
            .map(|(model, nominal)| {
                let drawn = model.drawn(self.worlds);
                let day = |world: usize| {
                    let spec = drawn.day(world).ok();
                    spec.and_then(|spec| Day::new(&spec).ok()).unwrap_or_else(|| nominal.clone())
                };
                worlds.clone().map(day).collect()
            })
            .collect();
        let ready = ready(&cars, &days);
        self.course.answers(&cars, &days, &ready, self.price, |run, cases| {
            range(run, cases, self.course.laid(run))
        })
    }
}

/// Every car on each of its days.
fn ready(cars: &[Car], days: &[Vec<Day>]) -> Vec<Vec<Ready>> {
    let on =
        |days: &Vec<Day>| cars.iter().zip(days).map(|(car, day)| Ready::new(car, day)).collect();
    days.iter().map(on).collect()
}

/// Worlds in pieces of work.
pub(crate) fn pieces(worlds: Range<usize>, piece: usize) -> Vec<Range<usize>> {
    let Range { start, end } = worlds;
    (start..end).step_by(piece).map(|from| from..(from + piece).min(end)).collect()
}

/// Adds the worlds that come after.
pub(crate) fn append(values: &mut Values, more: Values) {
    for (all, more) in values.iter_mut().zip(more) {
        all.extend(more);
    }
}
