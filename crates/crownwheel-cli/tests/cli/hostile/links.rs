//! Links: nothing is written through one, and a build that is reached by one has its tables beside it.

use std::fs;
use std::os::unix::fs::symlink;

use tempfile::TempDir;

use super::{refused, tree};
use crate::bench::{copy_of, demo_log, dunlin, good, path_text, run, text};

#[test]
fn a_file_that_is_a_link_is_not_written_through() {
    let folder = TempDir::new().unwrap();
    let mine = folder.path().join("mine.txt");
    let (build, log) = (dunlin(), demo_log("moor-round-phone.csv"));
    let out = folder.path().join("out");
    let drive = out.join("drive.csv");
    let (place, drive) = (path_text(&out), path_text(&drive));
    for (name, args) in [
        ("weigh.txt", &["weigh", &build, "--out", place][..]),
        ("manifest.json", &["weigh", &build, "--out", place]),
        ("drive.csv", &["trip", &log, "-o", drive]),
        ("build.toml", &["new", place]),
    ] {
        let _ = fs::remove_dir_all(&out);
        fs::create_dir(&out).unwrap();
        fs::write(&mine, "mine").unwrap();
        symlink("../mine.txt", out.join(name)).unwrap();
        let before = tree(folder.path());
        refused(args, 1, &[name, "nothing was written", "--force"]);
        assert!(tree(folder.path()) == before, "{args:?}");
        good(&[args, &["--force"]].concat());
        assert_eq!(fs::read_to_string(&mine).unwrap(), "mine", "{args:?}");
        assert!(out.join(name).symlink_metadata().unwrap().is_file(), "{args:?}");
    }
}

#[test]
fn a_link_to_the_results_themselves_is_not_taken_for_them() {
    let folder = TempDir::new().unwrap();
    let (out, build) = (folder.path().join("out"), dunlin());
    let args = ["weigh", &build, "--out", path_text(&out)];
    good(&args);
    let (answer, moved) = (out.join("weigh.txt"), folder.path().join("moved.txt"));
    fs::rename(&answer, &moved).unwrap();
    symlink(&moved, &answer).unwrap();
    refused(&args, 1, &["weigh.txt", "--force"]);
}

#[test]
fn a_folder_may_be_a_link_and_one_within_it_may_not() {
    let folder = TempDir::new().unwrap();
    let (real, link, build) = (folder.path().join("real"), folder.path().join("link"), dunlin());
    fs::create_dir(&real).unwrap();
    symlink("real", &link).unwrap();
    let place = path_text(&link);
    good(&["weigh", &build, "--out", place]);
    assert!(real.join("weigh.txt").is_file() && link.is_symlink());
    fs::create_dir(folder.path().join("mine")).unwrap();
    symlink("../mine", real.join("figures")).unwrap();
    let before = tree(folder.path());
    let args = ["report", &build, "--worlds", "1", "--cycle", "udds", "--out", place, "--force"];
    refused(&args, 1, &["figures", "is a link"]);
    assert!(tree(folder.path()) == before);
}

#[test]
fn the_first_look_is_not_written_through_a_link() {
    let car = copy_of("dunlin");
    let sweep = car.path().join("sweep.toml");
    let plan = "format = 1\nbuild = \"build.toml\"\nworlds = 20\ncycles = [\"udds\"]\ndays = [\"mild\"]\n[vary]\ndriveline.axle.ratio = [3.89, 4.22]\n";
    fs::write(&sweep, plan).unwrap();
    let (out, mine) = (car.path().join("out"), car.path().join("mine.csv"));
    let args = ["sweep", path_text(&sweep), "--part", "1/2", "--out", path_text(&out)];
    good(&args);
    let look = out.join("first-look-1-of-2.csv");
    fs::rename(&look, &mine).unwrap();
    symlink(&mine, &look).unwrap();
    let before = fs::read(&mine).unwrap();
    for more in [&[][..], &["--resume"]] {
        refused(&[&args[..], more].concat(), 1, &["first-look-1-of-2.csv", "--force"]);
    }
    good(&[&args[..], &["--force"]].concat());
    assert_eq!(fs::read(&mine).unwrap(), before);
    assert!(look.symlink_metadata().unwrap().is_file());
}

#[test]
fn a_build_that_is_a_link_has_its_tables_beside_the_link() {
    let car = copy_of("dunlin");
    let other = TempDir::new().unwrap();
    let link = other.path().join("build.toml");
    symlink(car.path().join("build.toml"), &link).unwrap();
    refused(&["check", path_text(&link)], 2, &["motor-curve.csv", "there is no such file"]);
    for entry in fs::read_dir(car.path()).unwrap() {
        let from = entry.unwrap().path();
        let name = from.file_name().unwrap();
        if name != "build.toml" {
            fs::copy(&from, other.path().join(name)).unwrap();
        }
    }
    fs::remove_file(car.path().join("motor-curve.csv")).unwrap();
    let hash =
        |path: &str| crate::bench::json(&["check", path])["provenance"]["inputs_hash"].clone();
    assert_eq!(hash(path_text(other.path())), hash(&dunlin()));
}

#[test]
fn nothing_is_written_into_a_build_through_a_link() {
    let car = copy_of("dunlin");
    let link = car.path().join("link.toml");
    symlink("build.toml", &link).unwrap();
    let (coasting, drive) = (demo_log("coastdown-logger.csv"), demo_log("finished-car.csv"));
    let before = tree(car.path());
    let link = path_text(&link);
    let words = ["link.toml", "is a link to `build.toml`", "name the file itself"];
    refused(&["coastdown", &coasting, "--mass", "905 kg", "--write", link], 2, &words);
    refused(&["audit", &drive, link, "--write", "moor_in_june"], 2, &words);
    assert!(tree(car.path()) == before);
}

#[test]
fn links_that_lead_in_a_ring_are_refused() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name);
    symlink(at("b.toml"), at("a.toml")).unwrap();
    symlink(at("a.toml"), at("b.toml")).unwrap();
    let ring = at("a.toml");
    let (ring, build) = (path_text(&ring), dunlin());
    refused(&["check", ring], 2, &["a.toml", "cannot read"]);
    refused(&["sweep", ring], 2, &["a.toml", "cannot read"]);
    refused(&["trip", ring], 2, &["a.toml", "cannot be used"]);
    refused(&["range", &build, "--cycle", ring], 2, &["a.toml", "cannot read"]);
    let output = run(&["weigh", &build, "--out", ring]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
}
