//! Size and memory of the noise, by restricted maximum likelihood.

use nalgebra::{DMatrix, DVector};

use super::noise::{Noise, Whitener};
use super::problem::{Problem, folded, whiteners};
use crate::least_squares::{Factorization, FitError, count};

/// Ratios of the part with memory to the white part that the search starts from.
const RATIOS: [f64; 5] = [0.05, 0.4, 3.0, 25.0, 200.0];
/// Memories that it starts from, in mean spacings of the readings.
const MEMORIES: [f64; 5] = [0.7, 2.0, 6.0, 18.0, 54.0];
/// Factors by which it moves on, one after the other.
const MOVES: [f64; 4] = [2.0, 1.4, 1.15, 1.05];
/// Longest memory, as a share of the mean run: what lasts longer is a first speed, or a force.
const LONGEST_SHARE: f64 = 0.35;
/// Factors on the likeliest memory, and squared on its ratio, that the bands are averaged over.
const AROUND: [f64; 7] = [0.3, 0.45, 0.67, 1.0, 1.5, 2.2, 3.3];
/// Variance of readings that have no noise but that of their digits, (m/s)².
const LEAST_VARIANCE: f64 = 1e-18;
/// Largest ratio: the noise is then all memory.
const LARGEST_RATIO: f64 = 1e4;

/// The noise that makes the residuals of the straightened model likeliest.
pub(crate) fn likeliest(straight: &Straight<'_>) -> Result<Noise, FitError> {
    let deviance = |noise: Noise| straight.under(noise).map(|under| straight.deviance(&under));
    let mut best = (deviance(Noise::WHITE)?, Noise::WHITE);
    let (spacing_s, longest_s) = spacing_and_longest(straight.problem);
    for memory in MEMORIES {
        for memory_ratio in RATIOS {
            let noise = Noise { memory_ratio, memory_s: (memory * spacing_s).min(longest_s) };
            better(&mut best, noise, &deviance)?;
        }
    }
    if best.1.memory_ratio > 0.0 {
        for factor in MOVES {
            for _ in 0..8 {
                let Noise { memory_ratio: ratio, memory_s } = best.1;
                let mut moved = false;
                for (by_ratio, by_memory) in
                    [(factor, 1.0), (1.0 / factor, 1.0), (1.0, factor), (1.0, 1.0 / factor)]
                {
                    let noise = Noise {
                        memory_ratio: (ratio * by_ratio).min(LARGEST_RATIO),
                        memory_s: (memory_s * by_memory).clamp(0.2 * spacing_s, longest_s),
                    };
                    moved |= better(&mut best, noise, &deviance)?;
                }
                if !moved {
                    break;
                }
            }
        }
    }
    Ok(best.1)
}

/// Covariance of the parameters, on the mean over all sizes and memories of the noise that are about
/// as likely as the likeliest.
///
/// The likeliest noise taken for certain gives bands that are too narrow where runs are short.
pub(crate) fn mean_covariance(
    straight: &Straight<'_>,
    likeliest: Noise,
) -> Result<DMatrix<f64>, FitError> {
    let problem = straight.problem;
    let best = straight.under(likeliest)?;
    if likeliest.memory_ratio <= 0.0 {
        return straight.covariance(&best);
    }
    let least = straight.deviance(&best);
    let longest_s = spacing_and_longest(problem).1;
    let mut sum = DMatrix::zeros(problem.parameters(), problem.parameters());
    let mut weights = 0.0;
    for by_memory in AROUND {
        for by_ratio in AROUND {
            let noise = Noise {
                memory_ratio: likeliest.memory_ratio * by_ratio * by_ratio,
                memory_s: likeliest.memory_s * by_memory,
            };
            if noise.memory_s > longest_s.max(likeliest.memory_s) {
                continue;
            }
            let here = straight.under(noise)?;
            let weight = libm::exp(0.5 * (least - straight.deviance(&here)));
            sum += straight.covariance(&here)? * weight;
            weights += weight;
        }
    }
    Ok(sum / weights)
}

fn better(
    best: &mut (f64, Noise),
    noise: Noise,
    deviance: &impl Fn(Noise) -> Result<f64, FitError>,
) -> Result<bool, FitError> {
    let here = deviance(noise)?;
    let is_better = here < best.0 - 1e-6;
    if is_better {
        *best = (here, noise);
    }
    Ok(is_better)
}

/// Mean spacing of readings, and the longest memory, s.
fn spacing_and_longest(problem: &Problem<'_>) -> (f64, f64) {
    let span = |times: &[f64]| times.last().unwrap_or(&0.0) - times.first().unwrap_or(&0.0);
    let all_s: f64 = problem.runs.iter().map(|run| span(&run.time_s)).sum();
    let runs = problem.runs.len();
    let spaces = problem.readings().saturating_sub(runs).max(1);
    (all_s / count(spaces), LONGEST_SHARE * all_s / count(runs.max(1)))
}

/// The model straightened at some parameters.
pub(crate) struct Straight<'a> {
    pub(crate) problem: &'a Problem<'a>,
    pub(crate) parameters: &'a DVector<f64>,
    pub(crate) blocks: &'a [DMatrix<f64>],
    pub(crate) white_sd: f64,
}

/// The straightened model under some noise.
pub(crate) struct UnderNoise {
    factored: Factorization,
    log_determinant: f64,
}

impl Straight<'_> {
    pub(crate) fn under(&self, noise: Noise) -> Result<UnderNoise, FitError> {
        let whiteners = whiteners(self.problem.runs, noise);
        let pairs = self.blocks.iter().zip(&whiteners);
        let small: Vec<_> = pairs.map(|(block, w)| folded(block.clone(), w)).collect();
        let nearby = self.problem.nearby(self.parameters, &small, self.white_sd);
        Ok(UnderNoise {
            factored: Factorization::new(&nearby.slopes, &nearby.residuals)?,
            log_determinant: whiteners.iter().map(Whitener::log_determinant).sum(),
        })
    }

    /// Variance of the white part, (m/s)².
    pub(crate) fn variance(&self, under: &UnderNoise) -> f64 {
        // Readings without any noise at all still have that of their digits.
        (under.factored.left_over() / self.problem.free()).max(LEAST_VARIANCE)
    }

    /// Minus twice the restricted log-likelihood, but for a constant.
    fn deviance(&self, under: &UnderNoise) -> f64 {
        self.problem.free() * libm::log(self.variance(under))
            + under.log_determinant
            + under.factored.log_determinant()
    }

    fn covariance(&self, under: &UnderNoise) -> Result<DMatrix<f64>, FitError> {
        Ok(under.factored.inverse_of_squares()? * self.variance(under))
    }
}
