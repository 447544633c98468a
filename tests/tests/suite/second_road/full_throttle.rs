//! Full throttle from rest by a differential equation over speed, `dt/dv = 1/a`, with charge, heat,
//! oil and pack carried along, against the library's steps of 0.02 s.

use std::sync::Arc;

use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::limit::Limit;
use crownwheel::pull::{FullThrottle, THROTTLE_STEP_S, Throttle};
use crownwheel::spec::{CarSpec, DaySpec, OpenCircuitTable};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use super::own::{Now, Oils, Own};
use super::solver::solve;
use crate::demo::DUNLIN;

/// Tolerance of the adaptive method.
const SOLVED: f64 = 1e-9;

/// State of charge at the start.
const CHARGE: f64 = 0.9;

/// Times and places on the way, from rest to some speeds, and what the car was like then.
#[derive(Clone, Copy, Debug)]
struct Reached {
    time_s: f64,
    distance_m: f64,
    now: Now,
}

/// Motor torque, tyre force and acceleration with the throttle open; slipping tyres hold them back.
fn opened(own: &Own, v: f64, now: &Now) -> (f64, f64, f64) {
    let torque_nm = own.open_throttle_nm(v, now);
    let accel = own.acceleration(v, torque_nm, now);
    let (force_n, _) = own.tyre(v, torque_nm, accel, now.oils);
    let grip_n = own.grip_n();
    if force_n <= grip_n {
        return (torque_nm, force_n, accel);
    }
    let accel = (grip_n - own.road.all_n(v, 0.0, now.tyre_k)) / own.rolling_kg();
    (own.torque_for(v, grip_n, accel, now.oils), grip_n, accel)
}

/// What changes, out of time, distance, charge, heat, oil of gearbox and axle, pack, tyres.
fn now(y: &[f64; 8]) -> Now {
    let oils = Oils { gearbox_k: y[4], axle_k: y[5] };
    Now { z: y[2], u: y[3], oils, pack_k: y[6], tyre_k: y[7] }
}

/// From rest to each speed, m/s, which must rise.
fn own_run(car: &Car, day: &Day, speeds_mps: &[f64]) -> Vec<Reached> {
    let own = Own::new(car, day);
    let cold = day.air().temperature_k;
    let slope = |v: f64, y: &[f64; 8]| {
        let now = now(y);
        let (torque_nm, force_n, accel) = opened(&own, v, &now);
        let rotor_nm = own.spec.motor.rotor_inertia_kgm2 * accel * own.ratio / own.radius_m;
        let all_w = (torque_nm - rotor_nm) * own.omega(v) - force_n * v;
        let (_, [gearbox_w, _]) = own.tyre(v, torque_nm, accel, now.oils);
        let geared_w = [gearbox_w, all_w - gearbox_w];
        let [z, u, gearbox, axle, tyre, pack] = own.changes(v, torque_nm, geared_w, &now);
        [1.0, v, z, u, gearbox, axle, pack, tyre].map(|per_second| per_second / accel)
    };
    // Whoever times a run has warmed the tyres.
    let mut state = [0.0, 0.0, CHARGE, 0.0, cold, cold, day.pack_temperature_k(), cold + 22.0];
    let mut from = 0.0;
    let reach = |to: &f64| {
        state = solve((from, *to), state, SOLVED, slope);
        from = *to;
        Reached { time_s: state[0], distance_m: state[1], now: now(&state) }
    };
    speeds_mps.iter().map(reach).collect()
}

/// Distance at a speed in a run by steps, m.
fn distance_m(run: &FullThrottle, speed_mps: f64) -> f64 {
    let pair = run.points.windows(2).find(|pair| pair[1].speed_mps >= speed_mps).unwrap();
    let (before, after) = (pair[0], pair[1]);
    let square = |v: f64| v * v;
    let share = (square(speed_mps) - square(before.speed_mps))
        / (square(after.speed_mps) - square(before.speed_mps));
    before.distance_m + share * (after.distance_m - before.distance_m)
}

/// Allowed relative differences of times and distances with the library's steps, and with steps of a
/// quarter of their length.
#[derive(Clone, Copy, Debug)]
struct Allowed {
    usual: f64,
    quarter: f64,
}

/// Tables a kelvin wide, of cold oil's drag and of resistance, are straight where the formulas bend:
/// they leave 1e-5 at any step.
const WITH_TABLES: Allowed = Allowed { usual: 2e-5, quarter: 1.5e-5 };

/// Without them the step is what is left. It takes charge, heat and temperatures at its start for all
/// of it, which is of first order.
const WITHOUT_TABLES: Allowed = Allowed { usual: 4e-6, quarter: 1e-6 };

/// Asserts that the time and the distance at which each speed is reached agree.
fn assert_same_run(car: &CarSpec, day: &DaySpec, speeds_kmh: &[f64], allowed: Allowed) {
    let (car, day) = (Car::new(car).unwrap(), Day::new(day).unwrap());
    let speeds_mps: Vec<f64> = speeds_kmh.iter().map(|kmh| kmh / 3.6).collect();
    let own = own_run(&car, &day, &speeds_mps);
    let throttle = Throttle::new(&car, &day, CHARGE);
    let steps = [(THROTTLE_STEP_S, allowed.usual), (0.25 * THROTTLE_STEP_S, allowed.quarter)];
    for (step_s, rel) in steps {
        let run = throttle.run(step_s);
        for (speed_mps, own) in speeds_mps.iter().zip(&own) {
            let name = format!("{:.0} km/h in steps of {step_s} s", speed_mps * 3.6);
            let time_s = run.time_to_s(*speed_mps).unwrap();
            assert_close!(time_s, own.time_s, abs = 0.0, rel = rel, "{name}");
            let distance_m = distance_m(&run, *speed_mps);
            assert_close!(distance_m, own.distance_m, abs = 0.0, rel = rel, "{name}");
        }
    }
    for reached in own {
        assert!(reached.now.z < CHARGE && reached.now.u > 0.0, "{reached:?}");
    }
}

#[test]
fn the_dunlin_takes_the_same_time() {
    let build = DUNLIN.build();
    assert_same_run(&build.car, &build.days[0], &[30.0, 50.0, 80.0, 100.0, 120.0], WITH_TABLES);
}

#[test]
fn the_saloon_of_the_library_takes_the_same_time() {
    assert_same_run(&small_saloon(), &mild_day(), &[50.0, 80.0, 100.0, 120.0], WITH_TABLES);
}

/// Cold oil, a cold pack that sags, wind from all round.
#[test]
fn a_winter_s_day_takes_the_same_time() {
    let day = DaySpec { road: mild_day().road, ..winter_day() };
    assert_same_run(&small_saloon(), &day, &[50.0, 80.0, 100.0], WITH_TABLES);
}

/// A cell whose voltage is a straight line, resistance and oil that do not care for temperature.
#[test]
fn without_tables_only_the_step_is_left() {
    let mut car = small_saloon();
    car.pack.resistance_b_k = 0.0;
    car.driveline.oil_viscosity_exponent = 0.0;
    let (charge_frac, voltage_v) = (vec![0.0, 1.0], vec![3.0, 4.2]);
    car.pack.open_circuit = Arc::new(OpenCircuitTable { charge_frac, voltage_v });
    assert_same_run(&car, &mild_day(), &[50.0, 80.0, 100.0, 120.0], WITHOUT_TABLES);
}

/// A motor that eases off from 0.95 of used heat follows a heat that is a step old: of first order.
const EASING: Allowed = Allowed { usual: 8e-4, quarter: 2e-4 };

/// Limits that the runs above do not meet: tyres that slip, currents that are too low for the motor, a
/// motor that is hot after a few seconds.
#[test]
fn each_limit_takes_the_same_time() {
    let mut slips = small_saloon();
    slips.tyres.grip_dry = 0.35;
    let mut starved = small_saloon();
    starved.inverter.max_battery_current_a = 250.0;
    let mut cells = small_saloon();
    cells.pack.max_discharge_per_h = 1.5;
    let mut hot = small_saloon();
    hot.motor.peak_seconds = Some(5.0);
    let cases = [
        (slips, Limit::Grip, WITH_TABLES),
        (starved, Limit::BatteryCurrent, WITH_TABLES),
        (cells, Limit::BatteryCurrent, WITH_TABLES),
        (hot, Limit::Heat, EASING),
    ];
    for (car, limit, allowed) in cases {
        let (laid_out, day) = (Car::new(&car).unwrap(), Day::new(&mild_day()).unwrap());
        let run = Throttle::new(&laid_out, &day, CHARGE).run_to(THROTTLE_STEP_S, 80.0 / 3.6);
        let bound = run.points.iter().filter(|point| point.limit == limit).count();
        assert!(bound > 50, "{limit:?} bound in {bound} steps");
        assert_same_run(&car, &mild_day(), &[30.0, 50.0, 60.0, 80.0], allowed);
    }
}
