//! Height that moves while the car stands: the receiver's or the barometer's drift, no hill.

use super::track::Track;
use crate::repairs::{RepairKind, Repairs};

/// Shortest stop in which drift is looked for, s.
const SHORTEST_STOP_S: f64 = 20.0;
/// Fewest heights in it.
const FEWEST: usize = 9;
/// Smallest drift that is moved back, m: a receiver wanders by less all the time and comes back, and
/// a slow one only catches up with the hill before the stop.
const LEAST_M: f64 = 10.0;
/// Standard deviations of its own noise by which it must be larger.
const CLEAR: f64 = 4.0;

/// Moves back all that follows a stop by what the height changed in it, from its first third to its
/// last.
pub(super) fn take_out(track: &mut Track, repairs: &mut Repairs) {
    let Some(height_m) = &mut track.elevation_m else { return };
    let mut moved_m = 0.0;
    let mut start = 0;
    for stop in track.stands.chunk_by(|a, b| a == b) {
        let rows = start..start + stop.len();
        start = rows.end;
        let lasts_s = track.time_s[rows.end - 1] - track.time_s[rows.start];
        let drift = (stop[0] > 0 && lasts_s >= SHORTEST_STOP_S)
            .then(|| drift_m(&height_m[rows.clone()]))
            .flatten();
        let level_m = drift.map(|(level_m, _)| level_m);
        height_m[rows].iter_mut().for_each(|height| *height = level_m.unwrap_or(*height) - moved_m);
        if let Some((_, drift_m)) = drift {
            moved_m += drift_m;
            repairs.add(RepairKind::HeightDrift, 1);
        }
    }
}

/// Level of the first third of a stop, and by how much the last is above it, if that is clear of noise.
fn drift_m(height_m: &[f64]) -> Option<(f64, f64)> {
    let known: Vec<f64> = height_m.iter().copied().filter(|height| !height.is_nan()).collect();
    if known.len() < FEWEST {
        return None;
    }
    let third = known.len() / 3;
    let (first, last) = (&known[..third], &known[known.len() - third..]);
    let ((from_m, from_sd), (to_m, to_sd)) = (mean_and_error(first), mean_and_error(last));
    let drift_m = to_m - from_m;
    (drift_m.abs() > LEAST_M + CLEAR * libm::hypot(from_sd, to_sd)).then_some((from_m, drift_m))
}

/// Mean and its standard error, from the differences of neighbours: drift itself must not hide it.
fn mean_and_error(values: &[f64]) -> (f64, f64) {
    let count = f64::from(u32::try_from(values.len()).unwrap_or(u32::MAX));
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.windows(2).map(|two| (two[1] - two[0]).powi(2)).sum();
    (mean, (squares / (2.0 * count * count)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drift_is_told_from_noise() {
        let noise = |i: u32| if i.is_multiple_of(2) { 5.0 } else { -5.0 };
        let noisy: Vec<f64> = (0..60).map(|i| 100.0 + noise(i)).collect();
        assert_eq!(drift_m(&noisy), None);
        let drifting: Vec<f64> = (0..60).map(|i| 100.0 + 0.5 * f64::from(i)).collect();
        let (level_m, by_m) = drift_m(&drifting).unwrap();
        assert!((level_m - 104.75).abs() < 1e-9 && (by_m - 20.0).abs() < 1e-9);
        assert_eq!(drift_m(&[1.0, 9.0, f64::NAN]), None);
    }
}
