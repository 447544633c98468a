//! Driving a cycle once, leg after leg, in one gear or in the best of several.

use std::sync::Arc;

use crate::car::Car;
use crate::constants::KMH_PER_MPS;
use crate::cycle::{Cycle, Leg, Span};
use crate::day::Day;
use crate::lane::Lane;
use crate::ready::Ready;
use crate::spec::{FirstStage, GearboxSpec, Shifting};
use crate::step::{State, Step, step};

/// Speed below target from which the car does not follow, m/s (2 km/h).
pub const FOLLOWING_SLACK_MPS: f64 = 2.0 / KMH_PER_MPS;

/// End speeds that count as equal when gears are compared, m/s.
const SAME_SPEED_MPS: f64 = 1e-6;

/// Energies of a leg that count as equal when gears are compared, J: rounding must not choose.
const SAME_ENERGY_J: f64 = 1e-3;

/// Times that count as equal, s.
const SAME_TIME_S: f64 = 1e-6;

/// Shortest part of a leg that is stepped for itself, s: in less the speed that is asked for takes an
/// acceleration in which every force drowns.
const SHORTEST_PART_S: f64 = 1e-4;

/// State of a full car at the start of a cycle on a day: everything cold, heat unused.
///
/// ```
/// use crownwheel::{cycle::Cycle, drive::start_state};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let state = start_state(&car, &day, &Cycle::steady(20.0));
/// assert!((state.speed_mps - 20.0).abs() < 1e-12 && (state.charge_frac - 0.96).abs() < 1e-12);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn start_state(car: &Car, day: &Day, cycle: &Cycle) -> State<f64> {
    let speed_mps = cycle.start_mps().min(car.speed_cap_mps());
    State::cold(car, day, speed_mps, car.spec().pack.usable_to_frac)
}

/// A car on a day with somebody at the gear lever.
#[derive(Clone, Debug)]
pub struct Driver {
    pub(crate) gears: Arc<[Ready]>,
    /// The gears again with a motor that gives nothing, for the time of a shift.
    without_drive: Arc<[Ready]>,
    /// Gear of `gears[0]`, counted from 0.
    lowest: usize,
    /// The place in `gears` of the one that is in.
    pub(crate) gear: usize,
    in_gear_s: f64,
    dwell_s: f64,
    shift_s: f64,
    started: bool,
    /// What is left of a shift that was longer than its leg, s.
    shift_left_s: f64,
}

impl Driver {
    /// A driver who uses the gears that the build says.
    ///
    /// At full throttle a shift takes its time without drive; otherwise the driver finds a moment
    /// when it costs none. At each shift the motor brings its rotor to the new speed.
    ///
    /// ```
    /// use crownwheel::drive::Driver;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// assert_eq!(Driver::new(&car, &day).gear(), 0);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn new(car: &Car, day: &Day) -> Driver {
        Driver::beside(&Ready::new(car, day), car, day)
    }

    /// The same with the usual gear made ready before.
    pub(crate) fn beside(usual: &Ready, car: &Car, day: &Day) -> Driver {
        let (dwell_s, shift_s) = match &car.spec().driveline.first {
            FirstStage::Gearbox(GearboxSpec {
                shifting: Shifting::LeastLoss { dwell_s, shift_s },
                ..
            }) => (*dwell_s, *shift_s),
            _ => (0.0, 0.0),
        };
        let gears = car.gears_in_use();
        let lowest = gears.start;
        let is_usual = |gear: usize| gear == car.usual_gear();
        let in_gear = |gear: usize| {
            if is_usual(gear) { usual.clone() } else { Ready::in_gear(car, day, gear) }
        };
        let gears: Arc<[Ready]> = gears.map(in_gear).collect();
        let shifts = gears.len() > 1;
        Driver {
            lowest,
            without_drive: gears.iter().filter(|_| shifts).map(Ready::without_drive).collect(),
            gears,
            gear: 0,
            in_gear_s: f64::INFINITY,
            dwell_s,
            shift_s,
            started: false,
            shift_left_s: 0.0,
        }
    }

    /// The gear that is in, counted from 0.
    #[must_use]
    pub fn gear(&self) -> usize {
        self.lowest + self.gear
    }

    /// The car in the gear that is in.
    pub(crate) fn in_gear(&self) -> &Ready {
        &self.gears[self.gear]
    }

    /// A copy with something of the road changed in every gear.
    pub(crate) fn on_road(&self, change: impl Fn(&mut Ready)) -> Driver {
        let mut driver = self.clone();
        for gears in [&mut driver.gears, &mut driver.without_drive] {
            let mut changed = gears.to_vec();
            changed.iter_mut().for_each(&change);
            *gears = changed.into();
        }
        driver
    }

    /// Goes on in the gear that a copy is in.
    pub(crate) fn go_on_as(&mut self, copy: &Driver) {
        let Driver { gear, in_gear_s, started, shift_left_s, .. } = *copy;
        (self.gear, self.in_gear_s) = (gear, in_gear_s);
        (self.started, self.shift_left_s) = (started, shift_left_s);
    }

    /// Drives one leg. A gear is changed when the dwell is over, or at once if the car falls short of
    /// the speed that is asked for and gains none; then the gear that goes fastest is taken, and among
    /// equals the one that takes least from the pack.
    ///
    /// ```
    /// use crownwheel::{cycle::Cycle, drive::{Driver, start_state}};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let cycle = Cycle::steady(20.0);
    /// let done = Driver::new(&car, &day).leg(&cycle.legs()[0], &start_state(&car, &day, &cycle));
    /// assert!((done.distance_m - 20.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn leg(&mut self, leg: &Leg, state: &State<f64>) -> Step<f64> {
        let in_gear = |driver: &Driver, gear: usize| step(&driver.gears[gear].view(), leg, state);
        let (gear, stay) = (self.gear, in_gear(self, self.gear));
        let trial = |driver: &Driver, other: usize| match other == gear {
            true => Trial::of(&stay),
            false => Trial::of(&in_gear(driver, other)),
        };
        self.choose(leg, state, trial, in_gear).unwrap_or(stay)
    }

    /// The rule of [`Driver::leg`]: `trial` is the leg in a gear in short, `whole` all of it, by the place of the gear.
    /// `None`: the leg as it is in the gear that is in.
    pub(crate) fn choose(
        &mut self,
        leg: &Leg,
        state: &State<f64>,
        trial: impl Fn(&Driver, usize) -> Trial,
        whole: impl Fn(&Driver, usize) -> Step<f64>,
    ) -> Option<Step<f64>> {
        let moving = std::mem::replace(&mut self.started, true);
        let stay = trial(self, self.gear);
        if self.shift_left_s > SHORTEST_PART_S {
            let done = self.shift_at_full_throttle(self.gear, leg, state, stay.duration_s);
            self.in_gear_s += done.duration_s;
            return Some(done);
        }
        if !self.tries(leg, state.speed_mps, stay.speed_mps) {
            self.in_gear_s += stay.duration_s;
            return None;
        }
        let gear = self.best(state, stay, &trial);
        if gear == self.gear {
            self.in_gear_s += stay.duration_s;
            return None;
        }
        let mut best = whole(self, gear);
        if best.state.speed_mps < leg.target_mps - SAME_SPEED_MPS && self.shift_s > 0.0 {
            self.shift_left_s = self.shift_s;
            best = self.shift_at_full_throttle(gear, leg, state, best.duration_s);
        }
        // The first gear of a run is in before it starts.
        if moving {
            self.bring_rotor(gear, state, &mut best);
        }
        self.gear = gear;
        self.in_gear_s = best.duration_s;
        Some(best)
    }

    /// Whether other gears are tried on a leg, from the speeds before it and behind it.
    pub(crate) fn tries(&self, leg: &Leg, before_mps: f64, stay_mps: f64) -> bool {
        let short = stay_mps < leg.target_mps - SAME_SPEED_MPS;
        let stuck = short && stay_mps < before_mps + SAME_SPEED_MPS;
        let dwells = self.in_gear_s < self.dwell_s - SAME_TIME_S;
        self.gears.len() > 1 && (!dwells || stuck)
    }

    /// Whether a gear is not too low for a speed.
    pub(crate) fn may_take(&self, gear: usize, speed_mps: f64) -> bool {
        speed_mps <= self.gears[gear].speed_cap_mps
    }

    fn best(
        &self,
        state: &State<f64>,
        stay: Trial,
        trial: &impl Fn(&Driver, usize) -> Trial,
    ) -> usize {
        let mut best = (self.gear, stay);
        for gear in 0..self.gears.len() {
            if gear == self.gear || !self.may_take(gear, state.speed_mps) {
                continue;
            }
            let trial = trial(self, gear);
            let gain_mps = trial.speed_mps - best.1.speed_mps;
            let cheaper = trial.from_pack_j < best.1.from_pack_j - SAME_ENERGY_J;
            if gain_mps > SAME_SPEED_MPS || (gain_mps > -SAME_SPEED_MPS && cheaper) {
                best = (gear, trial);
            }
        }
        best.0
    }

    /// The leg without drive while the gear is changed, and with drive for what is left of it. A
    /// shift that is longer than the leg goes on in the next.
    fn shift_at_full_throttle(
        &mut self,
        gear: usize,
        leg: &Leg,
        state: &State<f64>,
        duration_s: f64,
    ) -> Step<f64> {
        let share = self.shift_left_s / duration_s;
        let part = |share: f64| {
            let span = match leg.span {
                Span::Time(dt_s) => Span::Time(dt_s * share),
                Span::Distance(ds_m) => Span::Distance(ds_m * share),
            };
            Leg { span, ..*leg }
        };
        if self.shift_left_s > duration_s - SHORTEST_PART_S {
            let shifting = step(&self.without_drive[gear].view(), leg, state);
            self.shift_left_s = (self.shift_left_s - duration_s).max(0.0);
            return shifting;
        }
        self.shift_left_s = 0.0;
        let shifting = step(&self.without_drive[gear].view(), &part(share), state);
        let pulling = step(&self.gears[gear].view(), &part(1.0 - share), &shifting.state);
        shifting.followed_by(&pulling)
    }

    /// Energy of the rotor's change of speed at a shift, `½ J (ω₁² - ω₀²)`: drawn from the pack when
    /// it must spin faster, lost in the gearbox when it must slow down.
    fn bring_rotor(&self, gear: usize, state: &State<f64>, step: &mut Step<f64>) {
        let (old, new) = (&self.gears[self.gear], &self.gears[gear]);
        let square = |ready: &Ready| (ready.radps_per_mps * state.speed_mps).powi(2);
        let gained_j = 0.5 * new.rotor_kgm2 * (square(new) - square(old));
        let drawn_j = gained_j.max(0.0);
        step.energy.kinetic_j += gained_j;
        step.energy.driveline_j += drawn_j - gained_j;
        step.energy.from_pack_j += drawn_j;
        step.energy.terminals_j += drawn_j;
        step.state.charge_frac -=
            drawn_j / new.open_circuit_v(state.charge_frac) * new.per_capacity;
    }
}

/// A leg in a gear, as far as gears are compared by it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Trial {
    pub(crate) speed_mps: f64,
    pub(crate) from_pack_j: f64,
    pub(crate) duration_s: f64,
}

impl Trial {
    fn of(step: &Step<f64>) -> Trial {
        let (speed_mps, from_pack_j) = (step.state.speed_mps, step.energy.from_pack_j);
        Trial { speed_mps, from_pack_j, duration_s: step.duration_s }
    }
}

/// One leg driven, as a watcher sees it.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct DrivenLeg<'a> {
    /// The leg.
    pub leg: &'a Leg,
    /// Its place in the cycle.
    pub index: usize,
    /// State before it.
    pub before: &'a State<f64>,
    /// What happened.
    pub step: &'a Step<f64>,
    /// Gear, counted from 0.
    pub gear: usize,
}

/// How a pass through the cycle ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Pass {
    /// At the end of the cycle.
    Finished,
    /// The watcher stopped it.
    Stopped,
    /// By distance: the car came to rest on a slope that it cannot climb.
    Stuck,
}

/// Drives a cycle once from `state`, which is left at the end of the run. `watch` sees every leg
/// and ends the run by returning `false`.
///
/// ```
/// use crownwheel::{cycle::Cycle, drive::{Driver, Pass, drive, start_state}};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let cycle = Cycle::steady(20.0);
/// let (mut state, mut distance_m) = (start_state(&car, &day, &cycle), 0.0);
/// let pass = drive(&mut Driver::new(&car, &day), &cycle, &mut state, |driven| {
///     distance_m += driven.step.distance_m;
///     true
/// });
/// assert!(pass == Pass::Finished && (distance_m - 1_200.0).abs() < 1e-6);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
pub fn drive(
    driver: &mut Driver,
    cycle: &Cycle,
    state: &mut State<f64>,
    watch: impl FnMut(DrivenLeg<'_>) -> bool,
) -> Pass {
    if let [only] = &*Arc::clone(&driver.gears) {
        // One gear is most cars: its numbers are laid out once, not for every leg.
        let (view, gear) = (only.view(), driver.gear());
        return follow(cycle, state, watch, |leg, before| (step(&view, leg, before), gear));
    }
    follow(cycle, state, watch, |leg, before| {
        let done = driver.leg(leg, before);
        (done, driver.gear())
    })
}

/// Leg after leg with `take`, which gives the step and the gear that is in.
#[inline(always)]
fn follow(
    cycle: &Cycle,
    state: &mut State<f64>,
    mut watch: impl FnMut(DrivenLeg<'_>) -> bool,
    mut take: impl FnMut(&Leg, &State<f64>) -> (Step<f64>, usize),
) -> Pass {
    for (index, leg) in cycle.legs().iter().enumerate() {
        let before = *state;
        let (done, gear) = take(leg, &before);
        *state = done.state;
        if !watch(DrivenLeg { leg, index, before: &before, step: &done, gear }) {
            return Pass::Stopped;
        }
        if stands_short(leg, done.distance_m) == Some(true) {
            return Pass::Stuck;
        }
    }
    Pass::Finished
}

/// By distance, whether the length of a leg was not covered: the car stood still on it. Its force is
/// greatest at rest, so it cannot start again either. `None`: a leg by time.
#[inline(always)]
pub(crate) fn stands_short<L: Lane>(leg: &Leg, distance_m: L) -> Option<L::Mask> {
    match leg.span {
        Span::Time(_) => None,
        Span::Distance(ds_m) => Some(distance_m.lt(L::splat(ds_m * (1.0 - 1e-9)))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{mild_day, small_saloon};
    use crate::spec::StageSpec;

    /// Speed at which both gears serve, m/s.
    const SPEED_MPS: f64 = 12.0;

    fn car() -> Car {
        let gear = |ratio: f64| StageSpec {
            ratio,
            efficiency_frac: 0.97,
            drag_torque_nm: 0.6,
            drag_speed_radps: 300.0,
            max_torque_nm: None,
            max_speed_radps: None,
        };
        let mut spec = small_saloon();
        spec.driveline.first = FirstStage::Gearbox(GearboxSpec {
            gears: vec![gear(2.4), gear(1.0)],
            shifting: Shifting::LeastLoss { dwell_s: 2.0, shift_s: 0.6 },
        });
        Car::new(&spec).unwrap()
    }

    /// A second of steady driving on the flat.
    fn leg() -> Leg {
        Cycle::steady(SPEED_MPS).legs()[0]
    }

    /// A driver under way in a gear, and the state of the car.
    fn under_way(car: &Car, gear: usize) -> (Driver, State<f64>) {
        let day = Day::new(&mild_day()).unwrap();
        let driver = Driver { gear, in_gear_s: 5.0, started: true, ..Driver::new(car, &day) };
        let half = State { charge_frac: 0.5, ..start_state(car, &day, &Cycle::steady(SPEED_MPS)) };
        (driver, half)
    }

    /// From the pack for the leg in each gear, J.
    fn costs_j(driver: &Driver, state: &State<f64>) -> Vec<f64> {
        let cost = |gear: &Ready| step(&gear.view(), &leg(), state).energy.from_pack_j;
        driver.gears.iter().map(cost).collect()
    }

    /// The gear that takes least from the pack, and the other one.
    fn cheap_and_dear(car: &Car) -> (usize, usize) {
        let (driver, state) = under_way(car, 0);
        let costs_j = costs_j(&driver, &state);
        let cheap = usize::from(costs_j[1] < costs_j[0]);
        assert!(costs_j[1 - cheap] > costs_j[cheap] + 1.0, "{costs_j:?}");
        (cheap, 1 - cheap)
    }

    #[test]
    fn among_gears_that_follow_the_cheapest_is_taken_and_the_shift_costs_no_time() {
        let car = car();
        let (cheap, dear) = cheap_and_dear(&car);
        let (mut driver, state) = under_way(&car, dear);
        let done = driver.leg(&leg(), &state);
        assert_eq!(driver.gear(), cheap);
        // The target is met, so the throttle is not fully open: the driver finds a moment.
        assert!((done.state.speed_mps - SPEED_MPS).abs() < 1e-6, "{}", done.state.speed_mps);
    }

    #[test]
    fn time_in_a_gear_adds_up() {
        let car = car();
        let (mut driver, state) = under_way(&car, cheap_and_dear(&car).0);
        let half = Leg { span: Span::Time(0.5), ..leg() };
        let _ = driver.leg(&half, &state);
        assert!((driver.in_gear_s - 5.5).abs() < 1e-12, "{}", driver.in_gear_s);
    }

    /// `½ J (ω₁² - ω₀²)` is drawn at the voltage at rest: charge falls by energy over voltage and
    /// capacity.
    #[test]
    fn a_rotor_that_must_spin_faster_takes_charge() {
        let car = car();
        let (driver, state) = under_way(&car, 1);
        let mut done = step(&driver.gears[1].view(), &leg(), &state);
        let before = done;
        driver.bring_rotor(0, &state, &mut done);
        let wheel_radps = SPEED_MPS / car.rolling_radius_m();
        let square = |gear: usize| (car.overall_ratio_in(gear) * wheel_radps).powi(2);
        let drawn_j = 0.5 * car.inertia_in(0).rotor_kgm2 * (square(0) - square(1));
        assert!(drawn_j > 100.0, "{drawn_j}");
        let more_j = done.energy.from_pack_j - before.energy.from_pack_j;
        assert!((more_j / drawn_j - 1.0).abs() < 1e-9, "{more_j} {drawn_j}");
        let pack = &car.spec().pack;
        let (voltage_v, capacity_c) = (pack.open_circuit_v(0.5), pack.capacity_c());
        let fallen = before.state.charge_frac - done.state.charge_frac;
        let wanted = drawn_j / (voltage_v * capacity_c);
        // The step reads the voltage from a table of equal cells.
        assert!((fallen / wanted - 1.0).abs() < 1e-3, "{fallen} {wanted}");
    }
}
