//! Range without driving every repeat.
//!
//! The charge that one repeat takes changes little and smoothly from full to empty. So the first
//! repeat is driven, and more of them while a cold pack refuses charge; the repeats in between are
//! reckoned from the last one that was driven; the low end is driven in full. What the low end shows
//! corrects the repeats in between.
//!
//! [`crate::range::range`] drives every repeat and is the reference; this is within a thousandth of it
//! (tested over random cars and days in `tests/repeats.rs`).

use crate::balance::Energies;
use crate::batch::{Seen, Side, WIDTH, Watch, pass};
use crate::car::Car;
use crate::cycle::{Cycle, Span};
use crate::day::Day;
use crate::drive::{FOLLOWING_SLACK_MPS, start_state};
use crate::lane::Lane;
use crate::limit::Limit;
use crate::range::{RangeEnd, RangeRun, TOO_SLOW_FOR_S, first_repeats, range};
use crate::ready::{Ready, View};
use crate::step::State;

/// How far below the floor a pass is looked at: the low end may have to be set lower.
const PAST_FLOOR: f64 = 0.01;

/// Longest cycle that is repeated here, legs; a longer one is driven in full.
const LONGEST_LEGS: usize = 60_000;

/// Repeats that are driven from full, at least: the oil warms most in the first.
const FIRST_REPEATS: usize = 2;

/// Fewest repeats that are leapt over: what is gained by fewer is lost again where the low end is driven
/// whole, past the floor.
const LEAST_LEAP: usize = 5;

/// Repeats that are driven at the low end, at least.
const LOW_END_REPEATS: f64 = 1.0;

/// Most repeats that are driven or reckoned; a pack that lasts longer is left to the reference.
const MOST_REPEATS: usize = 2000;

/// A run from full to the end, in short.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct ShortRange {
    /// Distance to the end, m.
    pub distance_m: f64,
    /// Distance until only the reserve is left, m.
    pub distance_with_reserve_m: f64,
    /// Energy at the pack's terminals, net, J.
    pub use_j: f64,
    /// Why it ended.
    pub end: RangeEnd,
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
    /// Largest imbalance of a driven repeat, over the larger of its gross energies.
    pub imbalance: f64,
    /// Repeats that were driven.
    pub driven_repeats: f64,
}

/// A car on its day, made ready once for all cycles.
#[derive(Clone, Copy, Debug)]
pub struct Prepared<'a> {
    /// The car.
    pub car: &'a Car,
    /// The day.
    pub day: &'a Day,
    /// The car on that day, [`Ready::new`] of both.
    pub ready: &'a Ready,
}

/// How much is driven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Driven {
    /// Every repeat.
    Every,
    /// The first repeats and the low end: within a thousandth of driving all, for cycles of some minutes; a
    /// cycle of one minute, in whose first repeats the oil is still cold, within two thousandths. Runs that do
    /// not end empty are driven in full.
    BothEnds,
    /// The first repeat and the low end, whatever ends the run: within some tenths of a per cent, but
    /// where a car gives up may be a repeat off. For many worlds, not for one car.
    BothEndsLoosely,
    /// So many repeats from full; all others are reckoned from the last of them. Good for comparing
    /// with a range that was driven, not by itself: what happens at the low end is not seen.
    First(usize),
}

/// Range of several cars, each on its day, over one cycle; results in the order given.
///
/// ```
/// use crownwheel::{cycle::Cycle, ready::Ready};
/// use crownwheel::repeats::{Driven, Prepared, short_range, short_ranges};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (ready, cycle) = (Ready::new(&car, &day), Cycle::steady(20.0));
/// let case = Prepared { car: &car, day: &day, ready: &ready };
/// let both = short_ranges(&[case, case], &cycle, Driven::BothEnds);
/// assert_eq!(both[1], short_range(&case, &cycle, Driven::BothEnds));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn short_ranges(cases: &[Prepared<'_>], cycle: &Cycle, driven: Driven) -> Vec<ShortRange> {
    let parts = cases.chunks(WIDTH);
    parts.flat_map(|part| side_by_side(part, cycle, driven)).collect()
}

/// Range of one car on a day over a cycle: the same bits as [`short_ranges`] give.
///
/// ```
/// use crownwheel::{cycle::Cycle, range::range, ready::Ready};
/// use crownwheel::repeats::{Driven, Prepared, short_range};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (ready, cycle) = (Ready::new(&car, &day), Cycle::builtin("hwfet").expect("it is built in"));
/// let case = Prepared { car: &car, day: &day, ready: &ready };
/// // Within a thousandth of driving every repeat.
/// let short = short_range(&case, &cycle, Driven::BothEnds);
/// assert!((short.distance_m / range(&car, &day, &cycle).distance_m - 1.0).abs() < 1e-3);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn short_range(case: &Prepared<'_>, cycle: &Cycle, driven: Driven) -> ShortRange {
    if !repeats(case.car, cycle) {
        return match driven {
            Driven::First(count) => first(case, cycle, count),
            _ => whole(case, cycle),
        };
    }
    let mut rounds = [Rounds::new(case, cycle, driven)];
    drive_rounds::<f64>(&case.ready.view(), cycle, &mut rounds);
    match rounds[0].result() {
        Some(range) => range,
        None if driven == Driven::BothEnds => short_range(case, cycle, Driven::Every),
        None => whole(case, cycle),
    }
}

/// At most [`WIDTH`] cars.
fn side_by_side(cases: &[Prepared<'_>], cycle: &Cycle, driven: Driven) -> Vec<ShortRange> {
    if cases.len() == 1 || !cases.iter().all(|case| repeats(case.car, cycle)) {
        return cases.iter().map(|case| short_range(case, cycle, driven)).collect();
    }
    // Empty lanes repeat the last car; nobody reads them.
    let case = |i: usize| &cases[i.min(cases.len() - 1)];
    let view = Ready::side_by_side::<WIDTH>(std::array::from_fn(|i| case(i).ready));
    let mut rounds: Vec<Rounds<'_>> =
        (0..WIDTH).map(|i| Rounds::new(case(i), cycle, driven)).collect();
    drive_rounds::<Side>(&view, cycle, &mut rounds);
    let found: Vec<Option<ShortRange>> =
        rounds.iter().take(cases.len()).map(Rounds::result).collect();
    // What is better driven in full is driven so side by side.
    let left: Vec<Prepared<'_>> = cases
        .iter()
        .zip(&found)
        .filter(|(_, range)| range.is_none())
        .map(|(case, _)| *case)
        .collect();
    let mut full = if driven == Driven::BothEnds && !left.is_empty() {
        side_by_side(&left, cycle, Driven::Every)
    } else {
        left.iter().map(|case| whole(case, cycle)).collect()
    }
    .into_iter();
    found.into_iter().filter_map(|range| range.or_else(|| full.next())).collect()
}

/// Whether a car and a cycle suit: one gear, and not too long.
fn repeats(car: &Car, cycle: &Cycle) -> bool {
    car.gears_in_use().len() == 1 && cycle.legs().len() <= LONGEST_LEGS
}

/// The reference, as the short form.
fn whole(case: &Prepared<'_>, cycle: &Cycle) -> ShortRange {
    let run: RangeRun = range(case.car, case.day, cycle);
    ShortRange {
        distance_m: run.distance_m,
        distance_with_reserve_m: run.distance_with_reserve_m,
        use_j: run.balance.sum.terminals_j,
        end: run.end,
        end_charge_frac: run.end_charge_frac,
        shortfall_s: run.first.shortfall_s,
        shortfall_m: run.first.shortfall_m,
        fell_behind: run.first.fell_behind,
        heat_used_max: run.motor.heat_used_max.unwrap_or(0.0),
        imbalance: run.balance.imbalance_j().abs() / run.balance.scale_j(),
        driven_repeats: run.distance_m / run.first.distance_m.max(1.0),
    }
}

/// The first repeats of a car that is driven by itself; the others are reckoned from the last of them by
/// the energy at rest that it took.
fn first(case: &Prepared<'_>, cycle: &Cycle, count: usize) -> ShortRange {
    let Prepared { car, day, .. } = *case;
    let Some(driven) = first_repeats(car, day, cycle, count) else { return whole(case, cycle) };
    let pack = &car.spec().pack;
    let floor_frac = car.floor_frac(day);
    let reserve_frac = floor_frac + pack.reserve_frac * (pack.usable_to_frac - floor_frac);
    let taken_j = pack.stored_j(driven.charge_frac, driven.charge_frac + driven.last_charge_frac);
    let left = |level_frac: f64| pack.stored_j(level_frac, driven.charge_frac) / taken_j;
    ShortRange {
        distance_m: driven.distance_m + left(floor_frac) * driven.last_distance_m,
        distance_with_reserve_m: driven.distance_m + left(reserve_frac) * driven.last_distance_m,
        use_j: driven.balance.sum.terminals_j + left(floor_frac) * driven.last_use_j,
        end: RangeEnd::Empty,
        end_charge_frac: floor_frac,
        shortfall_s: driven.first.shortfall_s,
        shortfall_m: driven.first.shortfall_m,
        fell_behind: driven.first.fell_behind,
        heat_used_max: driven.heat_used_max,
        imbalance: driven.balance.imbalance_j().abs() / driven.balance.scale_j(),
        driven_repeats: crate::table::count(count),
    }
}

/// Passes until every car is at its end.
fn drive_rounds<L: Lane>(view: &View<'_, L>, cycle: &Cycle, rounds: &mut [Rounds<'_>]) {
    let mut tally = Tally::<L>::new(cycle);
    loop {
        let start = State::<L>::each(|i| rounds[i].start());
        tally.begin(L::each(|i| rounds[i].may_stop_below()));
        let end = pass(view, cycle.legs().iter(), start, &mut tally);
        for (i, round) in rounds.iter_mut().enumerate() {
            round.take(&tally.lane(i), &end.lane(i));
        }
        if rounds.iter().all(|round| round.done.is_some()) {
            return;
        }
        tally.first = false;
    }
}

/// What is kept of a pass of several cars.
struct Tally<L: Lane> {
    marks: Marks,
    next_mark: usize,
    first: bool,
    index: usize,
    /// By leg: the cars that followed on the first pass.
    followed: Vec<L::Mask>,
    /// State of charge, distance and use in this pass at the end of each leg.
    trace: Vec<[L; 3]>,
    /// Oil temperature, K, at the marked legs.
    oil_k: [L; MARKS],
    sums: Sums<L>,
    distance_m: L,
    duration_s: L,
    /// What the driveline's drag took, J.
    drag_j: L,
    /// Seconds with any limit.
    limit_s: L,
    /// Motor speed squared over time, rad²/s.
    speed_squared_s: L,
    shortfall_s: L,
    shortfall_m: L,
    behind_s: L,
    slow_s: L,
    /// Leg at which a car had been too slow for too long; a large number while there is none.
    too_slow_leg: L,
    full_s: L,
    cold_s: L,
    /// Leg, by distance, that was not covered because the car stood on a slope; a large number while
    /// there is none.
    stuck_leg: L,
    heat_used_max: L,
    /// Lowest state of charge at the end of a leg.
    least_frac: L,
    /// State of charge below which nobody looks at a car any more in this pass.
    may_stop_below: L,
    /// 1 while somebody does, 0 from then on: what is kept must not hang on the cars beside it, for whose
    /// sake the pass goes on.
    on: L,
}

/// The energies of a pass that are needed, and what the balance leaves over.
#[derive(Clone, Copy)]
struct Sums<L> {
    terminals_j: L,
    pack_j: L,
    driveline_j: L,
    from_pack_j: L,
    out_j: L,
    in_j: L,
    imbalance_j: L,
}

impl<L: Lane> Sums<L> {
    fn zero() -> Self {
        let zero = L::splat(0.0);
        Sums {
            terminals_j: zero,
            pack_j: zero,
            driveline_j: zero,
            from_pack_j: zero,
            out_j: zero,
            in_j: zero,
            imbalance_j: zero,
        }
    }

    #[inline(always)]
    fn add(&mut self, step: &Energies<L>, on: L) {
        let zero = L::splat(0.0);
        self.terminals_j = self.terminals_j + step.terminals_j;
        self.pack_j = self.pack_j + step.pack_j;
        self.driveline_j = self.driveline_j + step.driveline_j;
        self.from_pack_j = self.from_pack_j + step.from_pack_j;
        self.out_j = self.out_j + step.from_pack_j.max(zero) * on;
        self.in_j = self.in_j + (-step.from_pack_j).max(zero) * on;
        self.imbalance_j = self.imbalance_j + step.imbalance_j() * on;
    }
}

/// Places in a cycle at which the oil's temperature is kept.
const MARKS: usize = 8;

/// Legs by which equal parts of the oil's drag have been overcome, and their times: drag grows with
/// speed squared.
#[derive(Clone, Copy, Debug)]
struct Marks {
    legs: [usize; MARKS],
    time_s: [f64; MARKS],
}

impl Marks {
    fn of(cycle: &Cycle) -> Marks {
        let mut sums = Vec::with_capacity(cycle.legs().len());
        let (mut time_s, mut sum, mut before_mps) = (0.0, 0.0, cycle.start_mps());
        for leg in cycle.legs() {
            let mean_mps = 0.5 * (before_mps + leg.target_mps);
            let dt_s = match leg.span {
                Span::Time(dt_s) => dt_s,
                Span::Distance(ds_m) => ds_m / mean_mps.max(f64::MIN_POSITIVE),
            };
            time_s += dt_s;
            sum += mean_mps * mean_mps * dt_s;
            sums.push((sum, time_s));
            before_mps = leg.target_mps;
        }
        let mut marks = Marks { legs: [0; MARKS], time_s: [0.0; MARKS] };
        for q in 0..MARKS {
            let part = (crate::table::count(q) + 0.5) / crate::table::count(MARKS) * sum;
            let leg = sums.partition_point(|(so_far, _)| *so_far < part).min(sums.len() - 1);
            (marks.legs[q], marks.time_s[q]) = (leg, sums[leg].1);
        }
        marks
    }
}

/// A number above every leg.
const NEVER: f64 = 1e18;

impl<L: Lane> Tally<L> {
    fn new(cycle: &Cycle) -> Self {
        let zero = L::splat(0.0);
        let legs = cycle.legs().len();
        Tally {
            marks: Marks::of(cycle),
            next_mark: 0,
            oil_k: [zero; MARKS],
            drag_j: zero,
            limit_s: zero,
            first: true,
            index: 0,
            followed: Vec::with_capacity(legs),
            trace: Vec::with_capacity(legs),
            sums: Sums::zero(),
            distance_m: zero,
            duration_s: zero,
            speed_squared_s: zero,
            shortfall_s: zero,
            shortfall_m: zero,
            behind_s: zero,
            slow_s: zero,
            too_slow_leg: L::splat(NEVER),
            full_s: zero,
            cold_s: zero,
            stuck_leg: L::splat(NEVER),
            heat_used_max: zero,
            least_frac: L::splat(1.0),
            may_stop_below: L::splat(-NEVER),
            on: L::splat(1.0),
        }
    }

    /// Before a pass. Slowness runs on from the pass before.
    fn begin(&mut self, may_stop_below: L) {
        let zero = L::splat(0.0);
        self.may_stop_below = may_stop_below;
        self.on = L::splat(1.0);
        self.index = 0;
        self.next_mark = 0;
        self.drag_j = zero;
        self.limit_s = zero;
        self.trace.clear();
        self.sums = Sums::zero();
        self.distance_m = zero;
        self.duration_s = zero;
        self.speed_squared_s = zero;
        self.full_s = zero;
        self.cold_s = zero;
        self.too_slow_leg = L::splat(NEVER);
        self.stuck_leg = L::splat(NEVER);
        self.least_frac = L::splat(1.0);
    }

    /// Seconds in which limits bind.
    #[inline(always)]
    fn limits(&mut self, code: L, limited: L::Mask, dt: L) {
        let zero = L::splat(0.0);
        let is = |limit: Limit| {
            let this = L::splat(limit.code());
            L::and(code.le(this), this.le(code))
        };
        self.limit_s = self.limit_s + L::select(limited, dt, zero);
        self.full_s = self.full_s + L::select(is(Limit::FullPack), dt, zero);
        self.cold_s = self.cold_s + L::select(is(Limit::ColdPack), dt, zero);
    }

    fn lane(&self, i: usize) -> Passed<'_, L> {
        let sum = &self.sums;
        let scale_j = sum.out_j.lane(i).max(sum.in_j.lane(i)).max(1.0);
        Passed {
            trace: &self.trace,
            lane: i,
            marked: std::array::from_fn(|q| (self.marks.time_s[q], self.oil_k[q].lane(i))),
            drag_j: self.drag_j.lane(i),
            limit_s: self.limit_s.lane(i),
            distance_m: self.distance_m.lane(i),
            duration_s: self.duration_s.lane(i),
            speed_squared_s: self.speed_squared_s.lane(i),
            shortfall_s: self.shortfall_s.lane(i),
            shortfall_m: self.shortfall_m.lane(i),
            fell_behind: self.behind_s.lane(i) > 0.0,
            too_slow_leg: self.too_slow_leg.lane(i),
            full_s: self.full_s.lane(i),
            cold_s: self.cold_s.lane(i),
            stuck_leg: self.stuck_leg.lane(i),
            least_frac: self.least_frac.lane(i),
            use_j: sum.terminals_j.lane(i),
            pack_j: sum.pack_j.lane(i),
            driveline_j: sum.driveline_j.lane(i),
            from_pack_j: sum.from_pack_j.lane(i),
            heat_used_max: self.heat_used_max.lane(i),
            imbalance: sum.imbalance_j.lane(i).abs() / scale_j,
        }
    }
}

impl<L: Lane> Watch<L> for Tally<L> {
    #[inline(always)]
    fn leg(&mut self, seen: Seen<'_, L>) -> bool {
        let (leg, step) = (seen.leg, seen.step);
        let zero = L::splat(0.0);
        let dt = step.duration_s;
        self.sums.add(&step.energy, self.on);
        self.distance_m = self.distance_m + step.distance_m;
        self.duration_s = self.duration_s + dt;
        self.speed_squared_s = self.speed_squared_s + step.motor_radps * step.motor_radps * dt;
        self.drag_j = self.drag_j + step.drag_nm * step.motor_radps * dt;
        while self.next_mark < MARKS && self.marks.legs[self.next_mark] == self.index {
            self.oil_k[self.next_mark] = step.state.oil_k;
            self.next_mark += 1;
        }
        let limited = L::splat(Limit::None.code()).lt(step.limit);
        if L::any(limited) {
            self.limits(step.limit, limited, dt);
        }
        self.least_frac = self.least_frac.min(step.state.charge_frac);
        self.trace.push([step.state.charge_frac, self.distance_m, self.sums.terminals_j]);
        if let Span::Distance(ds_m) = leg.span {
            let short = step.distance_m.lt(L::splat(ds_m * (1.0 - 1e-9)));
            let here = self.stuck_leg.min(number::<L>(self.index));
            self.stuck_leg = L::select(short, here, self.stuck_leg);
        }
        let end = step.state.speed_mps;
        let behind = end.lt(L::splat(leg.lowest_target_mps - FOLLOWING_SLACK_MPS));
        if self.first {
            self.followed.push(L::not(behind));
            self.behind_s = self.behind_s + L::select(behind, dt, zero);
            let missing = L::splat(leg.target_mps) - end;
            let short = L::splat(FOLLOWING_SLACK_MPS).lt(missing);
            self.shortfall_s = self.shortfall_s + L::select(short, dt, zero);
            self.shortfall_m = self.shortfall_m + L::select(short, missing * dt, zero);
        } else if L::any(behind) {
            let slow = L::and(behind, self.followed[self.index]);
            self.slow_s = L::select(slow, self.slow_s + dt, zero);
            let ends = L::splat(TOO_SLOW_FOR_S).le(self.slow_s);
            self.too_slow_leg =
                L::select(ends, self.too_slow_leg.min(number::<L>(self.index)), self.too_slow_leg);
        } else {
            self.slow_s = zero;
        }
        let used = step.state.heat_used.max(step.state.long_heat_used);
        self.heat_used_max = self.heat_used_max.max(used * self.on);
        let seen = self.may_stop_below.lt(step.state.charge_frac);
        self.on = L::select(seen, self.on, zero);
        self.index += 1;
        L::any(zero.lt(self.on))
    }
}

#[inline(always)]
fn number<L: Lane>(index: usize) -> L {
    L::splat(crate::table::count(index))
}

/// What one car did in a pass.
struct Passed<'t, L> {
    trace: &'t [[L; 3]],
    lane: usize,
    /// Time, s, and oil temperature, K, at the marks.
    marked: [(f64, f64); MARKS],
    drag_j: f64,
    limit_s: f64,
    distance_m: f64,
    duration_s: f64,
    speed_squared_s: f64,
    shortfall_s: f64,
    shortfall_m: f64,
    fell_behind: bool,
    too_slow_leg: f64,
    full_s: f64,
    cold_s: f64,
    stuck_leg: f64,
    least_frac: f64,
    use_j: f64,
    pack_j: f64,
    driveline_j: f64,
    from_pack_j: f64,
    heat_used_max: f64,
    imbalance: f64,
}

impl<L: Lane> Passed<'_, L> {
    fn point(&self, index: usize) -> (f64, f64) {
        let [charge, distance, _] = self.trace[index];
        (charge.lane(self.lane), distance.lane(self.lane))
    }

    /// Distance in this pass at which the charge first falls to a level; on beyond the end at the
    /// mean slope if it stays above. `start` is the charge before the pass.
    fn distance_at(&self, start_frac: f64, level_frac: f64) -> f64 {
        let mut before = (start_frac, 0.0);
        for index in 0..self.trace.len() {
            let after = self.point(index);
            if after.0 <= level_frac {
                let share = ((before.0 - level_frac) / (before.0 - after.0)).clamp(0.0, 1.0);
                return before.1 + share * (after.1 - before.1);
            }
            before = after;
        }
        let per_charge_m = self.distance_m / (start_frac - before.0).max(f64::MIN_POSITIVE);
        self.distance_m + (before.0 - level_frac) * per_charge_m
    }

    /// Use in this pass, J, when the charge first falls to a level.
    fn use_at(&self, start_frac: f64, level_frac: f64) -> f64 {
        let leg = (0..self.trace.len()).find(|index| self.point(*index).0 <= level_frac);
        let Some(leg) = leg else { return self.use_j };
        let use_j = |index: usize| self.trace[index][2].lane(self.lane);
        let before = match leg {
            0 => (start_frac, 0.0),
            leg => (self.point(leg - 1).0, use_j(leg - 1)),
        };
        let after = (self.point(leg).0, use_j(leg));
        let share = ((before.0 - level_frac) / (before.0 - after.0)).clamp(0.0, 1.0);
        before.1 + share * (after.1 - before.1)
    }

    /// Use in this pass, J, at the end of the leg with a number.
    fn use_at_leg(&self, number: f64) -> f64 {
        let leg = (0..self.trace.len()).find(|index| crate::table::count(*index) >= number);
        self.trace[leg.unwrap_or(self.trace.len() - 1)][2].lane(self.lane)
    }

    /// Number of the leg at which the charge first falls to a level; [`NEVER`] if it stays above.
    fn leg_at(&self, level_frac: f64) -> f64 {
        if self.least_frac > level_frac {
            return NEVER;
        }
        let leg = (0..self.trace.len()).find(|index| self.point(*index).0 <= level_frac);
        leg.map_or(NEVER, crate::table::count)
    }

    /// Whether the charge falls to a level in this pass.
    fn falls_to(&self, level_frac: f64) -> bool {
        self.least_frac <= level_frac
    }

    /// Charge and distance at the end of the leg with a number.
    fn at_leg(&self, number: f64) -> (f64, f64) {
        let leg = (0..self.trace.len()).find(|index| crate::table::count(*index) >= number);
        self.point(leg.unwrap_or(self.trace.len() - 1))
    }
}

/// A repeat that was driven, as the pattern of those that are not.
#[derive(Clone, Copy, Debug)]
struct Pattern {
    distance_m: f64,
    duration_s: f64,
    use_j: f64,
    pack_j: f64,
    driveline_j: f64,
    /// From the pack over charge times mean voltage: near 1.
    voltage_factor: f64,
    mean_v: f64,
    resistance_ohm: f64,
    /// Factor of the cold oil at the mean temperature.
    cold_oil: f64,
    /// What warm oil's drag takes over the repeat, J.
    drag_j: f64,
    marked: [Marked; MARKS],
    oil: Node,
    pack: Node,
    heat: [Node; 2],
    limit_s: f64,
    /// What the pack gives more for each unit of the cold oil's factor, J.
    use_per_oil_j: f64,
    start: State<f64>,
    end: State<f64>,
}

/// The oil at a mark of a repeat.
#[derive(Clone, Copy, Debug)]
struct Marked {
    /// Share of a difference at the start that is left.
    keep: f64,
    /// Temperature, K.
    oil_k: f64,
    /// Factor of the cold oil.
    factor: f64,
}

/// A repeat that is reckoned.
#[derive(Clone, Copy, Debug)]
struct Reckoned {
    state: State<f64>,
    use_j: f64,
}

/// One car from full to the end.
struct Rounds<'r> {
    ready: &'r Ready,
    driven: Driven,
    floor_frac: f64,
    reserve_frac: f64,
    /// State that a car which is done goes on from.
    begins: State<f64>,
    state: State<f64>,
    distance_m: f64,
    reserve_m: Option<f64>,
    use_j: f64,
    passes: usize,
    shortfall: (f64, f64, bool),
    heat_used_max: f64,
    imbalance: f64,
    skipped: Option<Skipped>,
    /// Some repeats were not driven.
    leapt: bool,
    done: Option<Done>,
}

/// Repeats that were reckoned, until the low end has been seen.
#[derive(Clone, Debug)]
struct Skipped {
    before: Pattern,
    way: Way,
    count: usize,
    from: State<f64>,
    to_frac: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Done {
    Empty,
    TooSlow,
    /// Better left to the reference.
    Leave,
}

impl<'r> Rounds<'r> {
    fn new(case: &Prepared<'r>, cycle: &Cycle, driven: Driven) -> Self {
        let Prepared { car, day, ready } = *case;
        let pack = &car.spec().pack;
        let floor_frac = car.floor_frac(day);
        Rounds {
            ready,
            driven,
            floor_frac,
            reserve_frac: floor_frac + pack.reserve_frac * (pack.usable_to_frac - floor_frac),
            begins: State {
                charge_frac: 0.5 * (floor_frac + pack.usable_to_frac),
                pack_k: crate::constants::ZERO_CELSIUS_K + 25.0,
                ..start_state(car, day, cycle)
            },
            state: start_state(car, day, cycle),
            distance_m: 0.0,
            reserve_m: None,
            use_j: 0.0,
            passes: 0,
            shortfall: (0.0, 0.0, false),
            heat_used_max: 0.0,
            imbalance: 0.0,
            skipped: None,
            leapt: false,
            done: None,
        }
    }

    /// The range. `None`: better left to the reference.
    fn result(&self) -> Option<ShortRange> {
        let end = match self.done? {
            Done::Empty => RangeEnd::Empty,
            Done::TooSlow => RangeEnd::TooSlow,
            Done::Leave => return None,
        };
        let (shortfall_s, shortfall_m, fell_behind) = self.shortfall;
        Some(ShortRange {
            distance_m: self.distance_m,
            distance_with_reserve_m: self.reserve_m.unwrap_or(self.distance_m),
            use_j: self.use_j,
            end,
            end_charge_frac: match end {
                RangeEnd::Empty => self.floor_frac,
                _ => self.state.charge_frac,
            },
            shortfall_s,
            shortfall_m,
            fell_behind,
            heat_used_max: self.heat_used_max,
            imbalance: self.imbalance,
            driven_repeats: crate::table::count(self.passes),
        })
    }

    /// State at the start of the next pass. A car that is done runs along where no limit binds.
    fn start(&self) -> State<f64> {
        match self.done {
            Some(_) => self.begins,
            None => self.state,
        }
    }

    /// Charge below which a pass may stop; the first pass of the low end is needed whole.
    fn may_stop_below(&self) -> f64 {
        match (self.done, &self.skipped, self.driven) {
            (Some(_), ..) => NEVER,
            (None, Some(_), _) | (None, _, Driven::First(_)) => -NEVER,
            (None, None, _) => self.floor_frac - PAST_FLOOR,
        }
    }

    /// Takes in a pass and decides what the next one begins with.
    fn take<L: Lane>(&mut self, passed: &Passed<'_, L>, end: &State<f64>) {
        if self.done.is_some() {
            return;
        }
        self.passes += 1;
        if self.passes == 1 {
            self.shortfall = (passed.shortfall_s, passed.shortfall_m, passed.fell_behind);
        }
        self.heat_used_max = passed.heat_used_max;
        self.imbalance = self.imbalance.max(passed.imbalance);
        let drops = self.state.charge_frac > end.charge_frac;
        if passed.stuck_leg < passed.leg_at(self.floor_frac) || self.passes > MOST_REPEATS {
            self.done = Some(Done::Leave);
            return;
        }
        if passed.too_slow_leg < passed.leg_at(self.floor_frac) {
            // After a leap it hangs on the repeats that were not driven where the car gives up.
            if self.leapt && self.driven != Driven::BothEndsLoosely {
                self.done = Some(Done::Leave);
            } else {
                self.too_slow(passed);
            }
            return;
        }
        if !drops {
            self.done = Some(Done::Leave);
            return;
        }
        let pattern = self.pattern(passed, end);
        // The low end has been seen: the reckoned repeats are set right by it.
        let shift_frac = match self.skipped.take() {
            Some(skipped) => self.corrected(&skipped, &pattern, passed),
            None => 0.0,
        };
        let level = |frac: f64| frac - shift_frac;
        if self.reserve_m.is_none() && passed.falls_to(level(self.reserve_frac)) {
            let at_m = passed.distance_at(self.state.charge_frac, level(self.reserve_frac));
            self.reserve_m = Some(self.distance_m + at_m);
        }
        if passed.falls_to(level(self.floor_frac)) {
            let at_m = passed.distance_at(self.state.charge_frac, level(self.floor_frac));
            self.distance_m += at_m;
            self.use_j += passed.use_at(self.state.charge_frac, level(self.floor_frac));
            self.done = Some(Done::Empty);
            return;
        }
        self.distance_m += passed.distance_m;
        self.use_j += passed.use_j;
        self.state = State { charge_frac: end.charge_frac + shift_frac, ..*end };
        // A repeat in which the pack refused charge is no pattern of the others.
        if let Driven::First(repeats) = self.driven {
            if self.passes >= repeats {
                self.reckon_the_rest(&pattern, &Way::of(passed, &pattern));
            }
            return;
        }
        let usual = passed.cold_s <= 0.0 && passed.full_s <= 0.0;
        let first = match self.driven {
            Driven::BothEnds => FIRST_REPEATS,
            Driven::BothEndsLoosely => 1,
            Driven::Every | Driven::First(_) => usize::MAX,
        };
        if usual && self.passes >= first {
            self.skip(&pattern, passed);
        }
    }

    /// The run ends where the car had been too slow for too long.
    fn too_slow<L: Lane>(&mut self, passed: &Passed<'_, L>) {
        let start_frac = self.state.charge_frac;
        let (charge_frac, at_m) = passed.at_leg(passed.too_slow_leg);
        if self.reserve_m.is_none() && passed.leg_at(self.reserve_frac) <= passed.too_slow_leg {
            let to_reserve_m = passed.distance_at(start_frac, self.reserve_frac);
            self.reserve_m = Some(self.distance_m + to_reserve_m);
        }
        self.use_j += passed.use_at_leg(passed.too_slow_leg);
        self.distance_m += at_m;
        self.state.charge_frac = charge_frac;
        self.done = Some(Done::TooSlow);
    }

    fn pattern<L: Lane>(&self, passed: &Passed<'_, L>, end: &State<f64>) -> Pattern {
        let (start, ready) = (self.state, self.ready);
        let taken_frac = start.charge_frac - end.charge_frac;
        let mean_v = mean_v(ready, start.charge_frac, taken_frac);
        let duration_s = passed.duration_s;
        let pack = Node::new(pack_rate(ready), duration_s);
        let drag_j = drag_j(ready, passed.distance_m, passed.speed_squared_s);
        Pattern {
            distance_m: passed.distance_m,
            duration_s,
            use_j: passed.use_j,
            pack_j: passed.pack_j,
            driveline_j: passed.driveline_j,
            voltage_factor: passed.from_pack_j * ready.per_capacity / (taken_frac * mean_v),
            mean_v,
            resistance_ohm: mean_resistance_ohm(ready, &start, end, &pack),
            cold_oil: if drag_j > 0.0 { passed.drag_j / drag_j } else { 1.0 },
            marked: passed.marked.map(|(time_s, oil_k)| Marked {
                keep: libm::exp(-oil_rate(ready) * time_s),
                oil_k,
                factor: ready.cold_oil.at(oil_k),
            }),
            oil: Node::new(oil_rate(ready), duration_s),
            pack,
            heat: [ready.per_heat_time, ready.per_long_time]
                .map(|rate| Node::new(rate, duration_s)),
            limit_s: passed.limit_s,
            drag_j,
            use_per_oil_j: drag_j * (1.0 + ready.inverter_share),
            start,
            end: *end,
        }
    }

    /// Repeats like the pattern until the pack is empty.
    fn reckon_the_rest(&mut self, pattern: &Pattern, way: &Way) {
        let mut state = self.state;
        for _ in 0..MOST_REPEATS {
            let next = reckon(self.ready, pattern, &state);
            let (before_frac, after_frac) = (state.charge_frac, next.state.charge_frac);
            let at_m = |level: f64| {
                let stored = stored_share(self.ready, before_frac, level, after_frac);
                way.distance_at_share(self.ready, stored)
            };
            if self.reserve_m.is_none() && after_frac <= self.reserve_frac {
                self.reserve_m = Some(self.distance_m + at_m(self.reserve_frac));
            }
            if after_frac <= self.floor_frac {
                self.distance_m += at_m(self.floor_frac);
                let stored = stored_share(self.ready, before_frac, self.floor_frac, after_frac);
                self.use_j += next.use_j * stored;
                self.done = Some(Done::Empty);
                return;
            }
            self.distance_m += pattern.distance_m;
            self.use_j += next.use_j;
            state = next.state;
        }
        self.done = Some(Done::Leave);
    }

    /// Leaps over the repeats that lie between here and the low end.
    fn skip<L: Lane>(&mut self, pattern: &Pattern, passed: &Passed<'_, L>) {
        let from = self.state;
        let mut path = vec![Reckoned { state: from, use_j: 0.0 }];
        loop {
            let Some(last) = path.last() else { return };
            let next = reckon(self.ready, pattern, &last.state);
            let taken = last.state.charge_frac - next.state.charge_frac;
            let left = (next.state.charge_frac - self.floor_frac) / taken;
            if left < LOW_END_REPEATS || path.len() > MOST_REPEATS {
                break;
            }
            path.push(next);
        }
        let count = path.len() - 1;
        if count < LEAST_LEAP {
            return;
        }
        self.leapt = true;
        self.state = path[count].state;
        let to_frac = self.state.charge_frac;
        self.skipped =
            Some(Skipped { before: *pattern, way: Way::of(passed, pattern), count, from, to_frac });
    }

    /// Reckons the skipped repeats again with what the low end shows, adds their way, and gives by how
    /// much the charge at the low end should have been higher.
    fn corrected<L: Lane>(
        &mut self,
        skipped: &Skipped,
        after: &Pattern,
        passed: &Passed<'_, L>,
    ) -> f64 {
        let low_end = Way::of(passed, after);
        let (before, after) = &skipped.before.and_by_oil(after);
        let mut state = skipped.from;
        for i in 0..skipped.count {
            let share = crate::table::count(i + 1) / crate::table::count(skipped.count + 1);
            let by_before = reckon(self.ready, before, &state);
            let by_after = reckon(self.ready, after, &state);
            let mix = |a: f64, b: f64| a + share * (b - a);
            let charge_frac = mix(by_before.state.charge_frac, by_after.state.charge_frac);
            let next = State { charge_frac, ..by_before.state };
            let repeat_m = mix(before.distance_m, after.distance_m);
            if self.reserve_m.is_none() && charge_frac <= self.reserve_frac {
                // Within a repeat the store falls as it does in those that were driven.
                let stored =
                    stored_share(self.ready, state.charge_frac, self.reserve_frac, charge_frac);
                let by_before_m = skipped.way.distance_at_share(self.ready, stored);
                let by_after_m = low_end.distance_at_share(self.ready, stored);
                self.reserve_m = Some(self.distance_m + mix(by_before_m, by_after_m));
            }
            self.distance_m += repeat_m;
            self.use_j += mix(by_before.use_j, by_after.use_j);
            state = next;
        }
        state.charge_frac - skipped.to_frac
    }
}

/// State after a repeat like the pattern that begins elsewhere.
fn reckon(ready: &Ready, pattern: &Pattern, from: &State<f64>) -> Reckoned {
    let Pattern { oil, pack, heat: [short_heat, long_heat], .. } = pattern;
    let mut end = State { charge_frac: from.charge_frac - pattern.taken_frac(), ..pattern.end };
    let mut use_j = pattern.use_j;
    let mut driveline = 1.0;
    for _ in 0..ITERATIONS {
        let thicker = pattern.thicker(ready, from.oil_k, driveline);
        driveline = 1.0 + pattern.drag_j * thicker / pattern.driveline_j.max(1.0);
        end.oil_k =
            oil.end(from.oil_k, (pattern.start.oil_k, pattern.end.oil_k), ready.air_k, driveline);
        use_j = pattern.use_j + pattern.use_per_oil_j * thicker;
        let mean_v = mean_v(ready, from.charge_frac, from.charge_frac - end.charge_frac);
        let resistance = mean_resistance_ohm(ready, from, &end, pack) / pattern.resistance_ohm;
        let current = use_j / pattern.use_j * pattern.mean_v / mean_v;
        let heat = resistance * current * current;
        end.pack_k =
            pack.end(from.pack_k, (pattern.start.pack_k, pattern.end.pack_k), ready.air_k, heat);
        let from_pack_j = use_j + pattern.pack_j * heat;
        let taken_c_v = mean_v * pattern.voltage_factor;
        end.charge_frac = from.charge_frac - from_pack_j * ready.per_capacity / taken_c_v;
    }
    let seen = (pattern.start.heat_used, pattern.end.heat_used);
    end.heat_used = short_heat.end(from.heat_used, seen, 0.0, 1.0);
    let seen = (pattern.start.long_heat_used, pattern.end.long_heat_used);
    end.long_heat_used = long_heat.end(from.long_heat_used, seen, 0.0, 1.0);
    Reckoned { state: end, use_j }
}

/// Rounds in which charge and temperatures of a reckoned repeat are brought together.
const ITERATIONS: usize = 4;

/// Share of the time by which limits may bind longer in the low end while it still shows the usual.
const MORE_LIMITED: f64 = 0.03;

/// Most that the effect of oil may be above what its drag alone takes: beyond, something else moved.
const MOST_OIL: f64 = 1.7;

/// Least difference of the cold oil's factor from which its effect is read.
const OIL_DIFFERS: f64 = 0.03;

impl Pattern {
    /// By how much the cold oil's factor is higher in a repeat that begins with other oil, and in which
    /// the driveline gives `driveline` times the heat.
    fn thicker(&self, ready: &Ready, oil_k: f64, driveline: f64) -> f64 {
        let rest_k = ready.air_k;
        let differences = self.marked.iter().map(|marked| {
            let warmed_k = marked.oil_k - rest_k - (self.start.oil_k - rest_k) * marked.keep;
            let other_k = marked.oil_k
                + (oil_k - self.start.oil_k) * marked.keep
                + (driveline - 1.0) * warmed_k;
            ready.cold_oil.at(other_k) - marked.factor
        });
        differences.sum::<f64>() / crate::table::count(MARKS)
    }

    /// Whether limits slow the car more in a later repeat than in this one.
    fn is_freer_than(&self, after: &Pattern) -> bool {
        after.limit_s > self.limit_s + MORE_LIMITED * self.duration_s
    }

    /// This pattern and a later one, both with the effect of oil that they show together.
    fn and_by_oil(&self, after: &Pattern) -> (Pattern, Pattern) {
        if self.is_freer_than(after) {
            return (*self, *self);
        }
        let thicker = self.cold_oil - after.cold_oil;
        if thicker.abs() < OIL_DIFFERS {
            return (*self, *after);
        }
        let seen_j = (self.use_j - after.use_j) / thicker;
        let use_per_oil_j = seen_j.clamp(self.use_per_oil_j, MOST_OIL * self.use_per_oil_j);
        (Pattern { use_per_oil_j, ..*self }, Pattern { use_per_oil_j, ..*after })
    }

    fn taken_frac(&self) -> f64 {
        self.start.charge_frac - self.end.charge_frac
    }
}

/// A body that warms and cools, over the time of a repeat.
#[derive(Clone, Copy, Debug)]
struct Node {
    /// Share of a difference that is left after the repeat.
    keep: f64,
    /// The same at half time.
    half_keep: f64,
}

impl Node {
    /// `rate` is one over its time constant, 1/s.
    fn new(rate: f64, duration_s: f64) -> Node {
        Node { keep: libm::exp(-rate * duration_s), half_keep: libm::exp(-0.5 * rate * duration_s) }
    }

    /// Value at the end of a repeat that begins at `from`, when a repeat went from `seen.0` to `seen.1`
    /// and heat is now `heat` times that repeat's. `rest` is where it settles without heat.
    fn end(&self, from: f64, seen: (f64, f64), rest: f64, heat: f64) -> f64 {
        let warmed = seen.1 - rest - (seen.0 - rest) * self.keep;
        rest + (from - rest) * self.keep + warmed * heat
    }

    /// Value at half time of a repeat between two values, with steady heat.
    fn half_way(&self, start: f64, end: f64) -> f64 {
        // With the time constant the way to the end is a share of the way to where it settles.
        start + (end - start) / (1.0 + self.half_keep)
    }

    /// Mean of a function of the value over the repeat (Simpson's rule).
    fn mean(&self, start: f64, end: f64, f: impl Fn(f64) -> f64) -> f64 {
        (f(start) + 4.0 * f(self.half_way(start, end)) + f(end)) / 6.0
    }
}

fn oil_rate(ready: &Ready) -> f64 {
    ready.oil_conductance_wpk * ready.oil_k_per_j
}

fn pack_rate(ready: &Ready) -> f64 {
    ready.pack_conductance_wpk * ready.pack_k_per_j
}

/// Mean resistance of pack and harness over a repeat, Ω.
fn mean_resistance_ohm(ready: &Ready, start: &State<f64>, end: &State<f64>, node: &Node) -> f64 {
    let by_heat = node.mean(start.pack_k, end.pack_k, |k| ready.resistance_by_temperature.at(k));
    let charge = |share: f64| {
        let frac = start.charge_frac + share * (end.charge_frac - start.charge_frac);
        crate::pack::resistance_by_charge(frac)
    };
    let by_charge = (charge(0.0) + 4.0 * charge(0.5) + charge(1.0)) / 6.0;
    ready.cells_ohm * by_charge * by_heat + ready.harness_ohm
}

/// Share of the stored energy between two charges that is taken when it has fallen to a level.
fn stored_share(ready: &Ready, start_frac: f64, level_frac: f64, end_frac: f64) -> f64 {
    let stored = |to_frac: f64| {
        let taken = start_frac - to_frac;
        taken * mean_v(ready, start_frac, taken)
    };
    stored(level_frac) / stored(end_frac)
}

/// Charge and distance along a repeat that was driven.
#[derive(Clone, Debug)]
struct Way {
    start_frac: f64,
    points: Vec<(f64, f64)>,
}

impl Way {
    fn of<L: Lane>(passed: &Passed<'_, L>, pattern: &Pattern) -> Way {
        let points = (0..passed.trace.len()).map(|index| passed.point(index)).collect();
        Way { start_frac: pattern.start.charge_frac, points }
    }

    /// Distance at which a share of the repeat's energy has been taken.
    fn distance_at_share(&self, ready: &Ready, share: f64) -> f64 {
        let Some((end_frac, end_m)) = self.points.last().copied() else { return 0.0 };
        let level_frac = level_at_share(ready, self.start_frac, end_frac, share);
        let mut before = (self.start_frac, 0.0);
        for after in &self.points {
            if after.0 <= level_frac {
                let part = ((before.0 - level_frac) / (before.0 - after.0)).clamp(0.0, 1.0);
                return before.1 + part * (after.1 - before.1);
            }
            before = *after;
        }
        end_m
    }
}

/// Halvings when a charge is sought.
const HALVINGS: usize = 30;

/// Charge at which a share of the energy between two charges has been taken.
fn level_at_share(ready: &Ready, start_frac: f64, end_frac: f64, share: f64) -> f64 {
    let (mut high, mut low) = (start_frac, end_frac);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (high + low);
        if stored_share(ready, start_frac, middle, end_frac) < share {
            high = middle;
        } else {
            low = middle;
        }
    }
    0.5 * (high + low)
}

/// Mean open-circuit voltage while the charge falls, V (Simpson's rule).
fn mean_v(ready: &Ready, from_frac: f64, taken_frac: f64) -> f64 {
    let at = |share: f64| ready.open_circuit_v(from_frac - share * taken_frac);
    (at(0.0) + 4.0 * at(0.5) + at(1.0)) / 6.0
}

/// What warm oil's drag takes over a repeat, J: `∫ T_drag ω dt`.
fn drag_j(ready: &Ready, distance_m: f64, speed_squared_s: f64) -> f64 {
    let turned_rad = ready.radps_per_mps * distance_m;
    let constant_nm = ready.reduction_drag_nm + ready.axle_drag_nm * ready.reduction_per_ratio;
    let slope = ready.reduction_drag_slope + ready.axle_drag_slope * ready.reduction_per_ratio;
    constant_nm * turned_rad + slope * speed_squared_s
}
