//! What one trip takes more or less than the next of the same car: driver, traffic, wind and wet, which the model leaves
//! out. It is drawn anew for each cycle and day of a world, and no measured fact narrows it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::normal::quantile;
use crownwheel::range::ShortRange;
use crownwheel::unsure::Model;
use crownwheel_quantities::Run;

use crate::course::Course;
use crate::worlds::Worlds;

/// Way that the scatter of a trip is said of, m.
const TRIP_M: f64 = 15e3;

/// Short trips scatter more, up to so many times as much.
const MOST: f64 = 1.5;

/// Relative standard deviation of the use of a trip of this way, from that of a trip of 15 km.
///
/// `s √(15 km / way)`, at most 1.5 s: the mean of as many independent stretches (engineering judgement; of one measured
/// car 0.13 below 12 km and 0.05 to 0.06 at 12 to 25 km, doi 10.21227/6jr9-5235).
///
/// ```
/// use crownwheel_sweep::trips::trip_sd;
/// assert!((trip_sd(0.06, 60e3) - 0.03).abs() < 1e-12 && (trip_sd(0.06, 1e3) - 0.09).abs() < 1e-12);
/// ```
#[must_use]
pub fn trip_sd(sd_of_15_km: f64, way_m: f64) -> f64 {
    sd_of_15_km * (TRIP_M / way_m.max(1.0)).sqrt().min(MOST)
}

/// The trips of all worlds.
#[derive(Clone, Debug)]
pub struct Trips {
    sd: f64,
    units: BTreeMap<Run, Arc<[f64]>>,
}

impl Trips {
    /// `None`: trips of this car do not differ, as on rollers.
    #[must_use]
    pub fn of(course: &Course, worlds: &Worlds, model: &Model) -> Option<Trips> {
        let sd = model.car.model.trip_sd;
        if sd <= 0.0 {
            return None;
        }
        let questions = &course.questions;
        let units = |run: Run| {
            let (cycle, day) = questions.names_of(run);
            (run, worlds.units(&format!("model.trip_scale.{cycle}.{day}")))
        };
        Some(Trips { sd, units: questions.driven().into_iter().map(units).collect() })
    }

    /// Relative standard deviation of the use of a trip of this way.
    #[must_use]
    pub fn sd(&self, way_m: f64) -> f64 {
        trip_sd(self.sd, way_m)
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
