//! Spikes and standstill: what no car does.

use super::track::Track;
use super::{drift, frozen};
use crate::geodesy::Ellipsoid;
use crate::repairs::{RepairKind, Repairs};

/// Speed that no car of ours reaches, m/s (252 km/h).
const NO_CAR_MPS: f64 = 70.0;
/// A fix that is this much faster to reach and to leave than its neighbours from each other is
/// wrong, m/s.
const DETOUR_MPS: f64 = 15.0;
/// Hardest acceleration that a wrong fix is compared with, m/s².
const HARDEST_MPS2: f64 = 12.0;
/// Shortest detour of a wrong fix, m.
const DETOUR_M: f64 = 30.0;
/// Fixes in a row that may be wrong; more, and the car is there.
const WRONG_IN_A_ROW: usize = 30;
/// Difference of a speed from the middle of five that is wrong, m/s.
const SPEED_SPIKE_MPS: f64 = 5.0;
/// Difference of a height from the middle of five that is wrong, m.
const HEIGHT_SPIKE_M: f64 = 20.0;
/// Longest step between heights that are compared for that, s: in a longer one there may be a hill.
const HEIGHT_STEP_S: f64 = 5.0;
/// Below this speed a car creeps or stands, m/s (2.5 km/h).
const CREEP_MPS: f64 = 0.7;
/// Shortest time of creeping that is standing, s.
const SHORTEST_STAND_S: f64 = 3.0;
/// Fixes within this radius for [`STAND_BY_FIXES_S`] are a standing car, m.
const WANDER_M: f64 = 8.0;
/// How many times further than half of them a fix of a standing car may be from their middle.
const TIMES_WANDER: f64 = 2.5;
/// The same at least, m.
const LEAST_WANDER_M: f64 = 0.5;
/// Time for that, s.
const STAND_BY_FIXES_S: f64 = 8.0;
/// Fewest fixes for that: two or three far apart in time may be a short move.
const STAND_BY_FIXES: usize = 4;

/// Leaves out what no car does and marks where it stands.
pub(super) fn clean(track: &mut Track, repairs: &mut Repairs) {
    frozen::bridge(track, repairs);
    let wrong = position_spikes(track);
    repairs.add(RepairKind::PositionSpikes, wrong);
    if track.has_speed {
        let times = &track.time_s;
        let wrong = spikes(times, &mut track.speed_mps, SPEED_SPIKE_MPS, track.longest_step_s);
        repairs.add(RepairKind::SpeedSpikes, wrong);
        let missing = track.speed_mps.iter().filter(|speed| speed.is_nan()).count();
        let missing = u64::try_from(missing).unwrap_or(u64::MAX);
        repairs.add(RepairKind::MissingSpeed, missing.saturating_sub(wrong));
        super::track::fill_by_time(&track.time_s, &mut track.speed_mps);
        stand_by_speed(track, repairs);
    } else {
        stand_by_fixes(track, repairs);
    }
    if let Some(height_m) = &mut track.elevation_m {
        let wrong = spikes(&track.time_s, height_m, HEIGHT_SPIKE_M, HEIGHT_STEP_S);
        repairs.add(RepairKind::ElevationSpikes, wrong);
    }
    drift::take_out(track, repairs);
}

/// Forgets fixes that jump away from their neighbours.
fn position_spikes(track: &mut Track) -> u64 {
    let earth = Ellipsoid::wgs84();
    let mut count = 0;
    let mut last: Option<(f64, (f64, f64))> = None;
    let mut last_mps = None;
    let mut in_a_row = 0;
    for i in 0..track.fix_deg.len() {
        let Some(fix) = track.fix_deg[i] else { continue };
        let Some((last_s, last_fix)) = last else {
            last = Some((track.time_s[i], fix));
            continue;
        };
        let dt_s = track.time_s[i] - last_s;
        let there_m = earth.distance_m(last_fix, fix);
        let next = (i + 1..track.fix_deg.len().min(i + 4))
            .find_map(|j| track.fix_deg[j].map(|fix| (track.time_s[j], fix)));
        let detour = next.is_some_and(|(next_s, next_fix)| {
            let back_m = earth.distance_m(fix, next_fix);
            let straight_m = earth.distance_m(last_fix, next_fix);
            let straight_mps = straight_m / (next_s - last_s);
            let slower_mps = (there_m / dt_s).min(back_m / (next_s - track.time_s[i]));
            // No car speeds up like that; rows far apart in time may well be a bend or a turn.
            let reachable_mps = last_mps.unwrap_or(straight_mps) + HARDEST_MPS2 * dt_s;
            slower_mps > reachable_mps.max(straight_mps + DETOUR_MPS)
                && there_m + back_m - straight_m > DETOUR_M
        });
        let too_far = there_m > NO_CAR_MPS * dt_s + DETOUR_M;
        if (detour || too_far) && in_a_row < WRONG_IN_A_ROW {
            track.fix_deg[i] = None;
            in_a_row += 1;
            count += 1;
        } else {
            last = Some((track.time_s[i], fix));
            last_mps = Some(there_m / dt_s);
            in_a_row = 0;
        }
    }
    count
}

/// Forgets values that differ too much from the middle of five neighbours, as long as those are near
/// in time.
fn spikes(time_s: &[f64], values: &mut [f64], most: f64, within_s: f64) -> u64 {
    let known: Vec<usize> = (0..values.len()).filter(|i| !values[*i].is_nan()).collect();
    let mut wrong = Vec::new();
    for window in known.windows(5) {
        let near = time_s[window[4]] - time_s[window[0]] < 4.0 * within_s;
        let mut five: [f64; 5] = std::array::from_fn(|k| values[window[k]]);
        five.sort_by(f64::total_cmp);
        // One wrong value stands out; where all differ nothing can be said.
        let calm = five[3] - five[1] < most;
        if near && calm && (values[window[2]] - five[2]).abs() > most {
            wrong.push(window[2]);
        }
    }
    for i in &wrong {
        values[*i] = f64::NAN;
    }
    u64::try_from(wrong.len()).unwrap_or(u64::MAX)
}

/// Creeping for a few seconds is standing.
fn stand_by_speed(track: &mut Track, repairs: &mut Repairs) {
    let (mut start, mut stand) = (0, 0);
    while start < track.speed_mps.len() {
        let slow = track.speed_mps[start..].iter().take_while(|speed| **speed < CREEP_MPS).count();
        let end = start + slow;
        if slow > 1 && track.time_s[end - 1] - track.time_s[start] >= SHORTEST_STAND_S {
            let crept = track.speed_mps[start..end].iter().filter(|speed| **speed > 0.0).count();
            repairs.add(RepairKind::StandstillJitter, u64::try_from(crept).unwrap_or(u64::MAX));
            track.speed_mps[start..end].fill(0.0);
            stand += 1;
            track.stands[start..end].fill(stand);
        }
        start = end + 1;
    }
}

/// Fixes that stay within a few metres for some seconds are a standing car. Its last metres before it
/// stands and its first behind are no part of that.
fn stand_by_fixes(track: &mut Track, repairs: &mut Repairs) {
    let earth = Ellipsoid::wgs84();
    let known: Vec<(usize, (f64, f64))> =
        track.fix_deg.iter().enumerate().filter_map(|(i, fix)| Some((i, (*fix)?))).collect();
    let (mut start, mut stand) = (0, 0);
    while start < known.len() {
        let fix = known[start].1;
        let near =
            known[start..].iter().take_while(|(_, other)| earth.distance_m(fix, *other) < WANDER_M);
        let end = start + near.count();
        let still = still_among(&earth, &known[start..end]);
        let rows = &known[start + still.start..start + still.end];
        if let (Some((first, fix)), Some((last, _))) = (rows.first(), rows.last())
            && rows.len() >= STAND_BY_FIXES
            && track.time_s[*last] - track.time_s[*first] >= STAND_BY_FIXES_S
        {
            let moved = rows.iter().filter(|(_, other)| earth.distance_m(*fix, *other) > 0.0);
            let moved = u64::try_from(moved.count()).unwrap_or(u64::MAX);
            repairs.add(RepairKind::StandstillJitter, moved);
            stand += 1;
            track.stands[*first..=*last].fill(stand);
            start += still.end;
        } else {
            start += 1;
        }
    }
}

/// The fixes that are no further from the middle one than most are: the car arrives and leaves
/// outside.
fn still_among(earth: &Ellipsoid, fixes: &[(usize, (f64, f64))]) -> std::ops::Range<usize> {
    let middle_of = |place: fn(&(f64, f64)) -> f64| {
        let mut all: Vec<f64> = fixes.iter().map(|(_, fix)| place(fix)).collect();
        all.sort_by(f64::total_cmp);
        all[all.len() / 2]
    };
    let middle = (middle_of(|fix| fix.0), middle_of(|fix| fix.1));
    let far_m: Vec<f64> = fixes.iter().map(|(_, fix)| earth.distance_m(middle, *fix)).collect();
    let mut sorted_m = far_m.clone();
    sorted_m.sort_by(f64::total_cmp);
    let most_m = (TIMES_WANDER * sorted_m[sorted_m.len() / 2]).clamp(LEAST_WANDER_M, WANDER_M);
    let is_near = |far: &f64| *far <= most_m;
    let start = far_m.iter().position(is_near).unwrap_or_default();
    start..far_m.iter().rposition(is_near).map_or(start, |last| last + 1)
}
