//! What a report says about the one that stood in the same folder.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{copy_of, good, path_text, run, text};

/// One cycle, one day, nominal values: what is quick.
const QUICK: [&str; 6] = ["--cycle", "udds", "--day", "mild", "--worlds", "1"];

/// A car and the folder of its report.
struct Bench {
    car: TempDir,
    out: TempDir,
}

impl Bench {
    fn new() -> Self {
        Self { car: copy_of("dunlin"), out: TempDir::new().unwrap() }
    }

    fn report(&self) -> std::path::PathBuf {
        self.out.path().join("report")
    }

    fn args<'a>(&'a self, out: &'a Path, more: &[&'a str]) -> Vec<&'a str> {
        let head = ["report", path_text(self.car.path()), "--out", path_text(out)];
        [&head[..], &QUICK, more].concat()
    }

    /// The first line that a report prints, and what it says on standard error.
    fn first_line(&self, more: &[&str]) -> (String, String) {
        let done = good(&self.args(&self.report(), more));
        let first = text(&done.stdout).lines().next().unwrap().to_owned();
        (first, text(&done.stderr).to_owned())
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let path = self.car.path().join(file);
        let old = fs::read_to_string(&path).unwrap();
        assert!(old.contains(from), "{from}");
        fs::write(&path, old.replacen(from, to, 1)).unwrap();
    }

    /// What `report.json` says about it.
    fn since(&self) -> Value {
        let json = fs::read_to_string(self.report().join("report.json")).unwrap();
        serde_json::from_str::<Value>(&json).unwrap()["since"].clone()
    }
}

fn range_of_compare(car: &Path, set: &str) -> (f64, f64) {
    let done = good(&["compare", path_text(car), "--set", set, "--json"]);
    let answer: Value = serde_json::from_slice(&done.stdout).unwrap();
    let rows = answer["answers"].as_array().unwrap();
    let row = rows.iter().find(|row| row["answer"] == "range_km.udds.mild").unwrap();
    (row["first"]["value"].as_f64().unwrap(), row["second"]["value"].as_f64().unwrap())
}

#[test]
fn a_first_report_says_nothing_and_a_second_what_changed() {
    let bench = Bench::new();
    let (first, _) = bench.first_line(&[]);
    assert!(!first.contains("last time"), "{first}");
    assert_eq!(bench.since(), Value::Null);
    assert_eq!(bench.first_line(&[]).0, "Nothing has changed since last time.");

    let set = "pack.module_mass=16 kg";
    let (before, after) = range_of_compare(bench.car.path(), set);
    let (line, _) = bench.first_line(&["--set", set]);
    let said = format!(", range on udds (mild) {before:.0} km → {after:.0} km, ");
    assert!(line.starts_with("Since last time: mass, ") && line.contains(&said), "{line}");
    assert!(line.contains(", after pack.module_mass 11.4 kg → 16 kg; "), "{line}");
    let since = bench.since();
    assert_eq!(since["plain"], line);
    assert_eq!(since["inputs"][0]["input"], "pack.module_mass");
    let page = fs::read_to_string(bench.report().join("report.html")).unwrap();
    assert!(page.contains("Since last time: mass, ") && page.contains("last time</th>"));

    // Back again: what was set is kept with the build.
    let (line, _) = bench.first_line(&[]);
    assert!(line.contains("after pack.module_mass 16 kg → 11.4 kg"), "{line}");
}

#[test]
fn tables_are_inputs_too() {
    let bench = Bench::new();
    bench.first_line(&[]);
    bench.change("motor-curve.csv", "165.0,", "120.0,");
    let (line, _) = bench.first_line(&[]);
    assert!(line.contains("time from 0 to "), "{line}");
    assert!(line.contains("after motor.curve (motor-curve.csv) has other contents"), "{line}");
}

#[test]
fn a_cycle_that_changed_is_a_reason() {
    let bench = Bench::new();
    let round = bench.car.path().join("moor-round.csv");
    let out = bench.report();
    let args =
        ["report", path_text(bench.car.path()), "--cycle", path_text(&round), "--worlds", "1"];
    let args = [&args[..], &["--out", path_text(&out)]].concat();
    good(&args);
    let long = fs::read_to_string(&round).unwrap();
    let half: Vec<&str> = long.lines().take(long.lines().count() / 2).collect();
    fs::write(&round, format!("{}\n", half.join("\n"))).unwrap();
    let done = good(&args);
    let line = text(&done.stdout).lines().next().unwrap();
    assert!(line.contains("range on moor-round ("), "{line}");
    assert!(line.contains("after cycle moor-round (moor-round.csv) has other contents"), "{line}");
}

/// Another question is no change: what is asked now is compared, of the inputs of then and of now.
#[test]
fn other_cycles_and_days_are_not_a_change() {
    let bench = Bench::new();
    let out = bench.report();
    let ask = |more: &[&str]| {
        let head = ["report", path_text(bench.car.path()), "--out", path_text(&out)];
        let done = good(&[&head[..], &["--worlds", "1"], more].concat());
        text(&done.stdout).lines().next().unwrap().to_owned()
    };
    ask(&["--cycle", "udds", "--day", "mild"]);
    for more in [["--cycle", "hwfet", "--day", "winter"], ["--cycle", "udds", "--day", "mild"]] {
        assert_eq!(ask(&more), "Nothing has changed since last time.", "{more:?}");
    }
    let line =
        ask(&["--cycle", "nedc", "--day", "summer", "--set", "day.summer.temperature=20 °C"]);
    assert!(line.contains("range on nedc (summer)"), "{line}");
    assert!(line.contains("after day.summer.temperature 29 °C → 20 °C"), "{line}");
}

/// The same inputs give the same bytes in a folder that holds no report; in one that does, the report
/// before is an input, too.
#[test]
fn fresh_folders_get_the_same_bytes() {
    let bench = Bench::new();
    let folders = ["one", "two"].map(|name| bench.out.path().join(name));
    for folder in &folders {
        good(&bench.args(folder, &[]));
    }
    let [one, two] = folders.map(|folder| tree(&folder, &folder));
    assert_eq!(one.len(), two.len());
    assert!(one == two);
}

fn tree(root: &Path, folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(tree(root, &path));
        } else {
            let name = path_text(path.strip_prefix(root).unwrap()).to_owned();
            found.push((name, fs::read(&path).unwrap()));
        }
    }
    found.sort();
    found
}

/// What is kept is a build by itself: it gives the numbers of the car that it was made from.
#[test]
fn what_is_kept_is_a_build() {
    let bench = Bench::new();
    bench.first_line(&[]);
    let weigh = |folder: &Path| {
        let done = good(&["weigh", path_text(folder), "--json"]);
        serde_json::from_slice::<Value>(&done.stdout).unwrap()
    };
    assert_eq!(weigh(&bench.report().join("inputs")), weigh(bench.car.path()));
}

/// Tables elsewhere are kept beside the build, and found there again.
#[test]
fn tables_from_other_folders_are_found_again() {
    let bench = Bench::new();
    let shared = bench.car.path().join("shared");
    fs::create_dir(&shared).unwrap();
    fs::rename(bench.car.path().join("motor-curve.csv"), shared.join("motor-curve.csv")).unwrap();
    bench.change("build.toml", "\"motor-curve.csv\"", "\"shared/motor-curve.csv\"");
    bench.first_line(&[]);
    let (line, said) = bench.first_line(&[]);
    assert_eq!(line, "Nothing has changed since last time.", "{said}");
    let curve = format!("motor.curve={}", path_text(&shared.join("motor-curve.csv")));
    let (line, _) = bench.first_line(&["--set", &curve]);
    assert!(line.contains("motor.curve shared/motor-curve.csv → "), "{line}");
    assert!(line.contains("no nominal answer moved"), "{line}");
}

#[test]
fn a_folder_that_cannot_be_compared_with_is_no_error() {
    let bench = Bench::new();
    bench.first_line(&[]);
    // A report of before there was anything to compare with.
    fs::remove_dir_all(bench.report().join("inputs")).unwrap();
    let manifest = bench.report().join("manifest.json");
    let mut value: Value = serde_json::from_str(&fs::read_to_string(&manifest).unwrap()).unwrap();
    value["files"].as_object_mut().unwrap().retain(|name, _| !name.starts_with("inputs/"));
    fs::write(&manifest, value.to_string()).unwrap();
    let (line, said) = bench.first_line(&[]);
    assert!(!line.contains("last time") && !said.contains("last time"), "{line} {said}");

    // Inputs that somebody changed are no longer those of the report.
    let kept = bench.report().join("inputs/build.toml");
    let old = fs::read_to_string(&kept).unwrap();
    fs::write(&kept, old.replace("11.4 kg", "9 kg")).unwrap();
    let refused = run(&bench.args(&bench.report(), &[]));
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("inputs/build.toml"), "{}", text(&refused.stderr));
    let (line, said) = bench.first_line(&["--force"]);
    assert!(!line.contains("last time"), "{line}");
    assert!(said.contains("since last time is not known") && said.contains("inputs/build.toml"));
    assert_eq!(bench.since(), Value::Null);
}

/// Both are computed by the program of now; that another one made the report before is said.
#[test]
fn another_version_of_the_program_is_said() {
    let bench = Bench::new();
    bench.first_line(&[]);
    let made = bench.report().join("inputs/made-from.json");
    let old = fs::read_to_string(&made).unwrap();
    let mut value: Value = serde_json::from_str(&old).unwrap();
    value["program_version"] = "0.0.9".into();
    let new = format!("{value:#}\n");
    fs::write(&made, &new).unwrap();
    // As if that version had written it.
    let manifest = bench.report().join("manifest.json");
    let hash = |text: &str| {
        use sha2::Digest as _;
        let digest = sha2::Sha256::digest(text.as_bytes());
        digest.iter().map(|byte| format!("{byte:02x}")).collect::<String>()
    };
    let listed = fs::read_to_string(&manifest).unwrap();
    fs::write(&manifest, listed.replace(&hash(&old), &hash(&new))).unwrap();
    let version = env!("CARGO_PKG_VERSION");
    assert_eq!(
        bench.first_line(&[]).0,
        format!(
            "Nothing has changed since last time. Last time crownwheel 0.0.9 computed it; here {version} computes both."
        )
    );
}

/// Two axles with a demand that depends on them.
const SWEEP: &str = r#"
format = 1
build = "build.toml"
worlds = 60
cycles = ["udds"]
days = ["mild"]
[vary]
driveline.axle.ratio = [3.89, 4.22]
[demand.away_from_lights]
time = { to = "80 km/h", at_most = "7.9 s", sure = 0.8 }
"#;

#[test]
fn a_sweep_says_what_the_decision_was() {
    let bench = Bench::new();
    let sweep = bench.car.path().join("sweep.toml");
    fs::write(&sweep, SWEEP).unwrap();
    let out = bench.report();
    let args = ["report", path_text(&sweep), "--out", path_text(&out)];
    let decided = |more: &[&str]| {
        let done = good(&[&args[..], more].concat());
        let json = fs::read_to_string(out.join("sweep.json")).unwrap();
        let value: Value = serde_json::from_str(&json).unwrap();
        (text(&done.stdout).lines().next().unwrap().to_owned(), value)
    };
    let (line, first) = decided(&[]);
    assert!(!line.contains("ast time") && first["since"].is_null(), "{line}");
    let best = first["ranking"][0].as_str().unwrap();
    assert_eq!(decided(&[]).0, "Nothing has changed since last time.");
    let (line, second) = decided(&["--set", "vary.driveline.axle.ratio=[3.7, 3.89]"]);
    let now = second["ranking"][0].as_str().unwrap();
    assert_ne!(best, now);
    assert!(line.starts_with(&format!("Since last time: the best option {best} (")), "{line}");
    assert!(line.contains(&format!(" → {now} (")), "{line}");
    assert_eq!(second["since"], line);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    assert!(page.contains("Since last time: the best option"));
    // A sweep that is run again, or gone on with, gives the same bytes whatever stands there.
    good(&["sweep", path_text(&sweep), "--out", path_text(&out)]);
    let json = fs::read_to_string(out.join("sweep.json")).unwrap();
    assert_eq!(serde_json::from_str::<Value>(&json).unwrap(), first);
}
