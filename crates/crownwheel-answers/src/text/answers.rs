//! Which tables each answer shows, and what stands below them.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::layout::{clean, grid_text, wrapped};
use crate::tables::{MATRIX_SPEEDS_KMH, assumed_table, steady_at};
use crate::unit::{MISSING, digits};
use crate::windows::WINDOW_LENGTHS_S;
use crate::{
    Assumed, Caution, CheckAnswer, CycleResult, Grid, Provenance, RangeAnswer, Warning,
    WeighAnswer, WindowQuantity,
};

/// What stands below the tables of every answer.
struct Tail<'a> {
    notes: &'a [String],
    assumed: &'a [Assumed],
    warnings: &'a [Warning],
    cautions: &'a [Caution],
    provenance: &'a Provenance,
}

/// `check` for a terminal.
#[must_use]
pub fn check_text(answer: &CheckAnswer) -> String {
    let mut out = first_line(&answer.plain);
    out.push_str(&grid_text(&fact_list(&answer.table().grid())));
    if !answer.lines_to_add.is_empty() {
        heading(&mut out, "Lines that would narrow the answers most");
        for add in &answer.lines_to_add {
            let _ = writeln!(out, "  {}", clean(&add.line));
            out.push_str(&wrapped("      ", &add.why));
        }
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &answer.assumed,
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}

/// `weigh` for a terminal.
#[must_use]
pub fn weigh_text(answer: &WeighAnswer) -> String {
    let mut out = first_line(&answer.plain);
    let mut grid = answer.table().without_empty_columns().grid();
    for (row, case) in grid.rows.iter_mut().zip(&answer.cases) {
        row[0] = case.case.label().to_owned();
    }
    out.push_str(&grid_text(&grid.turned()));
    let over: Vec<String> = answer
        .overloads()
        .iter()
        .map(|o| answer.overload_sentence(o))
        .collect();
    if !over.is_empty() {
        heading(&mut out, "Over a limit");
        bullets(&mut out, over.iter().map(String::as_str));
    }
    let notes: Vec<String> = answer
        .payload_sentence()
        .into_iter()
        .chain(answer.notes.iter().cloned())
        .collect();
    out.push_str(&tail(&Tail {
        notes: &notes,
        assumed: &answer.assumed,
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}

/// `range` for a terminal.
#[must_use]
pub fn range_text(answer: &RangeAnswer) -> String {
    let mut out = first_line(&answer.plain);
    if !answer.results.is_empty() {
        out.push_str(&grid_text(&result_grid(answer)));
    }
    if !answer.steady.is_empty() {
        heading(&mut out, "Range at steady speed on the flat, km");
        out.push_str(&grid_text(&steady_grid(answer)));
    }
    if !answer.results.is_empty() {
        balances(&mut out, answer);
        heading(&mut out, "Worst rolling values of all cycles and days");
        out.push_str(&grid_text(&window_grid(answer)));
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &answer.assumed,
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}

fn first_line(plain: &str) -> String {
    format!("{}\n\n", clean(plain))
}

fn heading(out: &mut String, text: &str) {
    let _ = writeln!(out, "\n{text}");
}

fn bullets<'a>(out: &mut String, lines: impl Iterator<Item = &'a str>) {
    for text in lines {
        out.push_str(&wrapped("  - ", text));
    }
}

/// One row of facts as lines of name and value.
fn fact_list(grid: &Grid) -> Grid {
    let values = grid.rows.first().cloned().unwrap_or_default();
    Grid {
        head: vec!["what".to_owned(), "value".to_owned()],
        rows: grid
            .head
            .iter()
            .zip(values)
            .map(|(name, value)| vec![name.clone(), value])
            .collect(),
        right: vec![false, false],
    }
}

fn tail(tail: &Tail<'_>) -> String {
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
    let seed = tail
        .provenance
        .seed
        .map_or_else(String::new, |seed| format!(", seed {seed}"));
    let made = format!(
        "crownwheel {}, inputs {}{seed}",
        tail.provenance.program_version, tail.provenance.inputs_hash
    );
    heading(&mut out, &clean(&made));
    out
}

fn result_grid(answer: &RangeAnswer) -> Grid {
    let table = answer.table();
    let mut grid = table
        .pick(&[
            "cycle",
            "day",
            "use_wh_per_km",
            "wall_wh_per_km",
            "range_km.nominal",
            "range_km.p10",
            "range_km.p90",
            "range_with_reserve_km",
            "shortfall_s",
        ])
        .without_empty_columns()
        .grid();
    grid.head.push("held back most by".to_owned());
    grid.right.push(false);
    for (row, result) in grid.rows.iter_mut().zip(&answer.results) {
        row.push(main_limit(result));
    }
    grid
}

/// The limit that bound longest, with its seconds; `nothing` when none did.
fn main_limit(result: &CycleResult) -> String {
    let limits = result
        .binding
        .iter()
        .filter(|(name, seconds)| *name != "none" && **seconds > 0.0);
    match limits.max_by(|a, b| a.1.total_cmp(b.1)) {
        Some((name, seconds)) => format!("{name}, {} s", digits(*seconds, 0)),
        None => "nothing".to_owned(),
    }
}

fn steady_grid(answer: &RangeAnswer) -> Grid {
    let mut head = vec!["day".to_owned()];
    head.extend(
        MATRIX_SPEEDS_KMH
            .iter()
            .map(|speed| format!("{} km/h", digits(*speed, 0))),
    );
    let cell = |day: &str, speed: f64| {
        let range = steady_at(&answer.steady, day, speed).and_then(|s| s.range_km);
        range.map_or_else(|| MISSING.to_owned(), |km| digits(km, 0))
    };
    let row = |day: &str| {
        let mut row = vec![day.to_owned()];
        row.extend(MATRIX_SPEEDS_KMH.iter().map(|speed| cell(day, *speed)));
        row
    };
    let days = answer.days();
    Grid {
        right: (0..head.len()).map(|i| i > 0).collect(),
        rows: days.into_iter().map(row).collect(),
        head,
    }
}

/// Balances side by side, five to a block so that they fit the screen.
fn balances(out: &mut String, answer: &RangeAnswer) {
    let mut grid = answer.balance_table().grid();
    // The column of rounding is for programs; the row heading needs no unit on each line.
    grid.head.pop();
    for row in &mut grid.rows {
        row.pop();
        let day = row.remove(1);
        row[0] = format!("{} ({day})", row[0]);
    }
    grid.head.remove(1);
    heading(out, "Where the energy went, Wh/km");
    for (i, rows) in grid.rows.chunks(5).enumerate() {
        if i > 0 {
            out.push('\n');
        }
        let mut block = Grid {
            head: grid.head.clone(),
            rows: rows.to_vec(),
            right: Vec::new(),
        }
        .turned();
        for row in &mut block.rows {
            row[0] = row[0].trim_end_matches(", Wh/km").to_owned();
        }
        out.push_str(&grid_text(&block));
    }
}

fn window_grid(answer: &RangeAnswer) -> Grid {
    let mut worst: BTreeMap<(WindowQuantity, usize), f64> = BTreeMap::new();
    for window in answer.results.iter().flat_map(|r| &r.windows) {
        let length = WINDOW_LENGTHS_S
            .iter()
            .position(|s| (s - window.window_s).abs() < 1e-6);
        if let (Some(length), Some(value)) = (length, window.value) {
            let entry = worst.entry((window.quantity, length)).or_insert(value);
            *entry = entry.max(value);
        }
    }
    let mut head = vec!["over".to_owned()];
    head.extend(WINDOW_LENGTHS_S.iter().map(|s| window_name(*s)));
    let row = |quantity: WindowQuantity| {
        let mut row = vec![format!("{}, {}", quantity.label(), quantity.unit())];
        row.extend((0..WINDOW_LENGTHS_S.len()).map(|length| {
            worst
                .get(&(quantity, length))
                .map_or_else(|| MISSING.to_owned(), |value| digits(*value, 0))
        }));
        row
    };
    Grid {
        right: (0..head.len()).map(|i| i > 0).collect(),
        rows: WindowQuantity::ALL.into_iter().map(row).collect(),
        head,
    }
}

fn window_name(seconds: f64) -> String {
    if seconds < 60.0 {
        format!("{} s", digits(seconds, 0))
    } else {
        format!("{} min", digits(seconds / 60.0, 0))
    }
}
