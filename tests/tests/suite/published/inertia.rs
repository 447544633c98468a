//! Mass of what turns.

use crownwheel::driveline::{Gearing, Inertia, effective_mass_kg};
use crownwheel::road_load::{Slope, gradient_n};
use crownwheel::spec::{RollingSpec, TyreMark};
use crownwheel::tyre::{overall_diameter_m, rolling_radius_m};
use crownwheel_testkit::checks::expected;

pub(crate) const CHECKED: &[&str] =
    &["INR-02", "INR-04", "INR-05", "INR-06", "INR-07", "INR-09", "INR-10"];

/// What the turning parts add to the mass, kg.
fn turning_mass_kg(inertia: Inertia, radius_m: f64) -> f64 {
    effective_mass_kg(0.0, inertia, radius_m)
}

/// Moment of inertia of uniform discs, kg m²: `½ m r²` each.
fn discs_kgm2(count: f64, mass_kg: f64, radius_m: f64) -> f64 {
    count * 0.5 * mass_kg * radius_m * radius_m
}

/// Source: 40 CFR 1037.528(h)(1) and (4): 56.7 kg for each of 18 tyres; 17129 is printed.
#[test]
fn inr_02_effective_mass_by_tyres() {
    let radius_m = 0.5;
    let wheels_kgm2 = 18.0 * 56.7 * radius_m * radius_m;
    let inertia = Inertia { wheels_kgm2, rotor_kgm2: 0.0, overall_ratio: 1.0 };
    expected("INR-02", "Me").check(effective_mass_kg(16_108.0, inertia, radius_m));
}

/// Acceleration, m/s², of the car of INR-04 in a gear.
fn acceleration_mps2(overall_ratio: f64) -> f64 {
    let (mass_kg, radius_m, efficiency) = (1500.0, 0.3, 0.85);
    let pull_n = Gearing { overall_ratio, efficiency, radius_m }.tractive_effort_n(200.0);
    let against_n = 300.0 + gradient_n(mass_kg * 9.81, Slope::from_sin(0.25));
    // The example counts the engine's inertia behind the losses of the gears: η I G².
    let inertia = Inertia { wheels_kgm2: 8.0, rotor_kgm2: efficiency * 1.0, overall_ratio };
    (pull_n - against_n) / effective_mass_kg(mass_kg, inertia, radius_m)
}

/// Ratio of the greatest acceleration, by halving the bracket where the slope changes sign.
fn best_ratio(mut low: f64, mut high: f64) -> f64 {
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        let rising = acceleration_mps2(middle + 1e-4) > acceleration_mps2(middle - 1e-4);
        if rising { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Source: Khurmi and Gupta, Theory of Machines, example 3.15; the book rounds the ratio to 22.
#[test]
fn inr_04_best_ratio_to_accelerate() {
    let ratio = best_ratio(5.0, 60.0);
    expected("INR-04", "G_opt").check(ratio);
    expected("INR-04", "a_max").check(acceleration_mps2(ratio));
    let speed_radps = Gearing { overall_ratio: 22.0, efficiency: 1.0, radius_m: 0.3 }
        .motor_speed_radps(24.0 / 3.6);
    expected("INR-04", "engine_speed_G22").check(speed_radps);
    expected("INR-04", "engine_power_G22").check(200.0 * speed_radps / 1e3);
}

/// Source: Khurmi and Gupta, example 3.13: a falling mass turns a geared pair of shafts.
#[test]
fn inr_05_a_geared_system() {
    let geared = |rotor_kgm2| Inertia { wheels_kgm2: 100.0, rotor_kgm2, overall_ratio: 6.0 };
    let accel_mps2 = |inertia| 75.0 * 9.81 / effective_mass_kg(75.0, inertia, 0.3);
    expected("INR-05", "m_eq").check(turning_mass_kg(geared(5.0), 0.3));
    expected("INR-05", "a").check(accel_mps2(geared(5.0)));
    expected("INR-05", "a_eta0.9").check(accel_mps2(geared(5.0 / 0.9)));
}

/// Source: Gillespie, Fundamentals of Vehicle Dynamics, example 2-1 (from memory), in inches and
/// pounds; the formula does not mind.
#[test]
fn inr_06_first_gear_in_us_units() {
    let wheels_kgm2 = 1.2 * 2.92 * 2.92 + 11.0;
    let inertia = Inertia { wheels_kgm2, rotor_kgm2: 0.8 + 1.3, overall_ratio: 4.28 * 2.92 };
    expected("INR-06", "I_eff").check(turning_mass_kg(inertia, 1.0));
    let per_km = RollingSpec::RevolutionsPerKm(801.0 / 1.609_344);
    let radius_in = rolling_radius_m(&mark_175_70_r13(), &per_km) / 0.0254;
    expected("INR-06", "W_equiv").check(turning_mass_kg(inertia, radius_in) * 386.1);
}

fn mark_175_70_r13() -> TyreMark {
    TyreMark {
        section_width_m: 0.175,
        aspect_frac: 0.70,
        rim_diameter_m: 13.0 * 0.0254,
        radial: true,
        load_index: None,
        speed_symbol: None,
    }
}

/// Source: public lecture notes NMA380 (FEI), traction force, exercise 3; the wheels are one lump of
/// 1.24 kg m² there.
#[test]
fn inr_07_mass_factor_of_a_gear() {
    let radius_m = overall_diameter_m(&mark_175_70_r13()) / 2.0;
    let final_drive = 3.944;
    let inertia = Inertia {
        wheels_kgm2: 0.1356 * final_drive * final_drive + 1.24,
        rotor_kgm2: 0.09 + 0.0791,
        overall_ratio: 1.46 * final_drive,
    };
    expected("INR-07", "r").check(radius_m);
    expected("INR-07", "M_r").check(turning_mass_kg(inertia, radius_m));
    expected("INR-07", "factor").check(effective_mass_kg(1430.0, inertia, radius_m) / 1430.0);
}

/// Source: McLean, Engineering Mechanics (Schaum), problem 17-18, in pounds, feet and slugs.
#[test]
fn inr_09_coasting_to_rest_on_disc_wheels() {
    let (slug_per_lb, radius_ft) = (1.0 / 32.2, 1.0);
    let wheels_kgm2 = discs_kgm2(4.0, 200.0 * slug_per_lb, radius_ft);
    let inertia = Inertia { wheels_kgm2, rotor_kgm2: 0.0, overall_ratio: 1.0 };
    let mass_slug = effective_mass_kg((1000.0 + 4.0 * 200.0) * slug_per_lb, inertia, radius_ft);
    expected("INR-09", "F").check(0.5 * mass_slug * 22.0 * 22.0 / (2.0 * 5280.0));
}

/// Source: Dubey, Fundamentals of Electrical Drives, example 10.1. The book divides by the wheel
/// radius once instead of twice; these are the corrected numbers.
#[test]
fn inr_10_wheels_and_armatures_of_a_train() {
    let (radius_m, overall_ratio) = (0.54, 1.0 / 0.4);
    let inertia = Inertia {
        wheels_kgm2: discs_kgm2(16.0, 450.0, radius_m),
        rotor_kgm2: discs_kgm2(4.0, 480.0, 0.25),
        overall_ratio,
    };
    let accel_mps2 = 5.0 / 3.6;
    expected("INR-10", "F_rotating_correct").check(turning_mass_kg(inertia, radius_m) * accel_mps2);
    let force_n = effective_mass_kg(40_000.0, inertia, radius_m) * accel_mps2 + 40.0 * 20.0;
    let per_newton_metre =
        4.0 * Gearing { overall_ratio, efficiency: 1.0, radius_m }.tractive_effort_n(1.0);
    expected("INR-10", "T_motor_correct").check(force_n / per_newton_metre);
}
