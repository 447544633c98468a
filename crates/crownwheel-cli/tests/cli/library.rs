//! What another program gets from the library is what the command line prints.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use crownwheel_answers::Build;
use crownwheel_answers::build::AskErrorKind;
use serde::Serialize;
use serde_json::Value;

use crate::bench::{demo, json};

fn build(name: &str) -> Build {
    Build::open(demo(name)).unwrap()
}

/// The answer as JSON, and the command's with `--json`.
fn both(answer: &impl Serialize, command: &str, name: &str, more: &[&str]) -> [Value; 2] {
    let folder = demo(name);
    let args = [&[command, folder.to_str().unwrap()], more].concat();
    // Both by way of text: a number that is read is the nearest that the reader finds.
    let text = serde_json::to_string(answer).unwrap();
    [serde_json::from_str(&text).unwrap(), json(&args)]
}

#[test]
fn every_answer_is_the_command_s() {
    let of = build("dunlin");
    let few = ["--worlds", "60"];
    let [library, command] = both(&of.weigh(), "weigh", "dunlin", &[]);
    assert_eq!(library, command);
    let [library, command] = both(&of.gauges(), "gauges", "dunlin", &[]);
    assert_eq!(library, command);
    let check = of.check().worlds(60).answer().unwrap();
    let [library, command] = both(&check, "check", "dunlin", &few);
    assert_eq!(library, command);
    let charge = of.charge().from(0.1).to(0.9).worlds(60).answer().unwrap();
    let [library, command] =
        both(&charge, "charge", "dunlin", &[&few[..], &["--from", "10%", "--to", "90%"]].concat());
    assert_eq!(library, command);
    let range = of.range().cycle("udds").day("mild").worlds(60).answer().unwrap();
    let [library, command] = both(
        &range,
        "range",
        "dunlin",
        &[&few[..], &["--cycle", "udds", "--day", "mild"]].concat(),
    );
    assert_eq!(library, command);
    // A car that keeps its gears has a row for each.
    let pull = build("godwit").pull().worlds(2).answer().unwrap();
    let [library, command] = both(&pull, "pull", "godwit", &["--worlds", "2"]);
    assert_eq!(library, command);
}

#[test]
fn what_is_set_is_set_and_what_cannot_be_is_an_error() {
    let of = build("dunlin");
    let lighter = of.set("pack.modules_in_series", "8").unwrap();
    assert!(lighter.weigh().cases[3].mass_kg < of.weigh().cases[3].mass_kg);
    let slip = of.set("pack.modules_in_seris", "8").unwrap_err();
    assert_eq!(slip.kind(), AskErrorKind::Build);
    assert!(slip.to_string().contains("pack.modules_in_series"), "{slip}");
    let no_day = of.range().day("mld").answer().unwrap_err();
    assert_eq!(no_day.kind(), AskErrorKind::Asked);
    assert!(of.range().cycle("uds").answer().is_err());
    assert!(of.charge().from(0.9).to(0.1).answer().is_err());
}

/// A build and its tables as bytes in a program, on no disk: the same numbers.
#[test]
fn a_text_with_its_files_is_answered_like_the_folder() {
    let folder = demo("dunlin");
    let text = std::fs::read_to_string(folder.join("build.toml")).unwrap();
    let mut files = BTreeMap::new();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|it| it == "csv") {
            files.insert(path.file_name().unwrap().into(), std::fs::read(&path).unwrap());
        }
    }
    let (given, on_disk) = (Build::from_text(&text, files.clone()).unwrap(), build("dunlin"));
    let [few, same] =
        [&given, &on_disk].map(|of| of.range().day("mild").worlds(20).answer().unwrap());
    let use_of =
        |answer: &crownwheel_answers::RangeAnswer| serde_json::to_value(&answer.results).unwrap();
    assert_eq!(use_of(&few), use_of(&same));
    let varied = |of: &Build| {
        let sweep = of.sweep().vary("driveline.axle.ratio", ["3.70", "4.22"]).cycle("udds");
        let answer = sweep.day("mild").worlds(4).run(|_| ControlFlow::Continue(())).unwrap();
        serde_json::to_value(&answer.ranking).unwrap()
    };
    assert_eq!(varied(&given), varied(&on_disk));
    let curve = files.keys().find(|path| path.to_string_lossy().contains("curve")).cloned();
    files.remove(&curve.unwrap());
    let wrong = Build::from_text(&text, files).unwrap_err();
    assert_eq!(wrong.kind(), AskErrorKind::Build);
    assert!(wrong.to_string().contains("`motor.curve`"), "{wrong}");
}

#[test]
fn a_sweep_is_watched_and_stopped() {
    let of = build("dunlin").set("pack.modules_in_series", "8").unwrap();
    let sweep = of
        .sweep()
        .vary("driveline.axle.ratio", ["3.70", "4.22"])
        .vary("pack.modules_in_series", ["8", "9"])
        .cycle("udds")
        .day("mild")
        .worlds(20)
        .threads(2);
    let mut heard = Vec::new();
    let answer = sweep
        .run(|progress| {
            heard.push(progress);
            ControlFlow::Continue(())
        })
        .unwrap();
    assert_eq!(answer.options.len(), 4);
    assert!(heard.windows(2).all(|pair| pair[0].done <= pair[1].done));
    assert!(heard.iter().all(|it| it.done <= it.total) && heard.len() >= 2, "{heard:?}");
    let stopped = sweep.run(|_| ControlFlow::Break(())).unwrap_err();
    assert_eq!(stopped.kind(), AskErrorKind::Stopped);
}

/// What is not so is not shown: braking that is never asked for, a limit that is not the one that binds.
#[test]
fn pull_names_what_binds() {
    let pull = |key: &str, value: &str| {
        build("dunlin").set(key, value).unwrap().pull().worlds(1).answer().unwrap()
    };
    let coasting = pull("regen.share", "0");
    assert!(coasting.overrun.is_empty());
    assert!(coasting.notes.iter().any(|note| note.contains("regen.share is 0")));
    let never = pull("hill.moor_bank.speed", "220 km/h");
    let hill = never.hills.iter().find(|hill| hill.hill.key() == "moor_bank").unwrap();
    assert_eq!(hill.held, "not held: motor speed");
}
