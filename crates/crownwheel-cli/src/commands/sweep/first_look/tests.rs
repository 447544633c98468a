//! Tests: a line is believed only as it was written.

use std::fs;
use std::path::Path;

use clap::Parser;
use crownwheel_sweep::sweep::OptionLook;
use tempfile::TempDir;

use super::*;
use crate::commands::Args;
use crate::commands::Command;

/// Eight options in one world each, of which four have too many modules.
const SMALL: &str = r#"
format = 1
build = "BUILD"
worlds = WORLDS
cycles = ["udds"]
days = ["winter"]
[vary]
driveline.axle.ratio = [3.70, 3.89, 4.22, 4.55]
pack.modules_in_series = [9, 10]
[demand.away_from_lights]
time = { to = "80 km/h", at_most = "7.9 s", sure = 0.8 }
"#;

const WHOLE: Part = Part::WHOLE;

fn job(worlds: u32) -> (TempDir, Job) {
    let folder = tempfile::tempdir().unwrap();
    let build = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin/build.toml");
    let sweep = SMALL.replace("BUILD", build.to_str().unwrap());
    let path = folder.path().join("sweep.toml");
    fs::write(&path, sweep.replace("WORLDS", &worlds.to_string())).unwrap();
    let args = Args::parse_from(["crownwheel", "sweep", path.to_str().unwrap()]);
    let Command::Sweep(args) = args.command else { panic!() };
    let job = super::super::load(&args).unwrap();
    (folder, job)
}

/// The file of a part with all of its options.
fn written(job: &Job, folder: &Path, part: Part) -> Vec<u8> {
    let file = FirstLook::open(folder, job, part, (false, true), &mut |_| {}).unwrap();
    job.look(part.options(8), &mut |block| file.add(&block)).unwrap();
    fs::read(file.path()).unwrap()
}

fn put(folder: &Path, part: Part, bytes: &[u8]) {
    fs::write(folder.join(part.file_name()), bytes).unwrap();
}

/// What a merge reads: all options, or why not.
fn merged(job: &Job, folder: &Path, part: Part) -> Result<Vec<OptionLook>, String> {
    let said = |failure: Failure| match failure {
        Failure::Usage(text) | Failure::Failed(text) => text,
        other => panic!("{other:?}"),
    };
    let mut reader = Reader::of_part(folder, job, part).map_err(said)?;
    let mut all = Vec::new();
    while let Some(looked) = reader.next().map_err(said)? {
        all.push(looked);
    }
    if reader.is_complete() { Ok(all) } else { Err("not complete".to_owned()) }
}

/// The options that a run knows which goes on, in their order.
fn gone_on(job: &Job, folder: &Path, part: Part) -> Vec<OptionLook> {
    let mut known = Vec::new();
    let mut add = |looked: OptionLook| known.push(looked);
    FirstLook::open(folder, job, part, (true, false), &mut add).unwrap();
    known.sort_by_key(|looked| looked.index);
    known
}

fn texts(all: &[OptionLook]) -> Vec<String> {
    all.iter().map(|looked| format!("{looked:?}")).collect()
}

#[test]
fn no_flipped_bit_is_believed() {
    let (folder, job) = job(20);
    let folder = folder.path();
    let whole = written(&job, folder, WHOLE);
    let right = merged(&job, folder, WHOLE).unwrap();
    assert_eq!(right.len(), 8);
    assert_eq!(right.iter().filter(|looked| looked.answer.reason.is_some()).count(), 4);
    let mut refused = 0;
    // A step that is prime to 8, so that every place in a byte is met.
    let flips: Vec<usize> = (0..8 * whole.len()).step_by(7).collect();
    assert!(flips.len() > 3000, "{}", flips.len());
    for flip in &flips {
        let mut bytes = whole.clone();
        bytes[flip / 8] ^= 1 << (flip % 8);
        put(folder, WHOLE, &bytes);
        match merged(&job, folder, WHOLE) {
            Err(_) => refused += 1,
            Ok(all) => assert_eq!(texts(&all), texts(&right), "bit {flip}"),
        }
    }
    assert_eq!(refused, flips.len());
}

#[test]
fn what_is_lost_is_looked_at_again_and_put_in_its_place() {
    let (folder, job) = job(1);
    let folder = folder.path();
    let whole = written(&job, folder, WHOLE);
    let right = merged(&job, folder, WHOLE).unwrap();
    let ends: Vec<usize> = (0..whole.len()).filter(|at| whole[*at] == b'\n').collect();
    let lines = ends.len();
    let heading = ends[lines - 9] + 1;
    let in_line = |line: usize| ends[lines - 9 + line] + 20;
    let changed = |at: &[usize], to: &[u8]| {
        let mut bytes = whole.clone();
        at.iter().for_each(|at| {
            bytes.splice(at..=at, to.iter().copied());
        });
        bytes
    };
    let without = |from: usize, to: usize| [&whole[..from], &whole[to..]].concat();
    let line = |line: usize| ends[lines - 9 + line] + 1..=ends[lines - 8 + line];
    let cases = [
        ("the first", changed(&[in_line(0)], b"7")),
        ("one", changed(&[in_line(3)], b"x")),
        ("neighbours and another", changed(&[in_line(2), in_line(3), in_line(6)], b"\xff")),
        ("an end that is gone", changed(&[ends[lines - 5]], b" ")),
        ("an end too many", changed(&[in_line(4)], b"\n")),
        ("a line that is gone", without(*line(2).start(), line(2).end() + 1)),
        ("a line that stands twice", {
            let mut bytes = whole.clone();
            let again = whole[line(5)].to_vec();
            bytes.splice(heading..heading, again);
            bytes
        }),
    ];
    for (what, bytes) in cases {
        put(folder, WHOLE, &bytes);
        assert!(merged(&job, folder, WHOLE).is_err(), "{what}");
        assert_eq!(texts(&gone_on(&job, folder, WHOLE)), texts(&right), "{what}");
        let mended = fs::read(folder.join(WHOLE.file_name())).unwrap();
        assert!(mended == whole, "{what}");
    }
    // Behind the last good line nothing is put together: the run goes on from there.
    put(folder, WHOLE, &changed(&[in_line(7)], b"x"));
    assert_eq!(texts(&gone_on(&job, folder, WHOLE)), texts(&right[..7]));
    assert!(fs::read(folder.join(WHOLE.file_name())).unwrap() == whole[..=ends[lines - 2]]);
}

/// Lines with a check that fits are nonsense all the same.
#[test]
fn nonsense_is_named_by_its_column() {
    let (folder, job) = job(20);
    let folder = folder.path();
    let whole = String::from_utf8(written(&job, folder, WHOLE)).unwrap();
    let lines: Vec<&str> = whole.lines().collect();
    let (heading, first) = (lines[..6].join("\n") + "\n", lines[6]);
    let seal = Seal::new(&super::heading(&job, WHOLE));
    let columns: Vec<&str> = lines[5].split(',').collect();
    let place = |name: &str| columns.iter().position(|head| *head == name).unwrap();
    for (column, value, words) in [
        ("option", "8", "the number of one of 8 options"),
        ("option", "-1", "the number of an option"),
        ("option", "0", "stands twice or out of its place"),
        ("scatter", "NaN", "a finite number"),
        ("worlds", "19", "the number of worlds, 20"),
        ("all_demands", "7.0", "a share from 0 to 1"),
        ("all_demands", "-3.0", "a share from 0 to 1"),
        ("all_demands_error", "inf", "a finite number"),
        ("meets_all", "yes", "true or false"),
        ("away_from_lights.probability", "1.5", "a share from 0 to 1"),
        ("range_km.udds.winter.nominal", "far", "a number"),
        ("range_km.udds.winter.p50", "1.0", "at least what one column before it says"),
        ("range_km.udds.winter.p90", "NaN", "a number"),
    ] {
        let mut cells: Vec<&str> = first.split(',').collect();
        cells[place(column)] = value;
        let row = cells[1..].join(",");
        let line = seal.sealed(&row);
        let before = if words.contains("twice") { &line } else { "" };
        put(folder, WHOLE, format!("{heading}{before}{line}").as_bytes());
        let why = merged(&job, folder, WHOLE).unwrap_err();
        let number = place(column) + 1;
        let named = format!("column {number} (`{column}`)");
        assert!(why.contains(words) && why.contains(&named), "{column} = {value}: {why}");
        assert!(why.contains("first-look.csv`, line ") && why.contains("--resume"), "{why}");
    }
}

/// A tool that carries files between systems may end lines in its own way.
#[test]
fn line_ends_of_another_system_are_accepted() {
    let (folder, job) = job(1);
    let folder = folder.path();
    let part = Part { number: 2, of: 3 };
    let whole = String::from_utf8(written(&job, folder, part)).unwrap();
    let right = merged(&job, folder, part).unwrap();
    put(folder, part, whole.replace('\n', "\r\n").as_bytes());
    assert_eq!(texts(&merged(&job, folder, part).unwrap()), texts(&right));
    assert_eq!(texts(&gone_on(&job, folder, part)), texts(&right));
}

#[test]
fn a_line_of_another_part_or_sweep_is_not_believed() {
    let (folder, job) = job(1);
    let folder = folder.path();
    let [one, other] = [Part { number: 1, of: 2 }, Part { number: 2, of: 2 }];
    let whole = written(&job, folder, one);
    let text = String::from_utf8(written(&job, folder, other)).unwrap();
    let head = text.lines().take(6).map(|line| format!("{line}\n")).collect::<String>();
    let lines = String::from_utf8(whole).unwrap();
    let lines: String = lines.lines().skip(6).map(|line| format!("{line}\n")).collect();
    put(folder, other, (head.clone() + &lines).as_bytes());
    let why = merged(&job, folder, other).unwrap_err();
    assert!(why.contains("line 7, column 1 (`check`)"), "{why}");
    put(folder, other, text.replace("# seed 1", "# seed 2").as_bytes());
    let why = merged(&job, folder, other).unwrap_err();
    assert!(why.contains("line 4 is `# seed 2`, and would now be `# seed 1`"), "{why}");
}
