//! Sweeps as a person runs them: whole, in parts, stopped and gone on with.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{copy_of, crownwheel, good, path_text, run, text};

/// Two axles, nine modules or ten (which are too many), and two sets of tyres.
const SMALL: &str = r#"
format = 1
build = "build.toml"
worlds = 60
seed = 1
cycles = ["moor-round.csv"]
days = ["winter"]
[vary]
driveline.axle.ratio = [3.89, { value = 4.22, price = 0 }]
pack.modules_in_series = [9, 10]
[[choose.tyres]]
name = "as they are"
[[choose.tyres]]
name = "narrow"
price = 260
set.tyres.rolling_resistance = "0.0105 ± 0.0015"
[price]
currency = "EUR"
each_module = 310
[demand.away_from_lights]
time = { to = "80 km/h", at_most = "7.9 s", sure = 0.8 }
"#;

/// The demo car with a sweep of its own.
fn folder_with(sweep: &str) -> TempDir {
    let folder = copy_of("dunlin");
    fs::write(folder.path().join("sweep.toml"), sweep).unwrap();
    folder
}

/// Every result below a folder with its bytes, by name; not the first look, which is no result.
fn results(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    fn gather(top: &Path, folder: &Path, found: &mut Vec<(PathBuf, Vec<u8>)>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(top).unwrap().to_owned();
            if path.is_dir() {
                gather(top, &path, found);
            } else if !name.to_str().unwrap().starts_with("first-look") {
                found.push((name, fs::read(&path).unwrap()));
            }
        }
    }
    let mut found = Vec::new();
    gather(folder, folder, &mut found);
    found.sort();
    found
}

fn same(one: &Path, other: &Path) {
    let (one, other) = (results(one), results(other));
    assert!(one.len() > 10);
    let names = |files: &[(PathBuf, Vec<u8>)]| {
        files.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(names(&one), names(&other));
    for ((name, a), (_, b)) in one.iter().zip(&other) {
        assert!(a == b, "{} differs", name.display());
    }
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn the_answer_has_everything_that_a_decision_needs() {
    let folder = folder_with(SMALL);
    let answer = json(&good(&["sweep", path_text(folder.path()), "--json"]));
    let options = answer["options"].as_array().unwrap();
    assert_eq!(options.len(), 8);
    let impossible: Vec<&Value> =
        options.iter().filter(|option| !option["reason"].is_null()).collect();
    assert_eq!(impossible.len(), 4);
    assert!(impossible[0]["reason"].as_str().unwrap().contains("156 V"));
    let ranking = answer["ranking"].as_array().unwrap();
    assert_eq!(ranking.len(), 4);
    assert!(answer["plain"].as_str().unwrap().contains(ranking[0].as_str().unwrap()));
    assert!(!answer["measure_next"].as_array().unwrap().is_empty());
    assert_eq!(answer["facts"]["used"][0], "moor_in_may");
    assert_eq!(answer["head_to_head"].as_array().unwrap().len(), 3 * 3);
    let shares = options.iter().flat_map(|option| option["demands"].as_array().unwrap());
    let between = shares.filter(|met| {
        let probability = met["probability"].as_f64().unwrap();
        0.0 < probability && probability < 1.0
    });
    assert!(between.count() > 0, "a demand that every option surely meets or misses tells nothing");
    let band = &options[0]["answers"]["range_km.moor-round.winter"];
    assert!(band["p10"].as_f64().unwrap() < band["p90"].as_f64().unwrap());
}

/// The numbers hang neither on how many threads there are nor on how options are shared out.
#[test]
fn whole_and_in_parts_with_any_number_of_threads_are_the_same_bytes() {
    let folder = folder_with(SMALL);
    let sweep = path_text(folder.path());
    let out = |name: &str| folder.path().join(name);
    for (name, threads) in [("one", "1"), ("two", "2"), ("eight", "8")] {
        let output = crownwheel()
            .args(["sweep", sweep, "--out", path_text(&out(name))])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    }
    same(&out("one"), &out("two"));
    same(&out("one"), &out("eight"));
    assert!(!out("one").join("first-look.csv").exists());
    for parts in ["2", "3"] {
        let kept = out(parts);
        let kept = path_text(&kept);
        let count: u32 = parts.parse().unwrap();
        // In any order.
        for number in (1..=count).rev() {
            good(&["sweep", sweep, "--part", &format!("{number}/{parts}"), "--out", kept]);
        }
        let merged = json(&good(&["sweep", sweep, "--merge", kept, "--json"]));
        assert_eq!(merged["option_count"], 8);
        same(&out("one"), &out(parts));
    }
}

/// A sweep that looks twice: the second look of a merge begins from nothing but the lines.
#[test]
fn the_second_look_is_the_same_after_a_merge() {
    let folder = folder_with("");
    // A short hop and no demands: the numbers do not matter here.
    let build = folder.path().join("build.toml");
    let whole = fs::read_to_string(&build).unwrap();
    fs::write(&build, whole.split("# What the car must do").next().unwrap()).unwrap();
    let hop = "time_s,speed_kmh\n0,0\n8,30\n18,30\n22,0\n24,0\n";
    fs::write(folder.path().join("hop.csv"), hop).unwrap();
    // More drag is worse in everything, so that some options do not go on.
    let drag: Vec<String> = (0..32).map(|i| format!("0.4{:02}", i)).collect();
    let sweep = format!(
        "format = 1\nbuild = \"build.toml\"\nworlds = 220\ncycles = [\"hop.csv\"]\n\
         days = [\"mild\"]\n[vary]\ncar.drag_coefficient = [{}]\n",
        drag.join(", ")
    );
    fs::write(folder.path().join("sweep.toml"), sweep).unwrap();
    let sweep = path_text(folder.path());
    let (whole, parts) = (folder.path().join("whole"), folder.path().join("parts"));
    let answer = json(&good(&["sweep", sweep, "--out", path_text(&whole), "--json"]));
    let worlds: Vec<u64> = answer["options"]
        .as_array()
        .unwrap()
        .iter()
        .map(|option| option["worlds"].as_u64().unwrap())
        .collect();
    assert!(worlds.contains(&200) && worlds.contains(&220), "{worlds:?}");
    for part in ["1/2", "2/2"] {
        good(&["sweep", sweep, "--part", part, "--out", path_text(&parts)]);
    }
    good(&["sweep", sweep, "--merge", path_text(&parts)]);
    same(&whole, &parts);
}

#[test]
fn a_stopped_run_is_gone_on_with() {
    let folder = folder_with(SMALL);
    let sweep = path_text(folder.path());
    let out = |name: &str| folder.path().join(name);
    good(&["sweep", sweep, "--out", path_text(&out("whole"))]);
    good(&["sweep", sweep, "--part", "1/1", "--out", path_text(&out("cut"))]);
    let file = out("cut").join("first-look.csv");
    let all = fs::read(&file).unwrap();
    // In the middle of a line, at the end of one, and just before its end.
    let ends: Vec<usize> =
        all.iter().enumerate().filter(|(_, byte)| **byte == b'\n').map(|(i, _)| i).collect();
    let lines = ends.len();
    for cut in [ends[lines - 4] + 40, ends[lines - 3] + 1, ends[lines - 2], ends[lines - 9] + 1] {
        fs::write(&file, &all[..cut]).unwrap();
        let refused = run(&["sweep", sweep, "--out", path_text(&out("cut"))]);
        assert_eq!(refused.status.code(), Some(2));
        assert!(text(&refused.stderr).contains("--resume"), "{}", text(&refused.stderr));
        assert_eq!(fs::read(&file).unwrap(), &all[..cut], "a refusal changes nothing");
        good(&["sweep", sweep, "--part", "1/1", "--resume", "--out", path_text(&out("cut"))]);
        assert!(fs::read(&file).unwrap() == all, "cut at {cut} of {}", all.len());
        fs::write(&file, &all[..cut]).unwrap();
        good(&["sweep", sweep, "--resume", "--out", path_text(&out("cut"))]);
        same(&out("whole"), &out("cut"));
        assert!(!file.exists());
    }
}

/// A file that a disk or a hand changed: a merge names the place, and a run that goes on looks again.
#[test]
fn a_changed_line_is_never_an_answer() {
    let folder = folder_with(SMALL);
    let sweep = path_text(folder.path());
    let out = |name: &str| folder.path().join(name);
    let (whole, parts) = (out("whole"), out("parts"));
    good(&["sweep", sweep, "--out", path_text(&whole), "--set", "worlds=1"]);
    let part = |number: &str, more: &[&str]| {
        let args =
            ["sweep", sweep, "--set", "worlds=1", "--out", path_text(&parts), "--part", number];
        good(&[&args[..], more].concat())
    };
    part("1/2", &[]);
    part("2/2", &[]);
    let file = parts.join("first-look-1-of-2.csv");
    let written = fs::read_to_string(&file).unwrap();
    let line = written.lines().nth(6).unwrap();
    let share = line.split(',').nth(5).unwrap();
    assert!(["0.0", "1.0"].contains(&share), "{share}");
    let changed = line.replacen(&format!(",1,{share},"), ",1,7.0,", 1);
    assert_ne!(changed, line);
    fs::write(&file, written.replace(line, &changed)).unwrap();
    let args = ["sweep", sweep, "--set", "worlds=1", "--merge", path_text(&parts)];
    let refused = run(&args);
    let why = text(&refused.stderr);
    assert_eq!(refused.status.code(), Some(2), "{why}");
    assert!(refused.stdout.is_empty(), "{}", text(&refused.stdout));
    for word in ["first-look-1-of-2.csv`, line 7, column 6 (`all_demands`)", "7.0", "--resume"] {
        assert!(why.contains(word), "{word}: {why}");
    }
    let said = part("1/2", &["--resume"]);
    let said = text(&said.stderr);
    assert!(said.contains("line 7") && said.contains("looked at again"), "{said}");
    good(&args);
    same(&whole, &parts);
}

/// Lines of another sweep, or of other settings, are not mixed in.
#[test]
fn what_does_not_belong_together_is_not_put_together() {
    let folder = folder_with(SMALL);
    let sweep = path_text(folder.path());
    let out = folder.path().join("out");
    let out = path_text(&out);
    good(&["sweep", sweep, "--part", "1/2", "--out", out]);
    let missing = run(&["sweep", sweep, "--merge", out]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(text(&missing.stderr).contains("--part 2/2"), "{}", text(&missing.stderr));
    good(&["sweep", sweep, "--part", "2/2", "--out", out, "--set", "worlds=61"]);
    let other = run(&["sweep", sweep, "--merge", out]);
    assert_eq!(other.status.code(), Some(2));
    let why = text(&other.stderr);
    assert!(why.contains("not of this sweep") && why.contains("2-of-2"), "{why}");
    good(&["sweep", sweep, "--part", "1/3", "--out", out]);
    let several = run(&["sweep", sweep, "--merge", out]);
    assert_eq!(several.status.code(), Some(2));
    assert!(text(&several.stderr).contains("several divisions"), "{}", text(&several.stderr));
    fs::write(folder.path().join("out/first-look.csv"), "mine\n").unwrap();
    let foreign = run(&["sweep", sweep, "--out", out]);
    assert_eq!(foreign.status.code(), Some(1), "{}", text(&foreign.stderr));
    assert_eq!(fs::read_to_string(folder.path().join("out/first-look.csv")).unwrap(), "mine\n");
}

#[test]
fn wrong_use_is_refused_before_anything_is_run() {
    let folder = folder_with(SMALL);
    let sweep = path_text(folder.path());
    for args in [
        vec!["--part", "3/2", "--out", "x"],
        vec!["--part", "0/2", "--out", "x"],
        vec!["--part", "1/2"],
        vec!["--resume"],
        vec!["--set", "worlds=0"],
        vec!["--merge", "/no/such/folder"],
        vec!["--merge", sweep],
        vec!["--part", "1/2", "--merge", "x"],
    ] {
        let output = run(&[&["sweep", sweep], &args[..]].concat());
        assert_eq!(output.status.code(), Some(2), "{args:?}: {}", text(&output.stderr));
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{args:?}");
    }
    let missing = run(&["sweep", "/no/such/sweep.toml"]);
    assert_eq!(missing.status.code(), Some(2));
}

#[test]
fn too_many_options_are_counted_and_refused() {
    let long = "{ from = 3.5, to = 4.5, step = 0.0001 }";
    let sweep = format!(
        "format = 1\nbuild = \"build.toml\"\ncycles = [\"udds\"]\n[vary]\n\
         driveline.axle.ratio = {long}\ncar.drag_coefficient = {{ from = 0.3, to = 0.5, step = 0.00002 }}\n\
         tyres.rolling_resistance = {{ from = 0.008, to = 0.018, step = 0.000001 }}\n"
    );
    let folder = folder_with(&sweep);
    let output = run(&["sweep", path_text(folder.path())]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stderr));
    let why = text(&output.stderr);
    assert!(why.contains("1000300030001 options") && why.contains("--yes"), "{why}");
}

/// One world is the nominal one: there are no bands, and nothing is said to be worth measuring.
#[test]
fn one_world_has_no_bands() {
    let folder = folder_with(SMALL);
    let answer = json(&good(&["sweep", path_text(folder.path()), "--json", "--set", "worlds=1"]));
    let band = &answer["options"][0]["answers"]["range_km.moor-round.winter"];
    assert!(band["nominal"].as_f64().unwrap() > 50.0);
    assert!(band.get("p50").is_none(), "{band}");
    assert!(answer["measure_next"].as_array().unwrap().is_empty());
    assert!(answer["head_to_head"].as_array().unwrap().is_empty());
    assert!(answer["facts"].is_null());
}

/// The range of a sweep is that of `range`: it drives fewer repeats, and lies within a thousandth.
#[test]
fn a_sweep_of_one_option_is_the_range_of_the_build() {
    let sweep = "format = 1\nbuild = \"build.toml\"\nworlds = 1\ncycles = [\"udds\"]\n";
    let folder = folder_with(sweep);
    let build = folder.path().join("build.toml");
    let swept = json(&good(&["sweep", path_text(folder.path()), "--json"]));
    assert_eq!(swept["option_count"], 1);
    let ranges =
        json(&good(&["range", path_text(&build), "--cycle", "udds", "--worlds", "1", "--json"]));
    let results = ranges["results"].as_array().unwrap();
    assert!(results.len() > 1);
    for result in results {
        let day = result["day"].as_str().unwrap();
        let answers = &swept["options"][0]["answers"];
        let one = answers[format!("range_km.udds.{day}")]["nominal"].as_f64().unwrap();
        let other = result["range_km"]["nominal"].as_f64().unwrap();
        assert!((one / other - 1.0).abs() < 1e-3, "{day}: {one} km and {other} km");
        let one = answers[format!("use_wh_per_km.udds.{day}")]["nominal"].as_f64().unwrap();
        let other = result["use_wh_per_km"].as_f64().unwrap();
        assert!((one / other - 1.0).abs() < 1e-3, "{day}: {one} Wh/km and {other} Wh/km");
    }
}

/// `--strict` ends with 1 if the best option misses a demand.
#[test]
fn strict_minds_a_missed_demand() {
    let folder = folder_with(&SMALL.replace("7.9 s", "3 s"));
    let args = ["sweep", path_text(folder.path()), "--set", "worlds=1"];
    good(&args);
    let strict = run(&[&args[..], &["--strict"]].concat());
    assert_eq!(strict.status.code(), Some(1), "{}", text(&strict.stderr));
    assert!(text(&strict.stdout).starts_with("None of 8 options meets"));
}

#[test]
fn the_report_of_a_sweep_puts_the_decision_first() {
    let folder = folder_with(SMALL);
    let (sweep, out) = (folder.path().join("sweep.toml"), folder.path().join("page"));
    let args = ["report", path_text(&sweep), "--set", "worlds=1", "--out", path_text(&out)];
    let output = good(&args);
    let plain = text(&output.stdout).lines().next().unwrap().to_owned();
    assert!(plain.contains("costs 2790 EUR"), "{plain}");
    let page = fs::read_to_string(out.join("report.html")).unwrap().replace('\u{a0}', " ");
    let words = plain.split(" and ").next().unwrap();
    assert!(page.find("Decision").unwrap() < page.find("The rules that numbers follow").unwrap());
    assert!(page.contains(words), "{words}");
    // Again: our own files are replaced.
    good(&args);
    let wrong = run(&[&args[..], &["--cycle", "udds"]].concat());
    assert_eq!(wrong.status.code(), Some(2));
    assert!(text(&wrong.stderr).contains("is a sweep"), "{}", text(&wrong.stderr));
}

/// Ctrl-C leaves whole lines and says how to go on.
#[cfg(unix)]
#[test]
fn what_is_interrupted_can_be_gone_on_with() {
    let folder = folder_with(&SMALL.replace("worlds = 60", "worlds = 200"));
    let sweep = path_text(folder.path());
    let out = folder.path().join("out");
    let file = out.join("first-look.csv");
    let mut child = crownwheel()
        .args(["sweep", sweep, "--out", path_text(&out)])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Behind the comments and the headings a line for each option that was looked at.
    let begun = || {
        let text = fs::read_to_string(&file).unwrap_or_default();
        text.lines().filter(|line| !line.starts_with('#')).nth(1).is_some()
    };
    while !begun() && child.try_wait().unwrap().is_none() {
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    let id = child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
    assert!(text(&output.stderr).contains("--resume"), "{}", text(&output.stderr));
    assert!(fs::read(&file).unwrap().ends_with(b"\n"));
    good(&["sweep", sweep, "--resume", "--out", path_text(&out)]);
    assert!(!file.exists() && out.join("options.csv").exists());
}

#[test]
fn a_world_can_be_looked_into() {
    let folder = folder_with(SMALL);
    let sweep = path_text(folder.path());
    let narrow = "axle.ratio=4.22 modules_in_series=9 tyres=narrow";
    let of = |world: &str, option: &str| {
        json(&good(&["sweep", sweep, "--world", world, "--option", option, "--json"]))
    };
    let best = json(&good(&["sweep", sweep, "--world", "31", "--json"]));
    let other = of("31", narrow);
    assert_ne!(best["id"], other["id"]);
    let place = |answer: &Value, key: &str| {
        let drawn = answer["drawn"].as_array().unwrap();
        drawn.iter().find(|input| input["key"] == key).unwrap()["place"].as_f64().unwrap()
    };
    // An input has the same draw in every option, and another in another world.
    for key in ["tyres.rolling_resistance", "motor.curve_scale", "day.winter.humidity"] {
        let drawn = place(&best, key);
        assert!(0.0 < drawn && drawn < 1.0);
        assert!((drawn - place(&other, key)).abs() < 1e-15, "{key}");
        assert!((drawn - place(&of("32", narrow), key)).abs() > 1e-6, "{key}");
    }
    let range = |answer: &Value, which: &str| {
        let results = answer["results"].as_array().unwrap();
        let found = results.iter().find(|it| it["answer"] == "range_km.moor-round.winter");
        found.unwrap()[which]["value"].as_f64().unwrap()
    };
    assert!((range(&other, "nominal") - range(&other, "in_world")).abs() > 0.1);
    let out = folder.path().join("world");
    good(&["sweep", sweep, "--world", "31", "--option", narrow, "--out", path_text(&out)]);
    let trace = fs::read_to_string(out.join("world-trace-1.csv")).unwrap();
    assert!(trace.lines().count() > 500 && trace.contains("speed_kmh"));
    for wrong in [["--world", "61"], ["--world", "0"]] {
        let output = run(&[&["sweep", sweep], &wrong[..]].concat());
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("1 to 60"), "{}", text(&output.stderr));
    }
    let unknown = run(&["sweep", sweep, "--world", "1", "--option", "4.22"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown.stderr).contains("axle.ratio=3.89"), "{}", text(&unknown.stderr));
}

#[test]
fn a_cycle_that_no_option_can_follow_is_said() {
    let folder = folder_with(&SMALL.replace("[\"moor-round.csv\"]", "[\"mad.csv\"]"));
    let mad = "time_s,speed_kmh\n0,0\n5,250\n60,250\n65,0\n66,0\n";
    fs::write(folder.path().join("mad.csv"), mad).unwrap();
    let output = good(&["sweep", path_text(folder.path()), "--set", "worlds=1", "--json"]);
    let warnings = json(&output)["warnings"].to_string();
    assert!(warnings.contains("No option keeps up with mad on the winter day"), "{warnings}");
}
