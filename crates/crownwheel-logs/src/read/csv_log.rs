//! CSV as phones, loggers, battery monitors and spreadsheets write it.

mod clock;
mod head;
mod plan;

use std::io::BufRead;
use std::ops::Range;

use clock::TimeColumn;
use head::{Line, find_heading, take_units_row};
use plan::{Plan, ValueColumn, plan};

use super::ReadOptions;
use super::builder::{Builder, NO_VALUES, Row};
use super::cells::{self, Cell, Mark};
use super::error::{LogError, LogProblem};
use super::lines::{Flaws, Lines};
use super::stamp;
use super::units;
use crate::log::Clock;
use crate::repairs::RepairKind;

/// Lines that are looked at before anything is decided.
const FIRST_LINES: usize = 200;

pub(super) fn read(
    name: &str,
    reader: impl BufRead,
    options: &ReadOptions,
    builder: &mut Builder,
) -> Result<(), LogError> {
    let mut lines = Lines::new(reader);
    let mut first = first_lines(name, &mut lines, builder)?;
    let forced = take_sep_line(&mut first, builder);
    let mut found = find_heading(&first, forced).ok_or_else(|| {
        LogError::new(name, first.first().map_or(0, |line| line.number), LogProblem::NoHeading)
    })?;
    let before = u64::try_from(found.place).unwrap_or(u64::MAX);
    builder.count(RepairKind::LinesBeforeHeading, before);
    let heading_line = first[found.place].number;
    let mut rows: Vec<Line> = first.split_off(found.place + 1);
    if take_units_row(&mut found, rows.first()) {
        builder.count(RepairKind::UnitsRow, 1);
        rows.remove(0);
    }
    let plan = plan(name, heading_line, &found, &rows, options, builder)?;
    let mut cells = Vec::new();
    let mut labels = Labels::default();
    for line in rows {
        take_line(&plan, line.number, &line.text, &mut cells, &mut labels, builder);
    }
    loop {
        let number = lines.count + 1;
        let next = lines.next().map_err(|error| LogError::io(name, number, &error))?;
        let Some((text, flaws)) = next else { break };
        if keeps(flaws, builder) {
            take_line(&plan, number, text, &mut cells, &mut labels, builder);
        }
    }
    builder.count(RepairKind::CarriageReturns, u64::from(lines.carriage_returns));
    Ok(())
}

/// Counts what was wrong with a line and says whether it may be a row.
fn keeps(flaws: Flaws, builder: &mut Builder) -> bool {
    builder.count(RepairKind::OverlongLines, u64::from(flaws.overlong));
    builder.count(RepairKind::ZeroBytes, u64::from(flaws.zero_bytes));
    builder.count(RepairKind::NotUtf8, u64::from(flaws.not_utf8));
    !flaws.overlong
}

fn first_lines(
    name: &str,
    lines: &mut Lines<impl BufRead>,
    builder: &mut Builder,
) -> Result<Vec<Line>, LogError> {
    let mut first = Vec::new();
    while first.len() < FIRST_LINES {
        let number = lines.count + 1;
        let next = lines.next().map_err(|error| LogError::io(name, number, &error))?;
        let Some((text, flaws)) = next else { break };
        let mut text = text;
        if let Some(rest) = text.strip_prefix('\u{feff}') {
            builder.count(RepairKind::ByteOrderMark, 1);
            text = rest;
        }
        if keeps(flaws, builder) && !text.trim().is_empty() {
            first.push(Line { number, text: text.to_owned() });
        }
    }
    Ok(first)
}

/// Spreadsheets write `sep=;` as the first line.
fn take_sep_line(first: &mut Vec<Line>, builder: &mut Builder) -> Option<u8> {
    let text = first.first()?.text.trim().trim_matches('"').to_ascii_lowercase();
    let mark = text.strip_prefix("sep=")?;
    let separator = match mark {
        "" | "\\t" => b'\t',
        _ => *mark.as_bytes().first().filter(|byte| byte.is_ascii())?,
    };
    first.remove(0);
    builder.count(RepairKind::SepLine, 1);
    Some(separator)
}

/// Run and direction of the last row.
#[derive(Debug, Default)]
struct Labels {
    run: String,
    direction: String,
}

fn take_line(
    plan: &Plan,
    number: usize,
    text: &str,
    cells: &mut Vec<Range<usize>>,
    labels: &mut Labels,
    builder: &mut Builder,
) {
    if text.trim().is_empty() {
        return;
    }
    if text.starts_with('#') {
        builder.count(RepairKind::CommentLines, 1);
        return;
    }
    cells::split(text, plan.separator, cells);
    count_cells(plan, text, cells, builder);
    let mut time_s = f64::NAN;
    if let Some(time) = plan.time {
        let cell = cells::text(text, cells, time.index);
        if cell == plan.heading_text {
            builder.count(RepairKind::RepeatedHeadings, 1);
            builder.break_part();
            return;
        }
        time_s = seconds(time, cell, builder);
    }
    if plan.run.is_some() || plan.direction.is_some() {
        let label =
            |index: Option<usize>| index.map_or("", |index| cells::text(text, cells, index));
        let (run, direction) = (label(plan.run), label(plan.direction));
        if run != labels.run || direction != labels.direction {
            *labels = Labels { run: run.to_owned(), direction: direction.to_owned() };
            builder.label(run, direction);
        }
    }
    let mut values = NO_VALUES;
    for column in &plan.values {
        let cell = cells::text(text, cells, column.index);
        values[column.quantity.place()] = value(column, cell, builder);
    }
    builder.push(Row { line: number, time_s, values });
}

fn count_cells(plan: &Plan, text: &str, cells: &[Range<usize>], builder: &mut Builder) {
    if cells.len() == plan.width {
        return;
    }
    let empty = |index: usize| cells::text(text, cells, index).is_empty();
    if cells.len() > plan.width && (plan.width..cells.len()).all(empty) {
        builder.count(RepairKind::TrailingSeparators, 1);
    } else {
        builder.count(RepairKind::OtherColumnCount, 1);
    }
}

/// A time on the clock of the file; NaN if the cell holds none.
fn seconds(time: TimeColumn, cell: &str, builder: &mut Builder) -> f64 {
    if let Some(read) = stamp::parse(cell) {
        let same = read.clock == time.clock;
        let minutes = read.clock == Clock::OfDay && time.clock == Clock::Elapsed;
        return if same || minutes { read.seconds * time.factor } else { f64::NAN };
    }
    match cells::number(cell) {
        Cell::Number { value, mark, .. } if time.clock != Clock::OfDay => {
            count_mark(mark, builder);
            value * time.factor
        }
        _ => f64::NAN,
    }
}

fn count_mark(mark: Mark, builder: &mut Builder) {
    match mark {
        Mark::Plain => {}
        Mark::DecimalComma => builder.count(RepairKind::DecimalCommas, 1),
        Mark::Thousands => builder.count(RepairKind::ThousandsMarks, 1),
    }
}

/// A value in SI; NaN if the cell holds none.
fn value(column: &ValueColumn, cell: &str, builder: &mut Builder) -> f64 {
    match cells::number(cell) {
        Cell::Number { value, mark, unit: "" } => {
            count_mark(mark, builder);
            column.unit.to_si(value)
        }
        Cell::Number { value, mark, unit } => match units::find(unit, column.kind) {
            Some(unit) => {
                count_mark(mark, builder);
                builder.count(RepairKind::UnitsInCells, 1);
                unit.to_si(value)
            }
            None => {
                builder.count(RepairKind::UnreadableCells, 1);
                f64::NAN
            }
        },
        Cell::Empty => f64::NAN,
        Cell::NoValue => {
            builder.count(RepairKind::NoValueCells, 1);
            f64::NAN
        }
        Cell::Other => {
            builder.count(RepairKind::UnreadableCells, 1);
            f64::NAN
        }
    }
}
