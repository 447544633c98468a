//! Which clock a column of times is from, told from its first cells.

use super::super::builder::Builder;
use super::super::cells::{self, Cell, DecimalMark};
use super::super::error::LogProblem;
use super::super::stamp;
use super::head::{HeadingRow, Line};
use crate::log::Clock;
use crate::repairs::RepairKind;

/// A step between times that is too coarse for several rows, s.
const COARSE_S: f64 = 20.0;
/// Rows that share such a time.
const ROWS_OF_COARSE: usize = 4;

/// The column of times.
#[derive(Clone, Copy, Debug)]
pub(super) struct TimeColumn {
    pub(super) index: usize,
    pub(super) clock: Clock,
    /// Seconds in one of its numbers, or in a second of what its `12:30` reads as.
    pub(super) factor: f64,
    /// How its numbers are written.
    pub(super) decimal: DecimalMark,
}

/// What the first cells hold.
#[derive(Debug, Default)]
struct Cells {
    numbers: Vec<f64>,
    of_day_s: Vec<f64>,
    /// Times of day and stamps, s.
    clock_s: Vec<f64>,
    /// Times of day with a single colon.
    one_colon: usize,
    stamps: usize,
    without_zone: usize,
}

/// Tells clock and unit of a column.
pub(super) fn time_column(
    index: usize,
    found: &HeadingRow,
    rows: &[Line],
    decimal: DecimalMark,
    builder: &mut Builder,
) -> Result<TimeColumn, LogProblem> {
    let cells = look(index, found, rows, decimal);
    let column = |clock: Clock, factor: f64| TimeColumn { index, clock, factor, decimal };
    let unit = found.headings[index].and_then(|heading| heading.unit);
    if let Some(rows) = rows_of_a_coarse_time(&cells.clock_s) {
        return Err(LogProblem::CoarseTimes { rows });
    }
    if cells.stamps > cells.of_day_s.len().max(cells.numbers.len()) {
        builder.count(RepairKind::StampsWithoutZone, u64::from(cells.without_zone > 0));
        return Ok(column(Clock::Stamp, 1.0));
    }
    if cells.of_day_s.len() > cells.numbers.len() {
        let (clock, factor) = of_day(&cells, builder);
        return Ok(column(clock, factor));
    }
    let first = cells.numbers.first().copied().unwrap_or_default();
    if let Some(factor) = since_1970(first, unit.map(|unit| unit.factor)) {
        return Ok(column(Clock::Stamp, factor));
    }
    if let Some(unit) = unit {
        return Ok(column(Clock::Elapsed, unit.factor));
    }
    let (factor, word) = unit_of_steps(&cells.numbers).ok_or_else(|| LogProblem::NoUnit {
        heading: found.texts[index].clone(),
        what: "time",
        example: "time_s or time_ms",
        option: "",
    })?;
    builder.count(RepairKind::TimeUnitFound, 1);
    builder.log.notes.push(format!("Times without a unit were taken as {word}."));
    Ok(column(Clock::Elapsed, factor))
}

fn look(index: usize, found: &HeadingRow, rows: &[Line], decimal: DecimalMark) -> Cells {
    let mut seen = Cells::default();
    let mut places = Vec::new();
    for line in rows {
        cells::split(&line.text, found.separator, &mut places);
        let text = cells::text(&line.text, &places, index);
        let time = stamp::parse(text);
        seen.clock_s.extend(time.map(|time| time.seconds));
        match time {
            Some(time) if time.clock == Clock::Stamp => {
                seen.stamps += 1;
                seen.without_zone += usize::from(!time.zoned);
            }
            Some(time) => {
                seen.of_day_s.push(time.seconds);
                seen.one_colon += usize::from(text.matches(':').count() == 1);
            }
            None => {
                if let Cell::Number { value, .. } = cells::number(text, decimal) {
                    seen.numbers.push(value);
                }
            }
        }
    }
    seen
}

/// How many rows share a time, if the times are too coarse to put the rows in between.
fn rows_of_a_coarse_time(clock_s: &[f64]) -> Option<usize> {
    let groups: Vec<&[f64]> = clock_s.chunk_by(|a, b| (a - b).abs() < 0.5).collect();
    let mut steps: Vec<f64> = groups.windows(2).map(|two| (two[1][0] - two[0][0]).abs()).collect();
    steps.sort_by(f64::total_cmp);
    let coarse = steps.get(steps.len() / 2).is_some_and(|step_s| *step_s >= COARSE_S);
    let rows = clock_s.len() / groups.len().max(1);
    (coarse && rows >= ROWS_OF_COARSE).then_some(rows)
}

/// `05:12` is minutes and seconds when every row has another one; with hours and minutes several
/// rows would share one.
fn of_day(cells: &Cells, builder: &mut Builder) -> (Clock, f64) {
    let times = &cells.of_day_s;
    let short = cells.one_colon == times.len() && times.len() > 1;
    let each_its_own = times.windows(2).all(|pair| (pair[1] - pair[0]).abs() > 0.0);
    if short && each_its_own {
        builder.count(RepairKind::TimeUnitFound, 1);
        builder.log.notes.push("Times such as 05:12 were taken as minutes and seconds.".to_owned());
        return (Clock::Elapsed, 1.0 / 60.0);
    }
    (Clock::OfDay, 1.0)
}

/// Seconds, milliseconds, microseconds or nanoseconds since 1970 can be told from anything else by
/// their size, unless the heading says another unit in which the number is no date.
fn since_1970(first: f64, unit: Option<f64>) -> Option<f64> {
    const SIZES: [(f64, f64); 4] = [(1e9, 1.0), (1e12, 1e-3), (1e15, 1e-6), (1e18, 1e-9)];
    let (_, factor) =
        SIZES.into_iter().find(|(least, _)| (*least..*least * 4.0).contains(&first))?;
    let same = |unit: f64| (unit / factor - 1.0).abs() < 1e-9 || first * unit > 4e9;
    unit.is_none_or(same).then_some(factor)
}

/// Rows come every few seconds or every few dozen milliseconds, at least. Between, nobody knows.
fn unit_of_steps(times: &[f64]) -> Option<(f64, &'static str)> {
    let mut steps: Vec<f64> =
        times.windows(2).map(|pair| pair[1] - pair[0]).filter(|step| *step > 0.0).collect();
    steps.sort_by(f64::total_cmp);
    let middle = steps.get(steps.len() / 2).copied().unwrap_or(1.0);
    if middle <= 12.0 {
        Some((1.0, "seconds"))
    } else if middle >= 50.0 {
        Some((1e-3, "milliseconds"))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_told_by_their_size_unless_the_heading_says_otherwise() {
        for (first, unit, factor) in [
            (1.7e9, None, Some(1.0)),
            (1.7e12, Some(1e-3), Some(1e-3)),
            (1.7e12, Some(1.0), Some(1e-3)),
            (1.7e15, None, Some(1e-6)),
            (2.0e9, Some(1e-6), None),
            (86_399_000.0, None, None),
        ] {
            assert_eq!(since_1970(first, unit), factor, "{first}");
        }
    }

    #[test]
    fn steps_tell_seconds_from_milliseconds_or_nothing() {
        assert_eq!(unit_of_steps(&[0.0, 1.0, 2.0]).map(|(_, word)| word), Some("seconds"));
        assert_eq!(unit_of_steps(&[0.0, 100.0, 200.0]).map(|(_, word)| word), Some("milliseconds"));
        assert_eq!(unit_of_steps(&[0.0, 20.0, 40.0]), None);
    }
}
