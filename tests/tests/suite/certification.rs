//! The certification program: its reading, its cars and its sums. The bars themselves are held by
//! `.ci/run`, which runs it over the whole file.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use crownwheel_tests::certification::car;
use crownwheel_tests::certification::predict::DrivenCar;
use crownwheel_tests::certification::report::{Outcome, Report};
use crownwheel_tests::certification::rows::{Test, Vehicle, read};
use crownwheel_tests::score::{Pair, Predicted, Score};

fn vehicles() -> Vec<Vehicle> {
    let file: PathBuf = car::folder().join("bev-road-load.csv");
    read(&file).unwrap()
}

#[test]
fn rows_with_a_flag_are_left_out_and_equal_road_loads_stay_together() {
    let vehicles = vehicles();
    let rows = |test| vehicles.iter().map(|vehicle| vehicle.of(test).count()).sum::<usize>();
    assert_eq!((rows(Test::Urban), rows(Test::Highway)), (278, 276));
    for (a, b) in vehicles.iter().zip(vehicles.iter().skip(1)) {
        let same = a.rows[0].coef_a_lbf == b.rows[0].coef_a_lbf
            && a.rows[0].coef_b_lbf_mph == b.rows[0].coef_b_lbf_mph
            && a.rows[0].coef_c_lbf_mph2 == b.rows[0].coef_c_lbf_mph2;
        assert_eq!(same, a.group == b.group);
        assert!(!same || a.is_of_set_half() == b.is_of_set_half());
    }
    let set = vehicles.iter().filter(|vehicle| vehicle.is_of_set_half()).count();
    let checked = vehicles.len() - set;
    assert!(set.abs_diff(checked) * 10 < vehicles.len(), "{set} and {checked}");
}

/// Every number that is set for a size by `car.rs` is the one that stands in the file at that size.
#[test]
fn a_car_of_2000_kg_is_the_one_in_the_file() {
    let mut row = vehicles()[0].rows[0].clone();
    row.etw_lb = (2000.0 / 0.453_592_37).to_string();
    let built = car::build(&row).unwrap();
    let file = crownwheel_files::load(&car::folder().join("generic.toml"), &[]).unwrap();
    let road_load = file.car.road_load;
    let as_in_file = crownwheel::spec::CarSpec { road_load, ..built.car.clone() };
    let (ours, theirs) = (format!("{as_in_file:.9?}"), format!("{:.9?}", file.car));
    assert_eq!(ours, theirs);
    let keys = |build: &crownwheel_files::Build| {
        let spread = |(key, spread): (&String, &crownwheel_files::quantity::Spread)| {
            format!("{key} {:.6e} {:.6e}", spread.nominal, spread.half_width_95())
        };
        build.spreads.iter().map(spread).collect::<Vec<String>>()
    };
    assert_eq!(keys(&built), keys(&file));
}

/// Mass and road load as the row says: 1 lbf = 4.4482216 N, 1 mph = 0.44704 m/s (exact definitions).
#[test]
fn a_car_has_the_weight_and_the_road_load_of_its_row() {
    let vehicles = vehicles();
    let row = &vehicles.iter().find(|it| it.rows[0].vehicle_id == "V006").unwrap().rows[0];
    let car = car::build(row).unwrap().car;
    let crownwheel::spec::RoadLoadSpec::Coefficients { f0_n, f1_n_per_mps, f2_n_per_mps2, .. } =
        car.road_load
    else {
        panic!("coefficients are given");
    };
    let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-9;
    assert!(close(f0_n, 22.77 * 4.448_221_615_260_5));
    assert!(close(f1_n_per_mps, 0.295 * 4.448_221_615_260_5 / 0.447_04));
    assert!(close(f2_n_per_mps2, 0.01519 * 4.448_221_615_260_5 / 0.447_04f64.powi(2)));
    let mass_kg = crownwheel::weights::loaded(
        &car.weights,
        &car.pack,
        crownwheel::weights::LoadCase::DriverOnly,
    )
    .corners
    .total_kg();
    assert!(close(mass_kg, 3250.0 * 0.453_592_37), "{mass_kg}");
}

#[test]
fn knowing_the_other_cycle_moves_and_narrows_the_prediction() {
    let vehicles = vehicles();
    let row = &vehicles[0].rows[0];
    let driven =
        DrivenCar::new(&car::build(row).unwrap(), NonZeroUsize::new(400).unwrap()).unwrap();
    let alone = driven.predicted(Test::Urban).unwrap();
    let highway = driven.predicted(Test::Highway).unwrap();
    let after = |wh_per_mi| driven.after(Test::Urban, Test::Highway, wh_per_mi).unwrap().unwrap();
    let (low, high) = (after(highway.p10), after(highway.p90));
    assert!(low.p50 < alone.p50 && alone.p50 < high.p50, "{low:?} {alone:?} {high:?}");
    assert!(low.p90 - low.p10 < 0.8 * (alone.p90 - alone.p10), "{low:?} {alone:?}");
    // Braking gives back, so the wall sees less than the positive work over the worst losses, and more
    // than what road load alone takes.
    assert!(alone.p10 > 0.0 && alone.p10 < alone.p50 && alone.p50 < alone.p90);
}

#[test]
fn scores_are_medians_and_shares() {
    let pair = |p50: f64| Pair {
        predicted: Predicted { p10: p50 - 10.0, p50, p90: p50 + 10.0 },
        measured: 100.0,
    };
    let pairs = [pair(98.0), pair(104.0), pair(125.0), pair(101.0), pair(88.0)];
    let score = Score::of(&pairs);
    assert_eq!(score.rows, 5);
    // Errors -2, 4, 25, 1, -12; sizes in order 1, 2, 4, 12, 25; nine in ten at rank 4.6 of 5.
    for (found, right) in [
        (score.median_error_pct, 1.0),
        (score.median_abs_error_pct, 4.0),
        (score.p90_abs_error_pct, 12.0 + 0.6 * 13.0),
        (score.coverage_10_90_pct, 60.0),
    ] {
        assert!((found - right).abs() < 1e-9, "{found} {right}");
    }
    assert_eq!(Score::of(&[]), Score::default());
}

/// A car whose energy nobody could have: it is named as the worst, and the bars are missed.
#[test]
fn what_is_far_off_is_named_with_a_reason_and_misses_the_bars() {
    let mut vehicle = vehicles()[0].clone();
    let driven =
        DrivenCar::new(&car::build(&vehicle.rows[0]).unwrap(), NonZeroUsize::new(100).unwrap())
            .unwrap();
    for row in &mut vehicle.rows {
        row.energy_wh_per_mi = 3.0 * driven.predicted(row.test).unwrap().p50;
    }
    let mut outcomes = Outcome::all(&vehicle, Test::Urban, Test::Highway, &driven).unwrap();
    outcomes.extend(Outcome::all(&vehicle, Test::Highway, Test::Urban, &driven).unwrap());
    let report = Report::of(&outcomes);
    let json = serde_json::to_value(&report).unwrap();
    assert!((json["all"]["median_error_pct"].as_f64().unwrap() + 200.0 / 3.0).abs() < 1e-6);
    let reason = json["worst"][0]["reason"].as_str().unwrap();
    assert!(reason.starts_with("the other cycle is off alike (-66.7 %)"), "{reason}");
    let missed = report.missed();
    assert!(
        missed.iter().any(|it| it == "hwfet: median absolute error 66.67 %, at most 5 % wanted")
    );
    assert!(
        missed.iter().any(|it| it == "udds: bands hold 0.0 %, 75 to 88 % wanted"),
        "{missed:?}"
    );
}
