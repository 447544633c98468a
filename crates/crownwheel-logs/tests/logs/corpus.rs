//! One invented drive, messed up in every way that loggers and people have: what is read is right, or
//! it is refused in words. Nothing is silently wrong.
//!
//! The truth of the drive (way, time, climb, energy) is known, because it is invented. A kind of
//! mess is a row of the table in `kinds`; what it must come to stands beside it.

mod drive;
mod kinds;

use crownwheel_logs::log::Quantity;
use crownwheel_logs::read::{current_lag_s, read_log_from};
use crownwheel_logs::trip::{Trip, trip};
use crownwheel_logs::{Log, ReadOptions, RepairKind};
use drive::Drive;
use kinds::{KINDS, Kind, Truth};

/// Way and energy that are still right, relative.
const SAME: f64 = 0.03;
/// Climb that is still right, relative, and m.
const SAME_CLIMB: (f64, f64) = (0.10, 2.0);
/// Duration that is still right, s: a step at each end.
const SAME_S: f64 = 2.5;

/// Kinds that must be right or rightly refused.
const LEAST_RIGHT: usize = 55;

/// What a kind came to.
#[derive(Debug, PartialEq)]
enum Outcome {
    Right,
    RightlyRefused,
    /// With the words of the refusal.
    WronglyRefused(String),
    /// What is wrong, with a repair that names it.
    WrongAndNamed(String),
    SilentlyWrong(String),
}

fn read(bytes: &[u8]) -> Result<(Log, Trip), String> {
    let log = read_log_from("drive.csv", bytes, &ReadOptions::default())
        .map_err(|error| error.to_string())?;
    let made = trip(&log).map_err(|error| error.to_string())?;
    Ok((log, made))
}

/// Energy at the pack's terminals over the trip, J. `None`: no volts or no amperes.
fn energy_j(log: &Log, made: &Trip) -> Option<f64> {
    let volts = made.column(log, Quantity::Voltage, 3.0)?;
    let amperes = made.column(log, Quantity::Current, 3.0)?;
    let watts = |i: usize| volts[i] * amperes[i];
    let step = |i: usize| {
        let joules = 0.5 * (watts(i - 1) + watts(i)) * (made.time_s[i] - made.time_s[i - 1]);
        if joules.is_finite() { joules } else { 0.0 }
    };
    Some((1..made.time_s.len()).map(step).sum())
}

/// Everything that is not as the drive was.
fn differences(drive: &Drive, kind: &Kind, log: &Log, made: &Trip) -> Vec<String> {
    let mut all = Vec::new();
    let mut compare = |what: &str, found: f64, wanted: f64, most: f64| {
        if (found - wanted).abs() > most || found.is_nan() {
            all.push(format!("{what} {found:.1} for {wanted:.1}"));
        }
    };
    compare("way", made.length_m(), drive.way_m(), SAME * drive.way_m());
    compare("duration", made.duration_s(), drive.duration_s(), SAME_S.max(kind.step_s));
    if kind.has_heights {
        let most = SAME_CLIMB.0 * drive.climb_m() + SAME_CLIMB.1;
        compare("climb", made.climb_m.unwrap_or(f64::NAN), drive.climb_m(), most);
    }
    if kind.has_energy {
        let found = energy_j(log, made).unwrap_or(f64::NAN).abs();
        compare("energy", found, drive.energy_j(), SAME * drive.energy_j());
    }
    all
}

fn outcome(drive: &Drive, kind: &Kind) -> Outcome {
    let bytes = (kind.mess)(drive);
    let read = read(&bytes);
    let (log, made) = match (&kind.truth, read) {
        (Truth::Refused(words), Err(message)) if message.contains(words) => {
            return Outcome::RightlyRefused;
        }
        (_, Err(message)) => return Outcome::WronglyRefused(message),
        (_, Ok(read)) => read,
    };
    let mut wrong = match kind.truth {
        Truth::Named => Vec::new(),
        _ => differences(drive, kind, &log, &made),
    };
    if let Truth::Refused(words) = kind.truth {
        wrong.push(format!("read, not refused: {words}"));
    }
    let missing = |name: &&&str| !made.repairs.iter().any(|repair| repair.kind.name() == **name);
    wrong.extend(kind.repairs.iter().find(missing).map(|name| format!("no repair {name}")));
    if wrong.is_empty() {
        return Outcome::Right;
    }
    let says = format!("{} {:?}", wrong.join(", "), made.repairs.iter().collect::<Vec<_>>());
    let names = [RepairKind::PartsLeftOut, RepairKind::LongGaps, RepairKind::BackwardTimes];
    if names.iter().any(|name| made.repairs.count(*name) > 0) {
        Outcome::WrongAndNamed(says)
    } else {
        Outcome::SilentlyWrong(says)
    }
}

#[test]
fn no_messy_log_is_silently_wrong() {
    let drive = Drive::invented();
    let outcomes: Vec<(&str, Outcome)> =
        KINDS.iter().map(|kind| (kind.name, outcome(&drive, kind))).collect();
    let count = |wanted: fn(&Outcome) -> bool| outcomes.iter().filter(|(_, it)| wanted(it)).count();
    let right = count(|it| matches!(it, Outcome::Right | Outcome::RightlyRefused));
    let bad: Vec<_> = outcomes
        .iter()
        .filter(|(_, it)| !matches!(it, Outcome::Right | Outcome::RightlyRefused))
        .collect();
    assert!(KINDS.len() >= 60 && right >= LEAST_RIGHT, "{right} of {}: {bad:#?}", KINDS.len());
    assert!(bad.is_empty(), "{right} of {}: {bad:#?}", KINDS.len());
}

/// Nothing is put right that was right, and a lag is found to the second or not at all.
#[test]
fn a_plain_log_needs_no_repair() {
    let drive = Drive::invented();
    let log_of = |name: &str| {
        let kind = KINDS.iter().find(|kind| kind.name == name).unwrap();
        read_log_from("drive.csv", (kind.mess)(&drive).as_slice(), &ReadOptions::default()).unwrap()
    };
    assert_eq!(log_of("plain").repairs.iter().collect::<Vec<_>>(), []);
    for (name, lag_s) in [("amperes 12 s late", 12), ("volts and amperes 25 s late", 25)] {
        assert_eq!(log_of(name).repairs.count(RepairKind::AmperesLate), lag_s, "{name}");
        assert_eq!(current_lag_s(&log_of(name)), None, "{name}: it was moved");
    }
}

/// The demo's logs are the moor round with noise, whose heights stand in its cycle file.
#[test]
fn the_demo_climbs_as_the_moor_round_does() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin");
    let round = std::fs::read_to_string(folder.join("moor-round.csv")).unwrap();
    let rows = round.lines().filter(|line| !line.starts_with('#')).skip(1);
    let heights_m: Vec<f64> =
        rows.map(|row| row.split(',').nth(2).unwrap().parse().unwrap()).collect();
    let climb_m: f64 = heights_m.windows(2).map(|two| (two[1] - two[0]).max(0.0)).sum();
    for name in ["moor-round.gpx", "moor-round-phone.csv", "finished-car.csv"] {
        let bytes = std::fs::read(folder.join("logs").join(name)).unwrap();
        let found_m = read(&bytes).unwrap().1.climb_m.unwrap();
        println!("{name} {found_m:.1} {climb_m:.1}");
        assert!((found_m / climb_m - 1.0).abs() < 0.05, "{name}: {found_m} for {climb_m}");
    }
}

#[test]
fn kinds_have_names_of_their_own() {
    for (i, kind) in KINDS.iter().enumerate() {
        assert!(KINDS[i + 1..].iter().all(|other| other.name != kind.name), "{}", kind.name);
    }
}

/// The drive never changes its speed harder than 1.1 m/s²; no log of it may look as if it did by much.
#[test]
fn no_messy_log_brakes_as_no_car_did() {
    let drive = Drive::invented();
    for kind in KINDS.iter().filter(|kind| matches!(kind.truth, Truth::Drive)) {
        let (_, made) = read(&(kind.mess)(&drive)).unwrap_or_else(|error| panic!("{error}"));
        let change = |i: usize| {
            (made.speed_mps[i] - made.speed_mps[i - 1]) / (made.time_s[i] - made.time_s[i - 1])
        };
        let hardest = (1..made.time_s.len()).map(|i| change(i).abs()).fold(0.0, f64::max);
        assert!(hardest < 2.2, "{}: {hardest:.1} m/s²", kind.name);
    }
}
