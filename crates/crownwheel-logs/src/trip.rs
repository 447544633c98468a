//! A log as a drive cycle: by time or by distance, with gradient.
//!
//! The way is the log's speed over time if it has a speed, else the geodesic between its fixes.
//! Standing is made to stand, gaps are bridged so that way and time stay what they were, and height
//! is smoothed over distance. A log without times is a route, driven at a speed that is given.

mod answer;
mod clean;
mod drift;
mod error;
mod frozen;
mod graduate;
mod grid;
mod profile;
mod route;
mod smooth;
mod track;
mod write;

pub use answer::{repair_lines, trip_answer};
pub use error::TripError;
pub use route::route;
pub use write::CycleAxis;

pub(crate) use grid::line_at;
pub(crate) use track::middle_step_s;

use crate::log::{Log, Quantity};
use crate::repairs::{RepairKind, Repairs};
use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::road_load::Slope;
use grid::Grid;
use profile::Profile;
use track::Track;

/// Fewest rows of a trip.
const FEWEST_ROWS: usize = 3;

/// Shortest way that is a trip, m.
pub const SHORTEST_TRIP_M: f64 = 100.0;

/// Way between two rows below which their difference of height says nothing, m.
const LEVEL_WITHIN_M: f64 = 0.5;

/// Way by speed against way by fixes that is worth a sentence.
const WAYS_DIFFER: f64 = 0.03;

/// A trip, cleaned. Columns are as long as each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Trip {
    /// Name, for the cycle.
    pub name: String,
    /// Time, s from 0, rising. Of a route it is what its speed gives.
    pub time_s: Vec<f64>,
    /// Way, m from 0.
    pub distance_m: Vec<f64>,
    /// Speed, m/s.
    pub speed_mps: Vec<f64>,
    /// Height, smoothed over distance, m. `None`: the log has none.
    pub elevation_m: Option<Vec<f64>>,
    /// Metres uphill of the heights as they were read.
    pub climb_raw_m: Option<f64>,
    /// Metres uphill after smoothing.
    pub climb_m: Option<f64>,
    /// Everything that was repaired, in reading and in cleaning.
    pub repairs: Repairs,
    /// What was taken for granted, a sentence each.
    pub notes: Vec<String>,
    /// Noise of the speeds before smoothing, from second to second, m/s.
    pub noise_mps: f64,
    /// There were no times: the speed was given.
    pub is_route: bool,
    /// Times and rows of the log behind the trip, for columns that go with it.
    track: Option<(Vec<f64>, std::ops::Range<usize>)>,
}

/// Makes a trip of a log with times.
///
/// # Errors
/// [`TripError`] if the log has too little in it.
pub fn trip(log: &Log) -> Result<Trip, TripError> {
    let mut repairs = log.repairs.clone();
    let mut notes = log.notes.clone();
    let mut track = Track::of(log, &mut repairs)?;
    let climb_raw_m = track.elevation_m.as_deref().map(profile::climb_m);
    clean::clean(&mut track, &mut repairs);
    let way_m = track.follow(&mut repairs);
    if !way_m.last().is_some_and(|way_m| *way_m >= SHORTEST_TRIP_M) {
        return Err(TripError::TooShort {
            file: log.name.clone(),
            distance_m: way_m.last().copied().unwrap_or_default(),
        });
    }
    if repairs.count(RepairKind::LongGaps) == 0 {
        notes.extend(note_ways(&track, &way_m));
    }
    notes.push(track.speed_note().to_owned());
    let profile = Profile::of(&way_m, track.elevation_m.as_deref(), &mut repairs);
    let grid = Grid::of(&track, &way_m);
    repairs.add(RepairKind::HardChanges, grid.held);
    let elevation_m =
        profile.as_ref().map(|profile| grid.way_m.iter().map(|s| profile.at(*s)).collect());
    if elevation_m.is_none() {
        notes.push("The log has no heights: the trip is taken as flat.".to_owned());
    }
    Ok(Trip {
        name: stem(&log.name),
        time_s: grid.time_s,
        distance_m: grid.way_m,
        noise_mps: grid.noise_mps,
        speed_mps: grid.speed_mps,
        elevation_m,
        climb_raw_m: climb_raw_m.filter(|_| profile.is_some()),
        climb_m: profile.as_ref().map(Profile::climb_m),
        repairs,
        notes,
        is_route: false,
        track: Some((track.time_s, track.rows)),
    })
}

/// Name of a file without folder and ending.
fn stem(name: &str) -> String {
    let stem = std::path::Path::new(name).file_stem().and_then(|stem| stem.to_str());
    stem.unwrap_or("trip").to_owned()
}

fn note_ways(track: &Track, way_m: &[f64]) -> Option<String> {
    let by_fixes_m = track.way_by_fixes_m()?;
    let by_speed_m = *way_m.last()?;
    let ratio = by_speed_m / by_fixes_m;
    let differs =
        track.has_speed && by_fixes_m > SHORTEST_TRIP_M && (ratio - 1.0).abs() > WAYS_DIFFER;
    differs.then(|| {
        format!(
            "The way by the log's speed is {:.1} km, between its fixes {:.1} km: the speed may be {:.0} % {}.",
            by_speed_m / 1000.0,
            by_fixes_m / 1000.0,
            100.0 * (ratio - 1.0).abs(),
            if ratio > 1.0 { "too high" } else { "too low" }
        )
    })
}

impl Trip {
    /// Way, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.distance_m.last().copied().unwrap_or_default()
    }

    /// Time, s.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.time_s.last().copied().unwrap_or_default()
    }

    /// Gradient, rise over run, of the interval that ends at each row. `None`: there are no heights.
    #[must_use]
    pub fn grade_frac(&self) -> Option<Vec<f64>> {
        let height_m = self.elevation_m.as_ref()?;
        let grade = |i: usize| {
            let (from, to) = (i.saturating_sub(1), i);
            let way_m = self.distance_m[to] - self.distance_m[from];
            if way_m < LEVEL_WITHIN_M {
                return 0.0;
            }
            Slope::from_sin((height_m[to] - height_m[from]) / way_m).grade_frac()
        };
        Some((0..height_m.len()).map(grade).collect())
    }

    /// The trip as a cycle by time.
    ///
    /// # Errors
    /// [`TripError::NotDrivable`] if the core refuses it.
    pub fn cycle(&self) -> Result<Cycle, TripError> {
        let samples = Samples::ByTime {
            time_s: self.time_s.clone(),
            speed_mps: self.speed_mps.clone(),
            grade: self.grade_frac().map_or(Grade::Flat, Grade::Frac),
        };
        Cycle::new(&self.name, &samples).map_err(|error| {
            let time_s = self.time_s.get(error.row).copied().unwrap_or_default();
            TripError::NotDrivable { file: self.name.clone(), time_s, error }
        })
    }

    /// A column of the log at the times of the trip: the mean of the readings within half a second,
    /// else a straight line between neighbours up to `reach_s` away, else NaN.
    #[must_use]
    pub fn column(&self, log: &Log, quantity: Quantity, reach_s: f64) -> Option<Vec<f64>> {
        let (time_s, rows) = self.track.as_ref()?;
        let values = log.column(quantity)?.get(rows.clone())?;
        Some(grid::resampled(time_s, values, &self.time_s, reach_s))
    }
}
