//! What `trip` and `audit` show on a terminal.

use super::answers::{Tail, first_line, heading, tail};
use super::layout::{grid_text, wrapped};
use crate::tables::repairs_table;
use crate::trip::{RepairLine, TripAnswer};

/// `trip` for a terminal.
#[must_use]
pub fn trip_text(answer: &TripAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&answer.table().without_empty_columns().grid()));
    repairs(&mut out, &answer.repairs);
    if let Some(cycle) = &answer.cycle {
        out.push('\n');
        out.push_str(&wrapped("", &format!("The cycle is written to {cycle}.")));
        out.push_str(&wrapped(
            "",
            &format!("To drive it: crownwheel range my-car --cycle {cycle}"),
        ));
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &[],
        warnings: &answer.warnings,
        cautions: &[],
        provenance: &answer.provenance,
    }));
    out
}

/// Repairs of a log, if there are any.
pub(super) fn repairs(out: &mut String, repairs: &[RepairLine]) {
    if repairs.is_empty() {
        return;
    }
    let table = repairs_table(repairs).pick(&["count", "what"]);
    heading(out, &table.title);
    out.push_str(&grid_text(&table.grid()));
}
