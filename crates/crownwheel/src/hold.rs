//! Holding a speed on a slope: until the motor cuts back, or for ever.

use crate::car::Car;
use crate::constants::ZERO_CELSIUS_K;
use crate::cycle::{Leg, Span};
use crate::day::Day;
use crate::drive::{Driver, FOLLOWING_SLACK_MPS};
use crate::limit::Limit;
use crate::range::Loads;
use crate::ready::Ready;
use crate::road_load::Slope;
use crate::step::{State, Step};

/// Time of the cruise that warms the motor, s (20 min).
pub const CRUISE_S: f64 = 1200.0;

/// Longest hold that is looked at, s (3 h).
pub(crate) const LONGEST_S: f64 = 10_800.0;

/// Length of a step, s.
pub const STEP_S: f64 = 1.0;

/// Long steps of a climb that hardly changes, s.
const LONG_STEP_S: f64 = 120.0;

/// Used heat and share of the charge that long steps must stay away from: they are off by a part of it. Engineer's judgement.
const SPARE_HEAT: f64 = 0.97;
const SPARE_CHARGE: f64 = 0.05;

/// A speed on a slope.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Climb {
    /// Road speed, m/s.
    pub speed_mps: f64,
    /// Rise over run.
    pub grade_frac: f64,
}

/// How long a speed is held.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum HoldTime {
    /// For ever, as far as the motor's heat goes.
    Always,
    /// Until the motor's heat is used up and its torque is eased, s from the start.
    CutBackAfter(f64),
    /// The pack is empty first, s from the start.
    EmptyAfter(f64),
    /// Not at all: what stops it.
    NotAtAll(Limit),
    /// The build gives no time at peak torque.
    HeatNotKnown,
}

/// A car on a day that climbs.
#[derive(Clone, Debug)]
pub struct Climber<'a> {
    car: &'a Car,
    day: &'a Day,
    charge_frac: f64,
    longest_s: f64,
    step_s: f64,
}

impl<'a> Climber<'a> {
    /// From a state of charge.
    ///
    /// ```
    /// use crownwheel::hold::{Climb, Climber, HoldTime};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // 20 m/s on the flat take a fifth of what the motor may give for ever.
    /// let flat = Climb { speed_mps: 20.0, grade_frac: 0.0 };
    /// assert!(matches!(Climber::new(&car, &day, 0.9).within(600.0).cold(flat), HoldTime::Always));
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn new(car: &'a Car, day: &'a Day, charge_frac: f64) -> Climber<'a> {
        Climber { car, day, charge_frac, longest_s: LONGEST_S, step_s: STEP_S }
    }

    /// What lasts so long counts as held for ever.
    #[must_use]
    pub fn within(self, longest_s: f64) -> Climber<'a> {
        Climber { longest_s: longest_s.min(LONGEST_S), ..self }
    }

    /// Climbs in steps of this length in place of [`STEP_S`].
    #[must_use]
    pub fn in_steps_of(self, step_s: f64) -> Climber<'a> {
        Climber { step_s, ..self }
    }

    /// How long a climb is held with a motor that is cold at its foot.
    ///
    /// ```
    /// use crownwheel::hold::{Climb, Climber, HoldTime};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // Up a wall the pull is not enough: 0.9 of the weight against 165 N m through 6.33.
    /// let wall = Climb { speed_mps: 5.0, grade_frac: 0.9 };
    /// assert!(matches!(Climber::new(&car, &day, 0.9).cold(wall), HoldTime::NotAtAll(_)));
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn cold(&self, climb: Climb) -> HoldTime {
        self.out_of_reach(climb.speed_mps).unwrap_or_else(|| {
            self.from(climb, &mut Driver::new(self.car, self.day), self.start(climb.speed_mps))
        })
    }

    /// The same after 20 minutes on the flat at the same speed.
    ///
    /// ```
    /// use crownwheel::hold::{Climb, Climber, HoldTime};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let (hill, climber) = (Climb { speed_mps: 20.0, grade_frac: 0.12 }, Climber::new(&car, &day, 0.9));
    /// let (cold, warm) = (climber.cold(hill), climber.warm(hill));
    /// // A warm motor cuts back sooner; where little is missing, warm oil may outweigh that.
    /// assert!(matches!((cold, warm), (HoldTime::CutBackAfter(c), HoldTime::CutBackAfter(w)) if w < c));
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn warm(&self, climb: Climb) -> HoldTime {
        if let Some(never) = self.out_of_reach(climb.speed_mps) {
            return never;
        }
        let mut driver = Driver::new(self.car, self.day);
        let mut state = self.start(climb.speed_mps);
        let level = climb_leg(Climb { grade_frac: 0.0, ..climb }, STEP_S);
        let mut time_s = 0.0;
        while time_s < CRUISE_S {
            state = driver.leg(&level, &state).state;
            time_s += STEP_S;
        }
        // The hill begins at the speed of the climb, with the charge that was given.
        let state = State { speed_mps: climb.speed_mps, charge_frac: self.charge_frac, ..state };
        self.from(climb, &mut driver, state)
    }

    /// How a climb that is cold at its foot ends, where that is known without all its seconds. `ready` is the car in its usual
    /// gear.
    pub(crate) fn foregone(&self, climb: Climb, ready: &Ready) -> Option<HoldTime> {
        self.out_of_reach(climb.speed_mps)
            .or_else(|| self.surely_holds(climb, ready).then_some(HoldTime::Always))
    }

    /// A speed that no gear in use allows is not held, whatever the hill: a car that rolls so fast is braked.
    fn out_of_reach(&self, speed_mps: f64) -> Option<HoldTime> {
        let (cap_mps, limit) = self.car.speed_limit();
        (speed_mps > cap_mps).then_some(HoldTime::NotAtAll(limit))
    }

    /// Currents, torque and heats on a climb of `seconds`, cold at its foot.
    ///
    /// ```
    /// use crownwheel::hold::{Climb, Climber};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let loads = Climber::new(&car, &day, 0.9).loads_on(Climb { speed_mps: 16.0, grade_frac: 0.06 }, 60.0);
    /// // At least what lifts 908.6 kg: m g v sin θ over the highest voltage.
    /// let watts = 908.6 * 9.806_65 * 16.0 * 0.06 / (1.0 + 0.06f64.powi(2)).sqrt();
    /// assert!(loads.current_squared.worst_rms(30.0).expect("long enough") > watts / 151.2);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn loads_on(&self, climb: Climb, seconds: f64) -> Loads {
        let mut loads = Loads::new();
        self.climb_cold(climb, seconds, |_, done| loads.push(done, done.duration_s));
        loads
    }

    /// Used heat against time, s, on a climb of `seconds`, cold at its foot; the torque eases as the
    /// motor gets hot.
    ///
    /// ```
    /// use crownwheel::hold::{Climb, Climber};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let heat = Climber::new(&car, &day, 0.9).heat_on(Climb { speed_mps: 16.0, grade_frac: 0.06 }, 60.0);
    /// assert!(heat.len() == 61 && heat.windows(2).all(|pair| pair[1].1 > pair[0].1));
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn heat_on(&self, climb: Climb, seconds: f64) -> Vec<(f64, f64)> {
        let mut series = vec![(0.0, 0.0)];
        self.climb_cold(climb, seconds, |time_s, done| {
            series.push((time_s, done.state.heat_used.max(done.state.long_heat_used)));
        });
        series
    }

    /// Climbs for `seconds`, cold at the foot; `watch` sees the time at the end of each step and the
    /// step.
    fn climb_cold(&self, climb: Climb, seconds: f64, mut watch: impl FnMut(f64, &Step<f64>)) {
        let mut driver = Driver::new(self.car, self.day);
        let mut state = self.start(climb.speed_mps);
        let up = climb_leg(climb, STEP_S);
        let mut time_s = 0.0;
        while time_s < seconds.min(LONGEST_S) {
            let done = driver.leg(&up, &state);
            state = done.state;
            time_s += STEP_S;
            watch(time_s, &done);
        }
    }

    pub(crate) fn start(&self, speed_mps: f64) -> State<f64> {
        let warm = State::on_warm_tyres(self.car, self.day, speed_mps, self.charge_frac);
        State { pack_k: warm.pack_k.max(ZERO_CELSIUS_K), ..warm }
    }

    /// Whether a climb that is cold at its foot is surely held for as long as is looked at, from long steps in place of all
    /// seconds: nothing limits the car in any of them, and the motor's heat and the charge stay well away from their ends.
    /// `false`: it may be or not.
    fn surely_holds(&self, climb: Climb, ready: &Ready) -> bool {
        if self.car.spec().motor.peak_seconds.is_none() {
            return false;
        }
        let (leg, long) = (climb_leg(climb, STEP_S), climb_leg(climb, LONG_STEP_S));
        let mut driver = Driver::beside(ready, self.car, self.day);
        let start = self.start(climb.speed_mps);
        let floor_frac = self.car.floor_frac(self.day);
        let enough_frac = floor_frac + SPARE_CHARGE * (start.charge_frac - floor_frac);
        let mut state = start;
        let mut time_s = 0.0;
        while time_s < self.longest_s {
            let done = driver.leg(if time_s > 0.0 { &long } else { &leg }, &state);
            state = done.state;
            time_s += done.duration_s;
            let free = Limit::from_code(done.limit) == Limit::None;
            let follows = state.speed_mps >= climb.speed_mps * (1.0 - 1e-9);
            let cool = state.heat_used.max(state.long_heat_used) < SPARE_HEAT;
            if !(free && follows && cool && state.charge_frac > enough_frac) {
                return false;
            }
        }
        true
    }

    /// Holds on until something stops it; what lasts long enough lasts for ever.
    fn from(&self, climb: Climb, driver: &mut Driver, mut state: State<f64>) -> HoldTime {
        let up = climb_leg(climb, self.step_s);
        let floor_frac = self.car.floor_frac(self.day);
        let heat_known = self.car.spec().motor.peak_seconds.is_some();
        let mut time_s = 0.0;
        let mut heat_used = state.heat_used.max(state.long_heat_used);
        let mut gained = (0.0, self.step_s);
        while time_s < self.longest_s {
            let done = driver.leg(&up, &state);
            state = done.state;
            let moment = Moment {
                limit: Limit::from_code(done.limit),
                slow: state.speed_mps < climb.speed_mps - FOLLOWING_SLACK_MPS,
                empty: state.charge_frac <= floor_frac,
                heat_known,
                gained,
                heat_used,
                times_s: (time_s, time_s + done.duration_s),
            };
            if let Some(end) = moment.end() {
                return end;
            }
            let used = state.heat_used.max(state.long_heat_used);
            gained = (used - heat_used, done.duration_s);
            (time_s, heat_used) = (moment.times_s.1, used);
        }
        HoldTime::Always
    }
}

/// What a step of a climb shows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moment {
    /// Change of used heat in the step before, and its time, s.
    pub(crate) gained: (f64, f64),
    pub(crate) limit: Limit,
    /// The car fell behind.
    pub(crate) slow: bool,
    /// The pack is at its floor.
    pub(crate) empty: bool,
    /// The sheet says what the motor stands.
    pub(crate) heat_known: bool,
    /// Used share of heat before it.
    pub(crate) heat_used: f64,
    /// Times before and after it, s.
    pub(crate) times_s: (f64, f64),
}

impl Moment {
    /// How the climb ends here. `None`: it goes on.
    ///
    /// The motor cuts back where its used heat would reach 1, as fast as it rose in the step before: in this one torque is
    /// eased already.
    pub(crate) fn end(&self) -> Option<HoldTime> {
        let (before_s, after_s) = self.times_s;
        match self.limit {
            Limit::Heat => Some(HoldTime::CutBackAfter(before_s + self.left_s())),
            limit if self.slow => Some(HoldTime::NotAtAll(limit)),
            _ if !self.heat_known => Some(HoldTime::HeatNotKnown),
            _ if self.empty => Some(HoldTime::EmptyAfter(after_s)),
            _ => None,
        }
    }

    /// Time until the heat is used up, s.
    fn left_s(&self) -> f64 {
        let (gained, seconds) = self.gained;
        if gained > 0.0 { (1.0 - self.heat_used).max(0.0) * seconds / gained } else { 0.0 }
    }
}

/// Time of the rating that approval bodies ask for, s (30 min, UN Regulation 85).
pub const THIRTY_MINUTES_S: f64 = 1800.0;

/// Halvings when a speed or a torque is sought.
const HALVINGS: usize = 30;

/// Speeds at which the 30-minute power is looked for.
const POWER_POINTS: u32 = 80;

/// Highest speed on the flat, m/s, that is held for 30 minutes from cold without cut-back. `None`:
/// no time at peak torque is given.
///
/// By bisection, to a billionth of `top_mps`. The word is that of UN Regulation 85 (from memory); ours is computed, not
/// measured.
///
/// ```
/// use crownwheel::hold::{Climber, thirty_minute_speed_mps};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// // 20 m/s take a fifth of the continuous torque, so the top that is asked for is held.
/// let held_mps = thirty_minute_speed_mps(&Climber::new(&car, &day, 0.9), 20.0);
/// assert_eq!(held_mps, Some(20.0));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn thirty_minute_speed_mps(climber: &Climber<'_>, top_mps: f64) -> Option<f64> {
    let lasts = |speed_mps: f64| match climber.cold(Climb { speed_mps, grade_frac: 0.0 }) {
        HoldTime::Always => Some(true),
        HoldTime::CutBackAfter(seconds) => Some(seconds >= THIRTY_MINUTES_S),
        // An empty pack is not a hot motor.
        HoldTime::EmptyAfter(_) => Some(true),
        HoldTime::NotAtAll(_) => Some(false),
        HoldTime::HeatNotKnown => None,
    };
    if lasts(top_mps)? {
        return Some(top_mps);
    }
    let (mut low, mut high) = (0.0, top_mps);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if lasts(middle)? { low = middle } else { high = middle }
    }
    Some(low)
}

/// Highest shaft power, W, that the motor gives for 30 minutes from cold at its sheet's voltage:
/// over all speeds the torque that brings its used heat to 1 in that time, within the peak curve.
/// `None`: no time at peak torque is given.
///
/// ```
/// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
/// // A motor whose peak lasts a minute is as warm as it gets long before: its continuous 27 kW.
/// let power_w = crownwheel::hold::thirty_minute_power_w(&car).expect("it gives seconds");
/// assert!((power_w / 27e3 - 1.0).abs() < 0.02, "{power_w}");
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn thirty_minute_power_w(car: &Car) -> Option<f64> {
    let heat = car.heat.as_ref()?;
    let time_constant_s = heat.long_time_constant_s.unwrap_or(heat.time_constant_s);
    let ratio = 1.0 / (1.0 - libm::exp(-THIRTY_MINUTES_S / time_constant_s));
    let motor = &car.spec().motor;
    let power_at = |i: u32| {
        let radps = motor.max_speed_radps * f64::from(i) / f64::from(POWER_POINTS);
        let allowed_w = ratio / car.motor.continuous.at(radps).1;
        let (mut low, mut high) = (0.0, car.motor.peak_nm.at(radps));
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            let loss_w = car.motor.loss.at(radps, middle) * motor.losses_scale;
            if loss_w <= allowed_w { low = middle } else { high = middle }
        }
        low * radps
    };
    Some((1..=POWER_POINTS).map(power_at).fold(0.0, f64::max))
}

/// Some time at the speed of a climb.
pub(crate) fn climb_leg(climb: Climb, step_s: f64) -> Leg {
    let slope = Slope::from_grade(climb.grade_frac);
    Leg {
        span: Span::Time(step_s),
        target_mps: climb.speed_mps,
        lowest_target_mps: climb.speed_mps,
        sin: slope.sin(),
        cos: slope.cos(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{mild_day, small_saloon};
    use crate::range::CarOnDay;
    use crate::spec::{FirstStage, GearboxSpec, Shifting, SpecError, StageSpec};
    use crate::trials::climbs;

    fn held(speed_kmh: f64, grade_frac: f64, warm: bool) -> Result<HoldTime, SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let climber = Climber::new(&car, &day, 0.9);
        let climb = Climb { speed_mps: speed_kmh / 3.6, grade_frac };
        Ok(if warm { climber.warm(climb) } else { climber.cold(climb) })
    }

    #[test]
    fn a_speed_that_the_motor_cannot_turn_is_held_by_no_hill() {
        let mut low = small_saloon();
        let gears = [3.0, 1.5].map(|ratio| StageSpec { ratio, ..low.driveline.axle }).to_vec();
        let shifting = Shifting::Fixed(0);
        low.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
        for spec in [small_saloon(), low] {
            let (car, day) = (Car::new(&spec).unwrap(), Day::mild());
            let (climber, ready) = (Climber::new(&car, &day, 0.9), Ready::new(&car, &day));
            let case = (CarOnDay { car: &car, day: &day, ready: &ready }, 0.9);
            for grade_frac in [-0.05, 0.0, 0.01] {
                let climb = Climb { speed_mps: car.speed_cap_mps() + 0.1, grade_frac };
                let never = HoldTime::NotAtAll(Limit::MotorSpeed);
                assert_eq!((climber.cold(climb), climber.warm(climb)), (never, never));
                assert_eq!(climbs(&[case, case], climb, (600.0, STEP_S)), [never, never]);
            }
        }
    }

    #[test]
    fn a_steep_hill_is_held_for_minutes_and_for_less_when_warm() -> Result<(), SpecError> {
        let (HoldTime::CutBackAfter(cold_s), HoldTime::CutBackAfter(warm_s)) =
            (held(60.0, 0.20, false)?, held(60.0, 0.20, true)?)
        else {
            panic!("it should cut back: {:?}", held(60.0, 0.20, false)?);
        };
        assert!(cold_s > 30.0 && cold_s < 1800.0, "{cold_s}");
        assert!(warm_s < cold_s, "{warm_s} {cold_s}");
        Ok(())
    }

    #[test]
    fn thirty_minutes_of_power_are_near_the_continuous_power() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let power_w = thirty_minute_power_w(&car).expect("the sheet gives peak seconds");
        // The sheet's continuous power is 27 kW; the motor's body is small, so half an hour is long.
        assert!(power_w > 26.9e3 && power_w < 29e3, "{power_w}");
        let top_mps = car.speed_cap_mps();
        let speed = thirty_minute_speed_mps(&Climber::new(&car, &day, 0.9), top_mps);
        assert!(speed.expect("heat is known") > 0.8 * top_mps, "{speed:?}");
        Ok(())
    }

    #[test]
    fn the_flat_empties_the_pack_and_a_wall_is_not_held_at_all() -> Result<(), SpecError> {
        assert!(matches!(held(50.0, 0.0, false)?, HoldTime::Always | HoldTime::EmptyAfter(_)));
        assert!(matches!(held(100.0, 0.25, false)?, HoldTime::NotAtAll(_)));
        Ok(())
    }

    #[test]
    fn heat_on_a_climb_rises_and_stays_below_one() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        // A little more than the continuous torque holds: it slows down and goes on.
        let climb = Climb { speed_mps: 60.0 / 3.6, grade_frac: 0.15 };
        let series = Climber::new(&car, &day, 0.9).heat_on(climb, 1200.0);
        assert_eq!(series.len(), 1201);
        assert!(series.windows(2).all(|pair| pair[1].1 >= pair[0].1 - 1e-3));
        let (_, last) = series[1200];
        assert!(last > 0.95 && last < 1.01, "{last}");
        Ok(())
    }

    #[test]
    fn a_longer_window_on_a_hill_is_never_worse() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let climb = Climb { speed_mps: 60.0 / 3.6, grade_frac: 0.08 };
        let loads = Climber::new(&car, &day, 0.9).loads_on(climb, 312.0);
        let rms = |seconds: f64| loads.current_squared.worst_rms(seconds);
        let (second, minutes) = (rms(1.0).expect("long enough"), rms(300.0).expect("so"));
        assert!(second >= minutes && minutes > 100.0 && second < 420.0, "{second} {minutes}");
        assert!(rms(600.0).is_none());
        Ok(())
    }

    #[test]
    fn the_cut_back_comes_when_the_heating_curve_says() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let climb = Climb { speed_mps: 60.0 / 3.6, grade_frac: 0.20 };
        let HoldTime::CutBackAfter(time_s) = Climber::new(&car, &day, 0.9).cold(climb) else {
            panic!("it should cut back");
        };
        // One step gives the torque; the heating curve of a single body gives the time to its limit.
        let mut driver = Driver::new(&car, &day);
        let start = Climber::new(&car, &day, 0.9).start(climb.speed_mps);
        let done = driver.leg(&climb_leg(climb, STEP_S), &start);
        let heat = car.heat.as_ref().expect("the sheet gives peak seconds");
        let ratio = done.energy.motor_j * car.motor.continuous.at(done.motor_radps).1;
        let expected_s = time_to_limit_s(ratio, heat.time_constant_s);
        // The oil warms and the pack sags meanwhile.
        assert!((time_s / expected_s - 1.0).abs() < 0.03, "{time_s} {expected_s}");
        Ok(())
    }

    /// `τ ln(q / (q - 1))`: from cold to a used share of 1 at a loss of `q` times the continuous one.
    fn time_to_limit_s(ratio: f64, time_constant_s: f64) -> f64 {
        time_constant_s * libm::log(ratio / (ratio - 1.0))
    }

    /// Without oil drag and in thin air nothing changes on the way, so torque is constant.
    #[test]
    fn at_constant_torque_the_cut_back_comes_exactly_when_heat_is_used_up() -> Result<(), SpecError>
    {
        let mut spec = small_saloon();
        let driveline = &mut spec.driveline;
        driveline.axle.drag_torque_nm = 0.0;
        let FirstStage::Reduction(first) = &mut driveline.first else { panic!("it has one") };
        first.drag_torque_nm = 0.0;
        let (car, day) = (Car::new(&spec)?, Day::new(&mild_day())?);
        for grade_frac in [0.20, 0.22, 0.25] {
            let climb = Climb { speed_mps: 50.0 / 3.6, grade_frac };
            let climber = Climber::new(&car, &day, 0.9);
            let HoldTime::CutBackAfter(time_s) = climber.cold(climb) else {
                panic!("{grade_frac}")
            };
            let done = Driver::new(&car, &day)
                .leg(&climb_leg(climb, STEP_S), &climber.start(climb.speed_mps));
            let heat = car.heat.as_ref().expect("the sheet gives peak seconds");
            let ratio = done.energy.motor_j * car.motor.continuous.at(done.motor_radps).1;
            let expected_s = time_to_limit_s(ratio, heat.time_constant_s);
            assert!(
                (time_s / expected_s - 1.0).abs() < 1e-3,
                "{grade_frac}: {time_s} {expected_s}"
            );
        }
        Ok(())
    }
}
