//! Height along the way, smoothed over distance: receivers and barometers wander by metres, and every
//! metre up and down would be paid for.
//!
//! The smoothed heights keep near the readings and have little bend (Whittaker's graduation, at even
//! distances, every reading with its weight). How much they may bend against the noise is found by the
//! likelihood of all readings, with a road whose gradient wanders; it always halves
//! waves of 300 m and takes out shorter ones, because slow wandering looks like road.

use super::graduate::{Graduated, graduated};
use super::grid::line_at;
use crate::repairs::{RepairKind, Repairs};

/// Spacing of the smoothed heights, m; wider on very long ways.
const SPACING_M: f64 = 10.0;
/// Most smoothed heights.
const MOST_PLACES: f64 = 1e6;
/// Wavelength of which half is left at the least smoothing, m (a triangle of 200 m leaves half of one
/// of 250 m).
const HALF_LEFT_M: f64 = 300.0;
/// Strongest smoothing, as the same wavelength, m.
const STRONGEST_M: f64 = 5000.0;
/// Steps of the search for the smoothing, each to 0.62 of what is left.
const SEARCH_STEPS: u32 = 14;
/// Weight of a place without a reading, of the usual weight: it lies on the straight line between its
/// neighbours, so that no gap is bridged by a hill.
const WITHOUT_READING: f64 = 0.0003;
/// Most readings in one place that count, of the usual number: a stop is no better known than that.
const MOST_OF_USUAL: f64 = 5.0;
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
        let readings = Readings::of(way_m, height_m, &places, spacing_m);
        let mut smooth = readings.smoothed(spacing_m);
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

/// Mean height at each place above the first, with its weight: the number of readings.
struct Readings {
    base_m: f64,
    /// Above the first, so that a plain at any height is plain to the last digit.
    height_m: Vec<f64>,
    weights: Vec<f64>,
    /// Places with readings.
    known: usize,
}

impl Readings {
    fn of(way_m: &[f64], height_m: &[f64], places: &[f64], spacing_m: f64) -> Readings {
        let mut row = 0;
        let base_m = height_m.iter().copied().find(|height| !height.is_nan()).unwrap_or_default();
        let mut readings = Readings { base_m, height_m: Vec::new(), weights: Vec::new(), known: 0 };
        for place in places {
            let (mut sum, mut count) = (0.0, 0.0);
            while row < way_m.len() && way_m[row] <= place + 0.5 * spacing_m {
                if !height_m[row].is_nan() {
                    sum += height_m[row] - base_m;
                    count += 1.0;
                }
                row += 1;
            }
            readings.height_m.push(if count > 0.0 { sum / count } else { f64::NAN });
            readings.weights.push(count);
        }
        super::track::fill_by_time(places, &mut readings.height_m);
        readings.hold_weights();
        readings
    }

    fn hold_weights(&mut self) {
        let mut sorted: Vec<f64> = self.weights.iter().copied().filter(|w| *w > 0.0).collect();
        sorted.sort_by(f64::total_cmp);
        self.known = sorted.len();
        let usual = sorted.get(sorted.len() / 2).copied().unwrap_or(1.0);
        let (least, most) = (WITHOUT_READING * usual, MOST_OF_USUAL * usual);
        self.weights.iter_mut().for_each(|weight| *weight = weight.clamp(least, most));
    }

    /// Heights with the smoothing that is most likely.
    fn smoothed(&self, spacing_m: f64) -> Vec<f64> {
        let above = |height: &f64| self.base_m + height;
        if self.height_m.len() < 3 {
            return self.height_m.iter().map(above).collect();
        }
        let [least, most] =
            [HALF_LEFT_M, STRONGEST_M].map(|length_m| self.penalty(length_m, spacing_m));
        let penalty = least_by_golden_section(libm::log(least), libm::log(most), |log_penalty| {
            let fit = graduated(&self.height_m, &self.weights, libm::exp(log_penalty));
            self.unlikelihood(&fit, log_penalty)
        });
        let smooth = graduated(&self.height_m, &self.weights, libm::exp(penalty));
        smooth.values.iter().map(above).collect()
    }

    /// The penalty that leaves half of a wave of this length: `1 / (1 + p/w ω⁴)` is one half.
    fn penalty(&self, length_m: f64, spacing_m: f64) -> f64 {
        let cells = f64::from(u32::try_from(self.weights.len()).unwrap_or(u32::MAX));
        let weight = self.weights.iter().sum::<f64>() / cells;
        let per_cell = std::f64::consts::TAU * spacing_m / length_m;
        weight / per_cell.powi(4)
    }

    /// Minus twice the logarithm of the likelihood, less what does not depend on the penalty; the size
    /// of the noise is the most likely one.
    fn unlikelihood(&self, fit: &Graduated, log_penalty: f64) -> f64 {
        let count = |all: usize| f64::from(u32::try_from(all).unwrap_or(u32::MAX));
        let free = count(self.known.saturating_sub(2).max(1));
        let cost = fit.cost.max(f64::MIN_POSITIVE);
        free * libm::log(cost / free) + fit.log_determinant
            - count(self.weights.len() - 2) * log_penalty
    }
}

/// Where a function with one valley is least, between two ends.
fn least_by_golden_section(from: f64, to: f64, value: impl Fn(f64) -> f64) -> f64 {
    let golden = 0.5 * (5_f64.sqrt() - 1.0);
    let (mut low, mut high) = (from, to);
    let (mut left, mut right) = (high - golden * (high - low), low + golden * (high - low));
    let (mut at_left, mut at_right) = (value(left), value(right));
    for _ in 0..SEARCH_STEPS {
        if at_left < at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - golden * (high - low);
            at_left = value(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + golden * (high - low);
            at_right = value(right);
        }
    }
    f64::midpoint(low, high)
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
        assert!((profile.at(1000.0) - 10.0).abs() < 1e-6, "{}", profile.at(1000.0));
        assert!((profile.climb_m() - 40.0).abs() < 1e-6, "{}", profile.climb_m());
        assert_eq!(repairs.count(RepairKind::MissingElevation), 2);
        assert!(Profile::of(&way_m, None, &mut repairs).is_none());
        assert!(Profile::of(&way_m, Some(&[f64::NAN; 4]), &mut repairs).is_none());
    }
}
