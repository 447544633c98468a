//! What was found of one option in all worlds, as an input of the fits of others.
//!
//! Options of a sweep differ little from each other. So the logarithm of one is close to a straight line in that of another
//! in the same worlds, and what it leaves is a sum of few inputs: it takes fewer driven worlds than a fit from nothing.

use std::ops::Range;

use crate::fit::Fit;
use crate::weights::as_f64;

/// Inputs with what was found of others behind them, in the same worlds.
#[must_use]
pub fn beside<'a>(
    inputs: &[&'a [f64]],
    like: &[&'a Column],
    worlds: &Range<usize>,
) -> Vec<&'a [f64]> {
    let like = like.iter().map(|column| column.in_worlds(worlds.clone()));
    inputs.iter().copied().chain(like).collect()
}

/// The error of a fit on inputs with columns behind them, with what these are off.
#[must_use]
pub fn error_of(fit: &Fit, inputs: usize, like: &[&Column]) -> f64 {
    fit.error_where(|input| match input.checked_sub(inputs) {
        Some(place) => like.get(place).map_or(0.0, |column| column.error()),
        None => 0.0,
    })
}

/// One quantity in all worlds.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// In standard deviations from the mean.
    values: Vec<f64>,
    /// Root mean square error where it was not driven, in the same measure.
    error: f64,
}

impl Column {
    /// Of a quantity with its error. `None`: it is the same in all worlds, and tells nothing.
    #[must_use]
    pub fn of(values: &[f64], error: f64) -> Option<Column> {
        let worlds = as_f64(values.len().max(1));
        let mean = values.iter().sum::<f64>() / worlds;
        let squares = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
        let deviation = libm::sqrt(squares / worlds);
        let is_one = deviation.is_finite() && deviation > 0.0;
        is_one.then(|| Column {
            values: values.iter().map(|value| (value - mean) / deviation).collect(),
            error: error / deviation,
        })
    }

    /// In some of the worlds.
    #[must_use]
    pub fn in_worlds(&self, worlds: Range<usize>) -> &[f64] {
        &self.values[worlds]
    }

    /// Root mean square error where it was not driven.
    #[must_use]
    pub fn error(&self) -> f64 {
        self.error
    }
}
