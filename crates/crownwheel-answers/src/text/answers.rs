//! Which tables each answer shows, and what stands below them.

use std::fmt::Write as _;

use super::layout::{grid_text, sentence, wrapped};
use crate::sweep::MeasureNext;
use crate::tables::{assumed_table, measure_table};
use crate::{
    Assumption, Caution, Grid, Provenance, RangeAnswer, Unit, Units, Warning, WeighAnswer,
};

/// What stands below the tables of every answer.
pub(super) struct Tail<'a> {
    pub(super) notes: &'a [String],
    pub(super) assumed: &'a [Assumption],
    pub(super) warnings: &'a [Warning],
    pub(super) cautions: &'a [Caution],
    pub(super) provenance: &'a Provenance,
}

/// The [`Tail`] of an answer: every answer has these fields.
macro_rules! tail_of {
    ($answer:expr) => {
        $crate::text::answers::Tail {
            notes: &$answer.notes,
            assumed: &$answer.assumed,
            warnings: &$answer.warnings,
            cautions: &$answer.cautions,
            provenance: &$answer.provenance,
        }
    };
}
pub(super) use tail_of;

/// `weigh` for a terminal.
#[must_use]
pub fn weigh_text(answer: &WeighAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&answer.case_grid()));
    out.push_str(&tail(&tail_of!(answer)));
    out
}

/// `range` for a terminal.
#[must_use]
pub fn range_text(answer: &RangeAnswer) -> String {
    let mut out = first_line(&answer.plain);
    if !answer.results.is_empty() {
        out.push_str(&grid_text(&answer.short_grid()));
    }
    if !answer.routes.is_empty() {
        if !answer.results.is_empty() {
            heading(&mut out, "Routes driven once");
        }
        out.push_str(&grid_text(&answer.routes_grid()));
    }
    if !answer.steady.is_empty() {
        let unit = answer.units.symbol(Unit::Km);
        heading(&mut out, &format!("Range at steady speed on the flat, {unit}"));
        out.push_str(&grid_text(&answer.steady_grid()));
    }
    measure(&mut out, &answer.measure_next, answer.units);
    if !answer.results.is_empty() {
        balances(&mut out, answer);
        let gears = answer.gear_use_grid();
        if !gears.rows.is_empty() {
            heading(&mut out, "Time in each gear, one cycle from full");
            out.push_str(&grid_text(&gears));
        }
        heading(&mut out, "Worst rolling values of all cycles and days");
        out.push_str(&grid_text(&answer.worst_windows_grid()));
    }
    out.push_str(&tail(&tail_of!(answer)));
    out
}

pub(super) fn first_line(plain: &str) -> String {
    format!("{}\n", sentence(plain))
}

pub(super) fn heading(out: &mut String, text: &str) {
    let _ = writeln!(out, "\n{text}");
}

/// What to measure next, where worlds were run.
pub(super) fn measure(out: &mut String, measure_next: &[MeasureNext], units: Units) {
    if !measure_next.is_empty() {
        let table = measure_table(measure_next, units);
        heading(out, &table.title);
        out.push_str(&grid_text(&table.without_empty_columns().grid()));
    }
}

pub(super) fn bullets<'a>(out: &mut String, lines: impl Iterator<Item = &'a str>) {
    for text in lines {
        out.push_str(&wrapped("  - ", text));
    }
}

pub(super) fn tail(tail: &Tail<'_>) -> String {
    let mut out = String::new();
    if !tail.notes.is_empty() {
        heading(&mut out, "To know");
        bullets(&mut out, tail.notes.iter().map(String::as_str));
    }
    if !tail.assumed.is_empty() {
        let table = assumed_table(tail.assumed);
        heading(&mut out, &table.title);
        out.push_str(&grid_text(&table.grid()));
    }
    if !tail.warnings.is_empty() {
        heading(&mut out, "Warnings");
        bullets(&mut out, tail.warnings.iter().map(|w| w.text.as_str()));
    }
    if !tail.cautions.is_empty() {
        heading(&mut out, "Caution");
        bullets(&mut out, tail.cautions.iter().map(|c| c.text));
    }
    let seed = tail.provenance.seed.map_or_else(String::new, |seed| format!(", seed {seed}"));
    let made = format!(
        "crownwheel {}, inputs {}{seed}",
        tail.provenance.program_version, tail.provenance.inputs_hash
    );
    out.push('\n');
    out.push_str(&sentence(&made));
    out
}

/// Balances side by side, five to a block so that they fit the screen.
fn balances(out: &mut String, answer: &RangeAnswer) {
    let grid = answer.balance_grid();
    let unit = answer.units.symbol(Unit::WhPerKm);
    heading(out, &format!("Where the energy went, {unit}"));
    for (i, rows) in grid.rows.chunks(5).enumerate() {
        if i > 0 {
            out.push('\n');
        }
        let block = Grid { head: grid.head.clone(), rows: rows.to_vec(), right: Vec::new() };
        out.push_str(&grid_text(&block.turned()));
    }
    heading(out, "Braking energy, beside the balance");
    out.push_str(&grid_text(&answer.braking_grid()));
}
