//! Rows with more or fewer cells than the heading: what can be known of them, and where it ends.
//!
//! One cell more in every row is an unnamed column at the end, or at the start if that counts the
//! rows. Rows that change their number of cells for good, without a heading that says why, may have
//! their columns anywhere: the reading stops there.

use super::super::builder::Row;
use super::super::cells::{self, Cell, DecimalMark};
use super::super::error::LogProblem;
use super::super::heading::Field;
use super::super::stamp;
use super::head::{HeadingRow, Line};
use crate::log::Quantity;
use crate::repairs::RepairKind;

/// Rows in a row with another number of cells that are no accident.
const ROWS_OF_CHANGE: usize = 5;
/// Wider rows that are no accident, at least.
const WIDER_ROWS: u64 = 10;
/// Share of wider rows from which the file is another one than its heading says.
const WIDER_SHARE: u64 = 20;
/// Fewest rows by which a column that counts the rows is known.
const ROWS_TO_COUNT: usize = 20;

/// Cells up to the last that holds something.
pub(super) fn filled(text: &str, cells: &[std::ops::Range<usize>]) -> usize {
    let last = (0..cells.len()).rfind(|index| !cells::text(text, cells, *index).is_empty());
    last.map_or(0, |last| last + 1)
}

/// Cells of the first rows.
struct Table<'t> {
    rows: Vec<Vec<&'t str>>,
}

/// Gives the heading an unnamed column where the rows have one more than it.
///
/// # Errors
/// Line and problem if most rows are wider and nobody can say how.
pub(super) fn fit_heading(
    found: &mut HeadingRow,
    rows: &[Line],
) -> Result<Option<RepairKind>, (usize, LogProblem)> {
    let width = found.texts.len();
    let table = Table::of(found.separator, rows);
    let wider: Vec<usize> = (0..rows.len()).filter(|i| table.rows[*i].len() > width).collect();
    if wider.len() < 3 || 2 * wider.len() <= rows.len() {
        return Ok(None);
    }
    let one_more = wider.iter().all(|i| table.rows[*i].len() == width + 1);
    let time = found.headings.iter().position(|it| it.is_some_and(|it| it.field == Field::Time));
    let place = match time {
        Some(time) if one_more && table.commas_part_cells(found.separator) => {
            table.place_of_unnamed(time, width)
        }
        _ => None,
    };
    let Some(place) = place else {
        let cells = table.rows[wider[0]].len();
        let problem = LogProblem::WiderThanHeading { cells, headings: width };
        return Err((rows[wider[0]].number, problem));
    };
    found.headings.insert(place, None);
    found.texts.insert(place, String::new());
    Ok(Some(RepairKind::UnnamedColumn))
}

impl<'t> Table<'t> {
    fn of(separator: u8, rows: &'t [Line]) -> Table<'t> {
        let mut places = Vec::new();
        let cells_of = |line: &'t Line| {
            cells::split(&line.text, separator, &mut places);
            let count = filled(&line.text, &places);
            (0..count).map(|index| cells::text(&line.text, &places, index)).collect()
        };
        Table { rows: rows.iter().map(cells_of).collect() }
    }

    /// A comma may be a decimal one unless some number has a point.
    fn commas_part_cells(&self, separator: u8) -> bool {
        let mut all = self.rows.iter().flatten();
        separator != b',' || all.any(|cell| DecimalMark::shown_by(cell) == DecimalMark::Point)
    }

    /// Where the unnamed column stands, by the times: at the end unless the first column counts the
    /// rows and the times stand one further.
    fn place_of_unnamed(&self, time: usize, width: usize) -> Option<usize> {
        let counts =
            self.rows.len() >= ROWS_TO_COUNT && self.steps(0).iter().all(|step| is_one(*step));
        if counts && self.is_even(time + 1) {
            return Some(0);
        }
        let same = time == 0 && self.rows.len() < ROWS_TO_COUNT && self.rises(1);
        (self.rises(time) && !same).then_some(width)
    }

    fn steps(&self, column: usize) -> Vec<f64> {
        let value = |row: &Vec<&str>| {
            let text = row.get(column).copied().unwrap_or_default();
            match (stamp::parse(text), cells::number(text, DecimalMark::Unknown)) {
                (Some(time), _) => time.seconds,
                (None, Cell::Number { value, .. }) => value,
                _ => f64::NAN,
            }
        };
        let values: Vec<f64> = self.rows.iter().map(value).collect();
        values.windows(2).map(|pair| pair[1] - pair[0]).collect()
    }

    /// Nearly every row is later than the one before.
    fn rises(&self, column: usize) -> bool {
        let steps = self.steps(column);
        let up = steps.iter().filter(|step| **step >= 0.0).count();
        10 * up >= 9 * steps.len() && steps.iter().any(|step| *step > 0.0)
    }

    /// Nearly every row is later than the one before by the same.
    fn is_even(&self, column: usize) -> bool {
        let mut steps = self.steps(column);
        steps.sort_by(f64::total_cmp);
        let middle = steps.get(steps.len() / 2).copied().unwrap_or_default();
        let even = steps.iter().filter(|step| (**step - middle).abs() <= 0.2 * middle).count();
        middle > 0.0 && 10 * even >= 9 * steps.len()
    }
}

fn is_one(step: f64) -> bool {
    (step - 1.0).abs() < 1e-9
}

/// Follows the number of cells from row to row.
#[derive(Debug, Default)]
pub(super) struct Widths {
    /// The last row that was as wide as the heading.
    full: Option<Row>,
    /// Number of cells of the last rows that were not, how many they are, and the first of them.
    other: usize,
    count: usize,
    first: Option<Row>,
    rows: u64,
    wider: u64,
    first_wider: (usize, usize),
}

impl Widths {
    /// Takes the number of cells of a row.
    ///
    /// # Errors
    /// Line and problem if the columns changed here.
    pub(super) fn follow(
        &mut self,
        width: usize,
        cells: usize,
        row: Row,
    ) -> Result<(), (usize, LogProblem)> {
        self.rows += 1;
        if cells == width {
            self.full = Some(row);
            self.count = 0;
            return Ok(());
        }
        if cells > width {
            self.wider += 1;
            if self.wider == 1 {
                self.first_wider = (row.line, cells);
            }
        }
        if self.count == 0 || cells != self.other {
            (self.other, self.count, self.first) = (cells, 0, Some(row));
        }
        self.count += 1;
        let moved = || match (&self.full, &self.first) {
            (Some(before), Some(after)) => jumps(before, after),
            _ => false,
        };
        if self.count == ROWS_OF_CHANGE && (cells > width || moved()) {
            let line = self.first.map_or(row.line, |first| first.line);
            return Err((line, LogProblem::ColumnsChange { cells, headings: width }));
        }
        Ok(())
    }

    /// After the last row: many single wider rows are decimal commas between commas.
    ///
    /// # Errors
    /// Line and problem of the first of them.
    pub(super) fn end(&self, width: usize) -> Result<(), (usize, LogProblem)> {
        if self.wider < WIDER_ROWS || self.wider * WIDER_SHARE < self.rows {
            return Ok(());
        }
        let (line, cells) = self.first_wider;
        Err((line, LogProblem::WiderThanHeading { cells, headings: width }))
    }
}

/// Whether some reading cannot have gone on from one row to the next: the columns have moved.
fn jumps(before: &Row, after: &Row) -> bool {
    let step_s = after.time_s - before.time_s;
    let usual = step_s > 0.0 && step_s < 600.0;
    let changed = |quantity: Quantity, most: f64| {
        let place = quantity.place();
        (after.values[place] - before.values[place]).abs() > most
    };
    let volts = before.values[Quantity::Voltage.place()];
    !usual
        || changed(Quantity::Speed, 10.0 * step_s)
        || changed(Quantity::Latitude, 0.01 + 0.001 * step_s)
        || changed(Quantity::Longitude, 0.01 + 0.001 * step_s)
        || changed(Quantity::Elevation, 20.0 + 20.0 * step_s)
        || changed(Quantity::Voltage, 0.3 * volts.abs())
}
