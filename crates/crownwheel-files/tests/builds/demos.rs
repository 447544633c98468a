//! All demos: they load, tell their stories, and mean the same in other units and other tables.

use crownwheel::cycle::Cycle;
use crownwheel::limit::Limit;
use crownwheel::pull::Throttle;
use crownwheel::range::range;
use crownwheel::spec::{FirstStage, RoadLoadSpec, RollingSpec};
use crownwheel::weights::{LoadCase, loaded};
use crownwheel::{Car, Day};
use crownwheel_files::{Build, Set, cycle_file};

use crate::bench::{Bench, Demo};

/// Half a millionth of a millimetre in a metre: numbers that were written with enough digits.
const SAME: f64 = 1e-9;

#[test]
fn every_demo_becomes_a_car_and_its_days() {
    for demo in Demo::ALL {
        let build = Bench::of(demo).loaded();
        Car::new(&build.car).unwrap_or_else(|error| panic!("{demo:?}: {error}"));
        assert!(build.days.len() > 1);
        for day in &build.days {
            Day::new(day).unwrap_or_else(|error| panic!("{demo:?}: {error}"));
        }
    }
}

/// Everything in a build that is a number, as text: the debug form of a float keeps all of its
/// digits.
fn everything(build: &Build) -> String {
    format!(
        "{:?} {:?} {:?} {:?} {:?} {:?}",
        build.car, build.days, build.hills, build.supplies, build.demands, build.spreads
    )
}

/// Pieces of a text that can be numbers, and all between them.
fn pieces(text: &str) -> Vec<String> {
    let mut pieces: Vec<String> = vec![String::new()];
    let mut in_word = false;
    for c in text.chars() {
        let word = c.is_alphanumeric() || matches!(c, '.' | '-' | '_');
        if word != in_word {
            pieces.push(String::new());
            in_word = word;
        }
        if let Some(last) = pieces.last_mut() {
            last.push(c);
        }
    }
    pieces
}

/// The first number that is not the same in both, and how many numbers were compared.
fn first_difference(left: &str, right: &str) -> (Option<String>, usize) {
    let (left, right) = (pieces(left), pieces(right));
    let mut numbers = 0;
    for (at, (l, r)) in left.iter().zip(&right).enumerate() {
        let context = || left[at.saturating_sub(4)..=at].concat();
        match (l.parse::<f64>(), r.parse::<f64>()) {
            (Ok(l), Ok(r)) => {
                numbers += 1;
                if (l - r).abs() > SAME * l.abs().max(r.abs()) {
                    return (Some(format!("{} against {r}", context())), numbers);
                }
            }
            _ if l != r => return (Some(format!("{} against {r}", context())), numbers),
            _ => {}
        }
    }
    let length = (left.len() != right.len()).then(|| "one is longer".to_owned());
    (length, numbers)
}

#[test]
fn the_van_in_pounds_is_the_van_in_metric() {
    let bench = Bench::of(Demo::Godwit);
    let pounds = everything(&bench.loaded());
    let (difference, numbers) = first_difference(&pounds, &everything(&bench.loaded_metric()));
    assert_eq!(difference, None);
    assert!(numbers > 300, "{numbers}");
}

/// What a run answers, as text.
fn answers(build: &Build, cycle: &Cycle) -> String {
    let car = Car::new(&build.car).unwrap_or_else(|error| panic!("{error}"));
    let mut all = String::new();
    for day in &build.days {
        let day = Day::new(day).unwrap_or_else(|error| panic!("{error}"));
        let run = range(&car, &day, cycle);
        all.push_str(&format!(
            "{} {} {} {:?} {:?} {:?} {} ",
            run.distance_m,
            run.distance_with_reserve_m,
            run.duration_s,
            run.first,
            run.balance.sum,
            run.motor,
            run.wall_j
        ));
    }
    all
}

#[test]
fn the_van_in_pounds_goes_as_far_as_the_van_in_metric() {
    let bench = Bench::of(Demo::Godwit);
    let pounds = bench.loaded();
    let metric = bench.loaded_metric();
    for name in ["market-round.csv", "wltc3b", "udds", "hwfet"] {
        let cycle = cycle_file::open(name, &bench.path(""))
            .unwrap_or_else(|report| panic!("{report}"))
            .cycle;
        let (difference, numbers) =
            first_difference(&answers(&pounds, &cycle), &answers(&metric, &cycle));
        assert_eq!(difference, None, "{name}");
        assert!(numbers > 100, "{numbers}");
    }
}

#[test]
fn a_number_that_is_a_little_off_is_seen() {
    let bench = Bench::of(Demo::Godwit);
    let plain = everything(&bench.loaded());
    for (key, value) in [
        ("plate.gross", "5950.00002 lb"),
        ("springs.rear_wheel_rate", "210.000001 lbf/in"),
        ("day.winter.temperature", "23.000001 °F"),
        ("hill.long_bank.speed", "45.0000001 mph"),
        ("supply.wallbox.limit", "7.40000002 kW"),
        ("car.road_load.f0", "49 lbf ± 4.0000001 lbf"),
    ] {
        let set = Set { key: key.to_owned(), value: value.to_owned() };
        let other = everything(&bench.load(&[set]).unwrap_or_else(|report| panic!("{report}")));
        assert!(first_difference(&plain, &other).0.is_some(), "{key}");
    }
}

#[test]
fn the_van_keeps_its_gearbox_and_its_coefficients() {
    let car = Bench::of(Demo::Godwit).loaded().car;
    assert!(
        matches!(&car.driveline.first, FirstStage::Gearbox(gearbox) if gearbox.gears.len() == 4)
    );
    assert!(matches!(car.road_load, RoadLoadSpec::Coefficients { .. }));
    // 48 cells in series, 280 Ah.
    assert!((car.pack.series_cells() - 48.0).abs() < 1e-9);
    assert!((car.pack.full_voltage_v() - 175.2).abs() < 1e-9);
    let strings = f64::from(car.pack.modules_in_parallel * car.pack.cells_in_parallel);
    assert!((strings * car.pack.cell_capacity_c / 3600.0 - 280.0).abs() < 1e-9);
    // The controller gives less phase current than the test had, and the gearbox bears less torque
    // than that leaves, but more than the engine gave.
    assert!((car.motor.phase_current_ratio - 420.0 / 450.0).abs() < 1e-12);
    assert!(car.weights.power_steering && car.pack.cold_capacity.is_some());
}

/// A pound in kilograms, exact.
const POUND_KG: f64 = 0.453_592_37;

fn axles_lb(build: &Build, case: LoadCase) -> (f64, f64) {
    let corners = loaded(&build.car.weights, &build.car.pack, case).corners;
    (corners.front_axle_kg() / POUND_KG, corners.rear_axle_kg() / POUND_KG)
}

/// Top speed on the first day with a full pack, and what limits it.
fn top_speed_mph(build: &Build) -> (f64, Limit) {
    let car = Car::new(&build.car).unwrap_or_else(|error| panic!("{error}"));
    let day = Day::new(&build.days[0]).unwrap_or_else(|error| panic!("{error}"));
    let full = build.car.pack.usable_to_frac;
    let (top_mps, limit) = Throttle::new(&car, &day, full).top_speed();
    (top_mps / 0.447_04, limit)
}

#[test]
fn the_story_of_the_van_holds() {
    let build = Bench::of(Demo::Godwit).loaded();
    let (front, rear) = axles_lb(&build, LoadCase::AsOnScales);
    assert!((front - 2034.0).abs() < 1e-6 && (rear - 1246.0).abs() < 1e-6);
    // By statics from the masses and places of the build: 3964 lb, 1485.73 lb of it behind.
    let (front, rear) = axles_lb(&build, LoadCase::ConvertedEmpty);
    assert!((front + rear - 3964.0).abs() < 1e-6 && (rear - 1485.73).abs() < 0.01, "{rear}");
    // With both people 1649 lb of load are left, and both axles bear it.
    let (front, rear) = axles_lb(&build, LoadCase::EverySeat);
    assert!((5950.0 - front - rear - 1649.0).abs() < 1e-6);
    let (front, rear) = axles_lb(&build, LoadCase::AtGross);
    assert!(front < 3100.0 && front > 3000.0 && rear < 3400.0, "{front} {rear}");
    // A van with a small controller: 65 to 70 mph on the flat.
    let (mph, limit) = top_speed_mph(&build);
    assert!((65.0..70.0).contains(&mph) && limit == Limit::BatteryCurrent, "{mph} {limit:?}");
    // The height by lifting an axle: about 29 in.
    let height_in = build.car.weights.centre_of_gravity_height_m / 0.0254;
    assert!((height_in - 29.0).abs() < 0.2, "{height_in}");
}

#[test]
fn the_story_of_the_light_car_holds() {
    let build = Bench::of(Demo::Wren).loaded();
    let car = &build.car;
    let corners = loaded(&car.weights, &car.pack, LoadCase::ConvertedEmpty).corners;
    // By statics: 600.5 kg, 376.58 kg of it behind.
    assert!((corners.total_kg() - 600.5).abs() < 1e-9);
    assert!((corners.rear_axle_kg() - 376.58).abs() < 0.01, "{}", corners.rear_axle_kg());
    // A ticket says nothing about left and right.
    let scales = car.weights.corners;
    assert!((scales.front_left_kg - 118.0).abs() < 1e-9);
    assert!((scales.rear_left_kg - scales.rear_right_kg).abs() < 1e-9);
    assert!(matches!(car.driveline.first, FirstStage::Direct));
    assert!(!car.tyres.mark.radial && matches!(car.tyres.rolling, RollingSpec::FromMark));
    assert!(car.motor.armature_ohm > 0.0 && car.motor.long_rating.is_none());
    let (mph, limit) = top_speed_mph(&build);
    assert!((45.0..55.0).contains(&mph), "{mph} {limit:?}");
    // 48 cells of lead: 96 V by name.
    assert!((car.pack.series_cells() - 48.0).abs() < 1e-9);
    assert!((car.pack.open_circuit_v(0.5) - 98.0).abs() < 3.0);
}

/// A change of a text.
type Rewrite = fn(&str) -> String;

/// Ways in which programs write the same table.
const WAYS: [(&str, Rewrite); 4] = [
    ("a byte order mark", |text| format!("\u{feff}{text}")),
    ("other line ends", |text| text.replace('\n', "\r\n")),
    ("semicolons and decimal commas", |text| {
        body(text, |row| row.replace(',', ";").replace('.', ","))
    }),
    ("tabs", |text| body(text, |row| row.replace(',', "\t"))),
];

/// Changes the rows that are not comments.
fn body(text: &str, change: Rewrite) -> String {
    let line = |line: &str| if line.starts_with('#') { line.to_owned() } else { change(line) };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}

#[test]
fn tables_written_by_other_programs_are_the_same() {
    for demo in Demo::ALL {
        let bench = Bench::of(demo);
        let plain = everything(&bench.loaded());
        let tables = demo.files().into_iter().filter(|name| name.ends_with(".csv"));
        for name in tables {
            let text = bench.text(&name);
            for (way, change) in WAYS {
                bench.write_bytes(&name, change(&text).as_bytes());
                assert_eq!(everything(&bench.loaded()), plain, "{demo:?}: {name}: {way}");
            }
            bench.write_bytes(&name, text.as_bytes());
        }
    }
}

#[test]
fn rounds_written_by_other_programs_are_the_same() {
    for (demo, name) in [(Demo::Dunlin, "moor-round.csv"), (Demo::Godwit, "market-round.csv")] {
        let bench = Bench::of(demo);
        let text = bench.text(name);
        let read = || {
            let cycle = cycle_file::open(name, &bench.path(""));
            format!("{:?}", cycle.unwrap_or_else(|report| panic!("{report}")).cycle)
        };
        let plain = read();
        for (way, change) in WAYS {
            bench.write_bytes(name, change(&text).as_bytes());
            assert_eq!(read(), plain, "{name}: {way}");
        }
    }
}
