//! Builds that are wrong in one way each, and the message that each of them gets.
//!
//! Every case starts from the demo, which loads, and replaces one piece of one of its files. The
//! messages are kept as text in the folder `snapshots`: read them aloud before accepting a change.

use crate::bench::{self, Bench, edit, set};

#[test]
fn the_demo_itself_is_right() {
    Bench::demo().load(&[]).unwrap();
}

#[test]
fn values_that_cannot_be_read() {
    bench::check_messages(
        "values_that_cannot_be_read",
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
        ],
    );
}

#[test]
fn keys_that_are_wrong() {
    bench::check_messages(
        "keys_that_are_wrong",
        &[
            ("a misspelt key", edit("max_speed =", "max_sped =")),
            ("a misspelt table", edit("[tyres]", "[tires]")),
            ("a key of another table", edit("[tyres]", "[tyres]\nwheelbase = \"2.32 m\"")),
            ("a key that is like no other", edit("[tyres]", "[tyres]\nzzzzzz = 3")),
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

#[test]
fn files_that_are_wrong() {
    bench::check_messages(
        "files_that_are_wrong",
        &[
            ("a missing file", edit("curve = \"motor-curve.csv\"", "curve = \"motr-curve.csv\"")),
            ("a folder for a file", edit("curve = \"motor-curve.csv\"", "curve = \"folder\"")),
            ("an empty table", bench::curve("")),
            ("a table of comments", bench::curve("# speed_rpm\n")),
            (
                "a heading and nothing else",
                bench::curve("speed_rpm,peak_torque_nm,continuous_torque_nm\n"),
            ),
            ("no heading", bench::curve("0,165,75\n1000,165,75\n")),
            ("a column too few", bench::curve("speed_rpm,peak_torque_nm\n0,165\n1000,165\n")),
            (
                "a heading without unit",
                bench::curve("speed,peak_torque_nm,continuous_torque_nm\n0,165,75\n"),
            ),
            (
                "a heading of another quantity",
                bench::curve("speed_kmh,peak_torque_nm,continuous_torque_nm\n0,165,75\n"),
            ),
            (
                "a speed that does not rise",
                bench::curve(
                    "speed_rpm,peak_torque_nm,continuous_torque_nm\n\
                     0,165,75\n2000,165,75\n1000,165,75\n",
                ),
            ),
            (
                "NaN in a table",
                bench::curve(
                    "speed_rpm,peak_torque_nm,continuous_torque_nm\n0,165,75\n1000,NaN,75\n",
                ),
            ),
            (
                "an empty cell",
                bench::curve("speed_rpm,peak_torque_nm,continuous_torque_nm\n0,165,75\n1000,,75\n"),
            ),
            (
                "decimal commas between commas",
                bench::curve("speed_rpm,peak_torque_nm,continuous_torque_nm\n0,165,5,75,5\n"),
            ),
            (
                "points and commas mixed",
                bench::curve(
                    "speed_rpm;peak_torque_nm;continuous_torque_nm\n0;165,5;75\n1000;165.5;75\n",
                ),
            ),
            (
                "more continuous than peak torque",
                bench::curve(
                    "speed_rpm,peak_torque_nm,continuous_torque_nm\n0,65,75\n9000,65,75\n",
                ),
            ),
            (
                "a hole in the loss map",
                bench::losses(
                    "speed_rpm,torque_nm,loss_w\n0,0,10\n0,50,20\n9000,0,10\n8000,50,20\n",
                ),
            ),
            ("binary rubbish", bench::curve("speed_rpm\0\u{1}\u{2}")),
            (
                "a cycle that is not there",
                edit("cycle = \"moor-round.csv\", day", "cycle = \"more-round.csv\", day"),
            ),
            (
                "a cycle that is not built in",
                edit("cycle = \"moor-round.csv\", day", "cycle = \"uddss\", day"),
            ),
        ],
    );
}

#[test]
fn the_build_itself_is_no_text() {
    let bench = Bench::demo();
    for (bytes, words) in [
        (&b"format = 1\0"[..], "it is not text"),
        (b"format = 1\n# 20 \xb0C\n", "line 2 holds the byte 0xb0"),
        (b"\x7fELF\x02\x01\x01", "this is not TOML"),
        (b"\xff\xfef\0o\0", "it is not UTF-8"),
        (b"", "`format` is missing"),
    ] {
        bench.write_bytes("build.toml", bytes);
        let message = bench.load(&[]).unwrap_err().to_string();
        assert!(message.contains(words), "{message}");
    }
}

#[test]
fn missing_builds_and_folders_without_one_are_named() {
    let bench = Bench::demo();
    let missing = crownwheel_files::load(&bench.path("nowhere.toml"), &[]).unwrap_err();
    assert!(missing.to_string().contains("there is no such file"), "{missing}");
    let empty = crownwheel_files::load(&bench.path("folder"), &[]).unwrap_err();
    assert!(empty.problems()[0].file.ends_with("build.toml"), "{empty}");
    assert!(empty.to_string().contains("there is no such file"), "{empty}");
}

#[test]
fn files_over_the_limit_are_refused_before_they_are_read() {
    let limits =
        |build_bytes, table_bytes| crownwheel_files::build::FileLimits { build_bytes, table_bytes };
    let bench = Bench::demo();
    let small = bench.load_within(limits(1000, 1000)).unwrap_err().to_string();
    assert!(
        small.contains("it is too large: 8 kB") || small.contains("it is too large: 7 kB"),
        "{small}"
    );
    let table = bench.load_within(limits(1 << 20, 1000)).unwrap_err();
    assert!(table.problems().iter().all(|p| p.key.starts_with("motor.") && p.line > 0), "{table}");
    // A sparse gigabyte takes no room on the disk.
    let sparse = |name| {
        std::fs::File::options()
            .write(true)
            .open(bench.path(name))
            .unwrap()
            .set_len(1 << 30)
            .unwrap()
    };
    sparse("motor-curve.csv");
    let huge = bench.load(&[]).unwrap_err().to_string();
    assert!(
        huge.contains("`motor.curve`: cannot read `motor-curve.csv`: it is too large: 1024 MB"),
        "{huge}"
    );
    sparse("build.toml");
    let huge = bench.load(&[]).unwrap_err().to_string();
    assert!(huge.contains("it is too large: 1024 MB, at most 4 MB are read"), "{huge}");
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

#[test]
fn every_message_names_its_place_key_and_way_out() {
    for (name, change) in [
        ("unit", edit("mass = \"148 kg\"", "mass = 148")),
        ("range", edit("mass = \"148 kg\"", "mass = \"-148 kg\"")),
        ("core", edit("modules_in_series = 9", "modules_in_series = 10")),
    ] {
        let bench = Bench::demo();
        let report = bench.changed(&change).unwrap_err();
        let problem = &report.problems()[0];
        assert!(problem.line > 1 && problem.column > 1, "{name}: {report}");
        assert!(!problem.key.is_empty() && !problem.value.is_empty(), "{name}: {report}");
        assert!(!problem.allowed.is_empty(), "{name}: {report}");
    }
}

#[test]
fn line_ends_and_byte_order_marks_do_not_matter() {
    let bench = Bench::demo();
    let plain = bench.load(&[]).unwrap();
    for name in ["build.toml", "motor-curve.csv", "motor-losses.csv"] {
        let text = std::fs::read_to_string(bench.path(name)).unwrap();
        let other = format!("\u{feff}{}", text.replace('\n', "\r\n"));
        bench.write_bytes(name, other.as_bytes());
    }
    let other = bench.load(&[]).unwrap();
    assert_eq!(other.car, plain.car);
    assert_eq!(other.days, plain.days);
    // With a mark and other line ends, places are as before.
    bench.replace("build.toml", "mass = \"148 kg\"", "mass = \"148 °C\"");
    let report = bench.load(&[]).unwrap_err();
    let line = report.problems()[0].line;
    let text = std::fs::read_to_string(bench.path("build.toml")).unwrap();
    assert!(text.lines().nth(line - 1).unwrap().contains("148 °C"), "{report}");
    assert_eq!(report.problems()[0].column, 8);
}

#[test]
fn tables_with_semicolons_and_decimal_commas_are_the_same() {
    let bench = Bench::demo();
    let plain = bench.load(&[]).unwrap();
    for name in ["motor-curve.csv", "motor-losses.csv"] {
        let text = std::fs::read_to_string(bench.path(name)).unwrap();
        bench.write_bytes(name, text.replace(',', ";").replace('.', ",").as_bytes());
    }
    let other = bench.load(&[]).unwrap();
    assert_eq!(other.car, plain.car);
    assert!(
        other.notes.iter().any(|note| note.ends_with("columns parted by semicolons")),
        "{:?}",
        other.notes
    );
}

fn set_of(key: &str, value: &str) -> crownwheel_files::Set {
    crownwheel_files::Set { key: key.into(), value: value.into() }
}
