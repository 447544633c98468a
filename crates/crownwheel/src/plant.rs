//! A car that is stepped from outside: by a game loop, a controller in the loop, another simulation.

use std::fmt;

use crate::car::Car;
use crate::cycle::{FASTEST_MPS, LONGEST_PIECE_S, Leg, STEEPEST_GRADE, Span};
use crate::day::Day;
use crate::drive::Driver;
use crate::limit::Limit;
use crate::ready::{Ready, View};
use crate::road_load::Slope;
use crate::step::{State, Step, road_load_n, step};

/// State of a [`Plant`] between two steps.
pub type PlantState = State<f64>;

/// Halvings of the speed that a command other than a speed leads to: to the last bits.
const HALVINGS: u32 = 60;
/// Acceleration that no car here has, m/s².
const MOST_MPS2: f64 = 40.0;

/// What the driver, or a controller, wants for a step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Command {
    /// A speed at the end of the step, m/s: 0 to [`FASTEST_MPS`]. The driver chooses the gear, and motor and brakes share the
    /// braking as the build says.
    Speed(f64),
    /// A share of the torque that the motor can give now, 0 to 1.
    Accelerator(f64),
    /// A torque at the motor's shaft, N m; below zero the motor brakes alone.
    MotorTorque(f64),
    /// A power at the pack's terminals, W, standing loads in it; below zero the motor brakes alone.
    Power(f64),
    /// A braking force at the wheels, N, at least 0: shared by motor and brakes as the build says, the motor at rest otherwise.
    Brake(f64),
}

/// The road under the car for a step, and what the model does not have.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Road {
    grade_frac: f64,
    headwind_mps: f64,
    extra_force_n: f64,
    extra_power_w: f64,
}

impl Road {
    /// A flat road in the day's own wind.
    #[must_use]
    pub const fn flat() -> Road {
        Road::grade(0.0)
    }

    /// A grade, rise over run: -1 to 1.
    #[must_use]
    pub const fn grade(grade_frac: f64) -> Road {
        Road { grade_frac, headwind_mps: 0.0, extra_force_n: 0.0, extra_power_w: 0.0 }
    }

    /// A headwind at the height of the car beside that of the day, m/s; below zero from behind.
    #[must_use]
    pub const fn wind(self, headwind_mps: f64) -> Road {
        Road { headwind_mps, ..self }
    }

    /// A force against the car that the model does not have, N. In the energies it stands with the brakes' drag.
    #[must_use]
    pub const fn extra_force(self, extra_force_n: f64) -> Road {
        Road { extra_force_n, ..self }
    }

    /// A power from the pack that the model does not have, W, at least 0. In the energies it stands with the standing loads.
    #[must_use]
    pub const fn extra_power(self, extra_power_w: f64) -> Road {
        Road { extra_power_w, ..self }
    }

    fn is_plain(&self) -> bool {
        [self.headwind_mps, self.extra_force_n, self.extra_power_w].iter().all(|it| *it == 0.0)
    }

    fn put_on(&self, ready: &mut Ready) {
        ready.headwind_mps += self.headwind_mps;
        ready.uses.wind |= self.headwind_mps != 0.0;
        ready.brake_drag_n += self.extra_force_n;
        ready.ancillaries_w += self.extra_power_w;
    }
}

/// How a [`Plant`] begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    charge_frac: f64,
    speed_mps: f64,
}

impl Start {
    /// At rest and cold with this state of charge, 0 to 1.
    #[must_use]
    pub const fn at_charge(charge_frac: f64) -> Start {
        Start { charge_frac, speed_mps: 0.0 }
    }

    /// Rolling at a speed, m/s.
    #[must_use]
    pub const fn rolling(self, speed_mps: f64) -> Start {
        Start { speed_mps, ..self }
    }
}

/// What happened in a step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct PlantStep {
    /// Time that it took, s.
    pub duration_s: f64,
    /// Way, m.
    pub distance_m: f64,
    /// Torque of the motor, N m.
    pub torque_nm: f64,
    /// Mean speed of the motor, rad/s.
    pub motor_radps: f64,
    /// Battery current, A, positive out of the pack.
    pub current_a: f64,
    /// Voltage at the pack's terminals, V.
    pub voltage_v: f64,
    /// Energy out of the cells, J.
    pub from_pack_j: f64,
    /// Energy at the pack's terminals, J.
    pub terminals_j: f64,
    /// Energy in the friction brakes, J.
    pub friction_brakes_j: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    limit: Limit,
}

impl PlantStep {
    /// What bound the car; [`Limit::None`] where nothing did.
    #[must_use]
    pub fn limit(&self) -> Limit {
        self.limit
    }
}

/// Why a car cannot be stepped so.
#[derive(Clone, Debug, PartialEq)]
pub struct PlantError {
    what: &'static str,
    value: f64,
    allowed: String,
}

impl PlantError {
    /// What was wrong, in the words of [`Command`], [`Road`] and [`Start`]: `step`, `speed`, `grade`, `charge`.
    #[must_use]
    pub fn what(&self) -> &'static str {
        self.what
    }

    /// What it was.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }

    fn unless(
        fits: bool,
        what: &'static str,
        value: f64,
        allowed: impl Into<String>,
    ) -> Result<(), PlantError> {
        if fits { Ok(()) } else { Err(PlantError { what, value, allowed: allowed.into() }) }
    }
}

impl fmt::Display for PlantError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the {} must be {}, not {}", self.what, self.allowed, self.value)
    }
}

impl std::error::Error for PlantError {}

/// A car on a day, stepped from outside. It owns all that it needs; a copy looks ahead without moving the first.
///
/// ```
/// use crownwheel::{Car, Command, Day, Road, Start, example};
/// let car = Car::new(&example::small_saloon())?;
/// let mut plant = car.on(&Day::mild()).plant(Start::at_charge(0.8))?;
/// for _ in 0..200 {
///     plant.step(0.1, Command::Speed(15.0), Road::flat())?;
/// }
/// assert!((plant.state().speed_mps - 15.0).abs() < 0.1);
/// // A wrong number is an error and moves nothing.
/// let before = plant.clone();
/// assert!(plant.step(-1.0, Command::Speed(15.0), Road::flat()).is_err());
/// assert_eq!(plant.state(), before.state());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct Plant {
    driver: Driver,
    state: PlantState,
    grip: f64,
    cap_mps: f64,
}

impl Plant {
    /// # Errors
    /// A charge or a speed that no car has.
    pub(crate) fn new(car: &Car, day: &Day, start: Start) -> Result<Plant, PlantError> {
        let Start { charge_frac, speed_mps } = start;
        PlantError::unless((0.0..=1.0).contains(&charge_frac), "charge", charge_frac, "0 to 1")?;
        let cap_mps = car.speed_cap_mps();
        let fits = (0.0..=cap_mps).contains(&speed_mps);
        PlantError::unless(fits, "speed", speed_mps, format!("0 to {cap_mps:.1} m/s"))?;
        Ok(Plant {
            driver: Driver::new(car, day),
            state: State::cold(car, day, speed_mps, charge_frac),
            grip: car.grip(day.road()),
            cap_mps,
        })
    }

    /// State now.
    #[must_use]
    pub fn state(&self) -> &PlantState {
        &self.state
    }

    /// The gear that is in, counted from 0.
    #[must_use]
    pub fn gear(&self) -> usize {
        self.driver.gear()
    }

    /// Moves the car by `step_s`: any time above zero; longer ones than [`LONGEST_PIECE_S`] are cut into equal parts, a speed
    /// being led to evenly. No braking is harder than the grip of all wheels.
    ///
    /// Fed with the spans and targets of the legs of a cycle it does what [`crate::range::range`] does in its first repeat, to
    /// the last bit.
    ///
    /// # Errors
    /// A time, command or road that is no number or lies outside what is said there; the car has not moved then.
    pub fn step(
        &mut self,
        step_s: f64,
        command: Command,
        road: Road,
    ) -> Result<PlantStep, PlantError> {
        check(step_s, command, road)?;
        let mut moved = self.clone();
        let parts = (step_s / LONGEST_PIECE_S).ceil().max(1.0);
        let from_mps = self.state.speed_mps;
        let mut whole: Option<(Step<f64>, usize)> = None;
        let mut done = 0.0;
        while done < parts {
            done += 1.0;
            let command = match command {
                Command::Speed(to_mps) if parts > 1.0 => {
                    Command::Speed(from_mps + (to_mps - from_mps) * done / parts)
                }
                other => other,
            };
            let part = moved.part(step_s / parts, command, road);
            whole = Some(match whole {
                Some((before, _)) => (before.followed_by(&part), moved.gear()),
                None => (part, moved.gear()),
            });
        }
        let Some((whole, gear)) = whole.filter(|(it, _)| it.state.speed_mps.is_finite()) else {
            return Err(PlantError { what: "step", value: step_s, allowed: "shorter".to_owned() });
        };
        *self = moved;
        Ok(PlantStep {
            duration_s: whole.duration_s,
            distance_m: whole.distance_m,
            torque_nm: whole.torque_nm,
            motor_radps: whole.motor_radps,
            current_a: whole.current_a,
            voltage_v: whole.voltage_v,
            from_pack_j: whole.energy.from_pack_j,
            terminals_j: whole.energy.terminals_j,
            friction_brakes_j: whole.energy.friction_j,
            gear,
            limit: Limit::from_code(whole.limit),
        })
    }

    /// One part of a step.
    fn part(&mut self, step_s: f64, command: Command, road: Road) -> Step<f64> {
        let slope = Slope::from_grade(road.grade_frac);
        let leg = |target_mps: f64| Leg {
            span: Span::Time(step_s),
            target_mps,
            lowest_target_mps: target_mps,
            sin: slope.sin(),
            cos: slope.cos(),
        };
        if !road.is_plain() {
            let mut on_road = Plant { driver: self.driver.on_road(|it| road.put_on(it)), ..*self };
            let done = on_road.part(step_s, command, Road::grade(road.grade_frac));
            self.driver.go_on_as(&on_road.driver);
            self.state = on_road.state;
            return done;
        }
        let slowest_mps = self.slowest_mps(&leg(0.0), step_s);
        let mut done = match command {
            Command::Speed(to_mps) => self.driver.leg(&leg(to_mps.max(slowest_mps)), &self.state),
            _ => {
                let view = self.by(command);
                let target_mps = self.led_to(&view, command, slowest_mps, step_s, &leg);
                step(&view, &leg(target_mps), &self.state)
            }
        };
        if matches!(command, Command::Speed(to_mps) if to_mps < slowest_mps) {
            done.limit = Limit::Grip.code();
        }
        self.state = done.state;
        done
    }

    /// The slowest that grip lets the car be at the end of a step, m/s.
    fn slowest_mps(&self, leg: &Leg, step_s: f64) -> f64 {
        let (ready, v) = (self.driver.in_gear(), self.state.speed_mps);
        let braking_n = self.grip * ready.weight_n * leg.cos;
        let force_n = braking_n + road_load_n(&ready.view(), leg, v);
        (v - force_n / ready.effective_mass_kg * step_s).max(0.0)
    }

    /// The car as a command has it: where the motor brakes alone, it takes all of the braking.
    fn by(&self, command: Command) -> View<'_, f64> {
        let mut view = self.driver.in_gear().view();
        if !matches!(command, Command::Brake(_)) {
            view.regen_share = 1.0;
        }
        view
    }

    /// The speed at the end of the step that a command leads to, by halving.
    fn led_to(
        &self,
        view: &View<'_, f64>,
        command: Command,
        slowest_mps: f64,
        step_s: f64,
        leg: &impl Fn(f64) -> Leg,
    ) -> f64 {
        let at = |target_mps: f64| step(view, &leg(target_mps), &self.state);
        let fastest_mps = (self.state.speed_mps + MOST_MPS2 * step_s).min(self.cap_mps);
        let command = match command {
            // At full throttle the limit that binds is the one of a speed out of reach.
            Command::Accelerator(share) if share >= 1.0 => return fastest_mps,
            Command::Accelerator(share) => Command::MotorTorque(share * at(fastest_mps).torque_nm),
            other => other,
        };
        let (mut low, mut high) = (slowest_mps, fastest_mps.max(slowest_mps));
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if is_enough(command, &at(middle)) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }
}

/// Whether a step gives at least what is wanted, so that a lower speed at its end might do; by braking at most.
fn is_enough(command: Command, done: &Step<f64>) -> bool {
    match command {
        Command::MotorTorque(wanted_nm) => done.torque_nm >= wanted_nm,
        Command::Power(wanted_w) => done.energy.terminals_j >= wanted_w * done.duration_s,
        Command::Brake(wanted_n) => done.energy.braking_offer_j <= wanted_n * done.distance_m,
        Command::Speed(_) | Command::Accelerator(_) => true,
    }
}

/// Refuses what is no number or lies outside what is allowed.
fn check(step_s: f64, command: Command, road: Road) -> Result<(), PlantError> {
    let positive = step_s.is_finite() && step_s > 0.0;
    PlantError::unless(positive, "step", step_s, "more than 0 s")?;
    let (what, value, fits, allowed) = match command {
        Command::Speed(it) => ("speed", it, (0.0..=FASTEST_MPS).contains(&it), "0 to 100 m/s"),
        Command::Accelerator(it) => ("accelerator", it, (0.0..=1.0).contains(&it), "0 to 1"),
        Command::MotorTorque(it) => ("torque", it, it.is_finite(), "a number of N m"),
        Command::Power(it) => ("power", it, it.is_finite(), "a number of W"),
        Command::Brake(it) => ("braking force", it, it.is_finite() && it >= 0.0, "0 N or more"),
    };
    PlantError::unless(fits, what, value, allowed)?;
    let steep = road.grade_frac.abs() <= STEEPEST_GRADE;
    PlantError::unless(steep, "grade", road.grade_frac, "-1 to 1")?;
    let windy = road.headwind_mps.abs() <= FASTEST_MPS;
    PlantError::unless(windy, "wind", road.headwind_mps, "-100 to 100 m/s")?;
    let pulled = road.extra_force_n.is_finite();
    PlantError::unless(pulled, "extra force", road.extra_force_n, "a number of N")?;
    let drawn = road.extra_power_w.is_finite() && road.extra_power_w >= 0.0;
    PlantError::unless(drawn, "extra power", road.extra_power_w, "0 W or more")
}
