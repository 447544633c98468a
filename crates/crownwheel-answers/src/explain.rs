//! Where an answer comes from: the formulas, the numbers put in, and who says so.

use crownwheel::name::Name;
use serde::Serialize;

use crate::compare::Amount;
use crate::{Caution, Provenance, Question, Units};

/// The answer of `explain`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ExplainAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the steps are worked in metric units.
    pub units: Units,
    /// The answer in one sentence.
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// Name of the day. `None`: the answer is the same on all days.
    pub day: Option<Name>,
    /// Name of what is explained.
    pub answer: String,
    /// The same as it is asked.
    #[serde(skip)]
    pub question: Option<Question>,
    /// The answer.
    pub result: Amount,
    /// How it is computed, step by step.
    pub steps: Vec<Step>,
    /// The inputs of the build that it depends on.
    pub inputs: Vec<InputText>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// One step of a working.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Step {
    /// What is computed, in words.
    pub what: String,
    /// The formula in plain letters.
    pub formula: String,
    /// The formula with the numbers put in, and what it comes to.
    pub numbers: String,
    /// The function that computes it.
    pub computed_in: String,
}

/// An input of a build.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct InputText {
    /// Path of the key; a `*` stands for every name that lacks it.
    pub key: String,
    /// Its value, as it is written or assumed.
    pub value: String,
    /// The build gives it; else it is assumed.
    pub given: bool,
    /// Where it is from, as the build says or by whom it is assumed. `None`: the build does not say.
    pub source: Option<String>,
}

impl Step {
    /// A step of a working.
    #[must_use]
    pub fn new(what: &str, formula: &str, numbers: String, computed_in: &str) -> Step {
        Step {
            what: what.to_owned(),
            formula: formula.to_owned(),
            numbers,
            computed_in: computed_in.to_owned(),
        }
    }
}
