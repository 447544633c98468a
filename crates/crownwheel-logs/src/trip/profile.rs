//! Height along the way, smoothed over distance: receivers and barometers wander by metres, and every
//! metre up and down would be paid for.

use super::grid::line_at;
use crate::repairs::{RepairKind, Repairs};

/// Spacing of the smoothed heights, m; wider on very long ways.
const SPACING_M: f64 = 10.0;
/// Most smoothed heights.
const MOST_PLACES: f64 = 1e6;
/// Each of two running means is this wide, m: together a triangle of 200 m.
const RUNNING_MEAN_M: f64 = 100.0;
/// Steepest gradient that is believed, as a sine (35 %).
const STEEPEST_SIN: f64 = 0.33;
/// Fewest heights that make a profile.
const FEWEST_HEIGHTS: usize = 2;

/// Smoothed heights at even distances.
#[derive(Clone, Debug)]
pub(super) struct Profile {
    place_m: Vec<f64>,
    height_m: Vec<f64>,
}

impl Profile {
    /// Smooths the heights of the rows. `None`: there are none.
    pub(super) fn of(
        way_m: &[f64],
        height_m: Option<&[f64]>,
        repairs: &mut Repairs,
    ) -> Option<Profile> {
        let height_m = height_m?;
        let known: Vec<usize> = (0..height_m.len()).filter(|i| !height_m[*i].is_nan()).collect();
        if known.len() < FEWEST_HEIGHTS {
            return None;
        }
        let missing = u64::try_from(height_m.len() - known.len()).unwrap_or(u64::MAX);
        let spikes = repairs.count(RepairKind::ElevationSpikes);
        repairs.add(RepairKind::MissingElevation, missing.saturating_sub(spikes));
        let length_m = way_m.last().copied().unwrap_or_default();
        let cells = (length_m / SPACING_M).clamp(1.0, MOST_PLACES).ceil();
        let spacing_m = length_m / cells;
        let places = even_places(cells, spacing_m);
        let mut rough = cell_means(way_m, height_m, &places, spacing_m);
        super::track::fill_by_time(&places, &mut rough);
        let half = half_width(spacing_m);
        let mut smooth = running_mean(&running_mean(&rough, half), half);
        repairs.add(RepairKind::SteepGrades, hold_steep(&mut smooth, STEEPEST_SIN * spacing_m));
        Some(Profile { place_m: places, height_m: smooth })
    }

    /// Height at a distance, m.
    pub(super) fn at(&self, way_m: f64) -> f64 {
        line_at(&self.place_m, &self.height_m, way_m)
    }

    /// Metres uphill.
    pub(super) fn climb_m(&self) -> f64 {
        climb_m(&self.height_m)
    }
}

/// Metres uphill of heights in order; missing ones are passed over.
pub(super) fn climb_m(height_m: &[f64]) -> f64 {
    let mut last: Option<f64> = None;
    let mut sum_m = 0.0;
    for height in height_m.iter().filter(|height| !height.is_nan()) {
        sum_m += last.map_or(0.0, |last| (height - last).max(0.0));
        last = Some(*height);
    }
    sum_m
}

/// Holds every step at the highest that a road may have; what follows moves with it.
fn hold_steep(height_m: &mut [f64], most_m: f64) -> u64 {
    let mut held = 0;
    let mut before_m = height_m.first().copied().unwrap_or_default();
    let mut now_m = before_m;
    for height in height_m.iter_mut() {
        let step_m = *height - before_m;
        before_m = *height;
        held += u64::from(step_m.abs() > most_m);
        now_m += step_m.clamp(-most_m, most_m);
        *height = now_m;
    }
    held
}

fn even_places(cells: f64, spacing_m: f64) -> Vec<f64> {
    let mut places = vec![0.0];
    let mut count = 0.0;
    while count < cells {
        count += 1.0;
        places.push(count * spacing_m);
    }
    places
}

/// Mean of the heights around each place; NaN where there are none.
fn cell_means(way_m: &[f64], height_m: &[f64], places: &[f64], spacing_m: f64) -> Vec<f64> {
    let mut row = 0;
    let mean_at = |place: &f64| {
        let (mut sum, mut count) = (0.0, 0.0);
        while row < way_m.len() && way_m[row] <= place + 0.5 * spacing_m {
            if !height_m[row].is_nan() {
                sum += height_m[row];
                count += 1.0;
            }
            row += 1;
        }
        if count > 0.0 { sum / count } else { f64::NAN }
    };
    places.iter().map(mean_at).collect()
}

/// Cells on each side of a running mean.
fn half_width(spacing_m: f64) -> usize {
    let mut half = 0;
    let mut reach_m = spacing_m;
    while reach_m <= 0.5 * RUNNING_MEAN_M {
        half += 1;
        reach_m += spacing_m;
    }
    half
}

/// Mean of as many neighbours on each side as there are on both, so that the ends stay.
fn running_mean(values: &[f64], half: usize) -> Vec<f64> {
    let mut sums = vec![0.0];
    let mut sum = 0.0;
    // Sums of differences from the first height keep their digits on a high plateau.
    let base = values.first().copied().unwrap_or_default();
    for value in values {
        sum += value - base;
        sums.push(sum);
    }
    let last = values.len().saturating_sub(1);
    let mean = |i: usize| {
        let reach = half.min(i).min(last - i);
        let (from, to) = (i - reach, i + reach + 1);
        let count = u32::try_from(to - from).unwrap_or(u32::MAX);
        base + (sums[to] - sums[from]) / f64::from(count)
    };
    (0..values.len()).map(mean).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_hill_stays_and_noise_goes() {
        let way_m: Vec<f64> = (0..600).map(|i| f64::from(i) * 10.0).collect();
        let hill = |way: &f64| 100.0 + 0.05 * way;
        let noise = |i: usize| if i.is_multiple_of(2) { 3.0 } else { -3.0 };
        let rough: Vec<f64> =
            way_m.iter().enumerate().map(|(i, way)| hill(way) + noise(i)).collect();
        assert!(climb_m(&rough) > 1500.0);
        let profile = Profile::of(&way_m, Some(&rough), &mut Repairs::default()).unwrap();
        // The true hill climbs 299.5 m; the ends keep a little of their noise.
        assert!((profile.climb_m() - 299.5).abs() < 10.0, "{}", profile.climb_m());
        assert!((profile.at(3000.0) - 250.0).abs() < 0.5);
    }

    #[test]
    fn missing_heights_are_straight_lines_by_distance() {
        let way_m = [0.0, 1000.0, 2000.0, 4000.0];
        let height_m = [0.0, f64::NAN, f64::NAN, 40.0];
        let mut repairs = Repairs::default();
        let profile = Profile::of(&way_m, Some(&height_m), &mut repairs).unwrap();
        assert!((profile.at(1000.0) - 10.0).abs() < 1e-9);
        assert!((profile.climb_m() - 40.0).abs() < 1e-9);
        assert_eq!(repairs.count(RepairKind::MissingElevation), 2);
        assert!(Profile::of(&way_m, None, &mut repairs).is_none());
        assert!(Profile::of(&way_m, Some(&[f64::NAN; 4]), &mut repairs).is_none());
    }
}
