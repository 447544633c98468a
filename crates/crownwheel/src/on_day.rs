//! A car on a day: what can be asked of the two.

use crate::car::Car;
use crate::charger::{Charge, Socket};
use crate::cycle::Cycle;
use crate::day::Day;
use crate::plant::{Plant, PlantError, Start};
use crate::pull::Throttle;
use crate::range::{RangeRun, once, range};
use crate::trace::Trace;

/// A car on a day, with copies of both.
///
/// ```
/// use crownwheel::{Car, Cycle, Day, example};
/// let on = Car::new(&example::small_saloon())?.on(&Day::mild());
/// assert!(on.range(&Cycle::udds()).distance_m > 100e3);
/// assert!(on.pull(0.9).run(0.05).time_to_s(50.0 / 3.6).expect("it gets there") < 15.0);
/// assert!(on.charge(2_300.0, 0.2, 0.8).duration_s > 3.0 * 3600.0);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[derive(Clone, Debug)]
pub struct OnDay {
    car: Car,
    day: Day,
}

impl Car {
    /// This car on a day.
    #[must_use]
    pub fn on(&self, day: &Day) -> OnDay {
        OnDay { car: self.clone(), day: day.clone() }
    }
}

impl OnDay {
    /// The car.
    #[must_use]
    pub fn car(&self) -> &Car {
        &self.car
    }

    /// The day.
    #[must_use]
    pub fn day(&self) -> &Day {
        &self.day
    }

    /// A cycle from full, again and again until the run ends: [`range`].
    #[must_use]
    pub fn range(&self, cycle: &Cycle) -> RangeRun {
        range(&self.car, &self.day, cycle)
    }

    /// A way that is driven once, from a state of charge: [`once`].
    #[must_use]
    pub fn once(&self, cycle: &Cycle, from_frac: f64) -> RangeRun {
        once(&self.car, &self.day, cycle, from_frac)
    }

    /// A cycle driven once from full, in columns over time.
    #[must_use]
    pub fn trace(&self, cycle: &Cycle) -> Trace {
        Trace::of(&self.car, &self.day, cycle)
    }

    /// Full throttle at a state of charge, 0 to 1.
    #[must_use]
    pub fn pull(&self, charge_frac: f64) -> Throttle<'_> {
        Throttle::new(&self.car, &self.day, charge_frac)
    }

    /// A charge between two states of charge, 0 to 1, at a supply that gives at most `supply_w` from the wall, W.
    #[must_use]
    pub fn charge(&self, supply_w: f64, from_frac: f64, to_frac: f64) -> Charge {
        Socket::new(&self.car, &self.day, supply_w).charge(from_frac, to_frac)
    }

    /// The car to be stepped from outside.
    ///
    /// # Errors
    /// A charge or a speed that no car has.
    pub fn plant(&self, start: Start) -> Result<Plant, PlantError> {
        Plant::new(&self.car, &self.day, start)
    }
}
