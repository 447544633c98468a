//! Times, grades and hours of charging in many worlds from few that were driven.
//!
//! As ranges, they are close to a sum of a few inputs; where they are not, or are infinite in a world, every world is
//! driven.

use std::ops::Range;
use std::sync::Arc;

use crate::fit::Fit;
use crate::relatives::{Column, beside, error_of};
use crate::weights::as_f64;

/// Most that a fit may miss an answer by, over its standard deviation: its band is narrower by half a per cent then.
const MOST_MISSED: f64 = 0.1;

/// The same over the root of the number of driven worlds, where what the fit leaves is added: what it leaves of so many is
/// known well enough then for a probability within a point.
const MOST_LEFT: f64 = 0.025;

/// An error that is rounding, relative.
const ROUNDING: f64 = 1e-9;

/// An answer as a sum of terms: its logarithm where it is more than 0.
#[derive(Clone, Debug, PartialEq)]
pub struct AnswerFit {
    driven: Vec<f64>,
    fit: Fit,
    logarithm: bool,
    /// What the fit leaves is added.
    scattered: bool,
    like: Option<Arc<Column>>,
}

impl AnswerFit {
    /// From the first worlds and the inputs of these, and the same answer of another option. `None`: it does not do.
    #[must_use]
    pub fn of(driven: &[f64], inputs: &[&[f64]], like: Option<&Arc<Column>>) -> Option<AnswerFit> {
        if !driven.iter().all(|value| value.is_finite()) {
            return None;
        }
        let logarithm = driven.iter().all(|value| *value > 0.0);
        let as_fitted = |value: &f64| if logarithm { libm::log(*value) } else { *value };
        let values: Vec<f64> = driven.iter().map(as_fitted).collect();
        let columns: Vec<&Column> = like.iter().map(|like| &***like).collect();
        let fit = Fit::new(&beside(inputs, &columns, &(0..driven.len())), &values);
        let error = error_of(&fit, inputs.len(), &columns);
        let rounding = ROUNDING * values.iter().copied().map(f64::abs).fold(1.0, f64::max);
        let scattered = error > (MOST_MISSED * fit.deviation()).max(rounding);
        let most_left = MOST_LEFT * libm::sqrt(as_f64(driven.len())) * fit.deviation();
        let (driven, like) = (driven.to_vec(), like.cloned());
        let does = !scattered || error <= most_left;
        does.then_some(AnswerFit { driven, fit, logarithm, scattered, like })
    }

    /// The answer in some worlds, from their inputs.
    #[must_use]
    pub fn values(&self, inputs: &[&[f64]], worlds: Range<usize>) -> Vec<f64> {
        let columns: Vec<&Column> = self.like.iter().map(|like| &**like).collect();
        let inputs = beside(inputs, &columns, &worlds);
        let one = |(place, world): (usize, usize)| match self.driven.get(world) {
            Some(driven) => *driven,
            None => {
                let left = if self.scattered { self.fit.left(world) } else { 0.0 };
                let value = self.fit.at(&inputs, place) + left;
                if self.logarithm { libm::exp(value) } else { value }
            }
        };
        worlds.enumerate().map(one).collect()
    }
}

/// An answer in all worlds as an input of the fits of other options, with its error. `None`: it tells nothing.
#[must_use]
pub fn column(values: &[f64], error: f64) -> Option<Column> {
    if values.iter().all(|value| *value > 0.0) {
        return Column::of(&values.iter().copied().map(libm::log).collect::<Vec<f64>>(), error);
    }
    Column::of(values, error)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{Inputs, lists};
    use crate::worlds::Worlds;
    use std::num::NonZeroUsize;

    fn inputs() -> Inputs {
        let drawn = Worlds::new(1, NonZeroUsize::new(500).unwrap(), 0);
        let of = |at: usize| {
            drawn.units(&format!("input {at}")).iter().map(|unit| 3.46 * (unit - 0.5)).collect()
        };
        (0..60).map(of).collect()
    }

    #[test]
    fn a_product_of_its_inputs_is_said_in_every_world() {
        let inputs = inputs();
        let truth = |at: usize| 12.0 * libm::exp(0.05 * inputs[3][at] - 0.02 * inputs[7][at]);
        let driven: Vec<f64> = (0..64).map(truth).collect();
        let fit = AnswerFit::of(&driven, &lists(&inputs), None).unwrap();
        let found = fit.values(&lists(&inputs), 0..500);
        assert!(found.iter().enumerate().all(|(at, found)| (found / truth(at) - 1.0).abs() < 1e-9));
    }

    /// An answer depends on forty inputs: sixteen worlds are too few for a fit on them, and enough beside another option.
    #[test]
    fn an_answer_like_that_of_another_option_takes_few_worlds() {
        let inputs = inputs();
        let other = |at: usize| (0..40).map(|input| 0.01 * inputs[input][at]).sum::<f64>();
        let truth = |at: usize| 12.0 * libm::exp(0.9 * other(at) + 0.005 * inputs[50][at]);
        let others: Vec<f64> = (0..500).map(other).collect();
        let like = Arc::new(Column::of(&others, 0.0).unwrap());
        let driven: Vec<f64> = (0..16).map(truth).collect();
        assert_eq!(AnswerFit::of(&driven, &lists(&inputs), None), None);
        let fit = AnswerFit::of(&driven, &lists(&inputs), Some(&like)).unwrap();
        let found = fit.values(&lists(&inputs), 0..500);
        assert!(found.iter().enumerate().all(|(at, found)| (found / truth(at) - 1.0).abs() < 1e-9));
    }

    #[test]
    fn what_a_fit_does_not_say_is_driven() {
        let inputs = inputs();
        let bent: Vec<f64> = (0..64).map(|at| (inputs[3][at] + inputs[4][at]).max(0.0)).collect();
        assert_eq!(AnswerFit::of(&bent, &lists(&inputs), None), None);
        let mut never: Vec<f64> = (0..64).map(|at| 10.0 + inputs[3][at]).collect();
        assert!(AnswerFit::of(&never, &lists(&inputs), None).is_some());
        never[7] = f64::INFINITY;
        assert_eq!(AnswerFit::of(&never, &lists(&inputs), None), None);
    }
}
