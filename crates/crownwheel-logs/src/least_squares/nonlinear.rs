//! The best fit of a curved model, by Levenberg's and Marquardt's steps.

use nalgebra::{DMatrix, DVector};

use super::{Factorization, FitError};

/// Steps after which a walk that has not arrived is given up.
const MOST_STEPS: usize = 200;

/// A step that promises less than this share of the squares has arrived.
const ARRIVED: f64 = 1e-15;

/// A model near some parameters: residuals, observed less modelled, and the slopes of the model.
#[derive(Clone, Debug, PartialEq)]
pub struct LocalModel {
    /// Observed less modelled.
    pub residuals: DVector<f64>,
    /// Derivatives of the modelled values, a column for each parameter.
    pub slopes: DMatrix<f64>,
}

/// Where the walk ended.
#[derive(Clone, Debug)]
pub struct Solution {
    /// Parameters of least squares.
    pub parameters: DVector<f64>,
    /// The model there.
    pub nearby: LocalModel,
    /// Sum of squared residuals.
    pub sum_of_squares: f64,
    /// Steps taken.
    pub steps: usize,
}

/// Walks from `start` to parameters that leave the least squares.
///
/// Each step solves the straightened model by orthogonal factors, with the damping as extra rows
/// scaled to the columns; a step that makes the fit worse is taken back and damped ten times more.
///
/// # Errors
/// [`FitError`] if the model cannot be fitted at the start, or the walk does not arrive.
pub fn walk(
    start: DVector<f64>,
    model: impl Fn(&DVector<f64>) -> LocalModel,
) -> Result<Solution, FitError> {
    let mut parameters = start;
    let mut nearby = model(&parameters);
    let mut sum_of_squares = nearby.residuals.norm_squared();
    let mut damping = 0.0;
    for steps in 0..MOST_STEPS {
        let step = damped_step(&nearby, damping)?;
        let promised = (&nearby.slopes * &step).norm_squared();
        if promised <= ARRIVED * sum_of_squares {
            return Ok(Solution { parameters: parameters + step, nearby, sum_of_squares, steps });
        }
        let ahead = &parameters + &step;
        let there = model(&ahead);
        let squares_there = there.residuals.norm_squared();
        if squares_there <= sum_of_squares {
            (parameters, nearby, sum_of_squares) = (ahead, there, squares_there);
            damping = if damping > 1e-6 { 0.1 * damping } else { 0.0 };
        } else if damping > 1e12 {
            // Rounding hides what is left to gain.
            return Ok(Solution { parameters, nearby, sum_of_squares, steps });
        } else {
            damping = (10.0 * damping).max(1e-3);
        }
    }
    Err(FitError::DoesNotSettle { steps: MOST_STEPS })
}

fn damped_step(nearby: &LocalModel, damping: f64) -> Result<DVector<f64>, FitError> {
    if damping <= 0.0 {
        return Factorization::new(&nearby.slopes, &nearby.residuals)?.solution();
    }
    let (rows, columns) = nearby.slopes.shape();
    let mut slopes = nearby.slopes.clone().resize_vertically(rows + columns, 0.0);
    for i in 0..columns {
        slopes[(rows + i, i)] = (damping.sqrt()) * nearby.slopes.column(i).norm();
    }
    let residuals = nearby.residuals.clone().resize_vertically(rows + columns, 0.0);
    Factorization::new(&slopes, &residuals)?.solution()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `a exp(-b x)` at 0 to 9, with its slopes.
    fn decay(observed: &[f64]) -> impl Fn(&DVector<f64>) -> LocalModel + '_ {
        move |p| {
            let xs: Vec<f64> = (0..10).map(f64::from).collect();
            let rows = xs.iter().flat_map(|x| {
                let e = libm::exp(-p[1] * x);
                [e, -p[0] * x * e]
            });
            let numbers: Vec<f64> = rows.collect();
            let modelled = xs.iter().map(|x| p[0] * libm::exp(-p[1] * x));
            LocalModel {
                residuals: DVector::from_iterator(
                    10,
                    observed.iter().zip(modelled).map(|(y, m)| y - m),
                ),
                slopes: DMatrix::from_row_slice(10, 2, &numbers),
            }
        }
    }

    fn observed(a: f64, b: f64) -> Vec<f64> {
        (0..10).map(|x| a * libm::exp(-b * f64::from(x))).collect()
    }

    #[test]
    fn exact_data_give_back_the_truth_from_near_and_far() {
        let data = observed(5.0, 0.3);
        for start in [[4.0, 0.2], [1.0, 0.0], [50.0, 2.0], [0.1, -0.2]] {
            let end = walk(DVector::from_column_slice(&start), decay(&data)).unwrap();
            assert!((end.parameters[0] - 5.0).abs() < 1e-9, "{start:?}: {}", end.parameters);
            assert!((end.parameters[1] - 0.3).abs() < 1e-10, "{start:?}: {}", end.parameters);
        }
    }

    #[test]
    fn at_the_end_the_residuals_stand_square_to_the_slopes() {
        let mut data = observed(5.0, 0.3);
        for (i, value) in data.iter_mut().enumerate() {
            *value += if i % 3 == 0 { 0.2 } else { -0.1 };
        }
        let end = walk(DVector::from_column_slice(&[4.0, 0.2]), decay(&data)).unwrap();
        let nearby = decay(&data)(&end.parameters);
        let gradient = nearby.slopes.transpose() * &nearby.residuals;
        assert!(gradient.norm() < 1e-6, "{gradient}");
        // A little to every side it fits worse.
        for (i, h) in [(0, 1e-3), (0, -1e-3), (1, 1e-4), (1, -1e-4)] {
            let mut beside = end.parameters.clone();
            beside[i] += h;
            assert!(decay(&data)(&beside).residuals.norm_squared() > end.sum_of_squares);
        }
    }

    #[test]
    fn a_parameter_without_effect_is_named() {
        let flat = |_: &DVector<f64>| LocalModel {
            residuals: DVector::from_column_slice(&[1.0, 2.0, 3.0]),
            slopes: DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 1.0, 0.0, 1.0, 0.0]),
        };
        let end = walk(DVector::from_column_slice(&[0.0, 0.0]), flat);
        assert_eq!(end.map(|_| ()), Err(FitError::CannotTellApart { parameter: 1 }));
    }
}
