//! Resistance of pack and harness from volts against amperes.

use super::drive::Drive;
use super::model::DriveRun;

/// Rows of one estimate.
const ROWS: usize = 120;
/// Least standard deviation of the current in an estimate, A.
const LEAST_SWING_A: f64 = 5.0;
/// Fewest estimates.
const FEWEST: usize = 4;
/// Error of the comparison beyond scatter: the resistance of a cell grows over the seconds that a
/// current lasts, and the two do not weigh them alike (engineer's judgement).
const MODEL_ERROR: f64 = 0.08;

/// Resistance, measured and as the build has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resistance {
    /// Fall of voltage with current in the log, ohm.
    pub measured_ohm: f64,
    /// Its standard error, ohm.
    pub measured_se_ohm: f64,
    /// In the model on the same trip, ohm.
    pub model_ohm: f64,
}

impl Resistance {
    /// Straight lines of volts against amperes in pieces of two minutes, in which the charge hardly
    /// moves. `None`: the current does not swing enough.
    pub(super) fn of(drive: &Drive, run: &DriveRun) -> Option<Resistance> {
        let estimates: Vec<f64> = drive
            .voltage_v
            .chunks(ROWS)
            .zip(drive.current_a.chunks(ROWS))
            .filter_map(|(volts, amperes)| slope(volts, amperes))
            .collect();
        if estimates.len() < FEWEST {
            return None;
        }
        let count = f64::from(u32::try_from(estimates.len()).unwrap_or(u32::MAX));
        let mut sorted = estimates;
        sorted.sort_by(f64::total_cmp);
        // The middle one, and the standard error of the middle from the quarter points.
        let middle = sorted[sorted.len() / 2];
        let quarters = sorted[3 * sorted.len() / 4] - sorted[sorted.len() / 4];
        let scatter = 1.2533 * quarters / 1.349 / count.sqrt();
        Some(Resistance {
            measured_ohm: middle,
            measured_se_ohm: libm::hypot(scatter, MODEL_ERROR * middle.abs()),
            model_ohm: run.resistance_ohm(),
        })
    }
}

/// Minus the slope of volts against amperes with a drift in time taken out, ohm.
fn slope(volts: &[f64], amperes: &[f64]) -> Option<f64> {
    let rows: Vec<(f64, f64, f64)> = (0_u32..)
        .zip(volts.iter().zip(amperes))
        .filter(|(_, (v, a))| v.is_finite() && a.is_finite())
        .map(|(i, (v, a))| (f64::from(i), *v, *a))
        .collect();
    if rows.len() < ROWS / 2 {
        return None;
    }
    let time = |row: &(f64, f64, f64)| row.0;
    let left_v = without_drift(&rows, time, |row| row.1);
    let left_a = without_drift(&rows, time, |row| row.2);
    let square: f64 = left_a.iter().map(|a| a * a).sum();
    let count = f64::from(u32::try_from(rows.len()).unwrap_or(u32::MAX));
    if (square / count).sqrt() < LEAST_SWING_A {
        return None;
    }
    let product: f64 = left_v.iter().zip(&left_a).map(|(v, a)| v * a).sum();
    Some(-product / square)
}

/// What is left of a value when its straight line in time is taken out.
fn without_drift(
    rows: &[(f64, f64, f64)],
    time: impl Fn(&(f64, f64, f64)) -> f64,
    value: impl Fn(&(f64, f64, f64)) -> f64,
) -> Vec<f64> {
    let count = f64::from(u32::try_from(rows.len()).unwrap_or(u32::MAX));
    let mean_t = rows.iter().map(&time).sum::<f64>() / count;
    let mean_v = rows.iter().map(&value).sum::<f64>() / count;
    let tt: f64 = rows.iter().map(|row| (time(row) - mean_t).powi(2)).sum();
    let tv: f64 = rows.iter().map(|row| (time(row) - mean_t) * (value(row) - mean_v)).sum();
    let slope = if tt > 0.0 { tv / tt } else { 0.0 };
    rows.iter().map(|row| value(row) - mean_v - slope * (time(row) - mean_t)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_with_drift_gives_its_resistance() {
        let amperes: Vec<f64> = (0..120).map(|i| 60.0 * libm::sin(f64::from(i) * 0.7)).collect();
        let volts: Vec<f64> =
            (0_u32..).zip(&amperes).map(|(i, a)| 140.0 - 0.02 * f64::from(i) - 0.018 * a).collect();
        assert!((slope(&volts, &amperes).unwrap() - 0.018).abs() < 1e-9);
        assert_eq!(slope(&volts, &[1.0; 120]), None);
        assert_eq!(slope(&[f64::NAN; 120], &amperes), None);
    }
}
