//! The help: every example in it is run, and says what the help says.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Output};

use tempfile::TempDir;

use crate::bench::{crownwheel, demo, good, run, text};

const COMMANDS: [&str; 19] = [
    "new",
    "check",
    "weigh",
    "pull",
    "charge",
    "gauges",
    "range",
    "report",
    "sweep",
    "compare",
    "explain",
    "trip",
    "audit",
    "coastdown",
    "cycles",
    "keys",
    "completions",
    "licences",
    "man",
];

fn help(args: &[&str], columns: usize) -> String {
    let done = crownwheel().args(args).env("COLUMNS", columns.to_string()).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{args:?}");
    assert!(done.stderr.is_empty());
    text(&done.stdout).to_owned()
}

/// Commands of the help with what it says that they print.
fn examples(help: &str) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let (_, below) = help.split_once("Examples:\n").unwrap();
    let mut goes_on = false;
    for line in below.lines().take_while(|line| line.starts_with("    ")) {
        let words = line.trim();
        let last = found.last_mut();
        match (line.starts_with("        "), last) {
            (true, Some((command, _))) if goes_on => command.push_str(&format!("\n{words}")),
            (true, Some((_, said))) => said.push_str(&format!(" {words}")),
            (false, _) => found.push((words.to_owned(), String::new())),
            (true, None) => panic!("{line}"),
        }
        goes_on = words.ends_with('\\');
    }
    found
}

/// Runs a line as a shell does, where the demos are.
fn shell(line: &str, folder: &Path) -> Output {
    let program = Path::new(env!("CARGO_BIN_EXE_crownwheel"));
    let path = std::env::var("PATH").unwrap();
    let own = program.parent().unwrap().display();
    Command::new("bash")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", format!("{own}:{path}"))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn one_blank(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_example_of_the_help_runs_and_says_what_the_help_says() {
    for command in COMMANDS {
        let folder = TempDir::new().unwrap();
        symlink(demo(""), folder.path().join("data-demo")).unwrap();
        let examples = examples(&help(&[command, "--help"], 100));
        assert!(!examples.is_empty(), "{command}");
        for (line, said) in examples {
            let done = shell(&line, folder.path());
            let printed = text(&done.stdout).to_owned() + text(&done.stderr);
            assert_eq!(done.status.code(), Some(0), "{line}: {printed}");
            let found = one_blank(&printed).contains(&one_blank(&said));
            assert!(found, "{line}\nsays\n{printed}\nand not\n{said}");
        }
    }
}

#[test]
fn the_examples_are_found_with_what_they_print() {
    let text = "Usage\n\nExamples:\n    one two\n        said here\n        and there\n    three \\\n        four\n        said\n\nMore\n    no example\n";
    let found = examples(text);
    assert_eq!(found[0], ("one two".to_owned(), " said here and there".to_owned()));
    assert_eq!(found[1], ("three \\\nfour".to_owned(), " said".to_owned()));
    assert_eq!(found.len(), 2);
}

#[test]
fn help_teaches_the_order_of_work_the_exit_codes_and_the_caution() {
    let long = help(&["--help"], 80);
    let place = |words: &str| long.find(words).unwrap_or_else(|| panic!("no {words}: {long}"));
    let groups =
        ["Type these first:", "Before buying:", "Choosing:", "After the build:", "Reference:"];
    assert!(groups.windows(2).all(|pair| place(pair[0]) < place(pair[1])));
    for words in [
        "FILE is a build",
        "Exit codes:",
        "\n    0  ",
        "\n    1  ",
        "\n    2  ",
        "\n    130  ",
        "Caution:",
    ] {
        place(words);
    }
    for command in COMMANDS {
        place(&format!("\n  {command} "));
    }
    let short = help(&["-h"], 80);
    assert!(short.len() < long.len() && !short.contains("Exit codes"));
}

/// Fits the screen, whatever it is; what is to be copied stays in one line.
#[test]
fn help_fits_the_screen() {
    for columns in [60, 80, 100, 140] {
        let mut all = vec![help(&["--help"], columns), help(&["-h"], columns)];
        for command in COMMANDS {
            all.push(help(&[command, "--help"], columns));
            all.push(help(&[command, "-h"], columns));
        }
        let most = columns.min(100);
        for line in all.iter().flat_map(|text| text.lines()) {
            let copied = line.starts_with("    ") && columns < 80;
            assert!(copied || line.chars().count() <= most, "{columns}: {line}");
        }
    }
    let usual = crownwheel().arg("--help").env_remove("COLUMNS").output().unwrap();
    assert!(text(&usual.stdout).lines().all(|line| line.chars().count() <= 80));
}

/// What the help says of exit codes is so.
#[test]
fn exit_codes_are_those_of_the_help() {
    let dunlin = crate::bench::dunlin();
    let code = |args: &[&str]| run(args).status.code();
    assert_eq!(code(&["weigh", &dunlin]), Some(0));
    // Impossible is an answer: one module too many for the controller makes no car, a hill too steep does.
    assert_eq!(
        code(&["pull", &dunlin, "--worlds", "1", "--set", "hill.moor_bank.grade=0.6"]),
        Some(0)
    );
    for command in [&["weigh"][..], &["check", "--worlds", "1"], &["report", "--worlds", "1"]] {
        let out = TempDir::new().unwrap();
        let out = out.path().join("out");
        let more = [dunlin.as_str(), "--strict", "--out", out.to_str().unwrap()];
        assert_eq!(code(&[command, &more].concat()), Some(1), "{command:?}");
    }
    assert_eq!(code(&["weigh", "/no/such/build.toml"]), Some(2));
    assert_eq!(code(&["weigh", "--fly"]), Some(2));
    assert_eq!(code(&[]), Some(2));
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("taken"), "").unwrap();
    let below = folder.path().join("taken/out");
    assert_eq!(code(&["weigh", &dunlin, "--out", below.to_str().unwrap()]), Some(1));
}

/// A report counts the warnings of every answer in it, not of some.
#[test]
fn a_strict_report_counts_the_warnings_of_charging() {
    let out = TempDir::new().unwrap();
    let out = out.path().join("out");
    let wren = demo("wren");
    let dead = "supply.garage.limit=0 W";
    let shared = ["--set", "plate.gross=5000 kg", "--worlds", "1", "--cycle", "udds"];
    let strict = |more: &[&str]| {
        let head = ["report", wren.to_str().unwrap(), "--strict", "--out", out.to_str().unwrap()];
        let done = run(&[&head[..], &shared, more].concat());
        let json = fs::read(out.join("report.json")).unwrap();
        let answer: serde_json::Value = serde_json::from_slice(&json).unwrap();
        let count = |part: &str| answer[part]["warnings"].as_array().unwrap().len();
        (done.status.code(), ["check", "weigh", "range", "pull", "charge"].map(count))
    };
    let (code, counts) = strict(&["--set", dead]);
    assert!(counts[4] > 0, "{counts:?}");
    assert_eq!(code, Some(1));
}

/// Of a sweep that is stopped from the keyboard; see `sweep.rs` for what it leaves.
#[test]
fn an_answer_is_the_same_whatever_the_environment_says_of_the_screen() {
    let dunlin = crate::bench::dunlin();
    let plain = good(&["weigh", &dunlin]).stdout;
    for (name, value) in [("COLUMNS", "40"), ("TERM", "dumb"), ("CLICOLOR_FORCE", "1")] {
        let done = crownwheel().args(["weigh", &dunlin]).env(name, value).output().unwrap();
        assert!(done.stdout == plain, "{name}={value}");
    }
}
