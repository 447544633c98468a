//! Input that nobody means: it is refused or put right, with what is allowed and how to write it.

use std::fs;

use tempfile::TempDir;

use crate::bench::{copy_of, demo_log, dunlin, path_text, run, run_with, text};

/// Ends with 2, prints nothing, and says all of these words.
fn refused(args: &[&str], words: &[&str]) {
    let output = run(args);
    let why = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{args:?}: {why}");
    assert!(output.stdout.is_empty(), "{args:?}");
    for word in words {
        assert!(why.contains(word), "{args:?}: {word} is not in {why}");
    }
}

#[test]
fn values_that_begin_with_a_minus_are_values() {
    let (car, log) = (dunlin(), demo_log("coastdown-logger.csv"));
    let runs = ["coastdown", &log, "--mass", "905 kg"];
    let coasting = |more: &[&'static str]| [&runs[..], more].concat();
    for (args, words) in [
        (vec!["charge", &car, "--from", "-5%"], &["--from -5%", "0% to 100%", "--from 10%"][..]),
        (
            vec!["charge", &car, "--from", "90%", "--to", "10%"],
            &["90% is not below --to 10%", "write"],
        ),
        (vec!["charge", &car, "--to", "5%"], &["8%, the pack's lowest, is not below --to 5%"]),
        (
            vec!["charge", &car, "--from", "99%"],
            &["--from 99% is not below 96%, the pack's highest;"],
        ),
        (vec!["check", &car, "--set", "=3"], &["`--set =3` has no key"]),
        (vec!["check", &car, "--set", "driveline.axle.ratio=3.6,3.9"], &["one is wanted"]),
        (vec!["charge", &car, "--to", "-0.2"], &["--to -0.2", "0% to 100%"]),
        (vec!["range", &car, "--worlds", "-3"], &["'-3'", "from 1 (nominal values"]),
        (vec!["sweep", &car, "--world", "-1"], &["'-1'", "counted from 1"]),
        (vec!["sweep", &car, "--part", "-1/2", "--out", "x"], &["--part -1/2", "--part 3/8"]),
        (vec!["explore", &car, "--port", "-1"], &["'-1'", "1024 to 65535"]),
        (vec!["explore", &car, "--port", "99999"], &["'99999'", "1024 to 65535"]),
        (vec!["audit", &log, &car, "--from", "-5%"], &["--from -5%", "0% to 100%"]),
        (vec!["trip", &log, "--speed", "-60 km/h"], &["-60 km/h", "for example --speed"]),
        (vec!["coastdown", &log, "--mass", "-905 kg"], &["-905 kg", "--mass"]),
        (coasting(&["--pressure", "-99 kPa"]), &["-99 kPa", "--pressure"]),
        (coasting(&["--rotating-mass", "-3 %"]), &["-3 %", "--rotating-mass"]),
        (coasting(&["--wind", "-3 m/s headwind"]), &["--wind", "turn the direction round"]),
        (coasting(&["--wind", "3 m/s headwind", "--wind-height", "-3 m"]), &["-3 m", "height"]),
    ] {
        refused(&args, words);
    }
}

#[test]
fn a_folder_in_the_place_of_a_log_is_named_with_the_way_out() {
    let folder = TempDir::new().unwrap();
    let path = path_text(folder.path());
    refused(&["trip", path], &["it is a folder", "name the file itself"]);
    refused(&["coastdown", path, "--mass", "905 kg"], &["it is a folder", "name the file itself"]);
}

#[test]
fn an_empty_file_is_said_to_be_empty() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("nothing.toml");
    fs::write(&path, "\n").unwrap();
    let path = path_text(&path);
    for command in ["check", "range", "report", "gauges", "explore"] {
        refused(&[command, path], &["nothing.toml:1:1", "is empty: a build is wanted", "new DIR"]);
    }
    refused(&["sweep", path], &["nothing.toml:1:1", "is empty: a sweep is wanted", "new DIR"]);
}

/// A hundred thousand threads were never started.
#[test]
fn threads_are_held_to_what_the_machine_can_run() {
    let car = dunlin();
    let args = ["range", &car, "--worlds", "20", "--cycle", "nedc", "--json"];
    let usual = run(&args);
    for (threads, words) in [
        ("100000", "more than 4 threads a core"),
        ("999999999999999999999999", "more than 4 threads a core"),
        ("many", "is no number of threads"),
    ] {
        let output = run_with(&args, threads);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{threads}: {said}");
        assert!(said.contains("RAYON_NUM_THREADS") && said.contains(words), "{threads}: {said}");
        assert!(output.stdout == usual.stdout, "{threads}");
    }
}

/// A log of 500 km/h: the time in the log and both units, not the number of a sample.
#[test]
fn a_log_that_is_too_fast_is_refused_with_its_time() {
    let folder = TempDir::new().unwrap();
    let log = folder.path().join("fast.csv");
    let rows: String = (0..60).map(|second| format!("{second},500\n")).collect();
    fs::write(&log, format!("time_s,speed_kmh\n{rows}")).unwrap();
    let words =
        ["fast", "0 s after its start", "500 km/h", "0 to 360 km/h is allowed", "--speed-unit"];
    refused(&["trip", path_text(&log)], &words);
}

/// What a terminal is not shown is in no table either.
#[test]
fn a_name_that_hides_something_is_clean_in_tables() {
    let car = copy_of("dunlin");
    let build = car.path().join("build.toml");
    let whole = fs::read_to_string(&build).unwrap();
    let name = "name = \"Dunlin\\u0007 \\u202E0011\"";
    let named: String =
        whole
            .lines()
            .map(|line| {
                if line.starts_with("name = ") { format!("{name}\n") } else { format!("{line}\n") }
            })
            .collect();
    assert_ne!(named, whole);
    fs::write(&build, named).unwrap();
    let out = car.path().join("out");
    for command in ["check", "weigh", "range", "pull", "charge", "gauges", "report"] {
        let mut args = vec![command, path_text(car.path()), "--out", path_text(&out), "--force"];
        if !["weigh", "gauges"].contains(&command) {
            args.extend(["--worlds", "1"]);
        }
        let output = run(&args);
        assert_eq!(output.status.code(), Some(0), "{command}: {}", text(&output.stderr));
    }
    let mut seen = 0;
    let mut folders = vec![out];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "csv") {
                let table = String::from_utf8(fs::read(&path).unwrap()).unwrap();
                let hidden = |c: char| c.is_control() && c != '\n' || c == '\u{202e}';
                assert!(!table.contains(hidden), "{}", path.display());
                seen += usize::from(table.contains("Dunlin\u{fffd} \u{fffd}0011"));
            }
        }
    }
    assert!(seen > 0, "the name is in no table");
}
