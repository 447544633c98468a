//! Energy at the wall of a car in its worlds, before and after its other cycle is known.

use std::num::NonZeroUsize;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel_files::Build;
use crownwheel_quantities::{NamedCycle, Question, rows};
use crownwheel_sweep::conditioning::{predicted, weigh_predicted};
use crownwheel_sweep::course::Course;
use crownwheel_sweep::facts::Fact;
use crownwheel_sweep::run::Values;
use crownwheel_sweep::single::SEED;
use crownwheel_sweep::worlds::USUAL_SCREENED;
use crownwheel_sweep::{Model, Weights, Worlds};

use super::rows::Test;
use crate::score::Predicted;

/// Kilometres in a mile. Source: International Yard and Pound Agreement, 1959 (exact).
const KM_PER_MILE: f64 = 1.609_344;

/// Relative standard deviation of a measured energy: repeated tests of one car in the full
/// certification set differ by 0.7 % (median), which is `0.95 sd` for normal errors.
const MEASURED_SD: f64 = 0.0073;

/// Relative standard deviation of the model's own error, assumed: it is small,
/// because the road load of these cars is what the dynamometer was set to.
const MODEL_SD: f64 = 0.01;

/// A car that has driven both cycles in all worlds.
#[derive(Debug)]
pub struct DrivenCar {
    course: Course,
    values: Values,
}

fn answer(test: Test) -> Question {
    let (cycle, day) = match test {
        Test::Highway => ("hwfet", "warm"),
        Test::Urban | Test::Other => ("udds", "cold_start"),
    };
    Question::of(&rows::WALL_USE).on_cycle(Arc::from(cycle)).on_day(Arc::from(day))
}

impl DrivenCar {
    /// Drives both cycles.
    ///
    /// # Errors
    /// The car cannot be, or lacks a day.
    pub fn new(build: &Build, worlds: NonZeroUsize) -> Result<DrivenCar, String> {
        let cycle = |name: &str| {
            let cycle = Cycle::builtin(name).map_err(|error| error.to_string())?;
            Ok::<_, String>(NamedCycle { name: Arc::from(name), cycle })
        };
        let cycles = vec![cycle("udds")?, cycle("hwfet")?];
        let names = vec![answer(Test::Urban), answer(Test::Highway)];
        let course = Course::new(names, &[], cycles, build.day_models(), Vec::new())
            .map_err(|missing| format!("nothing gives `{}`", missing.key))?;
        let worlds = Worlds::new(SEED, worlds, USUAL_SCREENED);
        let model: Model = build.model();
        let values = predicted(&course, &worlds, &model).map_err(|error| error.to_string())?;
        Ok(DrivenCar { course, values })
    }

    /// Prediction of a test, Wh/mile.
    #[must_use]
    pub fn predicted(&self, test: Test) -> Option<Predicted> {
        let count = self.values.first()?.len();
        self.weighed(test, &Weights::equal(count))
    }

    /// Prediction of a test once the energy of another is known, Wh/mile.
    ///
    /// # Errors
    /// The worlds cannot be weighed.
    pub fn after(
        &self,
        test: Test,
        other: Test,
        wh_per_mi: f64,
    ) -> Result<Option<Predicted>, String> {
        let measured = wh_per_mi / KM_PER_MILE;
        let fact = Fact {
            name: Arc::from("other cycle"),
            measured,
            standard_deviation: MEASURED_SD * measured,
        };
        let conditioned =
            weigh_predicted(&[(answer(other), fact)], &self.course, &self.values, |_| MODEL_SD)
                .map_err(|error| error.to_string())?;
        Ok(self.weighed(test, &conditioned.weights))
    }

    fn weighed(&self, test: Test, weights: &Weights) -> Option<Predicted> {
        let place = self.course.place(&answer(test))?;
        Predicted::of(self.values.get(place)?, weights, KM_PER_MILE)
    }
}
