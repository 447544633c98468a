//! A sweep that was read, and what its options are asked.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::Car;
use crownwheel::constants::METRE_PER_MILE;
use crownwheel_files::SweepBuild;
use crownwheel_quantities::{Demand, NamedCycle, Question, rows};
use crownwheel_sweep::course::Course;
use crownwheel_sweep::decision::Decision;
use crownwheel_sweep::screening::Screening;
use crownwheel_sweep::single::weigh_and_tell;
use crownwheel_sweep::sweep::{OptionLook, Plan, SharedReference};
use crownwheel_sweep::worlds::USUAL_SCREENED;
use crownwheel_sweep::{Space, Weights, Worlds};

use super::AskError;
use super::loaded::{hash, of_build};
use crate::from_car::{Subject, concerns, weigh};
use crate::from_sweep::{SweepContext, answer, facts_not_used, model_error_note};
use crate::sweep::FactsAnswer;
use crate::text::clean;
use crate::{LoadCase, Provenance, SweepAnswer, Units, Warning};

/// Options that are looked at and written together: two for each of eight threads.
const BLOCK: usize = 16;

/// The same where each takes hardly any time.
const NOMINAL_BLOCK: usize = 1024;

/// Everything that a sweep is run with.
#[derive(Debug)]
pub struct Job {
    /// The sweep as it was read.
    pub sweep: SweepBuild,
    /// The built car.
    pub subject: Subject,
    /// What every option is asked.
    pub course: Course,
    demands: Vec<Demand>,
    /// The worlds.
    pub worlds: Worlds,
    weights: Weights,
    facts: Option<FactsAnswer>,
    /// Why the facts could not be used.
    warnings: Vec<Warning>,
    compared: Vec<usize>,
    reference: SharedReference,
}

impl Job {
    /// A sweep that was read with these settings; its worlds are weighed by what was measured. `reference`: each is driven to
    /// its end.
    ///
    /// # Errors
    /// The core refuses the built car, or the sweep has not what a demand is set on.
    pub fn of(
        sweep: SweepBuild,
        units: Units,
        sets: &[String],
        reference: bool,
    ) -> Result<Job, AskError> {
        let mut subject = of_build(sweep.build.clone(), units, sets)?.subject;
        subject.provenance = Provenance {
            inputs_hash: hash(&sweep.inputs, sets),
            seed: Some(sweep.seed),
            ..subject.provenance
        };
        let demands = sweep.build.conditions();
        let course = course(&sweep, &demands, units)?;
        let worlds = Worlds::new(sweep.seed, sweep.worlds, USUAL_SCREENED).driving_all(reference);
        let compared = compared(&course, &demands, priced(&sweep.space));
        let mut job = Job {
            weights: Weights::equal(worlds.count()),
            sweep,
            subject,
            course,
            demands,
            worlds,
            facts: None,
            warnings: Vec::new(),
            compared,
            reference: SharedReference::default(),
        };
        job.weigh()?;
        Ok(job)
    }

    /// The plan.
    pub fn plan(&self) -> Plan<'_> {
        Plan {
            space: &self.sweep.space,
            course: &self.course,
            worlds: &self.worlds,
            demands: &self.demands,
            weights: &self.weights,
            screening: self.sweep.screening.then(Screening::default),
            compared: self.compared.clone(),
            reference: Arc::clone(&self.reference),
        }
    }

    /// What a world, counted from 0, counts; 1 where nothing was measured.
    pub fn counts(&self, world: usize) -> f64 {
        let shares = self.weights.shares();
        // Shares add up to 1.
        let alike = u32::try_from(shares.len()).map_or(f64::NAN, f64::from);
        shares.get(world).map_or(0.0, |share| share * alike)
    }

    /// What the answer says beside the numbers.
    fn told(&self) -> SweepContext {
        let (sweep, subject) = (&self.sweep, &self.subject);
        let mut notes: Vec<String> = self.facts.iter().map(|_| model_error_note()).collect();
        notes.extend(sweep.notes.iter().chain(&subject.notes).cloned());
        let lines = subject.lines_to_add.iter().map(|it| (it.key.clone(), it.line.clone()));
        let listed = sweep.cycles.iter().filter(|cycle| cycle.listed);
        SweepContext {
            provenance: subject.provenance.clone(),
            units: subject.units,
            car: sweep.build.car.name.clone(),
            cycles: listed.map(|cycle| cycle.cycle.name().to_owned()).collect(),
            days: sweep.days.iter().map(|day| day.day.name.clone()).collect(),
            currency: sweep.currency.as_ref().map(ToString::to_string),
            lines: lines.collect::<BTreeMap<_, _>>(),
            facts: self.facts.clone(),
            notes,
            assumed: subject.assumed.clone(),
            warnings: self.warnings.clone(),
        }
    }

    /// Looks at options block by block.
    ///
    /// # Errors
    /// Those of `take`, which ends the look.
    pub fn look<E>(
        &self,
        mut options: impl Iterator<Item = u128>,
        take: &mut dyn FnMut(Vec<OptionLook>) -> Result<(), E>,
    ) -> Result<(), E> {
        let plan = self.plan();
        let at_once = if plan.worlds.count() == 1 { NOMINAL_BLOCK } else { BLOCK };
        loop {
            let block: Vec<u128> = options.by_ref().take(at_once).collect();
            if block.is_empty() {
                return Ok(());
            }
            take(plan.look(&block).into_iter().map(in_one_line).collect())?;
        }
    }

    /// The answer of a decision, with what stands out about the best option: axles over their plate and the like.
    #[must_use]
    pub fn answer(&self, decision: &Decision) -> SweepAnswer {
        let mut answer = answer(&self.plan(), decision, self.told());
        let best = decision.ranked().first().and_then(|at| self.sweep.space.unchecked(*at));
        if let Some(car) = best.and_then(|best| Car::new(&best.model.ok()?.car).ok()) {
            let subject = Subject { car, ..self.subject.clone() };
            answer.warnings.extend([weigh(&subject).warnings, concerns(&subject)].concat());
        }
        answer
    }

    fn weigh(&mut self) -> Result<(), AskError> {
        let facts = self.sweep.build.facts();
        if facts.is_empty() || self.worlds.count() == 1 {
            return Ok(());
        }
        let names: Vec<Question> = facts.iter().map(|fact| fact.question.clone()).collect();
        let course = new_course(names, &[], &self.sweep)?;
        let pairs: Vec<_> =
            facts.into_iter().map(|measured| (measured.question, measured.fact)).collect();
        match weigh_and_tell(&pairs, &course, &self.worlds, &self.sweep.build.model()) {
            Ok((weights, told)) => {
                self.weights = weights;
                self.facts = Some(told);
            }
            Err(why) => self.warnings.push(facts_not_used(&why)),
        }
        Ok(())
    }
}

/// A reason in one line: a file has a line for each option.
fn in_one_line(mut looked: OptionLook) -> OptionLook {
    if let Some(reason) = &mut looked.answer.reason {
        *reason = clean(&reason.split_whitespace().collect::<Vec<_>>().join(" "));
    }
    looked
}

/// Whether anything has a price.
fn priced(space: &Space) -> bool {
    let of_axes = space.axes.iter().flat_map(|axis| &axis.values).any(|it| it.price.is_some());
    let of_bases = space.bases.iter().flat_map(|base| &base.choices).any(|it| it.price.is_some());
    space.module_price.is_some() || of_axes || of_bases
}

/// The answers of every sweep, and those that its demands need.
fn course(sweep: &SweepBuild, demands: &[Demand], units: Units) -> Result<Course, AskError> {
    let mut names = Vec::new();
    for cycle in sweep.cycles.iter().filter(|cycle| cycle.listed) {
        for day in &sweep.days {
            let both = || (Arc::from(cycle.cycle.name()), day.day.name.clone());
            let (cycle, day) = both();
            names.push(Question::of(&rows::KEEPS_UP).on_cycle(cycle).on_day(day));
            let (cycle, day) = both();
            names.push(Question::of(&rows::RANGE).on_cycle(cycle).on_day(day));
            let (cycle, day) = both();
            names.push(Question::of(&rows::USE).on_cycle(cycle).on_day(day));
            let (cycle, day) = both();
            names.push(Question::of(&rows::SHORTFALL).on_cycle(cycle).on_day(day));
        }
    }
    let (to_kmh, cruise_kmh) = match units {
        Units::Metric => (100.0, 112.0),
        Units::Us => (60.0 * METRE_PER_MILE / 1000.0, 70.0 * METRE_PER_MILE / 1000.0),
    };
    names.push(Question::of(&rows::TIME).between(0.0, to_kmh));
    let asks_motor_speed = demands
        .iter()
        .flat_map(|demand| &demand.conditions)
        .any(|it| it.question.is(&rows::MOTOR_SPEED));
    if !asks_motor_speed {
        names.push(Question::of(&rows::MOTOR_SPEED).at_kmh(cruise_kmh));
    }
    names.push(Question::of(&rows::MASS).loaded(LoadCase::DriverOnly));
    let case = LoadCase::EverySeat;
    names.extend([&rows::FRONT_AXLE, &rows::REAR_AXLE].map(|axle| Question::of(axle).loaded(case)));
    if priced(&sweep.space) {
        names.push(Question::of(&rows::PRICE));
    }
    new_course(names, demands, sweep)
}

fn new_course(
    names: Vec<Question>,
    demands: &[Demand],
    sweep: &SweepBuild,
) -> Result<Course, AskError> {
    let named = |cycle: &crownwheel_files::sweep_file::SweepCycle| NamedCycle {
        name: Arc::from(cycle.cycle.name()),
        cycle: cycle.cycle.clone(),
    };
    let cycles = sweep.cycles.iter().map(named).collect();
    let (days, supplies) = (sweep.build.day_models(), sweep.build.supplies.clone());
    Course::new(names, demands, cycles, days, supplies).map_err(|missing| {
        AskError::failed(format!("the sweep has no cycle, day or supply for `{}`", missing.key))
    })
}

/// What options are compared by: the first range that is demanded, else the first; the first time; and
/// the price, where there is one, else the mass.
fn compared(course: &Course, demands: &[Demand], priced: bool) -> Vec<usize> {
    let names = &course.names();
    let place = |fits: &dyn Fn(&Question) -> bool| names.iter().position(fits);
    let is_range = |name: &Question| name.is_range();
    let demanded = demands.iter().flat_map(|demand| &demand.conditions).map(|it| &it.question);
    let wanted = demanded.into_iter().find(|name| is_range(name));
    let range = place(&|name| Some(name) == wanted).or_else(|| place(&is_range));
    let time = place(&|name| name.is(&rows::TIME));
    let driver = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
    let cost = if priced { Question::of(&rows::PRICE) } else { driver };
    [range, time, place(&|name| *name == cost)].into_iter().flatten().collect()
}
