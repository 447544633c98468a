//! Errors and coverage of predictions.

use serde::Serialize;

use super::predict::Predicted;
use super::rows::count;

/// A prediction beside what was measured, Wh/mile.
#[derive(Clone, Copy, Debug)]
pub struct Pair {
    /// Prediction.
    pub predicted: Predicted,
    /// Measured.
    pub measured_wh_per_mi: f64,
}

impl Pair {
    /// Error of the median, % of what was measured.
    #[must_use]
    pub fn error_pct(&self) -> f64 {
        100.0 * (self.predicted.p50 / self.measured_wh_per_mi - 1.0)
    }

    /// Whether what was measured lies between the tenth and the ninetieth percentile.
    #[must_use]
    pub fn is_covered(&self) -> bool {
        (self.predicted.p10..=self.predicted.p90).contains(&self.measured_wh_per_mi)
    }
}

/// What many pairs come to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Score {
    /// Pairs.
    pub rows: usize,
    /// Median of the errors.
    pub median_error_pct: f64,
    /// Median of the absolute errors.
    pub median_abs_error_pct: f64,
    /// Nine in ten absolute errors are smaller.
    pub p90_abs_error_pct: f64,
    /// Share of what was measured that lies in the 10-90 % band.
    pub coverage_10_90_pct: f64,
}

impl Score {
    /// Sums up pairs. Nothing but zeros for none.
    #[must_use]
    pub fn of(pairs: &[Pair]) -> Score {
        let errors: Vec<f64> = pairs.iter().map(Pair::error_pct).collect();
        let sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
        let covered = pairs.iter().filter(|pair| pair.is_covered()).count();
        Score {
            rows: pairs.len(),
            median_error_pct: quantile(errors, 0.5),
            median_abs_error_pct: quantile(sizes.clone(), 0.5),
            p90_abs_error_pct: quantile(sizes, 0.9),
            coverage_10_90_pct: if pairs.is_empty() {
                0.0
            } else {
                100.0 * count(covered) / count(pairs.len())
            },
        }
    }
}

/// Quantile of type 7; 0 for no values.
fn quantile(values: Vec<f64>, p: f64) -> f64 {
    let weights = crownwheel_sweep::Weights::equal(values.len());
    let sample = crownwheel_sweep::quantile::Sample::new(&values, &weights);
    sample.map_or(0.0, |sample| sample.value(p))
}
