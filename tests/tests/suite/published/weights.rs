//! Axle and corner loads, centre of gravity, load transfer, traction limit.

use crownwheel::grip::{DrivenAxleSpec, load_transfer_n};
use crownwheel::road_load::Slope;
use crownwheel::spec::{CornersKg, Differential, DrivenAxle, Place};
use crownwheel::weights::{AxleLift, Stance, Tracks, combined_height_m};
use crownwheel_testkit::assert_close;
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::tolerance::ROUNDING_REL;

pub(crate) const CHECKED: &[&str] = &[
    "WGT-01", "WGT-02", "WGT-03", "WGT-04", "WGT-05", "WGT-06", "WGT-07", "WGT-08", "WGT-09",
    "WGT-11", "WGT-12", "WGT-13", "WGT-14", "WGT-15",
];

const GRAVITY_MPS2: f64 = 9.81;

/// Corner loads of a car that carries the same left and right.
fn even(front_axle_kg: f64, rear_axle_kg: f64) -> CornersKg {
    CornersKg {
        front_left_kg: front_axle_kg / 2.0,
        front_right_kg: front_axle_kg / 2.0,
        rear_left_kg: rear_axle_kg / 2.0,
        rear_right_kg: rear_axle_kg / 2.0,
    }
}

fn stance(wheelbase_m: f64) -> Stance {
    let tracks = Tracks { front_m: 1.4, rear_m: 1.4 };
    Stance { wheelbase_m, tracks, front_roll_share: None }
}

fn behind_front_axle(behind_front_axle_m: f64) -> Place {
    Place { behind_front_axle_m, right_of_centre_m: 0.0, above_ground_m: None }
}

/// Source: Jazar, Vehicle Dynamics: Theory and Application, ch. 2, example 40,
/// <https://fliphtml5.com/wmjai/xhga/Vehicle_Dynamics/3>.
#[test]
fn wgt_01_along_the_car() {
    let corners = even(4000.0, 3600.0);
    let behind_m = corners.centre_behind_front_axle_m(2.34);
    expected("WGT-01", "a1").check(behind_m);
    expected("WGT-01", "a2").check(2.34 - behind_m);
}

/// The car of Jazar's example 41, rear axle lifted by 30°: loads in kg.
fn lifted_by_30_degrees() -> AxleLift {
    let wheelbase_m = 2.30;
    AxleLift {
        wheelbase_m,
        lifted_m: wheelbase_m * 30f64.to_radians().sin(),
        loaded_radius_m: 0.30,
        total_kg: 2000.0,
        level_kg: 2000.0 * 1.20 / wheelbase_m,
    }
}

/// Source: Jazar, ch. 2, pages 43 and 44. The book prints 0.34 m, which its own formula does not
/// give: a trap, kept with the right number.
#[test]
fn wgt_02_height_of_a_misprinted_example() {
    let height_m = lifted_by_30_degrees().centre_of_gravity_height_m(18_000.0 / GRAVITY_MPS2);
    expected("WGT-02", "h_by_the_formula").check(height_m);
}

/// Source: ISO 10392 method; the formula also on
/// <https://openbooks.link/the-height-above-ground-of-cg>.
#[test]
fn wgt_03_height_by_lifting_the_rear_axle() {
    let lift = AxleLift {
        wheelbase_m: 2.60,
        lifted_m: 0.60,
        loaded_radius_m: 0.30,
        total_kg: 1500.0,
        level_kg: 780.0,
    };
    expected("WGT-03", "theta").check(lift.angle_rad().to_degrees());
    let height_m = lift.centre_of_gravity_height_m(834.0);
    expected("WGT-03", "h").check(height_m);
    assert_close!(lift.lower_axle_kg(height_m), 834.0, abs = 0.0, rel = ROUNDING_REL);
}

/// Source: derived, the inverse of WGT-02 with data that agree.
#[test]
fn wgt_04_load_of_the_lower_axle() {
    let load_kg = lifted_by_30_degrees().lower_axle_kg(0.34);
    expected("WGT-04", "2Fz1").check(load_kg * GRAVITY_MPS2);
}

const MASS_KG: f64 = 1145.0;
const WHEELBASE_M: f64 = 2.532;
const HEIGHT_OVER_WHEELBASE: f64 = 0.5 / WHEELBASE_M;

/// Front and rear axle load, N, of the car of WGT-05 and WGT-06 on the level.
fn level_n() -> (f64, f64) {
    let nothing = CornersKg::default();
    let car = stance(WHEELBASE_M).with_mass(&nothing, MASS_KG, behind_front_axle(1.139));
    (car.front_axle_kg() * GRAVITY_MPS2, car.rear_axle_kg() * GRAVITY_MPS2)
}

/// Source: public lecture notes NMA380 (FEI), performance, exercises 4 and 5.
#[test]
fn wgt_05_axle_loads_and_transfer() {
    let (front_n, rear_n) = level_n();
    let moved_n = load_transfer_n(MASS_KG, 2.0, HEIGHT_OVER_WHEELBASE);
    expected("WGT-05", "Wf0").check(front_n);
    expected("WGT-05", "Wr0").check(rear_n);
    expected("WGT-05", "transfer").check(moved_n);
    expected("WGT-05", "Wf").check(front_n - moved_n);
    expected("WGT-05", "Wr").check(rear_n + moved_n);
}

/// Source: the same notes, exercise 6; the sheet takes the angle for its sine and 1 for the cosine.
#[test]
fn wgt_06_axle_loads_on_a_grade() {
    let (front_n, rear_n) = level_n();
    let slope = Slope::from_grade(0.1);
    let moved_n = |sin: f64| load_transfer_n(MASS_KG, GRAVITY_MPS2 * sin, HEIGHT_OVER_WHEELBASE);
    expected("WGT-06", "Wf").check(front_n - moved_n(slope.angle_rad()));
    expected("WGT-06", "Wr").check(rear_n + moved_n(slope.angle_rad()));
    expected("WGT-06", "Wf_exact").check(front_n * slope.cos() - moved_n(slope.sin()));
    expected("WGT-06", "Wr_exact").check(rear_n * slope.cos() + moved_n(slope.sin()));
}

/// A driven axle of which only load and height matter.
fn plain_axle(axle: DrivenAxle, static_load_n: f64, height_over_wheelbase: f64) -> DrivenAxleSpec {
    DrivenAxleSpec {
        axle,
        differential: Differential::Locked,
        live_axle: false,
        static_load_n,
        height_over_wheelbase,
        rolling_radius_m: 0.3,
        track_m: 1.4,
        final_drive_ratio: 4.0,
        other_axle_roll_share: 0.5,
    }
}

/// Source: public lecture notes NMA380 (FEI), power-limit exercise 4, printed program output; the
/// metric form of Gillespie example 2-3.
#[test]
fn wgt_07_open_and_locked_differential_on_a_live_axle() {
    let total_n = (952.5 + 839.1) * GRAVITY_MPS2;
    let limit_n = |differential| {
        let axle = DrivenAxleSpec {
            axle: DrivenAxle::Rear,
            differential,
            live_axle: true,
            static_load_n: 839.1 * GRAVITY_MPS2,
            height_over_wheelbase: 0.533 / 2.743,
            rolling_radius_m: 0.33,
            track_m: 1.498,
            final_drive_ratio: 2.9,
            other_axle_roll_share: 1559.0 / (1559.0 + 379.0),
        };
        axle.drive_limit_n(0.62)
    };
    let (open_n, locked_n) = (limit_n(Differential::Open), limit_n(Differential::Locked));
    expected("WGT-07", "F_open").check(open_n);
    expected("WGT-07", "F_locked").check(locked_n);
    expected("WGT-07", "a_open").check(open_n / total_n);
    expected("WGT-07", "a_locked").check(locked_n / total_n);
}

/// Source: Mannering and Washburn, ch. 2, eq. 2.14 and 2.15. Rolling resistance at the ground also
/// moves load, which the example adds to the load at rest.
#[test]
fn wgt_08_front_against_rear_drive() {
    let (weight_lbf, wheelbase_in, height_in) = (2500.0, 120.0, 22.0);
    let rolling_in = 0.01 * height_in;
    let limit_lbf = |axle, arm_in: f64| {
        let load_lbf = weight_lbf * arm_in / wheelbase_in;
        plain_axle(axle, load_lbf, height_in / wheelbase_in).drive_limit_n(0.6)
    };
    expected("WGT-08", "FWD").check(limit_lbf(DrivenAxle::Front, 80.0 + rolling_in));
    expected("WGT-08", "RWD").check(limit_lbf(DrivenAxle::Rear, 40.0 - rolling_in));
}

/// Source: <https://www.slideshare.net/slideshow/p3vehicle-dynamicpptx/263385814>, inputs and formula.
#[test]
fn wgt_09_acceleration_by_grip() {
    let mass_kg = 1800.0;
    let accel_mps2 = |axle| {
        let load_n = mass_kg * GRAVITY_MPS2 / 2.0;
        plain_axle(axle, load_n, 0.7 / 2.6).drive_limit_n(0.7) / mass_kg
    };
    expected("WGT-09", "a_fwd").check(accel_mps2(DrivenAxle::Front));
    expected("WGT-09", "a_rwd").check(accel_mps2(DrivenAxle::Rear));
}

/// Source: public lecture notes NMA380 (FEI), performance on a slope; small angles, `θ = F / W`.
#[test]
fn wgt_11_grade_by_grip() {
    let (front_kg, rear_kg) = (1207.0, 1171.0);
    let angle_deg = |axle, load_kg: f64| {
        let limit = plain_axle(axle, load_kg, 0.97 / 3.28).drive_limit_n(0.5);
        (limit / (front_kg + rear_kg)).to_degrees()
    };
    expected("WGT-11", "front_drive").check(angle_deg(DrivenAxle::Front, front_kg));
    expected("WGT-11", "rear_drive").check(angle_deg(DrivenAxle::Rear, rear_kg));
}

/// Source: weights on <https://groundcontrolstore.com/pages/the-hows-and-whys-of-cornerweights>, in
/// pounds. Cross weight is that of the right front and left rear wheel.
#[test]
fn wgt_12_corner_weights() {
    let corners = CornersKg {
        front_left_kg: 694.0,
        front_right_kg: 606.0,
        rear_left_kg: 670.0,
        rear_right_kg: 585.0,
    };
    let cross = corners.cross_weight_frac() * corners.total_kg();
    expected("WGT-12", "RF+LR").check(cross);
    expected("WGT-12", "LF+RR").check(cross + corners.warp_kg());
    expected("WGT-12", "cross_percent").check(corners.cross_weight_frac() * 100.0);
    expected("WGT-12", "front_percent").check(corners.front_frac() * 100.0);
    expected("WGT-12", "left_percent").check(corners.left_frac() * 100.0);
}

/// Source: own numbers; `x = L · rear / total`, lateral moment over total.
#[test]
fn wgt_13_centre_of_gravity_from_four_scales() {
    let corners = CornersKg {
        front_left_kg: 412.0,
        front_right_kg: 398.0,
        rear_left_kg: 365.0,
        rear_right_kg: 385.0,
    };
    expected("WGT-13", "x_behind_front").check(corners.centre_behind_front_axle_m(2.62));
    let right_m = corners.centre_right_m(Tracks { front_m: 1.52, rear_m: 1.50 });
    expected("WGT-13", "y_left").check(-right_m);
    expected("WGT-13", "cross_FR_RL").check(corners.cross_weight_frac() * 100.0);
}

/// Source: own numbers; statics of a beam on two supports.
#[test]
fn wgt_14_adding_and_moving_mass() {
    let stance = stance(2.5);
    let added = stance.with_mass(&even(660.0, 540.0), 80.0, behind_front_axle(3.1));
    expected("WGT-14", "front_add").check(added.front_axle_kg());
    expected("WGT-14", "rear_add").check(added.rear_axle_kg());
    let taken = stance.with_mass(&added, -30.0, behind_front_axle(2.0));
    let moved = stance.with_mass(&taken, 30.0, behind_front_axle(0.4));
    expected("WGT-14", "front_move").check(moved.front_axle_kg());
}

/// Source: own numbers; `h = Σ m h / Σ m`.
#[test]
fn wgt_15_combined_height() {
    expected("WGT-15", "h").check(combined_height_m(&[(1145.0, 0.50), (75.0, 0.65), (40.0, 0.80)]));
}
