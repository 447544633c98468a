//! What options are asked: the answers, and the cycles, days and supplies that they need.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use crownwheel::charger::Socket;
use crownwheel::constants::JOULE_PER_WH;
use crownwheel::cycle::Cycle;
use crownwheel::hold::{Climb, Held};
use crownwheel::pull::{FullThrottle, Throttle};
use crownwheel::range::{Prepared, ShortRange, short_onces};
use crownwheel::ready::Ready;
use crownwheel::trials::{Case, climbs, full_throttles};
use crownwheel::weights::{Case as Load, loaded};
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::Supply;
use crownwheel_answers::{AnswerName, Axle, LoadCase};

use crate::demand::{Bound, Demand};
use crate::model::DayModel;

/// Steps of a full-throttle run in the worlds, s. The answer moves by less than a thousandth against
/// the 0.02 s of a single build.
const THROTTLE_STEP_S: f64 = 0.05;

/// Minutes for which a speed is held if no demand says how long.
const USUAL_MINUTES: f64 = 30.0;

/// A cycle with its name.
#[derive(Clone, Debug)]
pub struct NamedCycle {
    /// Name, as answers say it.
    pub name: Arc<str>,
    /// The cycle.
    pub cycle: Cycle,
}

/// Everything that an option is asked.
#[derive(Clone, Debug)]
pub struct Course {
    /// The answers, in the order in which they are given.
    pub names: Arc<[AnswerName]>,
    /// Cycles that answers name.
    pub cycles: Vec<NamedCycle>,
    /// Days that answers name; the first stands where an answer names none.
    pub days: Vec<DayModel>,
    /// Supplies that answers name.
    pub supplies: Vec<Supply>,
    /// The cycles as they are driven, in their order.
    /// How long each answer in minutes is looked at, min, in the order of the answers.
    longest_minutes: Vec<f64>,
}

/// An answer that names what the course does not have.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct NotThere {
    /// The answer.
    pub answer: AnswerName,
}

impl fmt::Display for NotThere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let key = self.answer.key();
        write!(f, "`{key}` names a cycle, day or supply that the course does not have")
    }
}

impl std::error::Error for NotThere {}

/// A range on a cycle and a day, by their places.
pub(crate) type Run = (usize, usize);

impl Course {
    /// A course for these answers; what demands ask beside them is added. Days that no answer needs are
    /// left out.
    ///
    /// # Errors
    /// The first answer that names a cycle, day or supply that is not there.
    pub fn new(
        mut names: Vec<AnswerName>,
        demands: &[Demand],
        cycles: Vec<NamedCycle>,
        days: Vec<DayModel>,
        supplies: Vec<Supply>,
    ) -> Result<Course, NotThere> {
        let conditions = || demands.iter().flat_map(|demand| &demand.conditions);
        for condition in conditions() {
            if !names.contains(&condition.answer) {
                names.push(condition.answer.clone());
            }
        }
        let minutes = |name: &AnswerName| {
            let asked = conditions().filter(|it| it.answer == *name).map(|it| match it.bound {
                Bound::AtLeast(minutes) | Bound::AtMost(minutes) => minutes,
            });
            asked.fold(USUAL_MINUTES, f64::max)
        };
        let longest_minutes = names.iter().map(minutes).collect();
        let names: Arc<[AnswerName]> = names.into();
        let days = asked_for(days, &names);
        let course = Course { names, cycles, days, supplies, longest_minutes };
        match course.names.iter().find(|name| !course.has(name)) {
            Some(answer) => Err(NotThere { answer: answer.clone() }),
            None => Ok(course),
        }
    }

    fn has(&self, name: &AnswerName) -> bool {
        let day_of = |day: &Option<Arc<str>>| self.day(day.as_deref()).is_some();
        match name {
            AnswerName::Range { .. }
            | AnswerName::KeepsUp { .. }
            | AnswerName::RangeWithReserve { .. }
            | AnswerName::Use { .. }
            | AnswerName::WallUse { .. }
            | AnswerName::Shortfall { .. } => self.run(name).is_some(),
            AnswerName::ChargeLeft { cycle, day, .. } => {
                self.cycle(cycle).is_some() && self.day(Some(day)).is_some()
            }
            AnswerName::CruiseMinutes { day, .. }
            | AnswerName::HoldGrade { day, .. }
            | AnswerName::HoldMinutes { day, .. }
            | AnswerName::StartGrade { day }
            | AnswerName::Time { day, .. } => day_of(day),
            AnswerName::ChargeHours { supply, day, .. } => {
                self.supplies.iter().any(|known| known.name == *supply) && day_of(day)
            }
            _ => !self.days.is_empty(),
        }
    }

    /// Place of an answer.
    #[must_use]
    pub fn place(&self, name: &AnswerName) -> Option<usize> {
        self.names.iter().position(|known| known == name)
    }

    /// The cycle of a range.
    pub(crate) fn driven(&self, run: Run) -> &Cycle {
        &self.cycles[run.0].cycle
    }

    fn day(&self, name: Option<&str>) -> Option<usize> {
        match name {
            None => (!self.days.is_empty()).then_some(0),
            Some(name) => self.days.iter().position(|known| *known.day.name == *name),
        }
    }

    /// Cycle and day of an answer that is a range.
    fn run(&self, name: &AnswerName) -> Option<Run> {
        let (AnswerName::Range { cycle, day }
        | AnswerName::KeepsUp { cycle, day }
        | AnswerName::RangeWithReserve { cycle, day }
        | AnswerName::Use { cycle, day }
        | AnswerName::WallUse { cycle, day }
        | AnswerName::Shortfall { cycle, day }) = name
        else {
            return None;
        };
        Some((self.cycle(cycle)?, self.day(Some(day))?))
    }

    fn cycle(&self, name: &str) -> Option<usize> {
        self.cycles.iter().position(|known| *known.name == *name)
    }

    /// The ranges that are needed, each once.
    pub(crate) fn runs(&self) -> Vec<Run> {
        let mut runs: Vec<Run> = self.names.iter().filter_map(|name| self.run(name)).collect();
        runs.sort_unstable();
        runs.dedup();
        runs
    }

    /// The answers of several cars: a list over the cars for each answer. `days[place]` holds each car's
    /// day, `range` gives the ranges of all cars on a cycle and a day, `price` is the option's.
    pub(crate) fn answers(
        &self,
        cars: &[Car],
        days: &[Vec<Day>],
        ready: &[Vec<Ready>],
        price: Option<f64>,
        mut range: impl FnMut(Run, &[Prepared<'_>]) -> Vec<ShortRange>,
    ) -> Vec<Vec<f64>> {
        let all = All { cars, days, ready };
        let ranges: Vec<(Run, Vec<ShortRange>)> =
            self.runs().into_iter().map(|run| (run, range(run, &all.on(run.1)))).collect();
        let sprints = self.sprints(&all);
        let one = |(place, name): (usize, &AnswerName)| {
            if let Some(run) = self.run(name) {
                let found = ranges.iter().find(|(known, _)| *known == run);
                return found.map_or_else(Vec::new, |(_, ranges)| {
                    let pairs = all.on(run.1).into_iter().zip(ranges);
                    pairs.map(|(case, range)| of_range(name, &case, range)).collect()
                });
            }
            if let AnswerName::Time { from_kmh, to_kmh, day } = name {
                let place = self.day(day.as_deref());
                let found = sprints.iter().find(|(known, _)| Some(*known) == place);
                let speeds_mps = (from_kmh / 3.6, to_kmh / 3.6);
                return found.map_or_else(Vec::new, |(_, all)| times_s(all, speeds_mps));
            }
            self.plain(name, self.longest_minutes[place], &all, price)
        };
        self.names.iter().enumerate().map(one).collect()
    }

    /// Full throttle on every day that a time names, once, up to the highest speed named.
    fn sprints(&self, all: &All<'_>) -> Vec<(usize, Vec<FullThrottle>)> {
        let mut highest_mps: BTreeMap<usize, f64> = BTreeMap::new();
        for name in self.names.iter() {
            if let AnswerName::Time { to_kmh, day, .. } = name
                && let Some(place) = self.day(day.as_deref())
            {
                let highest = highest_mps.entry(place).or_default();
                *highest = highest.max(to_kmh / 3.6);
            }
        }
        let run =
            |(place, to_mps)| (place, full_throttles(&all.full(place), THROTTLE_STEP_S, to_mps));
        highest_mps.into_iter().map(run).collect()
    }

    /// An answer that is no range and no time.
    fn plain(
        &self,
        name: &AnswerName,
        longest_minutes: f64,
        all: &All<'_>,
        price: Option<f64>,
    ) -> Vec<f64> {
        let All { cars, .. } = *all;
        let cases = |day: &Option<Arc<str>>| -> Vec<Case<'_>> {
            let place = self.day(day.as_deref()).unwrap_or(0);
            all.full(place)
        };
        let each = |of: &dyn Fn(&Car) -> f64| cars.iter().map(of).collect::<Vec<f64>>();
        let minutes = |speed_kmh: f64, grade_pct: f64, day: &Option<Arc<str>>| {
            let climb = Climb { speed_mps: speed_kmh / 3.6, grade_frac: grade_pct / 100.0 };
            let held = climbs(&cases(day), climb, longest_minutes * 60.0);
            held.into_iter().map(minutes_held).collect()
        };
        match name {
            AnswerName::ChargeLeft { cycle, day, from_pct } => {
                let (Some(cycle), Some(day)) = (self.cycle(cycle), self.day(Some(day))) else {
                    return vec![f64::NAN; cars.len()];
                };
                let runs = short_onces(&all.on(day), &self.cycles[cycle].cycle, from_pct / 100.0);
                runs.iter().map(|run| 100.0 * run.end_charge_frac).collect()
            }
            AnswerName::CruiseMotorSpeed { speed_kmh } => each(&|car| {
                car.motor_radps_per_mps() * speed_kmh / 3.6 * 30.0 / std::f64::consts::PI
            }),
            AnswerName::CruiseMinutes { speed_kmh, day } => minutes(*speed_kmh, 0.0, day),
            AnswerName::HoldMinutes { speed_kmh, grade_pct, day } => {
                minutes(*speed_kmh, *grade_pct, day)
            }
            AnswerName::HoldGrade { speed_kmh, day } => {
                cases(day).iter().map(|case| steepest_pct(case, speed_kmh / 3.6)).collect()
            }
            AnswerName::StartGrade { day } => {
                cases(day).iter().map(|case| steepest_pct(case, 0.0)).collect()
            }
            AnswerName::AxleLoad { axle, case } => each(&|car| {
                let corners = loaded(&car.spec().weights, &car.spec().pack, load(*case)).corners;
                match axle {
                    Axle::Front => corners.front_axle_kg(),
                    Axle::Rear => corners.rear_axle_kg(),
                }
            }),
            AnswerName::Mass { case } => each(&|car| {
                loaded(&car.spec().weights, &car.spec().pack, load(*case)).corners.total_kg()
            }),
            AnswerName::ChargeHours { supply, from_pct, to_pct, day } => {
                let known = self.supplies.iter().find(|known| known.name == *supply);
                let limit_w = known.map_or(0.0, |known| known.limit_w);
                let (from, to) = (from_pct / 100.0, to_pct / 100.0);
                cases(day)
                    .iter()
                    .map(|(of, _)| charge_hours(of.car, of.day, limit_w, from, to))
                    .collect()
            }
            AnswerName::Price => vec![price.unwrap_or(f64::NAN); cars.len()],
            // Ranges and times are answered elsewhere; an answer of a later kind is not known.
            _ => vec![f64::NAN; cars.len()],
        }
    }
}

/// The days that answers name, and the first where one names none.
fn asked_for(days: Vec<DayModel>, names: &[AnswerName]) -> Vec<DayModel> {
    let is_named = |day: &DayModel| names.iter().any(|name| name.day() == Some(&day.day.name));
    let first = names.iter().any(|name| name.day().is_none());
    let needed = |(place, day): &(usize, DayModel)| (first && *place == 0) || is_named(day);
    days.into_iter().enumerate().filter(needed).map(|(_, day)| day).collect()
}

/// Cars with their days, by the places of days, made ready.
#[derive(Clone, Copy)]
pub(crate) struct All<'a> {
    pub(crate) cars: &'a [Car],
    pub(crate) days: &'a [Vec<Day>],
    pub(crate) ready: &'a [Vec<Ready>],
}

impl<'a> All<'a> {
    /// Every car on one of its days.
    pub(crate) fn on(&self, place: usize) -> Vec<Prepared<'a>> {
        let days = self.days[place].iter().zip(&self.ready[place]);
        let pairs = self.cars.iter().zip(days);
        pairs.map(|(car, (day, ready))| Prepared { car, day, ready }).collect()
    }

    /// The same with a full pack.
    fn full(&self, place: usize) -> Vec<Case<'a>> {
        let case = |of: Prepared<'a>| (of, of.car.spec().pack.usable_to_frac);
        self.on(place).into_iter().map(case).collect()
    }
}

fn of_range(name: &AnswerName, of: &Prepared<'_>, range: &ShortRange) -> f64 {
    let km = range.distance_m / 1000.0;
    match name {
        AnswerName::Range { .. } => range.range_m() / 1000.0,
        AnswerName::KeepsUp { .. } => range.keeps_up_m() / 1000.0,
        AnswerName::RangeWithReserve { .. } => range.range_with_reserve_m() / 1000.0,
        AnswerName::Use { .. } => range.use_j / JOULE_PER_WH / km,
        AnswerName::WallUse { .. } => {
            let full_frac = of.car.spec().pack.usable_to_frac;
            let socket = Socket::unlimited(of.car, of.day);
            socket.wall_j(range.end_charge_frac, full_frac) / JOULE_PER_WH / km
        }
        _ => range.shortfall_s,
    }
}

/// Times from one speed to another, s; infinite where the higher is not reached.
fn times_s(runs: &[FullThrottle], (from_mps, to_mps): (f64, f64)) -> Vec<f64> {
    let time = |run: &FullThrottle| run.time_between_s(from_mps, to_mps);
    runs.iter().map(|run| time(run).unwrap_or(f64::INFINITY)).collect()
}

/// Minutes until the motor cuts back; infinite if it does not while it is looked at.
fn minutes_held(held: Held) -> f64 {
    match held {
        Held::Always => f64::INFINITY,
        Held::CutBackAfter(seconds) | Held::EmptyAfter(seconds) => seconds / 60.0,
        Held::NotAtAll(_) => 0.0,
        Held::HeatNotKnown => f64::NAN,
    }
}

/// Steepest grade, %, on which a speed is held for the moment.
fn steepest_pct((of, charge_frac): &Case<'_>, speed_mps: f64) -> f64 {
    let throttle = Throttle::prepared(of, *charge_frac);
    let row = throttle.row(speed_mps);
    row.and_then(|row| throttle.grade_held(row.pull_n, speed_mps))
        .map_or(0.0, |grade| grade * 100.0)
}

/// Hours to charge; infinite if it does not get there.
fn charge_hours(car: &Car, day: &Day, limit_w: f64, from: f64, to: f64) -> f64 {
    let done = Socket::new(car, day, limit_w).charge(from, to);
    let there = done.end_charge_frac >= to - 1e-6 || done.taper_from_frac.is_some();
    if there && done.duration_s.is_finite() { done.duration_s / 3600.0 } else { f64::INFINITY }
}

fn load(case: LoadCase) -> Load {
    match case {
        LoadCase::AsOnScales => Load::AsOnTheScales,
        LoadCase::ConvertedEmpty => Load::ConvertedEmpty,
        LoadCase::DriverOnly => Load::DriverOnly,
        LoadCase::EverySeat => Load::EverySeatFilled,
        LoadCase::AtGross => Load::AtGross,
    }
}
