//! Cycles of a second and of a day, roads as steep as a stair, and cars that mostly stand.

use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel::cycle::{Cycle, CycleProblem, Grade, STEEPEST_GRADE, Samples};
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::range::RangeEnd;
use crownwheel_testkit::assert_close;

use super::answers::{assert_balance, assert_finite, to_the_end};
use crate::run::{run, trace};

/// A trace on a road of one grade, rise over run.
fn on_grade(points: &[(f64, f64)], grade_frac: f64) -> Cycle {
    trace(points, grade_frac / f64::hypot(1.0, grade_frac))
}

#[test]
fn a_second_and_a_day() {
    let second = trace(&[(0.0, 0.0), (1.0, 0.5)], 0.0);
    let moment = trace(&[(0.0, 10.0), (1e-3, 10.0)], 0.0);
    let day = trace(&[(0.0, 0.0), (43_200.0, 30.0), (86_400.0, 0.0)], 0.0);
    assert_close!(day.duration_s(), 86_400.0, abs = 1e-6, rel = 0.0);
    assert_finite("short and long", &small_saloon(), &[mild_day()], &[second, moment, day]);
}

#[test]
fn mostly_standing() {
    let still = trace(&[(0.0, 0.0), (3600.0, 0.0), (3601.0, 0.1), (3602.0, 0.0)], 0.0);
    assert_finite("still", &small_saloon(), &[mild_day()], std::slice::from_ref(&still));
    let found = to_the_end(&small_saloon(), &mild_day(), &still);
    // A few centimetres in an hour: driven once, and no range.
    assert_eq!(found.end, RangeEnd::TooShort);
    assert!(found.range_m().is_nan() && found.duration_s > 3600.0 && found.distance_m < 1.0);
}

#[test]
fn a_cycle_without_a_metre_is_refused() {
    let still = Samples::ByTime {
        time_s: vec![0.0, 86_400.0],
        speed_mps: vec![0.0, 0.0],
        grade: Grade::Flat,
    };
    assert_eq!(Cycle::new("still", &still).unwrap_err().problem, CycleProblem::NoDistance);
}

/// Down a slope of 45° no more comes back than the height and the speed given up.
#[test]
fn downhill_never_gives_more_than_the_height() {
    for (grade_frac, speed_mps) in [(-1.0, 5.0), (-1.0, 25.0), (-0.3, 15.0), (-0.05, 20.0)] {
        let cycle = on_grade(&[(0.0, speed_mps), (60.0, speed_mps)], grade_frac);
        let mut car = small_saloon();
        car.regen.share = 1.0;
        let found = run(&car, &mild_day(), &cycle, Some(0.3));
        let sum = &found.balance.sum;
        let height_j = -sum.climbing_j;
        let sin = -grade_frac / f64::hypot(1.0, grade_frac);
        let mass_kg = crownwheel::Car::new(&car).unwrap().mass_kg();
        let fallen_m = found.distance_m * sin;
        let exact_j = mass_kg * STANDARD_GRAVITY_MPS2 * fallen_m;
        assert_close!(height_j, exact_j, abs = 0.0, rel = 1e-9, "{grade_frac}");
        let given_up_j = height_j - sum.kinetic_j;
        assert!(-sum.from_pack_j <= given_up_j, "{grade_frac}: {sum:?}");
        assert!(sum.taken_back_j <= sum.braking_offer_j, "{grade_frac}: {sum:?}");
        assert!(sum.taken_back_j > 0.0, "{grade_frac}: {sum:?}");
        let scale_j = found.balance.scale_j();
        assert_close!(found.balance.imbalance_j(), 0.0, abs = 1e-9 * scale_j, rel = 0.0);
    }
}

#[test]
fn up_and_down_a_stair() {
    let points = [(0.0, 0.0), (10.0, 10.0), (60.0, 10.0), (70.0, 0.0)];
    let up = on_grade(&points, STEEPEST_GRADE);
    let down = on_grade(&points, -STEEPEST_GRADE);
    assert_finite("stair", &small_saloon(), &[mild_day()], &[up.clone(), down.clone()]);
    let fell_behind = to_the_end(&small_saloon(), &mild_day(), &up);
    assert!(fell_behind.first.fell_behind, "no saloon climbs 45°");
    let found = to_the_end(&small_saloon(), &mild_day(), &down);
    assert_balance("down", &found);
    // Nothing that falls for ever gets emptier, but standing loads and a full pack end that too.
    assert!(matches!(found.end, RangeEnd::GivesBack | RangeEnd::Empty), "{:?}", found.end);
}

/// By distance a slope that is too steep ends the run where the car stands.
#[test]
fn a_stair_by_distance_ends_the_run() {
    for grade_frac in [STEEPEST_GRADE, -STEEPEST_GRADE] {
        let samples = Samples::ByDistance {
            distance_m: vec![0.0, 50.0, 550.0, 600.0],
            speed_mps: vec![0.0, 10.0, 10.0, 0.0],
            stop_s: vec![2.0, 0.0, 0.0, 0.0],
            grade: Grade::Frac(vec![0.0, 0.0, grade_frac, 0.0]),
        };
        let cycle = Cycle::new("stair", &samples).unwrap();
        assert_finite("stair", &small_saloon(), &[mild_day()], std::slice::from_ref(&cycle));
        let end = to_the_end(&small_saloon(), &mild_day(), &cycle).end;
        assert_eq!(end == RangeEnd::Stands, grade_frac > 0.0, "{grade_frac}: {end:?}");
    }
    let steeper = Samples::ByDistance {
        distance_m: vec![0.0, 50.0],
        speed_mps: vec![5.0, 5.0],
        stop_s: vec![0.0, 0.0],
        grade: Grade::Frac(vec![0.0, 1.001]),
    };
    let problem = Cycle::new("wall", &steeper).unwrap_err().problem;
    assert!(matches!(problem, CycleProblem::TooSteep { .. }), "{problem:?}");
}

/// Asked for 360 km/h at once, and for a crawl of a millimetre a second.
#[test]
fn the_fastest_and_the_slowest() {
    let fast = trace(&[(0.0, 0.0), (1.0, 100.0), (60.0, 100.0), (61.0, 0.0)], 0.0);
    let slow = trace(&[(0.0, 1e-3), (60.0, 1e-3)], 0.0);
    assert_finite("fast and slow", &small_saloon(), &[mild_day()], &[fast, slow]);
}

/// Stopping dead from full speed: friction takes what regeneration does not, and no joule is lost.
#[test]
fn stopping_within_a_second() {
    let cycle = trace(&[(0.0, 30.0), (1.0, 0.0), (10.0, 0.0)], 0.0);
    let found = run(&small_saloon(), &mild_day(), &cycle, Some(0.5));
    let sum = &found.balance.sum;
    assert!(sum.friction_j > 0.5 * -sum.kinetic_j, "{sum:?}");
    let scale_j = found.balance.scale_j();
    assert_close!(found.balance.imbalance_j(), 0.0, abs = 1e-9 * scale_j, rel = 0.0);
}
