//! `trips FOLDER [BUILD...] [--worlds N]`: drives every measured trip of a folder with each build, once without knowing the
//! loads of the cabin and once with them, and prints, as JSON, how far the predictions lie from what was measured.

use std::ffi::OsString;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crownwheel_files::Build;
use crownwheel_sweep::Weights;
use crownwheel_tests::score::Pair;
use crownwheel_tests::trips::audits::{Audits, audits};
use crownwheel_tests::trips::log::{MeasuredTrip, read_all};
use crownwheel_tests::trips::predict::{Loads, as_modelled, build_on, driven};
use crownwheel_tests::trips::score::{Split, TripScores, after_two_facts, pair, split};
use serde::Serialize;

/// Worlds of a trip.
const WORLDS: usize = 1000;

/// Everything.
#[derive(Serialize)]
struct TripReport {
    builds: Vec<OfBuild>,
    /// Audits with the last build.
    audit: Audits,
}

/// Scores of a build.
#[derive(Serialize)]
struct OfBuild {
    build: String,
    blind: Split,
    loads_known: Split,
    after_two_facts: TripScores,
    audit: Audits,
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("trips: {error}");
            ExitCode::from(2)
        }
    }
}

#[allow(clippy::print_stdout, reason = "a program whose answer is its lines")]
fn run() -> Result<(), String> {
    let mut arguments = std::env::args_os().skip(1);
    let folder = arguments
        .next()
        .map(PathBuf::from)
        .ok_or("write `trips FOLDER [BUILD...] [--worlds N]`")?;
    let mut rest: Vec<OsString> = arguments.collect();
    let mut worlds = NonZeroUsize::new(WORLDS);
    if let Some(at) = rest.iter().position(|it| it == "--worlds") {
        let said: Vec<OsString> = rest.drain(at..(at + 2).min(rest.len())).collect();
        worlds = said.get(1).and_then(|it| it.to_str()?.parse().ok()).and_then(NonZeroUsize::new);
    }
    let worlds = worlds.ok_or("the number of worlds is a whole number from 1")?;
    let builds = if rest.is_empty() {
        builds_of(&folder)?
    } else {
        rest.into_iter().map(PathBuf::from).collect()
    };
    let trips = read_all(&folder)?;
    let scored = builds.iter().map(|build| of_build(build, &trips, worlds));
    let scored = scored.collect::<Result<Vec<_>, _>>()?;
    let audit = scored.last().map(|last| last.audit.clone()).ok_or("there is no build")?;
    let report = TripReport { builds: scored, audit };
    let json = serde_json::to_string_pretty(&report).map_err(|error| error.to_string())?;
    println!("{json}");
    Ok(())
}

/// Folders of the folder that hold a build.
fn builds_of(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let entries = std::fs::read_dir(folder)
        .map_err(|error| format!("cannot read {}: {error}", folder.display()))?;
    let mut found: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    found.retain(|path| path.join("build.toml").is_file());
    found.sort();
    Ok(found)
}

fn of_build(path: &Path, trips: &[MeasuredTrip], worlds: NonZeroUsize) -> Result<OfBuild, String> {
    let blind = on_each(path, trips, Loads::Blind, |build, trip| driven(build, trip, worlds))?;
    let known = on_each(path, trips, Loads::Known, |build, trip| driven(build, trip, worlds))?;
    let modelled =
        on_each(path, trips, Loads::Known, |build, trip| as_modelled(build, trip, worlds))?;
    let scored = |driven: &[Vec<f64>]| {
        let of = |(trip, values): (&MeasuredTrip, &Vec<f64>)| {
            pair(values, &Weights::equal(values.len()), trip)
        };
        let pairs: Option<Vec<Pair>> = trips.iter().zip(driven).map(of).collect();
        pairs.map(|pairs| split(trips, &pairs)).ok_or("a trip has no prediction")
    };
    Ok(OfBuild {
        build: path.file_name().map_or_else(String::new, |it| it.to_string_lossy().into()),
        blind: scored(&blind)?,
        loads_known: scored(&known)?,
        after_two_facts: after_two_facts(trips, &known, &modelled),
        audit: audits(path, trips)?,
    })
}

/// What a build says of each trip.
fn on_each<T>(
    path: &Path,
    trips: &[MeasuredTrip],
    loads: Loads,
    say: impl Fn(&Build, &MeasuredTrip) -> Result<T, String>,
) -> Result<Vec<T>, String> {
    let one = |trip: &MeasuredTrip| {
        let said = |error: String| format!("{}: {error}", trip.name);
        say(&build_on(path, trip, loads).map_err(said)?, trip).map_err(said)
    };
    trips.iter().map(one).collect()
}
