//! Ranges in many worlds from few that were driven to the end.
//!
//! The worlds of one car differ little. A few of them, the pilots, are driven to the end; what the others do is said by a
//! [`Fit`] of each quantity on the inputs. Where a fit misses by more than would show in a band, more pilots are driven,
//! and at last every world. So it is, too, where a pilot does not end empty.

use crownwheel::cycle::Cycle;
use crownwheel::range::{CarOnDay, RangeEnd, ShortRange, short_ranges};

use self::Quantity::{ChargeLeft, Distance, KeepsUp, Reserve, Shortfall, Use};
use crate::fit::{Fit, Inputs};

/// Worlds that are driven to the end at first, and where their fits do not do.
pub const PILOTS: [usize; 3] = [24, 64, 192];

/// Most that a fit may miss a quantity by, over its standard deviation: the band is narrower by 3 % then.
const MOST_MISSED: f64 = 0.25;

/// What is fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Quantity {
    Distance,
    Reserve,
    Use,
    ChargeLeft,
    KeepsUp,
    Shortfall,
}

const QUANTITIES: [Quantity; 6] = [Distance, Reserve, Use, ChargeLeft, KeepsUp, Shortfall];

impl Quantity {
    /// As it is fitted: logarithms of what is a product of its inputs, a share of the distance, and the rest as it is.
    fn of(self, range: &ShortRange) -> f64 {
        match self {
            Distance => libm::log(range.distance_m),
            Reserve => libm::log(range.distance_with_reserve_m),
            Use => libm::log(range.use_j / range.distance_m),
            ChargeLeft => range.end_charge_frac,
            KeepsUp => range.driven_keeps_up_m / range.distance_m,
            Shortfall => range.shortfall_s,
        }
    }

    /// What does not show in any answer.
    fn unseen(self) -> f64 {
        match self {
            Shortfall => 0.05,
            _ => 2e-4,
        }
    }

    /// Nothing up to a point and much beyond it: no sum of lines says that well, so what a fit leaves is added to it.
    fn has_a_bend(self) -> bool {
        matches!(self, KeepsUp | Shortfall)
    }
}

/// How the ranges of a car's worlds are found on one cycle and day.
#[derive(Clone, Debug, PartialEq)]
pub enum Way {
    /// As inputs say, from a pilot that was driven.
    Fitted(Box<PilotFit>),
    /// Every world is driven.
    Driven,
}

/// A fit of each quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct PilotFit {
    like: ShortRange,
    /// Of each quantity in turn, and whether what it leaves is added.
    fits: Vec<(Fit, bool)>,
}

impl Way {
    /// The way that the first worlds show. `inputs` are those of the pilots at least. `None`: more have to be driven.
    #[must_use]
    pub fn of(pilots: &[ShortRange], inputs: &Inputs) -> Option<Way> {
        let like = *pilots.first()?;
        if pilots.iter().any(|range| range.end != RangeEnd::Empty) {
            return Some(Way::Driven);
        }
        let mut fits = Vec::new();
        for quantity in QUANTITIES {
            let values: Vec<f64> = pilots.iter().map(|range| quantity.of(range)).collect();
            if !values.iter().all(|value| value.is_finite()) {
                return Some(Way::Driven);
            }
            let fit = Fit::new(inputs, &values);
            let misses = fit.error() > quantity.unseen().max(MOST_MISSED * fit.deviation());
            let enough = quantity.has_a_bend() && pilots.len() >= PILOTS[2];
            if misses && !enough {
                return None;
            }
            fits.push((fit, misses));
        }
        Some(Way::Fitted(Box::new(PilotFit { like, fits })))
    }

    /// Ranges of worlds, of which `first` is the number of the first, and the inputs of these worlds.
    #[must_use]
    pub fn ranges(
        &self,
        first: usize,
        worlds: &[CarOnDay<'_>],
        cycle: &Cycle,
        inputs: impl FnOnce() -> Inputs,
    ) -> Vec<ShortRange> {
        match self {
            Way::Driven => short_ranges(worlds, cycle),
            Way::Fitted(fitted) => {
                let inputs = inputs();
                (0..worlds.len()).map(|at| fitted.range(&inputs, at, first + at)).collect()
            }
        }
    }

    /// How far the fit of the distance misses, relative.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        match self {
            Way::Fitted(fitted) => fitted.fits[0].0.error(),
            Way::Driven => 0.0,
        }
    }
}

impl PilotFit {
    fn range(&self, inputs: &Inputs, place: usize, world: usize) -> ShortRange {
        let at = |quantity: Quantity| {
            let (fit, scattered) = &self.fits[quantity as usize];
            fit.at(inputs, place) + if *scattered { fit.left(world) } else { 0.0 }
        };
        let mut range = self.like;
        range.distance_m = libm::exp(at(Distance));
        range.distance_with_reserve_m = libm::exp(at(Reserve)).min(range.distance_m);
        range.use_j = range.distance_m * libm::exp(at(Use));
        range.end_charge_frac = at(ChargeLeft);
        range.driven_keeps_up_m = range.distance_m * at(KeepsUp).clamp(0.0, 1.0);
        range.shortfall_s = at(Shortfall).max(0.0);
        range
    }
}
