//! `explain`: how an answer is worked out.

use crate::explain::InputText;
use crate::sheet::{Look, Mark, Say, Section, Sheet};
use crate::{ExplainAnswer, Table, Units};

impl ExplainAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let step = |step: &crate::explain::Step| {
            let in_code = format!("in {}", step.computed_in);
            let [what, formula, numbers] =
                [&step.what, &step.formula, &step.numbers].map(Clone::clone);
            [what, formula, numbers, in_code].map(Say::Words).to_vec()
        };
        let steps = self.steps_table();
        let section = Section::new("steps", "How it is worked out")
            .list(&steps.title, Mark::Number, self.steps.iter().map(step).collect())
            .file(steps)
            .table(Look::Rows, self.inputs_table());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .warning(&[], &self.cautions)
    }

    /// A row for each step.
    fn steps_table(&self) -> Table {
        Table::of("explain-steps", "How it is worked out", self.units, &self.steps)
            .words("what", "what", |step| step.what.as_str())
            .words("formula", "formula", |step| step.formula.as_str())
            .words("numbers", "with numbers", |step| step.numbers.as_str())
            .words("computed_in", "computed in", |step| step.computed_in.as_str())
            .table()
    }

    /// A row for each input.
    fn inputs_table(&self) -> Table {
        table("explain-inputs", "Its inputs", &self.inputs)
    }
}

/// Every input of a build as it is written or assumed.
#[must_use]
pub fn inputs_table(inputs: &[InputText]) -> Table {
    table("inputs", "Inputs as they are written or assumed", inputs)
}

fn table(name: &'static str, title: &str, inputs: &[InputText]) -> Table {
    Table::of(name, title, Units::Metric, inputs)
        .words("key", "key", |it| it.key.as_str())
        .words("value", "value", |it| it.value.as_str())
        .words("given", "given or assumed", |it| if it.given { "given" } else { "assumed" })
        .words("source", "source", |it| it.source.as_deref())
        .table()
}
