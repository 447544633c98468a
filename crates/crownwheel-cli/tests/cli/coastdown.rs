//! `coastdown` as a person runs it: answers, files, refusals, the build that is written.

use std::fmt::Write as _;
use std::fs;
use std::process::Output;

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{self, copy_of, demo_log, text};

const CALM: [&str; 8] = [
    "--mass",
    "905 kg",
    "--rotating-mass",
    "3 %",
    "--temperature",
    "20 °C",
    "--pressure",
    "100 kPa",
];

fn run(args: &[&str]) -> Output {
    bench::run(&[&["coastdown"], args].concat())
}

fn json(args: &[&str]) -> (Value, Option<i32>) {
    let output = run(&[args, &["--json"]].concat());
    let answer = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|_| panic!("{args:?}: {}", text(&output.stderr)));
    (answer, output.status.code())
}

fn demo_logs() -> [String; 2] {
    ["coastdown-logger.csv", "coastdown-phone.csv"].map(demo_log)
}

/// Runs without noise, written to four decimals: 118 N, 0.9 and 0.43, 932.15 kg with what turns.
fn exact_runs(folder: &TempDir, directions: &[&str], from_kmh: f64, to_kmh: f64) -> String {
    let mut out = String::from("time_s,speed_kmh,run,direction\n");
    for (number, direction) in directions.iter().enumerate() {
        let mut speed = from_kmh / 3.6;
        let mut second = 0;
        while speed > to_kmh / 3.6 {
            let _ = writeln!(out, "{second},{:.4},{},{direction}", 3.6 * speed, number + 1);
            for _ in 0..1000 {
                let force = |v: f64| (118.0 + 0.9 * v + 0.43 * v * v) / 932.15;
                speed -= 0.001 * force(speed - 0.000_5 * force(speed));
            }
            second += 1;
        }
    }
    let path = folder.path().join("runs.csv");
    fs::write(&path, out).unwrap();
    path.to_str().unwrap().to_owned()
}

fn number(answer: &Value, key: &str) -> f64 {
    answer[key].as_f64().unwrap_or_else(|| panic!("no number {key} in {answer}"))
}

#[test]
fn runs_without_noise_give_back_the_truth() {
    let folder = TempDir::new().unwrap();
    let runs = exact_runs(&folder, &["out", "back", "out", "back"], 110.0, 20.0);
    let (answer, code) = json(&[&[runs.as_str()], &CALM[..]].concat());
    assert_eq!((code, answer["runs_used"].as_u64()), (Some(0), Some(4)));
    for (key, truth) in [("f0_n", 118.0), ("f1_n_per_mps", 0.9), ("f2_n_per_mps2", 0.43)] {
        let (value, se) = (number(&answer, key), number(&answer, &format!("{key}_se")));
        assert!((value / truth - 1.0).abs() < 2e-3, "{key} {value}");
        assert!(se > 0.0 && se < 0.01 * truth, "{key} {se}");
    }
    assert!(number(&answer, "drag_area_m2") > 0.7 && number(&answer, "rolling_resistance") > 0.013);
    assert_eq!(answer["refused"].as_array().unwrap().len(), 0);
    assert!(answer["cautions"][0]["text"].as_str().unwrap().contains("Coast down only where"));
}

#[test]
fn us_units_carry_their_names_and_agree() {
    let folder = TempDir::new().unwrap();
    let runs = exact_runs(&folder, &["out", "back"], 110.0, 20.0);
    let args = [&[runs.as_str()], &CALM[..]].concat();
    let (metric, _) = json(&args);
    let (us, _) = json(&[&args[..], &["--units", "us"]].concat());
    let ratio = number(&metric, "f0_n_se") / number(&us, "f0_lbf_se");
    assert!((ratio - 4.448_221_615).abs() < 1e-6, "{ratio}");
    let ratio = number(&metric, "f2_n_per_mps2") / number(&us, "f2_lbf_per_mph2");
    assert!((ratio - 22.258_384_857).abs() < 1e-5, "{ratio}");
}

/// The truth behind the demo's logs is in the example that makes them.
#[test]
fn the_demo_finds_the_truth_behind_its_messy_logs() {
    let logs = demo_logs();
    let args = [
        &[logs[0].as_str(), logs[1].as_str()],
        &["--mass", "905 kg ± 4 kg", "--temperature", "11 °C", "--pressure", "99.1 kPa"][..],
    ]
    .concat();
    let (answer, code) = json(&args);
    assert_eq!((code, answer["runs_used"].as_u64()), (Some(0), Some(10)));
    let t = number(&answer, "band_over_se");
    for (key, truth) in [("f0_n", 122.0), ("f1_n_per_mps", 0.6), ("f2_n_per_mps2", 0.418)] {
        let off = (number(&answer, key) - truth).abs();
        assert!(off < t * number(&answer, &format!("{key}_se")), "{key} is {off} off");
    }
    for line in answer["forces"].as_array().unwrap() {
        let v = line["speed_kmh"].as_f64().unwrap() / 3.6;
        let truth = 122.0 + 0.6 * v + 0.418 * v * v;
        let (low, high) = (line["low_n"].as_f64().unwrap(), line["high_n"].as_f64().unwrap());
        assert!(low < truth && truth < high, "{truth} is outside {line}");
    }
    let codes: Vec<&str> =
        answer["refused"].as_array().unwrap().iter().map(|r| r["code"].as_str().unwrap()).collect();
    assert_eq!(codes, ["braking", "braking"]);
    let off = |key: &str, truth: f64| {
        (number(&answer, key) - truth).abs() < t * number(&answer, &format!("{key}_se"))
    };
    assert!(off("gradient_pct", 0.22) && off("headwind_kmh", 1.1 * 3.6), "{answer}");
}

#[test]
fn runs_that_cannot_bear_a_fit_are_listed_and_the_exit_code_is_2() {
    let folder = TempDir::new().unwrap();
    let short = exact_runs(&folder, &["out", "back"], 60.0, 48.0);
    let (answer, code) = json(&[&[short.as_str()], &CALM[..]].concat());
    assert_eq!((code, &answer["f0_n"]), (Some(2), &Value::Null));
    let reasons = answer["refused"].as_array().unwrap();
    assert_eq!(reasons.len(), 2);
    assert_eq!(reasons[0]["code"], "short_speed_span");
    assert!(reasons[0]["reason"].as_str().unwrap().contains("needs a fall of 20 km/h"));
}

#[test]
fn runs_one_way_are_warned_of_and_their_bands_hold_the_gradient() {
    let folder = TempDir::new().unwrap();
    let runs = exact_runs(&folder, &["out", "out", "out", "out"], 110.0, 20.0);
    let args = [&[runs.as_str()], &CALM[..]].concat();
    let codes = |answer: &Value| -> Vec<String> {
        let all = answer["warnings"].as_array().unwrap();
        all.iter().map(|w| w["code"].as_str().unwrap().to_owned()).collect()
    };
    let (unknown, _) = json(&args);
    assert_eq!(codes(&unknown), ["one_direction", "gradient_unknown", "wind_unknown"]);
    assert!(number(&unknown, "f0_n_se") > 15.0);
    let (known, _) = json(&[&args[..], &["--grade", "0 %", "--wind", "calm"]].concat());
    assert_eq!(codes(&known), ["one_direction"]);
    assert!(number(&known, "f0_n_se") < 1.0);
}

#[test]
fn a_known_gradient_and_wind_are_taken_off() {
    let folder = TempDir::new().unwrap();
    let runs = exact_runs(&folder, &["out", "out"], 110.0, 20.0);
    let args = [&[runs.as_str()], &CALM[..]].concat();
    // What held the car back was partly a hill of 0.5 %: 44.4 N.
    let (answer, _) = json(&[&args[..], &["--grade", "0.5 %", "--wind", "calm"]].concat());
    assert!((number(&answer, "f0_n") - (118.0 - 44.4)).abs() < 0.5, "{answer}");
    // And partly a headwind: f1 falls by 2 f2 w.
    let wind = ["--grade", "0 %", "--wind", "1 m/s headwind", "--wind-height", "0.75 m"];
    let (answer, _) = json(&[&args[..], &wind].concat());
    assert!((number(&answer, "f1_n_per_mps") - (0.9 - 0.86)).abs() < 0.02, "{answer}");
}

#[test]
fn answers_tables_and_figure_are_written_into_a_folder() {
    let folder = TempDir::new().unwrap();
    let runs = exact_runs(&folder, &["out", "back"], 110.0, 20.0);
    let out = folder.path().join("out");
    let args = [&[runs.as_str()], &CALM[..], &["--out", out.to_str().unwrap()]].concat();
    assert_eq!(run(&args).status.code(), Some(0));
    for name in ["coastdown.json", "coastdown.txt", "coastdown.svg", "coastdown-curves.csv"] {
        assert!(fs::metadata(out.join(name)).unwrap().len() > 200, "{name}");
    }
}

#[test]
fn the_result_goes_into_the_build_once_and_again_only_by_force() {
    let (folder, logs) = (copy_of("dunlin"), demo_logs());
    let build = folder.path().join("build.toml");
    let before = fs::read_to_string(&build).unwrap();
    let args = [
        &[logs[0].as_str(), logs[1].as_str(), "--write", folder.path().to_str().unwrap()],
        &CALM[..],
    ]
    .concat();
    let output = run(&args);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said: Vec<&str> = text(&output.stdout).split_whitespace().collect();
    assert!(said.join(" ").contains("These lines are comments now: drag_coefficient"));
    let written = fs::read_to_string(&build).unwrap();
    assert!(written.contains("from = \"coast-down, 10 runs"), "{written}");
    for line in before.lines() {
        assert!(
            written
                .lines()
                .any(|new| new.trim_start_matches("# ") == line.trim_start_matches("# "))
        );
    }
    let again = run(&args);
    assert_eq!(again.status.code(), Some(2));
    let why = text(&again.stderr);
    assert!(
        why.contains("`car.road_load` already") && why.contains("[car.road_load]\nf0 ="),
        "{why}"
    );
    assert_eq!(fs::read_to_string(&build).unwrap(), written);
    assert_eq!(run(&[&args[..], &["--force"]].concat()).status.code(), Some(0));
    let names: Vec<_> =
        fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(names.iter().all(|name| !name.to_str().unwrap().starts_with(".tmp")), "{names:?}");
}

#[test]
fn a_build_that_is_wrong_is_left_alone() {
    let (folder, logs) = (copy_of("dunlin"), demo_logs());
    let build = folder.path().join("build.toml");
    let broken = fs::read_to_string(&build).unwrap().replace("wheelbase = ", "wheelbas = ");
    fs::write(&build, &broken).unwrap();
    let args = [&[logs[0].as_str(), "--write", build.to_str().unwrap()], &CALM[..]].concat();
    let output = run(&args);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("wheelbas"), "{}", text(&output.stderr));
    assert_eq!(fs::read_to_string(&build).unwrap(), broken);
}

#[test]
fn wrong_words_are_refused_with_an_example() {
    let logs = demo_logs();
    for (flag, value, words) in [
        ("--mass", "905", "905 has no unit"),
        ("--mass", "3 kg", "out of range"),
        ("--temperature", "20", "--temperature \"14 °C\""),
        ("--wind", "5 m/s", "2 m/s headwind"),
        ("--grade", "40 %", "\"0.3 %\""),
        ("--rotating-mass", "much", "\"28 kg\""),
        ("--speed-unit", "furlong", "no unit of speed"),
        ("--turning", "wheels", "possible values"),
    ] {
        let mut args = vec![logs[0].as_str(), flag, value];
        if flag != "--mass" {
            args.extend(["--mass", "905 kg"]);
        }
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{flag} {value}");
        assert!(text(&output.stderr).contains(words), "{}", text(&output.stderr));
        assert!(output.stdout.is_empty());
    }
}
