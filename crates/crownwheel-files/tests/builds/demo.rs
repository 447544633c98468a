//! The demo build: its numbers, its story, and that no key of it is lost.

use crownwheel::spec::{LoadSide, RoadLoadSpec, RoadSurface, Wind};
use crownwheel::weights::{LoadCase, loaded};
use crownwheel::{Car, Day};
use crownwheel_files::outside::{CycleRef, DemandKind, MeasuredAt};
use crownwheel_files::quantity::SpreadKind;
use crownwheel_files::{Build, Set, keys};

use crate::bench::{Bench, Demo};

fn demo() -> Build {
    Bench::demo().load(&[]).unwrap_or_else(|report| panic!("{report}"))
}

fn close(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-12 * right.abs()
}

#[test]
fn numbers_arrive_in_si() {
    let build = demo();
    let car = &build.car;
    assert_eq!(&*car.name, "Dunlin 1100 saloon, 1967");
    assert!(close(car.weights.corners.front_left_kg, 221.5));
    let parts = (car.weights.taken_out.len(), car.weights.put_in.len(), car.weights.seats.len());
    assert_eq!(parts, (5, 10, 4));
    assert!(close(car.motor.max_speed_radps, 8000.0 * std::f64::consts::PI / 30.0));
    assert!(close(car.pack.cell_capacity_c, 78.0 * 3600.0));
    assert!(close(car.pack.cell_resistance_ohm, 0.8e-3));
    assert!(close(car.regen.fade_out_below_mps, 8.0 / 3.6));
    assert_eq!(car.loads[0].side, LoadSide::TwelveVolt);
    assert!(matches!(car.road_load, RoadLoadSpec::Terms { .. }));
    assert!(close(build.supplies[0].limit_w, 2300.0));
    assert!(close(build.hills[0].grade_frac, 0.08));
}

#[test]
fn days_stay_in_file_order() {
    let build = demo();
    let names: Vec<&str> = build.days.iter().map(|day| &*day.name).collect();
    assert_eq!(names, ["mild", "winter", "summer"]);
    let winter = &build.days[1];
    assert!(close(winter.temperature_k, 271.15));
    assert_eq!(winter.wind, Wind::AllRound { speed_mps: 5.0, height_m: 10.0 });
    assert_eq!(winter.road, RoadSurface::Wet);
    assert!(close(winter.extra_load_w, 1200.0));
    let boxes: Vec<&str> = build.car.pack.boxes.iter().map(|b| &*b.name).collect();
    assert_eq!(boxes, ["front", "rear"]);
}

#[test]
fn demands_and_measured_facts_are_kept() {
    let build = demo();
    let DemandKind::Range { cycle, day, at_least_m, following: true } = &build.demands[0].what
    else {
        panic!()
    };
    assert!(matches!(cycle, CycleRef::File(path) if path.ends_with("moor-round.csv")));
    assert!(&**day == "winter" && close(*at_least_m, 85_000.0));
    assert_eq!(build.demands[0].sure_frac, Some(0.9));
    let DemandKind::Cruise { at_least_s, .. } = build.demands[1].what else { panic!() };
    assert_eq!(at_least_s, Some(1800.0));
    let fact = build.measured[0].use_jpm;
    assert!(close(fact.nominal, 141.0 * 3.6));
    let SpreadKind::Normal { half_width_95 } = fact.kind else { panic!() };
    assert!(close(half_width_95, 0.05 * 141.0 * 3.6));
}

#[test]
fn a_fact_is_measured_at_the_pack_or_at_the_wall() {
    let with = |text: &str| {
        let bench = Bench::demo();
        bench.replace("build.toml", "use = \"141 Wh/km ± 5 %\"", text);
        bench.load(&[])
    };
    let at_the_wall = with("wall = \"168 Wh/km ± 5 %\"").unwrap();
    let fact = &at_the_wall.measured[0];
    assert!(fact.at == MeasuredAt::Wall && close(fact.use_jpm.nominal, 168.0 * 3.6));
    let both = "use = \"141 Wh/km ± 5 %\"\nwall = \"168 Wh/km ± 5 %\"";
    for (text, key) in [
        (both, "measured.moor_in_may.wall"),
        ("", "measured.moor_in_may.use"),
        ("wall = \"a lot\"", "measured.moor_in_may.wall"),
    ] {
        let report = with(text).unwrap_err();
        let keys: Vec<&str> = report.problems().iter().map(|it| it.key.as_str()).collect();
        assert_eq!(keys, [key], "{report}");
    }
}

#[test]
fn spreads_are_kept_by_path() {
    let build = demo();
    let half_width = |path: &str| match build.spreads[path].kind {
        SpreadKind::Normal { half_width_95 } => half_width_95,
        other => panic!("{path}: {other:?}"),
    };
    assert!(close(half_width("car.drag_coefficient"), 0.03));
    assert!(close(half_width("driveline.axle.drag_torque"), 0.48));
    assert!(close(half_width("pack.cell_resistance"), 0.16e-3));
    // Assumed values carry their band, too.
    assert!(close(half_width("car.brake_drag"), 10.0));
    assert!(!build.spreads.contains_key("pack.module_mass"));
}

#[test]
fn the_story_of_the_axles_holds() {
    let build = demo();
    let car = &build.car;
    let axles = |case| {
        let corners = loaded(&car.weights, &car.pack, case).corners;
        (corners.front_axle_kg(), corners.rear_axle_kg())
    };
    let (front_kg, rear_kg) = axles(LoadCase::AsOnScales);
    assert!(close(front_kg, 435.5) && close(rear_kg, 356.5));
    // By statics from the masses and places of the build: 830.6 kg, 408.6 kg of it behind.
    let (front_kg, rear_kg) = axles(LoadCase::ConvertedEmpty);
    assert!((front_kg + rear_kg - 830.6).abs() < 0.01 && (rear_kg - 408.58).abs() < 0.01);
    // Four up and loaded to gross the rear axle is about 16 kg over its plate, the front is not.
    let (front_kg, rear_kg) = axles(LoadCase::AtGross);
    assert!((rear_kg - 660.0 - 16.0).abs() < 0.5, "{rear_kg}");
    assert!(front_kg < 510.0 && (front_kg + rear_kg - 1180.0).abs() < 1e-9);
}

#[test]
fn the_core_takes_it() {
    let build = demo();
    Car::new(&build.car).unwrap();
    for day in &build.days {
        Day::new(day).unwrap();
    }
}

#[test]
fn where_a_value_is_from_is_kept() {
    let from = "{ value = \"0.41 ± 0.02\", from = \"coast-down, May\" }";
    let build = Bench::demo().load(&[set("car.drag_coefficient", from)]).unwrap();
    assert_eq!(build.provenance["car.drag_coefficient"], "coast-down, May");
    assert!(close(build.spreads["car.drag_coefficient"].nominal, 0.41));
}

#[test]
fn whole_numbers_may_have_a_point() {
    let build = Bench::demo().load(&[set("pack.modules_in_series", "8.0")]).unwrap();
    assert_eq!(build.car.pack.modules_in_series, 8);
}

#[test]
fn us_units_say_the_same() {
    let sets = [
        set("taken_out.engine.mass", "326.284148 lb"),
        set("car.wheelbase", "91.33858267716535 in"),
        set("day.mild.temperature", "59 °F"),
        set("hill.moor_bank.speed", "37.282271534240 mph"),
    ];
    let (metric, us) = (demo(), Bench::demo().load(&sets).unwrap());
    // The figures above have eight digits or more.
    let near = |left: f64, right: f64| (left - right).abs() < 1e-7 * right;
    assert!(near(us.car.weights.taken_out[0].mass_kg, metric.car.weights.taken_out[0].mass_kg));
    assert!(near(us.car.weights.wheelbase_m, metric.car.weights.wheelbase_m));
    assert!(near(us.days[0].temperature_k, metric.days[0].temperature_k));
    assert!(near(us.hills[0].speed_mps, metric.hills[0].speed_mps));
}

/// Nothing that is written may be without effect: each number of a demo, changed a little, gives
/// another build.
#[test]
fn every_number_of_the_demos_has_an_effect() {
    for (demo, least) in [(Demo::Dunlin, 100), (Demo::Godwit, 120), (Demo::Wren, 80)] {
        let bench = Bench::of(demo);
        let plain = bench.loaded();
        let mut changed = 0;
        for (path, value) in numbers(&bench.text("build.toml")) {
            let build = match bench.load(&[set(&path, &value)]) {
                Ok(build) => build,
                Err(report) => panic!("{demo:?}: {path} = {value}: {report}"),
            };
            assert_ne!(build, plain, "{demo:?}: {path} = {value} changes nothing");
            changed += 1;
        }
        assert!(changed > least, "{demo:?}: {changed}");
    }
}

/// Paths of the numbers of a build, each with a value that is a little smaller.
fn numbers(text: &str) -> Vec<(String, String)> {
    let root: toml::Table = text.parse().expect("the demo is TOML");
    let mut found = Vec::new();
    collect("", &toml::Value::Table(root), &mut found);
    found
}

fn collect(path: &str, value: &toml::Value, found: &mut Vec<(String, String)>) {
    match value {
        toml::Value::Table(table) => {
            for (key, inner) in table {
                let below = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                collect(&below, inner, found);
            }
        }
        // One string of cells or modules cannot become none, and two would be too heavy.
        toml::Value::Integer(1) => {}
        // The boxes are full: room can only grow.
        toml::Value::Integer(whole) if path.ends_with(".room_for") => {
            found.push((path.to_owned(), (whole + 1).to_string()));
        }
        toml::Value::Integer(0) => found.push((path.to_owned(), "1".to_owned())),
        toml::Value::Integer(whole) => found.push((path.to_owned(), (whole - 1).to_string())),
        toml::Value::Float(number) => found.push((path.to_owned(), (number * 0.999).to_string())),
        toml::Value::String(text) => {
            let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
            let (digits, rest) = text.split_at(text.find(|c| !is_digit(c)).unwrap_or(text.len()));
            let a_number = keys::find(path).is_some_and(|row| row.limits().is_some());
            if let (true, Ok(number)) = (a_number, digits.parse::<f64>()) {
                let less = if number.abs() > 0.0 { number * 0.999 } else { 0.001 };
                found.push((path.to_owned(), format!("{less}{rest}")));
            }
        }
        _ => {}
    }
}

fn set(key: &str, value: &str) -> Set {
    Set { key: key.into(), value: value.into() }
}
