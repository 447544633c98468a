//! Where nothing can be written, and what a killed run left.

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tempfile::TempDir;

use super::{pipe, refused, said, tree};
use crate::bench::{copy_of, demo, demo_log, dunlin, good, path_text, run};

const SWEEP: &str = "format = 1\nbuild = \"build.toml\"\nworlds = 20\ncycles = [\"udds\"]\ndays = [\"mild\"]\n[vary]\ndriveline.axle.ratio = [3.89, 4.22]\n";

/// Places below a folder that cannot be written to, even by root.
fn places(folder: &Path) -> Vec<PathBuf> {
    fs::write(folder.join("file"), "a file of mine").unwrap();
    symlink("nowhere", folder.join("dangling")).unwrap();
    symlink("ring", folder.join("ring")).unwrap();
    let mut places: Vec<PathBuf> = ["file", "file/below", "dangling", "ring", "ring/below"]
        .map(|name| folder.join(name))
        .to_vec();
    places.extend(
        ["/proc/out", "/proc/self/out"]
            .map(PathBuf::from)
            .into_iter()
            .filter(|it| it.parent().unwrap().is_dir()),
    );
    let shut = folder.join("shut");
    fs::create_dir(&shut).unwrap();
    fs::set_permissions(&shut, fs::Permissions::from_mode(0o555)).unwrap();
    if fs::write(shut.join("try"), "").is_err() {
        places.push(shut.join("out"));
        places.push(shut);
    } else {
        // Root may write there.
        fs::remove_file(shut.join("try")).unwrap();
    }
    places
}

#[test]
fn a_place_that_cannot_be_written_to_is_named_and_nothing_is_left() {
    let car = copy_of("dunlin");
    fs::write(car.path().join("sweep.toml"), SWEEP).unwrap();
    let folder = TempDir::new().unwrap();
    let places = places(folder.path());
    let before = tree(folder.path());
    let (build, log) = (path_text(car.path()), demo_log("moor-round-phone.csv"));
    let coasting = demo_log("coastdown-logger.csv");
    let sweep = car.path().join("sweep.toml");
    let sweep = path_text(&sweep);
    for place in &places {
        let out = path_text(place);
        let file = format!("{out}/drive.csv");
        let all: [&[&str]; 8] = [
            &["new", out],
            &["weigh", build, "--out", out],
            &["report", build, "--worlds", "1", "--cycle", "udds", "--out", out],
            &["trip", &log, "-o", &file],
            &["trip", &log, "--out", out],
            &["coastdown", &coasting, "--mass", "905 kg", "--out", out],
            &["sweep", sweep, "--out", out],
            &["sweep", sweep, "--part", "1/2", "--out", out],
        ];
        for args in all {
            let why = refused(args, 1, &[out, "cannot "]);
            assert!(why.lines().count() <= 2, "one clear message: {why}");
            assert!(why.contains("; "), "what to do is not said: {why}");
            assert!(tree(folder.path()) == before, "{args:?} left something");
        }
    }
    assert!(!places.is_empty());
    refused(&["sweep", sweep, "--merge", out_of(&places[0])], 2, &["file", "cannot read"]);
}

fn out_of(place: &Path) -> &str {
    path_text(place)
}

/// A folder, a pipe or a device in the place of a file is never replaced, even by force.
#[test]
fn what_is_no_file_is_not_replaced() {
    let folder = TempDir::new().unwrap();
    let (out, build, log) = (folder.path().join("out"), dunlin(), demo_log("moor-round-phone.csv"));
    fs::create_dir(&out).unwrap();
    fs::create_dir(out.join("weigh.txt")).unwrap();
    pipe(&out.join("build.toml"));
    pipe(&out.join("drive.csv"));
    let before = tree(folder.path());
    let (place, drive) = (path_text(&out), out.join("drive.csv"));
    for force in [&[][..], &["--force"]] {
        for (args, words) in [
            (&["weigh", &build, "--out", place][..], ["weigh.txt", "is a folder"]),
            (&["trip", &log, "-o", path_text(&drive)], ["drive.csv", "not an ordinary file"]),
            (&["trip", &log, "-o", "/dev/null"], ["/dev/null", "not an ordinary file"]),
        ] {
            refused(&[args, force].concat(), 2, &words);
        }
        assert!(tree(folder.path()) == before);
    }
    refused(&["new", place, "--force"], 2, &["build.toml", "not an ordinary file"]);
    fs::remove_dir(out.join("weigh.txt")).unwrap();
    pipe(&out.join("manifest.json"));
    refused(&["weigh", &build, "--out", place], 2, &["manifest.json", "not an ordinary file"]);
}

fn manifest(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("manifest.json")).unwrap()).unwrap()
}

/// What a kill leaves while files are moved: some old, some new, and a manifest that knows both.
#[test]
fn a_folder_of_a_killed_run_is_written_again_without_force() {
    let folder = TempDir::new().unwrap();
    let build = demo("wren");
    let write = |name: &str, units: &str| {
        let out = folder.path().join(name);
        let args = ["weigh", path_text(&build), "--units", units, "--out", path_text(&out)];
        assert_eq!(run(&args).status.code(), Some(0));
        out
    };
    let (new, cut) = (write("new", "us"), write("cut", "metric"));
    let whole = |folder: &Path| {
        let files = tree(folder).into_iter();
        files
            .map(|(path, _, bytes)| (path.file_name().unwrap().to_owned(), bytes))
            .collect::<Vec<_>>()
    };
    let mut between = manifest(&cut);
    between["writing"] = manifest(&new)["files"].clone();
    fs::write(cut.join("manifest.json"), between.to_string()).unwrap();
    fs::copy(new.join("weigh.txt"), cut.join("weigh.txt")).unwrap();
    fs::create_dir(cut.join(".crownwheel-writing")).unwrap();
    fs::write(cut.join(".crownwheel-writing/3.part"), "half a").unwrap();
    write("cut", "us");
    assert_eq!(whole(&cut), whole(&new));
    // A file that is neither the old one nor the new is a person's.
    let mut between = manifest(&cut);
    between["writing"] = json!({"weigh.json": "0".repeat(64)});
    fs::write(cut.join("manifest.json"), between.to_string()).unwrap();
    fs::write(cut.join("weigh.json"), "mine").unwrap();
    let before = tree(&cut);
    refused(&["weigh", path_text(&build), "--out", path_text(&cut)], 1, &["weigh.json", "--force"]);
    assert!(tree(&cut) == before);
}

/// A first look that was cut short anywhere gives the bytes of a whole run when it is gone on with.
#[test]
fn a_first_look_that_was_cut_short_is_gone_on_with() {
    let car = copy_of("dunlin");
    let sweep = car.path().join("sweep.toml");
    fs::write(&sweep, SWEEP).unwrap();
    let out = |name: &str| car.path().join(name);
    let part = |folder: &Path, more: &[&str]| {
        let args = ["sweep", path_text(&sweep), "--part", "1/1", "--out", path_text(folder)];
        run(&[&args[..], more].concat())
    };
    let name = "first-look.csv";
    assert_eq!(part(&out("whole"), &[]).status.code(), Some(0));
    let whole = fs::read(out("whole").join(name)).unwrap();
    fs::create_dir(out("cut")).unwrap();
    let lines: Vec<usize> = (0..whole.len()).filter(|at| whole[*at] == b'\n').collect();
    let heading = lines[lines.len() - 3] + 1;
    for length in [heading, heading + 7, lines[lines.len() - 2] + 1, whole.len() - 1, whole.len()] {
        fs::write(out("cut").join(name), &whole[..length]).unwrap();
        let done = part(&out("cut"), &["--resume"]);
        assert_eq!(done.status.code(), Some(0), "{length}: {}", said(&done));
        assert!(fs::read(out("cut").join(name)).unwrap() == whole, "{length}");
    }
}

/// A full device is an error that is said, for words as for JSON and help.
#[test]
fn a_full_device_is_said() {
    use std::fs::File;
    use std::process::Stdio;
    let Ok(full) = File::options().write(true).open("/dev/full") else { return };
    let build = dunlin();
    for args in [&["weigh", &build, "--json"][..], &["weigh", &build], &["keys"], &["--help"]] {
        let mut command = crate::bench::crownwheel();
        let full = Stdio::from(full.try_clone().unwrap());
        let output = command.args(args).stdout(full).output().unwrap();
        let why = said(&output);
        assert_eq!(output.status.code(), Some(1), "{args:?}: {why}");
        assert!(why.contains("cannot write to standard output"), "{args:?}: {why}");
    }
    good(&["weigh", &build]);
}
