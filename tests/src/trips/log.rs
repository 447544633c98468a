//! One measured trip: the log as `trip` reads it, and what else its columns say.

use std::path::{Path, PathBuf};

use crownwheel::cycle::Cycle;
use crownwheel_logs::trip::trip;
use crownwheel_logs::{ReadOptions, read_log};

use crate::certification::rows::count;

/// A column that may be missing.
type Column = Option<usize>;

/// A measured trip.
#[derive(Clone, Debug)]
pub struct MeasuredTrip {
    /// File.
    pub path: PathBuf,
    /// Name without ending.
    pub name: String,
    /// What was driven.
    pub cycle: Cycle,
    /// Way by the car's speed, km.
    pub way_km: f64,
    /// Time, s.
    pub seconds: f64,
    /// Net energy at the pack's terminals over the way, Wh/km.
    pub use_wh_per_km: f64,
    /// Mean of heater and air conditioning, W.
    pub loads_w: f64,
    /// Outside temperature, mean, °C.
    pub outside_c: f64,
    /// Temperature of the pack at the start, °C.
    pub pack_c: f64,
    /// Charge at the start, %.
    pub charge_pct: f64,
}

impl MeasuredTrip {
    /// Reads a log.
    ///
    /// # Errors
    /// What is wrong with the file, in words.
    pub fn read(path: &Path) -> Result<MeasuredTrip, String> {
        let name = path.file_stem().map_or_else(String::new, |it| it.to_string_lossy().into());
        let log = read_log(path, &ReadOptions::default()).map_err(|error| error.to_string())?;
        let cleaned = trip(&log).map_err(|error| error.to_string())?;
        let cycle = cleaned.cycle().map_err(|error| error.to_string())?;
        let rows = LogRows::read(path)?;
        let (way_m, seconds) = (rows.integral(|row| row.speed_kmh / 3.6), rows.seconds());
        let joules = rows.mean(|row| row.volts * row.amperes) * seconds;
        Ok(MeasuredTrip {
            path: path.to_owned(),
            name,
            cycle,
            way_km: way_m / 1000.0,
            seconds,
            use_wh_per_km: joules / 3.6 / way_m,
            loads_w: rows.mean(|row| row.loads_w),
            outside_c: rows.mean(|row| row.outside_c),
            pack_c: rows.first.pack_c,
            charge_pct: rows.first.charge_pct,
        })
    }

    /// Mean speed, km/h.
    #[must_use]
    pub fn mean_kmh(&self) -> f64 {
        self.way_km / self.seconds * 3600.0
    }
}

/// One row of a log.
#[derive(Clone, Copy, Debug, Default)]
struct LogRow {
    time_s: f64,
    speed_kmh: f64,
    volts: f64,
    amperes: f64,
    charge_pct: f64,
    outside_c: f64,
    pack_c: f64,
    loads_w: f64,
}

struct LogRows {
    first: LogRow,
    rows: Vec<LogRow>,
}

impl LogRows {
    fn read(path: &Path) -> Result<LogRows, String> {
        let said = |error: csv::Error| format!("{}: {error}", path.display());
        let mut reader = csv::Reader::from_path(path).map_err(said)?;
        let head = reader.headers().map_err(said)?.clone();
        let place = |name: &str| head.iter().position(|known| known == name);
        let places = [
            "time_s",
            "speed_kmh",
            "pack_v",
            "pack_a",
            "charge_pct",
            "outside_temp_c",
            "pack_temp_c",
            "heater_w",
            "aircon_w",
        ]
        .map(place);
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(said)?;
            let of = |column: Column| -> f64 {
                column.and_then(|at| record.get(at)?.parse().ok()).unwrap_or(f64::NAN)
            };
            let [time, speed, volts, amperes, charge, outside, pack, heater, aircon] =
                places.map(of);
            rows.push(LogRow {
                time_s: time,
                speed_kmh: speed,
                volts,
                amperes,
                charge_pct: charge,
                outside_c: outside,
                pack_c: pack,
                loads_w: heater + aircon,
            });
        }
        let first = rows.first().copied().ok_or_else(|| format!("{}: no rows", path.display()))?;
        Ok(LogRows { first, rows })
    }

    fn seconds(&self) -> f64 {
        self.rows.last().map_or(0.0, |last| last.time_s - self.first.time_s)
    }

    fn mean(&self, of: impl Fn(&LogRow) -> f64) -> f64 {
        let known: Vec<f64> = self.rows.iter().map(of).filter(|value| value.is_finite()).collect();
        known.iter().sum::<f64>() / count(self.rows.len())
    }

    /// Integral over time by the trapezium rule.
    fn integral(&self, of: impl Fn(&LogRow) -> f64) -> f64 {
        let pair = |pair: &[LogRow]| {
            0.5 * (of(&pair[0]) + of(&pair[1])) * (pair[1].time_s - pair[0].time_s)
        };
        self.rows.windows(2).map(pair).sum()
    }
}

/// The logs of a folder, or of its folder `trips`, in the order of their names.
///
/// # Errors
/// The folder cannot be read, or a log in it cannot.
pub fn read_all(folder: &Path) -> Result<Vec<MeasuredTrip>, String> {
    let inner = folder.join("trips");
    let folder = if inner.is_dir() { inner } else { folder.to_owned() };
    let entries = std::fs::read_dir(&folder)
        .map_err(|error| format!("cannot read {}: {error}", folder.display()))?;
    let mut paths: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.retain(|path| {
        path.extension().is_some_and(|it| it == "csv")
            && path.file_name().is_some_and(|it| it != "trips.csv")
    });
    paths.sort();
    paths.iter().map(|path| MeasuredTrip::read(path)).collect()
}
