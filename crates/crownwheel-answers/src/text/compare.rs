//! `compare` for a terminal.

use super::answers::{Tail, heading, tail};
use super::layout::{grid_text, sentence, wrapped};
use crate::CompareAnswer;

/// `compare` for a terminal.
#[must_use]
pub fn compare_text(answer: &CompareAnswer) -> String {
    let mut out = sentence(&answer.plain);
    heading(&mut out, "The builds");
    out.push_str(&wrapped("  first   ", &answer.first));
    out.push_str(&wrapped("  second  ", &answer.second));
    let inputs = answer.inputs_grid();
    if !inputs.rows.is_empty() {
        heading(&mut out, &answer.inputs_table().title);
        out.push_str(&grid_text(&inputs));
    }
    let moved = answer.moved_grid();
    if !moved.rows.is_empty() {
        heading(&mut out, "Answers that moved");
        out.push_str(&grid_text(&moved));
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &[],
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}
