//! One option in its worlds: every answer in every world.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crownwheel::range::{CarOnDay, ShortRange, driven_ranges, short_ranges};
use crownwheel::ready::Ready;
use crownwheel::spec::SpecError;
use crownwheel::unsure::Model;
use crownwheel::{Car, Day};
use crownwheel_quantities::{Fleet, Question, Questions, Reading, Run, ready, rows};
use rayon::prelude::*;

use crate::answer_fit::{AnswerFit, column};
use crate::course::Course;
use crate::fit::{Inputs, first_lists, lists};
use crate::pilot::{Asks, Columns, FEWEST_PILOTS, PILOTS, Way};
use crate::relatives::Column;
use crate::repeat::Repeat;
use crate::trips::Trips;
use crate::worlds::Worlds;

/// Worlds of a piece of work: a batch.
const PIECE: usize = 16;

/// Steps of a climb in the worlds, s. Minutes to cut-back move by a hundredth at most against the 1 s of a single build.
const CLIMB_STEP_S: f64 = 5.0;

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

/// What was found of one option in all worlds, for the fits of others.
#[derive(Clone, Debug, PartialEq)]
pub struct Reference {
    /// By the course's runs.
    runs: Vec<Option<Arc<Columns>>>,
    /// By the course's questions.
    answers: Vec<Option<Arc<Column>>>,
}

/// Worlds that were made.
struct Made {
    cars: Vec<Car>,
    days: Vec<Vec<Day>>,
    ready: Vec<Vec<Ready>>,
}

impl Made {
    fn fleet(&self) -> Fleet<'_> {
        Fleet { cars: &self.cars, days: &self.days, ready: &self.ready }
    }
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

    /// Drives the pilots, which say how the answers of all worlds are found; fewer where those of another option are known.
    pub fn find(&mut self, like: Option<&Reference>) {
        let all = self.worlds.count();
        if self.worlds.drives_all() || all <= PILOTS[0] {
            return;
        }
        let runs = self.course.questions.runs();
        let days = self.pilots_inputs();
        let mut made = Vec::new();
        let of = |run: &Run| {
            let place = runs.iter().position(|known| known == run)?;
            like?.runs[place].clone()
        };
        let counts = if like.is_some() { &FEWEST_PILOTS[..] } else { &PILOTS[..] };
        let mut ways = self.ways(&mut made, &runs, counts, &days, &of);
        let fits = self.fits(&mut made, &days, like);
        let ways = runs.iter().filter_map(|run| ways.remove(run)).collect();
        self.found = Found { ways, fits };
    }

    /// What of this option is known in all worlds: its ranges by a fit on many pilots, and its other answers as they were
    /// driven.
    #[must_use]
    pub fn reference(self) -> Reference {
        let questions = &self.course.questions;
        let runs = questions.runs();
        let days = self.pilots_inputs();
        let ways = self.ways(&mut Vec::new(), &runs, &PILOTS[1..], &days, &|_| None);
        let asked = questions.only(|place| is_fitted(&questions.list()[place]));
        let piece = |worlds: Range<usize>| self.driven(&asked, &self.made(worlds));
        let all = pieces(0..self.worlds.count(), TOGETHER).into_par_iter();
        let mut columns = joined(all.map(piece).collect()).into_iter().map(|it| column(&it, 0.0));
        let mut fitted = || columns.next().flatten().map(Arc::new);
        let answer = |question: &Question| if is_fitted(question) { fitted() } else { None };
        let answers = questions.list().iter().map(answer).collect();
        Reference { runs: self.columns(&runs, &ways), answers }
    }

    /// What is unsure in the worlds that may be pilots, by the places of days.
    fn pilots_inputs(&self) -> Vec<Inputs> {
        let most = PILOTS[1].min(self.worlds.count());
        (0..self.days.len()).map(|day| self.inputs(day, 0..most)).collect()
    }

    /// Answers that are not read from ranges, driven.
    fn driven(&self, questions: &Questions, made: &Made) -> Values {
        self.answers(questions, 0, made, |_, _| Vec::new())
    }

    /// What was found of runs in all worlds.
    fn columns(&self, runs: &[Run], ways: &BTreeMap<Run, Way>) -> Vec<Option<Arc<Columns>>> {
        let all = self.worlds.count();
        let of = |run: &Run| {
            let inputs = self.inputs(run.1, 0..all);
            ways.get(run)?.columns(&lists(&inputs), all).map(Arc::new)
        };
        runs.par_iter().map(of).collect()
    }

    /// The ways of runs, from as few pilots of these counts as do; `like` gives what is known of others.
    fn ways(
        &self,
        made: &mut Vec<Made>,
        runs: &[Run],
        counts: &[usize],
        days: &[Inputs],
        like: &(dyn Fn(&Run) -> Option<Arc<Columns>> + Sync),
    ) -> BTreeMap<Run, Way> {
        let questions = &self.course.questions;
        let repeat =
            |run: &Run| (*run, Repeat::of(&self.car, &self.days[run.1], questions.cycle_of(*run)));
        let repeats: BTreeMap<Run, Repeat> = runs.par_iter().map(repeat).collect();
        let mut driven: BTreeMap<Run, Vec<ShortRange>> = BTreeMap::new();
        let mut ways: BTreeMap<Run, Way> = BTreeMap::new();
        let mut done = 0;
        for count in counts.iter().map(|count| (*count).min(self.worlds.count())) {
            let open: Vec<Run> =
                runs.iter().copied().filter(|run| !ways.contains_key(run)).collect();
            if open.is_empty() || count == done {
                break;
            }
            self.make(made, count);
            for (run, more) in self.drive(&made[done / PIECE..count.div_ceil(PIECE)], &open) {
                driven.entry(run).or_default().extend(more);
            }
            done = count;
            let way = |run: &Run| {
                let pilots = &driven[run];
                let inputs = first_lists(&days[run.1], pilots.len());
                let asks = self.asks(*run, pilots[0].distance_m);
                Some((*run, Way::of(pilots, &inputs, like(run), asks, &repeats[run])?))
            };
            ways.extend(open.par_iter().filter_map(way).collect::<Vec<_>>());
        }
        for (run, driven) in driven {
            ways.entry(run).or_insert_with(|| Way::driving(driven));
        }
        ways
    }

    /// Ranges of pilots on some cycles and days, side by side.
    fn drive(&self, made: &[Made], runs: &[Run]) -> Vec<(Run, Vec<ShortRange>)> {
        let work = |run: &Run| made.iter().map(move |made| (*run, made)).collect::<Vec<_>>();
        let work: Vec<(Run, &Made)> = runs.iter().flat_map(work).collect();
        let one = |(run, made): &(Run, &Made)| {
            let cases = made.fleet().on(run.1);
            (*run, driven_ranges(&cases, self.course.questions.cycle_of(*run)))
        };
        work.par_iter().map(one).collect()
    }

    /// Makes worlds up to a number, if they are not made.
    fn make(&self, made: &mut Vec<Made>, count: usize) {
        let pieces = pieces(made.len() * PIECE..count, PIECE).into_par_iter();
        made.extend(pieces.map(|worlds| self.made(worlds)).collect::<Vec<_>>());
    }

    /// The fits of answers that are not read from runs, where they do.
    fn fits(
        &self,
        made: &mut Vec<Made>,
        days: &[Inputs],
        like: Option<&Reference>,
    ) -> Vec<Option<AnswerFit>> {
        let questions = &self.course.questions;
        let list = questions.list();
        let counts = if like.is_some() { &FEWEST_PILOTS[..2] } else { &PILOTS[..] };
        let mut given_up: Vec<usize> = Vec::new();
        let mut fits: Vec<Option<AnswerFit>> = vec![None; list.len()];
        for count in counts {
            let open: Vec<usize> = (0..fits.len())
                .filter(|at| is_fitted(&list[*at]) && fits[*at].is_none() && !given_up.contains(at))
                .collect();
            if open.is_empty() {
                break;
            }
            let count = (*count).min(self.worlds.count());
            self.make(made, count);
            let asked = questions.only(|place| open.contains(&place));
            let pilots = made[..count.div_ceil(PIECE)].par_iter();
            let values = joined(pilots.map(|made| self.driven(&asked, made)).collect());
            let fit = |(place, driven): (&usize, &Vec<f64>)| {
                let day = questions.day_asked(&list[*place]);
                let inputs = first_lists(&days[day], driven.len());
                let like = like.and_then(|like| like.answers.get(*place)?.as_ref());
                (*place, AnswerFit::of(driven, &inputs, like))
            };
            let found: Vec<_> = open.par_iter().zip(&values).map(fit).collect();
            found.into_iter().for_each(|(place, fit)| fits[place] = fit);
            // An answer that is infinite in a world is driven in all.
            let finite = |values: &Vec<f64>| values.iter().all(|value| value.is_finite());
            let unfit = open.iter().zip(&values).filter(|(_, values)| !finite(values));
            given_up.extend(unfit.map(|(place, _)| *place));
        }
        fits
    }

    /// Every answer in some worlds, after [`Runner::find`].
    #[must_use]
    pub fn more(&self, worlds: Range<usize>) -> Values {
        joined(pieces(worlds, TOGETHER).into_iter().map(|piece| self.piece(piece)).collect())
    }

    fn piece(&self, worlds: Range<usize>) -> Values {
        let questions = &self.course.questions;
        let runs = questions.runs();
        let fit = |place: usize| self.found.fits.get(place).and_then(Option::as_ref);
        let driven = questions.only(|place| fit(place).is_none());
        let finds = !(self.found.ways.is_empty() && self.found.fits.is_empty());
        let days = if finds { 0..self.days.len() } else { 0..0 };
        let days: Vec<Inputs> = days.map(|day| self.inputs(day, worlds.clone())).collect();
        let made = self.made(worlds.clone());
        let mut part = self
            .answers(&driven, worlds.start, &made, |run, cases| {
                let place = runs.iter().position(|known| *known == run);
                let cycle = questions.cycle_of(run);
                match place.and_then(|place| self.found.ways.get(place)) {
                    Some(way) => way.ranges(worlds.clone(), cases, cycle, &lists(&days[run.1])),
                    None => short_ranges(cases, cycle),
                }
            })
            .into_iter();
        let answer = |place: usize| match fit(place) {
            Some(fit) => fit.values(
                &lists(&days[questions.day_asked(&questions.list()[place])]),
                worlds.clone(),
            ),
            None => part.next().unwrap_or_default(),
        };
        (0..questions.list().len()).map(answer).collect()
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

    /// Answers of worlds that were made, from the number of the first.
    fn answers(
        &self,
        questions: &Questions,
        first: usize,
        made: &Made,
        range: impl FnMut(Run, &[CarOnDay<'_>]) -> Vec<ShortRange>,
    ) -> Values {
        let trip = |run: Run, place: usize, modelled: &ShortRange| match &self.trips {
            Some(trips) => trips.driven(run, first + place, modelled),
            None => *modelled,
        };
        let questions = questions.clone().climbing_in_steps_of(CLIMB_STEP_S);
        questions.answers(&made.fleet(), self.price, range, trip)
    }

    /// The car and its days in these worlds.
    fn made(&self, worlds: Range<usize>) -> Made {
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
        let ready = ready(&cars, &days);
        Made { cars, days, ready }
    }
}

/// Worlds in pieces of work.
pub(crate) fn pieces(worlds: Range<usize>, piece: usize) -> Vec<Range<usize>> {
    let Range { start, end } = worlds;
    (start..end).step_by(piece).map(|from| from..(from + piece).min(end)).collect()
}

/// Whether a fit may say the answers of a question: it is read neither from a range nor from the car alone.
fn is_fitted(question: &Question) -> bool {
    let reading = question.quantity().reading;
    matches!(
        reading,
        Reading::Moment(_) | Reading::Throttle(_) | Reading::Climb(_) | Reading::Charge(_)
    )
}

/// Parts one behind the other.
pub(crate) fn joined(parts: Vec<Values>) -> Values {
    let mut values = vec![Vec::new(); parts.first().map_or(0, Vec::len)];
    parts.into_iter().for_each(|part| append(&mut values, part));
    values
}

/// Adds the worlds that come after.
pub(crate) fn append(values: &mut Values, more: Values) {
    for (all, more) in values.iter_mut().zip(more) {
        all.extend(more);
    }
}
