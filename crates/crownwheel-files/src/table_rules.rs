//! Rules that several tables share.

use crate::message::{Problem, Report};
use crate::table_csv::CsvTable;

/// The column must rise from row to row. `word` names it in the message.
pub(crate) fn rising(table: &CsvTable<'_>, column: &str, word: &str) -> Result<(), Report> {
    let values = table.column(column).unwrap_or_default();
    match values.windows(2).position(|pair| pair[1] <= pair[0]) {
        None => Ok(()),
        Some(row) => {
            let what = format!("{word} does not rise from the row before to this one");
            let problem = table.cell_problem(row + 1, column, what);
            Err(problem
                .allowed("more than in the row before")
                .hint("sort the rows and leave repeated ones out")
                .into())
        }
    }
}

/// The table must have this many rows.
pub(crate) fn at_least_rows(table: &CsvTable<'_>, rows: usize) -> Result<(), Report> {
    if table.row_count() >= rows {
        return Ok(());
    }
    let word = if rows == 2 { "two".to_owned() } else { rows.to_string() };
    let has = table.row_count();
    Err(table
        .table_problem(format!("at least {word} rows are wanted, the table has {has}"))
        .hint("type more rows off the sheet: between them straight lines are taken")
        .into())
}

/// The first value of the column must be 0.
pub(crate) fn starts_at_zero(table: &CsvTable<'_>, column: &str, word: &str) -> Result<(), Report> {
    match table.column(column).and_then(|values| values.first()) {
        Some(first) if first.abs() > 0.0 => {
            let what = format!("the {word} of the first row starts at something else than 0");
            Err(table.cell_problem(0, column, what).allowed("0 in the first row").into())
        }
        _ => Ok(()),
    }
}

/// No value of the column may be below zero.
pub(crate) fn not_negative(table: &CsvTable<'_>, column: &str) -> Result<(), Report> {
    outside(table, column, |value| value < 0.0, "the number is below zero", "0 or more")
}

/// Refuses the first value that `bad` picks.
pub(crate) fn outside(
    table: &CsvTable<'_>,
    column: &str,
    bad: impl Fn(f64) -> bool,
    what: &str,
    allowed: &str,
) -> Result<(), Report> {
    let values = table.column(column).unwrap_or_default();
    match values.iter().position(|value| bad(*value)) {
        None => Ok(()),
        Some(row) => {
            let problem: Problem = table.cell_problem(row, column, what.to_owned());
            Err(problem.allowed(allowed).into())
        }
    }
}
