//! Sweeps that are wrong at the top: keys, worlds, cycles, days, prices, and the build itself.

use std::path::Path;

use crate::bench::Wrong::{Build, Edit, Lines, Set, Whole};
use crate::bench::{Bench, check_messages};

#[test]
fn sweeps_that_are_wrong_at_the_top() {
    check_messages(
        "sweeps_that_are_wrong_at_the_top",
        &[
            ("an empty file", Whole("")),
            ("not TOML", Lines("worlds = many")),
            ("a quote that stays open", Lines("build = \"build.toml")),
            ("a key that stands twice", Lines("worlds = 10\nworlds = 20")),
            ("no format", Edit("format = 1\n", "")),
            ("a newer format", Edit("format = 1\n", "format = 2\n")),
            ("a misspelt key", Edit("worlds = 2000", "wolrds = 2000")),
            ("a key like no other", Lines("zzzzzz = 3")),
            ("a key of the build", Lines("motor.max_speed = \"9000 rpm\"")),
            ("a table of the build", Lines("[tyres]\nsize = \"145/80 R13\"")),
            ("no worlds", Edit("worlds = 2000", "worlds = 0")),
            ("fewer than no worlds", Edit("worlds = 2000", "worlds = -5")),
            ("half a world", Edit("worlds = 2000", "worlds = 0.5")),
            ("too many worlds", Edit("worlds = 2000", "worlds = 100000000")),
            ("worlds in words", Edit("worlds = 2000", "worlds = \"all\"")),
            ("a seed that is no number", Edit("seed = 1", "seed = \"x\"")),
            ("a seed below zero", Edit("seed = 1", "seed = -1")),
            ("screening in words", Lines("screening = \"off\"")),
            ("worlds over the command line", Set("worlds", "0")),
            ("an override of nothing", Set("wolrds", "10")),
            ("a build that is not there", Edit("\"build.toml\"", "\"biuld.toml\"")),
            ("a build that is a folder without one", Edit("\"build.toml\"", "\"folder\"")),
            ("a build that is no text", Edit("\"build.toml\"", "3")),
            ("a build that is wrong", Build("mass = \"148 kg\"", "mass = 148")),
            ("a build that is no TOML", Build("mass = \"148 kg\"", "mass = 148 kg")),
            (
                "a build that is impossible as it is written",
                Build("modules_in_series = 9", "modules_in_series = 10"),
            ),
        ],
    );
}

#[test]
fn cycles_days_and_prices_that_are_wrong() {
    let cycles = |to| Edit("cycles = [\"wltc3b\", \"udds\", \"moor-round.csv\"]", to);
    let days = |to| Edit("days = [\"mild\", \"winter\"]", to);
    check_messages(
        "cycles_days_and_prices_that_are_wrong",
        &[
            ("no cycles", cycles("")),
            ("an empty list of cycles", cycles("cycles = []")),
            ("a cycle outside a list", cycles("cycles = \"udds\"")),
            ("a cycle that is no text", cycles("cycles = [\"udds\", 3]")),
            ("a cycle without a name", cycles("cycles = [\"\"]")),
            ("a misspelt cycle", cycles("cycles = [\"uds\"]")),
            ("a cycle twice", cycles("cycles = [\"udds\", \"hwfet\", \"udds\"]")),
            ("a cycle file that is not there", cycles("cycles = [\"moor.csv\"]")),
            ("a cycle file that is a folder", cycles("cycles = [\"./folder\"]")),
            ("a cycle file that is no cycle", cycles("cycles = [\"motor-curve.csv\"]")),
            ("an empty list of days", days("days = []")),
            ("a day that is not there", days("days = [\"mild\", \"autumn\"]")),
            ("a day twice", days("days = [\"mild\", \"mild\"]")),
            ("days as a table", days("days = { mild = true }")),
            ("a price that is no number", Edit("each_module = 310", "each_module = \"cheap\"")),
            ("a price below nothing", Edit("each_module = 310", "each_module = -310")),
            ("a price with its currency", Edit("each_module = 310", "each_module = \"310 EUR\"")),
            ("a misspelt price", Edit("each_module = 310", "each_modul = 310")),
            ("a currency that is no text", Edit("currency = \"EUR\"", "currency = 978")),
            ("prices as one number", Lines("price = 310")),
            ("a demand that is no table", Lines("demand = 3")),
            ("a demand of an unknown kind", Lines("[demand.x]\nspeed = { at_least = \"3 m\" }")),
            ("a demand that says nothing", Lines("[demand.x]")),
            (
                "a demand on a hill that is not there",
                Edit("named = \"moor_bank\"", "named = \"church_lane\""),
            ),
            (
                "a demand on a hill by name and by grade",
                Edit("named = \"moor_bank\"", "named = \"moor_bank\", at_least = \"8 %\""),
            ),
            (
                "a demand on a hill without a speed",
                Lines("[demand.x]\nhill = { at_least = \"8 %\" }"),
            ),
            ("a time that runs backwards", Edit("time = { to", "time = { from = \"100 km/h\", to")),
            ("a time as a bare number", Edit("at_most = \"13 s\"", "at_most = 13")),
            ("sure beyond doubt", Edit("sure = 0.8", "sure = 80")),
            (
                "a supply that is not there",
                Lines("[demand.x]\ncharge_time = { supply = \"barn\", at_most = \"8 h\" }"),
            ),
            (
                "a charge that runs down",
                Lines(
                    "[demand.x]\ncharge_time = { supply = \"garage\", from = \"90 %\", \
                     to = \"10 %\", at_most = \"8 h\" }",
                ),
            ),
            ("a third axle", Lines("[demand.x]\naxle_load = { axle = \"middle\" }")),
            (
                "a case that nobody weighs",
                Lines("[demand.x]\nmass = { case = \"full\", at_most = \"1 t\" }"),
            ),
            (
                "a price with its currency in a demand",
                Lines("[demand.x]\nprice = { at_most = \"300 EUR\" }"),
            ),
        ],
    );
}

/// The messages are only as good as the wrong sweeps that were thought of.
#[test]
fn many_wrong_sweeps_are_kept() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sweeps/snapshots");
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "snap") {
            let text = std::fs::read_to_string(&path).unwrap();
            count += text.lines().filter(|line| line.starts_with("== ")).count();
        }
    }
    assert!(count >= 100, "{count}");
}

#[test]
fn a_sweep_that_is_not_there_is_named() {
    let bench = Bench::dunlin();
    let report = crownwheel_files::load_sweep(&bench.path("folder"), &[]).unwrap_err();
    let text = bench.short(&report.to_string());
    assert!(text.contains("cannot read the sweep `folder/sweep.toml`"), "{text}");
}

#[test]
fn all_errors_come_at_once_in_file_order() {
    let bench = Bench::dunlin();
    bench.replace("sweep.toml", "worlds = 2000", "worlds = 0");
    bench.replace("sweep.toml", "\"winter\"]", "\"autumn\"]");
    bench.replace("sweep.toml", "[3.70,", "[-3.70,");
    bench.replace("sweep.toml", "price = 260", "price = \"dear\"");
    let report = bench.load(&[]).unwrap_err();
    let lines: Vec<usize> = report.problems().iter().map(|problem| problem.line).collect();
    assert_eq!(lines.len(), 4, "{report}");
    assert!(lines.windows(2).all(|pair| pair[0] < pair[1]), "{lines:?}");
    // What is wrong with the build comes after what is wrong with the sweep.
    bench.replace("build.toml", "max_speed =", "max_sped =");
    let report = bench.load(&[]).unwrap_err();
    let files: Vec<String> = report.problems().iter().map(|p| bench.short(&p.file)).collect();
    // Which days there are is known only from a build that reads.
    assert_eq!(files, ["sweep.toml", "sweep.toml", "sweep.toml", "build.toml"], "{report}");
}
