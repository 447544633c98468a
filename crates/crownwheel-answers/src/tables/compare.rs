//! Tables of `compare`.

use crate::compare::{AnswerMoved, InputMoved, KeyMoved, Part, shown_by, signed};
use crate::unit::{MISSING, digits};
use crate::{Cell, Column, CompareAnswer, Grid, Question, Table, Unit, Units, json};

/// Parts of a move below this share are not shown to people, %.
const SMALL_PCT: f64 = 3.0;

/// Parts of a move that people are shown.
const MOST_PARTS: usize = 3;

fn number(question: &Question, value: Option<f64>, units: Units) -> Cell {
    Cell::from(value.map(|value| units.value(value, question.unit())))
}

fn step(question: &Question, by: Option<f64>, units: Units) -> Cell {
    Cell::from(by.map(|by| units.difference(by, question.unit())))
}

fn answer_columns() -> Vec<Column> {
    vec![Column::words("answer", "answer"), Column::words("unit", "unit")]
}

fn answer_cells(it: &AnswerMoved, units: Units) -> Vec<Cell> {
    vec![
        json::answer_name(&it.answer, units).as_str().into(),
        units.symbol(it.question.unit()).into(),
    ]
}

impl CompareAnswer {
    /// A row for each answer.
    #[must_use]
    pub fn table(&self) -> Table {
        let mut columns = answer_columns();
        columns.extend([
            Column::words("first", "first").to(3),
            Column::words("second", "second").to(3),
            Column::words("by", "by").to(3),
            Column::new("by_pct", "by", Unit::Pct),
            Column::words("moved", "moved"),
            Column::words("together", "together").to(3),
        ]);
        let row = |it: &AnswerMoved| {
            let mut row = answer_cells(it, self.units);
            row.extend([
                number(&it.question, it.first.value, self.units),
                number(&it.question, it.second.value, self.units),
                step(&it.question, it.by.value, self.units),
                it.by_pct.into(),
                it.moved.into(),
                step(&it.question, it.together.value, self.units),
            ]);
            row
        };
        Table {
            name: "compare",
            title: "Answers of both builds".to_owned(),
            units: self.units,
            columns,
            rows: self.answers.iter().map(row).collect(),
        }
    }

    /// A row for each answer and input.
    #[must_use]
    pub fn parts_table(&self) -> Table {
        let mut columns = answer_columns();
        columns.extend([
            Column::words("input", "input"),
            Column::words("by", "by").to(3),
            Column::new("share_pct", "share", Unit::Pct).to(0),
        ]);
        let rows = self.answers.iter().flat_map(|it| {
            it.parts.iter().map(|part| {
                let mut row = answer_cells(it, self.units);
                row.extend([
                    part.input.as_str().into(),
                    step(&it.question, part.by.value, self.units),
                    part.share_pct.into(),
                ]);
                row
            })
        });
        Table {
            name: "compare-parts",
            title: "What each input alone does to the first build".to_owned(),
            units: self.units,
            columns,
            rows: rows.collect(),
        }
    }

    /// A row for each key that differs.
    #[must_use]
    pub fn inputs_table(&self) -> Table {
        let row = |key: &KeyMoved| {
            vec![
                key.key.as_str().into(),
                key.first.as_deref().into(),
                key.second.as_deref().into(),
                key.first_assumed.as_deref().into(),
                key.second_assumed.as_deref().into(),
                key.first_from.as_deref().into(),
                key.second_from.as_deref().into(),
            ]
        };
        Table {
            name: "compare-inputs",
            title: "Inputs that differ".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("key", "key"),
                Column::words("first", "first build"),
                Column::words("second", "second build"),
                Column::words("first_assumed", "first assumes"),
                Column::words("second_assumed", "second assumes"),
                Column::words("first_from", "first from"),
                Column::words("second_from", "second from"),
            ],
            rows: self.keys().map(row).collect(),
        }
    }

    /// The same for people: what is assumed stands where nothing is written.
    #[must_use]
    pub fn inputs_grid(&self) -> Grid {
        changed_grid(&self.inputs, ["first build", "second build"])
    }

    fn keys(&self) -> impl Iterator<Item = &KeyMoved> {
        self.inputs.iter().flat_map(|input| &input.keys)
    }

    /// The answers that moved, each with what moved it most.
    #[must_use]
    pub fn moved_grid(&self) -> Grid {
        moved_grid(&self.answers, ["first", "second"], self.units)
    }
}

/// Inputs that differ, for people, with what the two builds are called.
pub(crate) fn changed_grid(inputs: &[InputMoved], names: [&str; 2]) -> Grid {
    let keys = || inputs.iter().flat_map(|input| &input.keys);
    let says_from = keys().any(|key| key.first_from.is_some() || key.second_from.is_some());
    let assumed = |text: &String| format!("{text} (assumed)");
    let shown = |written: &Option<String>, other: &Option<String>| {
        let text = written.clone().or_else(|| other.as_ref().map(assumed));
        text.unwrap_or_else(|| MISSING.to_owned())
    };
    let row = |key: &KeyMoved| {
        let mut row = vec![
            key.key.clone(),
            shown(&key.first, &key.first_assumed),
            shown(&key.second, &key.second_assumed),
        ];
        if says_from {
            let or_dash = |text: &Option<String>| text.clone().unwrap_or(MISSING.to_owned());
            row.extend([or_dash(&key.first_from), or_dash(&key.second_from)]);
        }
        row
    };
    let mut head = vec!["key".to_owned()];
    head.extend(names.map(str::to_owned));
    if says_from {
        let from = |name: &str| format!("{} from", name.trim_end_matches(" build"));
        head.extend(names.map(from));
    }
    Grid { right: vec![false; head.len()], rows: keys().map(row).collect(), head }
}

/// The answers that moved, each with what moved it most, with what the two builds are called.
pub(crate) fn moved_grid(answers: &[AnswerMoved], names: [&str; 2], units: Units) -> Grid {
    let row = |it: &AnswerMoved| {
        vec![
            it.label.clone(),
            it.shown[0].clone(),
            it.shown[1].clone(),
            shown_by(&it.question, it.by.value, units),
            moved_by(it, units),
        ]
    };
    Grid {
        head: ["answer", names[0], names[1], "by", "of that, each input alone"]
            .map(str::to_owned)
            .to_vec(),
        rows: answers.iter().filter(|it| it.moved).map(row).collect(),
        right: vec![false, true, true, true, false],
    }
}

/// `-13 (109 %) pack.modules_in_series, +3 (-27 %) driveline.axle.ratio, -2 (18 %) together`.
fn moved_by(it: &AnswerMoved, units: Units) -> String {
    let size = |share_pct: Option<f64>| share_pct.unwrap_or(0.0).abs();
    let mut parts: Vec<&Part> =
        it.parts.iter().filter(|part| size(part.share_pct) >= SMALL_PCT).collect();
    parts.sort_by(|a, b| size(b.share_pct).total_cmp(&size(a.share_pct)));
    let said = |by: Option<f64>, share_pct: Option<f64>, what: &str| {
        let pct = digits(share_pct.unwrap_or(f64::NAN), 0);
        format!("{} ({pct} %) {what}", signed(&it.question, by, units))
    };
    let shown = parts.iter().take(MOST_PARTS);
    let mut all: Vec<String> =
        shown.map(|part| said(part.by.value, part.share_pct, &part.input)).collect();
    if parts.len() > MOST_PARTS {
        all.push(format!("{} more", parts.len() - MOST_PARTS));
    }
    if size(it.together_pct) >= SMALL_PCT {
        all.push(said(it.together.value, it.together_pct, "together"));
    }
    if all.is_empty() { MISSING.to_owned() } else { all.join(", ") }
}
