//! Range: the cycle repeats until the pack is at its floor or the car no longer keeps up.

use crate::balance::Balance;
use crate::car::Car;
use crate::charger::Socket;
use crate::cycle::Cycle;
use crate::day::Day;
use crate::drive::{Driven, Driver, FOLLOWING_SLACK_MPS, Pass, drive, start_state};
use crate::limit::{LIMITS, Limit};
use crate::step::Step;
use crate::windows::Series;

/// Seconds that a car may stay below target before the run ends.
pub const TOO_SLOW_FOR_S: f64 = 4.0;

/// Distance at which a run is ended as endless, m (a route that falls more than it rises).
pub const ENDLESS_M: f64 = 3e6;

/// Steps after which a run is ended as endless.
const ENDLESS_STEPS: usize = 4_000_000;

/// Why the run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
#[non_exhaustive]
pub enum RangeEnd {
    /// The pack is at the floor of its usable part.
    Empty,
    /// The car stayed too slow for [`TOO_SLOW_FOR_S`] where it had followed at first.
    TooSlow,
    /// By distance: the car stands on a slope that it cannot climb.
    Stuck,
    /// The pack does not empty.
    Endless,
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

/// Motor figures of the whole run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct MotorUse {
    /// Root mean square of torque, N m.
    pub rms_torque_nm: f64,
    /// Highest mean speed of a step, rad/s.
    pub max_speed_radps: f64,
    /// Highest used share of heat. `None`: no heat is reckoned.
    pub heat_used_max: Option<f64>,
}

/// Quantities whose worst rolling values are kept.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Loads {
    /// Battery current squared, A².
    pub current_squared: Series,
    /// Motor torque squared, (N m)².
    pub torque_squared: Series,
    /// Motor loss, W.
    pub motor_heat_w: Series,
    /// Inverter loss, W.
    pub inverter_heat_w: Series,
    /// Loss in pack and harness, W.
    pub pack_heat_w: Series,
}

impl Loads {
    /// Nothing yet.
    #[must_use]
    pub fn new() -> Loads {
        Loads {
            current_squared: Series::new(),
            torque_squared: Series::new(),
            motor_heat_w: Series::new(),
            inverter_heat_w: Series::new(),
            pack_heat_w: Series::new(),
        }
    }

    /// Adds a step that counts for `dt_s`, more than 0.
    ///
    /// ```
    /// use crownwheel::{cycle::Cycle, drive::{Driver, start_state}, range::Loads};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let (cycle, mut loads) = (Cycle::steady(20.0), Loads::new());
    /// let done = Driver::new(&car, &day).leg(&cycle.legs()[0], &start_state(&car, &day, &cycle));
    /// loads.push(&done, done.duration_s);
    /// let rms_a = loads.current_squared.worst_rms(1.0).expect("a second was driven");
    /// assert!((rms_a / done.current_a.abs() - 1.0).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    pub fn push(&mut self, step: &Step<f64>, dt_s: f64) {
        let watts = |joules: f64| joules / step.duration_s;
        self.current_squared.push(dt_s, step.current_a * step.current_a);
        self.torque_squared.push(dt_s, step.torque_nm * step.torque_nm);
        self.motor_heat_w.push(dt_s, watts(step.energy.motor_j));
        self.inverter_heat_w.push(dt_s, watts(step.energy.inverter_j));
        self.pack_heat_w.push(dt_s, watts(step.energy.pack_j));
    }
}

impl Default for Loads {
    fn default() -> Loads {
        Loads::new()
    }
}

/// A run from full to the end.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct RangeRun {
    /// Distance to the end, m.
    pub distance_m: f64,
    /// Distance until only the reserve is left, m; the whole distance if the run ended before.
    pub distance_with_reserve_m: f64,
    /// Time to the end, s.
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
    /// Rolling loads.
    pub loads: Loads,
}

/// Drives a cycle from full until the car can go no further.
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
    let mut driver = Driver::new(car, day);
    let mut state = start_state(car, day, cycle);
    let start_frac = state.charge_frac;
    let mut log = Log::new(car, day, cycle.legs().len());
    let end = loop {
        let pass = drive(&mut driver, cycle, &mut state, |driven| log.leg(driven));
        log.first_pass = false;
        if let Some(end) = log.end {
            break end;
        }
        match pass {
            Pass::Stuck => break RangeEnd::Stuck,
            Pass::Finished | Pass::Stopped => {}
        }
        if log.distance_m > ENDLESS_M || log.steps > ENDLESS_STEPS {
            break RangeEnd::Endless;
        }
    };
    let end_charge_frac = if end == RangeEnd::Empty { log.floor_frac } else { state.charge_frac };
    RangeRun {
        distance_m: log.distance_m,
        distance_with_reserve_m: log.reserve_m.unwrap_or(log.distance_m),
        duration_s: log.duration_s,
        end,
        end_charge_frac,
        wall_j: Socket::unlimited(car, day).wall_j(end_charge_frac, start_frac),
        motor: MotorUse {
            rms_torque_nm: (log.torque_squared_s / log.duration_s).sqrt(),
            max_speed_radps: log.max_speed_radps,
            heat_used_max: car.heat.is_some().then_some(log.heat_used_max),
        },
        first: log.first,
        balance: log.balance,
        loads: log.loads,
    }
}

/// The first repeats of a cycle from full, and what the last of them took.
pub(crate) struct FirstRepeats {
    pub(crate) first: FirstPass,
    pub(crate) distance_m: f64,
    pub(crate) balance: Balance<f64>,
    pub(crate) heat_used_max: f64,
    /// State of charge behind them.
    pub(crate) charge_frac: f64,
    /// Distance of the last repeat, m.
    pub(crate) last_distance_m: f64,
    /// Energy at the pack's terminals that the last repeat took, J.
    pub(crate) last_use_j: f64,
    /// Charge that the last repeat took.
    pub(crate) last_charge_frac: f64,
}

/// Drives the first repeats as [`range`] does. `None`: the run ends within them, or the last one takes
/// no charge.
pub(crate) fn first_repeats(
    car: &Car,
    day: &Day,
    cycle: &Cycle,
    count: usize,
) -> Option<FirstRepeats> {
    let mut driver = Driver::new(car, day);
    let mut state = start_state(car, day, cycle);
    let mut log = Log::new(car, day, cycle.legs().len());
    let mut before = (state.charge_frac, 0.0, 0.0);
    for _ in 0..count {
        before = (state.charge_frac, log.distance_m, log.balance.sum.terminals_j);
        let pass = drive(&mut driver, cycle, &mut state, |driven| log.leg(driven));
        log.first_pass = false;
        if log.end.is_some() || pass == Pass::Stuck {
            return None;
        }
    }
    let last_charge_frac = before.0 - state.charge_frac;
    (last_charge_frac > 0.0).then_some(FirstRepeats {
        distance_m: log.distance_m,
        heat_used_max: log.heat_used_max,
        charge_frac: state.charge_frac,
        last_distance_m: log.distance_m - before.1,
        last_use_j: log.balance.sum.terminals_j - before.2,
        last_charge_frac,
        first: log.first,
        balance: log.balance,
    })
}

/// What a run keeps as it goes.
struct Log {
    floor_frac: f64,
    reserve_frac: f64,
    reserve_m: Option<f64>,
    first_pass: bool,
    first: FirstPass,
    /// By leg: the car followed on the first pass.
    followed: Vec<bool>,
    slow_s: f64,
    end: Option<RangeEnd>,
    steps: usize,
    distance_m: f64,
    duration_s: f64,
    balance: Balance<f64>,
    torque_squared_s: f64,
    max_speed_radps: f64,
    heat_used_max: f64,
    loads: Loads,
}

impl Log {
    fn new(car: &Car, day: &Day, legs: usize) -> Log {
        let pack = &car.spec().pack;
        let floor_frac = car.floor_frac(day);
        Log {
            floor_frac,
            reserve_frac: floor_frac + pack.reserve_frac * (pack.usable_to_frac - floor_frac),
            reserve_m: None,
            first_pass: true,
            first: FirstPass { gear_s: vec![0.0; car.gear_count()], ..FirstPass::default() },
            followed: Vec::with_capacity(legs),
            slow_s: 0.0,
            end: None,
            steps: 0,
            distance_m: 0.0,
            duration_s: 0.0,
            balance: Balance::zero(),
            torque_squared_s: 0.0,
            max_speed_radps: 0.0,
            heat_used_max: 0.0,
            loads: Loads::new(),
        }
    }

    /// Takes in a leg; `false` ends the run.
    fn leg(&mut self, driven: Driven<'_>) -> bool {
        let step = driven.step;
        let before_frac = driven.before.charge_frac;
        let after_frac = step.state.charge_frac;
        let share = share_above(self.floor_frac, before_frac, after_frac);
        if self.reserve_m.is_none() && after_frac <= self.reserve_frac {
            let part = share_above(self.reserve_frac, before_frac, after_frac);
            self.reserve_m = Some(self.distance_m + part * step.distance_m);
        }
        self.sums(step, share);
        let behind = step.state.speed_mps < driven.leg.lowest_target_mps - FOLLOWING_SLACK_MPS;
        if self.first_pass {
            self.first_pass_leg(&driven, behind);
        } else if behind && self.followed.get(driven.index).copied().unwrap_or(false) {
            self.slow_s += step.duration_s;
        } else {
            self.slow_s = 0.0;
        }
        if after_frac <= self.floor_frac {
            self.end = Some(RangeEnd::Empty);
        } else if self.slow_s >= TOO_SLOW_FOR_S {
            self.end = Some(RangeEnd::TooSlow);
        }
        self.end.is_none()
    }

    fn sums(&mut self, step: &Step<f64>, share: f64) {
        let dt = step.duration_s * share;
        self.steps += 1;
        self.distance_m += step.distance_m * share;
        self.duration_s += dt;
        self.balance.add(&step.energy, share);
        let torque_squared = step.torque_nm * step.torque_nm;
        self.torque_squared_s += torque_squared * dt;
        self.max_speed_radps = self.max_speed_radps.max(step.motor_radps);
        let heat_used = step.state.heat_used.max(step.state.long_heat_used);
        self.heat_used_max = self.heat_used_max.max(heat_used);
        if dt > 0.0 {
            self.loads.push(step, dt);
        }
    }

    fn first_pass_leg(&mut self, driven: &Driven<'_>, behind: bool) {
        let step = driven.step;
        self.followed.push(!behind);
        let first = &mut self.first;
        first.fell_behind |= behind;
        first.distance_m += step.distance_m;
        first.duration_s += step.duration_s;
        first.binding_s[Limit::from_code(step.limit).index()] += step.duration_s;
        if let Some(gear_s) = first.gear_s.get_mut(driven.gear) {
            *gear_s += step.duration_s;
        }
        let missing_mps = driven.leg.target_mps - step.state.speed_mps;
        if missing_mps > FOLLOWING_SLACK_MPS {
            first.shortfall_s += step.duration_s;
            first.shortfall_m += missing_mps * step.duration_s;
        }
    }
}

/// Share of a step until the charge falls to a floor, 1 if it stays above.
fn share_above(floor: f64, before: f64, after: f64) -> f64 {
    if after > floor {
        return 1.0;
    }
    let falls = before - after;
    if falls <= 0.0 { 0.0 } else { ((before - floor) / falls).clamp(0.0, 1.0) }
}

#[cfg(test)]
mod tests {
    use super::share_above;

    #[test]
    fn a_step_counts_until_the_floor() {
        // From 0.25 to 0.15 the floor of 0.20 lies half way.
        for (before, after, wanted) in [
            (0.25, 0.15, 0.5),
            (0.30, 0.21, 1.0),
            (0.25, 0.20, 1.0),
            (0.20, 0.15, 0.0),
            (0.1, 0.15, 0.0),
        ] {
            let share = share_above(0.20, before, after);
            assert!((share - wanted).abs() < 1e-12, "{before} to {after}: {share}");
        }
    }
}
