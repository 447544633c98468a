//! Whatever is given to a reader: no panic, every refusal has a place and a way out, and what is
//! accepted is finite. Cases are drawn from a fixed seed. `tests/fuzz` asks the same of the same
//! readers, millions of times.

use std::path::Path;

use crownwheel_files::quantity::{self, Spread, SpreadKind};
use crownwheel_files::units;
use crownwheel_files::write_back::{RoadLoadText, with_road_load};
use crownwheel_files::{
    Report, build, cold_capacity_file, curve_file, cycle_file, load_sweep, loss_map_file, ocv_file,
    tyre_mark, wind,
};
use crownwheel_logs::ReadOptions;
use crownwheel_logs::read::read_log_from;
use crownwheel_logs::trip::trip;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::test_runner::{RngAlgorithm, RngSeed, TestRunner};

/// What does not belong into a number, a table or a build.
const ODD: [&str; 24] = [
    "\"", "'''", "[", "]]", "{", "=", "\n", "\r", "\t", ";", ",", ".", "..", "±", "-", "\u{2212}",
    "°", "#", "1e308", "nan", "\u{1}", "\u{feff}", "<", "é",
];

/// One slip of a person or a program that writes a file. Places are shares of the text.
#[derive(Clone, Debug)]
enum Slip {
    LoseLine(Index),
    DoubleLine(Index),
    SwapLines(Index, Index),
    SwapValues(Index, Index),
    Insert(Index, &'static str),
    Cut(Index),
}

fn any_slip() -> impl Strategy<Value = Slip> {
    let place = any::<Index>;
    prop_oneof![
        3 => place().prop_map(Slip::LoseLine),
        2 => place().prop_map(Slip::DoubleLine),
        1 => (place(), place()).prop_map(|(a, b)| Slip::SwapLines(a, b)),
        4 => (place(), place()).prop_map(|(a, b)| Slip::SwapValues(a, b)),
        4 => (place(), select(&ODD[..])).prop_map(|(at, odd)| Slip::Insert(at, odd)),
        1 => place().prop_map(Slip::Cut),
    ]
}

fn spoiled(text: &str, slips: &[Slip]) -> String {
    slips.iter().fold(text.to_owned(), slipped)
}

fn slipped(mut text: String, slip: &Slip) -> String {
    let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
    if lines.is_empty() {
        return text;
    }
    let count = lines.len();
    match slip {
        Slip::LoseLine(at) => {
            lines.remove(at.index(count));
        }
        Slip::DoubleLine(at) => lines.insert(at.index(count), lines[at.index(count)]),
        Slip::SwapLines(a, b) => lines.swap(a.index(count), b.index(count)),
        Slip::SwapValues(a, b) => {
            return with_values_swapped(&lines, a.index(count), b.index(count));
        }
        Slip::Insert(at, odd) => {
            text.insert_str(place_in(&text, at), odd);
            return text;
        }
        Slip::Cut(at) => {
            text.truncate(place_in(&text, at));
            return text;
        }
    }
    lines.concat()
}

/// A place between two characters.
fn place_in(text: &str, at: &Index) -> usize {
    (0..=at.index(text.len() + 1)).rev().find(|place| text.is_char_boundary(*place)).unwrap_or(0)
}

/// Two lines with what stands behind their last `=` or before their first separator changed over.
fn with_values_swapped(lines: &[&str], a: usize, b: usize) -> String {
    let cut = |line: &str| line.find(['=', ',', ';']).map_or(0, |at| at + 1);
    let of = |i: usize| lines[i].split_at(cut(lines[i]));
    let line = |(i, own): (usize, &&str)| match i {
        i if i == a => [of(a).0, of(b).1].concat(),
        i if i == b => [of(b).0, of(a).1].concat(),
        _ => (*own).to_owned(),
    };
    lines.iter().enumerate().map(line).collect()
}

/// Checks a property on drawn values.
fn for_any<T: std::fmt::Debug>(
    cases: u32,
    values: impl Strategy<Value = T>,
    property: impl Fn(&T),
) {
    let config = ProptestConfig {
        cases,
        failure_persistence: None,
        rng_algorithm: RngAlgorithm::ChaCha,
        rng_seed: RngSeed::Fixed(1934),
        ..ProptestConfig::default()
    };
    let found = TestRunner::new(config).run(&values, |value| {
        property(&value);
        Ok(())
    });
    if let Err(why) = found {
        panic!("{why}");
    }
}

/// Short texts of digits, units, signs and anything else.
fn any_text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        4 => "[0-9]{1,3}",
        1 => select(&ODD[..]).prop_map(str::to_owned),
        2 => select(units::all().collect::<Vec<_>>()).prop_map(|unit| unit.name.to_owned()),
        1 => select(&[" x ", " at ", " ± ", " .. ", "R", "/", "headwind", "all round", " "][..])
            .prop_map(str::to_owned),
        1 => any::<char>().prop_map(String::from),
    ];
    vec(piece, 0..8).prop_map(|pieces| pieces.concat())
}

fn demo(path: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo");
    std::fs::read_to_string(folder.join(path)).unwrap()
}

/// A copy of a demo's folder, without its logs.
fn copy_of(name: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo").join(name);
    for entry in std::fs::read_dir(from).unwrap().map(Result::unwrap) {
        if entry.path().is_file() {
            std::fs::copy(entry.path(), folder.path().join(entry.file_name())).unwrap();
        }
    }
    folder
}

fn has_places(report: &Report) {
    assert!(!report.is_empty());
    for problem in report.problems() {
        assert!(problem.line > 0 && problem.column > 0, "no place: {problem}");
        assert!(!problem.allowed.is_empty() || !problem.hint.is_empty(), "no way out: {problem}");
    }
}

fn is_finite(spread: &Spread) -> bool {
    let band = match spread.kind {
        SpreadKind::Exact => [0.0; 2],
        SpreadKind::Normal { half_width_95 } => [half_width_95, half_width_95],
        SpreadKind::Uniform { low, high } => [low, high],
    };
    spread.nominal.is_finite() && band.iter().all(|end| end.is_finite())
}

#[test]
fn any_text_is_a_quantity_or_none() {
    for_any(500, any_text(), |text| {
        for unit in units::all() {
            if let Ok(spread) = quantity::parse(text, unit.dimension) {
                assert!(is_finite(&spread), "{text}: {spread:?}");
            }
        }
        for read in [quantity::parse_power_limit(text), quantity::parse_voltage_at_speed(text)] {
            match read {
                Ok(number) => assert!(number.is_finite(), "{text}: {number}"),
                Err(error) => assert!(!error.to_string().is_empty()),
            }
        }
        if let Ok(Some(speed)) = wind::parse(text).map(|wind| wind.speed_mps()) {
            assert!(is_finite(&speed), "{text}: {speed:?}");
        }
    });
}

#[test]
fn any_text_is_a_tyre_mark_or_none() {
    for_any(500, any_text(), |text| {
        if let Ok(read) = tyre_mark::parse(text) {
            let mark = read.mark;
            let sizes = [mark.section_width_m, mark.aspect_frac, mark.rim_diameter_m];
            assert!(sizes.iter().all(|size| size.is_finite() && *size > 0.0), "{text}: {mark:?}");
        }
        // What is offered in its place must itself be a mark.
        if let Some(meant) = tyre_mark::nearest(text) {
            assert!(tyre_mark::parse(&meant).is_ok(), "{text}: {meant}");
        }
    });
}

/// Reads a text as every kind of table; numbers of those that are accepted.
fn read_as_tables(text: &str) -> Vec<f64> {
    let mut numbers = Vec::new();
    match curve_file::parse("t.csv", text) {
        Ok((curve, _)) => numbers.extend([curve.speed_radps, curve.peak_torque_nm].concat()),
        Err(report) => has_places(&report),
    }
    match loss_map_file::parse("t.csv", text) {
        Ok((map, _)) => numbers.extend([map.speed_radps, map.torque_nm, map.loss_w].concat()),
        Err(report) => has_places(&report),
    }
    match ocv_file::parse("t.csv", text) {
        Ok((table, _)) => numbers.extend([table.charge_frac, table.voltage_v].concat()),
        Err(report) => has_places(&report),
    }
    match cold_capacity_file::parse("t.csv", text) {
        Ok((table, _)) => numbers.extend([table.temperature_k, table.capacity_frac].concat()),
        Err(report) => has_places(&report),
    }
    match cycle_file::parse("t.csv", "t", text) {
        Ok((cycle, _)) => numbers.extend([cycle.distance_m(), cycle.duration_s(), cycle.climb_m()]),
        Err(report) => has_places(&report),
    }
    numbers
}

#[test]
fn spoiled_tables_are_read_or_refused_with_their_place() {
    let ocv = "charge_pct,voltage_v\n0,3.0\n20,3.5\n50,3.6\n100,4.1\n".to_owned();
    let by_distance = "distance_m,speed_kmh,elevation_m,stop_s\n0,0,10,5\n50,36,11,0\n120,0,12,8\n";
    let mut tables = vec![ocv, by_distance.to_owned()];
    for path in [
        "dunlin/motor-curve.csv",
        "dunlin/motor-losses.csv",
        "godwit/motor-curve.csv",
        "godwit/cell-cold.csv",
        "godwit/market-round.csv",
        "wren/motor-curve.csv",
    ] {
        tables.push(demo(path));
    }
    for table in tables {
        assert!(!read_as_tables(&table).is_empty(), "one reader takes it as it stands");
        for_any(100, vec(any_slip(), 1..4), |slips| {
            let text = spoiled(&table, slips);
            assert!(read_as_tables(&text).iter().all(|number| number.is_finite()), "{text}");
        });
    }
}

#[test]
fn spoiled_builds_and_their_tables_are_read_or_refused_with_their_place() {
    for (name, tables) in [
        ("dunlin", &["motor-curve.csv", "motor-losses.csv"][..]),
        ("godwit", &["motor-curve.csv", "cell-cold.csv"]),
        ("wren", &["motor-curve.csv"]),
    ] {
        let folder = copy_of(name);
        let mut files = vec!["build.toml"; 3];
        files.extend(tables);
        let refused = std::cell::Cell::new(0);
        for_any(200, (any::<Index>(), vec(any_slip(), 1..4)), |(file, slips)| {
            let file = files[file.index(files.len())];
            let (path, text) = (folder.path().join(file), demo(&format!("{name}/{file}")));
            std::fs::write(&path, spoiled(&text, slips)).unwrap();
            match build::load(folder.path(), &[]) {
                Ok(build) => {
                    crownwheel::Car::new(&build.car).unwrap();
                    assert!(build.spreads.values().all(is_finite), "{:?}", build.spreads);
                }
                Err(report) => {
                    has_places(&report);
                    refused.set(refused.get() + 1);
                }
            }
            std::fs::write(&path, text).unwrap();
        });
        assert!(refused.get() > 80, "{name}: {}", refused.get());
    }
}

#[test]
fn spoiled_sweeps_are_read_or_refused_with_their_place() {
    for name in ["dunlin", "godwit"] {
        let (folder, text) = (copy_of(name), demo(&format!("{name}/sweep.toml")));
        // Comments hide most slips.
        let bare: String = text
            .lines()
            .map(|line| line.split('#').next().unwrap_or_default().trim_end())
            .filter(|line| !line.is_empty())
            .map(|line| format!("{line}\n"))
            .collect();
        let refused = std::cell::Cell::new(0);
        for_any(120, vec(any_slip(), 1..4), |slips| {
            std::fs::write(folder.path().join("sweep.toml"), spoiled(&bare, slips)).unwrap();
            match load_sweep(folder.path(), &[]) {
                Ok(sweep) => assert!(sweep.space.option(0).is_some()),
                Err(report) => {
                    has_places(&report);
                    refused.set(refused.get() + 1);
                }
            }
        });
        assert!(refused.get() > 50, "{name}: {}", refused.get());
    }
}

#[test]
fn coast_down_results_are_written_into_spoiled_builds_without_loss() {
    let road_load = RoadLoadText { f0: "118.2 ± 2.9 N".to_owned(), ..RoadLoadText::default() };
    let text = demo("dunlin/build.toml");
    let written = std::cell::Cell::new(0);
    for_any(300, vec(any_slip(), 1..3), |slips| {
        let before = spoiled(&text, slips);
        let Ok(after) = with_road_load(&before, &road_load, true) else { return };
        written.set(written.get() + 1);
        let again = with_road_load(&after.text, &road_load, true);
        assert!(again.is_ok(), "what was written can be read: {again:?}\n{}", after.text);
        for line in before.lines() {
            assert!(after.text.contains(line.trim()), "lost: {line}");
        }
    });
    assert!(written.get() > 30, "{}", written.get());
}

#[test]
fn any_log_is_read_or_refused() {
    let heading = "time_s,speed_kmh,lat,lon\n";
    for_any(300, vec(any_text(), 0..12), |rows| {
        for text in [
            rows.join(","),
            format!("{heading}{}", rows.join("\n")),
            format!("<gpx>{}", rows.concat()),
        ] {
            match read_log_from("log", text.as_bytes(), &ReadOptions::default()) {
                Ok(log) => {
                    assert!(log.time_s.iter().all(|time| time.is_finite()), "{text}");
                    if let Ok(made) = trip(&log) {
                        assert!(made.speed_mps.iter().all(|speed| speed.is_finite()), "{text}");
                    }
                }
                Err(error) => assert!(error.to_string().contains("help"), "{error}"),
            }
        }
    });
}
