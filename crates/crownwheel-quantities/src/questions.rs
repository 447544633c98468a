//! Many questions at once: what they need is driven once, for many cars side by side.

use crownwheel::name::Name;
use std::fmt;
use std::sync::Arc;

use crownwheel::charger::Socket;
use crownwheel::cycle::Cycle;
use crownwheel::hold::{Climb, HoldTime, STEP_S};
use crownwheel::pull::{FullThrottle, THROTTLE_STEP_S, Throttle};
use crownwheel::range::{CarOnDay, ShortRange, short_onces, short_ranges};
use crownwheel::ready::Ready;
use crownwheel::trials::{Case, climbs, full_throttles};
use crownwheel::{Car, Day};

use crate::Question;
use crate::demand::Demand;
use crate::quantity::Reading;

/// Minutes for which a speed is held if nobody says how long.
const USUAL_MINUTES: f64 = 30.0;

/// A socket or wall box.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Name as written in the build.
    pub name: Name,
    /// Highest power that it gives, W.
    pub limit_w: f64,
}

/// A cycle with its name.
#[derive(Clone, Debug)]
pub struct NamedCycle {
    /// Name, as answers say it.
    pub name: Arc<str>,
    /// The cycle.
    pub cycle: Cycle,
}

impl From<Cycle> for NamedCycle {
    fn from(cycle: Cycle) -> NamedCycle {
        NamedCycle { name: Arc::from(cycle.name()), cycle }
    }
}

/// Questions, and the cycles, days and supplies that they name.
#[derive(Clone, Debug)]
pub struct Questions {
    list: Arc<[Question]>,
    cycles: Vec<NamedCycle>,
    days: Vec<Name>,
    supplies: Vec<Supply>,
    /// For how long a climb is looked at, min, in the order of the questions.
    longest_minutes: Vec<f64>,
    throttle_step_s: f64,
    climb_step_s: f64,
}

/// A question that names what is not there.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct NotThere {
    /// The question.
    pub key: String,
}

impl fmt::Display for NotThere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` names a cycle, day or supply that is not there", self.key)
    }
}

impl std::error::Error for NotThere {}

/// A cycle on a day, by their places.
pub type Run = (usize, usize);

impl Questions {
    /// These questions of cycles, days (by their names; the first stands where a question names none) and
    /// supplies.
    ///
    /// # Errors
    /// The first question that names a cycle, day or supply that is not there.
    pub fn new(
        list: Vec<Question>,
        cycles: Vec<NamedCycle>,
        days: Vec<Name>,
        supplies: Vec<Supply>,
    ) -> Result<Questions, NotThere> {
        let longest_minutes = vec![USUAL_MINUTES; list.len()];
        let list = Arc::from(list);
        let (throttle_step_s, climb_step_s) = (THROTTLE_STEP_S, STEP_S);
        let all = Questions {
            list,
            cycles,
            days,
            supplies,
            longest_minutes,
            throttle_step_s,
            climb_step_s,
        };
        match all.list.iter().find(|question| !all.has(question)) {
            Some(question) => Err(NotThere { key: question.key() }),
            None => Ok(all),
        }
    }

    /// Looks at climbs for as long as demands on them ask.
    #[must_use]
    pub fn judged_by(mut self, demands: &[Demand]) -> Questions {
        let conditions = || demands.iter().flat_map(|demand| &demand.conditions);
        let minutes = |question: &Question| {
            let limits = conditions().filter(|it| it.question == *question);
            limits.map(|it| it.bound.limit()).fold(USUAL_MINUTES, f64::max)
        };
        self.longest_minutes = self.list.iter().map(minutes).collect();
        self
    }

    /// Looks at every climb for this long, min.
    #[must_use]
    pub fn looking_for(mut self, minutes: f64) -> Questions {
        self.longest_minutes.fill(minutes);
        self
    }

    /// Drives full throttle in steps of this many seconds.
    #[must_use]
    pub fn in_steps_of(mut self, throttle_step_s: f64) -> Questions {
        self.throttle_step_s = throttle_step_s;
        self
    }

    /// Climbs in steps of this many seconds.
    #[must_use]
    pub fn climbing_in_steps_of(mut self, climb_step_s: f64) -> Questions {
        self.climb_step_s = climb_step_s;
        self
    }

    /// The questions, in the order of their answers.
    #[must_use]
    pub fn list(&self) -> &Arc<[Question]> {
        &self.list
    }

    /// Place of a question.
    #[must_use]
    pub fn place(&self, question: &Question) -> Option<usize> {
        self.list.iter().position(|known| known == question)
    }

    /// The cycle that a question is asked of. `None`: it is asked of none.
    #[must_use]
    pub fn cycle_asked(&self, question: &Question) -> Option<&NamedCycle> {
        self.cycle(question).map(|place| &self.cycles[place])
    }

    /// The cycle and the day of a run.
    #[must_use]
    pub fn names_of(&self, run: Run) -> (&str, &str) {
        (&self.cycles[run.0].name, &self.days[run.1])
    }

    /// The cycle of a run.
    #[must_use]
    pub fn cycle_of(&self, run: Run) -> &Cycle {
        &self.cycles[run.0].cycle
    }

    /// Every cycle with the day that it is driven on, over and over or once, each once.
    #[must_use]
    pub fn driven(&self) -> Vec<Run> {
        self.runs_where(|_| true)
    }

    /// The ranges that are needed, each once.
    #[must_use]
    pub fn runs(&self) -> Vec<Run> {
        self.runs_where(|reading| matches!(reading, Reading::Range(_)))
    }

    /// Those at some places of the list, of the same cycles, days and supplies.
    #[must_use]
    pub fn only(&self, keep: impl Fn(usize) -> bool) -> Questions {
        let kept = || (0..self.list.len()).filter(|place| keep(*place));
        Questions {
            list: kept().map(|place| self.list[place].clone()).collect(),
            longest_minutes: kept().map(|place| self.longest_minutes[place]).collect(),
            ..self.clone()
        }
    }

    /// The place of the day of a question.
    #[must_use]
    pub fn day_asked(&self, question: &Question) -> usize {
        self.day(question).unwrap_or(0)
    }

    /// The questions of a cycle on a day.
    pub fn of_run(&self, run: Run) -> impl Iterator<Item = &Question> {
        self.list.iter().filter(move |it| self.run(it) == Some(run))
    }

    /// The runs of the questions that are read so, each once.
    fn runs_where(&self, is_read: impl Fn(Reading) -> bool) -> Vec<Run> {
        let read = self.list.iter().filter(|it| is_read(it.quantity().reading));
        let mut runs: Vec<Run> = read.filter_map(|it| self.run(it)).collect();
        runs.sort_unstable();
        runs.dedup();
        runs
    }

    /// The answers of one car on these days, in the order of the questions; `price` is what it costs.
    #[must_use]
    pub fn of_one(&self, car: &Car, days: &[Day], price: Option<f64>) -> Vec<f64> {
        let days: Vec<Vec<Day>> = days.iter().map(|day| vec![day.clone()]).collect();
        let cars = std::slice::from_ref(car);
        let ready = ready(cars, &days);
        let fleet = Fleet { cars, days: &days, ready: &ready };
        let answers = self.answers(
            &fleet,
            price,
            |run, cases| short_ranges(cases, self.cycle_of(run)),
            |_, _, modelled| *modelled,
        );
        answers.into_iter().map(|values| values.first().copied().unwrap_or(f64::NAN)).collect()
    }

    /// The answers of several cars: a list over the cars for each question. `range` gives the ranges of
    /// all cars on a cycle and a day, `trip` what one of these becomes on a trip of its own,
    /// `price` is what the option costs.
    #[must_use]
    pub fn answers(
        &self,
        fleet: &Fleet<'_>,
        price: Option<f64>,
        mut range: impl FnMut(Run, &[CarOnDay<'_>]) -> Vec<ShortRange>,
        trip: impl Fn(Run, usize, &ShortRange) -> ShortRange,
    ) -> Vec<Vec<f64>> {
        let driven = |run: Run, modelled: Vec<ShortRange>| -> Vec<ShortRange> {
            modelled.iter().enumerate().map(|(car, one)| trip(run, car, one)).collect()
        };
        let ranges: Vec<(Run, Vec<ShortRange>)> = self
            .runs()
            .into_iter()
            .map(|run| (run, driven(run, range(run, &fleet.on(run.1)))))
            .collect();
        let throttles = self.throttles(fleet);
        let moments = self.moments(fleet);
        let one = |(place, question): (usize, &Question)| -> Vec<f64> {
            let day = self.day(question).unwrap_or(0);
            match question.quantity().reading {
                Reading::Price => vec![price.unwrap_or(f64::NAN); fleet.cars.len()],
                Reading::Car(read) => fleet.cars.iter().map(|car| read(car, question)).collect(),
                Reading::Day(read) => fleet.days[day].iter().map(read).collect(),
                Reading::Moment(read) => each(&moments, day, |it| read(it, question)),
                Reading::Throttle(read) => each(&throttles, day, |it| read(it, question)),
                Reading::Climb(read) => {
                    let held = self.climb(fleet, question, self.longest_minutes[place]);
                    held.into_iter().map(read).collect()
                }
                Reading::Once(read) => {
                    let Some(run) = self.run(question) else { return Vec::new() };
                    driven(run, self.once(fleet, run, question)).iter().map(read).collect()
                }
                Reading::Charge(read) => self.charge(fleet, question, read),
                Reading::Range(read) => {
                    let run = self.run(question);
                    let driven = ranges.iter().find(|(known, _)| Some(*known) == run);
                    let cases = fleet.on(day);
                    let pairs = driven.into_iter().flat_map(|(_, all)| cases.iter().zip(all));
                    pairs.map(|(of, run)| read(of, run)).collect()
                }
            }
        };
        self.list.iter().enumerate().map(one).collect()
    }

    /// Full throttle on every day that it is asked of, once, up to the highest speed named that the car may reach.
    fn throttles(&self, fleet: &Fleet<'_>) -> Vec<(usize, Vec<FullThrottle>)> {
        let run = |day: usize| {
            let of_day = self.needing(day, |reading| matches!(reading, Reading::Throttle(_)));
            let asked_mps: Vec<f64> = of_day.map(Question::mps).collect();
            if asked_mps.is_empty() {
                return None;
            }
            Some((day, full_throttles(&fleet.full(day), self.throttle_step_s, &asked_mps)))
        };
        (0..self.days.len()).filter_map(run).collect()
    }

    /// Every car on every day for which a moment is asked.
    fn moments<'a>(&self, fleet: &Fleet<'a>) -> Vec<(usize, Vec<Throttle<'a>>)> {
        let moments = |day: usize| {
            self.needing(day, |reading| matches!(reading, Reading::Moment(_))).next()?;
            let cases = fleet.full(day);
            Some((day, cases.iter().map(|(of, full)| Throttle::prepared(of, *full)).collect()))
        };
        (0..self.days.len()).filter_map(moments).collect()
    }

    fn needing(
        &self,
        day: usize,
        needs: impl Fn(Reading) -> bool,
    ) -> impl Iterator<Item = &Question> {
        let of_day =
            move |it: &&Question| needs(it.quantity().reading) && self.day(it) == Some(day);
        self.list.iter().filter(of_day)
    }

    fn climb(&self, fleet: &Fleet<'_>, question: &Question, longest_minutes: f64) -> Vec<HoldTime> {
        let climb = Climb { speed_mps: question.mps(), grade_frac: question.grade_pct() / 100.0 };
        let day = self.day(question).unwrap_or(0);
        climbs(&fleet.full(day), climb, (longest_minutes * 60.0, self.climb_step_s))
    }

    fn once(&self, fleet: &Fleet<'_>, run: Run, question: &Question) -> Vec<ShortRange> {
        short_onces(&fleet.on(run.1), self.cycle_of(run), question.from_frac())
    }

    fn charge(
        &self,
        fleet: &Fleet<'_>,
        question: &Question,
        read: fn(&crownwheel::charger::Charge, &Question) -> f64,
    ) -> Vec<f64> {
        let limit_w = self.supply(question).map_or(0.0, |known| known.limit_w);
        let one = |of: CarOnDay<'_>| {
            let socket = Socket::new(of.car, of.day, limit_w);
            read(&socket.charge(question.from_frac(), question.to_frac()), question)
        };
        fleet.on(self.day(question).unwrap_or(0)).into_iter().map(one).collect()
    }

    fn has(&self, question: &Question) -> bool {
        let takes = |argument: &str| question.quantity().takes(argument);
        (!takes("cycle") || self.cycle(question).is_some())
            && (!takes("supply") || self.supply(question).is_some())
            && self.day(question).is_some()
    }

    fn run(&self, question: &Question) -> Option<Run> {
        Some((self.cycle(question)?, self.day(question)?))
    }

    fn cycle(&self, question: &Question) -> Option<usize> {
        let name = question.cycle()?;
        self.cycles.iter().position(|known| known.name == *name)
    }

    fn day(&self, question: &Question) -> Option<usize> {
        match question.day() {
            None => (!self.days.is_empty()).then_some(0),
            Some(name) => self.days.iter().position(|known| known == name),
        }
    }

    fn supply(&self, question: &Question) -> Option<&Supply> {
        self.supplies.iter().find(|known| Some(&known.name) == question.supply())
    }
}

/// The list of a day, each of its items read.
fn each<T>(lists: &[(usize, Vec<T>)], day: usize, read: impl Fn(&T) -> f64) -> Vec<f64> {
    let of_day = lists.iter().find(|(known, _)| *known == day);
    of_day.into_iter().flat_map(|(_, list)| list.iter().map(&read)).collect()
}

/// Cars with their days, by the places of days, made ready.
#[derive(Clone, Copy, Debug)]
pub struct Fleet<'a> {
    /// The cars.
    pub cars: &'a [Car],
    /// Each car's day, by the places of days.
    pub days: &'a [Vec<Day>],
    /// The same made ready.
    pub ready: &'a [Vec<Ready>],
}

impl<'a> Fleet<'a> {
    /// Every car on one of its days.
    #[must_use]
    pub fn on(&self, place: usize) -> Vec<CarOnDay<'a>> {
        let days = self.days[place].iter().zip(&self.ready[place]);
        let pairs = self.cars.iter().zip(days);
        pairs.map(|(car, (day, ready))| CarOnDay { car, day, ready }).collect()
    }

    /// The same with a full pack.
    fn full(&self, place: usize) -> Vec<Case<'a>> {
        let case = |of: CarOnDay<'a>| (of, of.car.spec().pack.usable_to_frac);
        self.on(place).into_iter().map(case).collect()
    }
}

/// Every car made ready for its days, by the places of days.
#[must_use]
pub fn ready(cars: &[Car], days: &[Vec<Day>]) -> Vec<Vec<Ready>> {
    let of =
        |days: &Vec<Day>| cars.iter().zip(days).map(|(car, day)| Ready::new(car, day)).collect();
    days.iter().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Bound, rows};
    use crownwheel::example::{mild_day, small_saloon, winter_day};

    fn car_and_days() -> (Car, [Day; 2]) {
        let days = [mild_day(), winter_day()].map(|day| Day::new(&day).unwrap());
        (Car::new(&small_saloon()).unwrap(), days)
    }

    fn ask(list: Vec<Question>) -> Vec<f64> {
        let (car, days) = car_and_days();
        let cycles = vec![Cycle::builtin("udds").unwrap().into()];
        let names = days.iter().map(|day| day.name().clone()).collect();
        let supplies = vec![Supply { name: "garage".into(), limit_w: 2300.0 }];
        Questions::new(list, cycles, names, supplies).unwrap().of_one(&car, &days, None)
    }

    #[test]
    fn a_speed_that_is_not_held_on_the_flat_meets_no_demand_to_hold_it() {
        let held =
            ask([80.0, 400.0].map(|kmh| Question::of(&rows::HOLD_GRADE).at_kmh(kmh)).to_vec());
        assert!(Bound::AtLeast(0.0).holds(held[0]) && held[0] > 1.0, "{held:?}");
        assert!(!Bound::AtLeast(0.0).holds(held[1]), "{held:?}");
    }

    #[test]
    fn every_answer_is_the_one_of_its_question_whatever_is_asked_beside_it() {
        let (_, days) = car_and_days();
        let on = |row, day: &Day| Question::of(row).on_cycle("udds").on_day(day.name());
        let list = vec![
            on(&rows::RANGE, &days[1]),
            Question::of(&rows::TIME).between(0.0, 50.0),
            Question::of(&rows::TIME).between(0.0, 80.0).on_day(days[1].name()),
            on(&rows::USE, &days[0]),
            Question::of(&rows::START_GRADE),
            Question::of(&rows::CHARGE_HOURS).at_supply("garage").from_pct(20.0).to_pct(80.0),
            Question::of(&rows::MASS).loaded(crownwheel::weights::LoadCase::DriverOnly),
        ];
        let together = ask(list.clone());
        assert!(together.iter().all(|value| value.is_finite() && *value > 0.0), "{together:?}");
        for (question, value) in list.into_iter().zip(together) {
            let key = question.key();
            assert_eq!(ask(vec![question])[0].to_bits(), value.to_bits(), "{key}");
        }
    }

    #[test]
    fn what_is_not_there_is_named() {
        let of =
            |question: Question| Questions::new(vec![question], Vec::new(), Vec::new(), Vec::new());
        let refused =
            of(Question::of(&rows::RANGE).on_cycle("nowhere").on_day("mild")).unwrap_err();
        assert!(refused.to_string().contains("range_km.nowhere.mild"), "{refused}");
    }
}
