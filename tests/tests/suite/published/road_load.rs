//! Air drag, rolling resistance on a slope, gradient, wind, coast-down polynomials.

use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel::road_load::{
    AirStream, Slope, air_speed_and_yaw, coast_down_n, default_coefficients, frontal_area_m2,
    gradient_n, rolling_n,
};
use crownwheel::rolling;
use crownwheel::spec::DragSpec;
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::tolerance::half_of_last_digit;
use crownwheel_testkit::{Table, assert_close};

pub(crate) const CHECKED: &[&str] = &[
    "RL-01", "RL-02", "RL-03", "RL-04", "RL-05", "RL-06", "RL-07", "RL-08", "RL-09", "RL-10",
    "RL-11", "RL-12", "RL-13",
];

const MPS_PER_KMH: f64 = 1.0 / 3.6;
/// Free fall as most text books round it, m/s².
const BOOK_GRAVITY_MPS2: f64 = 9.81;

/// Drag in still air, N.
fn drag_n(area_m2: f64, density_kgpm3: f64, kmh: f64) -> f64 {
    AirStream { density_kgpm3, speed_mps: kmh * MPS_PER_KMH, headwind_mps: 0.0 }.drag_n(area_m2)
}

/// Source: assignment solutions, week 2, of an EV course (IIT Madras),
/// <https://www.scribd.com/document/803586353/forces-numericals>.
#[test]
fn rl_01_drag_of_three_vehicles() {
    for (name, coefficient, frontal_area_m2) in
        [("2w", 0.9, 0.6), ("3w", 0.45, 1.6), ("4w", 0.3, 2.5)]
    {
        let area_m2 = DragSpec::CoefficientAndArea { coefficient, frontal_area_m2 }.area_m2();
        for kmh in [30.0, 80.0] {
            expected("RL-01", &format!("{name}_{kmh}")).check(drag_n(area_m2, 1.2, kmh));
        }
    }
}

/// Source: the same assignment. Its rolling force of the lightest vehicle leaves out the cosine.
#[test]
fn rl_02_a_slope_of_eight_degrees() {
    let slope = Slope::from_sin(8f64.to_radians().sin());
    for mass_kg in [600.0, 1500.0] {
        let weight_n = mass_kg * BOOK_GRAVITY_MPS2;
        expected("RL-02", &format!("Fg_{mass_kg}")).check(gradient_n(weight_n, slope));
        expected("RL-02", &format!("Fr_{mass_kg}")).check(rolling_n(0.015, weight_n, slope));
    }
    expected("RL-02", "Fg_200").check(gradient_n(200.0 * BOOK_GRAVITY_MPS2, slope));
}

/// Source: public lecture notes NMA380 (FEI), resistances, exercise 1; its printed answers come from
/// speeds rounded to 0.1 m/s.
#[test]
fn rl_03_drag_of_a_racing_body() {
    let area_m2 = 0.44 * 1.55;
    for kmh in [100.0, 200.0, 300.0, 400.0] {
        expected("RL-03", &format!("F{kmh}")).check(drag_n(area_m2, 1.0, kmh));
    }
    for kmh in [100.0, 400.0] {
        let power_hp = drag_n(area_m2, 1.0, kmh) * kmh * MPS_PER_KMH / 745.7;
        expected("RL-03", &format!("P{kmh}")).check(power_hp);
    }
}

/// Source: the same notes, exercise 4; the worked answer is for a grade of 1 %, not the 2 % of the
/// text.
#[test]
fn rl_04_a_lorry_on_a_grade() {
    let weight_n = 32_874.0 * BOOK_GRAVITY_MPS2;
    let level = Slope::from_grade(0.0);
    let rolling_n =
        rolling_n(rolling::LORRY_RADIAL.coefficient(85.0 * MPS_PER_KMH), weight_n, level);
    let drag_n = drag_n(0.65 * 10.0, 1.0, 85.0);
    let gradient_n = gradient_n(weight_n, Slope::from_grade(0.01));
    expected("RL-04", "R_x").check(rolling_n);
    expected("RL-04", "D_A").check(drag_n);
    expected("RL-04", "R_g").check(gradient_n);
    expected("RL-04", "sum").check(rolling_n + drag_n + gradient_n);
}

/// Source: Mannering and Washburn, Principles of Highway Engineering and Traffic Analysis, ch. 2,
/// maximum-grade example, <https://essaywritingpros.com/2023/05/16/grade-resistance/>. In pounds,
/// feet and slugs: the formulas do not mind. The example takes the grade for its sine.
#[test]
fn rl_05_what_is_left_climbs() {
    let drag_lbf = AirStream {
        density_kgpm3: 0.002_045,
        speed_mps: 70.0 * 5280.0 / 3600.0,
        headwind_mps: 0.0,
    }
    .drag_n(0.4 * 20.0);
    let coefficient = rolling::LINEAR_FROM_FEET.coefficient(70.0 * 0.447_04);
    let rolling_lbf = rolling_n(coefficient, 2000.0, Slope::from_grade(0.0));
    expected("RL-05", "R_a").check(drag_lbf);
    expected("RL-05", "R_rl").check(rolling_lbf);
    let slope = Slope::from_sin((255.0 - drag_lbf - rolling_lbf) / 2000.0);
    expected("RL-05", "G").check(slope.sin());
    assert_close!(slope.grade_frac(), 0.067_56, abs = 0.000_01, rel = 0.0);
}

/// Source: Çengel and Cimbala, Fluid Mechanics, example 11-1; the book rounds to 0.35.
#[test]
fn rl_06_coefficient_from_a_force() {
    expected("RL-06", "Cd").check(300.0 / drag_n(2.07, 1.204, 95.0));
}

/// Source: Çengel and Cimbala, example 11-2 (the ratio only).
#[test]
fn rl_07_a_lower_body() {
    let at_height_n = |height_m: f64| drag_n(0.3 * 1.85 * height_m, 1.2, 95.0);
    expected("RL-07", "reduction").check(1.0 - at_height_n(1.55) / at_height_n(1.70));
}

/// Source: Mannering and Washburn ch. 2 (5 % is 2.86°); the rest is the definition.
#[test]
fn rl_08_grade_and_angle() {
    for (grade_pct, quantity) in [(5.0, "a5"), (10.0, "a10"), (30.0, "a30"), (100.0, "a100")] {
        let slope = Slope::from_grade(grade_pct / 100.0);
        expected("RL-08", quantity).check(slope.angle_rad().to_degrees());
    }
    let eight_degrees = Slope::from_sin(8f64.to_radians().sin());
    expected("RL-08", "p8deg").check(eight_degrees.grade_frac() * 100.0);
    expected("RL-08", "sin10pct").check(Slope::from_grade(0.1).sin());
}

/// Source: 40 CFR 1037.528(g), printed example; 69.935 mph is printed as 69.93.
#[test]
fn rl_09_air_speed_and_yaw() {
    let (air_mph, yaw_rad) = air_speed_and_yaw(64.9, 7.1, 47f64.to_radians());
    expected("RL-09", "v_air").check(air_mph);
    expected("RL-09", "yaw").check(yaw_rad.to_degrees());
}

/// Force, N, of coefficients in N and N per (km/h)² at 80 km/h.
fn force_at_80_kmh_n(constant_n: f64, square_n_per_kmh2: f64) -> f64 {
    coast_down_n([constant_n, 0.0, square_n_per_kmh2 * 3.6 * 3.6], 80.0 * MPS_PER_KMH)
}

/// Source: UN Regulation 83, chassis-dynamometer table, <http://slideplayer.com/slide/2522728/>.
#[test]
fn rl_10_table_of_a_dynamometer() {
    let force_n = force_at_80_kmh_n(7.1, 0.0481);
    expected("RL-10", "F80").check(force_n);
    expected("RL-10", "P80").check(force_n * 80.0 * MPS_PER_KMH / 1e3);
    for row in Table::read(include_str!("../../../data/unr83-dyno.csv")).rows() {
        let force_n = force_at_80_kmh_n(row.number("a_N"), row.number("b_N_per_kmh2"));
        assert_close!(force_n, row.number("F80_N"), abs = 0.800_001, rel = 0.0, "{row:?}");
        assert_close!(
            force_n,
            row.number("F80_recomputed_N"),
            abs = 0.005_001,
            rel = 0.0,
            "{row:?}"
        );
        let power_kw = force_n * 80.0 * MPS_PER_KMH / 1e3;
        assert_close!(power_kw, row.number("P80_kW"), abs = 0.05, rel = 0.0, "{row:?}");
    }
}

/// Source: UN GTR 15 Annex 4 par. 5.2, <http://slideplayer.com/slide/2522728/> (0.140 from memory).
#[test]
fn rl_11_default_road_load() {
    let coefficients = default_coefficients(1500.0, 1.8, 1.5);
    expected("RL-11", "f0").check(coefficients[0]);
    expected("RL-11", "f2").check(coefficients[2] / (3.6 * 3.6));
    expected("RL-11", "F100").check(coast_down_n(coefficients, 100.0 * MPS_PER_KMH));
}

/// Source: <http://www.bgsoflex.com/airdragchart.html>, a rule of thumb.
#[test]
fn rl_12_frontal_area() {
    expected("RL-12", "A_1.8x1.5_car").check(frontal_area_m2(1.8, 1.5));
}

/// Source: 40 CFR 1066.210, constants; the equation from memory.
#[test]
fn rl_13_dynamometer_with_grade_and_acceleration() {
    let (mass_kg, slope) = (1814.4, Slope::from_grade(0.03));
    let road_n = coast_down_n([133.45 * slope.cos(), 2.985, 0.4007], 25.0);
    let climb_n = gradient_n(mass_kg * STANDARD_GRAVITY_MPS2, slope);
    expected("RL-13", "FR").check(road_n + climb_n + 1.03 * mass_kg * 0.5);
}

/// Source: the lines at the head of `grade-angle.csv`.
#[test]
fn table_of_grades() {
    for row in Table::read(include_str!("../../../data/grade-angle.csv")).rows() {
        let slope = Slope::from_grade(row.number("grade_percent") / 100.0);
        let error_pct = (slope.grade_frac() / slope.sin() - 1.0) * 100.0;
        for (column, value) in [
            ("angle_deg", slope.angle_rad().to_degrees()),
            ("sin", slope.sin()),
            ("cos", slope.cos()),
            ("tan_for_sin_error_percent", error_pct),
        ] {
            let allowed = half_of_last_digit(row.text(column)) * 1.000_001;
            assert_close!(value, row.number(column), abs = allowed, rel = 0.0, "{column} {row:?}");
        }
    }
}
