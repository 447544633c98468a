//! Whether runs differ by more than the noise within them.
//!
//! Each run is given a constant force of its own, besides what all share. If the sizes of those
//! forces are more than the noise explains, their spread is estimated by its expected sum of squares
//! and carried into the bands.

use nalgebra::{DMatrix, DVector};

use statrs::distribution::{ContinuousCDF, Gamma};

use crate::least_squares::{Factorization, FitError, count};

/// Chance that noise alone makes runs look as if they differed.
const FALSE_ALARM: f64 = 0.002;

/// What the runs' own forces say.
#[derive(Clone, Debug, PartialEq)]
pub struct Scatter {
    /// Spread of a constant force from run to run, N. `None`: no more than the noise explains.
    pub force_sd_n: Option<f64>,
    /// Its degrees of freedom.
    pub degrees_of_freedom: f64,
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
    let inverse = Factorization::new(slopes, residuals)?.inverse_triangle()?;
    let own = own_forces(by_force, starts);
    let squares = own.transpose() * &own;
    // What of each force the shared parameters and the first speeds do not take up.
    let along = inverse.transpose() * slopes.transpose() * &own;
    let left = &squares - along.transpose() * &along;
    let runs = own.ncols();
    let is_taken_up = |i: usize| left[(i, i)] <= TAKEN_UP * squares[(i, i)];
    if runs == 0 || (0..runs).any(is_taken_up) {
        return Ok(nothing(slopes.ncols()));
    }
    let own_runs = Leftover { left: &left, seen: own.transpose() * residuals };
    let Some(force_variance) = own_runs.force_variance(variance) else {
        return Ok(nothing(slopes.ncols()));
    };
    // A run's own force moves the parameters by this.
    let moved = &inverse * along;
    Ok(Scatter {
        force_sd_n: Some(force_variance.sqrt()),
        degrees_of_freedom: own_runs.degrees_of_freedom(),
        added: &moved * moved.transpose() * force_variance,
    })
}

/// Share of a force's squares that may be left, and it still counts as taken up whole: with two runs
/// gradient and constant force explain any difference.
const TAKEN_UP: f64 = 1e-6;

/// A column for each run: the force in its own rows, nought in the others.
fn own_forces(by_force: &DVector<f64>, starts: &[usize]) -> DMatrix<f64> {
    let mut own = DMatrix::zeros(by_force.len(), starts.len().saturating_sub(1));
    for (run, ends) in starts.windows(2).enumerate() {
        for row in ends[0]..ends[1] {
            own[(row, run)] = by_force[row];
        }
    }
    own
}

/// What is left of the runs' own forces, and what of it the residuals show.
struct Leftover<'a> {
    left: &'a DMatrix<f64>,
    seen: DVector<f64>,
}

impl Leftover<'_> {
    /// Variance of the sum of squares of the own forces, each in units of its own error, under noise
    /// alone; its mean is the number of runs.
    fn variance_of_squares(&self) -> f64 {
        let shape = |i: usize, j: usize| {
            self.left[(i, j)].powi(2) / (self.left[(i, i)] * self.left[(j, j)])
        };
        2.0 * self.over_pairs(shape)
    }

    fn over_pairs(&self, value: impl Fn(usize, usize) -> f64) -> f64 {
        let runs = self.seen.len();
        (0..runs).map(|i| (0..runs).map(|j| value(i, j)).sum::<f64>()).sum()
    }

    fn degrees_of_freedom(&self) -> f64 {
        let runs = count(self.seen.len());
        (2.0 * runs * runs / self.variance_of_squares()).clamp(1.0, runs)
    }

    /// Variance of the force from run to run, N². `None`: the noise explains what is seen.
    ///
    /// By the expected sum of squares: `E Σ seen² / left = variance (runs + force Σ left_ij² / left_ii)`.
    fn force_variance(&self, variance: f64) -> Option<f64> {
        let runs = count(self.seen.len());
        let seen: f64 = (0..self.seen.len())
            .map(|i| self.seen[i].powi(2) / (self.left[(i, i)] * variance))
            .sum();
        if seen <= unlikely(runs, self.variance_of_squares()) {
            return None;
        }
        let gain = self.over_pairs(|i, j| self.left[(i, j)].powi(2) / self.left[(i, i)]);
        Some((seen - runs) * variance / gain)
    }
}

/// Sum of squares that noise alone exceeds with [`FALSE_ALARM`], from its mean and variance, taken as
/// a gamma distribution.
fn unlikely(mean: f64, variance: f64) -> f64 {
    let rate = mean / variance;
    Gamma::new(mean * rate, rate)
        .map_or(f64::INFINITY, |gamma| gamma.inverse_cdf(1.0 - FALSE_ALARM))
}

fn nothing(parameters: usize) -> Scatter {
    Scatter {
        force_sd_n: None,
        degrees_of_freedom: f64::INFINITY,
        added: DMatrix::zeros(parameters, parameters),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs of five rows, each with a first value of its own; all share a slope and a constant force.
    fn runs(own: &[f64], noise: &[f64]) -> (DMatrix<f64>, DVector<f64>, DVector<f64>, Vec<usize>) {
        let rows = 5 * own.len();
        let mut slopes = DMatrix::zeros(rows, 2 + own.len());
        let mut residuals = DVector::zeros(rows);
        for run in 0..own.len() {
            for i in 0..5 {
                let (row, t) = (5 * run + i, count(i));
                slopes[(row, 0)] = -t;
                slopes[(row, 1)] = -t * t;
                slopes[(row, 2 + run)] = 1.0;
                residuals[row] = -t * own[run] + noise[row % noise.len()];
            }
        }
        let starts = (0..=own.len()).map(|run| 5 * run).collect();
        (slopes.clone(), residuals, slopes.column(0).into_owned(), starts)
    }

    /// Noise of standard deviation about 0.1.
    const NOISE: [f64; 7] = [0.1, -0.14, 0.05, 0.02, -0.11, 0.12, -0.04];

    fn found(own: &[f64]) -> Scatter {
        let (slopes, residuals, by_force, starts) = runs(own, &NOISE);
        let factored = Factorization::new(&slopes, &residuals).unwrap();
        let left = &residuals - &slopes * factored.solution().unwrap();
        scatter(&slopes, &left, &by_force, &starts, 0.01).unwrap()
    }

    #[test]
    fn equal_runs_show_nothing_but_noise() {
        assert_eq!(found(&[0.0; 6]).force_sd_n, None);
    }

    #[test]
    fn runs_that_differ_show_by_how_much() {
        let own = [2.0, -1.0, 0.5, -2.0, 1.5, -1.0];
        let scatter = found(&own);
        let sd = scatter.force_sd_n.unwrap();
        assert!((sd - 1.57).abs() < 0.3, "{sd}");
        assert!(scatter.degrees_of_freedom >= 3.0 && scatter.degrees_of_freedom <= 6.0);
        // The mean of six forces is that much surer.
        let added = scatter.added[(0, 0)].sqrt();
        assert!((added / (sd / 6f64.sqrt()) - 1.0).abs() < 1e-6, "{added}");
    }

    #[test]
    fn one_run_alone_differs_from_nothing() {
        assert_eq!(found(&[3.0]).force_sd_n, None);
    }
}
