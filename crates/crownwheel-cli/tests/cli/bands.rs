//! Bands of one build, as a person asks for them.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{copy_of, dunlin, json, path_text, run, run_with, text};

/// The demo car, its build changed.
fn changed(change: impl Fn(String) -> String) -> TempDir {
    let folder = copy_of("dunlin");
    let build = folder.path().join("build.toml");
    let before = fs::read_to_string(&build).unwrap();
    let after = change(before.clone());
    assert_ne!(after, before);
    fs::write(&build, after).unwrap();
    folder
}

fn without_facts(build: String) -> String {
    let from = build.find("[measured.moor_in_may]").unwrap();
    let to = build.find("[speedometer]").unwrap();
    format!("{}{}", &build[..from], &build[to..])
}

/// One in ten, half and nine in ten below, and the nominal value.
fn band(value: &Value) -> [f64; 4] {
    ["p10", "p50", "p90", "nominal"].map(|part| value[part].as_f64().unwrap())
}

#[test]
fn ranges_and_uses_stand_within_their_bands() {
    let dunlin = dunlin();
    let asked = ["range", &dunlin, "--cycle", "udds", "--cycle", "hwfet"];
    let answer = json(&[&asked[..], &["--worlds", "400"]].concat());
    let plain = json(&[&asked[..], &["--worlds", "1"]].concat());
    let pairs =
        answer["results"].as_array().unwrap().iter().zip(plain["results"].as_array().unwrap());
    let mut checked = 0;
    for (result, nominal) in pairs {
        assert_eq!(result["use_wh_per_km"], nominal["use_wh_per_km"]);
        assert_eq!(result["range_km"]["nominal"], nominal["range_km"]["nominal"]);
        for what in ["range_km", "use_band_wh_per_km"] {
            let [p10, p50, p90, nominal] = band(&result[what]);
            assert!(p10 < p50 && p50 < p90, "{result}");
            // What is unsure is mostly unsure to both sides, so the nominal value is no outlier.
            assert!((nominal - p50).abs() < p90 - p10, "{result}");
            checked += 1;
        }
    }
    assert_eq!(checked, 2 * 3 * 2);
    assert_eq!(answer["provenance"]["seed"], 1);
    assert_eq!(answer["drawn"]["worlds"], 400);
    let said = answer["plain"].as_str().unwrap();
    for result in answer["results"].as_array().unwrap() {
        let [p10, p50, p90, _] = band(&result["range_km"]);
        let [cycle, day] = ["cycle", "day"].map(|it| result[it].as_str().unwrap());
        let shown = format!("{p50:.0} km ({p10:.0} to {p90:.0}) on {cycle} ({day})");
        let best_or_worst = [("udds", "summer"), ("hwfet", "winter")].contains(&(cycle, day));
        assert_eq!(said.contains(&shown), best_or_worst, "{said} {shown}");
    }
    assert!(!answer["measure_next"].as_array().unwrap().is_empty());
}

#[test]
fn one_world_is_nominal_and_has_no_bands() {
    let dunlin = dunlin();
    for command in ["range", "pull", "charge"] {
        let output = run(&[command, &dunlin, "--worlds", "1", "--json"]);
        let printed = text(&output.stdout);
        assert_eq!(output.status.code(), Some(0), "{command}");
        assert!(!printed.contains("p10") && !printed.contains("drawn"), "{command}");
        let answer: Value = serde_json::from_str(printed).unwrap();
        assert_eq!(answer["provenance"]["seed"], Value::Null, "{command}");
    }
}

#[test]
fn a_wrong_number_of_worlds_is_refused() {
    for wrong in ["0", "-1", "1.5", "some", "2000000"] {
        let output = run(&["range", &dunlin(), &format!("--worlds={wrong}")]);
        assert_eq!(output.status.code(), Some(2), "{wrong}");
        let why = text(&output.stderr);
        assert!(why.contains("whole number from 1") && why.contains("--worlds"), "{wrong}: {why}");
        assert!(output.stdout.is_empty());
    }
    let output = run(&["report", &format!("{}/sweep.toml", dunlin()), "--worlds", "50"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("--set worlds=500"), "{}", text(&output.stderr));
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let dunlin = dunlin();
    for command in ["range", "pull", "charge"] {
        let mut args = vec![command, &dunlin, "--worlds", "300", "--json"];
        if command == "range" {
            args.extend(["--cycle", "udds", "--day", "winter"]);
        }
        let one = run_with(&args, "1");
        assert_eq!(one.status.code(), Some(0), "{}", text(&one.stderr));
        assert!(text(&one.stdout).contains("p10"), "{command}");
        assert_eq!(one.stdout, run_with(&args, "2").stdout, "{command}");
    }
}

/// A drive in winter tells of winter: what is left of the band is less, on its own cycle and on others.
#[test]
fn what_was_measured_in_winter_narrows_the_winter_range() {
    let widths = |folder: &TempDir| {
        let build = path_text(folder.path());
        let answer =
            json(&["range", build, "--cycle", "udds", "--cycle", "hwfet", "--day", "winter"]);
        let results = answer["results"].as_array().unwrap();
        let width = |result: &Value| {
            let [p10, _, p90, _] = band(&result["range_km"]);
            p90 - p10
        };
        let used: Vec<f64> =
            results.iter().map(|result| band(&result["use_band_wh_per_km"])[1]).collect();
        (width(&results[0]), width(&results[1]), used[0], answer)
    };
    let (udds, hwfet, used, answer) = widths(&changed(without_facts));
    assert_eq!(answer["drawn"]["facts"], Value::Null);
    let fact = format!(
        "\n[measured.january]\ncycle = \"udds\"\nday = \"winter\"\nuse = \"{used:.0} Wh/km ± 1 %\"\n"
    );
    let (udds_known, hwfet_known, _, answer) =
        widths(&changed(|build| format!("{}{fact}", without_facts(build))));
    let facts = &answer["drawn"]["facts"];
    let left = facts["effective_worlds"].as_f64().unwrap();
    assert!(left > 400.0 && left < 1999.0, "{left}");
    assert!(facts["contradictions"].as_array().unwrap().is_empty());
    // One short trip tells of the car only as much as trips are alike: their scatter is in both bands.
    assert!(udds_known < 0.93 * udds, "{udds_known} of {udds}");
    assert!(hwfet_known < 0.95 * hwfet, "{hwfet_known} of {hwfet}");
}

#[test]
fn a_fact_that_contradicts_the_build_is_said() {
    let far = changed(|build| build.replace("141 Wh/km ± 5 %", "260 Wh/km ± 2 %"));
    let output = run(&["range", path_text(far.path()), "--cycle", "udds", "--worlds", "400"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("The fact moor_in_may contradicts the build: 260 Wh/km"), "{said}");
    assert!(said.contains("are left in effect"), "{said}");
}

/// A sweep of one option, in the same worlds, says the same of it.
#[test]
fn a_sweep_of_one_option_has_the_same_bands() {
    let folder = changed(without_facts);
    let sweep = "format = 1\nbuild = \"build.toml\"\nworlds = 300\nseed = 1\ncycles = [\"udds\"]\ndays = [\"winter\"]\n[vary]\ndriveline.axle.ratio = [4.22]\n";
    fs::write(folder.path().join("sweep.toml"), sweep).unwrap();
    let of_sweep = json(&["sweep", path_text(&folder.path().join("sweep.toml"))]);
    let answers = &of_sweep["options"][0]["answers"];
    let build = path_text(folder.path());
    let range = json(&["range", build, "--cycle", "udds", "--day", "winter", "--worlds", "300"]);
    let pairs = [
        (&answers["range_km.udds.winter"], &range["results"][0]["range_km"]),
        (&answers["use_wh_per_km.udds.winter"], &range["results"][0]["use_band_wh_per_km"]),
    ];
    for (of_sweep, of_range) in pairs {
        for part in ["p10", "p50", "p90", "standard_error"] {
            assert_eq!(of_sweep[part], of_range[part], "{part}: {of_sweep} {of_range}");
        }
    }
}

#[test]
fn pull_and_charge_have_bands_in_text_json_and_tables() {
    let dunlin = dunlin();
    let out = TempDir::new().unwrap();
    let folder = out.path().join("results");
    let args = ["pull", &dunlin, "--worlds", "100", "--out", path_text(&folder)];
    let output = run(&args);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let csv = fs::read_to_string(folder.join("pull-bands.csv")).unwrap();
    assert!(csv.contains("times_s.kmh_0_100,s,"), "{csv}");
    let pull: Value =
        serde_json::from_str(&fs::read_to_string(folder.join("pull.json")).unwrap()).unwrap();
    let time = &pull["bands"]["times_s.kmh_0_100"];
    assert_eq!(time["nominal"], pull["times_s"]["kmh_0_100"]);
    let [p10, p50, p90, _] = band(time);
    assert!(p10 < p50 && p50 < p90, "{time}");
    let said = format!("0 to 100 km/h in {p50:.1} s ({p10:.1} to {p90:.1})");
    assert!(text(&output.stdout).contains(&said), "{}", text(&output.stdout));
    let charge = json(&["charge", &dunlin, "--worlds", "100"]);
    let [p10, p50, p90, _] = band(&charge["bands"]["charge_hours.garage.8_to_96_pct"]);
    assert!(p10 < p50 && p50 < p90, "{charge}");
}

#[test]
fn the_report_shows_bands_and_check_says_what_a_line_narrows() {
    let dunlin = dunlin();
    let out = TempDir::new().unwrap();
    let folder = out.path().join("report");
    let args =
        ["report", &dunlin, "--cycle", "udds", "--worlds", "100", "--out", path_text(&folder)];
    let output = run(&args);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let page = fs::read_to_string(folder.join("report.html")).unwrap();
    for part in ["What to measure next", "four times in five", "seed 1"] {
        assert!(page.contains(part), "{part}");
    }
    for table in ["measure-next", "pull-bands", "charge-bands"] {
        assert!(folder.join(format!("tables/{table}.csv")).is_file(), "{table}");
    }
    let check = json(&["check", &dunlin]);
    let first = check["lines_to_add"][0]["why"].as_str().unwrap();
    assert!(
        first.contains("the band of the range keeping up on moor-round (winter) would shrink by"),
        "{first}"
    );
}
