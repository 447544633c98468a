//! Whether runs differ by more than the noise within them.
//!
//! Each run is given a constant force of its own, besides what all share. If the sizes of those
//! forces are more than the noise explains, their spread is estimated by its expected sum of squares
//! and carried into the bands.

use nalgebra::{DMatrix, DVector};

use statrs::distribution::{ContinuousCDF, Gamma};

use crate::least_squares::{Factored, FitError, count};

/// Chance that noise alone makes runs look as if they differed.
const FALSE_ALARM: f64 = 0.002;

/// What the runs' own forces say.
#[derive(Clone, Debug, PartialEq)]
pub struct Scatter {
    /// Spread of a constant force from run to run, N. `None`: no more than the noise explains.
    pub force_sd_n: Option<f64>,
    /// Its degrees of freedom.
    pub degrees_of_freedom: f64,
    /// Squares of the own forces, in units of what the noise makes likely: about 1 if runs differ by
    /// nothing else.
    pub over_noise: f64,
    /// What the spread adds to the covariance of the parameters.
    pub(crate) added: DMatrix<f64>,
}

/// Compares runs. `starts` are the rows where each run's block begins and, last, ends; `by_force`
/// the slope of every row by a constant force; all whitened, at the fitted parameters.
pub(crate) fn scatter(
    slopes: &DMatrix<f64>,
    residuals: &DVector<f64>,
    by_force: &DVector<f64>,
    starts: &[usize],
    variance: f64,
) -> Result<Scatter, FitError> {
    let runs = starts.len().saturating_sub(1);
    let factored = Factored::new(slopes, residuals)?;
    let inverse = factored.inverse_triangle()?;
    // A column for each run: the force in its own rows, nought in the others.
    let mut own = DMatrix::zeros(slopes.nrows(), runs);
    for (run, ends) in starts.windows(2).enumerate() {
        for row in ends[0]..ends[1] {
            own[(row, run)] = by_force[row];
        }
    }
    // What of it the shared parameters and the first speeds do not take: `M own`.
    let along = inverse.transpose() * slopes.transpose() * &own;
    let left = own.transpose() * &own - along.transpose() * &along;
    let seen = own.transpose() * residuals;
    let lengths = DVector::from_iterator(runs, (0..runs).map(|i| left[(i, i)].max(0.0).sqrt()));
    if lengths.iter().any(|length| *length <= 0.0) {
        return Ok(nothing(slopes.ncols()));
    }
    let scaled = |i: usize, j: usize| left[(i, j)] / (lengths[i] * lengths[j]);
    let shape = DMatrix::from_fn(runs, runs, scaled);
    let squares: f64 = (0..runs).map(|i| (seen[i] / lengths[i]).powi(2)).sum::<f64>() / variance;
    let (mean, spread) = (shape.trace(), (2.0 * (&shape * &shape).trace()).sqrt());
    // A run that stands alone takes its own force whole.
    if mean < 0.5 {
        return Ok(nothing(slopes.ncols()));
    }
    let over_noise = squares / mean;
    if squares <= unlikely(mean, spread) {
        return Ok(Scatter { over_noise, ..nothing(slopes.ncols()) });
    }
    // `E Σ (own' M (own b))² / l² = sd² Σ left² / l²`.
    let gain: f64 = (0..runs)
        .flat_map(|i| (0..runs).map(move |j| (i, j)))
        .map(|(i, j)| (left[(i, j)] / lengths[i]).powi(2))
        .sum();
    let force_variance = (squares - mean) * variance / gain;
    // A run's own force moves the parameters by this.
    let moved = &inverse * along;
    let added = &moved * moved.transpose() * force_variance;
    let degrees_of_freedom = (2.0 * mean * mean / (spread * spread)).max(1.0).min(count(runs));
    Ok(Scatter { force_sd_n: Some(force_variance.sqrt()), degrees_of_freedom, over_noise, added })
}

/// Sum of squares that noise alone exceeds with [`FALSE_ALARM`], from its mean and standard
/// deviation, taken as a gamma distribution.
fn unlikely(mean: f64, spread: f64) -> f64 {
    let rate = mean / (spread * spread);
    Gamma::new(mean * rate, rate)
        .map_or(f64::INFINITY, |gamma| gamma.inverse_cdf(1.0 - FALSE_ALARM))
}

fn nothing(parameters: usize) -> Scatter {
    Scatter {
        force_sd_n: None,
        degrees_of_freedom: f64::INFINITY,
        over_noise: 1.0,
        added: DMatrix::zeros(parameters, parameters),
    }
}
