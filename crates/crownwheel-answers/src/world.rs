//! One option of a sweep in one world: everything that was drawn, and what came of it.

use serde::Serialize;

use crate::sweep::{Amount, Choices};
use crate::{Band, Cell, Column, Provenance, Question, Table, Units};

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
    name: Question,
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

impl WorldAnswer {
    /// What was drawn, a row for each input.
    #[must_use]
    pub fn drawn_table(&self) -> Table {
        let row = |it: &DrawnInput| {
            let [key, nominal, drawn] = [&it.key, &it.nominal, &it.drawn].map(|it| it.as_str());
            vec![key.into(), nominal.into(), drawn.into(), it.place.into()]
        };
        Table {
            name: "world-drawn",
            title: "What was drawn".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("key", "input"),
                Column::words("nominal", "nominal"),
                Column::words("drawn", "in this world"),
                Column::words("place", "worlds with less").to(3),
            ],
            rows: self.drawn.iter().map(row).collect(),
        }
    }

    /// The answers, a row for each.
    #[must_use]
    pub fn results_table(&self) -> Table {
        let row = |it: &WorldResult| {
            let unit = it.name.unit();
            let cell = |value: f64| Cell::from(value).shown_in(self.units, unit);
            vec![
                crate::json::answer_name(&it.answer, self.units).as_str().into(),
                self.units.symbol(unit).into(),
                cell(it.nominal.value),
                cell(it.in_world.value),
            ]
        };
        Table {
            name: "world-results",
            title: "Answers in this world".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("answer", "answer"),
                Column::words("unit", "unit"),
                Column::words("nominal.value", "nominal"),
                Column::words("in_world.value", "in this world"),
            ],
            rows: self.results.iter().map(row).collect(),
        }
    }

    /// The answers for people.
    pub(crate) fn results_rows(&self) -> Vec<Vec<String>> {
        let shown = |it: &WorldResult, value: f64| it.name.shown(&Band::only(value), self.units);
        let row = |it: &WorldResult| {
            let (nominal, in_world) = (it.nominal.value, it.in_world.value);
            vec![it.label.clone(), shown(it, nominal), shown(it, in_world)]
        };
        self.results.iter().map(row).collect()
    }
}
