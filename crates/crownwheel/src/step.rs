//! One step of a drive: from the wanted speed to the charge it takes, in any width.
//!
//! Acceleration is constant within the step. The wanted speed gives the wheel force, the driveline
//! gives the motor torque, the motor and inverter give the power at the pack's terminals, and the
//! pack gives the current. If a limit binds, the speed at the end of the step is lowered (driving)
//! or the friction brakes take more (braking) until it holds, in a fixed number of passes. Energy
//! is then computed once, from the speed that was reached, so the balance closes whatever the
//! passes left over.

use crate::balance::Energies;
use crate::car::Car;
use crate::cycle::{Leg, Span};
use crate::day::Day;
use crate::driveline::{Stage, conductance_by_speed};
use crate::lane::{Lane, Reading};
use crate::limit::Limit;
use crate::pack::{charge_when_cold, resistance_by_charge, top_taper};
use crate::ready::{SLACK, View};
use crate::tyre::{TYRE_TIME_CONSTANT_S, tyre_factor, tyre_rise_k};

/// Passes that solve torque with voltage and speed once a limit binds. Each leaves less than a
/// fifth of the error before; eight leave less than a part in a hundred thousand.
const PASSES: usize = 8;

/// Passes when braking, where speed is given and only torque is sought.
const BRAKING_PASSES: usize = 5;

/// Most that a falling curve can add to the car's stiffness against acceleration, in masses.
const STEEPEST_SLOPE: f64 = 10.0;

/// A number below every torque, N m: no limit on braking torque.
const NO_FLOOR_NM: f64 = -1e30;

/// Used share of heat below which no step brings it to 1.
const EASED_FROM: f64 = 0.5;

/// Keeps divisions finite at standstill.
const TINY: f64 = 1e-9;

/// What changes from step to step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct State<L> {
    /// Road speed, m/s.
    pub speed_mps: L,
    /// State of charge.
    pub charge_frac: L,
    /// Used share of the motor's heat by its short rating.
    pub heat_used: L,
    /// The same by its long rating; 0 without one.
    pub long_heat_used: L,
    /// Temperature of the oil in the reduction or gearbox, K; the air's where there is none.
    pub gearbox_oil_k: L,
    /// Temperature of the oil in the axle, K.
    pub axle_oil_k: L,
    /// Pack temperature, K.
    pub pack_k: L,
    /// Temperature of the tyres, K.
    pub tyre_k: L,
    /// Heat that the cabin still has to be warmed with, J.
    pub cabin_j: L,
    /// Way since the car was last parked, m; 0 where trips are not short.
    pub trip_m: L,
}

impl State<f64> {
    /// A car on a day with everything cold and heat unused.
    pub(crate) fn cold(car: &Car, day: &Day, speed_mps: f64, charge_frac: f64) -> State<f64> {
        let air_k = day.air().temperature_k;
        State {
            speed_mps,
            charge_frac,
            heat_used: 0.0,
            long_heat_used: 0.0,
            gearbox_oil_k: air_k,
            axle_oil_k: air_k,
            pack_k: day.pack_temperature_k(),
            tyre_k: air_k,
            cabin_j: car.cabin_j(day),
            trip_m: 0.0,
        }
    }

    /// The same with tyres that have warmed at 80 km/h: for pull, hills and braking, which are asked of a car that has
    /// been driven.
    pub(crate) fn on_warm_tyres(
        car: &Car,
        day: &Day,
        speed_mps: f64,
        charge_frac: f64,
    ) -> State<f64> {
        let cold = State::cold(car, day, speed_mps, charge_frac);
        State { tyre_k: cold.tyre_k + car.spec().tyres.temperature_rise_k, cabin_j: 0.0, ..cold }
    }
}

impl<L: Lane> State<L> {
    /// States side by side.
    pub fn each(state: impl Fn(usize) -> State<f64>) -> State<L> {
        State {
            speed_mps: L::each(|i| state(i).speed_mps),
            charge_frac: L::each(|i| state(i).charge_frac),
            heat_used: L::each(|i| state(i).heat_used),
            long_heat_used: L::each(|i| state(i).long_heat_used),
            gearbox_oil_k: L::each(|i| state(i).gearbox_oil_k),
            axle_oil_k: L::each(|i| state(i).axle_oil_k),
            pack_k: L::each(|i| state(i).pack_k),
            tyre_k: L::each(|i| state(i).tyre_k),
            cabin_j: L::each(|i| state(i).cabin_j),
            trip_m: L::each(|i| state(i).trip_m),
        }
    }

    /// The state of one lane.
    #[must_use]
    pub fn lane(&self, index: usize) -> State<f64> {
        State {
            speed_mps: self.speed_mps.lane(index),
            charge_frac: self.charge_frac.lane(index),
            heat_used: self.heat_used.lane(index),
            long_heat_used: self.long_heat_used.lane(index),
            gearbox_oil_k: self.gearbox_oil_k.lane(index),
            axle_oil_k: self.axle_oil_k.lane(index),
            pack_k: self.pack_k.lane(index),
            tyre_k: self.tyre_k.lane(index),
            cabin_j: self.cabin_j.lane(index),
            trip_m: self.trip_m.lane(index),
        }
    }
}

/// One finished step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Step<L> {
    /// State at its end.
    pub state: State<L>,
    /// Distance driven, m.
    pub distance_m: L,
    /// Time taken, s.
    pub duration_s: L,
    /// Energies.
    pub energy: Energies<L>,
    /// Motor torque, N m.
    pub torque_nm: L,
    /// Mean motor speed, rad/s.
    pub motor_radps: L,
    /// Battery current, A.
    pub current_a: L,
    /// Terminal voltage, V.
    pub voltage_v: L,
    /// Code of the binding [`Limit`].
    pub limit: L,
}

impl<L: Lane> Step<L> {
    /// Steps side by side.
    #[inline(always)]
    pub(crate) fn each<'a>(step: impl Fn(usize) -> &'a Step<f64>) -> Step<L> {
        Step {
            state: State::each(|i| step(i).state),
            distance_m: L::each(|i| step(i).distance_m),
            duration_s: L::each(|i| step(i).duration_s),
            energy: Energies::each(|i| &step(i).energy),
            torque_nm: L::each(|i| step(i).torque_nm),
            motor_radps: L::each(|i| step(i).motor_radps),
            current_a: L::each(|i| step(i).current_a),
            voltage_v: L::each(|i| step(i).voltage_v),
            limit: L::each(|i| step(i).limit),
        }
    }

    /// The step of one lane.
    #[must_use]
    pub fn lane(&self, index: usize) -> Step<f64> {
        Step {
            state: self.state.lane(index),
            distance_m: self.distance_m.lane(index),
            duration_s: self.duration_s.lane(index),
            energy: self.energy.lane(index),
            torque_nm: self.torque_nm.lane(index),
            motor_radps: self.motor_radps.lane(index),
            current_a: self.current_a.lane(index),
            voltage_v: self.voltage_v.lane(index),
            limit: self.limit.lane(index),
        }
    }
}

impl Step<f64> {
    /// This step and the next as one: sums of distance, time and energy; means over time of torque,
    /// motor speed and current; voltage and limit of the next.
    ///
    /// ```
    /// use crownwheel::{cycle::Cycle, drive::start_state, ready::Ready, step::step};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let (ready, cycle) = (Ready::new(&car, &day), Cycle::steady(20.0));
    /// let leg = &cycle.legs()[0];
    /// let first = step(&ready.view(), leg, &start_state(&car, &day, &cycle));
    /// let both = first.followed_by(&step(&ready.view(), leg, &first.state));
    /// assert!((both.distance_m - 40.0).abs() < 1e-9 && (both.duration_s - 2.0).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn followed_by(&self, next: &Step<f64>) -> Step<f64> {
        let duration_s = self.duration_s + next.duration_s;
        let mean = |a: f64, b: f64| (a * self.duration_s + b * next.duration_s) / duration_s;
        let mut energy = self.energy;
        energy.add(&next.energy, 1.0);
        Step {
            state: next.state,
            distance_m: self.distance_m + next.distance_m,
            duration_s,
            energy,
            torque_nm: mean(self.torque_nm, next.torque_nm),
            motor_radps: mean(self.motor_radps, next.motor_radps),
            current_a: mean(self.current_a, next.current_a),
            voltage_v: next.voltage_v,
            limit: next.limit,
        }
    }
}

/// Speed and distance within a step.
#[derive(Clone, Copy)]
struct Motion<L> {
    end_mps: L,
    accel_mps2: L,
    distance_m: L,
    duration_s: L,
    mean_mps: L,
}

impl<L: Lane> Motion<L> {
    /// Constant acceleration to a given speed.
    #[inline(always)]
    fn to_speed(span: Span, start: L, end: L) -> Self {
        let half = L::splat(0.5);
        match span {
            Span::Time(dt) => {
                let duration_s = L::splat(dt);
                let mean_mps = half * (start + end);
                Motion {
                    end_mps: end,
                    accel_mps2: (end - start) * L::splat(1.0 / dt),
                    distance_m: mean_mps * duration_s,
                    duration_s,
                    mean_mps,
                }
            }
            Span::Distance(ds) => {
                let distance_m = L::splat(ds);
                let mean_mps = (half * (start + end)).max(L::splat(TINY));
                Motion {
                    end_mps: end,
                    accel_mps2: (end - start) * mean_mps / distance_m,
                    distance_m,
                    duration_s: distance_m / mean_mps,
                    mean_mps,
                }
            }
        }
    }

    /// A given acceleration; a car that comes to rest within the step stays there.
    #[inline(always)]
    fn with_accel(span: Span, start: L, accel: L) -> Self {
        let zero = L::splat(0.0);
        let half = L::splat(0.5);
        let to_rest_m = half * start * start / (-accel).max(L::splat(TINY));
        match span {
            Span::Time(dt) => {
                let duration_s = L::splat(dt);
                let free = start + accel * duration_s;
                let end_mps = free.max(zero);
                let rolling = half * (start + end_mps) * duration_s;
                let distance_m = L::select(free.lt(zero), to_rest_m, rolling);
                let mean_mps = distance_m * L::splat(1.0 / dt);
                Motion { end_mps, accel_mps2: accel, distance_m, duration_s, mean_mps }
            }
            Span::Distance(ds) => {
                let whole = L::splat(ds);
                let square = start * start + L::splat(2.0) * accel * whole;
                let stops = square.le(L::splat(TINY));
                let end_mps = square.max(zero).sqrt();
                let mean_mps = (half * (start + end_mps)).max(L::splat(TINY));
                let distance_m = L::select(stops, to_rest_m.min(whole), whole);
                // From rest it does not move at all; a second then passes.
                let stuck = L::and(stops, start.le(L::splat(TINY)));
                let duration_s = L::select(stuck, L::splat(1.0), distance_m / mean_mps);
                let end_mps = L::select(stops, zero, end_mps);
                let distance_m = L::select(stuck, zero, distance_m);
                let mean_mps = distance_m / duration_s;
                Motion { end_mps, accel_mps2: accel, distance_m, duration_s, mean_mps }
            }
        }
    }
}

/// What holds during the whole step.
#[derive(Clone, Copy)]
struct StepConditions<L> {
    open_circuit_v: L,
    /// Of the cells alone.
    cells_ohm: L,
    /// With the harness.
    resistance_ohm: L,
    cold_gearbox_oil: L,
    cold_axle_oil: L,
    /// Rolling resistance over that of warm tyres.
    tyre: L,
    /// Used by standing loads, cabin and pack heater, W.
    ancillaries_w: L,
    /// Of that what warms the cabin up, W of heat, and what warms the pack, W.
    warming: (L, L),
    heat: HeatRoom<L>,
    charge_limit_a: L,
}

/// Forces on the road, means over the distance, N.
#[derive(Clone, Copy)]
struct Forces<L> {
    air_n: L,
    rolling_n: L,
    linear_n: L,
    brake_drag_n: L,
    /// What the driven axle and the brakes must give together.
    wanted_n: L,
}

/// Power between motor shaft and pack.
#[derive(Clone, Copy)]
struct ElectricPower<L> {
    motor_loss_w: L,
    inverter_loss_w: L,
    inverter_in_w: L,
    terminal_w: L,
    current_a: L,
    voltage_v: L,
    root_v: L,
    /// `E² - 4RP`: below zero where more is asked than the pack can give, V².
    square_v2: L,
    /// Change of terminal power with torque, W per N m.
    slope_w_per_nm: L,
}

/// A motion with everything that follows from it.
#[derive(Clone, Copy)]
struct SolvedMotion<L> {
    motion: Motion<L>,
    forces: Forces<L>,
    stages: (Stage<L>, Stage<L>),
    motor_radps: L,
    /// Torque that turns the rotor faster, N m.
    rotor_nm: L,
    torque_nm: L,
    /// Torque between the stages, at the input of the axle, N m.
    between_nm: L,
    /// Force of the driven axle, N.
    driven_n: L,
    /// Continuous torque, N m, and one over its loss, 1/W, at this speed.
    continuous: (L, L),
    electric: ElectricPower<L>,
}

/// Takes one step.
///
/// The law stands in the head of this module; nothing can fail.
///
/// ```
/// use crownwheel::{cycle::Cycle, drive::start_state, ready::Ready, step::step};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let cycle = Cycle::steady(20.0);
/// let (leg, state) = (&cycle.legs()[0], start_state(&car, &day, &cycle));
/// let done = step(&Ready::new(&car, &day).view(), leg, &state);
/// assert!((done.distance_m - 20.0).abs() < 1e-9 && done.energy.kinetic_j.abs() < 1e-6);
/// assert!(done.energy.imbalance_j().abs() < 1e-9 * done.energy.from_pack_j);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[inline(always)]
pub fn step<L: Lane>(car: &View<'_, L>, leg: &Leg, state: &State<L>) -> Step<L> {
    let wish = wished(car, leg, state);
    let now = StepConditions::new(car, state, wish.duration_s);
    let trial = settle(car, &now, leg, state, wish, L::splat(NO_FLOOR_NM));
    let binds = over_a_limit(car, &now, leg, &trial);
    let free = free_code(car, leg);
    if !L::any(binds) {
        return finish(car, &now, leg, state, &trial, free);
    }
    let relieved = relieve(car, &now, leg, state, &trial, binds);
    let settled = settle(car, &now, leg, state, relieved.motion, relieved.floor_nm);
    finish(car, &now, leg, state, &settled, L::select(binds, relieved.code, free))
}

/// The motion as it is wished: at the target, or as fast as the motor may turn.
#[inline(always)]
fn wished<L: Lane>(car: &View<'_, L>, leg: &Leg, state: &State<L>) -> Motion<L> {
    let capped = L::splat(leg.target_mps).min(car.speed_cap_mps);
    Motion::to_speed(leg.span, state.speed_mps, capped)
}

/// Code of what binds when no limit on torque does.
#[inline(always)]
fn free_code<L: Lane>(car: &View<'_, L>, leg: &Leg) -> L {
    let at_speed = car.speed_cap_mps.lt(L::splat(leg.target_mps * (1.0 - SLACK)));
    L::select(at_speed, car.speed_cap_code, L::splat(Limit::None.code()))
}

/// Force on the road at a steady speed, N: air, rolling, brake drag and the leg's gradient.
///
/// `½ρ C_dA (v+w)|v+w| + C_rr m g cos θ + m g sin θ + F_brake`, with the day's density, wind and factors, or the
/// coefficients in place of the first two; `speed_mps` at least 0. An example stands at
/// [`crate::pull::Throttle::road_load_n`].
///
/// ```
/// use crownwheel::{cycle::Cycle, ready::Ready, spec::DragSpec, spec::RoadLoadSpec, step::road_load_n};
/// use crownwheel::{Car, Day, example};
/// let mut spec = example::small_saloon();
/// spec.road_load = RoadLoadSpec::Terms { drag: DragSpec::Area(0.7), brake_drag_n: 0.0,
///     drag_rise_at_10_deg_yaw: 0.0 };
/// spec.tyres.rolling_resistance = 0.01;
/// let (car, day) = (Car::new(&spec)?, Day::new(&example::mild_day())?);
/// // ½ ρ 0.7 · 20² and 1 % of the weight, 5 K below 20 °C.
/// let wanted_n = 140.0 * day.air_density_kgpm3() + 0.01 * 908.6 * 9.806_65 * 1.043;
/// let load_n = road_load_n(&Ready::new(&car, &day).view(), &Cycle::steady(20.0).legs()[0], 20.0);
/// assert!((load_n / wanted_n - 1.0).abs() < 1e-9);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn road_load_n(car: &View<'_, f64>, leg: &Leg, speed_mps: f64) -> f64 {
    let steady = Motion::to_speed(leg.span, speed_mps, speed_mps);
    forces(car, leg, tyre_factor(car.air_k + car.tyre_rise_k, car.tyre_rise_k), speed_mps, &steady)
        .wanted_n
}

impl<L: Lane> StepConditions<L> {
    #[inline(always)]
    fn new(car: &View<'_, L>, state: &State<L>, dt: L) -> Self {
        let charge = state.charge_frac;
        let cells_ohm = car.cells_ohm
            * resistance_by_charge(charge)
            * L::read(&car.resistance_by_temperature, state.pack_k).value;
        let taper = top_taper(charge, car.top_frac);
        let cold = charge_when_cold(state.pack_k);
        let (heating_w, warming) = heating(car, state, dt);
        StepConditions {
            open_circuit_v: L::read(&car.cell_v, charge).value * car.cells_in_series,
            cells_ohm,
            resistance_ohm: cells_ohm + car.harness_ohm,
            cold_gearbox_oil: L::read(&car.cold_oil, state.gearbox_oil_k).value,
            cold_axle_oil: L::read(&car.cold_oil, state.axle_oil_k).value,
            tyre: tyre_factor(state.tyre_k, car.tyre_rise_k),
            ancillaries_w: car.ancillaries_w + heating_w,
            warming,
            heat: HeatRoom::new(car, state, dt),
            charge_limit_a: car.charge_a * taper.min(cold),
        }
    }
}

/// Forces and, from them, torque and electric power for a motion. `floor_nm` bounds braking
/// torque from below; friction brakes take the rest.
#[inline(always)]
fn settle<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    leg: &Leg,
    state: &State<L>,
    motion: Motion<L>,
    floor_nm: L,
) -> SolvedMotion<L> {
    let zero = L::splat(0.0);
    let forces = forces(car, leg, now.tyre, state.speed_mps, &motion);
    let motor_radps = motion.mean_mps * car.radps_per_mps;
    let stages = stages(car, now, motor_radps);
    let rotor_nm = car.rotor_kgm2 * motion.accel_mps2 * car.radps_per_mps;
    let moves = L::splat(TINY).lt(motion.distance_m);
    let axle_in_nm = stages.1.input_nm(forces.wanted_n * car.radius_m);
    let needed_nm = stages.0.input_nm(axle_in_nm) + rotor_nm;
    let whole_nm = L::select(moves, needed_nm, zero);
    let brakes = whole_nm.lt(zero);
    let (torque_nm, between_nm, driven_n) = if L::any(brakes) {
        let fade = (motion.mean_mps * car.regen_per_fade).min(L::splat(1.0));
        let braking_nm = (whole_nm * car.regen_share * fade).max(floor_nm);
        let torque_nm = L::select(brakes, braking_nm, whole_nm);
        let backward_nm = stages.0.output_nm(torque_nm - rotor_nm);
        let backward_n = stages.1.output_nm(backward_nm) * car.per_radius;
        let between_nm = L::select(brakes, backward_nm, axle_in_nm);
        (torque_nm, between_nm, L::select(brakes, backward_n, forces.wanted_n))
    } else {
        (whole_nm, axle_in_nm, forces.wanted_n)
    };
    let electric = electric(car, now, motor_radps, torque_nm);
    let continuous = L::read_pair(&car.continuous, motor_radps);
    SolvedMotion {
        motion,
        forces,
        stages,
        motor_radps,
        rotor_nm,
        torque_nm,
        between_nm,
        driven_n,
        continuous,
        electric,
    }
}

/// Means over the distance; exact for drag that grows with the square of speed.
#[inline(always)]
fn forces<L: Lane>(
    car: &View<'_, L>,
    leg: &Leg,
    tyre: L,
    start: L,
    motion: &Motion<L>,
) -> Forces<L> {
    let end = motion.end_mps;
    let squares = start * start + end * end;
    let zero = L::splat(0.0);
    let wind = if car.uses.wind { wind_m2ps2(car, motion.mean_mps) } else { zero };
    let air_n = car.air_n_per_mps2 * (L::splat(0.5) * squares + wind);
    let level_n = car.rolling_n * tyre * L::splat(leg.cos);
    let rolling_n = if car.uses.rolling_rise {
        level_n * (L::splat(1.0) + car.rolling_rise_per_mps2 * L::splat(0.5) * squares)
    } else {
        level_n
    };
    let linear_n = if car.uses.linear {
        let sum = (start + end).max(L::splat(TINY));
        car.linear_n_per_mps * tyre * (L::splat(2.0 / 3.0) * (squares + start * end) / sum)
    } else {
        zero
    };
    let climbing_n = car.weight_n * L::splat(leg.sin);
    let held = air_n + rolling_n + linear_n + car.brake_drag_n + climbing_n;
    Forces {
        air_n,
        rolling_n,
        linear_n,
        brake_drag_n: car.brake_drag_n,
        wanted_n: held + car.linear_mass_kg * motion.accel_mps2,
    }
}

/// What wind adds to `v²`, m²/s²: `(v + w)|v + w| - v²` along the road, and from all round.
#[inline(always)]
fn wind_m2ps2<L: Lane>(car: &View<'_, L>, mean_mps: L) -> L {
    let air_mps = mean_mps + car.headwind_mps;
    let (plain, yawed) = L::read_pair(&car.all_round, mean_mps * car.per_wind);
    air_mps * air_mps.abs() - mean_mps * mean_mps + car.wind_m2ps2 * (plain + car.yaw_rise * yawed)
}

/// Reduction and axle at a motor speed.
#[inline(always)]
fn stages<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    motor_radps: L,
) -> (Stage<L>, Stage<L>) {
    let drag = |rest: L, slope: L, cold: L| (rest + slope * motor_radps) * cold;
    let reduction = Stage {
        ratio: car.reduction_ratio,
        per_ratio: car.reduction_per_ratio,
        efficiency: car.reduction_efficiency,
        per_efficiency: car.reduction_per_efficiency,
        drag_nm: drag(car.reduction_drag_nm, car.reduction_drag_slope, now.cold_gearbox_oil),
    };
    let axle = Stage {
        ratio: car.axle_ratio,
        per_ratio: car.axle_per_ratio,
        efficiency: car.axle_efficiency,
        per_efficiency: car.axle_per_efficiency,
        drag_nm: drag(car.axle_drag_nm, car.axle_drag_slope, now.cold_axle_oil),
    };
    (reduction, axle)
}

/// From torque to current.
#[inline(always)]
fn electric<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    motor_radps: L,
    torque_nm: L,
) -> ElectricPower<L> {
    let zero = L::splat(0.0);
    let one = L::splat(1.0);
    let size_nm = torque_nm.abs();
    let loss = loss(car, motor_radps, size_nm);
    let motor_loss_w = loss.value * car.losses_scale;
    let shaft_w = torque_nm * motor_radps;
    let motor_in_w = shaft_w + motor_loss_w;
    let inverter_loss_w = car.inverter_fixed_w + car.inverter_share * motor_in_w.abs();
    let inverter_in_w = motor_in_w + inverter_loss_w;
    let terminal_w = inverter_in_w + now.ancillaries_w + car.dcdc_w;
    let e = now.open_circuit_v;
    let square = e * e - L::splat(4.0) * now.resistance_ohm * terminal_w;
    let root_v = square.max(zero).sqrt();
    let sum_v = e + root_v;
    let braking = torque_nm.lt(zero);
    let loss_slope = loss.slope * car.losses_scale;
    let slope = motor_radps + L::select(braking, -loss_slope, loss_slope);
    let share = L::select(motor_in_w.lt(zero), -car.inverter_share, car.inverter_share);
    ElectricPower {
        motor_loss_w,
        inverter_loss_w,
        inverter_in_w,
        terminal_w,
        current_a: (terminal_w + terminal_w) / sum_v,
        voltage_v: L::splat(0.5) * sum_v,
        root_v,
        square_v2: square,
        slope_w_per_nm: slope * (one + share),
    }
}

/// Loss of the motor, W, before its factor, and its change with torque, W per N m.
#[inline(always)]
fn loss<L: Lane>(car: &View<'_, L>, motor_radps: L, size_nm: L) -> Reading<L> {
    let copper = car.copper_w_per_nm2 * size_nm;
    let turning_w = motor_radps
        * (car.iron_w_per_radps + car.windage_w_per_radps3 * motor_radps * motor_radps)
        + car.motor_fixed_w;
    let linear = car.motor_share * motor_radps;
    let formula =
        Reading { value: (copper + linear) * size_nm + turning_w, slope: copper + copper + linear };
    if !car.uses.loss_map {
        return formula;
    }
    let map = L::read_grid(&car.loss_map_w, motor_radps, size_nm);
    Reading { value: map.value + formula.value, slope: map.slope + formula.slope }
}

/// Torque that the motor can give now, and what limits it.
#[derive(Clone, Copy)]
struct AvailableTorque<L> {
    /// Peak curve at this voltage, N m.
    peak_nm: L,
    /// With heat, N m.
    torque_nm: L,
    /// Change of `torque_nm` with speed on the sheet, N m per rad/s, at the read point.
    slope: L,
    /// Speed on the sheet that was read, rad/s.
    read_radps: L,
}

#[inline(always)]
fn able<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    motor_radps: L,
    (continuous_nm, per_continuous_w): (L, L),
    e: &ElectricPower<L>,
) -> AvailableTorque<L> {
    let one = L::splat(1.0);
    let by_voltage = L::splat(0.5).lt(car.falling_by_voltage);
    // A brushed motor's speed follows the voltage less the drop in its armature.
    let per_k = if car.uses.armature {
        let drop_v = e.current_a.max(L::splat(0.0)) * car.armature_ohm;
        (car.test_voltage_v - drop_v).max(one) / (e.voltage_v - drop_v).max(one)
    } else {
        car.test_voltage_v / e.voltage_v.max(one)
    };
    let read_radps = L::select(by_voltage, motor_radps * per_k, motor_radps);
    let sheet = L::read(&car.peak_nm, read_radps);
    let peak_nm = if car.uses.falling_by_current {
        L::select(by_voltage, sheet.value, (sheet.value / per_k).min(car.greatest_nm))
    } else {
        sheet.value
    };
    if !now.heat.any {
        return AvailableTorque { peak_nm, torque_nm: peak_nm, slope: sheet.slope, read_radps };
    }
    let continuous_nm = continuous_nm.min(peak_nm);
    let share = now.heat.share(car, motor_radps, peak_nm, per_continuous_w);
    let eased_nm = eased_nm(car, motor_radps, (continuous_nm, peak_nm), share);
    let torque_nm = L::select(share.lt(one), eased_nm, peak_nm);
    AvailableTorque { peak_nm, torque_nm, slope: sheet.slope * share, read_radps }
}

/// Torque between the continuous and the peak at which loss has risen by a share of the way: loss grows with torque squared,
/// and with torque itself as the formula says, `T² + 2 h T`.
#[inline(always)]
fn eased_nm<L: Lane>(
    car: &View<'_, L>,
    motor_radps: L,
    (continuous_nm, peak_nm): (L, L),
    share: L,
) -> L {
    let linear = car.motor_share * motor_radps;
    let copper = car.copper_w_per_nm2.max(L::splat(TINY));
    let half_nm =
        L::select(L::splat(0.0).lt(linear), L::splat(0.5) * linear / copper, L::splat(0.0));
    let grown = |torque_nm: L| (torque_nm + half_nm) * (torque_nm + half_nm);
    let low = grown(continuous_nm);
    (low + (grown(peak_nm) - low) * share).sqrt() - half_nm
}

/// Where a limit is passed.
#[inline(always)]
fn over_a_limit<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    leg: &Leg,
    at: &SolvedMotion<L>,
) -> L::Mask {
    let e = &at.electric;
    let slack = L::splat(1.0 + SLACK);
    let able = able(car, now, at.motor_radps, at.continuous, e);
    let torque = (able.torque_nm * slack + L::splat(SLACK)).lt(at.torque_nm.abs());
    let current = car.slack_discharge_a.lt(e.current_a);
    let controller = (car.slack_controller_a * e.voltage_v).lt(e.inverter_in_w);
    let sag = e.voltage_v.lt(car.slack_min_v);
    let slip = (drive_grip_n(car, leg) * slack).lt(at.driven_n);
    // An idle motor can be relieved of nothing.
    let pulls = L::splat(SLACK).lt(at.torque_nm);
    let supply = L::or(L::or(current, controller), sag);
    let driving = L::and(pulls, L::or(L::or(torque, supply), slip));

    let charge = e.current_a.lt(-(now.charge_limit_a * slack));
    let full = car.slack_max_v.lt(e.voltage_v);
    let skid = (at.driven_n + L::splat(SLACK)).lt(-brake_grip_n(car, leg, &at.forces));
    let recovers = at.torque_nm.lt(L::splat(-SLACK));
    let braking = L::and(recovers, L::or(L::or(torque, charge), L::or(full, skid)));
    L::or(driving, braking)
}

/// Greatest driving force by grip, N.
#[inline(always)]
fn drive_grip_n<L: Lane>(car: &View<'_, L>, leg: &Leg) -> L {
    car.grip_drive_n * L::splat(leg.cos)
}

/// Greatest braking force of the driven axle by grip, N, with load moving forward.
#[inline(always)]
fn brake_grip_n<L: Lane>(car: &View<'_, L>, leg: &Leg, forces: &Forces<L>) -> L {
    let braking_n = (-forces.wanted_n).max(L::splat(0.0));
    let level = car.grip_static_n * L::splat(leg.cos);
    (level + car.grip_per_braking * braking_n).max(L::splat(0.0))
}

/// A motion that keeps all limits, the least braking torque, and which limit binds.
#[derive(Clone, Copy)]
struct LimitedMotion<L> {
    motion: Motion<L>,
    floor_nm: L,
    code: L,
}

/// The smallest of several torques, and the code of its limit.
#[derive(Clone, Copy)]
struct LowestTorque<L> {
    torque_nm: L,
    code: L,
}

impl<L: Lane> LowestTorque<L> {
    /// Another where the mask holds.
    #[inline(always)]
    fn replaced(self, mask: L::Mask, other: &Self) -> Self {
        LowestTorque {
            torque_nm: L::select(mask, other.torque_nm, self.torque_nm),
            code: L::select(mask, other.code, self.code),
        }
    }

    #[inline(always)]
    fn or(self, torque_nm: L, code: L) -> Self {
        let less = torque_nm.lt(self.torque_nm);
        LowestTorque {
            torque_nm: L::select(less, torque_nm, self.torque_nm),
            code: L::select(less, code, self.code),
        }
    }
}

/// An acceleration and the force left over at it.
#[derive(Clone, Copy)]
struct AccelTrial<L> {
    accel: L,
    spare_n: L,
}

/// Solves torque with voltage and speed. Lanes that are within limits run along and are unchanged
/// (`binds` selects).
#[inline(always)]
fn relieve<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    leg: &Leg,
    state: &State<L>,
    trial: &SolvedMotion<L>,
    binds: L::Mask,
) -> LimitedMotion<L> {
    let zero = L::splat(0.0);
    let brakes = trial.torque_nm.lt(zero);
    let slows = L::and(binds, L::not(brakes));
    let asked_nm = trial.torque_nm.abs();
    let mut size_nm = asked_nm.min(car.greatest_nm);
    let mut accel = trial.motion.accel_mps2;
    let mut motion = trial.motion;
    let mut least = LowestTorque { torque_nm: size_nm, code: zero };
    let mut last = AccelTrial { accel, spare_n: zero };
    let steepest = L::splat(STEEPEST_SLOPE);
    for done in 0..PASSES {
        if done >= BRAKING_PASSES && !L::any(slows) {
            break;
        }
        let radps = motion.mean_mps * car.radps_per_mps;
        let torque_nm = L::select(brakes, -size_nm, size_nm);
        let e = electric(car, now, radps, torque_nm);
        let next = least_torque(car, now, leg, state, trial, radps, size_nm, &e, brakes);
        if done < BRAKING_PASSES {
            least = next;
        } else {
            least = least.replaced(slows, &next);
        }
        size_nm = least.torque_nm.min(asked_nm.max(car.greatest_nm)).max(zero);
        if !L::any(slows) {
            continue;
        }

        let stages = stages(car, now, radps);
        let rotor_nm = car.rotor_kgm2 * accel * car.radps_per_mps;
        let given_n = stages.1.output_nm(stages.0.output_nm(size_nm - rotor_nm)) * car.per_radius;
        let grip_n = drive_grip_n(car, leg);
        let slips = L::and(L::not(brakes), grip_n.lt(given_n));
        let force_n = L::select(slips, grip_n, given_n);
        least.code = L::select(slips, L::splat(Limit::Grip.code()), least.code);
        let wanted_n = forces(car, leg, now.tyre, state.speed_mps, &motion).wanted_n;
        // Newton on acceleration, with the slope that the last two passes show: the car's mass, and
        // more where the curve loses force as speed rises.
        let spare_n = force_n - wanted_n;
        let seen = (last.spare_n - spare_n) / (accel - last.accel);
        let slope_kg = seen.max(car.effective_mass_kg).min(car.effective_mass_kg * steepest);
        last = AccelTrial { accel, spare_n };
        let next = accel + spare_n / slope_kg;
        accel = L::select(slows, next.min(trial.motion.accel_mps2), accel);
        let slower = Motion::with_accel(leg.span, state.speed_mps, accel);
        motion = select_motion(slows, &slower, &trial.motion);
    }
    let stops_regen = L::and(binds, brakes);
    LimitedMotion {
        motion,
        floor_nm: L::select(stops_regen, -size_nm, L::splat(NO_FLOOR_NM)),
        code: least.code,
    }
}

/// One Newton step of every limit on torque, and the least of them.
#[inline(always)]
#[allow(clippy::too_many_arguments, reason = "the inner loop's state, split for reading only")]
fn least_torque<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    leg: &Leg,
    state: &State<L>,
    trial: &SolvedMotion<L>,
    radps: L,
    size_nm: L,
    e: &ElectricPower<L>,
    brakes: L::Mask,
) -> LowestTorque<L> {
    let zero = L::splat(0.0);
    let one = L::splat(1.0);
    let slope = e.slope_w_per_nm.max(L::splat(TINY));
    // How the peak torque falls as this torque lowers the voltage; braking raises it.
    let volts_per_nm = now.resistance_ohm * slope / e.root_v.max(one);
    let continuous = L::read_pair(&car.continuous, radps);
    let able = able(car, now, radps, continuous, e);
    let fall = able.slope * able.read_radps / e.voltage_v.max(one) * volts_per_nm;
    let fall = L::select(brakes, zero, fall.min(zero));
    let curve_nm = size_nm + (able.torque_nm - size_nm) / (one - fall);
    let first = LowestTorque { torque_nm: curve_nm, code: curve_code(car, &able) };

    // Discharge: power within current and lowest voltage; the controller's current beside.
    let battery = L::splat(Limit::BatteryCurrent.code());
    let supply = L::splat(Limit::SupplyVoltage.code());
    let room = |limit_w: L| size_nm + (limit_w - e.terminal_w) / slope;
    let by_current =
        room(car.discharge_a * (now.open_circuit_v - car.discharge_a * now.resistance_ohm));
    let headroom_v = (now.open_circuit_v - car.min_v).max(zero);
    let by_floor = room(car.min_v * headroom_v / now.resistance_ohm);
    let spare_w = car.controller_a * e.voltage_v - e.inverter_in_w;
    let by_controller = size_nm + spare_w / (slope + car.controller_a * volts_per_nm);
    let driving = first.or(by_current, battery).or(by_floor, supply).or(by_controller, battery);

    // Charge: current, highest voltage, and the grip of an axle that braking unloads.
    let full = L::splat(Limit::FullPack.code());
    // Cold, rather than a full pack, lowers the charging current.
    let cold = charge_when_cold(state.pack_k).lt(top_taper(state.charge_frac, car.top_frac));
    let lowered = L::select(cold, L::splat(Limit::ColdPack.code()), full);
    let fully = (car.charge_a * L::splat(1.0 - SLACK)).le(now.charge_limit_a);
    let charge_code = L::select(fully, L::splat(Limit::ChargeCurrent.code()), lowered);
    let limit_a = now.charge_limit_a;
    let take = |limit_w: L| size_nm + (limit_w + e.terminal_w) / slope;
    let by_charge = take(limit_a * (now.open_circuit_v + limit_a * now.resistance_ohm));
    let top_v = (car.max_v - now.open_circuit_v).max(zero);
    let by_top = take(car.max_v * top_v / now.resistance_ohm);
    let grip_wheel_nm = -brake_grip_n(car, leg, &trial.forces) * car.radius_m;
    let by_grip =
        -(trial.stages.0.input_nm(trial.stages.1.input_nm(grip_wheel_nm)) + trial.rotor_nm);
    let braking =
        first.or(by_charge, charge_code).or(by_top, full).or(by_grip, L::splat(Limit::Grip.code()));
    LowestTorque {
        torque_nm: L::select(brakes, braking.torque_nm, driving.torque_nm),
        code: L::select(brakes, braking.code, driving.code),
    }
}

/// Which limit the torque curve is: heat, the voltage of its falling part, or the motor's torque.
#[inline(always)]
fn curve_code<L: Lane>(car: &View<'_, L>, able: &AvailableTorque<L>) -> L {
    let falls = able.peak_nm.lt(car.greatest_nm * L::splat(1.0 - 1e-6));
    let falling_code = L::select(
        L::splat(0.5).lt(car.falling_by_voltage),
        L::splat(Limit::SupplyVoltage.code()),
        L::splat(Limit::BatteryCurrent.code()),
    );
    let cold_code = L::select(falls, falling_code, L::splat(Limit::MotorTorque.code()));
    let hot = able.torque_nm.lt(able.peak_nm * L::splat(1.0 - SLACK));
    L::select(hot, L::splat(Limit::Heat.code()), cold_code)
}

#[inline(always)]
fn select_motion<L: Lane>(mask: L::Mask, yes: &Motion<L>, no: &Motion<L>) -> Motion<L> {
    Motion {
        end_mps: L::select(mask, yes.end_mps, no.end_mps),
        accel_mps2: L::select(mask, yes.accel_mps2, no.accel_mps2),
        distance_m: L::select(mask, yes.distance_m, no.distance_m),
        duration_s: L::select(mask, yes.duration_s, no.duration_s),
        mean_mps: L::select(mask, yes.mean_mps, no.mean_mps),
    }
}

/// Energy, charge, heat and temperatures of a settled motion.
#[inline(always)]
fn finish<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    leg: &Leg,
    state: &State<L>,
    at: &SolvedMotion<L>,
    limit: L,
) -> Step<L> {
    let drawn = Terminals::new(now, &at.electric);
    let energy = energies(car, now, leg, state, at, &drawn);
    let ElectricPower { voltage_v, motor_loss_w, .. } = at.electric;
    let current_a = drawn.current_a;
    let dt = at.motion.duration_s;
    let heat_ratio = motor_loss_w * at.continuous.1;
    let warm = |k: L, joules: L, conductance: L, per_capacity: L| {
        k + (joules - conductance * (k - car.air_k) * dt) * per_capacity
    };
    let casing_wpk = car.oil_conductance_wpk * conductance_by_speed(at.motion.mean_mps);
    let warm_oil = |k: L, joules: L| warm(k, joules, casing_wpk, car.oil_k_per_j);
    let axle_in_w = at.between_nm * at.motor_radps * car.reduction_per_ratio;
    let axle_j = axle_in_w * dt - at.driven_n * at.motion.distance_m;
    let cells_j = (current_a * current_a * now.cells_ohm + now.warming.1) * dt;
    let ended = Step {
        state: State {
            speed_mps: at.motion.end_mps,
            charge_frac: state.charge_frac - current_a * dt * car.per_capacity,
            heat_used: heat_after(
                state.heat_used,
                heat_ratio * car.short_heat_share,
                car.per_heat_time * dt,
            ),
            long_heat_used: if car.uses.long_heat {
                heat_after(state.long_heat_used, heat_ratio, car.per_long_time * dt)
            } else {
                state.long_heat_used
            },
            gearbox_oil_k: warm_oil(state.gearbox_oil_k, energy.driveline_j - axle_j),
            axle_oil_k: warm_oil(state.axle_oil_k, axle_j),
            pack_k: warm(state.pack_k, cells_j, car.pack_conductance_wpk, car.pack_k_per_j),
            tyre_k: tyre_after(car, state.tyre_k, &at.motion),
            cabin_j: (state.cabin_j - now.warming.0 * dt).max(L::splat(0.0)),
            trip_m: state.trip_m,
        },
        distance_m: at.motion.distance_m,
        duration_s: dt,
        energy,
        torque_nm: at.torque_nm,
        motor_radps: at.motor_radps,
        current_a,
        voltage_v,
        limit,
    };
    if car.uses.short_trips { parked(car, state, ended) } else { ended }
}

/// What heats cabin and pack, W, and of that what warms the cabin up, W of heat, and what warms the pack, W.
#[inline(always)]
fn heating<L: Lane>(car: &View<'_, L>, state: &State<L>, dt: L) -> (L, (L, L)) {
    let (zero, one) = (L::splat(0.0), L::splat(1.0));
    let (mut taken_w, mut cabin_w, mut pack_w) = (zero, zero, zero);
    if car.uses.cabin {
        // At full power until the cabin is warm; in the step in which it gets there for a part of the time.
        let full_w = car.cabin_max_w * car.cabin_performance;
        let full = (state.cabin_j / (full_w * dt).max(L::splat(TINY))).min(one);
        taken_w = car.cabin_hold_w + (car.cabin_max_w - car.cabin_hold_w) * full;
        cabin_w = full_w * full;
    }
    if car.uses.pack_heater {
        // Regulated within a kelvin.
        pack_w = car.pack_heater_w * (car.pack_heater_below_k - state.pack_k).max(zero).min(one);
    }
    (taken_w + pack_w, (cabin_w, pack_w))
}

/// A step after which a car that has come far enough and stands is parked: tyres, oil, motor, pack and cabin cool.
#[inline(always)]
fn parked<L: Lane>(car: &View<'_, L>, before: &State<L>, step: Step<L>) -> Step<L> {
    let state = step.state;
    let trip_m = before.trip_m + step.distance_m;
    let stands = L::and(state.speed_mps.le(L::splat(TINY)), car.trip_length_m.le(trip_m));
    let cooled = |k: L, left: L| L::select(stands, car.air_k + (k - car.air_k) * left, k);
    let zero = L::splat(0.0);
    let used = |share: L, left: L| L::select(stands, share * left, share);
    Step {
        state: State {
            heat_used: used(state.heat_used, car.parked_heat),
            long_heat_used: used(state.long_heat_used, car.parked_long_heat),
            gearbox_oil_k: cooled(state.gearbox_oil_k, car.parked_oil),
            axle_oil_k: cooled(state.axle_oil_k, car.parked_oil),
            pack_k: cooled(state.pack_k, car.parked_pack),
            tyre_k: cooled(state.tyre_k, car.parked_tyre),
            cabin_j: L::select(stands, car.parked_cabin_j, state.cabin_j),
            trip_m: L::select(stands, zero, trip_m),
            ..state
        },
        ..step
    }
}

/// What the terminals really give.
#[derive(Clone, Copy)]
struct Terminals<L> {
    current_a: L,
    terminal_w: L,
    ancillaries_w: L,
}

impl<L: Lane> Terminals<L> {
    /// All that is asked for; where standing loads alone are more than the pack's `E²/4R`, no more than
    /// that, and the loads get what is left.
    #[inline(always)]
    fn new(now: &StepConditions<L>, e: &ElectricPower<L>) -> Self {
        let asked = Terminals {
            current_a: e.current_a,
            terminal_w: e.terminal_w,
            ancillaries_w: now.ancillaries_w,
        };
        let beyond = e.square_v2.lt(L::splat(0.0));
        if !L::any(beyond) {
            return asked;
        }
        let most_a = L::splat(0.5) * now.open_circuit_v / now.resistance_ohm;
        let most_w = L::splat(0.5) * now.open_circuit_v * most_a;
        let left_w = now.ancillaries_w - (e.terminal_w - most_w);
        Terminals {
            current_a: L::select(beyond, most_a, asked.current_a),
            terminal_w: L::select(beyond, most_w, asked.terminal_w),
            ancillaries_w: L::select(beyond, left_w, asked.ancillaries_w),
        }
    }
}

/// What heat leaves of the torque in a step.
#[derive(Clone, Copy)]
struct HeatRoom<L> {
    /// By how much the loss may be above the continuous one, relative: as much as brings the used heat to 1 at the end of
    /// the step, and no more.
    over: L,
    /// 1 where that may bind, 0 where the motor is too cold for it.
    warm: L,
    /// Whether it may bind in any lane.
    any: bool,
}

impl<L: Lane> HeatRoom<L> {
    /// With a loss of `q` times the continuous one used heat ends at `q + (u - q) d`, so `q - 1` may be up to
    /// `d (1 - u) / (1 - d)`.
    #[inline(always)]
    fn new(car: &View<'_, L>, state: &State<L>, dt: L) -> Self {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let warm = L::splat(EASED_FROM).lt(state.heat_used.max(state.long_heat_used));
        if !L::any(warm) {
            return HeatRoom { over: zero, warm: zero, any: false };
        }
        let room = |used: L, per_time: L| {
            let decay = decay(per_time * dt);
            decay * (one - used) / (one - decay).max(L::splat(TINY))
        };
        let short = (one + room(state.heat_used, car.per_heat_time)) / car.short_heat_share - one;
        let over = if car.uses.long_heat {
            let long = room(state.long_heat_used, car.per_long_time);
            L::select(zero.lt(car.per_long_time), short.min(long), short)
        } else {
            short
        };
        HeatRoom { over: over.max(zero), warm: L::select(warm, one, zero), any: true }
    }

    /// Share of the way from continuous to peak torque squared that is left: losses grow with torque squared.
    #[inline(always)]
    fn share(&self, car: &View<'_, L>, motor_radps: L, peak_nm: L, per_continuous_w: L) -> L {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let peak_w = loss(car, motor_radps, peak_nm).value * car.losses_scale;
        let peak_over = (peak_w * per_continuous_w - one).max(L::splat(TINY));
        L::select(zero.lt(self.warm), (self.over / peak_over).min(one), one)
    }
}

/// Temperature of the tyres after the step: on its way to what it tends to at this speed.
#[inline(always)]
fn tyre_after<L: Lane>(car: &View<'_, L>, tyre_k: L, motion: &Motion<L>) -> L {
    let end_k = car.air_k + tyre_rise_k(car.tyre_rise_k, motion.mean_mps.max(L::splat(0.0)));
    end_k + (tyre_k - end_k) * decay(motion.duration_s * L::splat(1.0 / TYRE_TIME_CONSTANT_S))
}

/// `e^(-x)` as the fraction `(1 - x/3) / (1 + 2x/3 + x²/6)`, good to 2e-5 for a step of a tenth of the time constant.
#[inline(always)]
fn decay<L: Lane>(x: L) -> L {
    let one = L::splat(1.0);
    (one - x * L::splat(1.0 / 3.0)) / (one + x * L::splat(2.0 / 3.0) + x * x * L::splat(1.0 / 6.0))
}

/// Used heat after the step: `q + (u - q) e^(-x)` with `x = dt/τ`, the exponential as the fraction
/// `(1 - x/3) / (1 + 2x/3 + x²/6)`, good to 2e-5 for a step of a tenth of the time constant.
#[inline(always)]
fn heat_after<L: Lane>(used: L, ratio: L, x: L) -> L {
    ratio + (used - ratio) * decay(x)
}

#[inline(always)]
fn energies<L: Lane>(
    car: &View<'_, L>,
    now: &StepConditions<L>,
    leg: &Leg,
    state: &State<L>,
    at: &SolvedMotion<L>,
    drawn: &Terminals<L>,
) -> Energies<L> {
    let zero = L::splat(0.0);
    let (start, end) = (state.speed_mps, at.motion.end_mps);
    let ds = at.motion.distance_m;
    let dt = at.motion.duration_s;
    let f = &at.forces;
    let e = &at.electric;
    let shaft_j = (at.torque_nm - at.rotor_nm) * at.motor_radps * dt;
    let offered_n = (-f.wanted_n).max(zero);
    Energies {
        air_j: f.air_n * ds,
        rolling_j: f.rolling_n * ds,
        linear_j: f.linear_n * ds,
        climbing_j: car.weight_n * L::splat(leg.sin) * ds,
        kinetic_j: L::splat(0.5) * car.effective_mass_kg * (end * end - start * start),
        brake_drag_j: f.brake_drag_n * ds,
        driveline_j: shaft_j - at.driven_n * ds,
        motor_j: e.motor_loss_w * dt,
        inverter_j: e.inverter_loss_w * dt,
        dcdc_j: car.dcdc_w * dt,
        pack_j: drawn.current_a * drawn.current_a * now.resistance_ohm * dt,
        ancillaries_j: drawn.ancillaries_w * dt,
        not_modelled_j: zero,
        friction_j: (at.driven_n - f.wanted_n) * ds,
        from_pack_j: now.open_circuit_v * drawn.current_a * dt,
        terminals_j: drawn.terminal_w * dt,
        braking_offer_j: offered_n * ds,
        taken_back_j: (-e.inverter_in_w).max(zero) * dt,
    }
}
