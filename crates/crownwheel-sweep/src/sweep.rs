//! A whole sweep: every option in the first worlds, those that matter in all of them, and the decision.
//!
//! Nothing here depends on how many threads there are or in which parts options are looked at: an option's
//! numbers depend on the plan and on its own place alone.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::{Arc, OnceLock};

use crownwheel::Car;
use crownwheel::space::{OptionCase, Space};
use crownwheel::unsure::Model;
use crownwheel::weights::LoadCase;
use crownwheel_quantities::Band;
use crownwheel_quantities::{Demand, Question, rows};
use rayon::prelude::*;

use crate::course::Course;
use crate::demand::{Judgement, judge};
use crate::frontier::Frontier;
use crate::pilot::PILOTS;
use crate::quantile::Sample;
use crate::ranking::{Candidate, ranking};
use crate::result::{Answers, Choices, OptionAnswer};
use crate::run::{Found, Reference, Runner, Values, append, pieces};
use crate::screening::Screening;
use crate::weights::Weights;
use crate::worlds::Worlds;

/// Options whose first worlds are kept for the second look.
const KEPT_OPTIONS: u128 = 1000;

/// Worlds of one piece of work in the second look.
const PIECE: usize = 300;

/// What is to be found out.
#[derive(Debug)]
pub struct Plan<'a> {
    /// The options.
    pub space: &'a Space,
    /// What they are asked.
    pub course: &'a Course,
    /// The worlds; with one, only nominal values are looked at.
    pub worlds: &'a Worlds,
    /// What the car must do.
    pub demands: &'a [Demand],
    /// How much each world counts.
    pub weights: &'a Weights,
    /// The first look. `None`: all options are run in all worlds at once.
    pub screening: Option<Screening>,
    /// Answers that options are compared by, as places in the course's names: an option is kept if no
    /// other is better in all of them.
    pub compared: Vec<usize>,
    /// What was found of the option from which the others follow, once it was; plans of one job share it.
    pub reference: SharedReference,
}

/// See [`Plan::reference`]. `None` within: each option is found by itself.
pub type SharedReference = Arc<OnceLock<Option<Reference>>>;

/// An option after a look.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct OptionLook {
    /// Its number in the space.
    pub index: u128,
    /// Its answer.
    pub answer: OptionAnswer,
    /// How far its corrected ranges scatter about driven ones, relative.
    pub scatter: f64,
    kept: Option<FirstWorlds>,
}

impl OptionLook {
    /// An option that was looked at before and told on, without its worlds.
    #[must_use]
    pub fn told(index: u128, answer: OptionAnswer, scatter: f64) -> OptionLook {
        OptionLook { index, answer, scatter, kept: None }
    }
}

/// The first worlds of an option.
#[derive(Clone, Debug, PartialEq)]
struct FirstWorlds {
    found: Found,
    values: Values,
}

/// An option in all worlds.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct OptionRun {
    /// The option.
    pub looked: OptionLook,
    /// Its answers over the worlds, in the order of the course's names.
    pub values: Values,
}

/// What a decision needs of an option.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Brief {
    /// Its number in the space.
    pub index: u128,
    /// Identity.
    pub id: Arc<str>,
    /// Whether it meets every demand.
    pub meets_all: bool,
    /// Probability of meeting all demands.
    pub all_frac: f64,
    /// Price.
    pub price: Option<f64>,
    /// Mass with the driver, kg.
    pub mass_kg: f64,
    /// What it is compared by.
    pub compared: Vec<f64>,
}

impl Plan<'_> {
    /// Worlds of the first look.
    #[must_use]
    pub fn first_worlds(&self) -> usize {
        let first = |rule: Screening| {
            rule.leaves_out(self.space.len(), self.worlds.count()).then_some(rule.first_worlds)
        };
        self.screening.and_then(first).unwrap_or(self.worlds.count())
    }

    /// Whether there is a second look.
    #[must_use]
    pub fn looks_twice(&self) -> bool {
        self.first_worlds() < self.worlds.count()
    }

    /// Looks at options in the first worlds, in parallel; results in the order given.
    #[must_use]
    pub fn look(&self, indices: &[u128]) -> Vec<OptionLook> {
        // Options share the sheets of the first that can be built.
        let pattern = self.space.bases.iter().find_map(|base| {
            let model = base.model.as_ref().ok()?;
            Car::new(&model.car).ok()
        });
        let reference = self.reference();
        let look = |index: &u128| self.look_at(*index, pattern.as_ref(), reference);
        indices.par_iter().map(look).collect()
    }

    /// What was found of the car that choices are made from, from which the options follow. `None`: each is found by itself.
    #[must_use]
    pub fn reference(&self) -> Option<&Reference> {
        self.reference.get_or_init(|| self.find_reference()).as_ref()
    }

    fn find_reference(&self) -> Option<Reference> {
        let few = self.worlds.count() <= PILOTS[0] || self.space.len() == 1;
        if few || self.worlds.drives_all() {
            return None;
        }
        let model = self.space.bases.iter().find_map(|base| base.model.as_ref().ok())?;
        Some(Runner::new(self.course, self.worlds, model, None).ok()?.reference())
    }

    fn look_at(&self, index: u128, pattern: Option<&Car>, like: Option<&Reference>) -> OptionLook {
        let Some(option) = self.space.unchecked(index) else {
            let answer = OptionAnswer::impossible(
                String::new(),
                Choices::default(),
                "there is no such option".to_owned(),
            );
            return OptionLook { index, answer, scatter: 0.0, kept: None };
        };
        let choices = Choices::of(&option.choices);
        let refused = |reason: String| OptionLook {
            index,
            answer: OptionAnswer {
                price: option.price,
                ..OptionAnswer::impossible(option.id.clone(), choices.clone(), reason)
            },
            scatter: 0.0,
            kept: None,
        };
        let model = match &option.model {
            Ok(model) => model,
            Err(reason) => return refused(reason.clone()),
        };
        let runner = Runner::beside(pattern, self.course, self.worlds, model, option.price);
        let Ok(mut runner) = runner else {
            let reason = crownwheel::space::why_not(&model.car);
            return refused(reason.unwrap_or_else(|| "it cannot be built".to_owned()));
        };
        let count = self.first_worlds();
        let nominal = runner.nominal();
        let values = if self.worlds.count() == 1 {
            nominal.iter().map(|value| vec![*value]).collect()
        } else {
            runner.find(like);
            runner.more(0..count)
        };
        let answer = self.summed_up((option.id, choices, option.price), &nominal, &values);
        let kept = (self.looks_twice() && self.space.len() <= KEPT_OPTIONS)
            .then(|| FirstWorlds { found: runner.found().clone(), values });
        OptionLook { index, answer, scatter: runner.scatter(), kept }
    }

    /// Answers, demands and probabilities of an option from its worlds.
    fn summed_up(
        &self,
        (id, choices, price): (String, Choices, Option<f64>),
        nominal: &[f64],
        values: &Values,
    ) -> OptionAnswer {
        let worlds = values.first().map_or(0, Vec::len);
        let weights = self.weights.first(worlds).unwrap_or_else(|| Weights::equal(worlds));
        let band = |(nominal, values): (&f64, &Vec<f64>)| match Sample::new(values, &weights) {
            Some(sample) if worlds > 1 => Band::with(*nominal, sample.summary().into()),
            _ => Band::only(*nominal),
        };
        let bands: Vec<Band> = nominal.iter().zip(values).map(band).collect();
        let place = |name: &Question| self.course.place(name);
        let judgement = judge(
            self.demands,
            |name| place(name).map_or(f64::NAN, |at| nominal[at]),
            |name, world| place(name).map_or(f64::NAN, |at| values[at][world]),
            &weights,
        );
        let Judgement { all, meets_all, .. } = judgement;
        OptionAnswer {
            id,
            choices,
            answers: Answers::new(Arc::clone(self.course.names()), bands),
            demands: judgement.shown(self.demands),
            all_demands_probability: Some(all.value),
            all_demands_standard_error: Some(all.standard_error),
            meets_all,
            non_dominated: None,
            price,
            worlds,
            reason: None,
        }
    }

    /// What a decision needs of an option. `None`: it cannot be built.
    #[must_use]
    pub fn brief(&self, looked: &OptionLook) -> Option<Brief> {
        let answer = &looked.answer;
        if answer.reason.is_some() {
            return None;
        }
        let driver = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
        let compared = self.compared.iter().map(|place| {
            answer.answers.iter().nth(*place).map_or(f64::NAN, |(_, band)| band.middle())
        });
        Some(Brief {
            index: looked.index,
            id: Arc::from(answer.id.as_str()),
            meets_all: answer.meets_all,
            all_frac: answer.all_demands_probability.unwrap_or(0.0),
            price: answer.price,
            mass_kg: answer.answers.get(&driver).map_or(f64::INFINITY, Band::middle),
            compared: compared.collect(),
        })
    }

    /// Numbers of the options, the best first.
    #[must_use]
    pub fn ranked(&self, briefs: &[Brief]) -> Vec<u128> {
        let candidates: Vec<Candidate<'_>> = briefs
            .iter()
            .map(|brief| Candidate {
                id: &brief.id,
                meets_all: brief.meets_all,
                all_frac: brief.all_frac,
                price: brief.price,
                mass_kg: brief.mass_kg,
            })
            .collect();
        ranking(&candidates).into_iter().map(|place| briefs[place].index).collect()
    }

    /// Numbers of the options that no other beats in everything, among those that have a chance to meet
    /// every demand; among all if none has.
    #[must_use]
    pub fn non_dominated(&self, briefs: &[Brief]) -> Vec<u128> {
        let names = self.course.names();
        let directions = self.compared.iter().map(|place| names[*place].quantity().more_is_better);
        let mut frontier = Frontier::new(directions.collect());
        for brief in with_a_chance(briefs) {
            frontier.offer(brief.index, &brief.compared);
        }
        frontier.members()
    }

    /// Numbers of the options that go on to all worlds, in their order.
    #[must_use]
    pub fn go_on(&self, briefs: &[Brief]) -> Vec<u128> {
        match self.screening {
            Some(rule) if self.looks_twice() => {
                let chance: BTreeSet<u128> =
                    with_a_chance(briefs).iter().map(|brief| brief.index).collect();
                let mut ranked = self.ranked(briefs);
                ranked.retain(|index| chance.contains(index));
                let on = rule.go_on(&ranked, &self.non_dominated(briefs));
                on.into_iter().collect()
            }
            _ => Vec::new(),
        }
    }

    /// Runs options in all worlds, in parallel; `looked` are those that were looked at in this run. Results
    /// in the order given. `piece` is told of every piece of work that is done.
    #[must_use]
    pub fn finish(
        &self,
        indices: &[u128],
        looked: &BTreeMap<u128, OptionLook>,
        piece: &(dyn Fn() + Sync),
    ) -> Vec<OptionRun> {
        let chosen: Vec<BuildableOption> =
            indices.iter().filter_map(|index| BuildableOption::of(self.space, *index)).collect();
        let is_known = |index: &u128| looked.get(index).is_some_and(|it| it.kept.is_some());
        let reference = if indices.iter().all(is_known) { None } else { self.reference() };
        let started: Vec<OptionPass<'_>> = chosen
            .par_iter()
            .filter_map(|chosen| {
                let runner =
                    Runner::new(self.course, self.worlds, &chosen.model, chosen.price).ok()?;
                let kept = looked.get(&chosen.index).and_then(|looked| looked.kept.clone());
                let started = self.start(chosen, runner, kept, reference);
                piece();
                Some(started)
            })
            .collect();
        let work: Vec<(usize, Range<usize>)> = (0..started.len())
            .flat_map(|place| self.pieces().into_iter().map(move |worlds| (place, worlds)))
            .collect();
        let more: Vec<Values> = work
            .par_iter()
            .map(|(place, worlds)| {
                let values = started[*place].runner.more(worlds.clone());
                piece();
                values
            })
            .collect();
        let mut all: Vec<Values> = started.iter().map(|started| started.values.clone()).collect();
        for ((place, _), values) in work.iter().zip(more) {
            append(&mut all[*place], values);
        }
        started.iter().zip(all).map(|(started, values)| self.finished(started, values)).collect()
    }

    fn start<'s>(
        &self,
        chosen: &'s BuildableOption,
        mut runner: Runner<'s>,
        kept: Option<FirstWorlds>,
        like: Option<&Reference>,
    ) -> OptionPass<'s> {
        let values = match kept {
            Some(kept) => {
                runner.set_found(kept.found);
                kept.values
            }
            None => {
                runner.find(like);
                runner.more(0..self.first_worlds())
            }
        };
        OptionPass { chosen, runner, values }
    }

    fn finished(&self, started: &OptionPass<'_>, values: Values) -> OptionRun {
        let OptionPass { chosen, runner, .. } = started;
        let named = (chosen.id.clone(), chosen.choices.clone(), chosen.price);
        let answer = self.summed_up(named, &runner.nominal(), &values);
        let (index, scatter) = (chosen.index, runner.scatter());
        OptionRun { looked: OptionLook { index, answer, scatter, kept: None }, values }
    }

    /// The worlds after the first look, in pieces.
    #[must_use]
    pub fn pieces(&self) -> Vec<Range<usize>> {
        pieces(self.first_worlds()..self.worlds.count(), PIECE)
    }
}

/// Options that met every demand in some world. Where none did, the closest are worth a second look: all.
fn with_a_chance(briefs: &[Brief]) -> Vec<&Brief> {
    let found: Vec<&Brief> = briefs.iter().filter(|brief| brief.all_frac > 0.0).collect();
    if found.is_empty() { briefs.iter().collect() } else { found }
}

/// An option that can be built.
struct BuildableOption {
    index: u128,
    id: String,
    choices: Choices,
    price: Option<f64>,
    model: Model,
}

impl BuildableOption {
    fn of(space: &Space, index: u128) -> Option<BuildableOption> {
        let OptionCase { id, choices, model, price, .. } = space.unchecked(index)?;
        Some(BuildableOption {
            index,
            id,
            choices: Choices::of(&choices),
            price,
            model: model.ok()?,
        })
    }
}

/// An option on its way through all worlds.
struct OptionPass<'a> {
    chosen: &'a BuildableOption,
    runner: Runner<'a>,
    values: Values,
}
