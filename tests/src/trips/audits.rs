//! What `audit` says of the measured trips, as they are and with a fault put into their amperes.

use std::collections::BTreeMap;
use std::path::Path;

use crownwheel_logs::ReadOptions;
use crownwheel_logs::audit::{Audit, AuditOptions, Cause, CauseAmount, audit};
use crownwheel_logs::read::read_log_from;
use serde::Serialize;

use super::log::MeasuredTrip;
use super::predict::{Loads, build_on};

/// Constant force that is put in, N.
const FORCE_N: f64 = 120.0;

/// Constant power that is put in, W.
const LOAD_W: f64 = 600.0;

/// Measured over predicted from which a difference cannot be the build's.
const OVER: f64 = 1.25;

/// Electric power for power at the wheels (engineering judgement).
const ELECTRIC_PER_WHEEL: f64 = 1.0 / 0.9;

/// How often each explanation came first.
pub type Firsts = BTreeMap<String, usize>;

/// How often each explanation came first, with heater and air conditioning in the log but where it says otherwise.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Audits {
    /// Folder of the build.
    pub build: String,
    /// As measured.
    pub nothing: Firsts,
    /// With 120 N more at the wheels.
    pub force_120_n: Firsts,
    /// With 600 W more.
    pub load_600_w: Firsts,
    /// As measured, without the columns of the cabin, of a build without a cabin.
    pub heater_unknown: Firsts,
    /// Those of them in which more than a quarter more was measured than predicted.
    pub heater_unknown_over_25_pct: Firsts,
    /// Trips that cannot be audited.
    pub refused: usize,
}

/// Audits every trip with a build.
///
/// # Errors
/// A build or a log that cannot be read, in words.
pub fn audits(build: &Path, trips: &[MeasuredTrip]) -> Result<Audits, String> {
    let name = build.file_name().map_or_else(String::new, |it| it.to_string_lossy().into());
    let mut all = Audits { build: name, ..Audits::default() };
    for trip in trips {
        let with = |more_w: &dyn Fn(f64) -> f64, cabin| judged(build, trip, more_w, cabin);
        let [Some(nothing), Some(force), Some(load), Some(blind)] = [
            with(&|_| 0.0, Cabin::Logged)?,
            with(&|speed_mps| FORCE_N * speed_mps * ELECTRIC_PER_WHEEL, Cabin::Logged)?,
            with(&|_| LOAD_W, Cabin::Logged)?,
            with(&|_| 0.0, Cabin::LeftOut)?,
        ] else {
            all.refused += 1;
            continue;
        };
        count(&mut all.nothing, &nothing);
        count(&mut all.force_120_n, &force);
        count(&mut all.load_600_w, &load);
        count(&mut all.heater_unknown, &blind);
        if blind.measured_j > OVER * blind.predicted_j {
            count(&mut all.heater_unknown_over_25_pct, &blind);
        }
    }
    Ok(all)
}

fn count(firsts: &mut Firsts, audit: &Audit) {
    let first = audit.judged.first().map(|judged| name(&judged.causes));
    *firsts.entry(first.unwrap_or_default()).or_default() += 1;
}

/// What the log says of heater and air conditioning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cabin {
    Logged,
    LeftOut,
}

/// The audit with `more_w` put in. `None`: the log cannot be audited.
fn judged(
    build: &Path,
    trip: &MeasuredTrip,
    more_w: &dyn Fn(f64) -> f64,
    cabin: Cabin,
) -> Result<Option<Audit>, String> {
    let build = build_on(build, trip, Loads::Nothing)?;
    let text = with_more(&trip.path, more_w, cabin)?;
    let log = read_log_from(&trip.name, text.as_slice(), &ReadOptions::default());
    let log = log.map_err(|error| error.to_string())?;
    let options = AuditOptions { start_charge_frac: Some(trip.charge_pct / 100.0) };
    Ok(audit(&log, &build, &build.days[0], &options).ok())
}

fn name(causes: &[CauseAmount]) -> String {
    let one = |found: &CauseAmount| match found.cause {
        Cause::StandingLoads => "standing_loads",
        Cause::Heater => "heater",
        Cause::ConstantForce => "constant_force",
        Cause::DragArea => "drag_area",
        Cause::Regeneration => "regeneration",
        Cause::PackResistance => "pack_resistance",
    };
    if causes.is_empty() {
        return "as_the_build_says".to_owned();
    }
    causes.iter().map(one).collect::<Vec<_>>().join(" and ")
}

/// A log with more power in its amperes.
fn with_more(path: &Path, more_w: &dyn Fn(f64) -> f64, cabin: Cabin) -> Result<Vec<u8>, String> {
    let said = |error: csv::Error| format!("{}: {error}", path.display());
    let mut reader = csv::Reader::from_path(path).map_err(said)?;
    let head = reader.headers().map_err(said)?.clone();
    let place = |name: &str| {
        let found = head.iter().position(|known| known == name);
        found.ok_or_else(|| format!("{}: no column {name}", path.display()))
    };
    let (speed, volts, amperes) = (place("speed_kmh")?, place("pack_v")?, place("pack_a")?);
    let mut writer = csv::Writer::from_writer(Vec::new());
    let is_cabin = |at: usize| ["heater_w", "aircon_w"].contains(&head.get(at).unwrap_or_default());
    let kept: Vec<usize> =
        (0..head.len()).filter(|at| cabin == Cabin::Logged || !is_cabin(*at)).collect();
    writer.write_record(kept.iter().filter_map(|at| head.get(*at))).map_err(said)?;
    for record in reader.records() {
        let record = record.map_err(said)?;
        let of = |at: usize| record.get(at).and_then(|it| it.parse().ok()).unwrap_or(f64::NAN);
        let more_a = more_w(of(speed) / 3.6) / of(volts);
        let changed = format!("{:.3}", of(amperes) + more_a);
        let cell = |at: &usize| if *at == amperes { Some(&*changed) } else { record.get(*at) };
        let cells = kept.iter().filter_map(cell);
        writer.write_record(cells).map_err(said)?;
    }
    writer.into_inner().map_err(|error| error.to_string())
}
