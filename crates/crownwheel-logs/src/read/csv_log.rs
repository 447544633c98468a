//! CSV as phones, loggers, battery monitors and spreadsheets write it.

mod clock;
mod head;
mod plan;
mod widths;

use std::io::BufRead;
use std::ops::Range;

use clock::TimeColumn;
use head::{Line, find_heading, take_units_row};
use plan::{Plan, ValueColumn, plan};
use widths::{Widths, filled};

use super::ReadOptions;
use super::builder::{Builder, NO_VALUES, Row};
use super::cells::{self, Cell, Mark};
use super::error::{LogError, LogProblem};
use super::lines::{Flaws, Lines};
use super::position::{self, Angle};
use super::stamp;
use super::units::{self, Kind};
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
    let plan = plan(name, heading_line, found, &rows, options, builder)?;
    if newest_first(&plan, &rows) {
        return Err(LogError::new(name, heading_line, LogProblem::NewestFirst));
    }
    let mut table = Table {
        plan,
        options,
        cells: Vec::new(),
        labels: Labels::default(),
        widths: Widths::default(),
    };
    let failed = |(line, problem): (usize, LogProblem)| LogError::new(name, line, problem);
    for line in rows {
        table.take_line(line.number, &line.text, builder).map_err(failed)?;
    }
    loop {
        let number = lines.count + 1;
        let next = lines.next().map_err(|error| LogError::io(name, number, &error))?;
        let Some((text, flaws)) = next else { break };
        if keeps(flaws, builder) {
            table.take_line(number, text, builder).map_err(failed)?;
        }
    }
    table.widths.end(table.plan.width()).map_err(failed)?;
    builder.count(RepairKind::CarriageReturns, u64::from(lines.carriage_returns));
    Ok(())
}

/// Whether nearly all times of the first rows fall from row to row.
fn newest_first(plan: &Plan, rows: &[Line]) -> bool {
    let Some(time) = plan.time else { return false };
    let mut places = Vec::new();
    let mut times = Vec::new();
    for line in rows {
        cells::split(&line.text, plan.separator, &mut places);
        times.extend(seconds(time, cells::text(&line.text, &places, time.index)).map(|it| it.0));
    }
    let falls = times.windows(2).filter(|pair| pair[1] < pair[0]).count();
    times.len() > 2 && 10 * falls > 9 * (times.len() - 1)
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

/// The rows of a table while they are read.
struct Table<'o> {
    plan: Plan,
    options: &'o ReadOptions,
    cells: Vec<Range<usize>>,
    labels: Labels,
    widths: Widths,
}

impl Table<'_> {
    fn take_line(
        &mut self,
        number: usize,
        text: &str,
        builder: &mut Builder,
    ) -> Result<(), (usize, LogProblem)> {
        if text.trim().is_empty() {
            return Ok(());
        }
        if text.starts_with('#') || text.starts_with("//") {
            builder.count(RepairKind::CommentLines, 1);
            return Ok(());
        }
        cells::split(text, self.plan.separator, &mut self.cells);
        let time_s = self.time(text, builder);
        if time_s.is_nan() && self.is_heading(number, text, builder).map_err(|it| (number, it))? {
            return Ok(());
        }
        self.label(text, builder);
        let mut values = NO_VALUES;
        for column in &self.plan.values {
            values[column.quantity.place()] = value(column, text, &self.cells, builder);
        }
        let row = Row { line: number, time_s, values };
        let width = self.count_cells(text, builder);
        self.widths.follow(self.plan.width(), width, row)?;
        builder.push(row);
        Ok(())
    }

    /// The time of a row; NaN if it has none.
    fn time(&self, text: &str, builder: &mut Builder) -> f64 {
        let Some(time) = self.plan.time else { return f64::NAN };
        let Some((seconds, mark)) = seconds(time, cells::text(text, &self.cells, time.index))
        else {
            return f64::NAN;
        };
        count_mark(mark, builder);
        seconds
    }

    /// A heading between the rows: the same again, or another one that holds from here on.
    fn is_heading(
        &mut self,
        number: usize,
        text: &str,
        builder: &mut Builder,
    ) -> Result<bool, LogProblem> {
        if self.is_units_row(text) {
            builder.count(RepairKind::UnitsRow, 1);
            return Ok(true);
        }
        let line = Line { number, text: text.to_owned() };
        let Some(found) = find_heading(&[line], None).filter(|found| found.known >= 2) else {
            return Ok(false);
        };
        let known = found.texts.iter().filter(|text| !text.is_empty());
        if known.eq(self.plan.texts.iter().filter(|text| !text.is_empty())) {
            builder.count(RepairKind::RepeatedHeadings, 1);
        } else {
            self.plan = self.plan.again(found, self.options, builder)?;
            self.widths = Widths::default();
            builder.count(RepairKind::HeadingsChange, 1);
        }
        builder.break_part();
        Ok(true)
    }

    /// Units of the columns, as they may stand below a heading that is repeated; they are obeyed.
    fn is_units_row(&mut self, text: &str) -> bool {
        let mut units = Vec::new();
        for column in &self.plan.values {
            let cell = cells::text(text, &self.cells, column.index);
            match units::find(cell, column.kind) {
                Some(unit) => units.push(unit),
                None if cell.is_empty() => units.push(column.unit),
                None => return false,
            }
        }
        for (column, unit) in self.plan.values.iter_mut().zip(units) {
            column.unit = unit;
        }
        true
    }

    fn label(&mut self, text: &str, builder: &mut Builder) {
        if self.plan.run.is_none() && self.plan.direction.is_none() {
            return;
        }
        let label =
            |index: Option<usize>| index.map_or("", |index| cells::text(text, &self.cells, index));
        let (run, direction) = (label(self.plan.run), label(self.plan.direction));
        if run != self.labels.run || direction != self.labels.direction {
            builder.label(run, direction);
            self.labels = Labels { run: run.to_owned(), direction: direction.to_owned() };
        }
    }

    /// Cells of the row, without empty ones behind those of the heading.
    fn count_cells(&self, text: &str, builder: &mut Builder) -> usize {
        let (cells, width) = (self.cells.len(), self.plan.width());
        if cells == width {
            return cells;
        }
        let filled = filled(text, &self.cells);
        if cells > width && filled <= width {
            builder.count(RepairKind::TrailingSeparators, 1);
            return width;
        }
        builder.count(RepairKind::OtherColumnCount, 1);
        if cells > width { filled } else { cells }
    }
}

/// A time on the clock of the file, and how it is written; `None` if the cell holds none.
fn seconds(time: TimeColumn, cell: &str) -> Option<(f64, Mark)> {
    if let Some(read) = stamp::parse(cell) {
        let same = read.clock == time.clock;
        let minutes = read.clock == Clock::OfDay && time.clock == Clock::Elapsed;
        return (same || minutes).then_some((read.seconds * time.factor, Mark::Plain));
    }
    match cells::number(cell, time.decimal) {
        Cell::Number { value, mark, .. } if time.clock != Clock::OfDay => {
            Some((value * time.factor, mark))
        }
        _ => None,
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
fn value(column: &ValueColumn, text: &str, places: &[Range<usize>], builder: &mut Builder) -> f64 {
    let cell = cells::text(text, places, column.index);
    if column.kind == Kind::Angle {
        let letter = column.hemisphere.map(|index| cells::text(text, places, index));
        return angle(column, cell, letter.and_then(position::hemisphere), builder);
    }
    number(column, cell, builder)
}

/// An angle in degrees, with the sign of its hemisphere.
fn angle(column: &ValueColumn, cell: &str, sign: Option<f64>, builder: &mut Builder) -> f64 {
    if let Some(read) = position::parse(cell) {
        let noted = builder.log.repairs.count(RepairKind::DegreesMinutes) > 0;
        builder.count(RepairKind::DegreesMinutes, u64::from(read.with_minutes && !noted));
        return read.degrees;
    }
    let value = number(column, cell, builder);
    let degrees = if column.has_minutes {
        Angle::of_packed(value).map_or(f64::NAN, |angle| angle.degrees)
    } else {
        value
    };
    sign.map_or(degrees, |sign| sign * degrees.abs())
}

/// A number in SI; NaN if the cell holds none.
fn number(column: &ValueColumn, cell: &str, builder: &mut Builder) -> f64 {
    let unreadable = |builder: &mut Builder| {
        builder.count(RepairKind::UnreadableCells, 1);
        f64::NAN
    };
    match cells::number(cell, column.decimal) {
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
            None => unreadable(builder),
        },
        Cell::Empty => f64::NAN,
        Cell::NoValue => {
            builder.count(RepairKind::NoValueCells, 1);
            f64::NAN
        }
        Cell::Other => unreadable(builder),
    }
}
