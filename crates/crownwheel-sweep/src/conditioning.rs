//! Worlds weighed by the facts that were measured on the built car.

use std::fmt;

use crownwheel::spec::SpecError;
use crownwheel::unsure::Model;
use crownwheel_quantities::{Question, Units};
use rayon::prelude::*;

use crate::course::Course;
use crate::facts::{Contradiction, Fact, FactWeights, Facts, FactsError, Verdict};
use crate::result::{Amount, FactAgainst, FactsAnswer};
use crate::run::{Runner, Values, joined, pieces};
use crate::worlds::Worlds;

/// Worlds of one piece of work: two batches.
const PIECE: usize = 128;

/// Why worlds cannot be weighed.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum NoWeights {
    /// The built car or a day cannot be.
    Car(SpecError),
    /// A fact is about an answer that the course does not give.
    NotAsked(String),
    /// The facts cannot be used.
    Facts(FactsError),
}

impl fmt::Display for NoWeights {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoWeights::Car(error) => error.fmt(f),
            NoWeights::NotAsked(key) => write!(f, "nothing predicts `{key}`"),
            NoWeights::Facts(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for NoWeights {}

/// Weighs the worlds by facts, each with the answer that predicts it, measured on this car.
///
/// # Errors
/// The car cannot be, or the facts cannot be used.
pub fn weigh(
    facts: &[(Question, Fact)],
    course: &Course,
    worlds: &Worlds,
    model: &Model,
) -> Result<FactWeights, NoWeights> {
    let values = modelled(course, worlds, model).map_err(NoWeights::Car)?;
    let sd = |question: &Question| {
        let cycle = course.questions.cycle_asked(question);
        cycle.map_or(0.0, |it| model.car.model.trip_sd_over(it.cycle.distance_m()))
    };
    weigh_predicted(facts, course, &values, sd)
}

/// As [`weigh`], where every answer of the course in all worlds is there already. `trip_sd` is the relative standard
/// deviation of what an answer is on one trip from what it is on the next.
///
/// # Errors
/// The facts cannot be used.
pub fn weigh_predicted(
    facts: &[(Question, Fact)],
    course: &Course,
    values: &Values,
    trip_sd: impl Fn(&Question) -> f64,
) -> Result<FactWeights, NoWeights> {
    let of = |name: &Question| {
        course
            .place(name)
            .map(|place| values[place].clone())
            .ok_or_else(|| NoWeights::NotAsked(name.key()))
    };
    let predictions = facts.iter().map(|(name, _)| of(name)).collect::<Result<Values, _>>()?;
    let own = |(question, fact): &(Question, Fact)| (trip_sd(question) * fact.measured).powi(2);
    let variances: Vec<f64> = facts.iter().map(own).collect();
    let facts: Vec<Fact> = facts.iter().map(|(_, fact)| fact.clone()).collect();
    let covariance: Vec<Vec<f64>> = (0..facts.len())
        .map(|row| {
            let own = variances[row];
            (0..facts.len()).map(|column| if row == column { own } else { 0.0 }).collect()
        })
        .collect();
    let facts = Facts::new(facts, &covariance).map_err(NoWeights::Facts)?;
    facts.weigh(&predictions).map_err(NoWeights::Facts)
}

/// What measured facts did to the worlds, for people.
#[must_use]
pub fn facts_answer(used: Vec<(Question, String)>, conditioned: &FactWeights) -> FactsAnswer {
    let unit_of = |fact: &str| {
        let found = used.iter().find(|(_, name)| name == fact);
        found.map_or("", |(answer, _)| Units::Metric.symbol(answer.unit()))
    };
    let against = |it: &Contradiction| {
        let unit = unit_of(&it.fact.name);
        FactAgainst {
            fact: it.fact.name.to_string(),
            measured: Amount { value: it.fact.measured, unit },
            predicted: Amount { value: it.predicted, unit },
            distance_sd: it.distance_sd,
        }
    };
    let tempered_by = match conditioned.verdict {
        Verdict::Tempered { exponent, .. } => Some(exponent),
        Verdict::Enough | Verdict::Few => None,
    };
    let contradictions = conditioned.contradictions.iter().map(against).collect();
    FactsAnswer {
        effective_worlds: conditioned.weights.effective(),
        tempered_by,
        contradictions,
        used: used.into_iter().map(|(_, name)| name).collect(),
    }
}

/// Every answer of the course in all worlds.
///
/// # Errors
/// The nominal car or a nominal day cannot be.
pub fn predicted(course: &Course, worlds: &Worlds, model: &Model) -> Result<Values, SpecError> {
    Ok(all_of(Runner::new(course, worlds, model, None)?, worlds))
}

/// The same with every run as the model says, without what differs from trip to trip.
///
/// # Errors
/// The nominal car or a nominal day cannot be.
pub fn modelled(course: &Course, worlds: &Worlds, model: &Model) -> Result<Values, SpecError> {
    Ok(all_of(Runner::new(course, worlds, model, None)?.without_trips(), worlds))
}

fn all_of(mut runner: Runner<'_>, worlds: &Worlds) -> Values {
    runner.find(None);
    let pieces = pieces(0..worlds.count(), PIECE).into_par_iter();
    joined(pieces.map(|piece| runner.more(piece)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel_quantities::rows;
    use std::num::NonZeroUsize;
    use std::sync::Arc;

    use crownwheel::cycle::Cycle;
    use crownwheel::example;
    use crownwheel::knob::Knob;

    use crate::{DayModel, UncertainNumber};
    use crownwheel::spread::Spread;
    use crownwheel_quantities::NamedCycle;

    /// A car that used more than was expected rolls harder than was thought, and one that used far more
    /// is not the car of the build.
    #[test]
    fn worlds_that_say_what_was_measured_count_more() {
        let car = example::small_saloon();
        let key = "tyres.rolling_resistance";
        let knob = Knob::find(key, &car).unwrap();
        let spread = Spread::normal(car.tyres.rolling_resistance, 0.003);
        let unsure = UncertainNumber { key: Arc::from(key), knob, spread, physical: (0.004, 0.03) };
        let model = Model { car, unsure: vec![unsure] };
        let day = DayModel { day: example::mild_day(), unsure: Vec::new() };
        let (round, mild) = (Arc::<str>::from("round"), day.day.name.clone());
        let cycle = NamedCycle { name: Arc::clone(&round), cycle: Cycle::builtin("udds").unwrap() };
        let name = Question::of(&rows::USE).on_cycle(round).on_day(mild);
        let course =
            Course::new(vec![name.clone()], &[], vec![cycle], vec![day], Vec::new()).unwrap();
        let worlds = Worlds::new(1, NonZeroUsize::new(60).unwrap(), 0);
        let values = predicted(&course, &worlds, &model).unwrap().remove(0);
        let mut sorted = values.clone();
        sorted.sort_by(f64::total_cmp);
        let (middle, high) = (sorted[30], sorted[50]);
        let of = |measured: f64| {
            let standard_deviation = 0.002 * measured;
            let fact = Fact { name: Arc::from("may"), measured, standard_deviation };
            weigh(&[(name.clone(), fact)], &course, &worlds, &model).unwrap()
        };
        let heavy = of(high);
        let units = worlds.units(key);
        let mean: f64 = heavy.weights.shares().iter().zip(units.iter()).map(|(w, u)| w * u).sum();
        assert!(mean > 0.6, "{mean}");
        assert!(heavy.contradictions.is_empty() && heavy.weights.effective() < 60.0);
        let far = of(2.0 * middle);
        assert_eq!(far.contradictions.len(), 1);
        assert!((far.contradictions[0].predicted / middle - 1.0).abs() < 0.01);
        let other = Question::of(&rows::PRICE);
        let fact = Fact { name: Arc::from("x"), measured: 1.0, standard_deviation: 1.0 };
        let refused = weigh(&[(other.clone(), fact)], &course, &worlds, &model);
        assert_eq!(refused.unwrap_err(), NoWeights::NotAsked(other.key()));
    }

    #[test]
    fn what_facts_did_is_told_with_their_unit() {
        let use_of = Question::of(&rows::USE).on_cycle("round").on_day("mild");
        let fact = Fact { name: Arc::from("may"), measured: 180.0, standard_deviation: 2.0 };
        let facts = Facts::new(vec![fact], &[vec![0.0]]).unwrap();
        let predicted: Vec<f64> = (0..500).map(|i| 140.0 + 0.01 * f64::from(i)).collect();
        let conditioned = facts.weigh(&[predicted]).unwrap();
        let answer = facts_answer(vec![(use_of, "may".to_owned())], &conditioned);
        assert_eq!(answer.used, ["may"]);
        let against = &answer.contradictions[0];
        assert_eq!((against.fact.as_str(), against.measured.unit), ("may", "Wh/km"));
        assert!((against.predicted.value - 142.495).abs() < 1e-9 && against.distance_sd > 3.0);
        assert!(answer.tempered_by.is_some_and(|exponent| exponent < 1.0));
    }
}
