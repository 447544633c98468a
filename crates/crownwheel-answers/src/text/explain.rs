//! `explain` for a terminal.

use super::answers::{Tail, heading, tail};
use super::layout::{grid_text, sentence, wrapped};
use crate::ExplainAnswer;

/// `explain` for a terminal.
#[must_use]
pub fn explain_text(answer: &ExplainAnswer) -> String {
    let mut out = sentence(&answer.plain);
    if !answer.steps.is_empty() {
        heading(&mut out, &answer.steps_table().title);
    }
    for (i, step) in answer.steps.iter().enumerate() {
        out.push_str(&wrapped(&format!("{:>3}. ", i + 1), &step.what));
        out.push_str(&wrapped("     ", &step.formula));
        out.push_str(&wrapped("     ", &step.numbers));
        out.push_str(&wrapped("     in ", &step.computed_in));
    }
    let inputs = answer.inputs_table().without_empty_columns();
    if !inputs.rows.is_empty() {
        heading(&mut out, &inputs.title);
        out.push_str(&grid_text(&inputs.grid()));
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &[],
        warnings: &[],
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}
