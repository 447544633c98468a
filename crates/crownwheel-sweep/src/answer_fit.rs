//! Times, grades and hours of charging in many worlds from few that were driven.
//!
//! As ranges, they are close to a sum of a few inputs; where they are not, or are infinite in a world, every world is
//! driven.

use crate::fit::{Fit, Inputs};

/// Most that a fit may miss an answer by, over its standard deviation: its band is narrower by half a per cent then.
const MOST_MISSED: f64 = 0.1;

/// An error that is rounding, relative.
const ROUNDING: f64 = 1e-9;

/// An answer as a sum of terms: its logarithm where it is more than 0.
#[derive(Clone, Debug, PartialEq)]
pub struct AnswerFit {
    fit: Fit,
    logarithm: bool,
}

impl AnswerFit {
    /// From the first worlds and the inputs of these at least. `None`: it does not do.
    #[must_use]
    pub fn of(driven: &[f64], inputs: &Inputs) -> Option<AnswerFit> {
        if !driven.iter().all(|value| value.is_finite()) {
            return None;
        }
        let logarithm = driven.iter().all(|value| *value > 0.0);
        let as_fitted = |value: &f64| if logarithm { libm::log(*value) } else { *value };
        let values: Vec<f64> = driven.iter().map(as_fitted).collect();
        let fit = Fit::new(inputs, &values);
        let rounding = ROUNDING * values.iter().copied().map(f64::abs).fold(1.0, f64::max);
        (fit.error() <= (MOST_MISSED * fit.deviation()).max(rounding))
            .then_some(AnswerFit { fit, logarithm })
    }

    /// The answer in one world, by its place among the inputs.
    #[must_use]
    pub fn at(&self, inputs: &Inputs, place: usize) -> f64 {
        let value = self.fit.at(inputs, place);
        if self.logarithm { libm::exp(value) } else { value }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
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
        let fit = AnswerFit::of(&driven, &inputs).unwrap();
        assert!((64..500).all(|at| (fit.at(&inputs, at) / truth(at) - 1.0).abs() < 1e-9));
    }

    #[test]
    fn what_a_fit_does_not_say_is_driven() {
        let inputs = inputs();
        let bent: Vec<f64> = (0..64).map(|at| (inputs[3][at] + inputs[4][at]).max(0.0)).collect();
        assert_eq!(AnswerFit::of(&bent, &inputs), None);
        let mut never: Vec<f64> = (0..64).map(|at| 10.0 + inputs[3][at]).collect();
        assert!(AnswerFit::of(&never, &inputs).is_some());
        never[7] = f64::INFINITY;
        assert_eq!(AnswerFit::of(&never, &inputs), None);
    }
}
