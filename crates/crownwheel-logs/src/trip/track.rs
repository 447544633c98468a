//! The rows of a log that belong to one trip, and the way along them.

use std::ops::Range;

use super::FEWEST_ROWS;
use super::error::TripError;
use crate::geodesy::Ellipsoid;
use crate::log::{Log, Quantity};
use crate::repairs::{RepairKind, Repairs};

/// A pause without data of this length is cut to [`PAUSE_KEPT_S`], s.
const LONG_PAUSE_S: f64 = 300.0;
/// What is left of a long pause, s.
const PAUSE_KEPT_S: f64 = 10.0;
/// Over a longer gap nobody knows what the car did, s.
const LONGEST_GAP_S: f64 = 3600.0;
/// Mean speed of a gap below which the car stood in it, m/s.
const STOOD_MPS: f64 = 0.5;
/// Shortest gap, s.
const SHORTEST_GAP_S: f64 = 5.0;

/// Rows of one clock. A missing value is NaN.
#[derive(Clone, Debug)]
pub(super) struct Track {
    /// Rows of the log.
    pub(super) rows: Range<usize>,
    /// Time from the first row, s, rising; long pauses are shortened.
    pub(super) time_s: Vec<f64>,
    /// Speed of the log, m/s; all NaN if it has none.
    pub(super) speed_mps: Vec<f64>,
    /// Whether most rows have a speed.
    pub(super) has_speed: bool,
    /// Fixes, degrees; `None` if it has none.
    pub(super) fix_deg: Vec<Option<(f64, f64)>>,
    /// Heights, m.
    pub(super) elevation_m: Option<Vec<f64>>,
    /// Which stand the row belongs to, counted from 1; 0 while the car moves.
    pub(super) stands: Vec<u32>,
    /// The usual step between rows, s.
    pub(super) step_s: f64,
    /// The longest step between rows that is no gap, s.
    pub(super) longest_step_s: f64,
}

impl Track {
    /// The longest stretch of the log on one clock.
    pub(super) fn of(log: &Log, repairs: &mut Repairs) -> Result<Track, TripError> {
        let rows = longest_on_one_clock(log, repairs);
        let column =
            |quantity: Quantity| log.column(quantity).map(|all| all[rows.clone()].to_vec());
        let count = rows.len();
        let first_s = log.time_s[rows.start];
        let time_s: Vec<f64> = log.time_s[rows.clone()].iter().map(|t| t - first_s).collect();
        let speed_mps = column(Quantity::Speed).unwrap_or_else(|| vec![f64::NAN; count]);
        let forwards = |speed: &f64| if *speed < 0.0 { 0.0 } else { *speed };
        let speed_mps: Vec<f64> = speed_mps.iter().map(forwards).collect();
        let with_speed = speed_mps.iter().filter(|speed| !speed.is_nan()).count();
        let fix_deg = match (column(Quantity::Latitude), column(Quantity::Longitude)) {
            (Some(lat), Some(lon)) => lat
                .into_iter()
                .zip(lon)
                .map(|(lat, lon)| (lat.is_finite() && lon.is_finite()).then_some((lat, lon)))
                .collect(),
            _ => vec![None; count],
        };
        let with_fix = fix_deg.iter().flatten().count();
        if with_speed.max(with_fix) < FEWEST_ROWS {
            let rows = with_speed.max(with_fix);
            return Err(TripError::TooFewRows { file: log.name.clone(), rows });
        }
        // Some receivers write a speed of zero all the way.
        let moves = speed_mps.iter().any(|speed| *speed > STOOD_MPS);
        let has_speed = (2 * with_speed >= count && moves) || with_fix < FEWEST_ROWS;
        let step_s = middle_step_s(&time_s);
        let longest_step_s = (5.0 * step_s).clamp(SHORTEST_GAP_S, LONG_PAUSE_S);
        let elevation_m = column(Quantity::Elevation);
        Ok(Track {
            step_s,
            rows,
            stands: vec![0; count],
            elevation_m,
            time_s,
            speed_mps,
            has_speed,
            fix_deg,
            longest_step_s,
        })
    }

    /// Where the speed is from, for people.
    pub(super) fn speed_note(&self) -> &'static str {
        if self.has_speed {
            "Speed is the log's own, smoothed by as much as its noise asks for; the way is its sum over time."
        } else {
            "The log has no speed: it is the way between fixes (geodesic on WGS84) over time, smoothed by as much as its noise asks for."
        }
    }

    /// Way from the first row at every row, m, never falling; gaps and pauses are counted, and long
    /// pauses shortened.
    pub(super) fn follow(&mut self, repairs: &mut Repairs) -> Vec<f64> {
        let by_fixes_m = self.has_fixes().then(|| self.fixes_way_m());
        let by_speed_m = self.has_speed.then(|| self.speed_way_m(by_fixes_m.as_deref()));
        let known_s = if by_fixes_m.is_some() { LONGEST_GAP_S } else { LONG_PAUSE_S };
        let mut way_m = by_speed_m.or(by_fixes_m).unwrap_or_else(|| vec![0.0; self.time_s.len()]);
        self.shorten_gaps(&mut way_m, known_s, repairs);
        way_m
    }

    /// Way between the fixes as they are, m. `None`: there are no fixes.
    pub(super) fn way_by_fixes_m(&self) -> Option<f64> {
        self.has_fixes().then(|| self.fixes_way_m().last().copied()).flatten()
    }

    fn has_fixes(&self) -> bool {
        self.fix_deg.iter().flatten().count() >= FEWEST_ROWS
    }

    /// Way along the fixes; rows without one get it from their neighbours by time. A standing car
    /// gets nowhere.
    fn fixes_way_m(&self) -> Vec<f64> {
        let earth = Ellipsoid::wgs84();
        let mut way_m = vec![f64::NAN; self.time_s.len()];
        let mut last: Option<(usize, (f64, f64))> = None;
        let mut sum_m = 0.0;
        for (i, fix) in self.fix_deg.iter().enumerate() {
            let Some(fix) = fix else { continue };
            let mut kept = *fix;
            if let Some((before, from)) = last {
                if self.stands[i] > 0 && self.stands[before] == self.stands[i] {
                    // Its first fix stands for all, so that wandering does not add up.
                    kept = from;
                } else {
                    sum_m += earth.distance_m(from, *fix);
                }
            }
            way_m[i] = sum_m;
            last = Some((i, kept));
        }
        fill_by_time(&self.time_s, &mut way_m);
        way_m
    }

    /// Way as the sum of speed over time; over a gap it is the way between the fixes if there are
    /// any.
    fn speed_way_m(&self, by_fixes_m: Option<&[f64]>) -> Vec<f64> {
        let mut way_m = vec![0.0; self.time_s.len()];
        for i in 1..way_m.len() {
            let dt_s = self.time_s[i] - self.time_s[i - 1];
            let by_speed_m = 0.5 * (self.speed_mps[i - 1] + self.speed_mps[i]) * dt_s;
            let step_m = match by_fixes_m {
                Some(fixes_m) if dt_s > self.longest_step_s => fixes_m[i] - fixes_m[i - 1],
                _ => by_speed_m,
            };
            way_m[i] = way_m[i - 1] + step_m;
        }
        way_m
    }

    /// Counts gaps. Long pauses are shortened, and so are gaps longer than `known_s`, whose way is
    /// left out.
    fn shorten_gaps(&mut self, way_m: &mut [f64], known_s: f64, repairs: &mut Repairs) {
        let (mut cut_s, mut cut_m) = (0.0, 0.0);
        for i in 1..way_m.len() {
            let dt_s = self.time_s[i] - cut_s - self.time_s[i - 1];
            let ds_m = way_m[i] - cut_m - way_m[i - 1];
            let stood = ds_m < STOOD_MPS * dt_s;
            if stood && dt_s > LONG_PAUSE_S {
                cut_s += dt_s - PAUSE_KEPT_S;
                repairs.add(RepairKind::Pauses, 1);
            } else if dt_s > known_s {
                cut_s += dt_s - PAUSE_KEPT_S;
                cut_m += ds_m;
                repairs.add(RepairKind::LongGaps, 1);
            } else if dt_s > self.longest_step_s {
                repairs.add(RepairKind::Gaps, 1);
            }
            self.time_s[i] -= cut_s;
            way_m[i] -= cut_m;
        }
    }
}

fn longest_on_one_clock(log: &Log, repairs: &mut Repairs) -> Range<usize> {
    let mut stretches: Vec<Range<usize>> = Vec::new();
    for part in &log.parts {
        match stretches.last_mut() {
            Some(last) if !part.clock_restarted => last.end = part.rows.end,
            _ => stretches.push(part.rows.clone()),
        }
    }
    let left_out = stretches.len().saturating_sub(1);
    repairs.add(RepairKind::PartsLeftOut, u64::try_from(left_out).unwrap_or(u64::MAX));
    // The first of equals, so that the choice does not depend on anything else.
    stretches.into_iter().rev().max_by_key(Range::len).unwrap_or(0..log.len())
}

/// The step between rows that stands in the middle of all, s.
pub(crate) fn middle_step_s(time_s: &[f64]) -> f64 {
    let mut steps: Vec<f64> = time_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied().unwrap_or(1.0)
}

/// Fills missing values by straight lines in time, and holds the first and last at the ends.
pub(super) fn fill_by_time(time_s: &[f64], values: &mut [f64]) {
    let known: Vec<usize> = (0..values.len()).filter(|i| !values[*i].is_nan()).collect();
    let (Some(&first), Some(&last)) = (known.first(), known.last()) else { return };
    let (first_value, last_value) = (values[first], values[last]);
    values[..first].fill(first_value);
    values[last + 1..].fill(last_value);
    for pair in known.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let (t0, t1, v0, v1) = (time_s[from], time_s[to], values[from], values[to]);
        for i in from + 1..to {
            values[i] = v0 + (v1 - v0) * (time_s[i] - t0) / (t1 - t0);
        }
    }
}
