//! A model factored once: solution, covariance and determinant all come from the triangle.

use nalgebra::{DMatrix, DVector};

use super::FitError;

/// A column whose part of its own is smaller than this, over its length, is a mix of the others.
const OWN_PART_AT_LEAST: f64 = 1e-14;

/// `S R = Q^T X` with columns scaled to length 1, and `Q^T y`.
#[derive(Clone, Debug, PartialEq)]
pub struct Factorization {
    /// Lengths of the columns.
    scale: DVector<f64>,
    /// Triangle of the scaled columns.
    triangle: DMatrix<f64>,
    /// First entries of `Q^T y`, one for each parameter.
    right: DVector<f64>,
    /// Squares that no parameter can take away.
    left_over: f64,
}

impl Factorization {
    /// Factors a model with its observations, by Householder's reflections.
    ///
    /// # Errors
    /// [`FitError`] as in [`super::linear`]. Columns that are mixes of others are found later, by
    /// [`Self::solution`].
    pub fn new(model: &DMatrix<f64>, observed: &DVector<f64>) -> Result<Factorization, FitError> {
        let (rows, columns) = model.shape();
        if rows < columns {
            return Err(FitError::TooFew { observations: rows, parameters: columns });
        }
        if !model.iter().chain(observed.iter()).all(|v| v.is_finite()) {
            return Err(FitError::NotFinite);
        }
        let scale = DVector::from_iterator(columns, model.column_iter().map(|c| c.norm()));
        if let Some(parameter) = scale.iter().position(|length| *length <= 0.0) {
            return Err(FitError::CannotTellApart { parameter });
        }
        let mut scaled = model.clone();
        for (mut column, length) in scaled.column_iter_mut().zip(scale.iter()) {
            column /= *length;
        }
        let factors = scaled.qr();
        let mut right = observed.clone();
        factors.q_tr_mul(&mut right);
        let left_over = right.rows(columns, rows - columns).norm_squared();
        Ok(Factorization {
            scale,
            triangle: factors.r(),
            right: right.rows(0, columns).into_owned(),
            left_over,
        })
    }

    /// The parameters of least squares.
    ///
    /// # Errors
    /// [`FitError::CannotTellApart`] if a column is a mix of those before it.
    pub fn solution(&self) -> Result<DVector<f64>, FitError> {
        self.own_parts()?;
        let scaled = self
            .triangle
            .solve_upper_triangular(&self.right)
            .ok_or(FitError::CannotTellApart { parameter: 0 })?;
        Ok(scaled.component_div(&self.scale))
    }

    /// `(X^T X)^-1`: times the variance of the noise it is the covariance of the parameters.
    ///
    /// # Errors
    /// As [`Self::solution`].
    pub fn inverse_of_squares(&self) -> Result<DMatrix<f64>, FitError> {
        let inverse = self.inverse_triangle()?;
        Ok(&inverse * inverse.transpose())
    }

    /// `R^-1` of the unscaled model, so that its product with its transpose is `(X^T X)^-1`.
    ///
    /// # Errors
    /// As [`Self::solution`].
    pub fn inverse_triangle(&self) -> Result<DMatrix<f64>, FitError> {
        self.own_parts()?;
        let size = self.triangle.ncols();
        let mut inverse = self
            .triangle
            .solve_upper_triangular(&DMatrix::identity(size, size))
            .ok_or(FitError::CannotTellApart { parameter: 0 })?;
        for (mut row, length) in inverse.row_iter_mut().zip(self.scale.iter()) {
            row /= *length;
        }
        Ok(inverse)
    }

    /// Logarithm of the determinant of `X^T X`.
    #[must_use]
    pub fn log_determinant(&self) -> f64 {
        let own = self.triangle.diagonal();
        own.iter().zip(self.scale.iter()).map(|(r, s)| 2.0 * libm::log(r.abs() * s)).sum()
    }

    /// Squares that no parameter can take away.
    #[must_use]
    pub fn left_over(&self) -> f64 {
        self.left_over
    }

    /// The triangle with the lengths of the columns put back, and the right side: a model of as
    /// many rows as parameters with the same fit.
    #[must_use]
    pub fn condensed(&self) -> (DMatrix<f64>, DVector<f64>) {
        let mut triangle = self.triangle.clone();
        for (mut column, length) in triangle.column_iter_mut().zip(self.scale.iter()) {
            column *= *length;
        }
        (triangle, self.right.clone())
    }

    fn own_parts(&self) -> Result<(), FitError> {
        let own = self.triangle.diagonal();
        // Not `<`: a part that is not a number is none.
        let small = own.iter().position(|r| {
            r.abs().partial_cmp(&OWN_PART_AT_LEAST) != Some(std::cmp::Ordering::Greater)
        });
        small.map_or(Ok(()), |parameter| Err(FitError::CannotTellApart { parameter }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> (DMatrix<f64>, DVector<f64>) {
        let model = DMatrix::from_row_slice(4, 2, &[1.0, 2.0, 1.0, 3.0, 1.0, 5.0, 1.0, 9.0]);
        (model, DVector::from_column_slice(&[1.0, 4.0, 2.0, 8.0]))
    }

    #[test]
    fn the_triangle_tells_what_the_normal_equations_would() {
        let (model, observed) = example();
        let factored = Factorization::new(&model, &observed).unwrap();
        let squares = model.transpose() * &model;
        assert!((factored.log_determinant() - libm::log(squares.determinant())).abs() < 1e-12);
        let inverse = factored.inverse_of_squares().unwrap();
        assert!((squares * inverse - DMatrix::identity(2, 2)).norm() < 1e-12);
        let left = &observed - &model * factored.solution().unwrap();
        assert!((left.norm_squared() - factored.left_over()).abs() < 1e-12);
    }

    #[test]
    fn a_condensed_model_has_the_same_fit() {
        let (model, observed) = example();
        let long = Factorization::new(&model, &observed).unwrap();
        let (triangle, right) = long.condensed();
        let short = Factorization::new(&triangle, &right).unwrap();
        assert!((long.solution().unwrap() - short.solution().unwrap()).norm() < 1e-12);
        assert!(short.left_over() < 1e-20);
    }
}
