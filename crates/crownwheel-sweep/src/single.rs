//! One car in all worlds: the bands of its answers, and what moves them.

use std::collections::BTreeMap;

use crownwheel::spec::SpecError;
use crownwheel::unsure::Model;
use crownwheel::{Car, Day};
use crownwheel_quantities::Band;
use crownwheel_quantities::{Demand, Question};

use crate::conditioning::{NoWeights, facts_answer, predicted, weigh};
use crate::course::Course;
use crate::demand::{Judgement, judge};
use crate::facts::Fact;
use crate::measure_next::{CarWorlds, measure_next};
use crate::quantile::Sample;
use crate::result::{Answers, FactsAnswer, MeasureNext};
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
    fn nominal(&self, name: &Question) -> Option<f64> {
        let place = self.course.place(name)?;
        self.nominal.get(place).copied()
    }

    /// The band of an answer around its nominal value. `None`: it was not asked, or no world that
    /// counts has it.
    #[must_use]
    pub fn band(&self, name: &Question, nominal: f64) -> Option<Band> {
        let place = self.course.place(name)?;
        let sample = Sample::new(self.values.get(place)?, self.weights)?;
        Some(Band::with(nominal, sample.summary().into()))
    }

    /// The world that counts whose answer lies nearest to the middle, counted from 0, with its car and its day. `None`: it
    /// was not asked, no world has it, or its numbers make no car.
    #[must_use]
    pub fn middle_world(&self, name: &Question) -> Option<(usize, Car, Day)> {
        let values = self.values.get(self.course.place(name)?)?;
        let middle = Sample::new(values, self.weights)?.summary().p50.value;
        let off = |world: usize| (values[world] - middle).abs();
        let counting = (0..values.len()).filter(|world| self.weights.shares()[*world] > 0.0);
        let world = counting
            .filter(|at| values[*at].is_finite())
            .min_by(|a, b| off(*a).total_cmp(&off(*b)))?;
        let car = Car::new(&self.worlds.of_car(self.model).car(world).ok()?).ok()?;
        let day_name = name.day()?;
        let day = self.course.days.iter().find(|day| day.day.name == *day_name)?;
        let day = Day::new(&self.worlds.of_day(day).day(world).ok()?).ok()?;
        Some((world, car, day))
    }

    /// Answers with their bands, those that have one, each around its nominal value where that is
    /// given.
    #[must_use]
    pub fn bands(&self, nominal: &[(Question, Option<f64>)]) -> Answers {
        let band = |(name, nominal): &(Question, Option<f64>)| {
            let nominal = nominal.or_else(|| self.nominal(name))?;
            Some((name.clone(), self.band(name, nominal)?))
        };
        let (names, bands): (Vec<Question>, Vec<Band>) = nominal.iter().filter_map(band).unzip();
        Answers::new(names.into(), bands)
    }

    /// How the car does by these demands; the course must ask what they are set on.
    #[must_use]
    pub fn judge(&self, demands: &[Demand]) -> Judgement {
        let place = |question: &Question| self.course.place(question);
        judge(
            demands,
            |question| place(question).map_or(f64::NAN, |at| self.nominal[at]),
            |question, world| place(question).map_or(f64::NAN, |at| self.values[at][world]),
            self.weights,
        )
    }

    /// The answers that demands are set on, each once, with their bands.
    #[must_use]
    pub fn bands_of(&self, demands: &[Demand]) -> Answers {
        let mut asked: Vec<(Question, Option<f64>)> = Vec::new();
        for condition in demands.iter().flat_map(|demand| &demand.conditions) {
            if asked.iter().all(|(known, _)| *known != condition.question) {
                asked.push((condition.question.clone(), None));
            }
        }
        self.bands(&asked)
    }

    /// In how many worlds the car was asked.
    #[must_use]
    pub fn worlds(&self) -> usize {
        self.worlds.count()
    }

    /// Inputs that are worth measuring because they move these answers. `lines` holds lines to write,
    /// by the key of the input.
    #[must_use]
    pub fn measure_next(
        &self,
        names: &[Question],
        lines: &BTreeMap<String, String>,
    ) -> Vec<MeasureNext> {
        let Single { course, worlds, model, weights, values, .. } = self;
        measure_next(&CarWorlds { course, worlds, model, values }, names, weights, lines)
    }
}

/// Weights of the worlds by the facts that were measured on a car, each with the answer that predicts
/// it, and what is to be said of them.
///
/// # Errors
/// The car cannot be, or the facts cannot be used.
pub fn weigh_and_tell(
    facts: &[(Question, Fact)],
    course: &Course,
    worlds: &Worlds,
    model: &Model,
) -> Result<(Weights, FactsAnswer), NoWeights> {
    let conditioned = weigh(facts, course, worlds, model)?;
    let used = facts.iter().map(|(answer, fact)| (answer.clone(), fact.name.to_string()));
    let told = facts_answer(used.collect(), &conditioned);
    Ok((conditioned.weights, told))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::name::Name;
    use crownwheel_quantities::{Bound, Condition, rows};
    use std::num::NonZeroUsize;
    use std::sync::Arc;

    use crownwheel::example;
    use crownwheel::knob::Knob;
    use crownwheel::weights::LoadCase;

    use crate::{DayModel, UncertainNumber};
    use crownwheel::spread::Spread;

    const KEY: &str = "pack.module_mass";
    const MASS: Question = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);

    /// A car whose modules are unsure by a standard deviation of one kilogram each, asked for its mass in
    /// 2000 worlds.
    struct Bench {
        modules: f64,
        model: Model,
        course: Course,
        worlds: Worlds,
        weights: Weights,
    }

    impl Bench {
        fn new() -> Bench {
            let car = example::small_saloon();
            let modules = f64::from(car.pack.modules_in_series * car.pack.modules_in_parallel);
            let knob = Knob::find(KEY, &car).unwrap();
            // ± 1.96 kg is a standard deviation of 1 kg.
            let spread = Spread::normal(car.pack.module_mass_kg, 1.96);
            let unsure =
                UncertainNumber { key: Arc::from(KEY), knob, spread, physical: (0.0, 1000.0) };
            let day = DayModel { day: example::mild_day(), unsure: Vec::new() };
            Bench {
                modules,
                model: Model { car, unsure: vec![unsure] },
                course: Course::new(vec![MASS], &[], Vec::new(), vec![day], Vec::new()).unwrap(),
                worlds: Worlds::new(SEED, NonZeroUsize::new(2000).unwrap(), 200),
                weights: Weights::equal(2000),
            }
        }

        fn single(&self) -> Single<'_> {
            Single::new(&self.course, &self.worlds, &self.model, &self.weights).unwrap()
        }
    }

    /// The mass of a car of which nothing else is unsure moves by the mass of a module times their
    /// number: one in ten lies 1.2816 standard deviations below.
    #[test]
    fn the_band_of_a_mass_is_that_of_its_parts() {
        let bench = Bench::new();
        let (modules, mass, single) = (bench.modules, MASS, bench.single());
        let bands = single.bands(&[(mass.clone(), None), (Question::of(&rows::PRICE), Some(1.0))]);
        assert_eq!(bands.iter().count(), 1, "nothing was asked of the price");
        let band = bands.get(&mass).unwrap();
        let [p10, p50, p90] = [band.p10, band.p50, band.p90].map(Option::unwrap);
        // Strata of 2000 leave the quantiles of one input all but exact.
        for (quantile, sd) in [(p10, -1.281_55), (p50, 0.0), (p90, 1.281_55)] {
            let off = quantile - (band.nominal + modules * sd);
            assert!(off.abs() < 0.01 * modules, "{off}");
        }
        let next = single.measure_next(std::slice::from_ref(&mass), &BTreeMap::new());
        assert_eq!(next.len(), 1);
        assert_eq!(next[0].key, KEY);
        assert!(next[0].share > 0.98, "{next:?}");
        assert_eq!(single.band(&mass, 5.0).unwrap().nominal.to_bits(), 5.0_f64.to_bits());
    }

    /// With all modules together unsure by a standard deviation of one kilogram each, a limit at the
    /// nominal mass is kept in half of the worlds, and one a standard deviation above in 84 % (normal
    /// distribution, common practice).
    #[test]
    fn a_demand_is_met_in_its_share_of_the_worlds() {
        let bench = Bench::new();
        let (modules, mass, single) = (bench.modules, MASS, bench.single());
        let nominal_kg = single.nominal(&mass).unwrap();
        let demand = |name: &str, limit: f64, sure_frac| Demand {
            name: Name::new(name),
            conditions: vec![Condition { question: mass.clone(), bound: Bound::AtMost(limit) }],
            sure_frac,
        };
        let demands = [
            demand("half", nominal_kg, None),
            demand("light", nominal_kg + modules, Some(0.8)),
            demand("sure", nominal_kg + modules, Some(0.9)),
        ];
        let met = single.judge(&demands).shown(&demands);
        assert!((met[0].probability - 0.5).abs() < 0.002, "{met:?}");
        assert!((met[1].probability - 0.841_34).abs() < 0.002, "{met:?}");
        let verdicts: Vec<bool> = met.iter().map(|met| met.met).collect();
        assert_eq!(verdicts, [true, true, false]);
    }
}
