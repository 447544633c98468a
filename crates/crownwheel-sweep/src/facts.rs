//! Facts measured on the finished car: they make some worlds likelier than others.
//!
//! A world that predicts `p` where `y` was measured gets the weight `exp(-½ rᵀ R⁻¹ r)`, `r = y - p`,
//! `R` the covariance of the measurements plus that of the model's own errors. Facts belong to the
//! option that was built; the weights serve all options, because all stand in the same worlds.

use std::fmt;
use std::sync::Arc;

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

pub use crownwheel_quantities::Fact;

use crate::quantile::Sample;
use crate::weights::Weights;

/// Fewer worlds in effect than this say more about single worlds than about the car.
pub const LEAST_WORLDS: f64 = 100.0;

/// Fewer worlds in effect than this are worth a warning.
pub const FEW_WORLDS: f64 = 400.0;

/// A fact farther than this from the median contradicts the build, in joint standard deviations.
pub const CONTRADICTS_AT_SD: f64 = 3.0;

/// Facts with the covariance of all their errors.
#[derive(Clone, Debug)]
pub struct Facts {
    facts: Vec<Fact>,
    covariance: DMatrix<f64>,
    factor: Cholesky<f64, Dyn>,
}

/// Why facts cannot be used.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum FactsError {
    /// A list has another length than there are facts or worlds.
    Length {
        /// What should have the other length: `model covariance`, `predictions`.
        what: &'static str,
        /// Length that is wanted.
        wanted: usize,
        /// Length that was given.
        given: usize,
    },
    /// The sum of the covariances is not positive definite: some combination of the facts would be
    /// known without error.
    NotPositive,
    /// No world predicts a number for this fact.
    NothingPredicted {
        /// Name of the fact.
        fact: Arc<str>,
    },
}

impl fmt::Display for FactsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FactsError::Length { what, wanted, given } => {
                write!(f, "{what}: {given} given where {wanted} are wanted")
            }
            FactsError::NotPositive => {
                write!(f, "the facts and their errors leave something known without error")
            }
            FactsError::NothingPredicted { fact } => {
                write!(f, "no world predicts a number for the measured fact `{fact}`")
            }
        }
    }
}

impl std::error::Error for FactsError {}

/// What the facts did to the worlds.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct FactWeights {
    /// How much each world counts now.
    pub weights: Weights,
    /// Whether enough worlds are left.
    pub verdict: Verdict,
    /// Facts that contradict the build.
    pub contradictions: Vec<Contradiction>,
    /// Worlds that predict no number for some fact; they count nothing.
    pub worlds_without_prediction: usize,
}

/// Whether enough worlds are left in effect, `1 / Σw²`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// At least [`FEW_WORLDS`].
    Enough,
    /// Fewer than [`FEW_WORLDS`]: bands and probabilities are coarser than they look.
    Few,
    /// Fewer than [`LEAST_WORLDS`], or than half of a small number: the facts count with an exponent
    /// below 1, so that so many are left.
    Tempered {
        /// Worlds in effect had the facts counted in full.
        untempered: f64,
        /// The exponent, 0..1, that the weights were raised to.
        exponent: f64,
    },
}

/// A fact and what the build says of it.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Contradiction {
    /// The fact.
    pub fact: Fact,
    /// Median of the predictions before any weighting, in the unit of the fact.
    pub predicted: f64,
    /// Distance over the joint standard deviation of measurement, model error and predictions.
    pub distance_sd: f64,
}

impl Facts {
    /// Facts whose measurements do not hang together, and the covariance of the model's own errors
    /// (a row for each fact, in the square of its unit; zeros where the model is taken as right).
    ///
    /// # Errors
    /// [`FactsError::Length`] or [`FactsError::NotPositive`].
    pub fn new(facts: Vec<Fact>, model_covariance: &[Vec<f64>]) -> Result<Facts, FactsError> {
        let count = facts.len();
        for given in
            [model_covariance.len()].into_iter().chain(model_covariance.iter().map(Vec::len))
        {
            if given != count {
                return Err(FactsError::Length { what: "model covariance", wanted: count, given });
            }
        }
        let covariance = DMatrix::from_fn(count, count, |row, column| {
            let own = if row == column { facts[row].standard_deviation.powi(2) } else { 0.0 };
            own + model_covariance[row][column]
        });
        let factor = Cholesky::new(covariance.clone()).ok_or(FactsError::NotPositive)?;
        Ok(Facts { facts, covariance, factor })
    }

    /// Weighs worlds by what each predicts: a list over the worlds for each fact, in the order of the
    /// facts. A prediction that is not finite takes its world out.
    ///
    /// # Errors
    /// [`FactsError::Length`] or [`FactsError::NothingPredicted`].
    pub fn weigh(&self, predicted: &[Vec<f64>]) -> Result<FactWeights, FactsError> {
        let wrong = |wanted, given| FactsError::Length { what: "predictions", wanted, given };
        let worlds = predicted.first().map_or(0, Vec::len);
        if predicted.len() != self.facts.len() {
            return Err(wrong(self.facts.len(), predicted.len()));
        }
        if let Some(odd) = predicted.iter().find(|list| list.len() != worlds) {
            return Err(wrong(worlds, odd.len()));
        }
        let misfits: Vec<f64> = (0..worlds).map(|world| self.misfit(predicted, world)).collect();
        let worlds_without_prediction = misfits.iter().filter(|misfit| !misfit.is_finite()).count();
        if worlds_without_prediction == worlds {
            return Err(self.nothing_predicted(predicted));
        }
        let contradictions = self.contradictions(predicted);
        let (weights, verdict) = enough(&misfits);
        Ok(FactWeights { weights, verdict, contradictions, worlds_without_prediction })
    }

    /// `½ rᵀ R⁻¹ r`; not finite where a prediction is not.
    fn misfit(&self, predicted: &[Vec<f64>], world: usize) -> f64 {
        let residuals = DVector::from_fn(self.facts.len(), |fact, _| {
            self.facts[fact].measured - predicted[fact][world]
        });
        0.5 * residuals.dot(&self.factor.solve(&residuals))
    }

    fn nothing_predicted(&self, predicted: &[Vec<f64>]) -> FactsError {
        let empty = |list: &Vec<f64>| list.iter().all(|value| !value.is_finite());
        let place = predicted.iter().position(empty).unwrap_or(0);
        let fact =
            self.facts.get(place).map_or_else(|| Arc::from(""), |fact| Arc::clone(&fact.name));
        FactsError::NothingPredicted { fact }
    }

    fn contradictions(&self, predicted: &[Vec<f64>]) -> Vec<Contradiction> {
        let against = |(place, (fact, predicted)): (usize, (&Fact, &Vec<f64>))| {
            let finite: Vec<f64> = predicted.iter().copied().filter(|p| p.is_finite()).collect();
            let alike = Weights::equal(finite.len());
            let median = Sample::new(&finite, &alike)?.value(0.5);
            let spread = alike.moments(&finite).map_or(0.0, |moments| moments.standard_deviation);
            let joint_sd = (self.covariance[(place, place)] + spread * spread).sqrt();
            let distance_sd = (fact.measured - median).abs() / joint_sd;
            (distance_sd > CONTRADICTS_AT_SD).then(|| Contradiction {
                fact: fact.clone(),
                predicted: median,
                distance_sd,
            })
        };
        self.facts.iter().zip(predicted).enumerate().filter_map(against).collect()
    }
}

/// Weights from misfits of which at least one is finite, tempered until enough worlds are left.
fn enough(misfits: &[f64]) -> (Weights, Verdict) {
    let least = misfits.iter().copied().fold(f64::INFINITY, f64::min);
    let tempered = |exponent: f64| {
        let raw: Vec<f64> = misfits
            .iter()
            .map(
                |misfit| {
                    if misfit.is_finite() { libm::exp(exponent * (least - misfit)) } else { 0.0 }
                },
            )
            .collect();
        Weights::in_proportion(&raw).unwrap_or_else(|| Weights::equal(misfits.len()))
    };
    let full = tempered(1.0);
    let alike = tempered(0.0).effective();
    let wanted = LEAST_WORLDS.min(0.5 * alike);
    if full.effective() >= wanted {
        let verdict = if full.effective() < FEW_WORLDS { Verdict::Few } else { Verdict::Enough };
        return (full, verdict);
    }
    // The number in effect falls as the exponent grows; halve the interval until it is closed.
    let (mut gentle, mut harsh) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (gentle + harsh);
        if tempered(middle).effective() >= wanted {
            gentle = middle;
        } else {
            harsh = middle;
        }
    }
    let verdict = Verdict::Tempered { untempered: full.effective(), exponent: gentle };
    (tempered(gentle), verdict)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worlds::Worlds;
    use crownwheel::spread::Spread;
    use std::num::NonZeroUsize;

    fn normal(seed: u64, count: usize, name: &str) -> Vec<f64> {
        let worlds = Worlds::new(seed, NonZeroUsize::new(count).unwrap(), 0);
        let unit = Spread::normal(0.0, 1.96);
        let everywhere = (f64::NEG_INFINITY, f64::INFINITY);
        worlds.units(name).iter().map(|u| unit.at(*u, everywhere)).collect()
    }

    fn fact(name: &str, measured: f64, standard_deviation: f64) -> Fact {
        Fact { name: Arc::from(name), measured, standard_deviation }
    }

    /// Use is `141 + 6 x1 + 3 x2`, x standard normal; 147 ± 2 (sd) was measured. In closed form the
    /// gain is 45 / (45 + 4), the mean 141 + 6 · 45/49 and the variance 45 · 4/49; x1 goes to
    /// `6 · 6 / 49` with variance `1 - 36/49`.
    #[test]
    fn one_fact_conditions_as_the_closed_form_says() {
        let count = 20_000;
        let (x1, x2) = (normal(1, count, "x1"), normal(1, count, "x2"));
        let used: Vec<f64> = x1.iter().zip(&x2).map(|(a, b)| 141.0 + 6.0 * a + 3.0 * b).collect();
        let facts = Facts::new(vec![fact("moor", 147.0, 2.0)], &[vec![0.0]]).unwrap();
        let conditioned = facts.weigh(std::slice::from_ref(&used)).unwrap();
        assert_eq!(conditioned.verdict, Verdict::Enough);
        assert!(conditioned.contradictions.is_empty());
        let after = conditioned.weights.moments(&used).unwrap();
        assert!((after.mean - (141.0 + 6.0 * 45.0 / 49.0)).abs() < 0.1, "{after:?}");
        assert!(
            (after.standard_deviation - (45.0 * 4.0 / 49.0_f64).sqrt()).abs() < 0.05,
            "{after:?}"
        );
        let x1_after = conditioned.weights.moments(&x1).unwrap();
        assert!((x1_after.mean - 36.0 / 49.0).abs() < 0.02, "{x1_after:?}");
        assert!((x1_after.standard_deviation - (13.0 / 49.0_f64).sqrt()).abs() < 0.02);
    }

    /// Two facts about `x` with errors that hang together: `R = [[a, c], [c, b]]`. The posterior of a
    /// standard normal `x` seen by `y = h x + e` has precision `1 + hᵀ R⁻¹ h` and mean
    /// `hᵀ R⁻¹ y` over it. Here h = (1, 1), R = [[0.5, 0.3], [0.3, 0.4]]: R⁻¹ = [[0.4, -0.3],
    /// [-0.3, 0.5]] / 0.11, hᵀR⁻¹ = (1, 2) / 1.1, precision 1 + 3/1.1 = 4.1/1.1; with y = (0.5, 0.8)
    /// the mean is 2.1 / 4.1.
    #[test]
    fn errors_that_hang_together_condition_as_the_closed_form_says() {
        let count = 20_000;
        let x = normal(2, count, "x");
        let sd = 0.1_f64.sqrt();
        let facts = vec![fact("a", 0.5, sd), fact("b", 0.8, sd)];
        let model = [vec![0.4, 0.3], vec![0.3, 0.3]];
        let conditioned =
            Facts::new(facts, &model).unwrap().weigh(&[x.clone(), x.clone()]).unwrap();
        let after = conditioned.weights.moments(&x).unwrap();
        assert!((after.mean - 2.1 / 4.1).abs() < 0.01, "{after:?}");
        assert!((after.standard_deviation - (1.1 / 4.1_f64).sqrt()).abs() < 0.01, "{after:?}");
    }

    /// Of worlds `x ~ N(0, 1)` and a fact `y ± s`, 1/Σw² over n tends to
    /// `√(1 - k²) exp(-y² / ((1 + s²)(2 + s²)))` with `k = 1 / (1 + s²)`.
    #[test]
    fn the_effective_number_is_as_the_closed_form_says() {
        let (count, y, s) = (20_000, 0.8_f64, 0.5_f64);
        let x = normal(3, count, "x");
        let facts = Facts::new(vec![fact("a", y, s)], &[vec![0.0]]).unwrap();
        let effective = facts.weigh(&[x]).unwrap().weights.effective() / 20_000.0;
        let square = s * s;
        let k = 1.0 / (1.0 + square);
        let right = (1.0 - k * k).sqrt() * libm::exp(-y * y / ((1.0 + square) * (2.0 + square)));
        assert!((effective - right).abs() < 0.01, "{effective} {right}");
    }

    #[test]
    fn few_worlds_warn_and_very_few_are_tempered() {
        let x = normal(4, 2000, "x");
        let weigh = |y: f64, sd: f64| {
            Facts::new(vec![fact("a", y, sd)], &[vec![0.0]])
                .unwrap()
                .weigh(std::slice::from_ref(&x))
                .unwrap()
        };
        assert_eq!(weigh(0.0, 1.0).verdict, Verdict::Enough);
        let few = weigh(0.5, 0.1);
        assert_eq!(few.verdict, Verdict::Few);
        assert!((100.0..400.0).contains(&few.weights.effective()));
        let tempered = weigh(0.5, 0.01);
        let Verdict::Tempered { untempered, exponent } = tempered.verdict else {
            panic!("{:?}", tempered.verdict)
        };
        assert!(untempered < 100.0 && (0.0..1.0).contains(&exponent), "{untempered} {exponent}");
        assert!((tempered.weights.effective() - 100.0).abs() < 1e-3);
        assert!(tempered.contradictions.is_empty());
    }

    #[test]
    fn a_fact_far_from_all_worlds_contradicts_with_both_numbers() {
        let used: Vec<f64> = normal(5, 2000, "x").iter().map(|x| 141.0 + 6.0 * x).collect();
        let at = |measured: f64| {
            let facts = Facts::new(vec![fact("moor", measured, 3.0)], &[vec![16.0]]).unwrap();
            facts.weigh(std::slice::from_ref(&used)).unwrap().contradictions
        };
        // Joint sd √(9 + 16 + 36) = 7.81; three of them 23.4.
        assert!(at(141.0 + 23.0).is_empty());
        let found = at(141.0 - 24.0);
        assert_eq!(found.len(), 1);
        assert!((found[0].predicted - 141.0).abs() < 0.1);
        assert!((found[0].distance_sd - 24.0 / 61.0_f64.sqrt()).abs() < 0.02);
    }

    #[test]
    fn worlds_that_predict_nothing_count_nothing() {
        let facts = Facts::new(vec![fact("a", 1.0, 1.0)], &[vec![0.0]]).unwrap();
        let some = facts.weigh(&[vec![1.0, f64::NAN, 1.0, f64::INFINITY, 2.0, 0.5]]).unwrap();
        assert_eq!(some.worlds_without_prediction, 2);
        assert!(some.weights.shares()[1].abs() < f64::EPSILON);
        let none = facts.weigh(&[vec![f64::NAN; 4]]).unwrap_err();
        assert_eq!(none.to_string(), "no world predicts a number for the measured fact `a`");
        assert!(facts.weigh(&[]).is_err() && facts.weigh(&[vec![], vec![]]).is_err());
    }

    #[test]
    fn facts_without_error_or_with_a_wrong_covariance_are_refused() {
        assert_eq!(
            Facts::new(vec![fact("a", 1.0, 0.0)], &[vec![0.0]]).unwrap_err(),
            FactsError::NotPositive
        );
        let short = Facts::new(vec![fact("a", 1.0, 1.0)], &[]).unwrap_err();
        assert_eq!(short.to_string(), "model covariance: 0 given where 1 are wanted");
    }
}
