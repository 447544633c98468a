//! What is fitted: runs, what is known of them, and the model of all their readings.

use crownwheel::coastdown::Coefficients;
use crownwheel::coastdown::curve::{Air, CurvePoint, RunConditions, speed_curve};
use nalgebra::{DMatrix, DVector};

use super::noise::{Noise, Whitener};
use crate::least_squares::count;
use crate::least_squares::nonlinear::LocalModel;

/// Readings of one run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Times, s, rising.
    pub time_s: Vec<f64>,
    /// Speeds at those times, m/s.
    pub speed_mps: Vec<f64>,
    /// 1 in the direction that gradient and headwind are stated for, -1 in the other.
    pub direction: f64,
    /// Sine of the road's angle where it is known, positive uphill as driven, one for each time;
    /// empty where it is not.
    pub slope_sin: Vec<f64>,
}

/// What is known of mass and weather of all runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunFacts {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Mass with turning parts, kg.
    pub effective_mass_kg: f64,
    /// Rolling resistance over that of the reference.
    pub rolling_factor: f64,
    /// Density of the air over that of the reference.
    pub density_ratio: f64,
    /// Wind from all round at the height of the car, m/s.
    pub all_round_mps: f64,
}

/// What is known of a quantity before the runs are looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Belief {
    /// It is this.
    Exactly(f64),
    /// It is about this, with this standard deviation.
    About(f64, f64),
    /// Only the runs can tell.
    Open,
}

impl Belief {
    fn fixed(self) -> Option<f64> {
        if let Belief::Exactly(value) = self { Some(value) } else { None }
    }

    fn start(self) -> f64 {
        match self {
            Belief::Exactly(value) | Belief::About(value, _) => value,
            Belief::Open => 0.0,
        }
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// What is known of all runs.
    pub known: RunFacts,
    /// Part of the road load that grows with speed, N per m/s. Known exactly: the fit is tied.
    pub linear: Belief,
    /// Sine of the road's angle, positive uphill in direction 1, besides what runs know of it.
    pub slope_sin: Belief,
    /// Headwind in direction 1 at the height of the car, m/s.
    pub headwind_mps: Belief,
}

/// Quantities that all runs share, in the order of the model's columns.
pub(crate) const SHARED: [CommonTerm; 5] =
    [CommonTerm::F0, CommonTerm::F1, CommonTerm::F2, CommonTerm::Slope, CommonTerm::Headwind];

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum CommonTerm {
    F0,
    F1,
    F2,
    Slope,
    Headwind,
}

/// Runs and question together: where each parameter stands.
#[derive(Clone, Debug)]
pub(crate) struct Problem<'a> {
    pub(crate) runs: &'a [Run],
    pub(crate) question: Question,
    /// Columns of the shared quantities that are fitted.
    pub(crate) fitted: Vec<CommonTerm>,
}

/// Where the walk starts, N and N per (m/s)²: a light car's.
const START: (f64, f64) = (0.013 * 9.8, 0.4);

impl<'a> Problem<'a> {
    pub(crate) fn new(runs: &'a [Run], question: Question) -> Problem<'a> {
        let mut problem = Problem { runs, question, fitted: Vec::new() };
        problem.fitted = SHARED
            .into_iter()
            .filter(|quantity| problem.belief(*quantity).fixed().is_none())
            .collect();
        problem
    }

    pub(crate) fn belief(&self, quantity: CommonTerm) -> Belief {
        match quantity {
            CommonTerm::F0 | CommonTerm::F2 => Belief::Open,
            CommonTerm::F1 => self.question.linear,
            CommonTerm::Slope => self.question.slope_sin,
            CommonTerm::Headwind => self.question.headwind_mps,
        }
    }

    /// Parameters to start from: the shared ones that are fitted, then each run's first speed.
    pub(crate) fn start(&self) -> DVector<f64> {
        let shared = self.fitted.iter().map(|quantity| match quantity {
            CommonTerm::F0 => START.0 * self.question.known.mass_kg,
            CommonTerm::F2 => START.1,
            other => self.belief(*other).start(),
        });
        let first = self.runs.iter().map(|run| run.speed_mps.first().copied().unwrap_or(0.0));
        DVector::from_iterator(self.parameters(), shared.chain(first))
    }

    pub(crate) fn parameters(&self) -> usize {
        self.fitted.len() + self.runs.len()
    }

    pub(crate) fn readings(&self) -> usize {
        self.runs.iter().map(|run| run.time_s.len()).sum()
    }

    /// Readings less parameters, at least 1.
    pub(crate) fn free(&self) -> f64 {
        count(self.readings().saturating_sub(self.parameters()).max(1))
    }

    /// Place of a shared quantity among the parameters.
    pub(crate) fn place(&self, quantity: CommonTerm) -> Option<usize> {
        self.fitted.iter().position(|fitted| *fitted == quantity)
    }

    /// Value of a shared quantity, fitted or known.
    pub(crate) fn value(&self, parameters: &DVector<f64>, quantity: CommonTerm) -> f64 {
        match self.place(quantity) {
            Some(place) => parameters[place],
            None => self.belief(quantity).start(),
        }
    }

    pub(crate) fn coefficients(&self, parameters: &DVector<f64>) -> Coefficients {
        Coefficients {
            f0_n: self.value(parameters, CommonTerm::F0),
            f1_n_per_mps: self.value(parameters, CommonTerm::F1),
            f2_n_per_mps2: self.value(parameters, CommonTerm::F2),
        }
    }

    /// The curve of a run.
    pub(crate) fn curve(&self, parameters: &DVector<f64>, place: usize) -> Vec<CurvePoint> {
        let (run, known) = (&self.runs[place], self.question.known);
        let conditions = RunConditions {
            mass_kg: known.mass_kg,
            effective_mass_kg: known.effective_mass_kg,
            slope_sin: run.direction * self.value(parameters, CommonTerm::Slope),
            air: Air {
                headwind_mps: run.direction * self.value(parameters, CommonTerm::Headwind),
                all_round_mps: known.all_round_mps,
            },
            rolling_factor: known.rolling_factor,
            density_ratio: known.density_ratio,
        };
        let first_mps = parameters[self.fitted.len() + place];
        let load = self.coefficients(parameters);
        speed_curve(&load, &conditions, first_mps, &run.time_s, &run.slope_sin)
    }

    /// Slopes of a run's curve by the fitted shared quantities and its first speed, and what is
    /// left over in the last column.
    pub(crate) fn block(&self, parameters: &DVector<f64>, place: usize) -> DMatrix<f64> {
        let run = &self.runs[place];
        let curve = self.curve(parameters, place);
        let columns = self.fitted.len() + 2;
        let mut block = DMatrix::zeros(curve.len(), columns);
        for (i, point) in curve.iter().enumerate() {
            for (k, quantity) in self.fitted.iter().enumerate() {
                block[(i, k)] = match quantity {
                    CommonTerm::F0 => point.slopes[0],
                    CommonTerm::F1 => point.slopes[1],
                    CommonTerm::F2 => point.slopes[2],
                    CommonTerm::Slope => run.direction * point.slopes[3],
                    CommonTerm::Headwind => run.direction * point.slopes[4],
                };
            }
            block[(i, columns - 2)] = point.slopes[5];
            block[(i, columns - 1)] = run.speed_mps[i] - point.speed_mps;
        }
        block
    }

    /// Beliefs as readings: what is left over and slope, in units of the white noise.
    pub(crate) fn beliefs(
        &self,
        parameters: &DVector<f64>,
        white_sd: f64,
    ) -> Vec<(usize, f64, f64)> {
        let row = |(place, quantity): (usize, &CommonTerm)| match self.belief(*quantity) {
            Belief::About(mean, sd) => {
                let weight = white_sd / sd;
                Some((place, weight, weight * (mean - parameters[place])))
            }
            _ => None,
        };
        self.fitted.iter().enumerate().filter_map(row).collect()
    }

    /// The blocks of all runs put together.
    pub(crate) fn nearby(
        &self,
        parameters: &DVector<f64>,
        blocks: &[DMatrix<f64>],
        white_sd: f64,
    ) -> LocalModel {
        let shared = self.fitted.len();
        let beliefs = self.beliefs(parameters, white_sd);
        let rows: usize = blocks.iter().map(DMatrix::nrows).sum::<usize>() + beliefs.len();
        let mut slopes = DMatrix::zeros(rows, self.parameters());
        let mut residuals = DVector::zeros(rows);
        let mut row = 0;
        for (run, block) in blocks.iter().enumerate() {
            for i in 0..block.nrows() {
                for k in 0..shared {
                    slopes[(row, k)] = block[(i, k)];
                }
                slopes[(row, shared + run)] = block[(i, shared)];
                residuals[row] = block[(i, shared + 1)];
                row += 1;
            }
        }
        for (place, slope, residual) in beliefs {
            slopes[(row, place)] = slope;
            residuals[row] = residual;
            row += 1;
        }
        LocalModel { slopes, residuals }
    }
}

/// A block whitened, and folded into as many rows as it has columns: squares and fit stay the same.
pub(crate) fn folded(mut block: DMatrix<f64>, whitener: &Whitener) -> DMatrix<f64> {
    for mut column in block.column_iter_mut() {
        whitener.apply(column.iter_mut());
    }
    if block.nrows() <= block.ncols() {
        return block;
    }
    // Slopes by a coefficient and by a gradient differ by orders of ten: that does not hurt a fold.
    block.qr().unpack_r()
}

/// Whiteners of all runs.
pub(crate) fn whiteners(runs: &[Run], noise: Noise) -> Vec<Whitener> {
    runs.iter().map(|run| Whitener::new(noise, &run.time_s)).collect()
}
