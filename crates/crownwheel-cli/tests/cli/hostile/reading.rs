//! Files that are none, that are too large, or that somebody writes while they are read.

use std::fs::{self, File};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::Duration;

use serde_json::Value;
use tempfile::TempDir;

use super::{ended, pipe, refused, said};
use crate::bench::{copy_of, demo_log, dunlin, good, path_text};

/// A file full of nothing: it takes no room on the disk.
fn hole(path: &Path, bytes: u64) {
    File::create(path).unwrap().set_len(bytes).unwrap();
}

const ORDINARY: &str = "not an ordinary file";

/// Whatever a file is named for, a pipe that nobody writes into, a device and a folder are refused.
#[test]
fn what_is_no_file_is_refused_and_never_waited_for() {
    let car = copy_of("dunlin");
    let at = |name: &str| path_text(&car.path().join(name)).to_owned();
    pipe(Path::new(&at("pipe.csv")));
    fs::create_dir(at("folder.csv")).unwrap();
    let build = fs::read_to_string(at("build.toml")).unwrap();
    let log = demo_log("finished-car.csv");
    for (name, why) in [
        (at("pipe.csv"), ORDINARY),
        ("/dev/zero".to_owned(), ORDINARY),
        (at("folder.csv"), "folder"),
    ] {
        let named = if why == "folder" { "folder.csv" } else { name.as_str() };
        let commands: [&[&str]; 4] = [
            &["trip", &name],
            &["coastdown", &name, "--mass", "905 kg"],
            &["audit", &name, &at("build.toml")],
            &["range", &at("build.toml"), "--cycle", &name],
        ];
        for args in commands {
            refused(args, 2, &[named, why]);
        }
        if why != "folder" {
            // Of a folder the build in it is meant.
            let builds: [&[&str]; 4] =
                [&["check", &name], &["report", &name], &["sweep", &name], &["audit", &log, &name]];
            for args in builds {
                refused(args, 2, &[named, why]);
            }
        }
        let table = build.replacen("curve = \"motor-curve.csv\"", &format!("curve = {name:?}"), 1);
        assert_ne!(table, build);
        fs::write(at("table.toml"), table).unwrap();
        refused(&["check", &at("table.toml")], 2, &["motor.curve", "table.toml:", why]);
        let plan = format!("format = 1\nbuild = \"build.toml\"\ncycles = [{name:?}]\n");
        fs::write(at("sweep.toml"), plan).unwrap();
        refused(&["sweep", &at("sweep.toml")], 2, &["sweep.toml:", "cycles"]);
        let other = copy_of("dunlin");
        fs::remove_file(other.path().join("moor-round.csv")).unwrap();
        let second = other.path().join("build.toml");
        let text = fs::read_to_string(&second).unwrap();
        fs::write(&second, text.replace("\"moor-round.csv\"", &format!("{name:?}"))).unwrap();
        let compared = ["compare", &at("build.toml"), path_text(&second)];
        refused(&compared, 2, &[why]);
    }
}

#[test]
fn parts_of_a_sweep_that_are_pipes_are_refused() {
    let car = copy_of("dunlin");
    let at = |name: &str| path_text(&car.path().join(name)).to_owned();
    let plan = "format = 1\nbuild = \"build.toml\"\nworlds = 20\ncycles = [\"udds\"]\n[vary]\ndriveline.axle.ratio = [3.89, 4.22]\n";
    fs::write(at("sweep.toml"), plan).unwrap();
    fs::create_dir(at("out")).unwrap();
    pipe(Path::new(&at("out/first-look-1-of-1.csv")));
    pipe(Path::new(&at("out/first-look-1-of-2.csv")));
    pipe(Path::new(&at("out/first-look-2-of-2.csv")));
    let (sweep, out) = (at("sweep.toml"), at("out"));
    let args = ["sweep", &sweep, "--part", "1/2", "--out", &out];
    for more in [&[][..], &["--resume"], &["--force"]] {
        refused(&[&args[..], more].concat(), 2, &["first-look-1-of-2.csv", ORDINARY]);
    }
    refused(&["sweep", &sweep, "--merge", &out], 2, &["first-look-1-of-2.csv", ORDINARY]);
}

#[test]
fn what_is_too_large_is_refused_before_it_is_read() {
    let car = copy_of("dunlin");
    let at = |name: &str| path_text(&car.path().join(name)).to_owned();
    hole(Path::new(&at("huge.toml")), (4 << 20) + 1);
    hole(Path::new(&at("huge.csv")), (256 << 20) + 1);
    hole(Path::new(&at("huge.gpx")), (4 << 30) + 1);
    let large = "too large";
    refused(&["check", &at("huge.toml")], 2, &["huge.toml", large]);
    refused(&["sweep", &at("huge.toml")], 2, &["huge.toml", large]);
    refused(&["range", &dunlin(), "--cycle", &at("huge.csv")], 2, &["huge.csv", large]);
    refused(&["trip", &at("huge.gpx")], 2, &["huge.gpx", large]);
    let build = fs::read_to_string(at("build.toml")).unwrap();
    fs::write(at("build.toml"), build.replacen("motor-curve.csv", "huge.csv", 1)).unwrap();
    refused(&["check", &at("build.toml")], 2, &["motor.curve", large]);
}

/// Writes two versions of a file again and again, in place and by putting one over it, while the
/// program runs so many times. Each run answers from one whole version, with its hash, or says which
/// file could not be read. The writer pauses longer from run to run, so that on a slow machine too
/// some runs lie between two writes; once it has ended, a run answers.
fn while_written(path: &Path, versions: [&str; 2], args: &[&str], runs: usize) {
    let answers = versions.map(|text| {
        fs::write(path, text).unwrap();
        serde_json::from_slice::<Value>(&good(args).stdout).unwrap()
    });
    let [one, other] = answers.each_ref().map(|answer| &answer["provenance"]["inputs_hash"]);
    assert_ne!(one, other);
    let done = AtomicBool::new(false);
    let pause_micros = AtomicU64::new(300);
    let outputs = thread::scope(|scope| {
        scope.spawn(|| {
            let beside = path.with_extension("new");
            for turn in 0.. {
                if done.load(Ordering::Relaxed) {
                    return;
                }
                let text = versions[turn % 2];
                if turn % 3 == 0 {
                    fs::write(&beside, text).unwrap();
                    fs::rename(&beside, path).unwrap();
                } else {
                    fs::write(path, text).unwrap();
                }
                thread::sleep(Duration::from_micros(pause_micros.load(Ordering::Relaxed)));
            }
        });
        let outputs: Vec<_> = (0..runs)
            .map(|run| {
                pause_micros.store(300 << (10 * run / runs), Ordering::Relaxed);
                ended(args)
            })
            .collect();
        done.store(true, Ordering::Relaxed);
        outputs
    });
    for output in outputs {
        if output.status.code() == Some(0) {
            let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
            assert!(answers.contains(&answer), "the answer is of neither version");
        } else {
            let why = said(&output);
            let name = path.file_name().unwrap().to_str().unwrap();
            assert_eq!(output.status.code(), Some(2), "{why}");
            assert!(why.contains(name), "{why}");
        }
    }
    let calm: Value = serde_json::from_slice(&good(args).stdout).unwrap();
    assert!(answers.contains(&calm), "the answer is of neither version");
}

#[test]
fn a_table_that_is_written_meanwhile_is_read_whole_or_refused() {
    let car = copy_of("dunlin");
    let curve = car.path().join("motor-curve.csv");
    let text = fs::read_to_string(&curve).unwrap();
    let other = format!("# The weaker one.\n{}", text.replace("165.0,", "135.0,"));
    assert_ne!(text, other);
    let args = ["pull", path_text(car.path()), "--worlds", "1", "--json"];
    while_written(&curve, [&text, &other], &args, 20);
}

#[test]
fn a_log_that_is_written_meanwhile_is_read_whole_or_refused() {
    let folder = TempDir::new().unwrap();
    let log = folder.path().join("drive.csv");
    // Short enough to be written at once.
    let rows = |step: usize| -> String {
        let row = |i: usize| format!("{i},{}\n", (i * step).min(50 - i / 3));
        std::iter::once("time_s,speed_kmh\n".to_owned()).chain((0..120).map(row)).collect()
    };
    let args = ["trip", path_text(&log), "--json"];
    while_written(&log, [&rows(1), &format!("{}120,0\n", rows(2))], &args, 20);
}

/// The band is drawn from the cycle that the answer itself was driven on, though both ask for its file.
#[test]
fn a_cycle_that_is_written_meanwhile_is_read_once() {
    let car = copy_of("dunlin");
    let round = car.path().join("moor-round.csv");
    let text = fs::read_to_string(&round).unwrap();
    let (head, _) = text.trim_end().rsplit_once('\n').unwrap();
    let args = ["range", path_text(car.path()), "--day", "mild", "--worlds", "20", "--json"];
    while_written(&round, [&text, &format!("{head}\n")], &args, 8);
}
