//! Two builds: what differs, and what may go over from one to the other.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

use std::fs;
use std::path::{Path, PathBuf};

use crownwheel_files::pair::Difference;
use crownwheel_files::{Pair, Set};
use tempfile::TempDir;

use crate::bench::Demo;

fn copy(folder: &Path, edits: &[(&str, &str)]) -> PathBuf {
    fs::create_dir_all(folder).unwrap();
    for name in Demo::Dunlin.files() {
        fs::copy(Demo::Dunlin.folder().join(&name), folder.join(&name)).unwrap();
    }
    let path = folder.join("build.toml");
    let mut text = fs::read_to_string(&path).unwrap();
    for (from, to) in edits {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    fs::write(&path, text).unwrap();
    path
}

fn pair_of(edits: &[(&str, &str)]) -> (Pair, Vec<Difference>) {
    let folder = TempDir::new().unwrap();
    let second = copy(folder.path(), edits);
    let pair = Pair::load(&Demo::Dunlin.folder(), &second, &[]).unwrap();
    let changes = pair.changes();
    (pair, changes)
}

fn names(changes: &[Difference]) -> Vec<&str> {
    changes.iter().map(|change| change.name.as_str()).collect()
}

#[test]
fn the_same_build_written_otherwise_does_not_differ() {
    let (_, changes) =
        pair_of(&[("\"148 kg\"", "\"148.0 kg\""), ("ratio = 4.22", "ratio = 4.220")]);
    assert_eq!(names(&changes), [""; 0]);
}

#[test]
fn each_difference_goes_over_by_itself() {
    let (pair, changes) = pair_of(&[
        ("ratio = 4.22", "ratio = 3.89"),
        ("modules_in_series = 9", "modules_in_series = 8"),
        ("[plate]", "[put_in.heater]\nmass = \"6 kg\"\nbehind_front_axle = \"0.3 m\"\n[plate]"),
        ("[put_in.vacuum_pump]\nmass = \"3.5 kg\"\nbehind_front_axle = \"-0.10 m\"\n", ""),
    ]);
    assert_eq!(
        names(&changes),
        ["driveline.axle.ratio", "pack.modules_in_series", "put_in.heater", "put_in.vacuum_pump"]
    );
    assert_eq!(changes[0].keys[0].first.as_deref(), Some("4.22"));
    assert_eq!(changes[0].keys[0].second.as_deref(), Some("3.89"));
    assert_eq!(changes[2].keys.len(), 2);
    assert_eq!(changes[2].keys[1].first, None);
    let only_ratio = pair.with(&changes[0]).unwrap();
    assert!((only_ratio.car.driveline.axle.ratio - 3.89).abs() < 1e-12);
    assert_eq!(only_ratio.car.pack.modules_in_series, 9);
    let heater = pair.with(&changes[2]).unwrap();
    assert_eq!(heater.car.weights.put_in.len(), pair.first.car.weights.put_in.len() + 1);
    let no_pump = pair.with(&changes[3]).unwrap();
    assert_eq!(no_pump.car.weights.put_in.len() + 1, pair.first.car.weights.put_in.len());
}

/// A drag area instead of a coefficient and an area: none of the three may go over alone.
#[test]
fn what_cannot_go_over_alone_goes_together() {
    let (pair, changes) = pair_of(&[
        ("drag_coefficient = \"0.43 ± 0.03\"\n", "drag_area = \"0.68 m2\"\n"),
        ("frontal_area = \"1.66 m2 ± 0.05 m2\" ", "# "),
        ("ratio = 4.22", "ratio = 3.89"),
    ]);
    assert_eq!(
        names(&changes),
        ["car.drag_area, car.drag_coefficient, car.frontal_area", "driveline.axle.ratio"]
    );
    let switched = pair.with(&changes[0]).unwrap();
    assert_eq!(switched.car.road_load, pair.second.car.road_load);
}

#[test]
fn a_table_with_other_contents_is_a_difference() {
    let folder = TempDir::new().unwrap();
    let second = copy(folder.path(), &[]);
    let losses = folder.path().join("motor-losses.csv");
    let text = fs::read_to_string(&losses).unwrap();
    let last = text.trim_end().rsplit(',').next().unwrap();
    let (head, _) = text.trim_end().rsplit_once(',').unwrap();
    fs::write(&losses, format!("{head},{}\n", last.parse::<f64>().unwrap() + 100.0)).unwrap();
    let pair = Pair::load(&Demo::Dunlin.folder(), &second, &[]).unwrap();
    let changes = pair.changes();
    assert_eq!(names(&changes), ["motor.losses"]);
    let second_text = changes[0].keys[0].second.as_deref();
    assert_eq!(second_text, Some("motor-losses.csv (with other contents)"));
    let switched = pair.with(&changes[0]).unwrap();
    assert_eq!(switched.car.motor.losses, pair.second.car.motor.losses);
}

#[test]
fn values_of_the_command_line_go_over_the_second() {
    let sets = [Set::parse("driveline.axle.ratio=3.89").unwrap()];
    let dunlin = Demo::Dunlin.folder();
    let pair = Pair::load(&dunlin, &dunlin, &sets).unwrap();
    assert_eq!(names(&pair.changes()), ["driveline.axle.ratio"]);
    assert!((pair.first.car.driveline.axle.ratio - 4.22).abs() < 1e-12);
}
