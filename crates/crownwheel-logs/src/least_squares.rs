//! Least squares by orthogonal factors, never by normal equations.
//!
//! [`linear`] fits a straight model; [`nonlinear`] walks to the best fit of a curved one. Columns are
//! scaled before they are factored, so the units of the parameters do not matter. Both are checked
//! against the certified values of the NIST Statistical Reference Datasets.

mod factor;
pub mod nonlinear;

use nalgebra::{DMatrix, DVector};

pub use factor::Factorization;

/// Why a fit cannot be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum FitError {
    /// Fewer observations than parameters.
    TooFew {
        /// Observations.
        observations: usize,
        /// Parameters.
        parameters: usize,
    },
    /// Rows of the model and observations differ in number.
    Lengths {
        /// Rows of the model.
        rows: usize,
        /// Observations.
        observations: usize,
    },
    /// A number is not finite.
    NotFinite,
    /// A parameter changes nothing that another does not change likewise.
    CannotTellApart {
        /// Place of the parameter in the model.
        parameter: usize,
    },
    /// The walk to the best fit does not arrive.
    DoesNotSettle {
        /// Steps taken.
        steps: usize,
    },
}

impl std::fmt::Display for FitError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            FitError::TooFew { observations, parameters } => {
                write!(f, "{observations} observations cannot tell {parameters} parameters")
            }
            FitError::Lengths { rows, observations } => {
                write!(f, "the model has {rows} rows for {observations} observations")
            }
            FitError::NotFinite => write!(f, "a number of the fit is not finite"),
            FitError::CannotTellApart { parameter } => {
                write!(f, "the data cannot tell parameter {parameter} from the others")
            }
            FitError::DoesNotSettle { steps } => {
                write!(f, "the fit does not settle in {steps} steps")
            }
        }
    }
}

impl std::error::Error for FitError {}

/// A fitted straight model `y = X b + e`.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearFit {
    /// Parameters `b`.
    pub parameters: Vec<f64>,
    /// Their standard errors; 0 without degrees of freedom.
    pub standard_errors: Vec<f64>,
    /// Sum of squared residuals.
    pub sum_of_squares: f64,
    /// Observations less parameters.
    pub degrees_of_freedom: usize,
    /// `y - X b`.
    pub residuals: Vec<f64>,
}

impl LinearFit {
    /// Residual standard deviation, in the unit of the observations; 0 without degrees of freedom.
    #[must_use]
    pub fn residual_sd(&self) -> f64 {
        residual_sd(self.sum_of_squares, self.degrees_of_freedom)
    }
}

/// Fits a straight model: a row of `model` for each observation, a column for each parameter.
///
/// # Errors
/// [`FitError`] when there are too few observations, a number is not finite, or a column is a mix
/// of others to fourteen digits.
///
/// ```
/// use crownwheel_logs::least_squares::linear;
/// use nalgebra::{DMatrix, DVector};
/// // Through (0, 1), (1, 3), (2, 5): 1 + 2 x.
/// let model = DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 1.0, 1.0, 1.0, 2.0]);
/// let fit = linear(&model, &DVector::from_column_slice(&[1.0, 3.0, 5.0]))?;
/// assert!((fit.parameters[0] - 1.0).abs() < 1e-12 && (fit.parameters[1] - 2.0).abs() < 1e-12);
/// # Ok::<(), crownwheel_logs::least_squares::FitError>(())
/// ```
pub fn linear(model: &DMatrix<f64>, observed: &DVector<f64>) -> Result<LinearFit, FitError> {
    if model.nrows() != observed.len() {
        return Err(FitError::Lengths { rows: model.nrows(), observations: observed.len() });
    }
    let factored = Factorization::new(model, observed)?;
    let mut parameters = factored.solution()?;
    // One step of refinement: the residuals are fitted once more.
    let left = observed - model * &parameters;
    parameters += Factorization::new(model, &left)?.solution()?;
    let residuals = observed - model * &parameters;
    // The differences of large numbers are in the residuals, not in what the reflections leave.
    let sum_of_squares = factored.left_over();
    let degrees_of_freedom = model.nrows() - model.ncols();
    let sd = residual_sd(sum_of_squares, degrees_of_freedom);
    let covariance = factored.inverse_of_squares()?;
    Ok(LinearFit {
        standard_errors: covariance.diagonal().iter().map(|v| sd * v.sqrt()).collect(),
        parameters: parameters.iter().copied().collect(),
        sum_of_squares,
        degrees_of_freedom,
        residuals: residuals.iter().copied().collect(),
    })
}

fn residual_sd(sum_of_squares: f64, degrees_of_freedom: usize) -> f64 {
    if degrees_of_freedom == 0 {
        return 0.0;
    }
    (sum_of_squares / count(degrees_of_freedom)).sqrt()
}

/// A number of things as a float; exact up to 2^53.
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(columns: usize, numbers: &[f64]) -> DMatrix<f64> {
        DMatrix::from_row_slice(numbers.len() / columns, columns, numbers)
    }

    #[test]
    fn what_cannot_be_fitted_is_refused_with_the_reason() {
        let y = DVector::from_column_slice(&[1.0, 2.0]);
        let wide = matrix(3, &[1.0, 2.0, 3.0, 4.0, 5.0, 7.0]);
        assert_eq!(linear(&wide, &y), Err(FitError::TooFew { observations: 2, parameters: 3 }));
        let long = matrix(1, &[1.0, 2.0, 3.0]);
        assert_eq!(linear(&long, &y), Err(FitError::Lengths { rows: 3, observations: 2 }));
        let y3 = DVector::from_column_slice(&[1.0, 2.0, f64::NAN]);
        assert_eq!(linear(&long, &y3), Err(FitError::NotFinite));
        let alike = matrix(2, &[1.0, 2.0, 2.0, 4.0, 3.0, 6.0]);
        let y3 = DVector::from_column_slice(&[1.0, 2.0, 3.0]);
        assert!(matches!(linear(&alike, &y3), Err(FitError::CannotTellApart { .. })));
        let nothing = matrix(2, &[1.0, 0.0, 2.0, 0.0, 3.0, 0.0]);
        assert_eq!(linear(&nothing, &y3), Err(FitError::CannotTellApart { parameter: 1 }));
    }

    #[test]
    fn units_of_the_parameters_do_not_matter() {
        let rows = [(0.0, 1.1), (1.0, 2.9), (2.0, 5.2), (3.0, 6.8)];
        let y = DVector::from_iterator(4, rows.iter().map(|r| r.1));
        let of = |scale: f64| {
            let numbers: Vec<f64> = rows.iter().flat_map(|r| [1.0, r.0 * scale]).collect();
            linear(&matrix(2, &numbers), &y).unwrap()
        };
        let (one, other) = (of(1.0), of(1e-12));
        assert!((one.parameters[1] / (other.parameters[1] * 1e-12) - 1.0).abs() < 1e-12);
        assert!((one.standard_errors[1] / (other.standard_errors[1] * 1e-12) - 1.0).abs() < 1e-12);
        assert!((one.residual_sd() - other.residual_sd()).abs() < 1e-12);
    }

    #[test]
    fn a_fit_without_anything_left_over_has_no_error() {
        let y = DVector::from_column_slice(&[1.0, 2.0]);
        let fit = linear(&matrix(2, &[1.0, 0.0, 1.0, 1.0]), &y).unwrap();
        assert_eq!(fit.degrees_of_freedom, 0);
        assert!(fit.residual_sd().abs() < 1e-15 && fit.standard_errors[0].abs() < 1e-15);
    }
}
