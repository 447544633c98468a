//! One option in its worlds: every answer in every world.

use std::collections::BTreeMap;
use std::ops::Range;

use crownwheel::range::{CarOnDay, ShortRange, driven_ranges};
use crownwheel::spec::SpecError;
use crownwheel::unsure::Model;
use crownwheel::{Car, Day};
use crownwheel_quantities::{Fleet, Question, Questions, Reading, Run, ready, rows};
use rayon::prelude::*;

use crate::answer_fit::AnswerFit;
use crate::course::Course;
use crate::fit::Inputs;
use crate::pilot::{Asks, PILOTS, Way};
use crate::repeat::Repeat;
use crate::trips::Trips;
use crate::worlds::Worlds;

/// Worlds of a piece of work: two batches.
const PIECE: usize = 16;

/// Worlds that are made and answered together.
const TOGETHER: usize = 64;

/// The input that multiplies runs after they were driven.
const USE_SCALE: &str = "model.use_scale";

/// An option that can be built, ready to be run.
#[derive(Clone, Debug)]
pub struct Runner<'a> {
    course: &'a Course,
    worlds: &'a Worlds,
    model: &'a Model,
    car: Car,
    days: Vec<Day>,
    price: Option<f64>,
    /// Each world drives a trip of its own; without them a run is what the model says.
    trips: Option<Trips>,
    /// Once pilots were driven.
    found: Found,
}

/// How the answers of the worlds that are not pilots are found.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Found {
    /// By the course's runs.
    ways: Vec<Way>,
    /// By the course's questions; `None`: driven, or read from a run.
    fits: Vec<Option<AnswerFit>>,
}

/// Ranges of worlds, by cycle and day.
type Ranges = Vec<(Run, Vec<ShortRange>)>;

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
        let trips = Trips::of(course, worlds, model);
        Ok(Runner {
            course,
            worlds,
            model,
            car,
            days: days?,
            price,
            trips,
            found: Found::default(),
        })
    }

    /// The same with runs as the model says: what measured facts are held against.
    #[must_use]
    pub(crate) fn without_trips(self) -> Runner<'a> {
        Runner { trips: None, ..self }
    }

    /// The nominal car.
    #[must_use]
    pub fn car(&self) -> &Car {
        &self.car
    }

    /// How the answers of other worlds are found.
    #[must_use]
    pub(crate) fn found(&self) -> &Found {
        &self.found
    }

    /// As [`Runner::found`] of the same option told before.
    pub(crate) fn set_found(&mut self, found: Found) {
        self.found = found;
    }

    /// How far corrected ranges scatter about driven ones, relative, the worst of all cycles and days.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.found.ways.iter().map(Way::scatter).fold(0.0, f64::max)
    }

    /// Every answer with all inputs at their nominal values.
    #[must_use]
    pub fn nominal(&self) -> Vec<f64> {
        self.course.questions.of_one(&self.car, &self.days, self.price)
    }

    /// The first worlds, with pilots among them that say how the others are found.
    pub fn first(&mut self, count: usize) -> Values {
        let runs = self.course.questions.runs();
        if self.worlds.drives_all() {
            return self.more(0..count);
        }
        let pilots = PILOTS[0].min(count);
        let mut values = vec![Vec::new(); self.course.names().len()];
        let mut driven: BTreeMap<Run, Vec<ShortRange>> = BTreeMap::new();
        let mut add =
            |(run, more): (Run, Vec<ShortRange>)| driven.entry(run).or_default().extend(more);
        for (part, ranges) in self.pilots(0..pilots) {
            append(&mut values, part);
            ranges.into_iter().for_each(&mut add);
        }
        let mut ways = self.ways_of(&driven, &runs);
        let open: Vec<Run> = runs.iter().copied().filter(|run| !ways.contains_key(run)).collect();
        let most = PILOTS[1].min(self.worlds.count());
        if most > pilots && !open.is_empty() {
            let more = self.more_pilots(pilots..most, &open).into_iter().flatten();
            more.for_each(|(run, more)| driven.entry(run).or_default().extend(more));
            ways.extend(self.ways_of(&driven, &open));
        }
        let way = |run: &Run| ways.remove(run).unwrap_or(Way::Driven);
        self.found = Found { ways: runs.iter().map(way).collect(), fits: self.fits_of(&values) };
        append(&mut values, self.more(pilots..count));
        values
    }

    /// The ways that pilots show, where they are enough.
    fn ways_of(&self, driven: &BTreeMap<Run, Vec<ShortRange>>, runs: &[Run]) -> BTreeMap<Run, Way> {
        let found = |run: &Run| {
            let pilots = driven.get(run).filter(|pilots| !pilots.is_empty())?;
            let cycle = self.course.questions.cycle_of(*run);
            let repeat = || Repeat::of(&self.car, &self.days[run.1], cycle);
            Some((
                *run,
                Way::of(
                    pilots,
                    &self.inputs(run.1, 0..pilots.len()),
                    self.asks(*run, pilots[0].distance_m),
                    repeat,
                )?,
            ))
        };
        runs.par_iter().filter_map(found).collect()
    }

    /// The fits of answers that are not read from runs, where they do.
    fn fits_of(&self, driven: &Values) -> Vec<Option<AnswerFit>> {
        let questions = &self.course.questions;
        let fit = |(question, driven): (&Question, &Vec<f64>)| match question.quantity().reading {
            Reading::Moment(_) | Reading::Throttle(_) | Reading::Climb(_) | Reading::Charge(_) => {
                let day = questions.day_asked(question);
                AnswerFit::of(driven, &self.inputs(day, 0..driven.len()))
            }
            _ => None,
        };
        questions.list().par_iter().zip(driven).map(fit).collect()
    }

    /// The pilots, in pieces side by side: every answer, and the ranges behind them.
    fn pilots(&self, worlds: Range<usize>) -> Vec<(Values, Ranges)> {
        let piece = |worlds: Range<usize>| {
            let mut ranges = Ranges::new();
            let values = self.part(&self.course.questions, worlds, |run, cases| {
                let driven = driven_ranges(cases, self.course.questions.cycle_of(run));
                let scaled = |(case, run): (&CarOnDay<'_>, &ShortRange)| {
                    run.scaled(case.car.spec().model.use_scale)
                };
                let modelled = cases.iter().zip(&driven).map(scaled).collect();
                ranges.push((run, driven));
                modelled
            });
            (values, ranges)
        };
        pieces(worlds, PIECE).into_par_iter().map(piece).collect()
    }

    /// More pilots, over some of the runs.
    fn more_pilots(&self, worlds: Range<usize>, runs: &[Run]) -> Vec<Ranges> {
        let piece = |worlds: Range<usize>| {
            let (cars, days) = self.made(worlds);
            let ready = ready(&cars, &days);
            let all = Fleet { cars: &cars, days: &days, ready: &ready };
            let one = |run: &Run| {
                let cases = all.on(run.1);
                (*run, driven_ranges(&cases, self.course.questions.cycle_of(*run)))
            };
            runs.iter().map(one).collect()
        };
        pieces(worlds, PIECE).into_par_iter().map(piece).collect()
    }

    /// Other worlds, after [`Runner::first`].
    #[must_use]
    pub fn more(&self, worlds: Range<usize>) -> Values {
        let runs = self.course.questions.runs();
        let mut values = vec![Vec::with_capacity(worlds.len()); self.course.names().len()];
        let fits = &self.found.fits;
        let fit = |place: usize| fits.get(place).and_then(Option::as_ref);
        let driven = self.course.questions.only(|place| fit(place).is_none());
        for together in pieces(worlds, TOGETHER) {
            let part = self.part(&driven, together.clone(), |run, cases| {
                let place = runs.iter().position(|known| *known == run);
                let way =
                    place.and_then(|place| self.found.ways.get(place)).unwrap_or(&Way::Driven);
                let inputs = || self.inputs(run.1, together.clone());
                way.ranges(together.start, cases, self.course.questions.cycle_of(run), inputs)
            });
            let mut part = part.into_iter();
            let mut by_day: BTreeMap<usize, Inputs> = BTreeMap::new();
            for (place, all) in values.iter_mut().enumerate() {
                match fit(place) {
                    Some(fit) => {
                        let day = driven.day_asked(&self.course.names()[place]);
                        let inputs =
                            by_day.entry(day).or_insert_with(|| self.inputs(day, together.clone()));
                        all.extend((0..together.len()).map(|world| fit.at(inputs, world)));
                    }
                    None => all.extend(part.next().into_iter().flatten()),
                }
            }
        }
        values
    }

    /// What is asked of a run of about this way.
    fn asks(&self, run: Run, way_m: f64) -> Asks {
        let questions = &self.course.questions;
        let asked = |row| questions.of_run(run).any(|question| question.is(row));
        let scale = self.model.unsure.iter().find(|unsure| *unsure.key == *USE_SCALE);
        let of_car = scale.map_or(0.0, |unsure| unsure.spread.standard_deviation());
        let of_trip = self.trips.as_ref().map_or(0.0, |trips| trips.sd(way_m));
        Asks {
            keeps_up: asked(&rows::KEEPS_UP),
            shortfall: asked(&rows::SHORTFALL),
            left_out_sd: libm::hypot(of_car, of_trip),
        }
    }

    /// What is unsure about the car and about one of its days, in these worlds; less what multiplies a run that was driven.
    fn inputs(&self, day: usize, worlds: Range<usize>) -> Inputs {
        let all = self.worlds.of_car(self.model).deviations(worlds.clone());
        let pairs = self.model.unsure.iter().zip(all);
        let driven = pairs.filter(|(unsure, _)| *unsure.key != *USE_SCALE);
        let mut inputs: Inputs = driven.map(|(_, deviations)| deviations).collect();
        if let Some(day) = self.course.days.get(day) {
            inputs.extend(self.worlds.of_day(day).deviations(worlds));
        }
        inputs
    }

    fn part(
        &self,
        questions: &Questions,
        worlds: Range<usize>,
        range: impl FnMut(Run, &[CarOnDay<'_>]) -> Vec<ShortRange>,
    ) -> Values {
        let (cars, days) = self.made(worlds.clone());
        let ready = ready(&cars, &days);
        let fleet = Fleet { cars: &cars, days: &days, ready: &ready };
        let trip = |run: Run, place: usize, modelled: &ShortRange| match &self.trips {
            Some(trips) => trips.driven(run, worlds.start + place, modelled),
            None => *modelled,
        };
        questions.answers(&fleet, self.price, range, trip)
    }

    /// The car and its days in these worlds.
    fn made(&self, worlds: Range<usize>) -> (Vec<Car>, Vec<Vec<Day>>) {
        let drawn = self.worlds.of_car(self.model);
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
                let drawn = self.worlds.of_day(model);
                let day = |world: usize| {
                    let spec = drawn.day(world).ok();
                    spec.and_then(|spec| Day::new(&spec).ok()).unwrap_or_else(|| nominal.clone())
                };
                worlds.clone().map(day).collect()
            })
            .collect();
        (cars, days)
    }
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
