//! Rows in which the receiver stood and the car did not: a fix that is repeated or lost, with 0 km/h
//! beside it, from which the car then jumps away.

use super::track::Track;
use crate::geodesy::Ellipsoid;
use crate::repairs::{RepairKind, Repairs};

/// Fewest rows of that.
const FEWEST: usize = 2;
/// Shortest jump, m.
const JUMP_M: f64 = 50.0;
/// Fixes behind the rows by the last of which the jump is known to last.
const FIXES_AFTER: usize = 6;
/// How many times further than its speeds allow the car has come.
const TIMES_FURTHER: f64 = 2.0;
/// Change of speed by which a log without fixes shows it, on both sides, m/s².
const NO_CAR_MPS2: f64 = 10.0;

/// Takes such rows as a gap: between their ends the car drives as far as its fixes say, or as fast as
/// before and after.
pub(super) fn bridge(track: &mut Track, repairs: &mut Repairs) {
    for (first, end) in still_runs(track) {
        let Some(speed_mps) = speed_of_gap(track, first, end) else { continue };
        for i in first..end {
            track.speed_mps[i] = speed_mps;
            track.fix_deg[i] = None;
            if let Some(height_m) = &mut track.elevation_m {
                height_m[i] = f64::NAN;
            }
        }
        repairs.add(RepairKind::FrozenRows, u64::try_from(end - first).unwrap_or(u64::MAX));
    }
}

/// Runs of rows, with one before and one behind, in which nothing moves: first and end.
fn still_runs(track: &Track) -> Vec<(usize, usize)> {
    let count = track.time_s.len();
    let mut runs = Vec::new();
    let mut first = 1;
    while first < count {
        let last_fix = track.fix_deg[..first].iter().rev().find_map(|fix| *fix);
        let still = |i: &usize| {
            let fix = track.fix_deg[*i].is_none_or(|fix| Some(fix) == last_fix);
            let speed = !track.has_speed || track.speed_mps[*i] <= 0.0;
            fix && speed
        };
        let end = (first..count).take_while(still).last().map_or(first, |last| last + 1);
        if end - first >= FEWEST && end < count {
            runs.push((first, end));
        }
        first = end + 1;
    }
    runs
}

/// Mean speed of the car while the receiver stood, m/s. `None`: the car may well have stood too.
fn speed_of_gap(track: &Track, first: usize, end: usize) -> Option<f64> {
    let (before, after) = (first - 1, end);
    let step_s = |i: usize| track.time_s[i] - track.time_s[i - 1];
    let ends_s = step_s(first) + step_s(end);
    if let (Some(from), Some(to)) = (track.fix_deg[before], track.fix_deg[after]) {
        let way_m = Ellipsoid::wgs84().distance_m(from, to);
        let fastest_mps = speed_at(track, before, false).max(speed_at(track, after, true));
        // One fix that jumps away and back is another matter.
        let later = track.fix_deg[after..].iter().flatten().take(FIXES_AFTER).last();
        let stays = later.is_some_and(|fix| Ellipsoid::wgs84().distance_m(from, *fix) > JUMP_M);
        let further = stays && way_m > JUMP_M && way_m > TIMES_FURTHER * fastest_mps * ends_s;
        return further.then(|| way_m / (track.time_s[after] - track.time_s[before]));
    }
    let speeds = [track.speed_mps[before], track.speed_mps[after]];
    let hard = speeds[0] > NO_CAR_MPS2 * step_s(first) && speeds[1] > NO_CAR_MPS2 * step_s(end);
    hard.then(|| f64::midpoint(speeds[0], speeds[1]))
}

/// Speed of a row, by its fixes on the far side of the run if the log has none.
fn speed_at(track: &Track, row: usize, forwards: bool) -> f64 {
    if track.has_speed {
        return track.speed_mps[row].max(0.0);
    }
    let beside = if forwards { Some(row + 1) } else { row.checked_sub(1) };
    let fix = |i: usize| track.fix_deg.get(i).copied().flatten();
    match beside.map(|beside| (beside, fix(row), fix(beside))) {
        Some((beside, Some(here), Some(there))) => {
            Ellipsoid::wgs84().distance_m(here, there)
                / (track.time_s[beside] - track.time_s[row]).abs()
        }
        _ => 0.0,
    }
}
