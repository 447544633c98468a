//! How much each world counts.

/// Shares of the worlds, none negative, together 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights {
    shares: Vec<f64>,
    effective: f64,
}

impl Weights {
    /// Every world counts alike.
    #[must_use]
    pub fn equal(count: usize) -> Weights {
        Weights { shares: vec![1.0 / as_f64(count); count], effective: as_f64(count) }
    }

    /// Shares in the proportion of `raw`. `None`: a number is negative or not finite, or all are 0.
    #[must_use]
    pub fn in_proportion(raw: &[f64]) -> Option<Weights> {
        let sum: f64 = raw.iter().sum();
        let sound = raw.iter().all(|weight| *weight >= 0.0) && sum.is_finite() && sum > 0.0;
        sound.then(|| {
            let shares: Vec<f64> = raw.iter().map(|weight| weight / sum).collect();
            let effective = 1.0 / shares.iter().map(|share| share * share).sum::<f64>();
            Weights { shares, effective }
        })
    }

    /// The same for the first worlds only. `None`: none of them counts.
    #[must_use]
    pub fn first(&self, count: usize) -> Option<Weights> {
        Weights::in_proportion(&self.shares[..count.min(self.shares.len())])
    }

    /// The shares.
    #[must_use]
    pub fn shares(&self) -> &[f64] {
        &self.shares
    }

    /// Number of worlds that would tell as much if all counted alike: `1 / Σw²`.
    #[must_use]
    pub fn effective(&self) -> f64 {
        self.effective
    }

    /// Mean and standard deviation of an answer over the worlds; worlds in which it is not finite
    /// are left out. `None`: fewer than two worlds are left.
    ///
    /// The mean is taken out before squaring, so that large values with small differences keep
    /// their digits; the standard deviation is unbiased in the sense of `n - 1`.
    #[must_use]
    pub fn moments(&self, values: &[f64]) -> Option<Moments> {
        let pairs = || {
            values
                .iter()
                .zip(&self.shares)
                .filter(|(value, share)| value.is_finite() && **share > 0.0)
        };
        let total: f64 = pairs().map(|(_, share)| share).sum();
        let square: f64 = pairs().map(|(_, share)| share * share).sum();
        // 1 - Σw²: (n - 1)/n where all count alike.
        let unbiased = 1.0 - square / (total * total);
        if pairs().nth(1).is_none() || unbiased <= 0.0 {
            return None;
        }
        let (origin, _) = pairs().next()?;
        let mean_over: f64 =
            pairs().map(|(value, share)| share * (value - origin)).sum::<f64>() / total;
        let mean = origin + mean_over;
        let variance: f64 =
            pairs().map(|(value, share)| share * (value - mean).powi(2)).sum::<f64>() / total;
        Some(Moments { mean, standard_deviation: (variance / unbiased).sqrt() })
    }
}

/// Mean and standard deviation, in the unit of the values.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Moments {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub standard_deviation: f64,
}

#[allow(clippy::cast_precision_loss, reason = "a count of worlds is far below 2^53")]
pub(crate) fn as_f64(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn effective_number_of_worlds() {
        assert!((Weights::equal(2000).effective() - 2000.0).abs() < 1e-9);
        let two = Weights::in_proportion(&[3.0, 3.0, 0.0, 0.0]).unwrap();
        assert!((two.effective() - 2.0).abs() < 1e-12);
        assert!((two.first(3).unwrap().effective() - 2.0).abs() < 1e-12);
        assert_eq!(Weights::in_proportion(&[0.0, 0.0]), None);
        assert_eq!(Weights::in_proportion(&[1.0, -1.0, 5.0]), None);
        assert_eq!(Weights::in_proportion(&[1.0, f64::NAN]), None);
        assert_eq!(Weights::in_proportion(&[0.0, 1.0]).unwrap().first(1), None);
    }

    #[test]
    fn moments_by_hand() {
        // 1, 2, 3, 4: mean 2.5, sum of squares 5, variance 5/3.
        let plain = Weights::equal(5).moments(&[1.0, 2.0, f64::NAN, 3.0, 4.0]).unwrap();
        assert!((plain.mean - 2.5).abs() < 1e-15);
        assert!((plain.standard_deviation - (5.0_f64 / 3.0).sqrt()).abs() < 1e-15);
        let weights = Weights::in_proportion(&[0.0, 2.0, 2.0, 0.0]).unwrap();
        let middle = weights.moments(&[f64::INFINITY, 2.0, 3.0, 9.0]).unwrap();
        assert!((middle.mean - 2.5).abs() < 1e-15);
        assert!((middle.standard_deviation - 0.5_f64.sqrt()).abs() < 1e-15);
        assert_eq!(Weights::equal(2).moments(&[1.0, f64::NAN]), None);
    }
}
