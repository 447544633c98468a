//! Speed at the rows of the cycle: a second apart where the log is that fine, else at its own rows.
//!
//! Smoothing must not lose way: in every stretch the speeds are scaled so that their sum is the way
//! that was measured, and over gaps the car goes as far as its fixes say.

use std::ops::Range;

use super::smooth;
use super::track::Track;

/// Step of the rows, s.
const STEP_S: f64 = 1.0;
/// A log with a longer step keeps its own rows, s.
const FINE_STEP_S: f64 = 1.5;
/// A last step shorter than this is left out, s.
const SHORTEST_STEP_S: f64 = 0.25;
/// Longest time of speeding up or slowing down at the end of a gap, s.
const LONGEST_CHANGE_S: f64 = 10.0;
/// Largest correction of the way by smoothing.
const LARGEST_CORRECTION: f64 = 0.25;

/// Rows of the cycle.
#[derive(Clone, Debug, Default)]
pub(super) struct Grid {
    pub(super) time_s: Vec<f64>,
    pub(super) speed_mps: Vec<f64>,
    pub(super) way_m: Vec<f64>,
    /// Noise of the speeds before smoothing, of the noisiest stretch, m/s.
    pub(super) noise_mps: f64,
    /// Rows whose speed was lowered because no car changes it so fast.
    pub(super) held: u64,
}

impl Grid {
    pub(super) fn of(track: &Track, way_m: &[f64]) -> Grid {
        let mut grid = Grid::default();
        let mut before: Option<usize> = None;
        for rows in stretches(track) {
            let Stretch { time_s, speed_mps, noise_mps, held } =
                Stretch::of(track, way_m, rows.clone());
            grid.noise_mps = grid.noise_mps.max(noise_mps);
            grid.held += held;
            if let (Some(last), Some(from), Some(to)) =
                (before, grid.speed_mps.last(), speed_mps.first())
            {
                let gap_m = way_m[rows.start] - way_m[last];
                let ends = [(track.time_s[last], *from), (track.time_s[rows.start], *to)];
                let bridge = bridge(ends, gap_m);
                grid.time_s.extend(bridge.map(|(time_s, _)| time_s));
                grid.speed_mps.extend(bridge.map(|(_, speed_mps)| speed_mps));
            }
            grid.time_s.extend(time_s);
            grid.speed_mps.extend(speed_mps);
            before = Some(rows.end - 1);
        }
        grid.way_m = way_of(&grid.time_s, &grid.speed_mps);
        grid
    }
}

/// Rows between gaps.
fn stretches(track: &Track) -> Vec<Range<usize>> {
    let mut all = Vec::new();
    let mut start = 0;
    for i in 1..track.time_s.len() {
        if track.time_s[i] - track.time_s[i - 1] > track.longest_step_s {
            all.push(start..i);
            start = i;
        }
    }
    all.push(start..track.time_s.len());
    all
}

/// Times and speeds of one stretch between gaps.
struct Stretch {
    time_s: Vec<f64>,
    speed_mps: Vec<f64>,
    noise_mps: f64,
    held: u64,
}

impl Stretch {
    fn of(track: &Track, way_m: &[f64], rows: Range<usize>) -> Stretch {
        let times = &track.time_s[rows.clone()];
        let way = &way_m[rows.clone()];
        let fine = track.step_s <= FINE_STEP_S;
        let time_s = if fine { steps(times) } else { times.to_vec() };
        let rough = if track.has_speed {
            resampled(times, &track.speed_mps[rows.clone()], &time_s, f64::INFINITY)
        } else {
            slopes(times, way, &time_s)
        };
        let step_s = if fine { STEP_S } else { track.step_s };
        let stands = standing(times, &track.stands[rows], &time_s);
        let noise_mps = smooth::noise_mps(&rough);
        let mut speed_mps = smooth::smoothed(&rough, &stands, noise_mps, step_s);
        let held = smooth::hold_changes(&time_s, &mut speed_mps);
        keep_way(&time_s, &mut speed_mps, way);
        Stretch { time_s, speed_mps, noise_mps, held }
    }
}

/// Scales speeds so that their sum is the way that was measured.
fn keep_way(time_s: &[f64], speed_mps: &mut [f64], way_m: &[f64]) {
    let (Some(first), Some(last)) = (way_m.first(), way_m.last()) else { return };
    let driven_m = way_of(time_s, speed_mps).last().copied().unwrap_or_default();
    let correction = (last - first) / driven_m;
    if (correction - 1.0).abs() < LARGEST_CORRECTION {
        speed_mps.iter_mut().for_each(|speed| *speed *= correction);
    }
}

/// Every second from the first time, and the last time.
fn steps(times: &[f64]) -> Vec<f64> {
    let (Some(first), Some(last)) = (times.first(), times.last()) else { return Vec::new() };
    let mut at_s = Vec::new();
    let mut next = *first;
    while next <= *last {
        at_s.push(next);
        next += STEP_S;
    }
    if at_s.last().is_some_and(|end| last - end >= SHORTEST_STEP_S) {
        at_s.push(*last);
    }
    at_s
}

/// Slope of the way at each time: over a second around it, or between its neighbours if the rows are
/// further apart.
fn slopes(times: &[f64], way_m: &[f64], at_s: &[f64]) -> Vec<f64> {
    let count = at_s.len();
    let slope = |i: usize| {
        let before = if i > 0 { at_s[i - 1] } else { at_s[i] };
        let after = if i + 1 < count { at_s[i + 1] } else { at_s[i] };
        let (from_s, to_s) = (0.5 * (before + at_s[i]), 0.5 * (after + at_s[i]));
        let way = line_at(times, way_m, to_s) - line_at(times, way_m, from_s);
        if to_s > from_s { way / (to_s - from_s) } else { 0.0 }
    };
    (0..count).map(slope).collect()
}

/// A broken line at a place, held at its ends.
pub(crate) fn line_at(along: &[f64], values: &[f64], at: f64) -> f64 {
    let after = along.partition_point(|place| *place <= at);
    match (after.checked_sub(1), along.get(after)) {
        (None, _) => values.first().copied().unwrap_or(f64::NAN),
        (Some(before), None) => values[before],
        (Some(before), Some(next)) => {
            let share = (at - along[before]) / (next - along[before]);
            values[before] + (values[after] - values[before]) * share
        }
    }
}

/// Readings at other times: the mean of those within half a second, else a straight line between
/// neighbours that are at most `reach_s` away, else NaN.
pub(super) fn resampled(times: &[f64], values: &[f64], at_s: &[f64], reach_s: f64) -> Vec<f64> {
    let known: Vec<usize> = (0..values.len()).filter(|i| !values[*i].is_nan()).collect();
    let times: Vec<f64> = known.iter().map(|i| times[*i]).collect();
    let values: Vec<f64> = known.iter().map(|i| values[*i]).collect();
    let reading = |at: &f64| {
        let from = times.partition_point(|time| *time < at - 0.5 * STEP_S);
        let to = times.partition_point(|time| *time < at + 0.5 * STEP_S);
        if to - from > 1 {
            return mean(&values[from..to]);
        }
        let after = times.partition_point(|time| time < at);
        let far = |index: Option<usize>| {
            index.and_then(|index| times.get(index)).is_none_or(|time| (time - at).abs() > reach_s)
        };
        if far(after.checked_sub(1)) && far(Some(after)) {
            return f64::NAN;
        }
        line_at(&times, &values, *at)
    };
    at_s.iter().map(reading).collect()
}

fn mean(values: &[f64]) -> f64 {
    let (sum, count) =
        values.iter().fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}

/// Whether the car stands at each time: in the row before and the row behind.
fn standing(times: &[f64], stands: &[u32], at_s: &[f64]) -> Vec<bool> {
    let stood = |index: Option<usize>| index.and_then(|i| stands.get(i)).is_some_and(|s| *s > 0);
    let at = |at: &f64| {
        let after = times.partition_point(|time| time <= at);
        stood(after.checked_sub(1)) && (after == times.len() || stood(Some(after)))
    };
    at_s.iter().map(at).collect()
}

/// Two rows inside a gap: between them the car drives at the speed that makes the way right.
fn bridge(ends: [(f64, f64); 2], way_m: f64) -> [(f64, f64); 2] {
    let [(from_s, from_mps), (to_s, to_mps)] = ends;
    let dt_s = to_s - from_s;
    let change_s = (0.25 * dt_s).min(LONGEST_CHANGE_S);
    let way_of_changes_m = 0.5 * (from_mps + to_mps) * change_s;
    let speed_mps = ((way_m - way_of_changes_m) / (dt_s - change_s)).max(0.0);
    [(from_s + change_s, speed_mps), (to_s - change_s, speed_mps)]
}

/// Way along a broken line of speeds, m from 0.
pub(super) fn way_of(time_s: &[f64], speed_mps: &[f64]) -> Vec<f64> {
    let mut way_m = Vec::with_capacity(time_s.len());
    let mut sum_m = 0.0;
    for i in 0..time_s.len() {
        if i > 0 {
            sum_m += 0.5 * (speed_mps[i - 1] + speed_mps[i]) * (time_s[i] - time_s[i - 1]);
        }
        way_m.push(sum_m);
    }
    way_m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bridge_keeps_way_and_time() {
        let ends = [(10.0, 20.0), (50.0, 10.0)];
        let [first, second] = bridge(ends, 700.0);
        let time_s = [10.0, first.0, second.0, 50.0];
        let speed_mps = [20.0, first.1, second.1, 10.0];
        let way_m = way_of(&time_s, &speed_mps);
        assert!((way_m[3] - 700.0).abs() < 1e-9);
        assert!(time_s.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(bridge(ends, 0.0)[0].1.abs() < 1e-12, "a car does not go backwards");
    }

    #[test]
    fn readings_are_averaged_within_the_second_and_not_reached_for_too_far() {
        let times = [0.0, 0.2, 0.4, 1.0, 5.0];
        let values = [1.0, 2.0, 3.0, f64::NAN, 7.0];
        let read = resampled(&times, &values, &[0.0, 2.0, 4.8], 1.0);
        assert!((read[0] - 2.0).abs() < 1e-12);
        assert!(read[1].is_nan());
        assert!((read[2] - (3.0 + 4.0 * 4.4 / 4.6)).abs() < 1e-12);
    }
}
