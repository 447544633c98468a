//! A linear model with normal errors and normal beliefs: what the data say, and how likely they are.

use nalgebra::{Cholesky, DMatrix, DVector};

/// Data and beliefs; parameters are counted in standard deviations of what is believed of them.
#[derive(Clone, Debug)]
pub(super) struct Linear {
    /// Observed less predicted at the point of linearisation, over their errors.
    pub(super) residual: DVector<f64>,
    /// Change of the prediction for one standard deviation of each parameter, over the errors.
    pub(super) effect: DMatrix<f64>,
    /// What is believed of each parameter, from the point of linearisation.
    pub(super) believed: DVector<f64>,
}

/// What is known after the data.
#[derive(Clone, Debug)]
pub(super) struct Posterior {
    /// Parameters from the point of linearisation, in standard deviations.
    pub(super) mean: DVector<f64>,
    /// Their covariance.
    pub(super) covariance: DMatrix<f64>,
    /// Logarithm of the likelihood of the data with all parameters averaged out, but for a constant
    /// that all models of the same data share.
    pub(super) log_evidence: f64,
    /// What the model leaves of the residual.
    pub(super) left: DVector<f64>,
}

impl Linear {
    /// Solves it. `None`: the numbers are not finite.
    pub(super) fn solve(&self) -> Option<Posterior> {
        let parameters = self.effect.ncols();
        let information =
            self.effect.tr_mul(&self.effect) + DMatrix::identity(parameters, parameters);
        let pull = self.effect.tr_mul(&self.residual) + &self.believed;
        let factor = Cholesky::new(information)?;
        let mean = factor.solve(&pull);
        let log_determinant: f64 =
            2.0 * factor.l_dirty().diagonal().iter().map(|d| libm::log(*d)).sum::<f64>();
        let misfit = self.residual.norm_squared() + self.believed.norm_squared() - pull.dot(&mean);
        let log_evidence = -0.5 * (misfit + log_determinant);
        let left = &self.residual - &self.effect * &mean;
        (log_evidence.is_finite() && left.iter().all(|value| value.is_finite()))
            .then(|| Posterior { covariance: factor.inverse(), mean, log_evidence, left })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One parameter with prior N(0, 1), one datum x with error 1: the posterior is N(x/2, 1/2) and
    /// the evidence that of N(0, 2).
    #[test]
    fn one_datum_and_one_belief_share_the_truth() {
        let solve = |x: f64, believed: f64| {
            Linear {
                residual: DVector::from_element(1, x),
                effect: DMatrix::from_element(1, 1, 1.0),
                believed: DVector::from_element(1, believed),
            }
            .solve()
            .unwrap()
        };
        let posterior = solve(3.0, 0.0);
        assert!((posterior.mean[0] - 1.5).abs() < 1e-12);
        assert!((posterior.covariance[(0, 0)] - 0.5).abs() < 1e-12);
        let expected = -0.5 * (3.0_f64.powi(2) / 2.0 + libm::log(2.0_f64));
        assert!((posterior.log_evidence - expected).abs() < 1e-12);
        // Moving the point of linearisation moves datum and belief, and changes nothing else.
        let moved = solve(3.0 - 0.7, -0.7);
        assert!((moved.mean[0] + 0.7 - 1.5).abs() < 1e-12);
        assert!((moved.log_evidence - expected).abs() < 1e-12);
    }

    #[test]
    fn numbers_that_are_none_give_nothing() {
        let linear = Linear {
            residual: DVector::from_element(1, f64::NAN),
            effect: DMatrix::from_element(1, 1, 1.0),
            believed: DVector::zeros(1),
        };
        assert!(linear.solve().is_none());
    }
}
