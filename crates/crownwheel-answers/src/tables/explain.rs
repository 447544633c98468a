//! Tables of `explain`.

use crate::explain::Step;
use crate::from_car::InputText;
use crate::{Cell, Column, ExplainAnswer, Table, Units};

impl ExplainAnswer {
    /// A row for each step.
    #[must_use]
    pub fn steps_table(&self) -> Table {
        let row = |step: &Step| {
            let cells = [&step.what, &step.formula, &step.numbers, &step.computed_in];
            cells.map(|cell| cell.as_str().into()).to_vec()
        };
        Table {
            name: "explain-steps",
            title: "How it is worked out".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("what", "what"),
                Column::words("formula", "formula"),
                Column::words("numbers", "with numbers"),
                Column::words("computed_in", "computed in"),
            ],
            rows: self.steps.iter().map(row).collect(),
        }
    }

    /// A row for each input.
    #[must_use]
    pub fn inputs_table(&self) -> Table {
        let rows =
            self.inputs.iter().map(|it| row(&it.key, &it.value, it.given, it.source.as_deref()));
        table("explain-inputs", "Its inputs", self.units, rows.collect())
    }
}

/// Every input of a build as it is written or assumed.
#[must_use]
pub fn inputs_table(inputs: &[InputText]) -> Table {
    let rows = inputs.iter().map(|it| row(&it.key, &it.value, it.given, it.source.as_deref()));
    table("inputs", "Inputs as they are written or assumed", Units::Metric, rows.collect())
}

fn row(key: &str, value: &str, given: bool, source: Option<&str>) -> Vec<Cell> {
    vec![key.into(), value.into(), if given { "given" } else { "assumed" }.into(), source.into()]
}

fn table(name: &'static str, title: &str, units: Units, rows: Vec<Vec<Cell>>) -> Table {
    Table {
        name,
        title: title.to_owned(),
        units,
        columns: vec![
            Column::words("key", "key"),
            Column::words("value", "value"),
            Column::words("given", "given or assumed"),
            Column::words("source", "source"),
        ],
        rows,
    }
}
