//! What one trip takes more or less than the next of the same car: driver, traffic, wind and wet, which the model leaves
//! out. It is drawn anew for each cycle and day of a world, and no measured fact narrows it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::normal::quantile;
use crownwheel::range::ShortRange;
use crownwheel::spec::ModelSpec;
use crownwheel::unsure::Model;
use crownwheel_quantities::Run;

use crate::course::Course;
use crate::worlds::Worlds;

/// The trips of all worlds.
#[derive(Clone, Debug)]
pub struct Trips {
    model: ModelSpec,
    units: BTreeMap<Run, Arc<[f64]>>,
}

impl Trips {
    /// `None`: trips of this car do not differ, as on rollers.
    #[must_use]
    pub fn of(course: &Course, worlds: &Worlds, model: &Model) -> Option<Trips> {
        let model = model.car.model;
        if model.trip_sd <= 0.0 {
            return None;
        }
        let questions = &course.questions;
        let units = |run: Run| {
            let (cycle, day) = questions.names_of(run);
            (run, worlds.units(&format!("model.trip_scale.{cycle}.{day}")))
        };
        Some(Trips { model, units: questions.driven().into_iter().map(units).collect() })
    }

    /// Relative standard deviation of the use of a trip of this way.
    #[must_use]
    pub fn sd(&self, way_m: f64) -> f64 {
        self.model.trip_sd_over(way_m)
    }

    /// A run as this world drives it.
    #[must_use]
    pub fn driven(&self, run: Run, world: usize, modelled: &ShortRange) -> ShortRange {
        let Some(unit) = self.units.get(&run).and_then(|units| units.get(world)) else {
            return *modelled;
        };
        modelled.scaled(libm::exp(self.sd(modelled.distance_m) * quantile(*unit)))
    }
}
