//! Errors and coverage of predictions.

use crownwheel_sweep::Weights;
use crownwheel_sweep::quantile::Sample;
use serde::Serialize;

use crate::certification::rows::count;

/// Percentiles of a prediction.
#[derive(Clone, Copy, Debug)]
pub struct Predicted {
    /// One in ten worlds lies below.
    pub p10: f64,
    /// Half of the worlds.
    pub p50: f64,
    /// Nine in ten.
    pub p90: f64,
}

impl Predicted {
    /// Percentiles of what worlds say, in a unit of which `factor` make theirs. `None`: no world that counts has an answer.
    #[must_use]
    pub fn of(values: &[f64], weights: &Weights, factor: f64) -> Option<Predicted> {
        let sample = Sample::new(values, weights)?;
        let [p10, p50, p90] = [0.1, 0.5, 0.9].map(|p| sample.value(p) * factor);
        Some(Predicted { p10, p50, p90 })
    }
}

/// A prediction beside what was measured, in one unit.
#[derive(Clone, Copy, Debug)]
pub struct Pair {
    /// Prediction.
    pub predicted: Predicted,
    /// Measured.
    pub measured: f64,
}

impl Pair {
    /// Error of the median, % of what was measured.
    #[must_use]
    pub fn error_pct(&self) -> f64 {
        100.0 * (self.predicted.p50 / self.measured - 1.0)
    }

    /// Width of the band over the median, %.
    #[must_use]
    pub fn band_pct(&self) -> f64 {
        100.0 * (self.predicted.p90 - self.predicted.p10) / self.predicted.p50
    }

    /// Whether what was measured lies between the tenth and the ninetieth percentile.
    #[must_use]
    pub fn is_covered(&self) -> bool {
        (self.predicted.p10..=self.predicted.p90).contains(&self.measured)
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
pub(crate) fn quantile(values: Vec<f64>, p: f64) -> f64 {
    let weights = Weights::equal(values.len());
    let sample = Sample::new(&values, &weights);
    sample.map_or(0.0, |sample| sample.value(p))
}
