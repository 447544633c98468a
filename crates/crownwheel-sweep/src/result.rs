//! What worlds say of an option and of a single car, as plain data.

use crownwheel::name::Name;
use std::sync::Arc;

use crownwheel::space::Choice;
use crownwheel_quantities::worth::rounded;
use crownwheel_quantities::{Band, Bound, Condition, Demand, Question, Units};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// A limit that a demand sets on an answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DemandLimit {
    /// Name of the demand.
    pub name: Name,
    /// Name of the answer.
    pub answer: String,
    /// The answer must be at least the limit; else at most.
    pub at_least: bool,
    /// The limit, in the unit of the answer.
    pub limit: Amount,
}

/// One option.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OptionAnswer {
    /// Identity, made from the choices.
    pub id: String,
    /// What was chosen, by key of the build or name of the group.
    pub choices: Choices,
    /// Its answers; empty if it cannot be built.
    pub answers: Answers,
    /// How it does by each demand; empty if it cannot be built.
    pub demands: Vec<DemandMet>,
    /// The share of worlds that meets all demands at once, 0..1. `None`: it cannot be built.
    pub all_demands_probability: Option<f64>,
    /// Standard error of `all_demands_probability`.
    pub all_demands_standard_error: Option<f64>,
    /// Whether it meets each demand as surely as asked.
    pub meets_all: bool,
    /// Whether no other option is better in everything. `None`: not compared, it cannot be built.
    pub non_dominated: Option<bool>,
    /// What its choices cost. `None`: not known.
    pub price: Option<f64>,
    /// In how many worlds it was run.
    pub worlds: usize,
    /// Why it cannot be built. `None`: it can.
    pub reason: Option<String>,
}

/// What an option has chosen: key or group, and value, in the order of the keys.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choices(pub Vec<(Arc<str>, Arc<str>)>);

impl Choices {
    /// Choices of an option.
    #[must_use]
    pub fn of(choices: &[Choice]) -> Choices {
        Choices(choices.iter().map(|it| (Arc::clone(&it.of), Arc::clone(&it.is))).collect())
    }
}

impl Serialize for Choices {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (of, is) in &self.0 {
            map.serialize_entry(&**of, &**is)?;
        }
        map.end()
    }
}

/// Answers of an option with the names that all options share.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    names: Arc<[Question]>,
    bands: Vec<Band>,
}

impl Default for Answers {
    fn default() -> Self {
        Answers { names: Arc::from([]), bands: Vec::new() }
    }
}

impl Answers {
    /// A band for each name, in their order. Without bands there are no answers.
    #[must_use]
    pub fn new(names: Arc<[Question]>, bands: Vec<Band>) -> Answers {
        Answers { names, bands }
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.bands.is_empty()
    }

    /// The names that all options share.
    #[must_use]
    pub fn names(&self) -> Arc<[Question]> {
        Arc::clone(&self.names)
    }

    /// The answers with their names.
    pub fn iter(&self) -> impl Iterator<Item = (&Question, &Band)> {
        self.names.iter().zip(&self.bands)
    }

    /// One answer. `None`: the option has none of this name.
    #[must_use]
    pub fn get(&self, name: &Question) -> Option<&Band> {
        self.iter().find(|(known, _)| *known == name).map(|(_, band)| band)
    }
}

impl Serialize for Answers {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.bands.len()))?;
        for (name, band) in self.iter() {
            map.serialize_entry(&name.key(), band)?;
        }
        map.end()
    }
}

/// How an option does by one demand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DemandMet {
    /// Name of the demand.
    pub name: Name,
    /// The share of worlds that meets it, 0..1.
    pub probability: f64,
    /// Standard error of `probability`, 0..1.
    pub standard_error: f64,
    /// The share that is asked for, 0..1. `None`: it is judged at the nominal values.
    pub sure: Option<f64>,
    /// Whether it is met.
    pub met: bool,
}

/// How often one option is better than another in the same worlds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HeadToHead {
    /// The option.
    pub id: String,
    /// The other.
    pub over: String,
    /// Name of the answer that is compared.
    pub answer: String,
    /// The share of worlds in which it is better, worlds without a difference counted half.
    pub probability: f64,
    /// Standard error of `probability`.
    pub standard_error: f64,
}

/// An input that is worth measuring, because it moves an answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasureNext {
    /// Name of the answer.
    pub answer: String,
    /// Path of the input in a build.
    pub key: String,
    /// Its share in the variance of the answer, 0..1.
    pub share: f64,
    /// Standard error of `share`.
    pub standard_error: f64,
    /// By how much of itself the band from one in ten to nine in ten would shrink if the input were
    /// known, %.
    pub band_shrinks_pct: f64,
    /// The line to write into the build once it is measured. `None`: it stands there already, with
    /// the wider band.
    pub line: Option<String>,
}

/// What measured facts did to the worlds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FactsAnswer {
    /// Names of the facts.
    pub used: Vec<String>,
    /// Number of worlds that would tell as much if all counted alike.
    pub effective_worlds: f64,
    /// Exponent, below 1, that the facts were weakened by so that enough worlds are left. `None`: they
    /// count in full.
    pub tempered_by: Option<f64>,
    /// Facts that contradict the build.
    pub contradictions: Vec<FactAgainst>,
}

/// A fact that contradicts the build.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FactAgainst {
    /// Name of the fact.
    pub fact: String,
    /// What was measured.
    pub measured: Amount,
    /// What the build predicts, half of the worlds below.
    pub predicted: Amount,
    /// How far they lie apart, in standard deviations of both together.
    pub distance_sd: f64,
}

/// A number with its unit beside it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Amount {
    /// The number.
    pub value: f64,
    /// Symbol of its unit.
    pub unit: &'static str,
}

impl DemandLimit {
    /// A limit on an answer, in its metric unit.
    #[must_use]
    pub fn new(
        demand: impl Into<Name>,
        answer: &Question,
        at_least: bool,
        limit: f64,
    ) -> DemandLimit {
        let unit = Units::Metric.symbol(answer.unit());
        DemandLimit {
            name: demand.into(),
            answer: answer.key(),
            at_least,
            limit: Amount { value: limit, unit },
        }
    }
}

impl MeasureNext {
    /// From a share of an input in an answer; a share below 0 or above 1 is what noise leaves of it.
    #[must_use]
    pub fn new(
        answer: &Question,
        key: &str,
        (share, standard_error): (f64, f64),
        line: Option<String>,
    ) -> MeasureNext {
        let share = share.clamp(0.0, 1.0);
        let known = (1.0 - share).sqrt();
        // The error of √(1 - S) is that of S over 2 √(1 - S); near 1 it is no larger than that of S.
        let shrink_error = standard_error / (2.0 * known).max(1.0);
        MeasureNext {
            answer: answer.key(),
            key: key.to_owned(),
            share,
            standard_error,
            band_shrinks_pct: rounded(100.0 * (1.0 - known), 100.0 * shrink_error),
            line,
        }
    }
}

impl OptionAnswer {
    /// An option that cannot be built, with the reason.
    #[must_use]
    pub fn impossible(id: String, choices: Choices, reason: String) -> OptionAnswer {
        OptionAnswer { id, choices, reason: Some(reason), ..OptionAnswer::default() }
    }
}

/// The limits of the demands, in their order.
#[must_use]
pub fn limits(demands: &[Demand]) -> Vec<DemandLimit> {
    let of = |demand: &Demand| -> Vec<DemandLimit> {
        let one = |it: &Condition| {
            let at_least = matches!(it.bound, Bound::AtLeast(_));
            DemandLimit::new(&demand.name, &it.question, at_least, it.bound.limit())
        };
        demand.conditions.iter().map(one).collect()
    };
    demands.iter().flat_map(of).collect()
}
