//! Every option of a sweep, what it does in all worlds, and which to take.

mod said;

pub use crownwheel_sweep::facts::FEW_WORLDS;
pub use crownwheel_sweep::result::{
    Amount, Answers, Choices, DemandLimit, DemandMet, FactAgainst, FactsAnswer, HeadToHead,
    MeasureNext, OptionAnswer,
};
pub use said::{DecisionBefore, facts_sentences, percent, trade};

use crownwheel::name::Name;
use serde::Serialize;

use crate::{Assumption, Caution, Provenance, Question, Units, Warning};

/// The answer of `sweep`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SweepAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric, see [`crate::json`].
    pub units: Units,
    /// The answer in one sentence, see [`SweepAnswer::plain_line`].
    pub plain: String,
    /// What the decision was when the sweep was last written into the same folder, in a sentence. `None`:
    /// it was not.
    pub since: Option<String>,
    /// Name of the car.
    pub car: Name,
    /// Names of the cycles.
    pub cycles: Vec<String>,
    /// Names of the days.
    pub days: Vec<Name>,
    /// Worlds in which the options that matter were run.
    pub worlds: usize,
    /// The rule of the first look in a sentence. `None`: every option was run in all worlds.
    pub screening: Option<String>,
    /// Currency of all prices. `None`: nothing has a price.
    pub currency: Option<String>,
    /// How many options there are.
    pub option_count: usize,
    /// How many of them cannot be built.
    pub impossible_count: usize,
    /// How many meet all demands.
    pub meets_all_count: usize,
    /// What the options are judged by.
    pub judged_by: Vec<JudgedBy>,
    /// The limits that the demands set on answers, in the order of the demands.
    pub demand_limits: Vec<DemandLimit>,
    /// The options, in the order of the sweep.
    pub options: Vec<OptionAnswer>,
    /// Identities of the options that can be built, the best first.
    pub ranking: Vec<String>,
    /// The rule of the ranking in a sentence.
    pub ranking_rule: String,
    /// Names of the answers over which `non_dominated` is meant.
    pub non_dominated_over: Vec<AnswerName>,
    /// What the best option gains and gives up against others that differ in one choice.
    pub trades: Vec<Trade>,
    /// How often the best option is better than another in the same worlds.
    pub head_to_head: Vec<HeadToHead>,
    /// What to measure next, for the best option.
    pub measure_next: Vec<MeasureNext>,
    /// What measured facts did to the worlds. `None`: there are none.
    pub facts: Option<FactsAnswer>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// An answer that options are judged by.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JudgedBy {
    /// Name in JSON and CSV.
    pub answer: String,
    /// Name for people.
    pub label: String,
    /// Symbol of its unit, empty if the name says it or it has none.
    pub unit: &'static str,
    /// Whether more of it is better.
    pub more_is_better: bool,
}

/// The name of an answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AnswerName {
    /// Name in JSON and CSV.
    pub answer: String,
}

/// What an option gains and gives up against another that differs in one choice.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Trade {
    /// The option.
    pub id: String,
    /// The other.
    pub instead_of: String,
    /// The key or group in which they differ.
    pub choice: String,
    /// The difference in a sentence.
    pub text: String,
}

impl JudgedBy {
    /// What is told of an answer.
    #[must_use]
    pub fn of(name: &Question) -> JudgedBy {
        JudgedBy {
            answer: name.key(),
            label: name.title(),
            unit: Units::Metric.symbol(name.unit()),
            more_is_better: name.quantity().more_is_better,
        }
    }
}

impl AnswerName {
    /// The name of an answer.
    #[must_use]
    pub fn of(name: &Question) -> AnswerName {
        AnswerName { answer: name.key() }
    }
}

impl SweepAnswer {
    /// An option by its identity.
    #[must_use]
    pub fn option(&self, id: &str) -> Option<&OptionAnswer> {
        self.options.iter().find(|option| option.id == id)
    }

    /// The best option. `None`: none can be built.
    #[must_use]
    pub fn best(&self) -> Option<&OptionAnswer> {
        self.ranking.first().and_then(|id| self.option(id))
    }

    /// The ranked options, the best first.
    pub fn ranked(&self) -> impl Iterator<Item = &OptionAnswer> {
        self.ranking.iter().filter_map(|id| self.option(id))
    }
}
