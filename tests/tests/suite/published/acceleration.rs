//! Acceleration from rest: published motions against runs at full throttle.

use std::sync::Arc;

use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel::grip::DrivenAxleSpec;
use crownwheel::pull::Throttle;
use crownwheel::spec::{Differential, DrivenAxle, MotorCurve};
use crownwheel::{Car, Day};
use crownwheel_testkit::checks::expected;

use crate::fixture::{Ideal, ideal, ideal_day};

pub(crate) const CHECKED: &[&str] = &["ACC-03", "ACC-04", "ACC-08"];

/// Steps of the runs, s: halving them moves the speeds by less than 1e-6 m/s.
const STEP_S: f64 = 0.005;

/// Mass of the published falling body, kg.
const MASS_KG: f64 = 68.1;

/// Speeds, m/s, at some times, s, of an ideal car of that mass under a constant force.
fn speeds_mps(force_n: f64, road_load: [f64; 3], times_s: &[u32]) -> Vec<f64> {
    let mut spec = ideal(Ideal {
        mass_kg: MASS_KG,
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
    let (car, day) = (Car::new(&spec).unwrap(), Day::new(&ideal_day()).unwrap());
    let run = Throttle::new(&car, &day, 0.9).run(STEP_S);
    let at = |seconds: &u32| {
        let found = run.points.iter().find(|p| (p.time_s - f64::from(*seconds)).abs() < 1e-6);
        found.expect("the run lasts so long").speed_mps
    };
    times_s.iter().map(at).collect()
}

/// Source: Chapra and Canale, Numerical Methods for Engineers, example 1.1 (falling body, drag
/// linear in speed): `v = g m/c (1 - e^(-c t/m))`.
#[test]
fn acc_03_constant_force_against_linear_drag() {
    let speeds = speeds_mps(9.8 * MASS_KG, [0.0, 12.5, 0.0], &[2, 4, 6, 8, 10]);
    for (quantity, speed) in ["v2", "v4", "v6", "v8", "v10"].into_iter().zip(speeds) {
        expected("ACC-03", quantity).check(speed);
    }
}

/// Source: Chapra, Applied Numerical Methods, example 1.1 (drag with the square of speed, from
/// memory, recomputed): `v = v_inf tanh(g t / v_inf)`.
#[test]
fn acc_04_constant_force_against_square_drag() {
    let speeds = speeds_mps(9.81 * MASS_KG, [0.0, 0.0, 0.25], &[2, 4, 6, 8, 10, 12]);
    for (quantity, speed) in ["v2", "v4", "v6", "v8", "v10", "v12"].into_iter().zip(speeds) {
        expected("ACC-04", quantity).check(speed);
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
