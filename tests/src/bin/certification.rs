//! `certification FILE.csv [WORLDS] [--bars]`: predicts the energy at the wall of every car of a
//! certification file and prints, as JSON, how far the predictions lie from what was measured. With
//! `--bars` it ends with 1 if they lie farther than the project allows itself.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::num::NonZeroUsize;
use std::path::Path;
use std::process::ExitCode;

use crownwheel_tests::certification::car;
use crownwheel_tests::certification::predict::DrivenCar;
use crownwheel_tests::certification::report::{Outcome, Report};
use crownwheel_tests::certification::rows::{Test, Vehicle, read};

/// Worlds of a car: once the other cycle is known a fifth of them still counts, and the median of those
/// is to be steady.
const WORLDS: usize = 8000;

fn main() -> ExitCode {
    match run() {
        Ok(missed) if missed.is_empty() => ExitCode::SUCCESS,
        Ok(missed) => {
            missed.iter().for_each(|missed| eprintln!("certification: {missed}"));
            ExitCode::FAILURE
        }
        Err(error) => {
            eprintln!("certification: {error}");
            ExitCode::from(2)
        }
    }
}

/// Prints the scores. What they miss of the bars, where that is asked.
#[allow(clippy::print_stdout, reason = "a program whose answer is its lines")]
fn run() -> Result<Vec<String>, String> {
    let (flags, rest): (Vec<OsString>, Vec<OsString>) =
        std::env::args_os().skip(1).partition(|argument| argument == "--bars");
    let (file, worlds) = match rest.as_slice() {
        [file] => (file, Some(WORLDS)),
        [file, worlds] => (file, worlds.to_str().and_then(|text| text.parse().ok())),
        _ => return Err("write `certification FILE.csv [WORLDS] [--bars]`".to_owned()),
    };
    let worlds = worlds
        .and_then(NonZeroUsize::new)
        .ok_or("the number of worlds is a whole number from 1")?;
    let vehicles = read(Path::new(&file))
        .map_err(|error| format!("cannot read {}: {error}", Path::new(&file).display()))?;
    let outcomes = predict(&vehicles, worlds)?;
    let report = Report::of(&outcomes);
    let json = serde_json::to_string_pretty(&report).map_err(|error| error.to_string())?;
    println!("{json}");
    Ok(if flags.is_empty() { Vec::new() } else { report.missed() })
}

/// Drives every car once; cars that are alike share what was driven.
fn predict(vehicles: &[Vehicle], worlds: NonZeroUsize) -> Result<Vec<Outcome>, String> {
    let mut driven: BTreeMap<(usize, String), DrivenCar> = BTreeMap::new();
    let mut outcomes = Vec::new();
    for vehicle in vehicles {
        let Some(first) = vehicle.rows.first() else { continue };
        let of_car = |error: String| format!("{}: {error}", first.vehicle_id);
        let like = (vehicle.group, first.etw_lb.clone());
        if !driven.contains_key(&like) {
            let build = car::build(first).map_err(|report| of_car(report.to_string()))?;
            let new = DrivenCar::new(&build, worlds).map_err(of_car)?;
            driven.insert(like.clone(), new);
        }
        for (test, other) in [(Test::Urban, Test::Highway), (Test::Highway, Test::Urban)] {
            outcomes.extend(Outcome::all(vehicle, test, other, &driven[&like]).map_err(of_car)?);
        }
    }
    Ok(outcomes)
}
