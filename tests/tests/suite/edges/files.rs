//! The same edges as people would write them: keys of a build set over the demo's, and cycle files.
//! Each is answered in finite numbers or refused with the key, what is allowed, and no more.

use std::fmt::Write as _;
use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::Subject;
use crownwheel_answers::{Provenance, Units};
use crownwheel_files::{Build, Report, Set, cycle_file, load};
use crownwheel_quantities::Supply;

use super::answers::{assert_answers, assert_balance, to_the_end};
use crate::demo::DUNLIN;

fn loaded(sets: &[&str]) -> Result<Build, Report> {
    let sets: Vec<Set> = sets.iter().map(|set| Set::parse(set).unwrap()).collect();
    load(&DUNLIN.path(), &sets)
}

fn answered(sets: &[&str]) {
    let name = sets.join(", ");
    let build = loaded(sets).unwrap_or_else(|report| panic!("{name}: {}", report.render(false)));
    let subject = Subject {
        car: Car::new(&build.car).unwrap(),
        days: vec![Day::new(&build.days[0]).unwrap()],
        provenance: Provenance::default(),
        assumed: Vec::new(),
        notes: build.notes.clone(),
        warnings: build.warnings.clone(),
        lines_to_add: Vec::new(),
        units: Units::Metric,
    };
    let cycle = Cycle::builtin("udds").unwrap();
    let supply = |supply: &Supply| supply.clone();
    let supplies: Vec<Supply> = build.supplies.iter().map(supply).collect();
    assert_answers(&name, &subject, std::slice::from_ref(&cycle), &supplies);
    assert_balance(&name, &to_the_end(&build.car, &build.days[0], &cycle));
}

/// Refused for what was set: the problem names the key (or one that it has to go with) and says what is
/// allowed.
fn refused(sets: &[&str], key: &str) {
    let name = sets.join(", ");
    let Err(report) = loaded(sets) else { panic!("{name} was taken") };
    let problem = report.problems().iter().find(|problem| problem.key.contains(key));
    let problem = problem.unwrap_or_else(|| panic!("{name}: {}", report.render(false)));
    let said = format!("{} {} {}", problem.what, problem.allowed, problem.hint);
    assert!(problem.what.len() > 10 && said.len() > 30, "{name}: {problem:?}");
    let text = report.render(false);
    assert!(!text.contains("NaN") && !text.contains("inf "), "{name}: {text}");
}

#[test]
fn days_at_their_ends() {
    for temperature in ["-40 °C", "60 °C", "-40 °F", "140 °F"] {
        answered(&[&format!("day.mild.temperature={temperature}")]);
    }
    for more in ["day.mild.altitude=-400 m", "day.mild.altitude=5000 m", "day.mild.humidity=1"] {
        answered(&[more]);
    }
    for wind in ["40 m/s all round", "0 m/s all round", "calm"] {
        answered(&[&format!("day.mild.wind=\"{wind}\"")]);
    }
    answered(&["day.mild.extra_load=50 kW", "day.mild.temperature=-40 °C"]);
    refused(&["day.mild.temperature=-41 °C"], "day.mild.temperature");
    refused(&["day.mild.temperature=nan °C"], "day.mild.temperature");
    refused(&["day.mild.temperature=1e999 °C"], "day.mild.temperature");
    refused(&["day.mild.altitude=9000 m"], "day.mild.altitude");
    refused(&["day.mild.wind=\"50 m/s all round\""], "day.mild.wind");
}

#[test]
fn cars_at_their_ends() {
    answered(&["car.drag_coefficient=0.001", "tyres.rolling_resistance=1e-6"]);
    refused(&["car.drag_coefficient=0", "tyres.rolling_resistance=0"], "car.drag_coefficient");
    let tonnes = ["front_left", "front_right", "rear_left", "rear_right"]
        .map(|corner| format!("corner_weights.{corner}=5 t"));
    answered(&tonnes.each_ref().map(String::as_str));
    refused(&["luggage.mass=60 t"], "luggage.mass");
    refused(&["corner_weights.front_left=15 t"], "corner_weights.front_left");
    answered(&["driveline.axle.ratio=0.05"]);
    answered(&["driveline.axle.ratio=50"]);
    answered(&["tyres.grip.dry=0.01"]);
    answered(&["motor.losses_scale=10"]);
    answered(&["inverter.max_battery_current=1 mA"]);
    answered(&["regen.share=0", "regen.fade_out_below=0.001 m/s"]);
    refused(&["car.drag_coefficient=-0.1"], "car.drag_coefficient");
    refused(&["corner_weights.front_left=0 kg"], "corner_weights.front_left");
    refused(&["taken_out.engine.mass=5 t"], "taken_out");
    refused(&["driveline.axle.ratio=0"], "driveline.axle.ratio");
    refused(&["motor.max_speed=0 rpm"], "motor.max_speed");
    refused(&["motor.max_speed=9000 rpm"], "motor.max_speed");
}

#[test]
fn packs_at_their_ends() {
    answered(&["pack.cell_capacity=1 mAh"]);
    answered(&["pack.cell_capacity=2000 Ah"]);
    answered(&["pack.cell_resistance=1 ohm"]);
    answered(&["pack.cell_resistance=1e-9 ohm", "pack.harness_resistance=0 ohm"]);
    answered(&["pack.usable.from=0 %", "pack.usable.to=100 %"]);
    answered(&["pack.module_mass=1 g"]);
    answered(&["pack.state_of_health=0.101"]);
    answered(&["pack.max_charge=0.001 C", "pack.max_discharge=0.001 C"]);
    refused(&["pack.cell_capacity=0 Ah"], "pack.cell_capacity");
    refused(&["pack.cell_resistance=0 ohm"], "pack.cell_resistance");
    refused(&["pack.usable.from=96 %", "pack.usable.to=8 %"], "pack.usable");
    refused(&["pack.modules_in_series=0"], "pack.modules_in_series");
    refused(&["pack.modules_in_series=1"], "voltage_window");
    refused(&["pack.modules_in_series=100000"], "pack.modules_in_series");
    refused(&["pack.cells_in_series=1e30"], "pack.cells_in_series");
}

#[test]
fn supplies_and_hills_at_their_ends() {
    for limit in ["1 mW", "1 GW"] {
        match loaded(&[&format!("supply.garage.limit={limit}")]) {
            Ok(_) => answered(&[&format!("supply.garage.limit={limit}")]),
            Err(_) => refused(&[&format!("supply.garage.limit={limit}")], "supply.garage.limit"),
        }
    }
    answered(&["supply.garage.limit=0 W"]);
    refused(&["hill.moor_bank.speed=0 km/h"], "hill.moor_bank.speed");
}

fn cycle_of(folder: &Path, name: &str, text: &str) -> Result<Cycle, Report> {
    std::fs::write(folder.join(name), text).unwrap();
    cycle_file::open(name, folder).map(|file| file.cycle)
}

#[test]
fn cycle_files_at_their_ends() {
    let folder = tempfile::tempdir().unwrap();
    let cycle = |name: &str, text: &str| cycle_of(folder.path(), name, text);
    let mut day = "time_s,speed_kmh\n".to_owned();
    for minute in 0..=1440 {
        let speed_kmh = if minute % 60 < 10 { 50 } else { 0 };
        writeln!(day, "{},{speed_kmh}", minute * 60).unwrap();
    }
    let grade = |grade_pct: i32| {
        format!(
            "time_s,speed_kmh,grade_pct\n0,0,{grade_pct}\n10,20,{grade_pct}\n60,20,{grade_pct}\n"
        )
    };
    let files = [
        ("short.csv", "time_s,speed_kmh\n0,0\n20,36\n".to_owned()),
        ("day.csv", day),
        ("up.csv", grade(100)),
        ("down.csv", grade(-100)),
        ("still.csv", "time_s,speed_kmh\n0,0\n86400,0\n86420,36\n".to_owned()),
    ];
    let build = DUNLIN.build();
    for (name, text) in &files {
        let cycle = cycle(name, text).unwrap_or_else(|report| panic!("{}", report.render(false)));
        let run = to_the_end(&build.car, &build.days[0], &cycle);
        assert_balance(name, &run);
        assert!(run.distance_m.is_finite() && run.wall_j.is_finite(), "{name}: {run:?}");
    }
    let wrong = [
        ("second.csv", "time_s,speed_kmh\n0,0\n1,3.6\n".to_owned()),
        ("nothing.csv", "time_s,speed_kmh\n0,0\n86400,0\n".to_owned()),
        ("wall.csv", grade(101)),
        ("rocket.csv", "time_s,speed_kmh\n0,0\n1,361\n".to_owned()),
        ("back.csv", "time_s,speed_kmh\n0,0\n5,10\n4,10\n".to_owned()),
        ("nan.csv", "time_s,speed_kmh\n0,0\n1,nan\n".to_owned()),
        ("one.csv", "time_s,speed_kmh\n0,10\n".to_owned()),
        ("empty.csv", String::new()),
    ];
    for (name, text) in &wrong {
        let Err(report) = cycle(name, text) else { panic!("{name} was taken") };
        let said = report.render(false);
        assert!(said.contains(name) && said.len() > 40, "{name}: {said}");
    }
}
