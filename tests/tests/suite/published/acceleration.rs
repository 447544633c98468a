//! Acceleration from rest: published motions against runs at full throttle; slowing down under a
//! constant force or by drag alone.

use std::sync::Arc;

use crownwheel::coastdown::{
    Coefficients, SpeedSpan, coast_distance_m, coast_time_s, mean_force_n,
};
use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel::grip::DrivenAxleSpec;
use crownwheel::pull::{FullThrottle, Throttle};
use crownwheel::spec::{CarSpec, Differential, DrivenAxle, MotorCurve};
use crownwheel::{Car, Day};
use crownwheel_testkit::checks::expected;

use crate::fixture::{Ideal, ideal, ideal_day};

pub(crate) const CHECKED: &[&str] =
    &["ACC-02", "ACC-03", "ACC-04", "ACC-05", "ACC-06", "ACC-08", "ACC-09", "ACC-10", "ACC-11"];

/// Steps of the runs, s: halving them moves the speeds by less than 1e-6 m/s.
const STEP_S: f64 = 0.005;

/// Mass of the published falling body, kg.
const MASS_KG: f64 = 68.1;

/// An ideal car that is pushed by a constant force, whatever its speed.
fn pushed(mass_kg: f64, force_n: f64, road_load: [f64; 3]) -> CarSpec {
    let mut spec = ideal(Ideal {
        mass_kg,
        turning_share: 0.0,
        road_load,
        efficiency_frac: 1.0,
        regen_share: 0.0,
    });
    // Force times radius over ratio; the ideal car has 0.3 m and 4.
    let torque_nm = force_n * 0.3 / 4.0;
    spec.motor.curve = Arc::new(MotorCurve {
        peak_torque_nm: vec![torque_nm; 2],
        continuous_torque_nm: vec![torque_nm; 2],
        ..(*spec.motor.curve).clone()
    });
    spec
}

/// Calls `look` with the car at half charge, where its pack has 360 V to the last digit.
fn with_open_throttle<T>(spec: &CarSpec, look: impl FnOnce(&Throttle<'_>) -> T) -> T {
    let (car, day) = (Car::new(spec).unwrap(), Day::new(&ideal_day()).unwrap());
    look(&Throttle::new(&car, &day, 0.5))
}

/// Speeds, m/s, at some times, s, of the published falling body under a constant force, and in the
/// end.
fn speeds_mps(force_n: f64, road_load: [f64; 3], times_s: &[u32]) -> (Vec<f64>, f64) {
    with_open_throttle(&pushed(MASS_KG, force_n, road_load), |throttle| {
        let run = throttle.run(STEP_S);
        let at = |seconds: &u32| {
            let found = run.points.iter().find(|p| (p.time_s - f64::from(*seconds)).abs() < 1e-6);
            found.expect("the run lasts so long").speed_mps
        };
        (times_s.iter().map(at).collect(), throttle.top_speed().0)
    })
}

/// Time, s, and distance, m, to a speed in a run by steps. Within a step both are read as a run's own
/// answers are.
fn reached(run: &FullThrottle, speed_mps: f64) -> (f64, f64) {
    let time_s = run.time_to_s(speed_mps).unwrap();
    let pair = run.points.windows(2).find(|pair| pair[1].time_s >= time_s).unwrap();
    let into_s = time_s - pair[0].time_s;
    (time_s, pair[0].distance_m + 0.5 * (pair[0].speed_mps + speed_mps) * into_s)
}

/// The same with steps of 0.2 ms, and what steps of twice that say of the part that is left: a method
/// of second order leaves a third of their difference.
fn reached_to_nine_digits(spec: &CarSpec, speed_mps: f64) -> (f64, f64) {
    with_open_throttle(spec, |throttle| {
        let [coarse, fine] =
            [4e-4, 2e-4].map(|step_s| reached(&throttle.run_to(step_s, speed_mps), speed_mps));
        let better = |coarse: f64, fine: f64| fine + (fine - coarse) / 3.0;
        (better(coarse.0, fine.0), better(coarse.1, fine.1))
    })
}

/// Source: Ehsani et al., Modern Electric, Hybrid Electric and Fuel Cell Vehicles, ch. 4 (from
/// memory; derived): `t = m v_b/F + m (v² - v_b²)/2P`. The battery's current limits the power.
#[test]
fn acc_02_constant_force_then_constant_power() {
    let (mass_kg, power_w, base_mps) = (1500.0, 100e3, 40.0 / 3.6);
    let force_n = power_w / base_mps;
    expected("ACC-02", "F").check(force_n);
    let mut spec = pushed(mass_kg, force_n, [0.0; 3]);
    spec.inverter.max_battery_current_a = power_w / 360.0;
    expected("ACC-02", "t_base").check(reached_to_nine_digits(&spec, base_mps).0);
    let (time_s, distance_m) = reached_to_nine_digits(&spec, 100.0 / 3.6);
    expected("ACC-02", "t").check(time_s);
    expected("ACC-02", "s").check(distance_m);
}

/// Source: Chapra and Canale, Numerical Methods for Engineers, example 1.1 (falling body, drag
/// linear in speed): `v = g m/c (1 - e^(-c t/m))`.
#[test]
fn acc_03_constant_force_against_linear_drag() {
    let (speeds, last_mps) = speeds_mps(9.8 * MASS_KG, [0.0, 12.5, 0.0], &[2, 4, 6, 8, 10]);
    expected("ACC-03", "v_inf").check(last_mps);
    for (quantity, speed) in ["v2", "v4", "v6", "v8", "v10"].into_iter().zip(speeds) {
        expected("ACC-03", quantity).check(speed);
    }
}

/// Source: Chapra, Applied Numerical Methods, example 1.1 (drag with the square of speed, from
/// memory, recomputed): `v = v_inf tanh(g t / v_inf)`.
#[test]
fn acc_04_constant_force_against_square_drag() {
    let (speeds, last_mps) = speeds_mps(9.81 * MASS_KG, [0.0, 0.0, 0.25], &[2, 4, 6, 8, 10, 12]);
    expected("ACC-04", "v_inf").check(last_mps);
    for (quantity, speed) in ["v2", "v4", "v6", "v8", "v10", "v12"].into_iter().zip(speeds) {
        expected("ACC-04", quantity).check(speed);
    }
}

/// Source: own numbers; `t = m/√((F - f0) c) artanh(v/v_e)`, `s = -m/2c ln(1 - (v/v_e)²)`.
#[test]
fn acc_05_constant_force_against_rolling_and_drag() {
    let spec = pushed(1500.0, 4000.0, [150.0, 0.0, 0.38]);
    let (time_s, distance_m) = reached_to_nine_digits(&spec, 100.0 / 3.6);
    expected("ACC-05", "t").check(time_s);
    expected("ACC-05", "s").check(distance_m);
}

/// Source: Fox and McDonald, Introduction to Fluid Mechanics, example 9.7: a car of 1,600 lb slowed by
/// a drag parachute from 270 to 100 mph; in feet and slugs, which the formula does not mind.
#[test]
fn acc_06_slowed_by_drag_alone() {
    let feet_per_s = 5280.0 / 3600.0;
    let square = 0.5 * 0.00238 * 1.42 * 25.0;
    let load = Coefficients { f2_n_per_mps2: square, ..Coefficients::default() };
    let span = SpeedSpan { from_mps: 270.0 * feet_per_s, to_mps: 100.0 * feet_per_s };
    expected("ACC-06", "t").check(coast_time_s(&load, 1600.0 / 32.2, span).unwrap());
}

/// Time and distance to stop under a constant force, which is what a car that coasts against rolling
/// resistance alone does; and the deceleration that the time means.
fn stopped_by(force: f64, mass: f64, speed: f64) -> [f64; 3] {
    let load = Coefficients { f0_n: force, ..Coefficients::default() };
    let span = SpeedSpan { from_mps: speed, to_mps: 0.0 };
    let time = coast_time_s(&load, mass, span).unwrap();
    [mean_force_n(1.0, span, time), coast_distance_m(&load, mass, span).unwrap(), time]
}

/// Source: Gillespie, Fundamentals of Vehicle Dynamics, example 3-1; inputs also in public lecture
/// notes NMA380 (FEI), braking force. In feet and slugs.
#[test]
fn acc_10_stopping_in_us_units() {
    let found = stopped_by(2000.0, 3635.0 / 32.174, 88.0);
    for (quantity, found) in ["D", "SD", "t"].into_iter().zip(found) {
        expected("ACC-10", quantity).check(found);
    }
}

/// Source: the same notes.
#[test]
fn acc_11_stopping_in_metric() {
    let found = stopped_by(4000.0, 1145.0, 80.0 / 3.6);
    for (quantity, found) in ["D", "SD", "t"].into_iter().zip(found) {
        expected("ACC-11", quantity).check(found);
    }
}

/// Source: Jazar, Vehicle Dynamics: Theory and Application, chapter 2: 0 to 100 km/h limited by
/// traction, grip 1, wheelbase 2.272 m, height 0.22 m, mass centre in the middle, g 9.81 m/s².
#[test]
fn acc_08_limited_by_traction() {
    let seconds = |axle: DrivenAxle| {
        let mass_kg = 1000.0;
        let driven = DrivenAxleSpec {
            axle,
            differential: Differential::Locked,
            live_axle: false,
            static_load_n: 0.5 * mass_kg * 9.81,
            height_over_wheelbase: 0.22 / 2.272,
            rolling_radius_m: 0.3,
            track_m: 1.5,
            final_drive_ratio: 4.0,
            other_axle_roll_share: 0.5,
        };
        27.78 * mass_kg / driven.drive_limit_n(1.0)
    };
    expected("ACC-08", "t_fwd").check(seconds(DrivenAxle::Front));
    expected("ACC-08", "t_rwd").check(seconds(DrivenAxle::Rear));
    // Standard gravity would be 0.03 % quicker, inside nothing that the book prints.
    assert!((STANDARD_GRAVITY_MPS2 / 9.81 - 1.0).abs() < 1e-3);
}

/// Source: <https://www.wyzant.com/resources/answers/5249/forces_problem_please_help_asap>: 48 % of the
/// weight on the driven wheels, grip 0.60, g 9.8 m/s², no load that moves. That is a car whose mass lies
/// on the road; with the height of any real car rear drive pulls harder.
#[test]
fn acc_09_without_load_that_moves() {
    let mass_kg = 1000.0;
    let accel_mps2 = |height_over_wheelbase: f64| {
        let driven = DrivenAxleSpec {
            axle: DrivenAxle::Rear,
            differential: Differential::Locked,
            live_axle: false,
            static_load_n: 0.48 * mass_kg * 9.8,
            height_over_wheelbase,
            rolling_radius_m: 0.3,
            track_m: 1.5,
            final_drive_ratio: 4.0,
            other_axle_roll_share: 0.5,
        };
        driven.drive_limit_n(0.60) / mass_kg
    };
    expected("ACC-09", "a").check(accel_mps2(0.0));
    expected("ACC-09", "t").check(105.0 / 3.6 / accel_mps2(0.0));
    assert!(accel_mps2(0.22) > 1.1 * accel_mps2(0.0));
}
