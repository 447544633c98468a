//! Builds that are wrong in one way each, and the message that each of them gets.
//!
//! Every case starts from the demo, which loads, and replaces one piece of one of its files. The
//! messages are kept as text in the folder `snapshots`: read them aloud before accepting a change.

use std::collections::BTreeSet;
use std::path::Path;

use crate::bench::{self, Bench, Demo, edit, set};

#[test]
fn the_demo_itself_is_right() {
    Bench::demo().load(&[]).unwrap();
}

#[test]
fn values_that_cannot_be_read() {
    bench::check_messages(
        "values_that_cannot_be_read",
        Demo::Dunlin,
        &[
            ("a missing unit", edit("mass = \"148 kg\"", "mass = 148")),
            ("a missing unit in quotes", edit("wheelbase = \"2.32 m\"", "wheelbase = \"2.32\"")),
            ("a missing unit with a blank in it", edit("\"1.2 N m ± 40 %\"", "1.2")),
            ("a wrong dimension", edit("mass = \"148 kg\"", "mass = \"3 m\"")),
            ("an unknown unit", edit("\"8000 rpm\"", "\"8000 turns a minute\"")),
            ("a unit in the wrong case", edit("\"1.2 kW\"", "\"1.2 KW\"")),
            (
                "a comma for thousands or decimals",
                edit("gross = \"1180 kg\"", "gross = \"1,180 kg\""),
            ),
            ("a decimal comma", edit("\"214.0 kg\"", "\"214,0 kg\"")),
            ("blanks in a number", edit("gross = \"1180 kg\"", "gross = \"1 180 kg\"")),
            ("a percentage of a temperature", edit("\"29 °C\"", "\"29 °C ± 8 %\"")),
            (
                "a range that runs backwards",
                edit("drag_coefficient = \"0.43 ± 0.03\"", "drag_coefficient = \"0.46 .. 0.38\""),
            ),
            (
                "a half-width below zero",
                edit("drag_coefficient = \"0.43 ± 0.03\"", "drag_coefficient = \"0.43 ± -0.03\""),
            ),
            (
                "two half-widths",
                edit(
                    "drag_coefficient = \"0.43 ± 0.03\"",
                    "drag_coefficient = \"0.43 ± 0.03 ± 0.02\"",
                ),
            ),
            (
                "a word for a number",
                edit("drag_coefficient = \"0.43 ± 0.03\"", "drag_coefficient = \"like a brick\""),
            ),
            ("nothing", edit("drag_coefficient = \"0.43 ± 0.03\"", "drag_coefficient = \"\"")),
            ("not a number", edit("ratio = 4.22", "ratio = nan")),
            ("infinite", edit("ratio = 4.22", "ratio = inf")),
            (
                "a fraction where a whole number is wanted",
                edit("modules_in_series = 9", "modules_in_series = 8.5"),
            ),
            ("a text for a flag", edit("live_axle = true", "live_axle = \"yes\"")),
            (
                "a word that is not one of the choices",
                edit("differential = \"open\"", "differential = \"welded\""),
            ),
            ("no tyre mark", edit("\"155/80 R13 79T\"", "\"the old ones\"")),
            ("an impossible tyre mark", edit("\"155/80 R13 79T\"", "\"155/80 R93 79T\"")),
            ("a wind from nowhere", edit("\"5 m/s all round\"", "\"5 m/s\"")),
            ("a limit that is no power", edit("\"230 V x 10 A\"", "\"230 V x 10 kg\"")),
            (
                "a fact on paper that is unsure",
                edit("gross = \"1180 kg\"", "gross = \"1180 ± 20 kg\""),
            ),
            (
                "a value where a table is wanted",
                edit("usable = { from = \"8 %\", to = \"96 %\" }", "usable = \"88 %\""),
            ),
            ("a date", edit("name = \"Dunlin 1100 saloon, 1967\"", "name = 1967-05-01")),
            ("a source that is no text", edit("\"2.32 m\"", "{ value = \"2.32 m\", from = 3 }")),
        ],
    );
}

#[test]
fn numbers_that_cannot_be() {
    bench::check_messages(
        "numbers_that_cannot_be",
        Demo::Dunlin,
        &[
            ("a negative mass", edit("mass = \"148 kg\"", "mass = \"-148 kg\"")),
            ("a minus sign of a typesetter", edit("mass = \"148 kg\"", "mass = \"−148\u{a0}kg\"")),
            ("an efficiency over 1", edit("efficiency = \"0.98 ± 0.01\"", "efficiency = 1.02")),
            (
                "an efficiency given as 96",
                edit("efficiency = \"0.96 ± 0.01\"", "efficiency = \"96 ± 1 %\""),
            ),
            ("a ratio of 0", edit("ratio = 4.22", "ratio = 0")),
            ("a range that reaches too far", edit("share = 0.6", "share = \"0.8 .. 1.2\"")),
            ("a whole number below 1", edit("cells_in_parallel = 2", "cells_in_parallel = 0")),
            (
                "a whole number far too large",
                edit("cells_in_parallel = 2", "cells_in_parallel = 99999999999"),
            ),
            ("hotter than any day", edit("\"29 °C\"", "\"129 °C\"")),
            (
                "a pack over the voltage of the controller",
                edit("modules_in_series = 9", "modules_in_series = 10"),
            ),
            (
                "modules without room",
                edit(
                    "room_for = 5\nbehind_front_axle = \"2.50 m\"",
                    "room_for = 2\nbehind_front_axle = \"2.50 m\"",
                ),
            ),
            ("a window that is empty", edit("from = \"3.0 V\"", "from = \"4.3 V\"")),
            ("more taken out than there is", edit("mass = \"148 kg\"", "mass = \"1480 kg\"")),
            ("more than the front axle has", edit("mass = \"148 kg\"", "mass = \"500 kg\"")),
            (
                "a part so far behind that the front axle lifts",
                edit(
                    "mass = \"71 kg\"\nbehind_front_axle = \"0.55 m\"",
                    "mass = \"500 kg\"\nbehind_front_axle = \"6 m\"",
                ),
            ),
            ("a band of five times the value", edit("\"2.32 m\"", "\"2 m ± 500 %\"")),
            (
                "a band without end",
                edit("coefficient = \"0.43 ± 0.03\"", "coefficient = \"0.43 ± 1e17\""),
            ),
            (
                "a band below nothing",
                edit("mass = \"71 kg\"", "mass = { value = \"71 kg ± 5 t\", from = \"me\" }"),
            ),
            ("a band of a wind", edit("\"5 m/s all round\"", "\"5 m/s ± 200 m/s all round\"")),
        ],
    );
}

#[test]
fn keys_that_are_wrong() {
    bench::check_messages(
        "keys_that_are_wrong",
        Demo::Dunlin,
        &[
            ("a misspelt key", edit("max_speed =", "max_sped =")),
            ("a misspelt table", edit("[tyres]", "[tires]")),
            ("a key of another table", edit("[tyres]", "[tyres]\nwheelbase = \"2.32 m\"")),
            ("a key that is like no other", edit("[tyres]", "[tyres]\nzzzzzz = 3")),
            ("drive on both axles", edit("driven_axle = \"rear\"", "driven_axle = \"both\"")),
            (
                "a trailer",
                edit("[tyres]", "[trailer]\nmass = \"1000 kg\"\nnose_load = \"60 kg\"\n[tyres]"),
            ),
            ("a trailer on a day", edit("wind = \"5 m/s", "trailer = true\nwind = \"5 m/s")),
            ("direct current", edit("limit = \"7.4 kW\"", "limit = \"50 kW\"\nkind = \"dc\"")),
            (
                "a window with other ends",
                edit("{ from = \"90 V\", to = \"156 V\" }", "{ low = \"90 V\", high = \"156 V\" }"),
            ),
            (
                "a window upside down",
                edit("{ from = \"90 V\", to = \"156 V\" }", "{ from = \"156 V\", to = \"90 V\" }"),
            ),
            (
                "a window above the pack",
                edit("{ from = \"90 V\", to = \"156 V\" }", "{ from = \"150 V\", to = \"156 V\" }"),
            ),
            ("a missing key", edit("max_speed = \"8000 rpm\"\n", "")),
            (
                "a missing table",
                edit(
                    "[inverter]\nfixed_loss = \"60 W\"\nloss_share = 0.03\n\
                     max_battery_current = \"420 A\"\n\
                     voltage_window = { from = \"90 V\", to = \"156 V\" }\n",
                    "",
                ),
            ),
            (
                "a key that stands twice",
                edit("peak_seconds = \"60 s\"", "peak_seconds = \"60 s\"\npeak_seconds = \"90 s\""),
            ),
            (
                "two keys that say the same",
                edit("frontal_area = ", "drag_area = \"0.7 m2\"\nfrontal_area = "),
            ),
            (
                "both tracks and each track",
                edit("track = \"1.21 m\"", "track = \"1.21 m\"\ntrack_front = \"1.2 m\""),
            ),
            (
                "no drag at all",
                edit(
                    "drag_coefficient = \"0.43 ± 0.03\"\nfrontal_area = \"1.66 m2 ± 0.05 m2\"",
                    "",
                ),
            ),
            ("a newer format", edit("format = 1", "format = 2")),
            ("no format", edit("format = 1", "")),
            ("a name with a dot", edit("[taken_out.engine]", "[taken_out.\"engine.old\"]")),
            ("a list of tables", edit("[day.summer]", "[[day.summer]]")),
            ("a day that is not there", edit("day = \"winter\"", "day = \"autumn\"")),
            (
                "a demand that says nothing",
                edit(
                    "cruise = { speed = \"112 km/h\", motor_speed_at_most = \"7000 rpm\", \
                     minutes_at_least = 30 }",
                    "",
                ),
            ),
            (
                "both ways of saying losses",
                edit(
                    "losses = \"motor-losses.csv\"",
                    "losses = { best_efficiency = 0.9, copper = \"0.1 W/(N m)^2\" }",
                ),
            ),
            ("not TOML", edit("wheelbase = \"2.32 m\"", "wheelbase = 2.32 m")),
            ("a quote that stays open", edit("\"1180 kg\"", "\"1180 kg")),
            ("a wrong override", set("motor.max_speed", "fast")),
            ("an override of nothing", set("motor.max_sped", "8000 rpm")),
        ],
    );
}

/// The messages are only as good as the wrong builds that were thought of.
#[test]
fn many_wrong_builds_are_kept() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/builds/snapshots");
    let mut names = BTreeSet::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|end| end == "snap") {
            let text = std::fs::read_to_string(&path).unwrap();
            let cases = text.lines().filter_map(|line| line.strip_prefix("== "));
            names.extend(cases.map(|case| (path.clone(), case.to_owned())));
        }
    }
    assert!(names.len() >= 250, "{}", names.len());
}

#[test]
fn all_errors_come_at_once_in_file_order() {
    let bench = Bench::demo();
    bench.replace("build.toml", "wheelbase = \"2.32 m\"", "wheelbase = \"2.32 kg\"");
    bench.replace("build.toml", "mass = \"148 kg\"", "mass = \"-148 kg\"");
    bench.replace("build.toml", "max_speed =", "max_sped =");
    bench.replace("build.toml", "temperature = \"29 °C\"", "temperature = 29");
    bench.write_bytes("motor-curve.csv", b"speed_rpm,peak_torque_nm,continuous_torque_nm\n0,1,x\n");
    let report = bench.load(&[set_of("tyres.size", "round")]).unwrap_err();
    let places: Vec<(String, usize)> =
        report.problems().iter().map(|p| (bench.short(&p.file), p.line)).collect();
    let lines: Vec<usize> =
        places.iter().filter(|(file, _)| file == "build.toml").map(|(_, line)| *line).collect();
    assert_eq!(lines.len(), 4, "{report}");
    assert!(lines.windows(2).all(|pair| pair[0] < pair[1]), "{lines:?}");
    let others: Vec<&str> = places[4..].iter().map(|(file, _)| file.as_str()).collect();
    assert_eq!(others, ["--set tyres.size", "motor-curve.csv"], "{report}");
}

fn set_of(key: &str, value: &str) -> crownwheel_files::Set {
    crownwheel_files::Set { key: key.into(), value: value.into() }
}
