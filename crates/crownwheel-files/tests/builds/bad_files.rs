//! Files that are missing, too large, no text, or tables that cannot be used.

use crate::bench::{self, Bench, Demo, edit};

#[test]
fn files_that_are_wrong() {
    bench::check_messages(
        "files_that_are_wrong",
        Demo::Dunlin,
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
    for (bytes, words, place) in [
        (&b"format = 1\n\0"[..], "it is not text: line 2 holds a zero byte", "build.toml:2:1"),
        (b"format = 1\n# 20 \xb0C\n", "line 2 holds the byte 0xb0", "build.toml:2:6"),
        (b"\x7fELF\x02\x01\x01", "this is not TOML", "build.toml:1:1"),
        (b"\xff\xfef\0o\0", "it is not UTF-8", "build.toml:1:1"),
        (b"", "is empty: a build is wanted", "build.toml:1:1"),
        (b" \r\n\n", "is empty: a build is wanted", "build.toml:1:1"),
        (b"# nothing\n", "`format` is missing", "build.toml:1:1"),
    ] {
        bench.write_bytes("build.toml", bytes);
        let message = bench.load(&[]).unwrap_err().to_string();
        assert!(message.contains(words) && message.contains(place), "{message}");
    }
}

/// The place is that in the table; the key says which one it is.
#[test]
fn a_table_or_a_cycle_is_no_text() {
    let bench = Bench::demo();
    let good = std::fs::read(bench.path("motor-curve.csv")).unwrap();
    let lines = good.iter().filter(|byte| **byte == b'\n').count();
    for (last, words) in [(&b"9\xb5"[..], "the byte 0xb5"), (b"9\0", "a zero byte")] {
        bench.write_bytes("motor-curve.csv", &[&good, last].concat());
        let report = bench.load(&[]).unwrap_err();
        let problem = &report.problems()[0];
        assert_eq!((problem.line, problem.column), (lines + 1, 2), "{report}");
        assert_eq!(problem.key, "motor.curve");
        assert!(problem.file.ends_with("motor-curve.csv"), "{report}");
        assert!(report.to_string().contains(words), "{report}");
        let cycle = crownwheel_files::cycle_file::read(&bench.path("motor-curve.csv"), 1 << 20);
        let message = cycle.unwrap_err().to_string();
        let place = format!("motor-curve.csv:{}:2", lines + 1);
        assert!(message.contains(words) && message.contains(&place), "{message}");
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
