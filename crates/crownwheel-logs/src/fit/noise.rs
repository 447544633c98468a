//! Noise of measured speeds: a white part, and a part that fades with time.
//!
//! Two readings of a run that are `Δt` apart share `κ exp(-Δt / τ)` of the white part's variance.
//! [`Whitener`] turns readings with such noise into readings with white noise of the same white
//! part, at any spacing of the times, without building a matrix.

/// Memory of the noise.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Noise {
    /// Variance of the part with memory over that of the white part, at least 0.
    pub memory_ratio: f64,
    /// Time in which the memory fades to 1/e, s.
    pub memory_s: f64,
}

impl Noise {
    /// Noise without memory.
    pub const WHITE: Noise = Noise { memory_ratio: 0.0, memory_s: 0.0 };

    /// Correlation of two readings a time apart, 0..1.
    #[must_use]
    pub fn correlation(&self, apart_s: f64) -> f64 {
        if self.memory_ratio <= 0.0 {
            return 0.0;
        }
        self.memory_ratio / (1.0 + self.memory_ratio) * libm::exp(-apart_s / self.memory_s)
    }

    /// Number of independent readings that tell a slow change as well: `n² / Σ ρ`.
    #[must_use]
    pub fn independent(&self, times_s: &[f64]) -> f64 {
        let n = crate::least_squares::count(times_s.len());
        let mut sum = n;
        for (i, from) in times_s.iter().enumerate() {
            for to in &times_s[i + 1..] {
                let share = self.correlation(to - from);
                if share < 1e-4 {
                    break;
                }
                sum += 2.0 * share;
            }
        }
        n * n / sum.max(1.0)
    }
}

/// What turns the readings of one run into readings with white noise.
#[derive(Clone, Debug, PartialEq)]
pub struct Whitener {
    /// For each reading: how far the memory fades since the last, gain, size of what is new.
    steps: Vec<Step>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Step {
    fade: f64,
    gain: f64,
    size: f64,
}

impl Whitener {
    /// For readings at rising times.
    ///
    /// A recursive filter: `P` is the variance of what is not yet known of the memory part, in units
    /// of the white part's.
    #[must_use]
    pub fn new(noise: Noise, times_s: &[f64]) -> Whitener {
        let ratio = noise.memory_ratio;
        let mut unknown = ratio;
        let mut steps = Vec::with_capacity(times_s.len());
        for (i, time_s) in times_s.iter().enumerate() {
            let fade = match i {
                0 => 0.0,
                _ if ratio <= 0.0 => 0.0,
                _ => libm::exp(-(time_s - times_s[i - 1]) / noise.memory_s),
            };
            if i > 0 {
                unknown = fade * fade * unknown + ratio * (1.0 - fade * fade);
            }
            let variance = unknown + 1.0;
            let gain = unknown / variance;
            steps.push(Step { fade, gain, size: variance.sqrt() });
            unknown *= 1.0 - gain;
        }
        Whitener { steps }
    }

    /// Whitens a column of the run: measured speeds, or what a model says of them.
    pub fn apply<'a>(&self, column: impl Iterator<Item = &'a mut f64>) {
        let mut memory = 0.0;
        for (value, step) in column.zip(&self.steps) {
            memory *= step.fade;
            let new = *value - memory;
            memory += step.gain * new;
            *value = new / step.size;
        }
    }

    /// Logarithm of the determinant of the readings' covariance, in units of the white part's.
    #[must_use]
    pub fn log_determinant(&self) -> f64 {
        self.steps.iter().map(|step| 2.0 * libm::log(step.size)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    const NOISE: Noise = Noise { memory_ratio: 2.5, memory_s: 3.0 };

    #[test]
    fn whitened_readings_have_the_covariance_of_white_noise() {
        // Uneven times with a gap. `W V W^T` must be the unit matrix.
        let times = [0.0, 1.0, 2.0, 2.5, 4.0, 5.0, 15.0, 16.0];
        let n = times.len();
        let covariance = DMatrix::from_fn(n, n, |i, j| {
            let shared =
                NOISE.memory_ratio * libm::exp(-f64::abs(times[i] - times[j]) / NOISE.memory_s);
            if i == j { 1.0 + shared } else { shared }
        });
        let whitener = Whitener::new(NOISE, &times);
        let mut whitening = DMatrix::<f64>::identity(n, n);
        for mut column in whitening.column_iter_mut() {
            whitener.apply(column.iter_mut());
        }
        let white = &whitening * &covariance * whitening.transpose();
        assert!((white - DMatrix::identity(n, n)).norm() < 1e-12);
        assert!((whitener.log_determinant() - libm::log(covariance.determinant())).abs() < 1e-10);
    }

    #[test]
    fn white_noise_is_left_alone() {
        let whitener = Whitener::new(Noise::WHITE, &[0.0, 1.0, 2.0]);
        let mut column = DVector::from_column_slice(&[3.0, -1.0, 2.0]);
        whitener.apply(column.iter_mut());
        assert_eq!(column, DVector::from_column_slice(&[3.0, -1.0, 2.0]));
        assert!(whitener.log_determinant().abs() < 1e-15);
    }

    #[test]
    fn readings_with_memory_are_worth_fewer() {
        let times: Vec<f64> = (0..200).map(f64::from).collect();
        assert!((Noise::WHITE.independent(&times) - 200.0).abs() < 1e-9);
        let worth = Noise { memory_ratio: 1e3, memory_s: 10.0 }.independent(&times);
        assert!(worth > 8.0 && worth < 15.0, "{worth}");
    }
}
