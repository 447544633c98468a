//! Names that mean something to a page, a spreadsheet, a shell or a terminal.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use super::{ended, refused, said, tree};
use crate::bench::{copy_of, demo, demo_log, dunlin, path_text};

/// Texts that a page must not hold as they are.
const MARKS: [&str; 3] =
    ["<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "\"onload=\"x"];

/// Names as TOML texts: all of them may stand for a car, an option or a currency.
const TEXTS: [&str; 10] = [
    "<script>alert(1)</script>",
    "a & b <img src=x onerror=alert(1)>",
    "\"onload=\"x' y=`z`",
    "-x",
    "=cmd|' /C calc'!A0",
    "+1+1",
    "@SUM(1)",
    "two\nlines\ttab\rreturn",
    "\u{1b}[31mred\u{1b}]0;title\u{7}\u{9b}2J",
    "\u{1f697} \u{202e}drawkcab",
];

/// The one script of a page.
const SORTING: &str =
    concat!("<script>", include_str!("../../../../crownwheel-plot/src/page/sort.js"), "</script>");

fn file_names() -> Vec<OsString> {
    let mut names: Vec<OsString> = [
        "my car",
        "it's \"mine\"",
        "two\nlines",
        "<img src=x onerror=alert(1)>",
        "<script>alert(1)<",
        "a & b",
        "-x",
        "=cmd",
        "\u{1b}[31mred\u{7}",
        "\u{1f697}",
        "$(id)`id`",
        "%s%n",
    ]
    .map(OsString::from)
    .to_vec();
    names.push(OsStr::from_bytes(b"not \xff\xfe text").to_owned());
    names
}

fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Every cell of the CSV files below a folder is a number or a text that no spreadsheet runs.
fn check_cells(path: &Path, bytes: &[u8]) {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .flexible(true)
        .has_headers(false)
        .from_reader(bytes);
    for record in reader.records() {
        for cell in &record.unwrap() {
            let runs = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
            assert!(!runs || cell.parse::<f64>().is_ok(), "{}: {cell:?}", path.display());
        }
    }
}

/// What a run left: pages and figures without marks of ours in them, tables, and JSON that can be read.
fn check_results(folder: &Path) {
    let mut pages = 0;
    for (path, _, bytes) in tree(folder) {
        let ending = path.extension().and_then(OsStr::to_str);
        match ending {
            Some("html" | "svg") => {
                let page = std::str::from_utf8(&bytes).unwrap();
                for mark in MARKS {
                    assert!(!page.contains(mark), "{}: {mark}", path.display());
                }
                let raw = page.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t'));
                assert_eq!(raw, None, "{}", path.display());
                let page = page.replace("http://www.w3.org/2000/svg", "").replacen(SORTING, "", 1);
                for outside in [
                    "<script",
                    "http:",
                    "https:",
                    "src=\"",
                    "@import",
                    "url(",
                    "<img",
                    "<link rel=\"s",
                ] {
                    assert!(!page.contains(outside), "{}: {outside}", path.display());
                }
                pages += 1;
            }
            Some("csv") => check_cells(&path, &bytes),
            Some("json") => drop(serde_json::from_slice::<Value>(&bytes).unwrap()),
            _ => {}
        }
    }
    assert!(pages > 0);
}

fn check_page_with(car: &TempDir, text: &str) {
    let out = car.path().join("out");
    let args = [
        "report",
        path_text(car.path()),
        "--cycle",
        "udds",
        "--worlds",
        "1",
        "--out",
        path_text(&out),
    ];
    let output = ended(&args);
    assert_eq!(output.status.code(), Some(0), "{text:?}: {}", said(&output));
    said(&output);
    check_results(&out);
    let page = fs::read_to_string(out.join("report.html")).unwrap();
    // The name itself is there, whatever it is.
    let word = text.split(|c: char| !c.is_alphanumeric()).find(|word| word.len() > 1);
    assert!(word.is_none_or(|word| page.contains(word)), "{text:?}");
}

#[test]
fn names_in_a_build_do_no_harm_in_pages_tables_and_terminals() {
    for text in TEXTS {
        let car = copy_of("dunlin");
        let build = car.path().join("build.toml");
        let toml = fs::read_to_string(&build).unwrap();
        let named = toml.replacen(
            "name = \"Dunlin 1100 saloon, 1967\"",
            &format!("name = {}", quoted(text)),
            1,
        );
        assert_ne!(named, toml);
        fs::write(&build, named).unwrap();
        // A report takes its time; a spreadsheet's and a shell's words mean nothing to a page.
        if text.contains(['<', '"', '\n', '\u{1b}', '\u{202e}']) {
            check_page_with(&car, text);
        }
        for command in [&["check", "--worlds", "1"][..], &["weigh"], &["gauges"]] {
            let args = [command, &[path_text(&build)]].concat();
            said(&ended(&args));
            let json = ended(&[&args[..], &["--json"]].concat());
            let answer: Value = serde_json::from_slice(&json.stdout).unwrap();
            assert_eq!(answer["car"], text, "{command:?}");
            said(&json);
        }
    }
}

/// The figure of an audit, its tables, and the fact that it writes into the build.
#[test]
fn names_in_an_audit_do_no_harm() {
    let car = copy_of("dunlin");
    let build = car.path().join("build.toml");
    let toml = fs::read_to_string(&build).unwrap();
    let name = quoted("=cmd \"onload=\"x <script>alert(1)</script>\u{1b}[31m");
    fs::write(&build, toml.replacen("\"Dunlin 1100 saloon, 1967\"", &name, 1)).unwrap();
    let log = car.path().join("=\"]\n[car] <img src=x onerror=alert(1)>\u{1b}[2J.csv");
    fs::copy(demo_log("finished-car.csv"), &log).unwrap();
    let out = car.path().join("out");
    let args = ["audit", path_text(&log), path_text(&build), "--out", path_text(&out)];
    let output = ended(&[&args[..], &["--write", "my_drive"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    said(&output);
    check_results(&out);
    let checked = ended(&["check", path_text(&build)]);
    assert_eq!(checked.status.code(), Some(0), "{}", said(&checked));
}

/// What `new` tells to type next can be typed, whatever the folder is called.
#[test]
fn what_is_to_be_typed_next_can_be_typed() {
    let top = TempDir::new().unwrap();
    for name in ["plain", "my car", "it's", "$(id)", "-x", "a&b;c", "\u{1f697}"] {
        let mut new = crate::bench::crownwheel();
        let output = new.current_dir(&top).args(["new", "--", name]).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        let text = said(&output);
        let line = text.lines().find(|line| line.contains("crownwheel check")).unwrap();
        let line = line.trim().replacen("crownwheel", "\"$CROWNWHEEL\"", 1);
        let mut shell = Command::new("sh");
        shell
            .current_dir(&top)
            .args(["-c", &format!("{line} --worlds 1")])
            .env("CROWNWHEEL", env!("CARGO_BIN_EXE_crownwheel"));
        let output = shell.output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{line}: {}", said(&output));
    }
}

#[test]
fn names_in_a_sweep_do_no_harm_in_pages_tables_and_terminals() {
    for text in TEXTS {
        let car = copy_of("dunlin");
        let sweep = car.path().join("sweep.toml");
        let quoted = quoted(text);
        let plan = format!(
            "format = 1\nbuild = \"build.toml\"\nworlds = 20\ncycles = [\"udds\"]\ndays = [\"mild\"]\n[[choose.tyres]]\nname = {quoted}\n[[choose.tyres]]\nname = \"narrow\"\nprice = 260\nset.tyres.rolling_resistance = \"0.0105 ± 0.0015\"\n[price]\ncurrency = {quoted}\n"
        );
        fs::write(&sweep, plan).unwrap();
        let out = car.path().join("out");
        let output = ended(&["sweep", path_text(&sweep), "--out", path_text(&out)]);
        assert_eq!(output.status.code(), Some(0), "{text:?}: {}", said(&output));
        said(&output);
        check_results(&out);
    }
}

/// Days, hills, supplies and demands become keys of answers: only plain names are taken.
#[test]
fn names_that_become_keys_are_plain() {
    for text in TEXTS {
        let car = copy_of("dunlin");
        let build = car.path().join("build.toml");
        let toml = fs::read_to_string(&build).unwrap();
        for table in ["day.summer", "hill.moor_bank", "supply.garage", "demand.cruise"] {
            let (of, _) = table.split_once('.').unwrap();
            let named =
                toml.replacen(&format!("[{table}]"), &format!("[{of}.{}]", quoted(text)), 1);
            assert_ne!(named, toml);
            fs::write(&build, named).unwrap();
            let output = ended(&["check", path_text(&build), "--worlds", "1"]);
            let why = said(&output);
            let plain = text == "-x";
            assert_eq!(output.status.code(), Some(if plain { 0 } else { 2 }), "{text:?}: {why}");
            assert!(plain || why.contains("is not a name for a key"), "{text:?}: {why}");
        }
    }
}

#[test]
fn files_and_folders_may_have_any_name() {
    for name in file_names() {
        let top = TempDir::new().unwrap();
        let folder = top.path().join(&name);
        fs::create_dir(&folder).unwrap();
        for entry in fs::read_dir(demo("dunlin")).unwrap() {
            let from = entry.unwrap().path();
            if from.is_file() {
                fs::copy(&from, folder.join(from.file_name().unwrap())).unwrap();
            }
        }
        let with = |ending: &str| {
            let mut file = name.clone();
            file.push(ending);
            folder.join(file)
        };
        let build = with(".toml");
        fs::rename(folder.join("build.toml"), &build).unwrap();
        fs::remove_file(folder.join("sweep.toml")).unwrap();
        let log = with(".csv");
        fs::copy(demo_log("coastdown-logger.csv"), &log).unwrap();
        let out = with(" out");
        let os = OsStr::new;
        let (build, out) = (build.as_os_str(), out.as_os_str());
        let written = |args: &[&OsStr]| {
            let output = ended(args);
            assert_eq!(output.status.code(), Some(0), "{args:?}: {}", said(&output));
            said(&output);
            let json = ended(&[args, &[os("--json"), os("--force")]].concat());
            serde_json::from_slice::<Value>(&json.stdout).unwrap();
            fs::remove_dir_all(out).unwrap();
        };
        written(&[os("weigh"), build, os("--out"), out]);
        // The build's own cycle lies in the folder, and is driven.
        written(&[
            os("range"),
            build,
            os("--day"),
            os("mild"),
            os("--worlds"),
            os("1"),
            os("--out"),
            out,
        ]);
        written(&[os("trip"), log.as_os_str(), os("--out"), out]);
        let coasting =
            [os("coastdown"), log.as_os_str(), os("--mass"), os("905 kg"), os("--out"), out];
        let output = ended(&coasting);
        assert_eq!(output.status.code(), Some(0), "{name:?}: {}", said(&output));
        check_results(Path::new(out));
        fs::write(build, "broken = \n").unwrap();
        refused(&[os("check"), build], 2, &[":1:"]);
        let missing = with(" missing.toml");
        refused(&[os("check"), missing.as_os_str()], 2, &["there is no such file"]);
        refused(&[os("trip"), missing.as_os_str()], 2, &["there is no such file"]);
        refused(&[os("sweep"), log.as_os_str(), os("--merge"), missing.as_os_str()], 2, &[]);
    }
}

#[test]
fn cycles_may_have_any_name_that_can_be_typed() {
    for name in file_names() {
        let Some(name) = name.to_str() else { continue };
        let folder = TempDir::new().unwrap();
        let cycle = folder.path().join(format!("{name}.csv"));
        fs::copy(demo("dunlin").join("moor-round.csv"), &cycle).unwrap();
        let out = folder.path().join("out");
        let build = dunlin();
        let args = [
            "report",
            &build,
            "--cycle",
            path_text(&cycle),
            "--worlds",
            "1",
            "--day",
            "mild",
            "--out",
            path_text(&out),
        ];
        let output = ended(&args);
        assert_eq!(output.status.code(), Some(0), "{name:?}: {}", said(&output));
        said(&output);
        check_results(&out);
    }
}

/// An option that is no option may be the name of a file that a shell put in.
#[test]
fn what_is_not_understood_is_shown_without_harm() {
    for typed in ["-\u{1b}[2J.gpx", "--\u{1b}]0;title\u{7}", "fly\u{9b}2J"] {
        refused(&[typed], 2, &["error"]);
        refused(&["trip", "x", typed], 2, &["error"]);
    }
}
