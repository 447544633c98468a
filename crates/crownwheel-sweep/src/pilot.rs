//! Ranges in many worlds from few that were driven to the end.
//!
//! The worlds of one car differ little. A few of them, the pilots, are driven to the end; what the others do is said by a
//! [`Fit`] of each quantity on the inputs, of repeats that the charge lasts for and not of distance, see [`Repeat`]. Beside
//! the inputs it may take what was found of another option in the same worlds. Where a fit misses by more than would
//! show in a band, more pilots are driven, and at last every world. So it is, too, where a pilot does not end empty.

use std::ops::Range;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel::range::{CarOnDay, RangeEnd, ShortRange, driven_ranges};

use self::Quantity::{KeepsUp, Repeats, Reserve, Shortfall, Standing, Use};
use crate::fit::Fit;
use crate::relatives::{Column, beside, error_of};
use crate::repeat::Repeat;

/// Worlds that are driven to the end at first, and where their fits do not do.
pub const PILOTS: [usize; 2] = [64, 192];

/// The same of an option of which the like is known.
pub const FEWEST_PILOTS: [usize; 3] = [16, 64, 192];

/// Most that a fit may miss a quantity by, over its standard deviation: the band is narrower by 3 % then.
const MOST_MISSED: f64 = 0.25;

/// The same over the standard deviation with what the model leaves out, which is known of every world.
const MOST_OF_BAND: f64 = 0.1;

/// The latter where what the fit leaves is added, on the most pilots: what it leaves of so many is known well enough then for
/// a probability within a point.
const MOST_LEFT: f64 = 0.35;

/// Most that a fit of how far a car keeps up may leave, as a logarithm: beyond it comes to nothing or all in many worlds, which
/// no sum says.
const MOST_LEFT_OF_BEND: f64 = 0.4;

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

/// How far a fit misses.
enum Missed {
    /// By what does not show.
    Unseen,
    /// By so much that it is added.
    Added,
    TooFar,
}

impl Asks {
    fn of(self, quantity: Quantity) -> bool {
        match quantity {
            KeepsUp => self.keeps_up,
            Shortfall => self.shortfall,
            Repeats | Reserve | Use | Standing => true,
        }
    }

    /// How far a fit on so many pilots misses, with this error.
    fn missed(self, quantity: Quantity, fit: &Fit, error: f64, pilots: usize) -> Missed {
        let left_out = if quantity == Shortfall { 0.0 } else { self.left_out_sd };
        let deviation = libm::hypot(fit.deviation(), left_out);
        let of_band = MOST_OF_BAND * deviation;
        let most = quantity.unseen().max(MOST_MISSED * fit.deviation()).max(of_band);
        let most_left = match quantity {
            _ if pilots < PILOTS[1] => 0.0,
            KeepsUp if error > MOST_LEFT_OF_BEND => 0.0,
            KeepsUp | Shortfall => f64::INFINITY,
            _ => MOST_LEFT,
        };
        if !self.of(quantity) || error <= most {
            Missed::Unseen
        } else if error <= most_left * deviation {
            Missed::Added
        } else {
            Missed::TooFar
        }
    }
}

/// How the ranges of a car's worlds are found on one cycle and day.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The first worlds, as they were driven.
    driven: Vec<ShortRange>,
    /// What says the others. `None`: each is driven.
    fit: Option<PilotFit>,
}

/// Each quantity of a run in all worlds, as an input of the fits of others.
pub type Columns = [Option<Column>; QUANTITIES.len()];

/// A fit of each quantity.
#[derive(Clone, Debug, PartialEq)]
struct PilotFit {
    repeat: Repeat,
    /// By quantity.
    fits: Vec<QuantityFit>,
    like: Option<Arc<Columns>>,
}

#[derive(Clone, Debug, PartialEq)]
struct QuantityFit {
    fit: Fit,
    error: f64,
    /// What the fit leaves is added.
    scattered: bool,
}

impl Way {
    /// The way that the first worlds show, as they were driven. `inputs` are those of these worlds, `like` is what was found
    /// of another option in all worlds; `repeat` is one of the nominal car. `None`: more have to be driven.
    #[must_use]
    pub fn of(
        driven: &[ShortRange],
        inputs: &[&[f64]],
        like: Option<Arc<Columns>>,
        asks: Asks,
        repeat: &Repeat,
    ) -> Option<Way> {
        if driven.iter().any(|range| range.end != RangeEnd::Empty) {
            return Some(Way::driving(driven.to_vec()));
        }
        let mut fits = Vec::new();
        for quantity in QUANTITIES {
            let values: Vec<f64> = driven.iter().map(|it| quantity.of(it, repeat)).collect();
            if !values.iter().all(|value| value.is_finite()) {
                return Some(Way::driving(driven.to_vec()));
            }
            let columns = columns_of(like.as_ref(), quantity);
            let fit = Fit::new(&beside(inputs, &columns, &(0..driven.len())), &values);
            let error = error_of(&fit, inputs.len(), &columns);
            let scattered = match asks.missed(quantity, &fit, error, driven.len()) {
                Missed::Unseen => false,
                Missed::Added => true,
                Missed::TooFar => return None,
            };
            fits.push(QuantityFit { fit, error, scattered });
        }
        let fit = PilotFit { repeat: repeat.clone(), fits, like };
        Some(Way { driven: driven.to_vec(), fit: Some(fit) })
    }

    /// Every world is driven; the first of them were.
    #[must_use]
    pub fn driving(driven: Vec<ShortRange>) -> Way {
        Way { driven, fit: None }
    }

    /// Ranges of worlds with their inputs.
    #[must_use]
    pub fn ranges(
        &self,
        worlds: Range<usize>,
        cases: &[CarOnDay<'_>],
        cycle: &Cycle,
        inputs: &[&[f64]],
    ) -> Vec<ShortRange> {
        let known = self.driven.iter().skip(worlds.start).take(worlds.len()).copied();
        let mut ranges: Vec<ShortRange> = known.collect();
        let known = ranges.len();
        match &self.fit {
            None => ranges.extend(driven_ranges(&cases[known..], cycle)),
            Some(fit) => {
                let said = fit.said(inputs, &worlds);
                let run = |place: usize| self.run(fit, &said, place, &cases[place]);
                ranges.extend((known..cases.len()).map(run));
            }
        }
        let scaled = |(range, case): (ShortRange, &CarOnDay<'_>)| {
            range.scaled(case.car.spec().model.use_scale)
        };
        ranges.into_iter().zip(cases).map(scaled).collect()
    }

    /// The run of a world, by its place among what the fits say.
    fn run(
        &self,
        fit: &PilotFit,
        said: &[Vec<f64>],
        place: usize,
        of: &CarOnDay<'_>,
    ) -> ShortRange {
        let at = |quantity: Quantity| said[quantity as usize][place];
        let (repeats, floor_frac) = (libm::exp(at(Repeats)), of.car.floor_frac(of.day));
        let mut run = self.driven[0];
        run.distance_m = fit.repeat.distance_m(repeats);
        let with_reserve_m = fit.repeat.distance_m(libm::exp(at(Reserve)));
        run.distance_with_reserve_m = with_reserve_m.min(run.distance_m);
        run.use_j = repeats * libm::exp(at(Use));
        run.standing_j = run.use_j * at(Standing).clamp(0.0, 1.0);
        run.start_charge_frac = of.car.spec().pack.usable_to_frac;
        (run.floor_frac, run.end_charge_frac) = (floor_frac, floor_frac);
        run.driven_keeps_up_m = run.distance_m * libm::exp(at(KeepsUp)).min(1.0);
        run.shortfall_s = at(Shortfall).max(0.0);
        run
    }

    /// What was found in all worlds, from their inputs. `None`: every world is driven.
    #[must_use]
    pub fn columns(&self, inputs: &[&[f64]], worlds: usize) -> Option<Columns> {
        let fit = self.fit.as_ref()?;
        let said = fit.said(inputs, &(0..worlds));
        Some(QUANTITIES.map(|quantity| {
            let mut values = said[quantity as usize].clone();
            for (value, driven) in values.iter_mut().zip(&self.driven) {
                *value = quantity.of(driven, &fit.repeat);
            }
            Column::of(&values, fit.fits[quantity as usize].error)
        }))
    }

    /// How far the fit of the repeats misses, relative.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.fit.as_ref().map_or(0.0, |fit| fit.fits[Repeats as usize].error)
    }
}

impl PilotFit {
    /// Each quantity in some worlds.
    fn said(&self, inputs: &[&[f64]], worlds: &Range<usize>) -> Vec<Vec<f64>> {
        let of = |quantity: Quantity| {
            let QuantityFit { fit, scattered, .. } = &self.fits[quantity as usize];
            let inputs = beside(inputs, &columns_of(self.like.as_ref(), quantity), worlds);
            let one = |(place, world): (usize, usize)| {
                fit.at(&inputs, place) + if *scattered { fit.left(world) } else { 0.0 }
            };
            worlds.clone().enumerate().map(one).collect()
        };
        QUANTITIES.into_iter().map(of).collect()
    }
}

/// What is known of a quantity of another option.
fn columns_of(like: Option<&Arc<Columns>>, quantity: Quantity) -> Vec<&Column> {
    like.iter().filter_map(|columns| columns[quantity as usize].as_ref()).collect()
}
