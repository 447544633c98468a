//! The whole fit: walk, noise, walk again, bands.

use crownwheel::coastdown::Coefficients;
use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::noise::Noise;
use super::problem::{CommonTerm, Problem, Question, Run, SHARED, folded, whiteners};
use super::reml::{self, Straight};
use super::scatter;
use crate::least_squares::nonlinear::walk;
use crate::least_squares::{Factorization, FitError, count};

/// A fitted quantity.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Estimate {
    /// Value.
    pub value: f64,
    /// Standard error; 0 if it was known.
    pub se: f64,
}

/// A run as the fit sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct RunFit {
    /// Fitted speeds at the run's times, m/s.
    pub speed_mps: Vec<f64>,
}

/// Road load fitted to runs.
#[derive(Clone, Debug, PartialEq)]
pub struct RoadLoadFit {
    /// Coefficients at the reference: 20 °C, 100 kPa, still air, flat road, the mass of the runs.
    pub coefficients: Coefficients,
    /// Covariance of `f0`, `f1`, `f2`, SI; noughts for a coefficient that was tied.
    pub covariance: [[f64; 3]; 3],
    /// Degrees of freedom of Student's t for the bands.
    pub degrees_of_freedom: f64,
    /// Sine of the road's angle in direction 1.
    pub slope_sin: Estimate,
    /// Headwind in direction 1, m/s.
    pub headwind_mps: Estimate,
    /// Standard deviation of what is left over, m/s.
    pub residual_sd_mps: f64,
    /// Memory of the noise.
    pub noise: Noise,
    /// How far runs differ by more than that.
    pub scatter: scatter::Scatter,
    /// The runs, in the order given.
    pub runs: Vec<RunFit>,
    /// Readings used.
    pub readings: usize,
}

impl RoadLoadFit {
    /// Half width of the 95 % band over the standard error, by Student's t.
    #[must_use]
    pub fn band_factor(&self) -> f64 {
        band_factor(self.degrees_of_freedom)
    }

    /// Correlation of two coefficients by their places; 0 for one that was tied.
    #[must_use]
    pub fn correlation(&self, i: usize, j: usize) -> f64 {
        let sizes = (self.covariance[i][i] * self.covariance[j][j]).sqrt();
        if sizes > 0.0 { self.covariance[i][j] / sizes } else { 0.0 }
    }

    /// Standard error of a coefficient by its place.
    #[must_use]
    pub fn se(&self, i: usize) -> f64 {
        self.covariance[i][i].max(0.0).sqrt()
    }

    /// Standard error of the force at a speed in m/s, N.
    #[must_use]
    pub fn force_se_n(&self, speed_mps: f64) -> f64 {
        let powers = [1.0, speed_mps, speed_mps * speed_mps];
        let mut variance = 0.0;
        for (row, a) in self.covariance.iter().zip(powers) {
            for (covariance, b) in row.iter().zip(powers) {
                variance += a * covariance * b;
            }
        }
        variance.max(0.0).sqrt()
    }
}

/// Student's t that 19 of 20 stay below on both sides.
#[must_use]
fn band_factor(degrees_of_freedom: f64) -> f64 {
    // Never none: the location is 0, the scale 1, and the freedom at least 1. Beyond 1e5 the value moves
    // by less than 3e-5, and the library's own digits are fewer than that.
    StudentsT::new(0.0, 1.0, degrees_of_freedom.clamp(1.0, 1e5))
        .map_or(f64::INFINITY, |t| t.inverse_cdf(0.975))
}

/// Times that walk and noise are found in turn.
const ROUNDS: usize = 2;

/// White noise to begin with, m/s; it only weighs beliefs, and is replaced at once.
const FIRST_SD_MPS: f64 = 0.1;

/// What estimating size and memory of the noise costs: the covariance grows by this share of the
/// degrees of freedom. Found by simulation, so that bands hold 19 times of 20 with noise that
/// lasts a tenth of a run as they do with white noise.
const FOR_THE_NOISE: f64 = 4.0;

/// Fits road load to runs.
///
/// # Errors
/// [`FitError`] when the runs cannot tell the parameters apart, or the fit does not settle.
pub fn fit(runs: &[Run], question: Question) -> Result<RoadLoadFit, FitError> {
    let problem = Problem::new(runs, question);
    if problem.readings() <= problem.parameters() {
        return Err(FitError::TooFew {
            observations: problem.readings(),
            parameters: problem.parameters(),
        });
    }
    let (mut noise, mut white_sd) = (Noise::WHITE, FIRST_SD_MPS);
    let mut parameters = walked(&problem, problem.start(), noise, white_sd)?;
    for _ in 0..ROUNDS {
        let blocks = blocks(&problem, &parameters);
        let (problem, parameters_now) = (&problem, &parameters);
        let straight = Straight { problem, parameters: parameters_now, blocks: &blocks, white_sd };
        noise = reml::likeliest(&straight)?;
        white_sd = straight.variance(&straight.under(noise)?).sqrt();
        parameters = walked(problem, parameters.clone(), noise, white_sd)?;
    }
    result(&problem, &parameters, noise, white_sd)
}

fn blocks(problem: &Problem<'_>, parameters: &DVector<f64>) -> Vec<DMatrix<f64>> {
    (0..problem.runs.len()).map(|run| problem.block(parameters, run)).collect()
}

fn walked(
    problem: &Problem<'_>,
    start: DVector<f64>,
    noise: Noise,
    white_sd: f64,
) -> Result<DVector<f64>, FitError> {
    let whiteners = whiteners(problem.runs, noise);
    let end = walk(start, |parameters| {
        let small: Vec<_> = whiteners
            .iter()
            .enumerate()
            .map(|(run, whitener)| folded(problem.block(parameters, run), whitener))
            .collect();
        problem.nearby(parameters, &small, white_sd)
    })?;
    Ok(end.parameters)
}

fn result(
    problem: &Problem<'_>,
    parameters: &DVector<f64>,
    noise: Noise,
    white_sd: f64,
) -> Result<RoadLoadFit, FitError> {
    let blocks = blocks(problem, parameters);
    let whiteners = whiteners(problem.runs, noise);
    let small: Vec<DMatrix<f64>> =
        blocks.iter().zip(&whiteners).map(|(block, w)| folded(block.clone(), w)).collect();
    let nearby = problem.nearby(parameters, &small, white_sd);
    let factored = Factorization::new(&nearby.slopes, &nearby.residuals)?;
    let variance = factored.left_over() / count(problem.readings() - problem.parameters());
    let mut starts = vec![0];
    for block in &small {
        starts.push(starts.last().copied().unwrap_or(0) + block.nrows());
    }
    let by_force = nearby.slopes.column(0).into_owned();
    let scatter =
        scatter::scatter(&nearby.slopes, &nearby.residuals, &by_force, &starts, variance)?;
    let straight = Straight { problem, parameters, blocks: &blocks, white_sd };
    let independent: f64 = problem.runs.iter().map(|run| noise.independent(&run.time_s)).sum();
    let within = (independent - count(problem.parameters())).max(1.0);
    let of_noise = reml::mean_covariance(&straight, noise)? * (1.0 + FOR_THE_NOISE / within);
    let covariance = &of_noise + &scatter.added;
    let of_shared = |quantity: CommonTerm| Estimate {
        value: problem.value(parameters, quantity),
        se: problem.place(quantity).map_or(0.0, |i| covariance[(i, i)].max(0.0).sqrt()),
    };
    let last = problem.fitted.len() + 1;
    let squares: f64 = blocks.iter().map(|block| block.column(last).norm_squared()).sum();
    let runs = (0..problem.runs.len()).map(|run| RunFit {
        speed_mps: problem.curve(parameters, run).iter().map(|point| point.speed_mps).collect(),
    });
    Ok(RoadLoadFit {
        coefficients: problem.coefficients(parameters),
        covariance: of_coefficients(problem, &covariance),
        degrees_of_freedom: pooled(
            (of_noise[(0, 0)], within),
            (scatter.added[(0, 0)], scatter.degrees_of_freedom),
        ),
        slope_sin: of_shared(CommonTerm::Slope),
        headwind_mps: of_shared(CommonTerm::Headwind),
        residual_sd_mps: (squares / count(problem.readings())).sqrt(),
        noise,
        scatter,
        runs: runs.collect(),
        readings: problem.readings(),
    })
}

/// Degrees of freedom of a sum of two variances (Welch and Satterthwaite), each with its own.
fn pooled((one, one_free): (f64, f64), (other, other_free): (f64, f64)) -> f64 {
    let sum = one + other;
    sum * sum / (one * one / one_free + other * other / other_free)
}

fn of_coefficients(problem: &Problem<'_>, covariance: &DMatrix<f64>) -> [[f64; 3]; 3] {
    let mut out = [[0.0; 3]; 3];
    for (i, row) in out.iter_mut().enumerate() {
        for (j, value) in row.iter_mut().enumerate() {
            if let (Some(a), Some(b)) = (problem.place(SHARED[i]), problem.place(SHARED[j])) {
                *value = covariance[(a, b)];
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{Belief, RunFacts};
    use crownwheel::coastdown::curve::{Air, RunConditions, speed_curve};

    const TRUTH: Coefficients = Coefficients { f0_n: 110.0, f1_n_per_mps: 1.0, f2_n_per_mps2: 0.4 };

    fn known() -> RunFacts {
        RunFacts {
            mass_kg: 900.0,
            effective_mass_kg: 930.0,
            rolling_factor: 1.05,
            density_ratio: 1.02,
            all_round_mps: 0.0,
        }
    }

    /// Runs there and back with a little unevenness, on a slope and in a wind.
    fn runs(directions: &[f64]) -> Vec<Run> {
        let time_s: Vec<f64> = (0..80).map(f64::from).collect();
        let run = |direction: &f64| {
            let conditions = RunConditions {
                mass_kg: 900.0,
                effective_mass_kg: 930.0,
                slope_sin: 0.003 * direction,
                air: Air { headwind_mps: 1.2 * direction, all_round_mps: 0.0 },
                rolling_factor: 1.05,
                density_ratio: 1.02,
            };
            let curve = speed_curve(&TRUTH, &conditions, 31.0, &time_s, &[]);
            let uneven = time_s.iter().map(|t| 1e-3 * libm::sin(2.1 * t + direction));
            let speed_mps = curve.iter().zip(uneven).map(|(p, u)| p.speed_mps + u).collect();
            let (direction, slope_sin) = (*direction, Vec::new());
            Run { time_s: time_s.clone(), speed_mps, direction, slope_sin }
        };
        directions.iter().map(run).collect()
    }

    fn question(slope_sin: Belief, headwind_mps: Belief) -> Question {
        Question { known: known(), linear: Belief::Open, slope_sin, headwind_mps }
    }

    #[test]
    fn both_ways_tell_road_load_slope_and_wind() {
        let question = question(Belief::Open, Belief::Open);
        let fit = fit(&runs(&[1.0, -1.0, 1.0, -1.0]), question).unwrap();
        assert!((fit.coefficients.f0_n - TRUTH.f0_n).abs() < 0.5, "{:?}", fit.coefficients);
        assert!((fit.coefficients.f2_n_per_mps2 - TRUTH.f2_n_per_mps2).abs() < 0.003);
        assert!((fit.slope_sin.value - 0.003).abs() < 5e-5, "{:?}", fit.slope_sin);
        assert!((fit.headwind_mps.value - 1.2).abs() < 0.05, "{:?}", fit.headwind_mps);
        assert!(fit.residual_sd_mps < 1.5e-3);
    }

    #[test]
    fn what_is_known_is_left_alone_and_what_is_about_known_widens() {
        let exactly = question(Belief::Exactly(0.003), Belief::Exactly(1.2));
        let known = fit(&runs(&[1.0, 1.0]), exactly).unwrap();
        assert!((known.coefficients.f0_n - TRUTH.f0_n).abs() < 0.5);
        assert!(known.slope_sin.se.abs() < 1e-15);
        let about = question(Belief::About(0.003, 0.002), Belief::Exactly(1.2));
        let about = fit(&runs(&[1.0, 1.0]), about).unwrap();
        // 0.2 % of 900 kg, at the reference.
        let wanted = 0.002 * 900.0 * 9.806_65 / 1.05;
        assert!((about.se(0) / wanted - 1.0).abs() < 0.05, "{} {wanted}", about.se(0));
    }

    #[test]
    fn one_way_with_nothing_known_cannot_be_told_apart() {
        let open = question(Belief::Open, Belief::Open);
        let refused = fit(&runs(&[1.0, 1.0]), open).map(|_| ());
        assert!(matches!(refused, Err(FitError::CannotTellApart { .. })), "{refused:?}");
        assert!(matches!(fit(&[], open), Err(FitError::TooFew { .. })));
    }

    #[test]
    fn a_tied_part_stays_and_has_no_error() {
        let tied =
            Question { linear: Belief::Exactly(1.0), ..question(Belief::Open, Belief::Open) };
        let fit = fit(&runs(&[1.0, -1.0]), tied).unwrap();
        assert!((fit.coefficients.f1_n_per_mps - 1.0).abs() < 1e-15 && fit.se(1).abs() < 1e-15);
        assert!(fit.correlation(0, 1).abs() < 1e-15 && fit.correlation(0, 2) < -0.5);
        let speed_mps = 20.0;
        let by_hand = fit.covariance[0][0]
            + 2.0 * fit.covariance[0][2] * 400.0
            + fit.covariance[2][2] * 160_000.0;
        assert!((fit.force_se_n(speed_mps).powi(2) / by_hand - 1.0).abs() < 1e-9);
    }

    #[test]
    fn bands_follow_students_t() {
        assert!((band_factor(10.0) - 2.228_139).abs() < 1e-5);
        assert!((band_factor(1e9) - 1.959_964).abs() < 3e-5);
        assert!(band_factor(0.1) > 12.0);
    }
}
