//! The whole program, as a person runs it: exit codes, what is printed and where, and that results
//! are written whole or not at all.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{copy_of, crownwheel, demo, path_text, run, text};

const DEMOS: [&str; 3] = ["dunlin", "godwit", "wren"];

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

/// Every file below a folder with its bytes, by name.
fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            let bytes = fs::read(&path).unwrap();
            found.push((path, bytes));
        }
    }
    found.sort();
    found
}

#[test]
fn every_demo_goes_through_every_command() {
    for name in DEMOS {
        let build = demo(name);
        let build = path_text(&build);
        for args in [
            vec!["check", "--worlds", "24"],
            vec!["weigh"],
            vec!["range", "--cycle", "udds", "--worlds", "24"],
        ] {
            let output = run(&[&args[..1], &[build], &args[1..]].concat());
            assert_eq!(code(&output), Some(0), "{name} {args:?}: {}", text(&output.stderr));
            assert!(output.stdout.len() > 200, "{name} {args:?}");
        }
        let out = TempDir::new().unwrap();
        let report = out.path().join("report");
        let args = ["report", build, "--cycle", "udds", "--worlds", "24"];
        let output = run(&[&args[..], &["--out", path_text(&report)]].concat());
        assert_eq!(code(&output), Some(0), "{name}: {}", text(&output.stderr));
        assert!(files(&report).len() > 5, "{name}");
    }
}

#[test]
fn json_can_be_read_and_nothing_else_is_printed() {
    for name in DEMOS {
        let build = demo(name);
        for command in ["check", "weigh"] {
            let output = run(&[command, path_text(&build), "--json"]);
            let value: Value = serde_json::from_slice(&output.stdout).unwrap();
            assert!(!value["plain"].as_str().unwrap().is_empty(), "{name} {command}");
            assert!(text(&output.stdout).ends_with("}\n"));
        }
    }
}

/// A build that is wrong: exit code 2, the place and the key on standard error, nothing on standard
/// output and nothing on disk.
#[test]
fn bad_input_writes_nothing() {
    let folder = copy_of("dunlin");
    let build = folder.path().join("build.toml");
    let good = fs::read_to_string(&build).unwrap();
    let bad = good.replacen("wheelbase =", "wheelbse =", 1);
    assert_ne!(bad, good);
    fs::write(&build, bad).unwrap();
    let out = folder.path().join("out");
    for command in ["check", "weigh", "range", "report"] {
        let output = run(&[command, path_text(&build), "--out", path_text(&out)]);
        assert_eq!(code(&output), Some(2), "{command}");
        assert!(output.stdout.is_empty(), "{command}");
        let why = text(&output.stderr);
        assert!(why.contains("wheelbse") && why.contains("build.toml:"), "{command}: {why}");
        assert!(!out.exists(), "{command}");
    }
}

#[test]
fn wrong_use_ends_with_2() {
    let missing = ["check", "/no/such/build.toml"];
    let unknown_cycle = ["range", "--cycle", "no-such-cycle"];
    let dunlin = demo("dunlin");
    for args in [
        vec!["fly"],
        vec!["check", "--no-such-flag"],
        missing.to_vec(),
        [&unknown_cycle[..], &[path_text(&dunlin)]].concat(),
        vec!["range", path_text(&dunlin), "--day", "doomsday"],
        vec!["check", path_text(&dunlin), "--set", "car.wheelbase"],
        vec!["check", path_text(&dunlin), "--set", "car.wheelbase=2 kg"],
    ] {
        let output = run(&args);
        assert_eq!(code(&output), Some(2), "{args:?}: {}", text(&output.stderr));
        assert!(output.stdout.is_empty(), "{args:?}");
        assert!(!output.stderr.is_empty(), "{args:?}");
    }
}

/// The saloon is over its rear plate: a warning, which ends a strict run with 1 and no other.
#[test]
fn a_warning_counts_when_asked_to_be_strict() {
    let build = demo("dunlin");
    assert_eq!(code(&run(&["weigh", path_text(&build)])), Some(0));
    assert_eq!(code(&run(&["weigh", path_text(&build), "--strict"])), Some(1));
}

#[test]
fn results_may_be_written_again_and_are_the_same() {
    let build = demo("wren");
    let out = TempDir::new().unwrap();
    let folder = out.path().join("results");
    let args = ["weigh", path_text(&build), "--out", path_text(&folder)];
    assert_eq!(code(&run(&args)), Some(0));
    let first = files(&folder);
    assert!(first.len() >= 3, "{first:?}");
    assert_eq!(code(&run(&args)), Some(0));
    assert_eq!(files(&folder), first);
}

/// A result that somebody changed is theirs: nothing is replaced until they say so.
#[test]
fn a_changed_result_is_refused_without_force() {
    let build = demo("wren");
    let out = TempDir::new().unwrap();
    let folder = out.path().join("results");
    let args = ["weigh", path_text(&build), "--out", path_text(&folder)];
    assert_eq!(code(&run(&args)), Some(0));
    let first = files(&folder);
    let answer = folder.join("weigh.txt");
    fs::write(&answer, "a note of mine").unwrap();
    let changed = files(&folder);
    let output = run(&args);
    assert_eq!(code(&output), Some(1));
    assert!(text(&output.stderr).contains("weigh.txt"), "{}", text(&output.stderr));
    assert_eq!(files(&folder), changed, "nothing was touched");
    assert_eq!(code(&run(&[&args[..], &["--force"]].concat())), Some(0));
    assert_eq!(files(&folder), first);
}

/// A reader that has read enough is no error: `crownwheel keys | head`.
#[test]
fn a_closed_pipe_is_no_error() {
    for args in [vec!["keys"], vec!["cycles", "wltc3b"]] {
        let mut child =
            crownwheel().args(&args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(code(&output), Some(0), "{args:?}: {}", text(&output.stderr));
        assert!(output.stderr.is_empty(), "{args:?}: {}", text(&output.stderr));
    }
}

/// What `new` writes runs as it is, and a second `new` does not write over it.
#[test]
fn a_new_build_runs() {
    let out = TempDir::new().unwrap();
    let folder = out.path().join("mine");
    assert_eq!(code(&run(&["new", path_text(&folder)])), Some(0));
    assert_eq!(code(&run(&["check", path_text(&folder)])), Some(0));
    let before = files(&folder);
    assert_ne!(code(&run(&["new", path_text(&folder)])), Some(0));
    assert_eq!(files(&folder), before);
}

/// Units are for the eye: the same answer in miles and pounds.
#[test]
fn answers_come_in_us_units_too() {
    let build = demo("godwit");
    let shown = |units: &str| {
        let output = run(&["weigh", path_text(&build), "--units", units]);
        assert_eq!(code(&output), Some(0), "{}", text(&output.stderr));
        text(&output.stdout).to_owned()
    };
    let (metric, us) = (shown("metric"), shown("us"));
    assert!(metric.contains("kg") && us.contains("lb"), "{us}");
    assert_ne!(metric, us);
}

#[test]
fn the_report_shows_pull_hills_heat_currents_and_charging() {
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("report");
    let dunlin = demo("dunlin");
    let args = ["report", path_text(&dunlin), "--worlds", "60", "--out", path_text(&out)];
    let done = run(&args);
    assert_eq!(code(&done), Some(0), "{}", text(&done.stderr));
    for figure in
        ["tractive-effort", "full-throttle", "hill-heat", "windows-battery-current-rms", "charging"]
    {
        assert!(out.join(format!("figures/{figure}.svg")).is_file(), "{figure}");
    }
    for table in ["pull", "pull-nearly-empty", "pull-hold", "pull-hills", "charge", "charge-points"]
    {
        assert!(out.join(format!("tables/{table}.csv")).is_file(), "{table}");
    }
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("Hills and heat") && page.contains("moor_bank"));
}

#[test]
fn pull_charge_and_gauges_answer_for_every_demo() {
    for name in DEMOS {
        for args in [&["pull", "--worlds", "60"][..], &["charge", "--worlds", "60"], &["gauges"]] {
            let done = run(&[args, &[path_text(&demo(name)), "--json"]].concat());
            assert_eq!(code(&done), Some(0), "{args:?} {name}: {}", text(&done.stderr));
            let answer: Value = serde_json::from_slice(&done.stdout).unwrap();
            assert!(answer["plain"].is_string(), "{args:?} {name}");
        }
        let done = run(&["pull", path_text(&demo(name)), "--worlds", "1", "--json"]);
        let answer: Value = serde_json::from_slice(&done.stdout).unwrap();
        let rows = answer["table"].as_array().unwrap();
        assert!(rows.iter().all(|row| row["limit"].as_str().unwrap() != "none"), "{name}");
        // At top speed pull equals road load, or the motor turns as fast as it may.
        let top_kmh = answer["top_speed"]["kmh"].as_f64().unwrap();
        if answer["top_speed"]["limit"] != "motor speed" {
            let spare = |row: &Value| {
                row["pull_n"].as_f64().unwrap() - row["road_load_n"].as_f64().unwrap()
            };
            let below = rows.iter().rfind(|row| row["speed_kmh"].as_f64().unwrap() <= top_kmh);
            let above = rows.iter().find(|row| row["speed_kmh"].as_f64().unwrap() > top_kmh);
            assert!(spare(below.unwrap()) >= 0.0 && spare(above.unwrap()) < 0.0, "{name}");
        }
    }
}

#[test]
fn a_list_of_ratios_stands_side_by_side_and_two_lists_are_refused() {
    let dunlin = demo("dunlin");
    let list = "driveline.axle.ratio=3.70,3.89,4.22";
    let done = run(&["pull", path_text(&dunlin), "--set", list, "--json"]);
    let answer: Value = serde_json::from_slice(&done.stdout).unwrap();
    let names: Vec<&str> = answer["ratios"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["name"].as_str().unwrap())
        .collect();
    assert_eq!(names.len(), 3);
    assert_eq!(names[1], "driveline.axle.ratio = 3.89");
    let rpm = |i: usize| answer["ratios"][i]["motor_at_112_kmh_rpm"].as_f64().unwrap();
    assert!((rpm(2) / rpm(0) - 4.22 / 3.70).abs() < 1e-9);
    let twice =
        run(&["pull", path_text(&dunlin), "--set", list, "--set", "pack.modules_in_series=8,9"]);
    assert_eq!(code(&twice), Some(2));
    assert!(text(&twice.stderr).contains("both lists"));
}

#[test]
fn charging_down_is_refused_and_a_percent_is_read() {
    let dunlin = demo("dunlin");
    let down = run(&["charge", path_text(&dunlin), "--from", "90%", "--to", "10%"]);
    assert_eq!(code(&down), Some(2));
    assert!(text(&down.stderr).contains("charging goes up"));
    let wrong = run(&["charge", path_text(&dunlin), "--from", "half"]);
    assert_eq!(code(&wrong), Some(2));
    assert!(text(&wrong.stderr).contains("--from 10%"));
}

#[test]
fn a_dead_socket_is_said_and_the_others_are_answered() {
    let set = "supply.garage.limit=\"0 W\"";
    let done = run(&["charge", path_text(&demo("dunlin")), "--set", set, "--json"]);
    assert_eq!(code(&done), Some(0), "{}", text(&done.stderr));
    let answer: Value = serde_json::from_slice(&done.stdout).unwrap();
    assert!(answer["supplies"][0]["hours"].is_null());
    assert!(answer["supplies"][1]["hours"].is_number());
    assert_eq!(answer["warnings"][0]["code"], "does_not_charge");
}
