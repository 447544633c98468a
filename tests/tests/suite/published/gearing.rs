//! Speeds through gears, tractive effort, hills.

use std::f64::consts::PI;

use crownwheel::driveline::{Gearing, Inertia, effective_mass_kg};
use crownwheel::road_load::{AirStream, Slope, gradient_n, rolling_n};
use crownwheel::spec::TyreMark;
use crownwheel::tyre::overall_diameter_m;
use crownwheel_testkit::checks::expected;

pub(crate) const CHECKED: &[&str] = &[
    "GEA-01", "GEA-02", "GEA-03", "GEA-04", "GEA-05", "GEA-06", "GEA-07", "GEA-08", "GEA-09",
    "GEA-10", "GEA-11",
];

const RADPS_PER_RPM: f64 = PI / 30.0;
const LEVEL_GRADE: f64 = 0.0;

/// Road speed, km/h, of a shaft speed, rad/s.
fn road_speed_kmh(shaft_radps: f64, overall_ratio: f64, radius_m: f64) -> f64 {
    shaft_radps / Gearing { overall_ratio, efficiency: 1.0, radius_m }.motor_speed_radps(1.0) * 3.6
}

/// Effective mass, kg, where a book gives the turning parts as a share of the mass.
fn with_turning_share_kg(mass_kg: f64, share: f64) -> f64 {
    let inertia = Inertia { wheels_kgm2: share * mass_kg, rotor_kgm2: 0.0, overall_ratio: 1.0 };
    effective_mass_kg(mass_kg, inertia, 1.0)
}

/// Half of the overall diameter of 185/60R14, m.
fn radius_185_60_r14_m() -> f64 {
    let mark = TyreMark {
        section_width_m: 0.185,
        aspect_frac: 0.60,
        rim_diameter_m: 14.0 * 0.0254,
        radial: true,
        load_index: None,
        speed_symbol: None,
    };
    overall_diameter_m(&mark) / 2.0
}

/// Source: public lecture notes NMA380 (FEI), power-limit exercise 1, printed program output.
#[test]
fn gea_01_third_gear() {
    let (ratio, radius_m) = (1.46 * 3.944, radius_185_60_r14_m());
    expected("GEA-01", "v").check(road_speed_kmh(3200.0 * RADPS_PER_RPM, ratio, radius_m));
    expected("GEA-01", "F").check(
        Gearing { overall_ratio: ratio, efficiency: 0.96, radius_m }.tractive_effort_n(174.0),
    );
}

/// Source: the same gearbox.
#[test]
fn gea_02_speed_per_thousand_turns() {
    let gears = [("g1", 3.78), ("g2", 2.12), ("g3", 1.46), ("g4", 1.03), ("g5", 0.84)];
    for (name, gear) in gears {
        let kmh = road_speed_kmh(1000.0 * RADPS_PER_RPM, gear * 3.944, radius_185_60_r14_m());
        expected("GEA-02", name).check(kmh);
    }
}

/// Source: quiz with answers, Electric Vehicles part 1 (IIT Delhi), week 4,
/// <https://progiez.com/nptel-electric-vehicles-week-4-assignment-4-answers>. Rolling resistance is
/// left out on the slope.
#[test]
fn gea_03_torque_to_grade_and_acceleration() {
    let pull_n =
        Gearing { overall_ratio: 15.0, efficiency: 1.0, radius_m: 1.0 }.tractive_effort_n(200.0);
    expected("GEA-03", "F").check(pull_n);
    let mass_kg = pull_n / gradient_n(9.8, Slope::from_grade(0.25));
    expected("GEA-03", "m").check(mass_kg);
    let rolling_n = rolling_n(0.01, mass_kg * 9.8, Slope::from_grade(LEVEL_GRADE));
    expected("GEA-03", "a").check((pull_n - rolling_n) / with_turning_share_kg(mass_kg, 0.05));
    expected("GEA-03", "P").check(200.0 * 5639.0 * RADPS_PER_RPM / 1e3);
}

/// Source: the same quiz; its printed answers round the acceleration to 2.22 m/s².
#[test]
fn gea_04_end_of_a_linear_start() {
    let (mass_kg, top_mps) = (1200.0, 80.0 / 3.6);
    let force_n = |speed_mps: f64| {
        with_turning_share_kg(mass_kg, 0.06) * top_mps / 10.0
            + rolling_n(0.02, mass_kg * 10.0, Slope::from_grade(LEVEL_GRADE))
            + AirStream { density_kgpm3: 1.25, speed_mps, headwind_mps: 0.0 }.drag_n(0.25 * 2.0)
    };
    expected("GEA-04", "F10").check(force_n(top_mps));
    expected("GEA-04", "F5").check(force_n(top_mps / 2.0));
    let power_kw = force_n(top_mps) * top_mps / 1e3;
    expected("GEA-04", "P_wheel").check(power_kw);
    // The gear takes 0.9 of the torque: what the motor must give for one newton at the wheel.
    let torque_nm = force_n(top_mps)
        / Gearing { overall_ratio: 8.0, efficiency: 0.9, radius_m: 0.3 }.tractive_effort_n(1.0);
    let motor_kw = torque_nm
        * Gearing { overall_ratio: 8.0, efficiency: 1.0, radius_m: 0.3 }.motor_speed_radps(top_mps)
        / 1e3;
    expected("GEA-04", "P_motor").check(motor_kw);
}

/// Source: the same course, week 3,
/// <https://progiez.com/nptel-electric-vehicles-week-3-assignment-3-answers>.
#[test]
fn gea_05_speeds_and_force() {
    expected("GEA-05", "v").check(road_speed_kmh(900.0, 5.0, 0.15));
    expected("GEA-05", "omega").check(
        Gearing { overall_ratio: 10.0, efficiency: 1.0, radius_m: 0.1 }
            .motor_speed_radps(72.0 / 3.6),
    );
    // Power over speed, whatever the gear: 4 kW at 180 km/h.
    let shaft_radps = Gearing { overall_ratio: 7.0, efficiency: 1.0, radius_m: 0.31 }
        .motor_speed_radps(180.0 / 3.6);
    expected("GEA-05", "F").check(
        Gearing { overall_ratio: 7.0, efficiency: 1.0, radius_m: 0.31 }
            .tractive_effort_n(4000.0 / shaft_radps),
    );
}

/// Source: <https://www.scribd.com/doc/250720312/Vehicle-Cal>, in pounds and inches.
#[test]
fn gea_06_gradeability() {
    let pull_lbf =
        Gearing { overall_ratio: 12.0, efficiency: 1.0, radius_m: 15.0 }.tractive_effort_n(1000.0);
    let rolling_lbf = rolling_n(0.015, 10_000.0, Slope::from_grade(LEVEL_GRADE));
    // The rule takes the grade for its sine.
    let slope = Slope::from_sin((pull_lbf - rolling_lbf) / 10_000.0);
    expected("GEA-06", "G").check(slope.sin() * 100.0);
}

/// Source: Theraja and Theraja, Electrical Technology vol. III, example 43.5; the book prints 82.
#[test]
fn gea_07_limit_by_armature_speed() {
    let kmh = road_speed_kmh(44.0 / 0.21, 75.0 / 18.0, 0.91 / 2.0);
    expected("GEA-07", "v").check(kmh);
}

/// Source: Theraja vol. III, example 43.6 (the book prints 7181 N m).
#[test]
fn gea_08_start_of_a_train_on_a_slope() {
    let (mass_kg, accel_mps2) = (250e3, 42.0 / 20.0 / 3.6);
    let force_n = with_turning_share_kg(mass_kg, 0.1) * accel_mps2
        + gradient_n(mass_kg * 9.81, Slope::from_sin(1.0 / 80.0))
        + 250.0 * 40.0;
    let per_newton_metre = 4.0
        * Gearing { overall_ratio: 3.5, efficiency: 0.92, radius_m: 0.46 }.tractive_effort_n(1.0);
    expected("GEA-08", "T").check(force_n / per_newton_metre);
}

/// Acceleration, m/s², of a train: pull less gradient and resistance, over effective mass.
///
/// Railways give the grade as rise over length of the track.
fn train_accel_mps2(pull_n: f64, mass_t: f64, grade_sin: f64, resistance_n_per_t: f64) -> f64 {
    let mass_kg = mass_t * 1e3;
    let climb_n = gradient_n(mass_kg * 9.81, Slope::from_sin(grade_sin));
    (pull_n - climb_n - mass_t * resistance_n_per_t) / with_turning_share_kg(mass_kg, 0.1)
}

/// Source: Theraja vol. III, example 43.7 (the book prints 44.3 s).
#[test]
fn gea_09_time_to_speed_and_current() {
    let pull_n = 4.0
        * Gearing { overall_ratio: 3.5, efficiency: 0.90, radius_m: 0.45 }
            .tractive_effort_n(8000.0);
    let top_mps = 80.0 / 3.6;
    expected("GEA-09", "t").check(top_mps / train_accel_mps2(pull_n, 250.0, 0.03, 50.0));
    expected("GEA-09", "I").check(pull_n * top_mps / 0.85 / 3000.0 / 4.0);
}

/// Source: Dubey, Fundamentals of Electrical Drives, example 10.2 (the book prints 32.6 s).
#[test]
fn gea_10_time_to_speed_on_a_grade() {
    let pull_n = 4.0
        * Gearing { overall_ratio: 4.0, efficiency: 0.98, radius_m: 0.54 }
            .tractive_effort_n(5000.0);
    let accel_mps2 = train_accel_mps2(pull_n, 100.0, 0.05, 25.0);
    expected("GEA-10", "t").check(100.0 / 3.6 / accel_mps2);
}

/// Source: own numbers, `½ρC_dA v³ + C_rr m g v = η P`.
#[test]
fn gea_11_top_speed_and_its_ratio() {
    let weight_n = 1500.0 * 9.81;
    let against_w = |speed_mps: f64| {
        let rolling_n = rolling_n(0.010, weight_n, Slope::from_grade(LEVEL_GRADE));
        speed_mps
            * (AirStream { density_kgpm3: 1.2, speed_mps, headwind_mps: 0.0 }.drag_n(0.62)
                + rolling_n)
    };
    let (mut low_mps, mut high_mps) = (0.0, 200.0);
    for _ in 0..100 {
        let middle_mps = 0.5 * (low_mps + high_mps);
        if against_w(middle_mps) < 0.95 * 80e3 {
            low_mps = middle_mps
        } else {
            high_mps = middle_mps
        }
    }
    expected("GEA-11", "v_max").check(low_mps * 3.6);
    let ratio = 8000.0 * RADPS_PER_RPM
        / Gearing { overall_ratio: 1.0, efficiency: 1.0, radius_m: 0.31 }
            .motor_speed_radps(low_mps);
    expected("GEA-11", "ratio").check(ratio);
}
