//! The step against motion and discharge that can be written down.
//!
//! All with the ideal car, so that nothing else is in the way. Where the step is an approximation,
//! the test also halves it: the error must fall at the order of the method.

use std::sync::Arc;

use crownwheel::car::Car;
use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel::cycle::Cycle;
use crownwheel::day::Day;
use crownwheel::drive::{Driver, Pass, drive, start_state};
use crownwheel::limit::Limit;
use crownwheel::pack::Source;
use crownwheel::spec::{CarSpec, MotorCurve, OpenCircuitTable};
use crownwheel_testkit::assert_close;
use crownwheel_testkit::tolerance::order_by_halving;

use crate::fixture::{Ideal, ideal, ideal_day};
use crate::run::{run, trace};

const MASS_KG: f64 = 1000.0;
const HALF: Option<f64> = Some(0.5);

/// A car of one tonne without turning mass.
fn car(road_load: [f64; 3]) -> CarSpec {
    ideal(Ideal {
        mass_kg: MASS_KG,
        turning_share: 0.0,
        road_load,
        efficiency_frac: 1.0,
        regen_share: 1.0,
    })
}

/// The driver asks for 90 m/s at once and keeps asking.
fn flat_out(start_mps: f64, seconds: f64) -> Cycle {
    trace(&[(0.0, start_mps), (1.0, 90.0), (seconds, 90.0)], 0.0)
}

/// The same motor with another peak torque, N m, at all speeds.
fn with_torque(mut car: CarSpec, torque_nm: f64) -> CarSpec {
    car.motor.curve = Arc::new(MotorCurve {
        speed_radps: vec![0.0, car.motor.max_speed_radps],
        peak_torque_nm: vec![torque_nm; 2],
        continuous_torque_nm: vec![torque_nm; 2],
    });
    car
}

/// Speed at the end of a cycle with legs of `1 / parts` s, m/s.
fn end_mps(car: &CarSpec, cycle: &Cycle, parts: u32) -> f64 {
    run(car, &ideal_day(), &cycle.refined(parts), HALF).end.speed_mps
}

/// `W = (f0 + f1 v + f2 v²) d`, up and down a slope of `m g sin θ` beside.
#[test]
fn steady_speed_takes_force_times_distance() {
    let (speed_mps, seconds, sin): (f64, f64, f64) = (22.0, 60.0, 0.03);
    let rest_n = 1.5 * speed_mps + 0.42 * speed_mps * speed_mps;
    let climb_n = MASS_KG * STANDARD_GRAVITY_MPS2 * sin;
    for (slope_sin, slope_n) in [(0.0, 0.0), (sin, climb_n), (-sin, -climb_n)] {
        let cycle = trace(&[(0.0, speed_mps), (seconds, speed_mps)], slope_sin);
        let run = run(&car([120.0, 1.5, 0.42]), &ideal_day(), &cycle, HALF);
        // The constant part is rolling resistance: it grows with the load across the road.
        let rolling_n = 120.0 * (1.0 - slope_sin * slope_sin).sqrt();
        let exact_j = (rolling_n + rest_n + slope_n) * speed_mps * seconds;
        assert_close!(run.balance.sum.from_pack_j, exact_j, abs = 0.0, rel = 1e-11, "{slope_sin}");
    }
}

/// `I = 2P / (E + √(E² - 4RP))`, so the pack gives `E I t` for `P t` at its terminals.
#[test]
fn steady_speed_through_a_resistance() {
    let mut car = car([500.0, 0.0, 0.0]);
    car.pack.harness_resistance_ohm = 0.4;
    let (speed_mps, seconds) = (30.0, 60.0);
    let cycle = trace(&[(0.0, speed_mps), (seconds, speed_mps)], 0.0);
    let run = run(&car, &ideal_day(), &cycle, HALF);
    let source = Source { open_circuit_v: 360.0, resistance_ohm: 0.4 };
    let current_a = source.current_a(500.0 * speed_mps).unwrap();
    let sum = &run.balance.sum;
    assert_close!(sum.from_pack_j, 360.0 * current_a * seconds, abs = 0.0, rel = 1e-9);
    assert_close!(sum.pack_j, 0.4 * current_a * current_a * seconds, abs = 0.0, rel = 1e-9);
}

/// Constant power on the flat without resistance: `v² = v0² + 2 P t / m`, whatever the step.
#[test]
fn constant_power_from_a_battery_current() {
    let (start_mps, current_a, seconds) = (5.0, 100.0, 40.0);
    let mut car = car([0.0, 0.0, 0.0]);
    car.inverter.max_battery_current_a = current_a;
    let power_w = 360.0 * current_a;
    let exact_mps = (start_mps * start_mps + 2.0 * power_w * seconds / MASS_KG).sqrt();
    for parts in [1, 4] {
        let found_mps = end_mps(&car, &flat_out(start_mps, seconds), parts);
        assert_close!(found_mps, exact_mps, abs = 0.0, rel = 1e-9, "{parts} parts");
    }
}

/// Constant force against drag: `v = v_e tanh(t F / (m v_e))` with `v_e = √(F / f2)`.
#[test]
fn constant_torque_against_drag() {
    let (torque_nm, seconds) = (150.0, 25.0);
    let car = with_torque(car([0.0, 0.0, 0.8]), torque_nm);
    let force_n: f64 = torque_nm * 4.0 / 0.3;
    let end_of_all_mps = (force_n / 0.8).sqrt();
    let exact_mps = end_of_all_mps * (seconds * force_n / (MASS_KG * end_of_all_mps)).tanh();
    second_order(&car, &flat_out(0.0, seconds), exact_mps);
}

/// Coasting down: `v = k tan(atan(v0 / k) - t √(f0 f2) / m)` with `k = √(f0 / f2)`.
#[test]
fn coasting_down() {
    let (start_mps, seconds): (f64, f64) = (30.0, 60.0);
    let (f0, f2): (f64, f64) = (150.0, 0.5);
    // A motor of next to no torque: the driver wants to keep the speed and cannot.
    let car = with_torque(car([f0, 0.0, f2]), 1e-9);
    let cycle = trace(&[(0.0, start_mps), (seconds, start_mps)], 0.0);
    let k_mps = (f0 / f2).sqrt();
    let exact_mps =
        k_mps * ((start_mps / k_mps).atan() - seconds * (f0 * f2).sqrt() / MASS_KG).tan();
    second_order(&car, &cycle, exact_mps);
}

/// The speed at the end is right to 0.02 % with legs of 1 s, and four times better with half.
fn second_order(car: &CarSpec, cycle: &Cycle, exact_mps: f64) {
    let error_mps = |parts| end_mps(car, cycle, parts) - exact_mps;
    let (coarse, fine) = (error_mps(1), error_mps(2));
    assert_close!(coarse, 0.0, abs = 2e-4 * exact_mps, rel = 0.0, "legs of one second");
    assert_close!(order_by_halving(coarse, fine), 2.0, abs = 0.2, rel = 0.0, "{coarse} {fine}");
}

/// Which limit bound the first leg of a cycle.
fn first_limit(car: &CarSpec, cycle: &Cycle) -> Limit {
    let (car, day) = (Car::new(car).unwrap(), Day::new(&ideal_day()).unwrap());
    let mut state = start_state(&car, &day, cycle);
    state.charge_frac = 0.5;
    let mut limit = None;
    let mut driver = Driver::new(&car, &day);
    let _ = drive(&mut driver, cycle, &mut state, |driven| {
        limit = Some(Limit::from_code(driven.step.limit));
        false
    });
    limit.unwrap()
}

/// The limits of the tests above are the ones that they mean to bind.
#[test]
fn the_named_limit_is_the_one_that_binds() {
    let mut by_current = car([0.0, 0.0, 0.0]);
    by_current.inverter.max_battery_current_a = 100.0;
    assert_eq!(first_limit(&by_current, &flat_out(5.0, 10.0)), Limit::BatteryCurrent);
    let by_torque = with_torque(car([0.0, 0.0, 0.8]), 150.0);
    assert_eq!(first_limit(&by_torque, &flat_out(0.0, 10.0)), Limit::MotorTorque);
    let mut by_grip = car([0.0, 0.0, 0.0]);
    by_grip.tyres.grip_dry = 0.3;
    assert_eq!(first_limit(&by_grip, &flat_out(0.0, 10.0)), Limit::Grip);
    let mut by_speed = car([0.0, 0.0, 0.0]);
    by_speed.motor.max_speed_radps = 400.0;
    assert_eq!(first_limit(&by_speed, &trace(&[(0.0, 30.0), (5.0, 31.0)], 0.0)), Limit::MotorSpeed);
    let free = car([0.0, 0.0, 0.0]);
    assert_eq!(first_limit(&free, &trace(&[(0.0, 30.0), (5.0, 31.0)], 0.0)), Limit::None);
}

/// Grip on a rear-driven axle: `a = μ g (l_f / L) / (1 - μ h / L)`, and the car gains just that.
#[test]
fn grip_gives_the_acceleration_of_statics() {
    let mut car = car([0.0, 0.0, 0.0]);
    car.tyres.grip_dry = 0.3;
    let (seconds, height_over_wheelbase) = (5.0, 0.52 / 2.32);
    let accel_mps2 = 0.3 * STANDARD_GRAVITY_MPS2 * 0.5 / (1.0 - 0.3 * height_over_wheelbase);
    let found_mps = end_mps(&car, &flat_out(0.0, seconds), 1);
    assert_close!(found_mps, accel_mps2 * seconds, abs = 0.0, rel = 1e-6);
}

/// Time, s, to discharge from `from` to `to` at constant power behind a resistance, the voltage at
/// rest being a straight line `E = e0 + e1 z`:
/// `t = Q/e1 ∫ dE / I(E)`, with `1/I = (E + √(E² - 4RP)) / 2P`.
fn discharge_s(source: &LinearPack, power_w: f64, from: f64, to: f64) -> f64 {
    let LinearPack { e0_v, e1_v, resistance_ohm, capacity_c } = *source;
    let four_rp = 4.0 * resistance_ohm * power_w;
    let primitive = |z: f64| {
        let e = e0_v + e1_v * z;
        let root = (e * e - four_rp).sqrt();
        (e * e + e * root - four_rp * (e + root).ln()) / (4.0 * power_w)
    };
    capacity_c / e1_v * (primitive(from) - primitive(to))
}

/// A pack whose voltage at rest is a straight line.
struct LinearPack {
    e0_v: f64,
    e1_v: f64,
    resistance_ohm: f64,
    capacity_c: f64,
}

/// Constant-power discharge: time from 90 % to 30 %, at a steady speed against a constant force.
#[test]
fn constant_power_discharge() {
    let pack = LinearPack { e0_v: 300.0, e1_v: 80.0, resistance_ohm: 0.2, capacity_c: 36_000.0 };
    let (force_n, speed_mps) = (1200.0, 25.0);
    let mut car = car([force_n, 0.0, 0.0]);
    car.pack.open_circuit = Arc::new(OpenCircuitTable {
        charge_frac: vec![0.0, 1.0],
        voltage_v: vec![pack.e0_v / 100.0, (pack.e0_v + pack.e1_v) / 100.0],
    });
    car.pack.harness_resistance_ohm = pack.resistance_ohm;
    car.pack.cell_capacity_c = pack.capacity_c;
    let exact_s = discharge_s(&pack, force_n * speed_mps, 0.9, 0.3);
    let found_s = |parts: u32| {
        let cycle = trace(&[(0.0, speed_mps), (600.0, speed_mps)], 0.0).refined(parts);
        seconds_between(&car, &cycle, 0.9, 0.3)
    };
    let (coarse, fine) = (found_s(1) - exact_s, found_s(2) - exact_s);
    // The charge at the start of a leg stands for all of it: first order, and small.
    assert_close!(coarse, 0.0, abs = 5e-4 * exact_s, rel = 0.0, "of {exact_s} s");
    assert_close!(order_by_halving(coarse, fine), 1.0, abs = 0.1, rel = 0.0, "{coarse} {fine}");
}

/// Seconds of a cycle driven between two states of charge, the last leg counted in part.
fn seconds_between(car: &CarSpec, cycle: &Cycle, from: f64, to: f64) -> f64 {
    let (car, day) = (Car::new(car).unwrap(), Day::new(&ideal_day()).unwrap());
    let mut state = start_state(&car, &day, cycle);
    state.charge_frac = from;
    let mut driver = Driver::new(&car, &day);
    let mut seconds = 0.0;
    let pass = drive(&mut driver, cycle, &mut state, |driven| {
        let (before, after) = (driven.before.charge_frac, driven.step.state.charge_frac);
        let share = ((before - to) / (before - after)).min(1.0);
        seconds += share * driven.step.duration_s;
        after > to
    });
    assert_eq!(pass, Pass::Stopped, "the cycle is long enough");
    seconds
}
