//! Smoothing of speed by as much as its own noise asks for.
//!
//! Noise from second to second would be driven as speeding up and braking, and be paid for. The
//! smoothed speed keeps near the readings and has little jerk (Whittaker's graduation with second
//! differences); the weight between the two is the noise of the readings, which their third
//! differences show, over the change of acceleration of real driving. A clean log stays as it is.

/// Standard deviation of second differences of speed in real driving at one-second steps, m/s (the
/// built-in cycles have 0.1 to 0.5).
const DRIVING_MPS: f64 = 0.2;
/// Noise that the same measure finds in clean driving, m/s (the built-in cycles show 0.02 to 0.1).
const CLEAN_MPS: f64 = 0.06;
/// Strongest smoothing, as noise over driving: beyond it the log is too bad to follow.
const STRONGEST: f64 = 50.0;
/// Fewest moving readings from which noise is estimated.
const FEWEST: usize = 20;
/// Median of the size of a normal variable over its standard deviation.
const MEDIAN_OVER_SD: f64 = 0.6745;

/// Standard deviation of the noise of evenly spaced speeds, m/s, from the size in the middle of their
/// third differences while the car moves; 0 if too little moves.
pub(super) fn noise_mps(speed_mps: &[f64]) -> f64 {
    let mut sizes: Vec<f64> = speed_mps
        .windows(4)
        .filter(|four| four.iter().all(|speed| *speed > 0.5))
        .map(|four| (four[3] - 3.0 * four[2] + 3.0 * four[1] - four[0]).abs())
        .collect();
    if sizes.len() < FEWEST {
        return 0.0;
    }
    sizes.sort_by(f64::total_cmp);
    // The variance of a third difference of white noise is 1 + 9 + 9 + 1 times its own.
    let found = sizes[sizes.len() / 2] / MEDIAN_OVER_SD / 20_f64.sqrt();
    (found * found - CLEAN_MPS * CLEAN_MPS).max(0.0).sqrt()
}

/// The speeds with little jerk, for noise of a given size and steps of `step_s`.
pub(super) fn smoothed(speed_mps: &[f64], noise_mps: f64, step_s: f64) -> Vec<f64> {
    let ratio = (noise_mps / (DRIVING_MPS * step_s * step_s)).min(STRONGEST);
    if speed_mps.len() < 3 || ratio < 0.01 {
        return speed_mps.to_vec();
    }
    graduated(speed_mps, ratio * ratio).into_iter().map(|speed| speed.max(0.0)).collect()
}

/// Solves `(1 + w DᵀD) x = y`, with `D` the second differences: five bands, by `L D Lᵀ`.
fn graduated(y: &[f64], weight: f64) -> Vec<f64> {
    let count = y.len();
    let (mut diagonal, mut next, mut after) =
        (vec![1.0; count], vec![0.0; count], vec![0.0; count]);
    for k in 0..count - 2 {
        diagonal[k] += weight;
        diagonal[k + 1] += 4.0 * weight;
        diagonal[k + 2] += weight;
        next[k] -= 2.0 * weight;
        next[k + 1] -= 2.0 * weight;
        after[k] += weight;
    }
    let mut x = y.to_vec();
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
    x
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg64Mcg;
    use rand_pcg::rand_core::Rng as _;

    use super::*;

    /// The equations hold for what comes out, and a straight line comes out as it is.
    #[test]
    fn the_equations_are_solved() {
        let y: Vec<f64> = (0..40).map(|i| 10.0 + libm::sin(f64::from(i) * 1.7)).collect();
        for weight in [0.1, 3.0, 500.0] {
            let x = graduated(&y, weight);
            let second = |x: &[f64], k: usize| x[k] - 2.0 * x[k + 1] + x[k + 2];
            for i in 0..y.len() {
                let mut left = x[i];
                for (back, factor) in [(0, 1.0), (1, -2.0), (2, 1.0)] {
                    if let Some(k) = i.checked_sub(back).filter(|k| k + 2 < y.len()) {
                        left += weight * factor * second(&x, k);
                    }
                }
                assert!((left - y[i]).abs() < 1e-9, "{weight} {i}");
            }
        }
        let line: Vec<f64> = (0..40).map(|i| 3.0 + 0.5 * f64::from(i)).collect();
        let same = graduated(&line, 100.0);
        assert!(line.iter().zip(&same).all(|(a, b)| (a - b).abs() < 1e-9));
    }

    #[test]
    fn noise_is_found_with_its_size_and_taken_out() {
        let truth = |i: f64| 15.0 + 5.0 * libm::sin(i / 25.0);
        // Even draws within 1.2 m/s have a standard deviation of 0.69 m/s.
        let mut random = Pcg64Mcg::new(7);
        let mut noise = || 2.4 * (f64::from(random.next_u32()) / f64::from(u32::MAX) - 0.5);
        let steps = || (0..600).map(f64::from);
        let clean: Vec<f64> = steps().map(truth).collect();
        let noisy: Vec<f64> = steps().map(|i| truth(i) + noise()).collect();
        assert!(noise_mps(&clean) < 1e-9);
        let found = noise_mps(&noisy);
        assert!((0.6..0.8).contains(&found), "{found}");
        let smooth = smoothed(&noisy, found, 1.0);
        let off = |values: &[f64]| {
            let squares = values.iter().zip(&clean).map(|(a, b)| (a - b).powi(2));
            (squares.sum::<f64>() / 600.0).sqrt()
        };
        assert!(off(&smooth) < 0.4 * off(&noisy), "{} {}", off(&smooth), off(&noisy));
        assert_eq!(smoothed(&clean, 0.0, 1.0), clean);
    }
}
