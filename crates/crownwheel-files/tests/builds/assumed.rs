//! What is assumed when the build does not say it, and the other ways of saying things.

use crownwheel::spec::{DragSpec, MotorLossSpec, RoadLoadSpec, RollingSpec};
use crownwheel_files::quantity::SpreadKind;
use crownwheel_files::{Build, Set, keys, load};

use crate::bench::{Bench, Demo};

/// The demo with some of its text replaced.
fn changed(edits: &[(&str, &str)]) -> Build {
    let bench = Bench::demo();
    for (from, to) in edits {
        bench.replace("build.toml", from, to);
    }
    bench.load(&[]).unwrap_or_else(|report| panic!("{report}"))
}

fn assumed(build: &Build, key: &str) -> Option<(String, String)> {
    let entry = build.assumed.iter().find(|assumed| assumed.key == key)?;
    assert!(!entry.source.is_empty());
    Some((entry.value.clone(), entry.band.clone()))
}

#[test]
fn the_demo_says_what_it_leaves_open() {
    let build = changed(&[]);
    assert_eq!(assumed(&build, "car.brake_drag"), Some(("15 N".into(), "± 10 N".into())));
    assert_eq!(assumed(&build, "pack.reserve"), Some(("15 %".into(), String::new())));
    assert_eq!(assumed(&build, "car.drag_coefficient"), None);
    // Once for all parts, not once for each.
    let right = build.assumed.iter().filter(|a| a.key == "put_in.*.right_of_centre").count();
    assert_eq!(right, 1);
}

/// A number alone has the usual band where there is one, said among what is assumed; at an end of what is allowed, or with
/// `exactly`, it has none.
#[test]
fn a_bare_number_has_the_usual_band() {
    let with = |share: &str| changed(&[("\nshare = 0.6", &format!("\nshare = {share}"))]);
    let half_width = |build: &Build| build.spreads.get("regen.share").map(|it| it.half_width_95());
    let bare = with("0.6");
    assert!((half_width(&bare).unwrap() - 0.1).abs() < 1e-12);
    assert_eq!(assumed(&bare, "regen.share"), Some(("0.6".into(), "± 16.67 %".into())));
    assert!((half_width(&with("\"60 %\"")).unwrap() - 0.1).abs() < 1e-12);
    for exact in ["\"0.6 exactly\"", "\"60 % exactly\"", "1.0", "0", "\"0.6 ± 0\""] {
        let build = with(exact);
        assert_eq!((half_width(&build), assumed(&build, "regen.share")), (None, None), "{exact}");
    }
    assert!((half_width(&with("\"0.6 ± 0.02\"")).unwrap() - 0.02).abs() < 1e-12);
    assert_eq!(assumed(&with("\"0.6 ± 0.02\""), "regen.share"), None);
    // What is known of the car does not change with it.
    assert!((bare.car.regen.share - 0.6).abs() < 1e-12);
}

#[test]
fn every_assumed_key_is_in_the_table() {
    for assumed in changed(&[]).assumed {
        assert!(keys::all().any(|row| row.path == assumed.key), "{}", assumed.key);
    }
}

/// What is written instead of an assumed value with that value changes no number of the car, and is
/// assumed no more; what follows from other keys has no such line.
#[test]
fn the_line_that_replaces_an_assumed_value_can_be_written() {
    for demo in Demo::ALL {
        let build = load(&demo.folder(), &[]).unwrap();
        let mut written = 0;
        for assumed in &build.assumed {
            assert!(keys::advice(&assumed.key).is_some(), "{}", assumed.key);
            let Some(line) = build.instead(assumed, &assumed.value) else {
                assert!(assumed.worked_out, "{}", assumed.key);
                continue;
            };
            let (_, value) = line.line.split_once(" = ").unwrap();
            assert!(line.key.starts_with(&format!("{}.", line.table)), "{line:?}");
            let set = Set { key: line.key.clone(), value: value.to_owned() };
            let other = load(&demo.folder(), &[set])
                .unwrap_or_else(|report| panic!("{demo:?} {line:?}: {report}"));
            assert!(other.written.contains_key(&line.key), "{line:?}");
            if assumed.key != "tyres.size" {
                // A pattern may stand for several names; the line is for the first of them.
                assert_eq!(other.car, build.car, "{demo:?} {line:?}");
                assert_eq!(other.days, build.days, "{demo:?} {line:?}");
            }
            written += 1;
        }
        assert!(written > 15, "{demo:?}: {written}");
    }
}

#[test]
fn a_gear_is_judged_by_its_kind() {
    let build = changed(&[
        ("kind = \"hypoid\"\nefficiency = \"0.96 ± 0.01\"\n", "kind = \"spiral bevel\"\n"),
        ("drag_torque = \"1.2 N m ± 40 %\"", ""),
    ]);
    let axle = build.car.driveline.axle;
    assert!((axle.efficiency_frac - 0.97).abs() < 1e-12);
    assert!((axle.drag_torque_nm - 0.8).abs() < 1e-12);
    let efficiency = assumed(&build, "driveline.axle.efficiency");
    assert_eq!(efficiency, Some(("0.97".into(), "± 0.01".into())));
    assert!(build.spreads.contains_key("driveline.axle.drag_torque"));
}

#[test]
fn a_label_class_is_a_band_and_needs_the_road() {
    let build = changed(&[("rolling_resistance = \"0.0115 ± 0.0015\"", "label_class = \"E\"")]);
    let tyres = &build.car.tyres;
    assert!((tyres.rolling_resistance - 0.0118).abs() < 1e-12);
    assert!((tyres.drum_to_road - 1.08).abs() < 1e-12);
    let SpreadKind::Uniform { low, high } = build.spreads["tyres.rolling_resistance"].kind else {
        panic!()
    };
    assert!((low - 0.0106).abs() < 1e-12 && (high - 0.013).abs() < 1e-12);
    assert!(build.spreads.contains_key("tyres.drum_to_road"));
    let plain = changed(&[]);
    assert!((plain.car.tyres.drum_to_road - 1.0).abs() < 1e-12);
}

const DRAG: &str = "drag_coefficient = \"0.43 ± 0.03\"\nfrontal_area = \"1.66 m2 ± 0.05 m2\"";
const TYRES: &str = "rolling_resistance = \"0.0115 ± 0.0015\"";

#[test]
fn road_load_may_be_given_in_three_ways() {
    let area = changed(&[(DRAG, "drag_area = \"0.7 m2\"")]);
    assert!(matches!(area.car.road_load, RoadLoadSpec::Terms { drag: DragSpec::Area(_), .. }));
    let coefficients = "road_load = { f0 = \"110 N\", f1 = \"0 N/(km/h)\", \
        f2 = \"0.033 N/(km/h)^2\", mass = \"905 kg\", turning = [\"axle\", \"gearbox\"] }";
    let coast_down = changed(&[(DRAG, coefficients), (TYRES, "")]);
    let RoadLoadSpec::Coefficients { f2_n_per_mps2, temperature_k, turning, .. } =
        coast_down.car.road_load
    else {
        panic!()
    };
    assert!((f2_n_per_mps2 - 0.033 * 12.96).abs() < 1e-12);
    assert!((temperature_k - 293.15).abs() < 1e-9);
    assert!(turning.axle && turning.gearbox && !turning.motor);
    assert!(assumed(&coast_down, "car.road_load.pressure").is_some());
}

#[test]
fn losses_may_be_a_best_point_or_a_sum() {
    let map = "losses = \"motor-losses.csv\"";
    let best = "losses = { best_efficiency = \"92 %\", at_speed = \"3500 rpm\", \
        at_torque = \"70 N m\" }";
    let build = changed(&[(map, best)]);
    let losses = build.car.motor.losses;
    assert!(matches!(losses, MotorLossSpec::BestPoint { torque_nm, .. } if torque_nm > 69.0));
    assert_eq!(build.inputs.len(), 2);
    let sum = "losses = { copper = \"0.12 W/(N m)^2\", iron = \"0.9 W/(rad/s)\", \
        windage = \"4e-7 W/(rad/s)^3\", fixed = \"50 W\" }";
    let losses = changed(&[(map, sum)]).car.motor.losses;
    assert!(matches!(losses, MotorLossSpec::Polynomial { fixed_w, .. } if fixed_w > 49.0));
}

#[test]
fn the_rolling_radius_has_three_sources() {
    let pushed = changed(&[("# rolled =", "rolled =")]);
    assert!(matches!(pushed.car.tyres.rolling, RollingSpec::Rolled { .. }));
    let maker = changed(&[("# revolutions_per_km", "revolutions_per_km")]);
    assert!(matches!(maker.car.tyres.rolling, RollingSpec::RevolutionsPerKm(_)));
    assert!(matches!(changed(&[]).car.tyres.rolling, RollingSpec::FromMark));
}

#[test]
fn a_cell_may_come_with_its_own_table() {
    let bench = Bench::demo();
    bench.write_bytes("cell-ocv.csv", b"charge_pct;voltage_v\n0;3,0\n50;3,7\n100;4,15\n");
    bench.replace("build.toml", "chemistry = \"nmc\"", "open_circuit = \"cell-ocv.csv\"");
    bench.replace("build.toml", "cell_voltage = { from = \"3.0 V\", to = \"4.2 V\" }\n", "");
    let build = bench.load(&[]).unwrap_or_else(|report| panic!("{report}"));
    assert!((build.car.pack.cell_max_voltage_v - 4.15).abs() < 1e-12);
    assert!((build.car.pack.open_circuit.voltage_v[1] - 3.7).abs() < 1e-12);
}

#[test]
fn without_days_and_loads_usual_ones_are_taken() {
    let bench = Bench::demo();
    let text = std::fs::read_to_string(bench.path("build.toml")).unwrap();
    let (loads, after) = (text.find("[load.base]").unwrap(), text.find("[charger]").unwrap());
    let days = text.find("[day.mild]").unwrap();
    let short = format!("{}{}", &text[..loads], &text[after..days]);
    bench.write_bytes("build.toml", short.as_bytes());
    let build = bench.load(&[]).unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(&*build.days[0].name, "mild");
    assert!((build.days[0].temperature_k - 288.15).abs() < 1e-9);
    assert!((build.car.loads[0].power_w - 180.0).abs() < 1e-12);
    assert!(build.spreads.contains_key("load.base.power"));
    assert!(build.demands.is_empty() && build.measured.is_empty());
}
