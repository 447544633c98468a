//! What the first lines of a table tell: separator, heading, units, clock.

use super::super::ReadOptions;
use super::super::builder::Builder;
use super::super::cells::{self};
use super::super::error::{LogError, LogProblem};
use super::super::heading::{Field, Heading};
use super::super::units::{self, Kind, LogUnit};
use super::clock::{TimeColumn, time_column};
use super::head::{HeadingRow, Line};
use crate::log::{Clock, Quantity};
use crate::repairs::RepairKind;

/// Headings that a message names.
const SHOWN_HEADINGS: usize = 8;

/// How the columns of a file are used.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) separator: u8,
    /// Cells of the heading, without a separator at its end.
    pub(super) width: usize,
    pub(super) heading_text: String,
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
}

pub(super) fn plan(
    name: &str,
    heading_line: usize,
    found: &HeadingRow,
    rows: &[Line],
    options: &ReadOptions,
    builder: &mut Builder,
) -> Result<Plan, LogError> {
    let refuse = |problem: LogProblem| LogError::new(name, heading_line, problem);
    let trailing = found.texts.iter().rev().take_while(|text| text.is_empty()).count();
    let width = found.texts.len() - trailing;
    if let Some((line, cells)) = wider_rows(found.separator, width, rows) {
        let problem = LogProblem::WiderThanHeading { cells, headings: width };
        return Err(LogError::new(name, line, problem));
    }
    let best = |field: Field| best_column(&found.headings, field);
    let mut values = Vec::new();
    for quantity in Quantity::ALL {
        let field = Field::Value(quantity);
        let (Some(index), Some(kind)) = (best(field), field.kind()) else { continue };
        let heading = &found.texts[index];
        let unit = found.headings[index].and_then(|heading| heading.unit);
        let unit = match (unit, quantity, options.speed_unit) {
            (Some(unit), ..) => unit,
            (None, Quantity::Speed, Some(named)) => LogUnit::of(Kind::Speed, named.mps()),
            (None, Quantity::Speed, None) => {
                builder.speed_without_unit = Some((heading.clone(), heading_line));
                LogUnit::of(Kind::Speed, 1.0)
            }
            (None, Quantity::Temperature, _) => {
                units::find("°C", Kind::Temperature).unwrap_or(LogUnit::of(Kind::Temperature, 1.0))
            }
            // Volts, amperes, degrees and metres are what a heading means that says nothing more.
            (None, ..) => LogUnit::of(kind, 1.0),
        };
        builder.has(quantity);
        values.push(ValueColumn { index, quantity, kind, unit });
    }
    let has = |quantity: Quantity| values.iter().any(|column| column.quantity == quantity);
    let fixes = has(Quantity::Latitude) && has(Quantity::Longitude);
    if !has(Quantity::Speed) && !fixes {
        return Err(refuse(LogProblem::NothingToDrive { headings: shown(&found.texts) }));
    }
    let time_index = best(Field::Time).or_else(|| best(Field::Date));
    let time = match time_index {
        _ if options.as_route => None,
        None if fixes => return Err(refuse(LogProblem::NoTimes { without: count(rows), with: 0 })),
        None => return Err(refuse(LogProblem::NoTimeColumn { headings: shown(&found.texts) })),
        Some(index) => Some(time_column(index, found, rows, builder).map_err(refuse)?),
    };
    builder.log.clock = time.map_or(Clock::None, |time| time.clock);
    let plan = Plan {
        separator: found.separator,
        width,
        heading_text: time_index.map_or_else(String::new, |index| found.texts[index].clone()),
        time,
        run: best(Field::Run),
        direction: best(Field::Direction),
        values,
    };
    note_columns(&plan, found, builder);
    builder.count(RepairKind::TrailingSeparators, u64::from(trailing > 0));
    Ok(plan)
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

/// Line and cells of a row if most rows are wider than the heading, as with decimal commas between
/// commas.
fn wider_rows(separator: u8, width: usize, rows: &[Line]) -> Option<(usize, usize)> {
    let mut cells = Vec::new();
    let mut wider = Vec::new();
    for line in rows {
        cells::split(&line.text, separator, &mut cells);
        let filled = (0..cells.len())
            .rfind(|index| !cells::text(&line.text, &cells, *index).is_empty())
            .map_or(0, |last| last + 1);
        if filled > width {
            wider.push((line.number, filled));
        }
    }
    (wider.len() >= 3 && 2 * wider.len() > rows.len()).then(|| wider[0])
}

fn note_columns(plan: &Plan, found: &HeadingRow, builder: &mut Builder) {
    let used = |index: &usize| {
        plan.values.iter().any(|column| column.index == *index)
            || plan.time.is_some_and(|time| time.index == *index)
            || [plan.run, plan.direction].contains(&Some(*index))
    };
    let mut unused: Vec<String> = (0..found.texts.len())
        .filter(|index| !used(index) && !found.texts[*index].is_empty())
        .map(|index| found.texts[index].clone())
        .collect();
    if !unused.is_empty() {
        let more = unused.len().saturating_sub(SHOWN_HEADINGS);
        unused.truncate(SHOWN_HEADINGS);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let list = unused.join(", ");
        builder.log.notes.push(format!("Columns that were not used: {list}{more}."));
    }
}
