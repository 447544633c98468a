//! Pipes: what is read from one, what is written into one that closes, and what a program reads there.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{copy_of, crownwheel, demo, demo_log, dunlin, good, path_text, run, text};

/// Runs with a file as standard input, in a folder.
fn fed(args: &[&str], file: &Path, folder: &Path) -> Output {
    crownwheel().args(args).stdin(File::open(file).unwrap()).current_dir(folder).output().unwrap()
}

/// Runs with these bytes written into a pipe.
fn piped(args: &[&str], bytes: &[u8], folder: &Path) -> Output {
    let mut child = crownwheel()
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // It may end before it has read everything.
    let _ = child.stdin.take().unwrap().write_all(bytes);
    child.wait_with_output().unwrap()
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

fn refused(output: &Output, words: &[&str]) {
    assert_eq!(code(output), Some(2), "{}", text(&output.stderr));
    assert!(output.stdout.is_empty());
    for word in words {
        assert!(text(&output.stderr).contains(word), "`{word}`: {}", text(&output.stderr));
    }
}

/// The same answer as from the file: tables are found in the current folder, and the hash is of the
/// same bytes.
#[test]
fn a_build_from_standard_input_is_the_build() {
    let car = copy_of("dunlin");
    let build = car.path().join("build.toml");
    let commands: [&[&str]; 6] = [
        &["weigh"],
        &["check", "--worlds", "60"],
        &["range", "--cycle", "udds", "--worlds", "60"],
        &["charge", "--worlds", "1"],
        &["pull", "--worlds", "1", "--set", "driveline.axle.ratio=3.89,4.22"],
        &["explain", "mass"],
    ];
    for args in commands {
        let (own, named) = ([args, &["-", "--json"]].concat(), [args, &[".", "--json"]].concat());
        let done = fed(&own, &build, car.path());
        assert_eq!(code(&done), Some(0), "{args:?}: {}", text(&done.stderr));
        let file = crownwheel().args(&named).current_dir(car.path()).output().unwrap();
        let read = |output: &Output| serde_json::from_slice::<Value>(&output.stdout).unwrap();
        let (mut own, mut named) = (read(&done), read(&file));
        assert_eq!(own["provenance"], named["provenance"], "{args:?}");
        // Notes name files by how they were named.
        for answer in [&mut own, &mut named] {
            answer.as_object_mut().unwrap().remove("notes");
        }
        assert_eq!(own, named, "{args:?}");
    }
    let report = fed(&["report", "-", "--cycle", "udds", "--worlds", "1"], &build, car.path());
    assert_eq!(code(&report), Some(0), "{}", text(&report.stderr));
    assert!(car.path().join("crownwheel-report/inputs/build.toml").is_file());
}

#[test]
fn messages_name_standard_input_and_its_size_is_limited() {
    let folder = TempDir::new().unwrap();
    let wrong = piped(&["weigh", "-"], b"format = 1\n[car]\nwheelbse = \"2 m\"\n", folder.path());
    refused(&wrong, &["standard input:3", "wheelbse"]);
    let binary = piped(&["weigh", "-"], b"a\0b", folder.path());
    refused(&binary, &["standard input", "not text"]);
    let large = piped(&["weigh", "-"], &vec![b'#'; (4 << 20) + 1], folder.path());
    refused(&large, &["standard input", "too large"]);
    let empty = run(&["weigh", "-"]);
    refused(&empty, &["standard input", "is empty", "a build is wanted"]);
}

#[test]
fn a_build_may_be_compared_with_one_from_standard_input() {
    let car = copy_of("dunlin");
    let build = car.path().join("build.toml");
    let ratio = ["--set", "driveline.axle.ratio=3.89"];
    for pair in [vec!["-", "."], vec![".", "-"], vec!["-"]] {
        let args = [&["compare"], &pair[..], &ratio].concat();
        let done = fed(&args, &build, car.path());
        assert_eq!(code(&done), Some(0), "{args:?}: {}", text(&done.stderr));
        assert!(text(&done.stdout).contains("turns 524 rpm slower"), "{}", text(&done.stdout));
    }
    refused(&fed(&["compare", "-", "-"], &build, car.path()), &["one build"]);
}

#[test]
fn logs_are_read_from_standard_input() {
    let folder = TempDir::new().unwrap();
    let same = |args: &[&str], log: &str| {
        let log = demo_log(log);
        let place = args.iter().position(|arg| *arg == "LOG").unwrap();
        let with = |name: &str| {
            let mut own: Vec<String> = args.iter().map(|arg| (*arg).to_owned()).collect();
            own[place] = name.to_owned();
            own.push("--json".to_owned());
            own
        };
        let own = with("-");
        let own: Vec<&str> = own.iter().map(String::as_str).collect();
        let done = fed(&own, Path::new(&log), folder.path());
        assert_eq!(code(&done), Some(0), "{args:?}: {}", text(&done.stderr));
        let named = with(&log);
        let named: Vec<&str> = named.iter().map(String::as_str).collect();
        let read = |output: &Output| serde_json::from_slice::<Value>(&output.stdout).unwrap();
        let (own, named) = (read(&done), read(&good(&named)));
        // Of the same bytes.
        assert_eq!(own["provenance"], named["provenance"], "{args:?}");
        assert_eq!(own["plain"], named["plain"], "{args:?}");
        assert!(own.to_string().contains("standard input") || !named.to_string().contains(&log));
    };
    same(&["trip", "LOG"], "moor-round.gpx");
    same(&["trip", "LOG"], "moor-round-phone.csv");
    let dunlin = dunlin();
    same(&["audit", "LOG", &dunlin], "finished-car.csv");
    let weather = ["--temperature", "14 °C", "--pressure", "99.8 kPa"];
    let args = [&["coastdown", "LOG", "--mass", "905 kg"][..], &weather].concat();
    same(&args, "coastdown-phone.csv");
}

#[test]
fn a_cycle_goes_to_standard_output_and_the_answer_elsewhere() {
    let folder = TempDir::new().unwrap();
    let log = demo_log("moor-round.gpx");
    let file = folder.path().join("drive.csv");
    good(&["trip", &log, "-o", path_text(&file)]);
    let done = good(&["trip", &log, "-o", "-"]);
    assert_eq!(done.stdout, fs::read(&file).unwrap());
    assert!(text(&done.stderr).contains("uphill"), "{}", text(&done.stderr));
    let through = fed(&["trip", "-", "-o", "-"], Path::new(&log), folder.path());
    assert_eq!(text(&through.stdout).lines().count(), text(&done.stdout).lines().count());
    refused(&run(&["trip", &log, "-o", "-", "--json"]), &["--json", "--out DIR"]);
    let out = folder.path().join("out");
    let both = good(&["trip", &log, "-o", "-", "--out", path_text(&out)]);
    assert_eq!(both.stdout, done.stdout);
    assert!(out.join("trip.json").is_file());
}

#[test]
fn a_dash_is_refused_where_it_means_nothing() {
    let car = copy_of("dunlin");
    let dunlin = dunlin();
    let log = demo_log("finished-car.csv");
    let cases: [(&[&str], &str); 10] = [
        (&["weigh", &dunlin, "--out", "-"], "name a folder"),
        (&["report", &dunlin, "--out", "-"], "name a folder"),
        (&["sweep", "-"], "write it into a file"),
        (&["sweep", ".", "--merge", "-"], "name a folder"),
        (&["coastdown", &log, "--mass", "905 kg", "--write", "-"], "name the build's file"),
        (&["new", "-"], "name a folder"),
        (&["man", "-"], "name a folder"),
        (&["audit", "-", "-"], "either the log or the build"),
        (&["audit", &log, "-", "--write", "may"], "cannot be written into"),
        (&["range", &dunlin, "--cycle", "-"], "no built-in cycle"),
    ];
    for (args, why) in cases {
        let done = crownwheel().args(args).current_dir(car.path()).output().unwrap();
        refused(&done, &[why]);
    }
    assert!(!car.path().join("-").exists() && !car.path().join("may.csv").exists());
}

/// A reader that leaves early is no error, however little it took.
#[test]
fn a_pipe_that_closes_is_no_error() {
    let dunlin = dunlin();
    let log = demo_log("moor-round.gpx");
    let commands: [&[&str]; 12] = [
        &["keys"],
        &["keys", "--json"],
        &["keys", "--schema"],
        &["cycles"],
        &["weigh", &dunlin],
        &["check", &dunlin, "--worlds", "1"],
        &["range", &dunlin, "--cycle", "udds", "--worlds", "1", "--json"],
        &["explain", "mass", &dunlin],
        &["trip", &log, "-o", "-"],
        &["completions", "bash"],
        &["--help"],
        &["weigh", "--help"],
    ];
    for args in commands {
        for taken in [0, 10] {
            let mut child = crownwheel()
                .args(args)
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap();
            let mut out = child.stdout.take().unwrap();
            out.read_exact(&mut vec![0; taken]).unwrap();
            drop(out);
            let output = child.wait_with_output().unwrap();
            assert_eq!(code(&output), Some(0), "{args:?}: {}", text(&output.stderr));
            let said = text(&output.stderr);
            // With -o - the answer is said on standard error, and nothing but it.
            let quiet = said.is_empty() || args.contains(&"-o") && !said.contains("rror");
            assert!(quiet, "{args:?}: {said}");
        }
    }
    // Whoever listens to standard error may leave, too.
    let mut child =
        crownwheel().args(["weigh", "/no/such"]).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(2));
}

const ESCAPE: u8 = 0x1b;

/// No escape code goes into a pipe, nor where colour is not wanted or cannot be shown.
#[test]
fn escape_codes_go_to_no_pipe() {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("build.toml"), "format = 1\nwheelbse = 2\n").unwrap();
    let sweep = demo("dunlin").join("sweep.toml");
    let sweep = path_text(&sweep);
    let commands: [&[&str]; 7] = [
        &["--help"],
        &["-h"],
        &["weigh", "--help"],
        &["weigh", "--fly"],
        &["weigh", "."],
        &["weigh", "/no/such"],
        &["sweep", sweep, "--set", "worlds=2", "--set", "vary.driveline.axle.ratio=[4.22]"],
    ];
    for args in commands {
        for (name, value) in [("NO_COLOR", "1"), ("TERM", "dumb"), ("CLICOLOR", "0"), ("LANG", "C")]
        {
            let done = crownwheel()
                .args(args)
                .env_remove("NO_COLOR")
                .env(name, value)
                .current_dir(folder.path())
                .output()
                .unwrap();
            let bytes = [done.stdout, done.stderr].concat();
            assert!(!bytes.is_empty() && !bytes.contains(&ESCAPE), "{args:?} {name}");
        }
    }
}

/// Colour that is asked for goes into a pipe, too.
#[test]
fn colour_that_is_forced_is_given() {
    for args in [&["weigh", "/no/such"][..], &["weigh", "--fly"], &["--help"]] {
        let done = crownwheel()
            .args(args)
            .env_remove("NO_COLOR")
            .env("CLICOLOR_FORCE", "1")
            .output()
            .unwrap();
        assert!([done.stdout, done.stderr].concat().contains(&ESCAPE), "{args:?}");
    }
}

/// What a terminal of so many columns is shown. `None`: the machine has no program that plays one.
#[cfg(target_os = "linux")]
fn on_a_terminal(line: &str, columns: usize, variables: &[(&str, &str)]) -> Option<String> {
    let program = env!("CARGO_BIN_EXE_crownwheel");
    // Some shells set COLUMNS anew after each command: what is asked for stands before the program.
    let asked: String = variables.iter().map(|(name, value)| format!("{name}={value} ")).collect();
    let line = format!("stty cols {columns} rows 40; {asked}{program} {line}");
    let done = Command::new("script")
        .args(["-qec", &line, "/dev/null"])
        .env_remove("NO_COLOR")
        .env_remove("COLUMNS")
        .env("TERM", "xterm")
        .stdin(Stdio::null())
        .output()
        .ok()?;
    let shown = String::from_utf8_lossy(&done.stdout).into_owned();
    (!shown.is_empty()).then_some(shown)
}

#[cfg(target_os = "linux")]
#[test]
fn a_terminal_rules_width_and_colour() {
    let dunlin = dunlin();
    let widest =
        |shown: &str| shown.lines().map(|line| line.trim_end().chars().count()).max().unwrap_or(0);
    let line = format!("range {dunlin} --cycle udds --worlds 60");
    let Some(narrow) = on_a_terminal(&line, 72, &[]) else { return };
    // A path is not broken.
    let wrapped: String =
        narrow.lines().filter(|line| !line.contains(&dunlin)).map(|l| format!("{l}\n")).collect();
    assert!(widest(&wrapped) <= 72, "{narrow}");
    assert!(narrow.contains("engineering"), "{narrow}");
    let asked = on_a_terminal(&line, 200, &[("COLUMNS", "72")]).unwrap();
    assert_eq!(asked, narrow);
    let help = on_a_terminal("weigh --help", 64, &[]).unwrap();
    let sentences =
        help.lines().map(|line| plain(line.trim_end())).take_while(|line| line != "Examples:");
    assert!(sentences.clone().count() > 20);
    assert!(sentences.clone().all(|line| widest(&line) <= 64), "{help}");
    assert!(sentences.map(|line| widest(&line)).max() > Some(56), "{help}");

    let wrong = "weigh /no/such";
    assert!(on_a_terminal(wrong, 80, &[]).unwrap().as_bytes().contains(&ESCAPE));
    for variable in [("NO_COLOR", "1"), ("TERM", "dumb"), ("CLICOLOR", "0")] {
        for line in [wrong, "weigh --fly", "--help"] {
            // Where builds are run for others colours are usual; these words count there, too.
            for ci in ["CI", "NOTHING"] {
                let shown = on_a_terminal(line, 80, &[variable, (ci, "true")]).unwrap();
                assert!(!shown.as_bytes().contains(&ESCAPE), "{variable:?} {line}: {shown:?}");
            }
        }
    }
    let sweep = demo("dunlin").join("sweep.toml");
    let line = format!(
        "sweep {} --set worlds=20 --set 'vary.driveline.axle.ratio=[4.22]'",
        path_text(&sweep)
    );
    let bar = on_a_terminal(&line, 80, &[("TERM", "dumb")]).unwrap();
    assert!(!bar.as_bytes().contains(&ESCAPE), "{bar:?}");
}

/// Without what sets colours.
#[cfg(target_os = "linux")]
fn plain(line: &str) -> String {
    let mut out = String::new();
    let mut rest = line;
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        out.push_str(before);
        rest = after.split_once('m').map_or("", |(_, rest)| rest);
    }
    out.push_str(rest);
    out
}
