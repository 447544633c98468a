//! Tables of `explain`.

use crate::explain::{ExplainInput, Step};
use crate::{Column, ExplainAnswer, Table};

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
            title: "How it is reckoned".to_owned(),
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
        let row = |input: &ExplainInput| {
            vec![
                input.key.as_str().into(),
                input.value.as_str().into(),
                if input.given { "given" } else { "assumed" }.into(),
                input.source.as_deref().into(),
            ]
        };
        Table {
            name: "explain-inputs",
            title: "What it hangs on".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("key", "key"),
                Column::words("value", "value"),
                Column::words("given", "given or assumed"),
                Column::words("source", "source"),
            ],
            rows: self.inputs.iter().map(row).collect(),
        }
    }
}
