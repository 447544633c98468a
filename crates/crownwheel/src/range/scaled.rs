//! A run whose way takes more, or less, than the model says.

use super::{RangeEnd, ShortRange};
use crate::balance::Balance;

/// What a factor on use makes of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    /// Share of the way that was driven that the pack lasts for.
    pub(super) counts: f64,
    /// Energy for a metre over what was driven.
    pub(super) times: f64,
}

/// Difference of a factor from 1 that is none.
const NO_CHANGE: f64 = 1e-12;

impl Scale {
    const ONE: Scale = Scale { counts: 1.0, times: 1.0 };

    pub(super) fn of(self, balance: &Balance<f64>) -> Balance<f64> {
        if self == Scale::ONE { *balance } else { balance.scaled(self.counts, self.times) }
    }
}

impl ShortRange {
    /// What this factor on use less standing loads makes of the run. A run that gives back more than it takes stays as it
    /// is.
    pub(super) fn scale(&self, factor: f64) -> Scale {
        let moving_j = self.use_j - self.standing_j;
        if (factor - 1.0).abs() < NO_CHANGE || moving_j <= 0.0 {
            return Scale::ONE;
        }
        let times = 1.0 + (factor - 1.0) * moving_j / self.use_j;
        match self.end {
            RangeEnd::Empty => Scale { counts: 1.0 / times, times },
            RangeEnd::Arrived | RangeEnd::Stands => {
                let taken = times * (self.start_charge_frac - self.end_charge_frac);
                let whole = self.start_charge_frac - self.floor_frac;
                let counts = if taken > whole { whole / taken } else { 1.0 };
                Scale { counts, times }
            }
            RangeEnd::GivesBack | RangeEnd::Far | RangeEnd::TooShort => Scale::ONE,
        }
    }

    /// The run with use less standing loads this many times what it is: a range is as much shorter as its way takes more,
    /// and of a route less is left. Currents and heat stay.
    ///
    /// ```
    /// use crownwheel::{cycle::Cycle, ready::Ready, range::{CarOnDay, short_range}};
    /// use crownwheel::{Car, Day, example};
    /// let mut spec = example::small_saloon();
    /// spec.loads.clear();
    /// let (car, day) = (Car::new(&spec)?, Day::new(&example::mild_day())?);
    /// let ready = Ready::new(&car, &day);
    /// let run = short_range(&CarOnDay { car: &car, day: &day, ready: &ready }, &Cycle::steady(20.0));
    /// // Without standing loads a tenth more use is a tenth more for every metre.
    /// let more = run.scaled(1.1);
    /// assert!((more.distance_m * 1.1 / run.distance_m - 1.0).abs() < 1e-12);
    /// assert_eq!(more.use_j, run.use_j);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn scaled(&self, factor: f64) -> ShortRange {
        let scale = self.scale(factor);
        if scale == Scale::ONE {
            return *self;
        }
        let Scale { counts, times } = scale;
        let taken = times * (self.start_charge_frac - self.end_charge_frac);
        let is_route = self.end != RangeEnd::Empty;
        ShortRange {
            distance_m: counts * self.distance_m,
            distance_with_reserve_m: if is_route {
                self.distance_with_reserve_m.min(counts * self.distance_m)
            } else {
                counts * self.distance_with_reserve_m
            },
            driven_keeps_up_m: counts * self.driven_keeps_up_m,
            use_j: counts * times * self.use_j,
            standing_j: counts * self.standing_j,
            end: if counts < 1.0 && is_route { RangeEnd::Empty } else { self.end },
            end_charge_frac: if is_route {
                (self.start_charge_frac - taken).max(self.floor_frac)
            } else {
                self.end_charge_frac
            },
            ..*self
        }
    }
}
