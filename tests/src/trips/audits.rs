//! What `audit` says of the measured trips, as they are and with a fault put into their amperes.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crownwheel_logs::audit::{AuditOptions, Cause, audit};
use crownwheel_logs::{ReadOptions, read_log};
use serde::Serialize;

use super::log::MeasuredTrip;
use super::predict::{Loads, build_on};

/// Constant force that is put in, N.
const FORCE_N: f64 = 120.0;

/// Constant power that is put in, W.
const LOAD_W: f64 = 600.0;

/// Electric power for power at the wheels (engineering judgement).
const ELECTRIC_PER_WHEEL: f64 = 1.0 / 0.9;

/// How often each cause came first, with the loads of the cabin known.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Audits {
    /// Folder of the build.
    pub build: String,
    /// As measured.
    pub nothing: BTreeMap<&'static str, usize>,
    /// With 120 N more at the wheels.
    pub force_120_n: BTreeMap<&'static str, usize>,
    /// With 600 W more.
    pub load_600_w: BTreeMap<&'static str, usize>,
    /// Trips that cannot be audited.
    pub refused: usize,
}

/// Audits every trip with the last of the builds.
///
/// # Errors
/// A build or a log that cannot be read, in words.
pub fn audits(builds: &[PathBuf], trips: &[MeasuredTrip]) -> Result<Audits, String> {
    let Some(build) = builds.last() else { return Ok(Audits::default()) };
    let name = build.file_name().map_or_else(String::new, |it| it.to_string_lossy().into());
    let mut audits = Audits { build: name, ..Audits::default() };
    for trip in trips {
        let nothing = first(build, trip, |_| 0.0)?;
        let force = first(build, trip, |speed_mps| FORCE_N * speed_mps * ELECTRIC_PER_WHEEL)?;
        let load = first(build, trip, |_| LOAD_W)?;
        for (cause, of) in [
            (nothing, &mut audits.nothing),
            (force, &mut audits.force_120_n),
            (load, &mut audits.load_600_w),
        ] {
            match cause {
                Some(cause) => *of.entry(cause).or_default() += 1,
                None => audits.refused += 1,
            }
        }
    }
    Ok(audits)
}

/// The cause that comes first with `more_w` put in. `None`: the log cannot be audited.
fn first(
    build: &Path,
    trip: &MeasuredTrip,
    more_w: impl Fn(f64) -> f64,
) -> Result<Option<&'static str>, String> {
    let build = build_on(build, trip, Loads::Known)?;
    let text = with_more(&trip.path, more_w)?;
    let file = std::env::temp_dir().join(format!("crownwheel-trips-{}.csv", std::process::id()));
    std::fs::write(&file, text).map_err(|error| error.to_string())?;
    let log = read_log(&file, &ReadOptions::default());
    std::fs::remove_file(&file).map_err(|error| error.to_string())?;
    let log = log.map_err(|error| error.to_string())?;
    let options = AuditOptions { start_charge_frac: Some(trip.charge_pct / 100.0) };
    let found = audit(&log, &build, &build.days[0], &options);
    Ok(found.ok().and_then(|found| found.judged.first().map(|judged| name(judged.cause))))
}

fn name(cause: Option<Cause>) -> &'static str {
    match cause {
        None => "as_the_build_says",
        Some(Cause::StandingLoads) => "standing_loads",
        Some(Cause::ConstantForce) => "constant_force",
        Some(Cause::DragArea) => "drag_area",
        Some(Cause::Regeneration) => "regeneration",
        Some(Cause::PackResistance) => "pack_resistance",
    }
}

/// A log with more power in its amperes.
fn with_more(path: &Path, more_w: impl Fn(f64) -> f64) -> Result<Vec<u8>, String> {
    let said = |error: csv::Error| format!("{}: {error}", path.display());
    let mut reader = csv::Reader::from_path(path).map_err(said)?;
    let head = reader.headers().map_err(said)?.clone();
    let place = |name: &str| {
        let found = head.iter().position(|known| known == name);
        found.ok_or_else(|| format!("{}: no column {name}", path.display()))
    };
    let (speed, volts, amperes) = (place("speed_kmh")?, place("pack_v")?, place("pack_a")?);
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&head).map_err(said)?;
    for record in reader.records() {
        let record = record.map_err(said)?;
        let of = |at: usize| record.get(at).and_then(|it| it.parse().ok()).unwrap_or(f64::NAN);
        let more_a = more_w(of(speed) / 3.6) / of(volts);
        let changed = format!("{:.3}", of(amperes) + more_a);
        let cells = record.iter().enumerate();
        let cells = cells.map(|(at, cell)| if at == amperes { changed.as_str() } else { cell });
        writer.write_record(cells).map_err(said)?;
    }
    writer.into_inner().map_err(|error| error.to_string())
}
