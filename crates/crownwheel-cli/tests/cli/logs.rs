//! `trip` and `audit` as a person runs them: answers, files, refusals and exit codes.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{copy_of, demo, demo_log, dunlin, good, run, text};

/// Exit code 2, nothing on standard output, and these words on standard error.
fn refused(args: &[&str], words: &[&str]) {
    let output = run(args);
    let why = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{args:?}: {why}");
    assert!(output.stdout.is_empty(), "{args:?}");
    for word in words {
        assert!(why.contains(word), "{word}: {why}");
    }
}

fn answered(args: &[&str]) -> String {
    text(&good(args).stdout).to_owned()
}

fn count_of(answer: &Value, kind: &str) -> u64 {
    let repairs = answer["repairs"].as_array().unwrap();
    let line = repairs.iter().find(|line| line["kind"] == kind);
    line.unwrap_or_else(|| panic!("no {kind} in {repairs:?}"))["count"].as_u64().unwrap()
}

#[test]
fn the_demo_round_is_read_from_gpx_and_from_a_phone_table() {
    for (name, kinds) in [
        (
            "moor-round.gpx",
            &["zero_fixes", "without_time", "duplicate_times", "position_spikes", "gaps"][..],
        ),
        (
            "moor-round-phone.csv",
            &["sep_line", "decimal_commas", "midnight_wraps", "speed_spikes", "no_value_cells"],
        ),
    ] {
        let answer: Value =
            serde_json::from_str(&answered(&["trip", &demo_log(name), "--json"])).unwrap();
        let way_km = answer["distance_km"].as_f64().unwrap();
        // The round is 46.0 km long and takes 2,662 s as the Dunlin drives it.
        assert!((way_km / 46.0 - 1.0).abs() < 0.005, "{name}: {way_km}");
        assert!((answer["duration_s"].as_f64().unwrap() - 2662.0).abs() < 3.0, "{name}");
        let (climb_m, raw_m) =
            (answer["climb_m"].as_f64().unwrap(), answer["climb_raw_m"].as_f64().unwrap());
        assert!(climb_m < raw_m && (880.0..1000.0).contains(&climb_m), "{name}: {climb_m} {raw_m}");
        // Fixes wander by most of a metre from second to second; a phone's own speed does not.
        let noisy =
            answer["warnings"].as_array().unwrap().iter().any(|w| w["code"] == "noisy_speed");
        assert_eq!(noisy, name.ends_with(".gpx"), "{name}");
        for kind in kinds {
            assert!(count_of(&answer, kind) > 0, "{name} {kind}");
        }
    }
}

#[test]
fn a_cycle_is_written_once_and_range_drives_it() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("round.csv");
    let cycle = path.to_str().unwrap();
    for by in ["time", "distance"] {
        let log = demo_log("moor-round.gpx");
        let shown = answered(&["trip", &log, "-o", cycle, "--by", by, "--force"]);
        assert!(shown.contains("The cycle is written to"), "{shown}");
        let driven = answered(&["range", &dunlin(), "--cycle", cycle, "--day", "mild", "--json"]);
        let driven: Value = serde_json::from_str(&driven).unwrap();
        let use_wh = driven["results"][0]["use_wh_per_km"].as_f64().unwrap();
        // The round itself takes 136 Wh/km; noise of the receiver must not add much.
        assert!((125.0..155.0).contains(&use_wh), "{by}: {use_wh}");
    }
    let before = fs::read(&path).unwrap();
    let again = run(&["trip", &demo_log("moor-round-phone.csv"), "-o", cycle]);
    assert_eq!(again.status.code(), Some(1), "{}", text(&again.stderr));
    assert!(text(&again.stderr).contains("is there already"));
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_log_without_times_wants_a_speed() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("route.gpx");
    let points: String = (0..50)
        .map(|i| {
            format!("<rtept lat=\"54.{:03}\" lon=\"-2\"><ele>{}</ele></rtept>\n", 500 + i, 100 + i)
        })
        .collect();
    fs::write(&path, format!("<gpx version=\"1.0\"><rte>{points}</rte></gpx>")).unwrap();
    let route = path.to_str().unwrap();
    refused(&["trip", route], &["none of its 50 points has a time", "--speed \"60 km/h\""]);
    refused(&["trip", route, "--speed", "60"], &["is no speed", "60 km/h"]);
    refused(&["trip", route, "--speed", "900 km/h"], &["250 km/h"]);
    let answer: Value =
        serde_json::from_str(&answered(&["trip", route, "--speed", "40 mph", "--json"])).unwrap();
    assert_eq!(answer["is_route"], true);
    // 0.049 degrees of latitude are 5.45 km.
    assert!((answer["distance_km"].as_f64().unwrap() - 5.454).abs() < 0.01);
}

#[test]
fn what_is_no_log_is_refused() {
    let build = demo("dunlin").join("build.toml");
    refused(&["trip", build.to_str().unwrap()], &["cannot be used", "help"]);
    refused(&["trip", "no/such/log.gpx"], &["no such file"]);
    refused(&["trip", &dunlin()], &["it is a folder"]);
    refused(&["trip", &demo_log("moor-round.gpx"), "--speed-unit", "furlong"], &["km/h, mph, kn"]);
}

#[test]
fn the_audit_finds_the_dragging_brake_and_shows_its_figure() {
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("out");
    let (log, build) = (demo_log("finished-car.csv"), dunlin());
    let args = ["audit", &log, &build, "--json", "--out", out.to_str().unwrap()];
    let answer: Value = serde_json::from_str(&answered(&args)).unwrap();
    let first = &answer["findings"][0];
    assert_eq!(first["what"], "constant drag force");
    let newton = first["changes"][0]["change"]["value"].as_f64().unwrap();
    assert!((60.0..120.0).contains(&newton), "{newton}");
    assert_eq!(first["changes"][0]["change"]["unit"], "N");
    assert!(first["suggestion"].as_str().unwrap().contains("wheel bearings"));
    assert_eq!(answer["discharge_sign"], "negative");
    let measured = answer["measured_use_wh_per_km"]["nominal"].as_f64().unwrap();
    let predicted = &answer["predicted_use_wh_per_km"];
    assert!(measured > predicted["p50"].as_f64().unwrap());
    let svg = fs::read_to_string(out.join("audit.svg")).unwrap();
    assert!(svg.contains("predicted by the build"));
    for table in ["audit", "audit-findings", "audit-doings", "audit-course"] {
        assert!(out.join(format!("{table}.csv")).is_file(), "{table}");
    }
    // The same in US units keeps its meaning: 25 to 26 % of a pound-force to the newton.
    let us = [&args[..4], &["--units", "us"]].concat();
    let us: Value = serde_json::from_str(&answered(&us)).unwrap();
    assert_eq!(us["findings"][0]["changes"][0]["change"]["unit"], "lbf");
    let pounds = us["findings"][0]["changes"][0]["change"]["value"].as_f64().unwrap();
    assert!((pounds * 4.448_221_6 / newton - 1.0).abs() < 1e-6);
}

#[test]
fn a_fact_is_added_and_nothing_else_is_touched() {
    let folder = copy_of("dunlin");
    let build = folder.path().join("build.toml");
    let before = fs::read_to_string(&build).unwrap();
    let log = demo_log("finished-car.csv");
    let path = build.to_str().unwrap();
    let args = ["audit", &log, path, "--write", "moor_in_june"];
    let shown = answered(&args);
    assert!(shown.contains("They are written into"), "{shown}");
    let after = fs::read_to_string(&build).unwrap();
    let added = after.strip_prefix(&before).unwrap();
    assert!(
        added.contains("[measured.moor_in_june]") && added.contains("finished-car.csv"),
        "{added}"
    );
    assert!(folder.path().join("moor_in_june.csv").is_file());
    answered(&["check", path]);
    refused(&args, &["already", "another name"]);
    refused(&["audit", &log, path, "--write", "../June"], &["small letters"]);
    assert_eq!(fs::read_to_string(&build).unwrap(), after);
}

#[test]
fn logs_that_cannot_bear_an_audit_are_refused() {
    let build = &dunlin();
    refused(&["audit", &demo_log("moor-round-phone.csv"), build], &["no column of pack volts"]);
    refused(&["audit", &demo_log("finished-car.csv"), build, "--from", "full"], &["--from 10%"]);
    let folder = TempDir::new().unwrap();
    let short = folder.path().join("short.csv");
    let whole = fs::read_to_string(demo_log("finished-car.csv")).unwrap();
    let lines: Vec<&str> = whole.lines().take(120).collect();
    fs::write(&short, lines.join("\n")).unwrap();
    refused(&["audit", short.to_str().unwrap(), build], &["too short to judge", "at least 3 km"]);
}
