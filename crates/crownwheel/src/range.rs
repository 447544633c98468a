//! Range: a cycle is repeated from full until the pack is at its floor, driven as well as the car can.
//!
//! Falling behind never ends a run. A weaker car may go farther to empty because it drives slower; how
//! far it does what was asked is [`RangeRun::keeps_up_m`], and what it missed [`RangeRun::missed`].
//! [`range`] drives one car and keeps everything; [`short_ranges`] drives many side by side and keeps
//! what worlds need. Both follow the same rules in the same code.

mod details;
mod following;
mod geared;
mod loads;
mod many;
mod run;
mod scaled;
mod tally;

pub use details::{MotorUse, OilMax};
pub use following::{MISSED_ALLOWED_FRAC, Shortfall};
pub use loads::Loads;
pub use many::{driven_ranges, short_onces, short_range, short_ranges};

use crate::balance::Balance;
use crate::car::Car;
use crate::charger::Socket;
use crate::cycle::Cycle;
use crate::day::Day;
use crate::drive::{Driver, start_state};
use crate::limit::LIMITS;
use crate::ready::Ready;
use crate::step::State;
use details::Details;
use many::drive_alone;
use run::{CarRun, Manner};
use tally::Tally;

/// Distance beyond which nobody asks how much farther a car goes, m.
pub const FAR_M: f64 = 3e6;

/// Shortest cycle that has a range, m.
pub const SHORTEST_CYCLE_M: f64 = 100.0;

/// Why a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
#[non_exhaustive]
pub enum RangeEnd {
    /// The pack is at the floor of its usable part.
    Empty,
    /// The car was asked to move and stood below 1 km/h for 60 s, or covered less than a twentieth of
    /// a repeat.
    Stands,
    /// A repeat puts back what it takes: the pack does not empty.
    GivesBack,
    /// The pack lasts for more than [`FAR_M`].
    Far,
    /// The cycle is shorter than [`SHORTEST_CYCLE_M`]: driven once, it has no range.
    TooShort,
    /// The end of a route that is driven once.
    Arrived,
}

impl RangeEnd {
    /// In words, as answers say it: `gives back`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            RangeEnd::Empty => "empty",
            RangeEnd::Stands => "stands",
            RangeEnd::GivesBack => "gives back",
            RangeEnd::Far => "far",
            RangeEnd::TooShort => "too short",
            RangeEnd::Arrived => "arrived",
        }
    }

    /// A distance of a run that ended so, as a range: as it is, cut at [`FAR_M`], infinite where the
    /// pack does not empty, not a number where there is none.
    #[must_use]
    pub fn as_range_m(self, distance_m: f64) -> f64 {
        match self {
            RangeEnd::Empty | RangeEnd::Stands | RangeEnd::Arrived => distance_m.min(FAR_M),
            RangeEnd::Far => FAR_M,
            RangeEnd::GivesBack => f64::INFINITY,
            RangeEnd::TooShort => f64::NAN,
        }
    }
}

/// The first pass through the cycle.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct FirstPass {
    /// Distance driven, m.
    pub distance_m: f64,
    /// Time taken, s.
    pub duration_s: f64,
    /// Time more than 2 km/h below target, s.
    pub shortfall_s: f64,
    /// Distance missing against the target speeds, m, in those times.
    pub shortfall_m: f64,
    /// Seconds by binding limit, in the order of [`LIMITS`].
    pub binding_s: [f64; LIMITS.len()],
    /// Seconds in each gear, first gear first; as many as the car has gears.
    pub gear_s: Vec<f64>,
    /// Whether the car stayed more than 2 km/h below the lowest target within a second.
    pub fell_behind: bool,
}

/// A run from full to its end.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct RangeRun {
    /// Distance that was driven, m; [`RangeRun::range_m`] is what it says of the range.
    pub distance_m: f64,
    /// Distance until only the reserve was left, m; the whole distance if the run ended before.
    pub distance_with_reserve_m: f64,
    /// How far the car keeps up, m, see [`RangeRun::keeps_up_m`].
    pub driven_keeps_up_m: f64,
    /// What it missed.
    pub missed: Shortfall,
    /// Time, s.
    pub duration_s: f64,
    /// Why it ended.
    pub end: RangeEnd,
    /// State of charge at the end.
    pub end_charge_frac: f64,
    /// The first pass.
    pub first: FirstPass,
    /// Energy balance of the whole run.
    pub balance: Balance<f64>,
    /// Energy from the wall to bring the charge back, J.
    pub wall_j: f64,
    /// Motor.
    pub motor: MotorUse,
    /// Oil.
    pub oil: OilMax,
    /// Rolling loads.
    pub loads: Loads,
}

impl RangeRun {
    /// Range, m: see [`RangeEnd::as_range_m`].
    #[must_use]
    pub fn range_m(&self) -> f64 {
        self.end.as_range_m(self.distance_m)
    }

    /// Range with the reserve kept back, m, likewise.
    #[must_use]
    pub fn range_with_reserve_m(&self) -> f64 {
        self.end.as_range_m(self.distance_with_reserve_m)
    }

    /// How far the car keeps up, m: up to where the distance that it missed (asked less driven, summed from full)
    /// reaches [`MISSED_ALLOWED_FRAC`] of the whole range; the range where it stays below.
    ///
    /// ```
    /// use crownwheel::{Car, Day, cycle::Cycle, example, range::range};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let run = range(&car, &day, &Cycle::steady(20.0));
    /// assert_eq!(run.keeps_up_m(), run.range_m());
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn keeps_up_m(&self) -> f64 {
        self.end.as_range_m(self.driven_keeps_up_m)
    }
}

/// A run from full to its end, in short.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct ShortRange {
    /// Distance that was driven, m.
    pub distance_m: f64,
    /// Distance until only the reserve was left, m.
    pub distance_with_reserve_m: f64,
    /// How far the car keeps up, m.
    pub driven_keeps_up_m: f64,
    /// What it missed.
    pub missed: Shortfall,
    /// Energy at the pack's terminals, net, J.
    pub use_j: f64,
    /// Of that standing loads and the DC-DC converter, J.
    pub standing_j: f64,
    /// Why it ended.
    pub end: RangeEnd,
    /// State of charge at the start.
    pub start_charge_frac: f64,
    /// Lowest state of charge in use.
    pub floor_frac: f64,
    /// State of charge at the end.
    pub end_charge_frac: f64,
    /// Time more than 2 km/h below target on the first repeat, s.
    pub shortfall_s: f64,
    /// Distance missing against the target speeds in that time, m.
    pub shortfall_m: f64,
    /// Whether the car stayed more than 2 km/h below the lowest target within a second on the first
    /// repeat.
    pub fell_behind: bool,
    /// Highest used share of motor heat.
    pub heat_used_max: f64,
    /// What the energy balance leaves over, over the larger of its gross energies.
    pub imbalance: f64,
}

impl ShortRange {
    /// Range, m: see [`RangeEnd::as_range_m`].
    #[must_use]
    pub fn range_m(&self) -> f64 {
        self.end.as_range_m(self.distance_m)
    }

    /// Range with the reserve kept back, m, likewise.
    #[must_use]
    pub fn range_with_reserve_m(&self) -> f64 {
        self.end.as_range_m(self.distance_with_reserve_m)
    }

    /// How far the car keeps up, m: see [`RangeRun::keeps_up_m`].
    #[must_use]
    pub fn keeps_up_m(&self) -> f64 {
        self.end.as_range_m(self.driven_keeps_up_m)
    }
}

/// A car on its day, made ready once for all cycles.
#[derive(Clone, Copy, Debug)]
pub struct CarOnDay<'a> {
    /// The car.
    pub car: &'a Car,
    /// The day.
    pub day: &'a Day,
    /// The car on that day, [`Ready::new`] of both.
    pub ready: &'a Ready,
}

/// Repeats a cycle from full until the run ends.
///
/// The state of the oil, of the motor's heat and of the pack's temperature runs on from repeat to
/// repeat; the last part of a repeat counts.
///
/// ```
/// use crownwheel::{cycle::Cycle, range::{RangeEnd, range}};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let run = range(&car, &day, &Cycle::steady(20.0));
/// assert_eq!(run.end, RangeEnd::Empty);
/// // At 20 m/s it takes as many seconds as a twentieth of the metres, and the balance closes.
/// assert!((run.duration_s * 20.0 / run.distance_m - 1.0).abs() < 1e-6);
/// assert!(run.balance.imbalance_j().abs() < 1e-9 * run.balance.scale_j());
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn range(car: &Car, day: &Day, cycle: &Cycle) -> RangeRun {
    whole(car, day, cycle, start_state(car, day, cycle), Manner::Range)
}

/// Drives a route once, from a state of charge: the charge left at its end, or where the run ended before.
///
/// `from_frac` is held within the usable part of the pack.
///
/// ```
/// use crownwheel::{cycle::Cycle, range::{RangeEnd, once}};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let run = once(&car, &day, &Cycle::builtin("udds").expect("it is built in"), 0.9);
/// assert_eq!(run.end, RangeEnd::Arrived);
/// // What left the store is what is missing from the charge.
/// let taken_j = car.spec().pack.stored_j(run.end_charge_frac, 0.9);
/// assert!((run.balance.sum.from_pack_j / taken_j - 1.0).abs() < 1e-3);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn once(car: &Car, day: &Day, cycle: &Cycle, from_frac: f64) -> RangeRun {
    whole(car, day, cycle, route_start(car, day, cycle, from_frac), Manner::Once)
}

fn route_start(car: &Car, day: &Day, route: &Cycle, from_frac: f64) -> State<f64> {
    let charge_frac = from_frac.min(car.spec().pack.usable_to_frac).max(car.floor_frac(day));
    State { charge_frac, ..start_state(car, day, route) }
}

fn whole(car: &Car, day: &Day, cycle: &Cycle, start: State<f64>, manner: Manner) -> RangeRun {
    let mut run = CarRun::new(car, day, cycle, start, manner);
    let mut tally = Tally::<f64>::new(cycle, |_| run.levels);
    let mut details = Details::new(car, cycle.legs().len());
    let mut driver = Driver::new(car, day);
    drive_alone(&mut driver, cycle, &mut run, &mut tally, |driven, share| {
        details.leg(driven, share);
    });
    let driven = run.driven(&tally, 0);
    let use_scale = car.spec().model.use_scale;
    let (short, scale) = (driven.scaled(use_scale), driven.scale(use_scale));
    RangeRun {
        distance_m: short.distance_m,
        distance_with_reserve_m: short.distance_with_reserve_m,
        driven_keeps_up_m: short.driven_keeps_up_m,
        missed: short.missed,
        duration_s: tally.sums.duration_s * scale.counts,
        end: short.end,
        end_charge_frac: short.end_charge_frac,
        wall_j: Socket::unlimited(car, day).wall_j(short.end_charge_frac, start.charge_frac),
        motor: details.motor(tally.sums.duration_s, car.heat.as_ref().map(|_| short.heat_used_max)),
        first: FirstPass {
            shortfall_s: short.shortfall_s,
            shortfall_m: short.shortfall_m,
            fell_behind: short.fell_behind,
            ..details.first
        },
        balance: scale.of(&details.balance),
        oil: details.oil,
        loads: details.loads,
    }
}
