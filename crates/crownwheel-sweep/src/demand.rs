//! What the car must do, and with what probability an option does it.

use crownwheel::name::Name;
use crownwheel_quantities::{Demand, Question};

use crate::result::DemandMet;
use crate::weights::Weights;

/// A share of the worlds.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Probability {
    /// The share, 0..1.
    pub value: f64,
    /// Its standard error. It is not 0 where all worlds agree: two worlds of each kind are counted in
    /// beside those that were seen, because a rare kind may just not have turned up.
    pub standard_error: f64,
}

impl Probability {
    /// The share of the worlds, of those in `weights`, in which something holds.
    #[must_use]
    pub fn of(holds: impl Fn(usize) -> bool, weights: &Weights) -> Probability {
        Probability::of_scores(|world| f64::from(holds(world)), weights)
    }

    /// The mean of a score of 0..1.
    pub(crate) fn of_scores(score: impl Fn(usize) -> f64, weights: &Weights) -> Probability {
        let shares = weights.shares().iter().enumerate();
        let sum: f64 = shares.map(|(world, share)| share * score(world)).sum();
        // What adding up leaves behind the twelfth decimal is no share of the worlds, and must not
        // make 0.9 less than 0.9.
        let value = ((sum * 1e12).round() / 1e12).clamp(0.0, 1.0);
        let (seen, all) = (value * weights.effective() + 2.0, weights.effective() + 4.0);
        let centre = seen / all;
        Probability { value, standard_error: (centre * (1.0 - centre) / all).sqrt() }
    }
}

/// How an option does by one demand.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct DemandShare {
    /// Name of the demand.
    pub name: Name,
    /// The share of worlds that meet it.
    pub probability: Probability,
    /// Whether it is met as surely as asked, or at the nominal values if that is asked.
    pub met: bool,
}

/// How an option does by all demands.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Judgement {
    /// One for each demand, in their order.
    pub demands: Vec<DemandShare>,
    /// The share of worlds that meet all demands at once.
    pub all: Probability,
    /// Whether each demand is met.
    pub meets_all: bool,
}

/// Judges an option by its answers at the nominal values and in each world that `weights` counts. An
/// answer that is not a number meets nothing.
#[must_use]
pub fn judge(
    demands: &[Demand],
    nominal: impl Fn(&Question) -> f64,
    in_world: impl Fn(&Question, usize) -> f64,
    weights: &Weights,
) -> Judgement {
    let holds = |demand: &Demand, world: usize| {
        demand.conditions.iter().all(|it| it.bound.holds(in_world(&it.question, world)))
    };
    let one = |demand: &Demand| {
        let probability = Probability::of(|world| holds(demand, world), weights);
        let met = match demand.sure_frac {
            Some(sure) => probability.value >= sure,
            None => demand.conditions.iter().all(|it| it.bound.holds(nominal(&it.question))),
        };
        DemandShare { name: demand.name.clone(), probability, met }
    };
    let met: Vec<DemandShare> = demands.iter().map(one).collect();
    Judgement {
        meets_all: met.iter().all(|met| met.met),
        all: Probability::of(|world| demands.iter().all(|demand| holds(demand, world)), weights),
        demands: met,
    }
}

impl Judgement {
    /// What it says of these demands, as answers show it.
    #[must_use]
    pub fn shown(&self, demands: &[Demand]) -> Vec<DemandMet> {
        let one = |(met, demand): (&DemandShare, &Demand)| DemandMet {
            name: met.name.clone(),
            probability: met.probability.value,
            standard_error: met.probability.standard_error,
            sure: demand.sure_frac,
            met: met.met,
        };
        self.demands.iter().zip(demands).map(one).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel_quantities::{Bound, Condition, rows};
    use rand_pcg::Pcg64;
    use rand_pcg::rand_core::{Rng, SeedableRng};

    fn demand(name: &str, question: Question, bound: Bound, sure: Option<f64>) -> Demand {
        Demand {
            name: Name::new(name),
            conditions: vec![Condition { question, bound }],
            sure_frac: sure,
        }
    }

    fn range() -> Question {
        Question::of(&rows::RANGE).on_cycle("moor-round").on_day("winter")
    }

    #[test]
    fn probabilities_are_counted_one_by_one_and_all_at_once() {
        // Ranges 80, 81, .. 99 and prices that fall: half of the worlds meet both.
        let in_world = |question: &Question, world: usize| {
            let world = f64::from(u32::try_from(world).unwrap());
            if question.is_range() { 80.0 + world } else { 99.0 - world }
        };
        let demands = [
            demand("far", range(), Bound::AtLeast(85.0), Some(0.75)),
            demand("cheap", Question::of(&rows::PRICE), Bound::AtMost(94.0), Some(0.76)),
            demand("nominal", range(), Bound::AtLeast(95.0), None),
        ];
        let judged = judge(&demands, |_| 94.0, in_world, &Weights::equal(20));
        let shares: Vec<f64> = judged.demands.iter().map(|met| met.probability.value).collect();
        for (share, right) in shares.iter().zip([0.75, 0.75, 0.25]) {
            assert!((share - right).abs() < 1e-12, "{shares:?}");
        }
        let met: Vec<bool> = judged.demands.iter().map(|met| met.met).collect();
        assert_eq!(met, [true, false, false]);
        assert!((judged.all.value - 0.25).abs() < 1e-12 && !judged.meets_all);
        let both = judge(&demands[..2], |_| 94.0, in_world, &Weights::equal(20));
        assert!((both.all.value - 0.75).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_known_meets_nothing_and_no_demand_is_met() {
        let demands = [demand("far", range(), Bound::AtLeast(85.0), Some(0.5))];
        let unknown = judge(&demands, |_| f64::NAN, |_, _| f64::NAN, &Weights::equal(10));
        assert!(!unknown.meets_all && unknown.all.value < 1e-12);
        let none = judge(&[], |_| f64::NAN, |_, _| f64::NAN, &Weights::equal(10));
        assert!(none.meets_all && (none.all.value - 1.0).abs() < 1e-12);
        assert!(
            Bound::AtLeast(30.0).holds(f64::INFINITY) && !Bound::AtMost(9.0).holds(f64::INFINITY)
        );
    }

    #[test]
    fn a_share_is_what_was_counted() {
        for (count, of) in [(1800_u32, 2000), (931, 2000), (2000, 2000), (0, 2000), (7, 10), (1, 3)]
        {
            let world = |world: usize| u32::try_from(world).unwrap() < count;
            let found = Probability::of(world, &Weights::equal(of)).value;
            let right = f64::from(count) / f64::from(u32::try_from(of).unwrap());
            assert!((found - right).abs() < 1e-12, "{found}");
        }
        let demands = [demand("far", range(), Bound::AtLeast(0.5), Some(0.9))];
        let in_world = |_: &Question, world: usize| f64::from(u8::from(world >= 200));
        assert!(judge(&demands, |_| 1.0, in_world, &Weights::equal(2000)).meets_all);
    }

    #[test]
    fn the_error_of_a_probability_covers_as_stated() {
        for right in [0.05, 0.5, 0.9, 0.99] {
            let held = (0..2000).filter(|seed| {
                let mut random = Pcg64::seed_from_u64(*seed);
                let holds: Vec<bool> = (0..200)
                    .map(|_| f64::from(random.next_u32()) < right * 4_294_967_296.0)
                    .collect();
                let found = Probability::of(|world| holds[world], &Weights::equal(200));
                (found.value - right).abs() <= 1.96 * found.standard_error
            });
            let share = f64::from(u32::try_from(held.count()).unwrap()) / 2000.0;
            // 0.95 ± 0.005 if the errors were normal; counts are coarse near 0 and 1.
            assert!(share >= 0.935, "{right}: {share}");
        }
        let sure = Probability::of(|_| true, &Weights::equal(2000));
        assert!(sure.standard_error > 5e-4, "{sure:?}");
    }
}
