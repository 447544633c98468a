//! One car from full to the end of its range: what each repeat says, and when it is over.

use super::following::{KeepUp, RepeatEnd};
use super::tally::{Levels, Sums, Tally};
use super::{FAR_M, RangeEnd, SHORTEST_CYCLE_M, ShortRange};
use crate::car::Car;
use crate::cycle::Cycle;
use crate::day::Day;
use crate::lane::Lane;
use crate::spec::PackSpec;
use crate::step::State;

/// Share of its way that a repeat must cover for the run to go on.
const LEAST_WAY_FRAC: f64 = 0.05;

/// Share of what a repeat takes from store that it must put back to count as giving back. A pack that
/// lasts less than [`FAR_M`] takes far more out than that.
const GIVEN_BACK_FRAC: f64 = 0.999;

/// A run that would still go so many times as far as [`FAR_M`] after its first repeats is not driven to
/// the end: no repeat takes twice what the first ones do.
const SURELY_FAR: f64 = 2.0;

/// Steps after which a run counts as far.
const MOST_STEPS: usize = 4_000_000;

/// How a run is driven, and where it begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Manner {
    /// Repeats from full until it ends.
    Range,
    /// Once through.
    Once,
}

/// One car on its way.
#[derive(Clone)]
pub(super) struct CarRun<'c> {
    pack: &'c PackSpec,
    start_frac: f64,
    pub(super) levels: Levels,
    cycle_m: f64,
    steps: usize,
    manner: Manner,
    /// State at the start of the next repeat.
    state: State<f64>,
    /// State that a car whose run has ended goes on from, beside others: no limit binds there.
    idle: State<f64>,
    before: Sums<f64>,
    following: KeepUp,
    repeats: usize,
    end: Option<RangeEnd>,
}

impl<'c> CarRun<'c> {
    pub(super) fn new(
        car: &'c Car,
        day: &Day,
        cycle: &Cycle,
        start: State<f64>,
        manner: Manner,
    ) -> CarRun<'c> {
        let levels = Levels::of(car, day);
        let pack = &car.spec().pack;
        let idle = State {
            charge_frac: 0.5 * (levels.floor_frac + pack.usable_to_frac),
            pack_k: crate::constants::ZERO_CELSIUS_K + 25.0,
            ..start
        };
        CarRun {
            pack,
            start_frac: start.charge_frac,
            levels,
            cycle_m: cycle.distance_m(),
            steps: cycle.legs().len(),
            manner,
            state: start,
            idle,
            before: Sums::zero(),
            following: KeepUp::new(),
            repeats: 0,
            end: None,
        }
    }

    pub(super) fn has_ended(&self) -> bool {
        self.end.is_some()
    }

    /// State at the start of the next repeat.
    pub(super) fn start(&self) -> State<f64> {
        if self.has_ended() { self.idle } else { self.state }
    }

    /// Takes in a repeat that ended at `state`, and decides whether the run goes on.
    pub(super) fn take<L: Lane>(&mut self, tally: &Tally<L>, lane: usize, state: &State<f64>) {
        if self.has_ended() {
            return;
        }
        let sums = tally.sums.lane(lane);
        self.repeats += 1;
        self.end = self.ends(tally, lane, &sums);
        if self.end.is_none() || self.end == Some(RangeEnd::Arrived) {
            self.following.push(place(&sums));
        }
        self.state = *state;
        self.before = sums;
    }

    fn ends<L: Lane>(&self, tally: &Tally<L>, lane: usize, sums: &Sums<f64>) -> Option<RangeEnd> {
        if tally.is_empty(lane) {
            return Some(RangeEnd::Empty);
        }
        if tally.stands(lane) {
            return Some(RangeEnd::Stands);
        }
        if self.manner == Manner::Once {
            return Some(RangeEnd::Arrived);
        }
        if self.cycle_m < SHORTEST_CYCLE_M {
            return Some(RangeEnd::TooShort);
        }
        let (out_j, in_j) = (sums.out_j - self.before.out_j, sums.in_j - self.before.in_j);
        if sums.distance_m - self.before.distance_m < LEAST_WAY_FRAC * self.cycle_m {
            Some(RangeEnd::Stands)
        } else if in_j >= GIVEN_BACK_FRAC * out_j {
            Some(RangeEnd::GivesBack)
        } else {
            self.is_far(sums, out_j - in_j).then_some(RangeEnd::Far)
        }
    }

    /// Whether the car goes on beyond [`FAR_M`], with `taken_j` from store in this repeat.
    fn is_far(&self, sums: &Sums<f64>, taken_j: f64) -> bool {
        let stored_j = self.pack.stored_j(self.levels.floor_frac, self.pack.usable_to_frac);
        let left_j = stored_j - (sums.out_j - sums.in_j);
        let repeat_m = sums.distance_m - self.before.distance_m;
        let surely_m = sums.distance_m + left_j / (SURELY_FAR * taken_j) * repeat_m;
        sums.distance_m > FAR_M
            || self.repeats * self.steps > MOST_STEPS
            || (self.repeats > 1 && surely_m > FAR_M)
    }

    /// The run in short as it was driven. `tally` must have seen all of it.
    pub(super) fn driven<L: Lane>(&self, tally: &Tally<L>, lane: usize) -> ShortRange {
        let sums = tally.sums.lane(lane);
        let end = self.end.unwrap_or(RangeEnd::Far);
        let distance_m = sums.distance_m;
        let range_m = if end == RangeEnd::Far { FAR_M } else { distance_m };
        let (keeps_up_m, missed) = self.following.over(range_m, place(&sums));
        let scale_j = sums.out_j.max(sums.in_j).max(1.0);
        ShortRange {
            distance_m,
            distance_with_reserve_m: tally.reserve_m(lane).unwrap_or(distance_m),
            driven_keeps_up_m: keeps_up_m,
            missed,
            use_j: sums.use_j,
            standing_j: sums.standing_j,
            end,
            start_charge_frac: self.start_frac,
            floor_frac: self.levels.floor_frac,
            end_charge_frac: match end {
                RangeEnd::Empty => self.levels.floor_frac,
                _ => self.state.charge_frac,
            },
            shortfall_s: tally.shortfall_s.lane(lane),
            shortfall_m: tally.shortfall_m.lane(lane),
            fell_behind: tally.behind_s.lane(lane) > 0.0,
            heat_used_max: tally.heat_used_max.lane(lane),
            imbalance: sums.imbalance_j.abs() / scale_j,
        }
    }
}

fn place(sums: &Sums<f64>) -> RepeatEnd {
    RepeatEnd { distance_m: sums.distance_m, missed_m: sums.missed_m }
}
