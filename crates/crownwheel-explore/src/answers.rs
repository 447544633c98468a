//! The answers of one build, and what was computed before, so that a move computes only what it moves.

use std::num::NonZeroUsize;
use std::panic::resume_unwind;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use crownwheel_answers::from_car::{self, RangeRequest};
use crownwheel_answers::pull::PullLine;
use crownwheel_answers::{CheckAnswer, PullAnswer, RangeAnswer, SteadyResult, WeighAnswer};
use crownwheel_files::Build;
use crownwheel_quantities::{Condition, Demand, NamedCycle, Question};
use crownwheel_sweep::Worlds;
use crownwheel_sweep::course::Course;
use crownwheel_sweep::run::Runner;

use crate::engine::Reading;

/// Answers of each kind that are kept.
const KEPT: usize = 16;

/// What a build answers.
#[derive(Clone, Debug)]
pub(crate) struct Answers {
    pub(crate) check: Arc<CheckAnswer>,
    pub(crate) weigh: Arc<WeighAnswer>,
    /// Cycles on all days.
    pub(crate) range: Arc<RangeAnswer>,
    /// The steady speed on all days.
    pub(crate) steady: Arc<Vec<SteadyResult>>,
    pub(crate) pull: Arc<PullAnswer>,
    /// Pull at the steady speed. `None`: the motor may not turn so fast.
    pub(crate) at_speed: Option<PullLine>,
    pub(crate) demands: Arc<Vec<DemandAnswer>>,
}

/// A demand at the nominal values.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct DemandAnswer {
    pub(crate) demand: Demand,
    /// The answer to each of its conditions.
    pub(crate) values: Vec<f64>,
}

impl DemandAnswer {
    /// Whether it is met at the nominal values.
    pub(crate) fn holds(&self) -> bool {
        let pairs = self.demand.conditions.iter().zip(&self.values);
        pairs.into_iter().all(|(condition, value)| condition.bound.holds(*value))
    }

    /// The limits with the answers, `cruise at least 30`.
    pub(crate) fn parts(&self) -> impl Iterator<Item = (&Condition, f64)> {
        self.demand.conditions.iter().zip(self.values.iter().copied())
    }
}

/// What was computed last, by the hash of everything that was read and set.
#[derive(Debug, Default)]
pub(crate) struct Memory {
    checks: Recent<CheckAnswer>,
    weights: Recent<WeighAnswer>,
    ranges: Recent<RangeAnswer>,
    steady: Recent<Vec<SteadyResult>>,
    pulls: Recent<PullAnswer>,
    demands: Recent<Vec<DemandAnswer>>,
}

impl Memory {
    /// The answers of a build at a steady speed; pull, hills and limits on a day.
    pub(crate) fn answers(&self, reading: &Reading, day: usize, speed_kmh: f64) -> Answers {
        let (subject, asked) = (&reading.subject, &reading.asked);
        let hash = &subject.provenance.inputs_hash;
        let range = || {
            let range = self.ranges.of(hash.clone(), || {
                from_car::range_alone(
                    subject,
                    &RangeRequest { steady_kmh: Vec::new(), ..asked.clone() },
                )
            });
            let demands =
                self.demands.of(hash.clone(), || demands(reading, &range).unwrap_or_default());
            (range, demands)
        };
        let rest = || {
            let pull = self
                .pulls
                .of(format!("{day} {hash}"), || from_car::pull(subject, day, &reading.hills));
            let steady = self.steady.of(format!("{speed_kmh} {hash}"), || {
                let (days, steady_kmh) = (asked.days.clone(), vec![speed_kmh]);
                let asked = RangeRequest { days, steady_kmh, ..RangeRequest::default() };
                from_car::range_alone(subject, &asked).steady
            });
            (pull, steady)
        };
        // Threads of its own: those of the bands are busy for long.
        let ((range, demands), (pull, steady)) = thread::scope(|scope| {
            let rest = scope.spawn(rest);
            (range(), rest.join().unwrap_or_else(|panic| resume_unwind(panic)))
        });
        Answers {
            check: self.checks.of(hash.clone(), || from_car::check(subject)),
            weigh: self.weights.of(hash.clone(), || from_car::weigh(subject)),
            range,
            steady,
            pull,
            at_speed: from_car::pull_at(subject, day, speed_kmh),
            demands,
        }
    }
}

/// Every demand at the nominal values. `None`: they name what the build does not have.
fn demands(reading: &Reading, range: &RangeAnswer) -> Option<Vec<DemandAnswer>> {
    let build: &Build = &reading.build;
    let demands = build.conditions();
    if demands.is_empty() {
        return Some(Vec::new());
    }
    let named = |cycle: &crownwheel::cycle::Cycle| NamedCycle {
        name: Arc::from(cycle.name()),
        cycle: cycle.clone(),
    };
    let cycles = reading.asked.cycles.iter().map(named).collect();
    let days = build.day_models();
    let course = Course::new(Vec::new(), &demands, cycles, days, build.supplies.clone()).ok()?;
    let worlds = Worlds::new(crownwheel_sweep::single::SEED, NonZeroUsize::MIN, 0);
    let model = build.model();
    let nominal = Runner::new(&course, &worlds, &model, None).ok()?.nominal();
    let value = |name: &Question| {
        // The range that is shown is the one that is judged.
        let shown = range.distance_of(name).map(|it| it.nominal);
        let place = || course.place(name).and_then(|at| nominal.get(at).copied());
        shown.or_else(place).unwrap_or(f64::NAN)
    };
    let of = |demand: Demand| DemandAnswer {
        values: demand.conditions.iter().map(|it| value(&it.question)).collect(),
        demand,
    };
    Some(demands.into_iter().map(of).collect())
}

/// Results by name, the last few.
#[derive(Debug)]
struct Recent<T>(Mutex<Vec<(String, Arc<T>)>>);

impl<T> Default for Recent<T> {
    fn default() -> Self {
        Recent(Mutex::default())
    }
}

impl<T> Recent<T> {
    /// The result of that name, computed if it is not there.
    fn of(&self, name: String, compute: impl FnOnce() -> T) -> Arc<T> {
        // Nothing is held while it is computed: a panic there must not stop the next move.
        if let Some(found) = self.found(&name) {
            return found;
        }
        let made = Arc::new(compute());
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((name, Arc::clone(&made)));
        made
    }

    /// What is asked for again is kept longest.
    fn found(&self, name: &str) -> Option<Arc<T>> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(known, _)| known == name)?;
        let entry = kept.remove(at);
        let found = Arc::clone(&entry.1);
        kept.push(entry);
        Some(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_computed_is_kept_until_many_others_were() {
        let recent = Recent::default();
        let mut computed = 0;
        let mut ask = |name: usize| {
            *recent.of(name.to_string(), || {
                computed += 1;
                name
            })
        };
        assert_eq!([ask(1), ask(1), ask(2), ask(1)], [1, 1, 2, 1]);
        // The first is asked for in between and stays, the second is forgotten.
        (10..10 + KEPT - 1).for_each(|name| {
            ask(name);
            ask(1);
        });
        ask(2);
        assert_eq!(computed, 3 + KEPT - 1);
    }
}
