//! One option of a sweep in one world: everything that was drawn, and what came of it.

use serde::Serialize;

use crate::sweep::{Amount, Choices};
use crate::{Provenance, Question, Units};

/// The answer of `sweep --world`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WorldAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence.
    pub plain: String,
    /// Identity of the option.
    pub id: String,
    /// What it has chosen.
    pub choices: Choices,
    /// The world, counted from 1.
    pub world: usize,
    /// How many worlds there are.
    pub worlds: usize,
    /// What the world counts; 1 where no fact was measured.
    pub counts: f64,
    /// What was drawn.
    pub drawn: Vec<DrawnInput>,
    /// The answers.
    pub results: Vec<WorldResult>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
}

/// An input as it was drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrawnInput {
    /// Path in a build file.
    pub key: String,
    /// Its nominal value, as a build would write it.
    pub nominal: String,
    /// Its value in this world, as a build would write it.
    pub drawn: String,
    /// The share of worlds in which it is less, 0..1.
    pub place: f64,
}

/// An answer in this world.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorldResult {
    /// Name of the answer.
    pub answer: String,
    /// Name for people.
    pub label: String,
    /// With every input at its nominal value.
    pub nominal: Amount,
    /// In this world.
    pub in_world: Amount,
    #[serde(skip)]
    pub(crate) name: Question,
}

impl WorldResult {
    /// An answer at the nominal values and in a world, in its metric unit.
    #[must_use]
    pub fn new(name: &Question, nominal: f64, in_world: f64) -> WorldResult {
        let amount = |value| Amount { value, unit: Units::Metric.symbol(name.unit()) };
        WorldResult {
            answer: name.key(),
            label: name.title(),
            nominal: amount(nominal),
            in_world: amount(in_world),
            name: name.clone(),
        }
    }
}
