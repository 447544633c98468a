//! What is kept of a run, leg after leg and in any width: how far it went, what it took, what it missed,
//! and whether it has ended.

use crate::batch::{LegView, Watch};
use crate::car::Car;
use crate::constants::KMH_PER_MPS;
use crate::cycle::Cycle;
use crate::day::Day;
use crate::drive::{FOLLOWING_SLACK_MPS, stands_short};
use crate::lane::Lane;

/// Speed below which a car that is asked to move stands, m/s (1 km/h).
pub(super) const STANDS_BELOW_MPS: f64 = 1.0 / KMH_PER_MPS;

/// Seconds of standing that end a run.
pub(super) const STANDS_FOR_S: f64 = 60.0;

/// A number above every distance.
const NEVER: f64 = 1e18;

/// Charges at which a run ends, and at which only the reserve is left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Levels {
    pub(super) floor_frac: f64,
    pub(super) reserve_frac: f64,
}

impl Levels {
    pub(super) fn of(car: &Car, day: &Day) -> Levels {
        let pack = &car.spec().pack;
        let floor_frac = car.floor_frac(day);
        let reserve_frac = floor_frac + pack.reserve_frac * (pack.usable_to_frac - floor_frac);
        Levels { floor_frac, reserve_frac }
    }
}

/// Sums over a run up to now.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sums<L> {
    pub(super) distance_m: L,
    pub(super) duration_s: L,
    /// Asked less driven, m.
    pub(super) missed_m: L,
    /// At the terminals, J.
    pub(super) use_j: L,
    /// Of that standing loads and the DC-DC converter, J.
    pub(super) standing_j: L,
    /// Taken from store while discharging, J.
    pub(super) out_j: L,
    /// Put into store while charging, J.
    pub(super) in_j: L,
    pub(super) imbalance_j: L,
}

impl<L: Lane> Sums<L> {
    pub(super) fn zero() -> Self {
        let zero = L::splat(0.0);
        Sums {
            distance_m: zero,
            duration_s: zero,
            missed_m: zero,
            use_j: zero,
            standing_j: zero,
            out_j: zero,
            in_j: zero,
            imbalance_j: zero,
        }
    }

    pub(super) fn lane(&self, index: usize) -> Sums<f64> {
        Sums {
            distance_m: self.distance_m.lane(index),
            duration_s: self.duration_s.lane(index),
            missed_m: self.missed_m.lane(index),
            use_j: self.use_j.lane(index),
            standing_j: self.standing_j.lane(index),
            out_j: self.out_j.lane(index),
            in_j: self.in_j.lane(index),
            imbalance_j: self.imbalance_j.lane(index),
        }
    }

    /// Adds the share of a leg that counts. `asked_mps` is the mean speed that it asks for.
    #[inline(always)]
    fn add(&mut self, seen: &LegView<'_, L>, asked_mps: f64, share: L) {
        let (step, zero) = (seen.step, L::splat(0.0));
        let dt = step.duration_s * share;
        let ds = step.distance_m * share;
        let from_pack_j = step.energy.from_pack_j * share;
        self.distance_m = self.distance_m + ds;
        self.duration_s = self.duration_s + dt;
        self.missed_m = self.missed_m + (L::splat(asked_mps) * dt - ds);
        self.use_j = self.use_j + step.energy.terminals_j * share;
        let standing_j = step.energy.ancillaries_j + step.energy.dcdc_j;
        self.standing_j = self.standing_j + standing_j * share;
        self.out_j = self.out_j + from_pack_j.max(zero);
        self.in_j = self.in_j + (-from_pack_j).max(zero);
        self.imbalance_j = self.imbalance_j + step.energy.imbalance_j() * share;
    }
}

/// The tally of one run, or of several side by side.
pub(super) struct Tally<L: Lane> {
    floor_frac: L,
    reserve_frac: L,
    first_pass: bool,
    /// Speed that the leg before asked for at its end, m/s.
    asked_mps: f64,
    pub(super) sums: Sums<L>,
    /// 1 while a run goes on, 0 from its end.
    on: L,
    /// Share of the last leg that counted.
    pub(super) share: L,
    reserve_m: L,
    standing_s: L,
    /// 1 where a run ended empty; where the car stands.
    empty: L,
    stands: L,
    /// Time more than 2 km/h below target on the first repeat, s, and distance missing in it, m.
    pub(super) shortfall_s: L,
    pub(super) shortfall_m: L,
    /// Time on the first repeat below the lowest target within a second, s.
    pub(super) behind_s: L,
    pub(super) heat_used_max: L,
}

impl<L: Lane> Tally<L> {
    pub(super) fn new(cycle: &Cycle, levels: impl Fn(usize) -> Levels) -> Self {
        let zero = L::splat(0.0);
        Tally {
            floor_frac: L::each(|i| levels(i).floor_frac),
            reserve_frac: L::each(|i| levels(i).reserve_frac),
            first_pass: true,
            asked_mps: cycle.start_mps(),
            sums: Sums::zero(),
            on: L::splat(1.0),
            share: zero,
            reserve_m: L::splat(NEVER),
            standing_s: zero,
            empty: zero,
            stands: zero,
            shortfall_s: zero,
            shortfall_m: zero,
            behind_s: zero,
            heat_used_max: zero,
        }
    }

    /// Before a pass: whose runs have ended by now.
    pub(super) fn begin(&mut self, ended: impl Fn(usize) -> bool) {
        self.on = L::each(|i| if ended(i) { 0.0 } else { 1.0 });
    }

    /// A pass is over.
    pub(super) fn end_pass(&mut self) {
        self.first_pass = false;
    }

    pub(super) fn is_empty(&self, lane: usize) -> bool {
        self.empty.lane(lane) > 0.0
    }

    pub(super) fn stands(&self, lane: usize) -> bool {
        self.stands.lane(lane) > 0.0
    }

    /// Distance at which only the reserve was left, m. `None`: more is left.
    pub(super) fn reserve_m(&self, lane: usize) -> Option<f64> {
        let at_m = self.reserve_m.lane(lane);
        (at_m < NEVER).then_some(at_m)
    }

    /// Share of a leg until the charge falls to a level; all of it if it stays above.
    #[inline(always)]
    fn share_above(level: L, before: L, after: L) -> L {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let falls = L::select(zero.lt(before - after), before - after, one);
        let part = ((before - level) / falls).max(zero).min(one);
        L::select(level.lt(after), one, part)
    }

    #[inline(always)]
    fn count_standing(&mut self, seen: &LegView<'_, L>) {
        let (leg, step) = (seen.leg, seen.step);
        let zero = L::splat(0.0);
        let moves = L::splat(STANDS_BELOW_MPS).lt(step.state.speed_mps);
        let asked = leg.lowest_target_mps > STANDS_BELOW_MPS;
        let more_s = if asked { self.standing_s + step.duration_s } else { self.standing_s };
        self.standing_s = L::select(moves, zero, more_s);
        let long = L::splat(STANDS_FOR_S).le(self.standing_s);
        let ends = stands_short(leg, step.distance_m).map_or(long, |short| L::or(short, long));
        self.stands = self.stands.max(L::select(ends, self.on, zero));
    }

    #[inline(always)]
    fn count_first_pass(&mut self, seen: &LegView<'_, L>) {
        let (leg, step) = (seen.leg, seen.step);
        let (zero, slack) = (L::splat(0.0), L::splat(FOLLOWING_SLACK_MPS));
        let dt = step.duration_s * self.on;
        let end_mps = step.state.speed_mps;
        let behind = end_mps.lt(L::splat(leg.lowest_target_mps - FOLLOWING_SLACK_MPS));
        self.behind_s = self.behind_s + L::select(behind, dt, zero);
        let missing = L::splat(leg.target_mps) - end_mps;
        let short = slack.lt(missing);
        self.shortfall_s = self.shortfall_s + L::select(short, dt, zero);
        self.shortfall_m = self.shortfall_m + L::select(short, missing * dt, zero);
    }

    /// Where the charge passes the reserve and the floor in this leg.
    #[inline(always)]
    fn count_charge(&mut self, seen: &LegView<'_, L>) {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let (before, after) = (seen.before.charge_frac, seen.step.state.charge_frac);
        let on = zero.lt(self.on);
        self.share = self.on;
        let open = L::splat(NEVER).le(self.reserve_m);
        let low = L::and(L::and(on, open), after.le(self.reserve_frac));
        if L::any(low) {
            let part = Self::share_above(self.reserve_frac, before, after);
            let at_m = self.sums.distance_m + part * seen.step.distance_m;
            self.reserve_m = L::select(low, at_m, self.reserve_m);
        }
        let falls = L::and(on, after.le(self.floor_frac));
        if L::any(falls) {
            let part = Self::share_above(self.floor_frac, before, after);
            self.share = L::select(falls, part * self.on, self.share);
            self.empty = L::select(falls, one, self.empty);
        }
    }
}

impl<L: Lane> Watch<L> for Tally<L> {
    #[inline(always)]
    fn leg(&mut self, seen: LegView<'_, L>) -> bool {
        let (zero, half) = (L::splat(0.0), L::splat(0.5));
        let asked_mps = 0.5 * (self.asked_mps + seen.leg.target_mps);
        self.asked_mps = seen.leg.target_mps;
        self.count_charge(&seen);
        self.sums.add(&seen, asked_mps, self.share);
        if self.first_pass {
            self.count_first_pass(&seen);
        }
        self.count_standing(&seen);
        let used = seen.step.state.heat_used.max(seen.step.state.long_heat_used);
        self.heat_used_max = self.heat_used_max.max(used * self.on);
        let ended = half.lt(self.empty.max(self.stands));
        self.on = L::select(ended, zero, self.on);
        L::any(zero.lt(self.on))
    }
}

#[cfg(test)]
mod tests {
    use super::Tally;

    #[test]
    fn a_leg_counts_until_the_floor() {
        // From 0.25 to 0.15 the floor of 0.20 lies half way.
        for (before, after, wanted) in [
            (0.25, 0.15, 0.5),
            (0.30, 0.21, 1.0),
            (0.25, 0.20, 1.0),
            (0.20, 0.15, 0.0),
            (0.1, 0.15, 0.0),
        ] {
            let share: f64 = Tally::<f64>::share_above(0.20, before, after);
            assert!((share - wanted).abs() < 1e-12, "{before} to {after}: {share}");
        }
    }
}
