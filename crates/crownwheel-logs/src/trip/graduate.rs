//! Graduation of evenly spaced readings (Whittaker): near the readings and with little bend.

/// A graduated series.
#[derive(Clone, Debug)]
pub(super) struct Graduated {
    pub(super) values: Vec<f64>,
    /// Weighted squares of what is left, and of the bends times their penalty.
    pub(super) cost: f64,
    /// Logarithm of the determinant of the equations.
    pub(super) log_determinant: f64,
}

/// Solves `(W + p DᵀD) x = W y`, with `W` the weights and `D` the second differences: five bands, by
/// `L D Lᵀ`. A reading without weight counts for nothing and may be NaN; at least two need one.
pub(super) fn graduated(y: &[f64], weights: &[f64], penalty: f64) -> Graduated {
    let count = y.len();
    let weighted = |i: usize| if weights[i] > 0.0 { weights[i] * y[i] } else { 0.0 };
    let mut x: Vec<f64> = (0..count).map(weighted).collect();
    let mut bands = Bands::of(weights, penalty);
    bands.solve(&mut x);
    let left = |i: usize| if weights[i] > 0.0 { weighted(i) * (y[i] - x[i]) } else { 0.0 };
    Graduated {
        cost: (0..count).map(left).sum(),
        log_determinant: bands.diagonal.iter().map(|pivot| libm::log(*pivot)).sum(),
        values: x,
    }
}

/// The matrix by its diagonal and the two bands beside it.
struct Bands {
    diagonal: Vec<f64>,
    next: Vec<f64>,
    after: Vec<f64>,
}

impl Bands {
    fn of(weights: &[f64], penalty: f64) -> Bands {
        let count = weights.len();
        let mut bands =
            Bands { diagonal: weights.to_vec(), next: vec![0.0; count], after: vec![0.0; count] };
        for k in 0..count.saturating_sub(2) {
            bands.diagonal[k] += penalty;
            bands.diagonal[k + 1] += 4.0 * penalty;
            bands.diagonal[k + 2] += penalty;
            bands.next[k] -= 2.0 * penalty;
            bands.next[k + 1] -= 2.0 * penalty;
            bands.after[k] += penalty;
        }
        bands
    }

    /// Factors the matrix in its place, and solves.
    fn solve(&mut self, x: &mut [f64]) {
        let Bands { diagonal, next, after } = self;
        let count = x.len();
        for i in 0..count {
            if i >= 1 {
                diagonal[i] -= next[i - 1] * next[i - 1] * diagonal[i - 1];
                next[i] -= next[i - 1] * after[i - 1] * diagonal[i - 1];
                x[i] -= next[i - 1] * x[i - 1];
            }
            if i >= 2 {
                diagonal[i] -= after[i - 2] * after[i - 2] * diagonal[i - 2];
                x[i] -= after[i - 2] * x[i - 2];
            }
            next[i] /= diagonal[i];
            after[i] /= diagonal[i];
        }
        for i in (0..count).rev() {
            x[i] /= diagonal[i];
            if i + 1 < count {
                x[i] -= next[i] * x[i + 1];
            }
            if i + 2 < count {
                x[i] -= after[i] * x[i + 2];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The equations hold for what comes out, and a straight line comes out as it is.
    #[test]
    fn the_equations_are_solved() {
        let y: Vec<f64> = (0..40).map(|i| 10.0 + libm::sin(f64::from(i) * 1.7)).collect();
        let weights: Vec<f64> = (0..40).map(|i| f64::from(i % 4)).collect();
        for penalty in [0.1, 3.0, 500.0] {
            let x = graduated(&y, &weights, penalty).values;
            let second = |x: &[f64], k: usize| x[k] - 2.0 * x[k + 1] + x[k + 2];
            for i in 0..y.len() {
                let mut left = weights[i] * x[i];
                for (back, factor) in [(0, 1.0), (1, -2.0), (2, 1.0)] {
                    if let Some(k) = i.checked_sub(back).filter(|k| k + 2 < y.len()) {
                        left += penalty * factor * second(&x, k);
                    }
                }
                assert!((left - weights[i] * y[i]).abs() < 1e-9, "{penalty} {i}");
            }
        }
        let line: Vec<f64> = (0..40).map(|i| 3.0 + 0.5 * f64::from(i)).collect();
        let same = graduated(&line, &weights, 100.0);
        assert!(line.iter().zip(&same.values).all(|(a, b)| (a - b).abs() < 1e-9));
        assert!(same.cost.abs() < 1e-9);
    }

    #[test]
    fn the_determinant_is_that_of_the_equations() {
        // Three readings: |W + p d dᵀ| = w₀w₁w₂ (1 + p Σ d²/w) with d = (1, -2, 1).
        let weights = [2.0, 3.0, 5.0];
        let found = graduated(&[0.0, 1.0, 0.0], &weights, 7.0).log_determinant;
        let wanted = 30.0 * (1.0 + 7.0 * (1.0 / 2.0 + 4.0 / 3.0 + 1.0 / 5.0));
        assert!((found - libm::log(wanted)).abs() < 1e-12);
    }
}
