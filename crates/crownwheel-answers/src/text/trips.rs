//! What `trip` and `audit` show on a terminal.

use super::answers::{Tail, first_line, heading, tail};
use super::clean;
use super::layout::{grid_text, wrapped};
use crate::AuditAnswer;
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

/// Probability from which what to look at is shown, %.
const SHOWN_PCT: f64 = 10.0;

/// `audit` for a terminal.
#[must_use]
pub fn audit_text(answer: &AuditAnswer) -> String {
    let mut out = wrapped("", &answer.plain);
    out.push('\n');
    out.push_str(&grid_text(&answer.table().grid()));
    let findings = answer.findings_table();
    heading(&mut out, &findings.title);
    let shown = [
        "findings.what",
        "findings.probability_pct",
        "findings.change",
        "findings.half_width",
        "findings.use_wh_per_km",
    ];
    out.push_str(&grid_text(&findings.pick(&shown).grid()));
    let worth = answer.findings.iter().filter(|finding| {
        finding.probability_pct >= SHOWN_PCT && !answer.plain.contains(&finding.suggestion)
    });
    for finding in worth {
        out.push_str(&wrapped("  - ", &format!("{}: {}", finding.what, finding.suggestion)));
    }
    let doings = answer.doings_table();
    heading(&mut out, &doings.title);
    out.push_str(&grid_text(&doings.grid()));
    repairs(&mut out, &answer.repairs);
    heading(&mut out, "The fact, as lines of the build");
    for line in answer.fact.lines() {
        out.push_str(&format!("  {}\n", clean(line)));
    }
    if let Some(build) = &answer.written {
        out.push_str(&wrapped("", &format!("They are written into {build}.")));
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

/// Repairs of a log, if there are any.
pub(super) fn repairs(out: &mut String, repairs: &[RepairLine]) {
    if repairs.is_empty() {
        return;
    }
    let table = repairs_table(repairs).pick(&["count", "what"]);
    heading(out, &table.title);
    out.push_str(&grid_text(&table.grid()));
}
