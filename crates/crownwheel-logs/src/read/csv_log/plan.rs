//! What the first lines of a table tell: separator, heading, units, clock.

use super::super::ReadOptions;
use super::super::builder::Builder;
use super::super::cells::{self, Cell, DecimalMark};
use super::super::error::{LogError, LogProblem};
use super::super::heading::{Field, Heading};
use super::super::position;
use super::super::units::{self, Kind, LogUnit};
use super::clock::{TimeColumn, time_column};
use super::head::{HeadingRow, Line};
use super::widths::fit_heading;
use crate::log::{Clock, Quantity};
use crate::repairs::RepairKind;

/// Headings that a message names.
const SHOWN_HEADINGS: usize = 8;
/// Degrees that no position has: larger numbers have minutes in them.
const MOST_DEGREES: f64 = 180.0;

/// How the columns of a file are used.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) separator: u8,
    /// The headings as they stand there, without empty ones at the end.
    pub(super) texts: Vec<String>,
    pub(super) time: Option<TimeColumn>,
    pub(super) run: Option<usize>,
    pub(super) direction: Option<usize>,
    pub(super) values: Vec<ValueColumn>,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct ValueColumn {
    pub(super) index: usize,
    pub(super) quantity: Quantity,
    pub(super) kind: Kind,
    pub(super) unit: LogUnit,
    /// How its numbers are written.
    pub(super) decimal: DecimalMark,
    /// Its numbers are degrees and minutes in one: `5130.1234`.
    pub(super) has_minutes: bool,
    /// Column of the letters N, S, E, W that belong to it.
    pub(super) hemisphere: Option<usize>,
}

impl Plan {
    /// Cells of the heading.
    pub(super) fn width(&self) -> usize {
        self.texts.len()
    }

    /// How the columns are used below another heading between the rows; what it does not say is as
    /// the same heading said before.
    pub(super) fn again(
        &self,
        mut found: HeadingRow,
        options: &ReadOptions,
        builder: &mut Builder,
    ) -> Result<Plan, LogProblem> {
        trim(&mut found);
        let columns = value_columns(&found).into_iter();
        let values = columns
            .map(|(quantity, index, kind)| {
                builder.has(quantity);
                let column = ValueColumn { index, quantity, kind, ..ValueColumn::plain() };
                self.column_again(column, &found, options, builder)
            })
            .collect::<Result<_, _>>()?;
        Ok(Plan {
            separator: found.separator,
            time: self.time.map(|time| self.time_again(time, &found)).transpose()?,
            run: best_column(&found.headings, Field::Run),
            direction: best_column(&found.headings, Field::Direction),
            values,
            texts: found.texts,
        })
    }

    /// A column below another heading, as the same heading was before.
    fn column_again(
        &self,
        column: ValueColumn,
        found: &HeadingRow,
        options: &ReadOptions,
        builder: &Builder,
    ) -> Result<ValueColumn, LogProblem> {
        let same = |old: &&ValueColumn| self.texts[old.index] == found.texts[column.index];
        if let Some(known) = self.values.iter().find(same) {
            return Ok(known.moved_to(column.index));
        }
        let is_speed = column.quantity == Quantity::Speed;
        if is_speed && builder.speed_without_unit.is_some() {
            return Err(LogProblem::HeadingUnclear { what: "the speed as the one before" });
        }
        let stated = found.headings[column.index].and_then(|heading| heading.unit);
        let unit = match (stated, options.speed_unit) {
            (Some(unit), _) => unit,
            (None, Some(named)) if is_speed => LogUnit::of(Kind::Speed, named.mps()),
            (None, None) if is_speed => {
                return Err(LogProblem::HeadingUnclear { what: "the unit of the speed" });
            }
            (None, _) => usual_unit(column.kind),
        };
        Ok(ValueColumn { unit, ..column })
    }

    /// The column of times below another heading, on the same clock.
    fn time_again(&self, time: TimeColumn, found: &HeadingRow) -> Result<TimeColumn, LogProblem> {
        let unclear = |what: &'static str| LogProblem::HeadingUnclear { what };
        let index =
            best_column(&found.headings, Field::Time).ok_or(unclear("which column is the time"))?;
        let stated = found.headings[index].and_then(|heading| heading.unit);
        let factor = match (self.texts[time.index] == found.texts[index], time.clock) {
            (true, _) => Some(time.factor),
            (false, Clock::OfDay) => Some(1.0),
            (false, Clock::Elapsed) => stated.map(|unit| unit.factor),
            (false, _) => None,
        };
        Ok(TimeColumn { index, factor: factor.ok_or(unclear("the unit of the time"))?, ..time })
    }
}

impl ValueColumn {
    const fn plain() -> ValueColumn {
        ValueColumn {
            index: 0,
            quantity: Quantity::Speed,
            kind: Kind::Speed,
            unit: LogUnit::of(Kind::Speed, 1.0),
            decimal: DecimalMark::Unknown,
            has_minutes: false,
            hemisphere: None,
        }
    }

    /// The same column in another place, with its letters beside it.
    fn moved_to(self, index: usize) -> ValueColumn {
        ValueColumn { index, hemisphere: self.hemisphere.map(|_| index + 1), ..self }
    }
}

/// Leaves out empty headings at the end; says whether there were any.
fn trim(found: &mut HeadingRow) -> bool {
    let trailing = found.texts.iter().rev().take_while(|text| text.is_empty()).count();
    found.texts.truncate(found.texts.len() - trailing);
    found.headings.truncate(found.texts.len());
    trailing > 0
}

/// The best column of every quantity.
fn value_columns(found: &HeadingRow) -> Vec<(Quantity, usize, Kind)> {
    let column = |quantity: Quantity| {
        let field = Field::Value(quantity);
        let index = best_column(&found.headings, field)?;
        // A counter of the way may be in anything; its heading must say in what.
        let stated = found.headings[index].is_some_and(|heading| heading.unit.is_some());
        (quantity != Quantity::Distance || stated).then_some((quantity, index, field.kind()?))
    };
    Quantity::ALL.into_iter().filter_map(column).collect()
}

/// Volts, amperes, degrees, degrees Celsius and metres are what a heading means that says nothing
/// more.
fn usual_unit(kind: Kind) -> LogUnit {
    match kind {
        Kind::Temperature => units::find("°C", kind).unwrap_or(LogUnit::of(kind, 1.0)),
        _ => LogUnit::of(kind, 1.0),
    }
}

pub(super) fn plan(
    name: &str,
    heading_line: usize,
    mut found: HeadingRow,
    rows: &[Line],
    options: &ReadOptions,
    builder: &mut Builder,
) -> Result<Plan, LogError> {
    let refuse = |problem: LogProblem| LogError::new(name, heading_line, problem);
    let trailing = trim(&mut found);
    let unnamed = fit_heading(&mut found, rows)
        .map_err(|(line, problem)| LogError::new(name, line, problem))?;
    if let Some(kind) = unnamed {
        builder.count(kind, 1);
    }
    let cells = FirstCells::of(&found, rows);
    let values = values(&found, &cells, heading_line, options, builder);
    let has = |quantity: Quantity| values.iter().any(|column| column.quantity == quantity);
    let fixes = has(Quantity::Latitude) && has(Quantity::Longitude);
    if !has(Quantity::Speed) && !fixes {
        return Err(refuse(LogProblem::NothingToDrive { headings: shown(&found.texts) }));
    }
    let best = |field: Field| best_column(&found.headings, field);
    let time = match best(Field::Time).or_else(|| best(Field::Date)) {
        _ if options.as_route => None,
        None if fixes => return Err(refuse(LogProblem::NoTimes { without: count(rows), with: 0 })),
        None => return Err(refuse(LogProblem::NoTimeColumn { headings: shown(&found.texts) })),
        Some(index) => {
            let decimal = cells.decimal(index);
            Some(time_column(index, &found, rows, decimal, builder).map_err(refuse)?)
        }
    };
    builder.log.clock = time.map_or(Clock::None, |time| time.clock);
    builder.count(RepairKind::TrailingSeparators, u64::from(trailing));
    let plan = Plan {
        separator: found.separator,
        time,
        run: best(Field::Run),
        direction: best(Field::Direction),
        values,
        texts: found.texts,
    };
    note_columns(&plan, builder);
    Ok(plan)
}

/// The columns of values with their units and the form of their numbers.
fn values(
    found: &HeadingRow,
    cells: &FirstCells<'_>,
    heading_line: usize,
    options: &ReadOptions,
    builder: &mut Builder,
) -> Vec<ValueColumn> {
    let with_minutes = cells.have_minutes(found);
    let mut values = Vec::new();
    for (quantity, index, kind) in value_columns(found) {
        let unit = found.headings[index].and_then(|heading| heading.unit);
        let unit = unit.or_else(|| cells.unit(index, kind));
        let unit = match (unit, quantity, options.speed_unit) {
            (Some(unit), ..) => unit,
            (None, Quantity::Speed, Some(named)) => LogUnit::of(Kind::Speed, named.mps()),
            (None, Quantity::Speed, None) => {
                builder.speed_without_unit = Some((found.texts[index].clone(), heading_line));
                LogUnit::of(Kind::Speed, 1.0)
            }
            (None, ..) => usual_unit(kind),
        };
        if quantity == Quantity::Speed {
            builder.speed_unit_mps = unit.factor;
        }
        builder.has(quantity);
        values.push(ValueColumn {
            index,
            quantity,
            kind,
            unit,
            decimal: cells.decimal(index),
            has_minutes: with_minutes && kind == Kind::Angle,
            hemisphere: (kind == Kind::Angle && cells.are_letters(index + 1)).then_some(index + 1),
        });
    }
    builder.count(RepairKind::DegreesMinutes, u64::from(with_minutes));
    values
}

/// The first rows, cut into cells.
struct FirstCells<'t> {
    columns: Vec<Vec<&'t str>>,
    /// The decimal mark that some column shows.
    of_file: DecimalMark,
}

impl<'t> FirstCells<'t> {
    fn of(found: &HeadingRow, rows: &'t [Line]) -> FirstCells<'t> {
        let mut columns = vec![Vec::new(); found.texts.len() + 1];
        let mut places = Vec::new();
        for line in rows {
            cells::split(&line.text, found.separator, &mut places);
            for (index, column) in columns.iter_mut().enumerate() {
                column.push(cells::text(&line.text, &places, index));
            }
        }
        let shown = columns.iter().map(|column| shown_mark(column));
        let none = if found.separator == b',' { DecimalMark::Point } else { DecimalMark::Unknown };
        let of_file = shown.into_iter().find(|mark| *mark != DecimalMark::Unknown).unwrap_or(none);
        FirstCells { columns, of_file }
    }

    /// What the column shows; what the file shows if the column holds no marks at all.
    fn decimal(&self, index: usize) -> DecimalMark {
        let column = self.columns.get(index).map_or(&[][..], Vec::as_slice);
        let marks = column.iter().any(|cell| cell.contains(['.', ',']));
        match shown_mark(column) {
            DecimalMark::Unknown if !marks => self.of_file,
            shown => shown,
        }
    }

    /// The unit that stands behind the first number.
    fn unit(&self, index: usize, kind: Kind) -> Option<LogUnit> {
        self.columns[index].iter().find_map(|cell| {
            match cells::number(cell, DecimalMark::Unknown) {
                Cell::Number { unit, .. } => units::find(unit, kind),
                _ => None,
            }
        })
    }

    /// Numbers of latitude that no angle has, with minutes below 60 in them.
    fn have_minutes(&self, found: &HeadingRow) -> bool {
        let field = Field::Value(Quantity::Latitude);
        let Some(index) = best_column(&found.headings, field) else { return false };
        let column = &self.columns[index];
        let number = |cell: &&str| match cells::number(cell, self.decimal(index)) {
            Cell::Number { value, .. } if value.abs() > 0.0 => Some(value.abs()),
            _ => None,
        };
        let mut sizes = column.iter().filter_map(number).peekable();
        sizes.peek().is_some()
            && sizes.all(|size| size > MOST_DEGREES && size < 9060.0 && size % 100.0 < 60.0)
    }

    /// Nothing but the letters of hemispheres.
    fn are_letters(&self, index: usize) -> bool {
        let Some(column) = self.columns.get(index) else { return false };
        let mut filled = column.iter().filter(|cell| !cell.is_empty()).peekable();
        filled.peek().is_some() && filled.all(|cell| position::hemisphere(cell).is_some())
    }
}

/// The first mark that a cell of the column shows.
fn shown_mark(column: &[&str]) -> DecimalMark {
    let shown = column.iter().map(|cell| DecimalMark::shown_by(cell));
    shown.into_iter().find(|mark| *mark != DecimalMark::Unknown).unwrap_or_default()
}

fn count(rows: &[Line]) -> u64 {
    u64::try_from(rows.len()).unwrap_or(u64::MAX)
}

fn shown(texts: &[String]) -> String {
    let some: Vec<String> = texts
        .iter()
        .filter(|text| !text.is_empty())
        .take(SHOWN_HEADINGS)
        .map(|text| format!("`{}`", text.chars().take(30).collect::<String>()))
        .collect();
    let more = if texts.len() > SHOWN_HEADINGS { " and more" } else { "" };
    format!("{}{more}", some.join(", "))
}

/// The column for a field with the highest score, the first of equals.
fn best_column(headings: &[Option<Heading>], field: Field) -> Option<usize> {
    let mut best: Option<(usize, i32)> = None;
    for (index, heading) in headings.iter().enumerate() {
        let Some(heading) = heading.filter(|heading| heading.field == field) else { continue };
        if best.is_none_or(|(_, score)| heading.score > score) {
            best = Some((index, heading.score));
        }
    }
    best.map(|(index, _)| index)
}

fn note_columns(plan: &Plan, builder: &mut Builder) {
    let used = |index: &usize| {
        plan.values.iter().any(|it| it.index == *index || it.hemisphere == Some(*index))
            || plan.time.is_some_and(|time| time.index == *index)
            || [plan.run, plan.direction].contains(&Some(*index))
    };
    let mut unused: Vec<String> = (0..plan.texts.len())
        .filter(|index| !used(index) && !plan.texts[*index].is_empty())
        .map(|index| plan.texts[index].clone())
        .collect();
    if !unused.is_empty() {
        let more = unused.len().saturating_sub(SHOWN_HEADINGS);
        unused.truncate(SHOWN_HEADINGS);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let list = unused.join(", ");
        builder.log.notes.push(format!("Columns that were not used: {list}{more}."));
    }
}
