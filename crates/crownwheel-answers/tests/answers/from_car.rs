//! Answers from real runs of the model: cars of every kind, in both systems of units.

use crownwheel::Car;
use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::spec::{
    CarSpec, ColdCapacityTable, DaySpec, FirstStage, GearboxSpec, OriginalSpec, PlateSpec,
    RoadLoadSpec, Shifting, SpringsSpec, StageSpec, TurningParts,
};
use crownwheel_answers::from_car::{
    ChargeAsked, RangeRequest, Subject, charge, check, motor_curves, pull, range, weigh,
};
use crownwheel_answers::{RangeAnswer, SteadyResult, Units, Warning};
use crownwheel_quantities::Supply;

use crate::subjects::subject;

fn hot_and_high() -> DaySpec {
    DaySpec { name: "pass".into(), temperature_k: 316.15, altitude_m: 1_500.0, ..mild_day() }
}

/// A car with everything that only some cars have.
fn full() -> CarSpec {
    let mut spec = small_saloon();
    let FirstStage::Reduction(stage) = spec.driveline.first else { panic!("it has a reduction") };
    let gears = [3.2, 1.9, 1.3].map(|ratio| StageSpec { ratio, ..stage }).to_vec();
    let shifting = Shifting::LeastLoss { dwell_s: 5.0, shift_s: 0.8 };
    spec.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
    spec.original = Some(OriginalSpec { peak_torque_nm: 80.0, first_gear_ratio: 3.6 });
    spec.weights.springs = Some(SpringsSpec {
        front_wheel_rate_n_per_m: 18_000.0,
        rear_wheel_rate_n_per_m: 16_000.0,
        front_unsprung_kg: 60.0,
        rear_unsprung_kg: 80.0,
    });
    spec.weights.power_steering = true;
    spec.motor.back_emf_v_per_radps = Some(0.2);
    spec.pack.module_spread = 0.02;
    spec.pack.resistance_b_k = 0.0;
    spec.pack.cold_capacity = Some(
        ColdCapacityTable { temperature_k: vec![253.15, 298.15], capacity_frac: vec![0.6, 1.0] }
            .into(),
    );
    spec
}

fn ranges(subject: &Subject, cycle: &str) -> RangeAnswer {
    let asked = RangeRequest {
        cycles: vec![Cycle::builtin(cycle).expect("it is built in")],
        days: (0..subject.days.len()).collect(),
        steady_kmh: subject.units.steady_speeds_kmh().to_vec(),
        ..RangeRequest::default()
    };
    range(subject, &asked)
}

fn codes(subject: &Subject) -> Vec<String> {
    check(subject).warnings.into_iter().map(|w| w.code).collect()
}

#[test]
fn nothing_metric_is_left_in_us_units() {
    let subject = subject(&full(), &[mild_day(), winter_day(), hot_and_high()], Units::Us);
    let range = ranges(&subject, "udds");
    for text in
        [check(&subject).sheet().text(), weigh(&subject).sheet().text(), range.sheet().text()]
    {
        let words: Vec<&str> = text
            .split(|c: char| c.is_whitespace() || "().,;:".contains(c))
            .filter(|word| !word.is_empty())
            .collect();
        for unit in ["kg", "km", "km/h", "Wh/km", "m²", "°C", "mm", "kg/m³"] {
            assert!(!words.contains(&unit), "{unit} in {text}");
        }
        let metres =
            |pair: &[&str]| pair[0].ends_with(|c: char| c.is_ascii_digit()) && pair[1] == "m";
        assert!(!words.windows(2).any(metres) && !text.contains("N m"), "{text}");
    }
    let result = &range.results[0];
    // 33,705 Wh a gallon over Wh a mile.
    let mpg = 33_705.0 / (result.wall_wh_per_km * 1.609_344);
    assert!((result.equivalent_mpg.unwrap_or(0.0) - mpg).abs() < 1e-9, "{result:?}");
}

#[test]
fn the_answer_is_the_same_in_both_systems() {
    let of = |units| subject(&full(), &[mild_day()], units);
    let (metric, us) = (ranges(&of(Units::Metric), "udds"), ranges(&of(Units::Us), "udds"));
    assert!(metric.results[0].equivalent_mpg.is_none());
    let mut result = us.results[0].clone();
    result.equivalent_mpg = None;
    assert_eq!(metric.results[0], result);
    assert_eq!(weigh(&of(Units::Metric)).cases, weigh(&of(Units::Us)).cases);
}

#[test]
fn what_only_some_cars_have_is_said_when_they_have_it() {
    let subject = subject(&full(), &[mild_day(), winter_day(), hot_and_high()], Units::Metric);
    let answer = check(&subject);
    assert_eq!(answer.gears.len(), 12);
    assert_eq!(
        answer.stages.iter().map(|s| s.stage.as_str()).collect::<Vec<_>>(),
        ["gearbox", "axle"]
    );
    // 2 % spread and nine modules: 1 - 0.02 · 1.485.
    assert!((answer.weakest_module_pct.unwrap_or(0.0) - 97.03).abs() < 0.01);
    // 156 V / 0.2 V per rad/s = 780 rad/s.
    assert!((answer.back_emf_limit_rpm.unwrap_or(0.0) - 7_448.45).abs() < 0.01);
    let spec = subject.car.spec();
    let (e_v, r_ohm) = (
        spec.pack.open_circuit_v(1.0),
        spec.pack.cells_resistance_ohm() + spec.pack.harness_resistance_ohm,
    );
    assert!((answer.short_circuit_a - e_v / r_ohm).abs() < 1e-9);
    // 43 °C and 1,500 m: 112/115 of the rise, less 5 %.
    assert!((answer.days[2].continuous_heat_pct - 100.0 * 0.95 * 112.0 / 115.0).abs() < 1e-9);
    assert!(answer.days[1].floor_pct > answer.days[0].floor_pct + 5.0, "cold lifts the floor");
    let all_codes = codes(&subject);
    for code in ["back_emf", "stage_torque_original", "power_steering_lost", "brakes_vacuum"] {
        assert!(all_codes.iter().any(|c| c == code), "{code} is not in {all_codes:?}");
    }
    let text = answer.sheet().text();
    for words in [
        "for a licensed person",
        "On the pass day (43 °C, 1500 m) the motor may lose only 93 %",
        "their resistance is not raised as well",
        "Motor speed in each gear",
        "too fast",
    ] {
        assert!(text.replace("\n    ", " ").contains(words), "{words} is not in {text}");
    }
    let weighed = weigh(&subject);
    assert!(weighed.cases[0].front_sag_mm.is_some_and(|sag| sag.abs() < 1e-9));
    assert!(weighed.cases[4].rear_sag_mm.is_some_and(|sag| sag > 20.0));
    assert!(weighed.cases[4].rear_ride_hz < weighed.cases[0].rear_ride_hz);
    let ran = ranges(&subject, "udds");
    let seconds: f64 = ran.results[0].gear_s.values().sum();
    assert!((seconds - ran.results[0].duration_s).abs() < 1e-6);
    assert!(ran.results[0].gear_s.values().filter(|s| **s > 1.0).count() > 1, "it shifts");
    assert!(ran.notes[0].contains("(winter)"), "{}", ran.notes[0]);
}

#[test]
fn a_plain_car_is_spared_all_that() {
    let subject = subject(&small_saloon(), &[mild_day()], Units::Metric);
    let answer = check(&subject);
    assert!(answer.gears.is_empty() && answer.weakest_module_pct.is_none());
    assert!(answer.back_emf_limit_rpm.is_none());
    let text = answer.sheet().text();
    for words in ["each gear", "weakest", "induced", "cold sheet", "usual heat"] {
        assert!(!text.contains(words), "{words} in {text}");
    }
    let weighed = weigh(&subject);
    assert!(weighed.cases.iter().all(|case| case.rear_sag_mm.is_none()));
    assert!(!weighed.sheet().text().contains("ride"));
    assert!(ranges(&subject, "udds").results[0].gear_s.is_empty());
}

#[test]
fn cars_that_lack_something_still_get_an_answer() {
    let mut spec = small_saloon();
    spec.road_load = RoadLoadSpec::Coefficients {
        f0_n: 120.0,
        f1_n_per_mps: 1.5,
        f2_n_per_mps2: 0.42,
        mass_kg: 905.0,
        temperature_k: 293.15,
        pressure_pa: 100_000.0,
        turning: TurningParts { axle: true, gearbox: false, motor: false },
        road_factor: 1.0,
    };
    spec.motor.peak_seconds = None;
    spec.motor.long_rating = None;
    spec.weights.plate = PlateSpec::default();
    spec.tyres.mark.load_index = None;
    spec.tyres.mark.speed_symbol = None;
    let subject = subject(&spec, &[mild_day()], Units::Metric);
    let ran = ranges(&subject, "udds");
    assert!(ran.results[0].motor.heat_used_max.is_none());
    let text = ran.sheet().text();
    assert!(text.contains("road load, with speed squared") && !text.contains("tyres rolling"));
    let header = ran.balance_table().csv(&ran.provenance);
    assert!(header.contains("balance_wh_per_km.road_load_constant"), "{header}");
    assert!(!header.contains("balance_wh_per_km.air"), "{header}");
    let weighed = weigh(&subject);
    assert!(weighed.notes.iter().any(|note| note.starts_with("No gross mass is given")));
    assert!(weighed.plain.starts_with("No plate and no tyre load index are given"));
    assert!(check(&subject).drag_area_m2.is_none());
}

#[test]
fn a_car_that_falls_behind_goes_on_and_its_answer_says_how_far_it_keeps_up() {
    let mut spec = small_saloon();
    // The power at full throttle falls with the voltage of the pack.
    spec.inverter.max_battery_current_a = 225.0;
    let subject = subject(&spec, &[mild_day(), winter_day()], Units::Metric);
    let asked = RangeRequest {
        cycles: vec![Cycle::builtin("us06").expect("it is built in")],
        days: vec![0, 1],
        steady_kmh: vec![100.0, 116.0, 118.0, 120.0, 122.0, 124.0],
        ..RangeRequest::default()
    };
    let answer = range(&subject, &asked);
    assert!(answer.warnings.iter().all(|it| it.code == "over_limit"), "{:?}", answer.warnings);
    for result in &answer.results {
        assert_eq!(result.end, "empty");
        assert!(result.keeps_up_km.nominal < 0.9 * result.range_km.nominal, "{result:?}");
        assert!(result.missed_pct.whole > result.missed_pct.when_full, "{result:?}");
    }
    assert!(answer.plain.contains("keeps up for"), "{}", answer.plain);
    let slow = |s: &&SteadyResult| s.held && s.keeps_up_km.nominal < 0.99 * s.range_km.nominal;
    assert!(answer.steady.iter().any(|s| slow(&s)), "{:?}", answer.steady);
}

/// A hill that the car cannot climb is said once, with all its days.
#[test]
fn a_car_that_stands_is_said_once_with_all_its_days() {
    let mut spec = small_saloon();
    spec.motor.curve_scale = 0.3;
    let subject = subject(&spec, &[mild_day(), winter_day()], Units::Metric);
    let samples = Samples::ByTime {
        time_s: vec![0.0, 60.0, 400.0],
        speed_mps: vec![0.0, 10.0, 10.0],
        grade: Grade::Frac(vec![0.0, 0.0, 0.5]),
    };
    let asked = RangeRequest {
        cycles: vec![Cycle::new("wall", &samples).expect("a good cycle")],
        days: vec![0, 1],
        ..RangeRequest::default()
    };
    let answer = range(&subject, &asked);
    let codes: Vec<&str> = answer.warnings.iter().map(|w| w.code.as_str()).collect();
    assert_eq!(codes, ["over_limit", "stands"], "{:?}", answer.warnings);
    assert!(answer.warnings[1].text.ends_with("on wall (mild, winter)."), "{:?}", answer.warnings);
}

/// What stands out about the car is said whatever is asked of it; each limit that it is over once, in the
/// worst case.
#[test]
fn an_axle_over_its_plate_and_unusual_values_are_said_beside_a_range() {
    let mut spec = small_saloon();
    spec.weights.plate.rear_axle_kg = Some(300.0);
    spec.driveline.axle.efficiency_frac = 1.0;
    let subject = subject(&spec, &[mild_day()], Units::Metric);
    let of = |warnings: &[Warning], code: &str| {
        let all = warnings.iter().filter(|warning| warning.code == code);
        all.map(|warning| warning.text.clone()).collect::<Vec<_>>()
    };
    let range = ranges(&subject, "udds");
    let over = of(&range.warnings, "over_limit");
    let plain = weigh(&subject).plain;
    assert_eq!(over.len(), 1, "{over:?}");
    assert!(plain.starts_with(&over[0]), "{over:?} {plain}");
    let every_case = of(&check(&subject).warnings, "over_limit");
    assert!(every_case.len() > 3 && every_case.contains(&over[0]), "{every_case:?}");
    let supplies = vec![Supply { name: "wall".into(), limit_w: 3000.0 }];
    let asked = ChargeAsked { day: 0, from_frac: 0.5, to_frac: 0.6, supplies, wall_use: None };
    for warnings in [
        range.warnings,
        check(&subject).warnings,
        pull(&subject, 0, &[]).warnings,
        charge(&subject, &asked).warnings,
    ] {
        let unusual = of(&warnings, "unusual");
        assert!(
            unusual.len() == 1 && unusual[0].contains("driveline.axle.efficiency is 1"),
            "{unusual:?}"
        );
    }
}

#[test]
fn several_tyres_are_over_their_load_index() {
    let mut spec = small_saloon();
    spec.tyres.mark.load_index = Some(60);
    let warnings = weigh(&subject(&spec, &[mild_day()], Units::Metric)).warnings;
    let tyres: Vec<&Warning> = warnings.iter().filter(|it| it.text.contains("tyres")).collect();
    assert!(!tyres.is_empty(), "{warnings:?}");
    assert!(tyres.iter().all(|it| it.text.contains("tyres are at")), "{tyres:?}");
}

#[test]
fn the_motor_curve_of_the_highest_voltage_comes_first() {
    let mut spec = small_saloon();
    for test_v in [60.0, 126.0] {
        spec.motor.test_voltage_v = test_v;
        let curves = motor_curves(&Car::new(&spec).expect("a good car"));
        assert!(curves[0].voltage_v > curves[1].voltage_v, "{test_v}");
    }
}

/// A car that cannot move has no energy for a distance, and says so instead of failing.
#[test]
fn a_car_that_never_moves_is_shown() {
    let mut spec = small_saloon();
    spec.inverter.max_battery_current_a = 1e-3;
    for units in [Units::Metric, Units::Us] {
        let answer = ranges(&subject(&spec, &[mild_day()], units), "udds");
        assert!(
            answer.results[0].use_wh_per_km.is_nan() && answer.results[0].range_km.nominal == 0.0
        );
        let text = answer.sheet().text();
        assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
    }
}
