//! Ranges in many worlds from few that were driven to the end.
//!
//! The worlds of one car differ little. A few of them, the pilots, are driven to the end; what the others do is said by a
//! [`Fit`] of each quantity on the inputs, of repeats that the charge lasts for and not of distance, see [`Repeat`]. Where a fit misses by more than would show in a band, more pilots are driven,
//! and at last every world. So it is, too, where a pilot does not end empty.

use crownwheel::cycle::Cycle;
use crownwheel::range::{CarOnDay, RangeEnd, ShortRange, short_ranges};

use self::Quantity::{KeepsUp, Repeats, Reserve, Shortfall, Standing, Use};
use crate::fit::{Fit, Inputs};
use crate::repeat::Repeat;

/// Worlds that are driven to the end at first, and where their fits do not do.
pub const PILOTS: [usize; 2] = [64, 192];

/// Most that a fit may miss a quantity by, over its standard deviation: the band is narrower by 3 % then.
const MOST_MISSED: f64 = 0.25;

/// The same over the standard deviation with what the model leaves out, which is known of every world.
const MOST_OF_BAND: f64 = 0.1;

/// Share of its range for which a car keeps up that is none.
const LEAST_SHARE: f64 = 1e-3;

/// What is fitted, of runs as they were driven: what the model leaves out is a factor that is known of every world.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Quantity {
    Repeats,
    Reserve,
    Use,
    Standing,
    KeepsUp,
    Shortfall,
}

const QUANTITIES: [Quantity; 6] = [Repeats, Reserve, Use, Standing, KeepsUp, Shortfall];

impl Quantity {
    /// As it is fitted: logarithms of what is a product of its inputs, shares, and the rest as it is.
    fn of(self, range: &ShortRange, repeat: &Repeat) -> f64 {
        let repeats = || repeat.repeats(range.distance_m);
        match self {
            Repeats => libm::log(repeats()),
            Reserve => libm::log(repeat.repeats(range.distance_with_reserve_m)),
            Use => libm::log(range.use_j / repeats()),
            Standing => range.standing_j / range.use_j,
            KeepsUp => libm::log((range.driven_keeps_up_m / range.distance_m).max(LEAST_SHARE)),
            Shortfall => range.shortfall_s,
        }
    }

    /// What does not show in any answer.
    fn unseen(self) -> f64 {
        match self {
            Shortfall => 0.05,
            // It only says how much of a run is multiplied by what the model leaves out.
            Standing => 0.01,
            _ => 2e-4,
        }
    }

    /// Nothing up to a point and much beyond it: no sum of lines says that well, so what a fit leaves is added to it.
    fn has_a_bend(self) -> bool {
        matches!(self, KeepsUp | Shortfall)
    }
}

/// What is asked of a run, and what of it the fits do not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asks {
    /// How far the car keeps up.
    pub keeps_up: bool,
    /// For how long it is behind.
    pub shortfall: bool,
    /// Relative standard deviation of what the model leaves out of the run.
    pub left_out_sd: f64,
}

impl Asks {
    fn of(self, quantity: Quantity) -> bool {
        match quantity {
            KeepsUp => self.keeps_up,
            Shortfall => self.shortfall,
            Repeats | Reserve | Use | Standing => true,
        }
    }

    /// Standard deviation of a quantity with what the model leaves out.
    fn deviation(self, quantity: Quantity, fit: &Fit) -> f64 {
        let left_out = if quantity == Shortfall { 0.0 } else { self.left_out_sd };
        libm::hypot(fit.deviation(), left_out)
    }

    /// Whether a fit misses by more than it may.
    fn misses(self, quantity: Quantity, fit: &Fit) -> bool {
        let of_band = MOST_OF_BAND * self.deviation(quantity, fit);
        let most = quantity.unseen().max(MOST_MISSED * fit.deviation()).max(of_band);
        self.of(quantity) && fit.error() > most
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
    repeat: Repeat,
    /// Of each quantity in turn, and whether what it leaves is added.
    fits: Vec<(Fit, bool)>,
}

impl Way {
    /// The way that the first worlds show, as they were driven; `repeat` gives one of the nominal car. `inputs` are those of
    /// the pilots at least. `None`: more have to be driven.
    #[must_use]
    pub fn of(
        pilots: &[ShortRange],
        inputs: &Inputs,
        asks: Asks,
        repeat: impl FnOnce() -> Repeat,
    ) -> Option<Way> {
        let like = *pilots.first()?;
        if pilots.iter().any(|range| range.end != RangeEnd::Empty) {
            return Some(Way::Driven);
        }
        let (mut fits, repeat) = (Vec::new(), repeat());
        for quantity in QUANTITIES {
            let values: Vec<f64> = pilots.iter().map(|it| quantity.of(it, &repeat)).collect();
            if !values.iter().all(|value| value.is_finite()) {
                return Some(Way::Driven);
            }
            let fit = Fit::new(inputs, &values);
            let misses = asks.misses(quantity, &fit);
            let scatters = quantity.has_a_bend() && pilots.len() >= PILOTS[1];
            if misses && !scatters {
                return None;
            }
            fits.push((fit, misses));
        }
        Some(Way::Fitted(Box::new(PilotFit { like, repeat, fits })))
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
                let one = |(at, case): (usize, &CarOnDay<'_>)| {
                    let driven = fitted.driven(case, &inputs, (at, first + at));
                    driven.scaled(case.car.spec().model.use_scale)
                };
                worlds.iter().enumerate().map(one).collect()
            }
        }
    }

    /// How far the fit of the repeats misses, relative.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        match self {
            Way::Fitted(fitted) => fitted.fits[0].0.error(),
            Way::Driven => 0.0,
        }
    }
}

impl PilotFit {
    /// The run of a world, its place among the inputs and its number.
    fn driven(
        &self,
        of: &CarOnDay<'_>,
        inputs: &Inputs,
        (place, world): (usize, usize),
    ) -> ShortRange {
        let at = |quantity: Quantity| {
            let (fit, scattered) = &self.fits[quantity as usize];
            fit.at(inputs, place) + if *scattered { fit.left(world) } else { 0.0 }
        };
        let (repeats, floor_frac) = (libm::exp(at(Repeats)), of.car.floor_frac(of.day));
        let mut run = self.like;
        run.distance_m = self.repeat.distance_m(repeats);
        let with_reserve_m = self.repeat.distance_m(libm::exp(at(Reserve)));
        run.distance_with_reserve_m = with_reserve_m.min(run.distance_m);
        run.use_j = repeats * libm::exp(at(Use));
        run.standing_j = run.use_j * at(Standing).clamp(0.0, 1.0);
        run.start_charge_frac = of.car.spec().pack.usable_to_frac;
        (run.floor_frac, run.end_charge_frac) = (floor_frac, floor_frac);
        run.driven_keeps_up_m = run.distance_m * libm::exp(at(KeepsUp)).min(1.0);
        run.shortfall_s = at(Shortfall).max(0.0);
        run
    }
}
