//! One car in all worlds: the bands of its answers, and what moves them.

use std::collections::BTreeMap;

use crownwheel::spec::SpecError;
use crownwheel_answers::sweep::{Answers, FactsAnswer, MeasureNext};
use crownwheel_answers::{AnswerName, Band};

use crate::answer::{Ran, facts_answer, measure_next};
use crate::conditioning::{NoWeights, predicted, weigh};
use crate::course::Course;
use crate::facts::Fact;
use crate::model::Model;
use crate::quantile::Sample;
use crate::run::{Runner, Values};
use crate::weights::Weights;
use crate::worlds::Worlds;

/// Seed of the worlds of a single car: the same every time.
pub const SEED: u64 = 1;

/// A car in its worlds.
#[derive(Clone, Debug)]
pub struct Single<'a> {
    course: &'a Course,
    worlds: &'a Worlds,
    model: &'a Model,
    weights: &'a Weights,
    nominal: Vec<f64>,
    values: Values,
}

impl<'a> Single<'a> {
    /// Asks a car everything that the course asks, in all worlds.
    ///
    /// # Errors
    /// The nominal car or a nominal day cannot be.
    pub fn new(
        course: &'a Course,
        worlds: &'a Worlds,
        model: &'a Model,
        weights: &'a Weights,
    ) -> Result<Single<'a>, SpecError> {
        let nominal = Runner::new(course, worlds, model, None)?.nominal();
        let values = predicted(course, worlds, model)?;
        Ok(Single { course, worlds, model, weights, nominal, values })
    }

    /// An answer with every input at its nominal value.
    fn nominal(&self, name: &AnswerName) -> Option<f64> {
        let place = self.course.names.iter().position(|known| known == name)?;
        self.nominal.get(place).copied()
    }

    /// The band of an answer around its nominal value. `None`: it was not asked, or no world that
    /// counts has it.
    #[must_use]
    pub fn band(&self, name: &AnswerName, nominal: f64) -> Option<Band> {
        let place = self.course.names.iter().position(|known| known == name)?;
        let sample = Sample::new(self.values.get(place)?, self.weights)?;
        Some(Band::with(nominal, sample.summary().into()))
    }

    /// Answers with their bands, those that have one, each around its nominal value where that is
    /// given.
    #[must_use]
    pub fn bands(&self, nominal: &[(AnswerName, Option<f64>)]) -> Answers {
        let band = |(name, nominal): &(AnswerName, Option<f64>)| {
            let nominal = nominal.or_else(|| self.nominal(name))?;
            Some((name.clone(), self.band(name, nominal)?))
        };
        let (names, bands): (Vec<AnswerName>, Vec<Band>) = nominal.iter().filter_map(band).unzip();
        Answers::new(names.into(), bands)
    }

    /// Inputs that are worth measuring because they move these answers. `lines` holds lines to write,
    /// by the key of the input.
    #[must_use]
    pub fn measure_next(
        &self,
        names: &[AnswerName],
        lines: &BTreeMap<String, String>,
    ) -> Vec<MeasureNext> {
        let Single { course, worlds, model, weights, values, .. } = self;
        measure_next(&Ran { course, worlds, model, values }, names, weights, lines)
    }
}

/// Weights of the worlds by the facts that were measured on a car, each with the answer that predicts
/// it, and what is to be said of them.
///
/// # Errors
/// The car cannot be, or the facts cannot be used.
pub fn weigh_and_tell(
    facts: &[(AnswerName, Fact)],
    course: &Course,
    worlds: &Worlds,
    model: &Model,
) -> Result<(Weights, FactsAnswer), NoWeights> {
    let conditioned = weigh(facts, course, worlds, model)?;
    let used = facts.iter().map(|(answer, fact)| (answer.clone(), fact.name.to_string()));
    let told = facts_answer(used.collect(), &conditioned);
    Ok((conditioned.weights, told))
}
