//! Quantiles of an answer over the worlds, and how well they are known.

use crownwheel_quantities::Deciles;

use crate::weights::{Weights, as_f64};

/// An answer's values in order, each with the weight up to it.
///
/// Values that are no number are left out. Infinite ones count ("never cuts back"): a quantile that
/// touches one is infinite.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    values: Vec<f64>,
    /// Weight of a value and all below it; the last is 1.
    upto: Vec<f64>,
    effective: f64,
}

/// A quantile.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Quantile {
    /// Its value, in the unit of the answer.
    pub value: f64,
    /// Its standard error, in the same unit. `None`: one world tells nothing about it, or an
    /// infinite value is near.
    pub standard_error: Option<f64>,
}

/// What the worlds say of an answer.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Summary {
    /// One world in ten is below.
    pub p10: Quantile,
    /// Half of the worlds are below.
    pub p50: Quantile,
    /// Nine worlds in ten are below.
    pub p90: Quantile,
}

impl From<Summary> for Deciles {
    fn from(summary: Summary) -> Deciles {
        let all = [summary.p10, summary.p50, summary.p90];
        let errors: Option<Vec<f64>> = all.iter().map(|quantile| quantile.standard_error).collect();
        Deciles {
            p10: summary.p10.value,
            p50: summary.p50.value,
            p90: summary.p90.value,
            standard_error: errors.map(|errors| errors.into_iter().fold(0.0, f64::max)),
        }
    }
}

impl Sample {
    /// The answer in as many worlds as there are values; the weights are for the same worlds.
    /// `None`: no world that counts has a value.
    #[must_use]
    pub fn new(values: &[f64], weights: &Weights) -> Option<Sample> {
        let mut pairs: Vec<(f64, f64)> = values
            .iter()
            .copied()
            .zip(weights.shares().iter().copied())
            .filter(|(value, share)| !value.is_nan() && *share > 0.0)
            .collect();
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let total: f64 = pairs.iter().map(|(_, share)| share).sum();
        let square: f64 = pairs.iter().map(|(_, share)| share * share).sum();
        if pairs.is_empty() {
            return None;
        }
        let mut sum = 0.0;
        let mut upto: Vec<f64> = pairs
            .iter()
            .map(|(_, share)| {
                sum += share;
                sum / total
            })
            .collect();
        if let Some(last) = upto.last_mut() {
            *last = 1.0;
        }
        let values: Vec<f64> = pairs.into_iter().map(|(value, _)| value).collect();
        // Never more than there are, whatever rounding says.
        let effective = (total * total / square).min(as_f64(values.len()));
        Some(Sample { values, upto, effective })
    }

    /// The quantile `p`, 0..1: the mean of the values whose weights lie in
    /// `[p (1 - 1/n), p (1 - 1/n) + 1/n]` of the ordered weights, `n` the effective number of worlds.
    ///
    /// Where all worlds count alike this is linear interpolation between order statistics at
    /// `(n - 1) p`, type 7 of the nine usual definitions.
    ///
    /// # Source
    /// "Sample quantiles in statistical packages", The American Statistician 50 (1996), type 7;
    /// with weights "Weighted quantile estimators", arXiv:2304.07265 (2023), the estimator of type 7.
    #[must_use]
    pub fn value(&self, p: f64) -> f64 {
        let n = self.effective;
        let from = p.clamp(0.0, 1.0) * (1.0 - 1.0 / n);
        let to = (from + 1.0 / n).min(1.0);
        let mut place = self.upto.partition_point(|upto| *upto <= from).min(self.upto.len() - 1);
        let (mut start, mut sum, mut weight) = (from, 0.0, 0.0);
        loop {
            let end = self.upto[place].min(to);
            // A strip of no weight must not bring in an infinite value.
            if end - start > 1e-12 {
                sum += (end - start) * self.values[place];
                weight += end - start;
            }
            start = end;
            place += 1;
            if place == self.values.len() || end >= to {
                break;
            }
        }
        if weight > 0.0 { sum / weight } else { self.values[place - 1] }
    }

    /// Standard error of the quantile `p`: `√(p (1 - p) / n) / f`, the density `f` from the
    /// quantiles two standard errors of rank to either side.
    ///
    /// It holds for worlds that are drawn without regard to each other. A Latin hypercube does
    /// better, so it is on the safe side. At `p` = 0.1 of a normal answer and 2,000 worlds it is
    /// 0.038 standard deviations.
    #[must_use]
    pub fn standard_error(&self, p: f64) -> Option<f64> {
        if self.effective < 2.0 {
            return None;
        }
        let rank_error = (p * (1.0 - p) / self.effective).sqrt();
        let (low, high) = ((p - 2.0 * rank_error).max(0.0), (p + 2.0 * rank_error).min(1.0));
        let error = rank_error * (self.value(high) - self.value(low)) / (high - low);
        error.is_finite().then_some(error)
    }

    /// A quantile with its standard error.
    #[must_use]
    pub fn quantile(&self, p: f64) -> Quantile {
        Quantile { value: self.value(p), standard_error: self.standard_error(p) }
    }

    /// The quantiles that every answer shows.
    #[must_use]
    pub fn summary(&self) -> Summary {
        Summary { p10: self.quantile(0.1), p50: self.quantile(0.5), p90: self.quantile(0.9) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worlds::Worlds;
    use crownwheel::spread::Spread;
    use rand_pcg::Pcg64;
    use rand_pcg::rand_core::{Rng, SeedableRng};
    use std::num::NonZeroUsize;

    fn alike(values: &[f64]) -> Sample {
        Sample::new(values, &Weights::equal(values.len())).unwrap()
    }

    #[test]
    fn equal_weights_interpolate_between_order_statistics() {
        let sample = alike(&[50.0, 15.0, 40.0, 20.0, 35.0]);
        // (5 - 1) 0.4 = 1.6: 20 + 0.6 (35 - 20).
        assert!((sample.value(0.4) - 29.0).abs() < 1e-12);
        assert!((sample.value(0.0) - 15.0).abs() < 1e-12);
        assert!((sample.value(1.0) - 50.0).abs() < 1e-12);
        assert!((alike(&[7.0]).value(0.9) - 7.0).abs() < 1e-12);
        assert_eq!(alike(&[7.0]).standard_error(0.5), None);
        assert_eq!(Sample::new(&[f64::NAN], &Weights::equal(1)), None);
    }

    #[test]
    fn a_world_without_weight_is_as_if_it_were_not_there() {
        let weights = Weights::in_proportion(&[2.0, 0.0, 2.0, 2.0, 2.0, 2.0]).unwrap();
        let with = Sample::new(&[50.0, 999.0, 15.0, 40.0, 20.0, 35.0], &weights).unwrap();
        let without = alike(&[50.0, 15.0, 40.0, 20.0, 35.0]);
        for i in 0..=20 {
            let p = f64::from(i) / 20.0;
            assert!((with.value(p) - without.value(p)).abs() < 1e-10, "{p}");
        }
    }

    #[test]
    fn weights_move_quantiles_as_they_must() {
        // A normal sample weighted to another normal has that one's quantiles: exp(m x - m²/2).
        let count = 4000;
        let worlds = Worlds::new(1, NonZeroUsize::new(count).unwrap(), 0);
        let unit = Spread::normal(0.0, 1.96);
        let everywhere = (f64::NEG_INFINITY, f64::INFINITY);
        let x: Vec<f64> = worlds.units("x").iter().map(|u| unit.at(*u, everywhere)).collect();
        let raw: Vec<f64> = x.iter().map(|x| libm::exp(0.5 * x - 0.125)).collect();
        let sample = Sample::new(&x, &Weights::in_proportion(&raw).unwrap()).unwrap();
        for p in [0.1, 0.5, 0.9] {
            let right = 0.5 + unit.at(p, everywhere);
            let error = sample.standard_error(p).unwrap();
            assert!((sample.value(p) - right).abs() < 2.0 * error, "{p}: {}", sample.value(p));
        }
    }

    #[test]
    fn infinite_values_count_but_do_not_spread() {
        let sample = alike(&[1.0, 2.0, 3.0, f64::INFINITY, f64::INFINITY]);
        assert!((sample.value(0.5) - 3.0).abs() < 1e-12);
        assert!(sample.value(0.9).is_infinite());
        assert_eq!(sample.standard_error(0.5), None);
        assert!((alike(&[1.0, 2.0, f64::NAN]).value(1.0) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn the_error_of_the_first_decile_is_as_stated() {
        let worlds = Worlds::new(1, NonZeroUsize::new(2000).unwrap(), 200);
        let unit = Spread::normal(0.0, 1.96);
        let everywhere = (f64::NEG_INFINITY, f64::INFINITY);
        let x: Vec<f64> = worlds.units("x").iter().map(|u| unit.at(*u, everywhere)).collect();
        let error = alike(&x).standard_error(0.1).unwrap();
        // √(0.1 · 0.9 / 2000) / φ(1.2816) = 0.00671 / 0.1755.
        assert!((error - 0.0382).abs() < 0.002, "{error}");
    }

    /// Share of 400 samples whose `value ± 1.96 standard errors` holds the true quantile.
    fn coverage(p: f64, right: f64, sample: impl Fn(u64) -> Vec<f64>) -> f64 {
        let held = (0..400).filter(|seed| {
            let found = alike(&sample(*seed)).quantile(p);
            (found.value - right).abs() <= 1.96 * found.standard_error.unwrap()
        });
        f64::from(u32::try_from(held.count()).unwrap()) / 400.0
    }

    /// A skewed answer, `exp(z)`, from unrelated draws and from an even sample.
    #[test]
    fn the_error_of_a_quantile_covers_as_stated() {
        let normal = Spread::normal(0.0, 1.96);
        let everywhere = (f64::NEG_INFINITY, f64::INFINITY);
        let skewed = |unit: f64| libm::exp(normal.at(unit, everywhere));
        for count in [200, 2000] {
            for p in [0.1, 0.5, 0.9] {
                let unrelated = coverage(p, skewed(p), |seed| {
                    let mut random = Pcg64::seed_from_u64(seed);
                    let draw = |_| skewed((f64::from(random.next_u32()) + 0.5) / 4_294_967_296.0);
                    (0..count).map(draw).collect()
                });
                // 400 tries at 0.95 give 0.95 ± 0.011; the error itself is known to a tenth or so.
                assert!((0.915..=0.985).contains(&unrelated), "{count} {p}: {unrelated}");
                let even = coverage(p, skewed(p), |seed| {
                    let worlds = Worlds::new(seed, NonZeroUsize::new(count).unwrap(), 0);
                    worlds.units("x").iter().map(|unit| skewed(*unit)).collect()
                });
                assert!(even >= 0.95, "{count} {p}: {even}");
            }
        }
    }
}
