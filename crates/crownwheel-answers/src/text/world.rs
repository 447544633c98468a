//! One world of a sweep for a terminal.

use super::answers::{Tail, first_line, heading, tail};
use super::layout::grid_text;
use crate::Grid;
use crate::world::WorldAnswer;

/// One world of a sweep for a terminal.
#[must_use]
pub fn world_text(answer: &WorldAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&Grid {
        head: ["answer", "nominal", "in this world"].map(str::to_owned).to_vec(),
        rows: answer.results_rows(),
        right: vec![false, true, true],
    }));
    let drawn = answer.drawn_table();
    if !drawn.rows.is_empty() {
        heading(&mut out, &drawn.title);
        out.push_str(&grid_text(&drawn.grid()));
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &[],
        warnings: &[],
        cautions: &[],
        provenance: &answer.provenance,
    }));
    out
}
