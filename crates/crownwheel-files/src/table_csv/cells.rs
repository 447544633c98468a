//! The text of a table: its separator, its headings, its cells and where they stand.

use std::ops::Range;

use crate::message::printable;
use crate::units::{self, Unit};

/// How the numbers of a table mark their decimals, as far as it is known.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum DecimalMark {
    /// No number had any so far.
    Unknown,
    /// By a point.
    Point,
    /// By a comma.
    Comma,
}

/// A number of a cell.
pub(super) fn number(cell: &str, mark: &mut DecimalMark) -> Result<f64, String> {
    if cell.is_empty() {
        return Err("the cell is empty".to_owned());
    }
    let (comma, point) = (cell.contains(','), cell.contains('.'));
    let shown = || printable(cell);
    match (comma, point, *mark) {
        (true, true, _) => {
            let what = "has a comma and a point: leave the thousands mark out";
            return Err(format!("`{}` {what}", shown()));
        }
        (true, false, DecimalMark::Point) => {
            let what = "has a comma, and numbers before it have a decimal point";
            return Err(format!("`{}` {what}", shown()));
        }
        (false, true, DecimalMark::Comma) => {
            let what = "has a point, and numbers before it have a decimal comma";
            return Err(format!("`{}` {what}", shown()));
        }
        (true, false, _) => *mark = DecimalMark::Comma,
        (false, true, _) => *mark = DecimalMark::Point,
        (false, false, _) => {}
    }
    // Nearly every cell can be read where it stands.
    let value = if comma || !cell.is_ascii() {
        cell.replace('\u{2212}', "-").replacen(',', ".", 1).parse::<f64>()
    } else {
        cell.parse::<f64>()
    };
    match value {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("`{}` is not a number", shown())),
    }
}

/// Heading without its unit, and the unit.
pub(super) fn heading(text: &str) -> (String, Option<&'static Unit>) {
    let plain = |text: &str| text.trim().to_lowercase().replace([' ', '-'], "_");
    if let Some((stem, rest)) = text.split_once(['(', '[']) {
        let inner = rest.trim_end().trim_end_matches([')', ']']);
        return (plain(stem), units::find(inner));
    }
    let whole = plain(text);
    for (at, _) in whole.match_indices('_') {
        if let Some(unit) = units::find_suffix(&whole[at + 1..]) {
            return (whole[..at].to_owned(), Some(unit));
        }
    }
    (whole, None)
}

/// The mark that parts the columns of the first line with text.
pub(super) fn separator(text: &str) -> u8 {
    let first = text
        .lines()
        .find(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .unwrap_or_default();
    if first.contains('\t') {
        b'\t'
    } else if first.contains(';') {
        b';'
    } else {
        b','
    }
}

/// Where a record starts: its position counts the comments and empty lines before it.
pub(super) fn row_start(text: &str, record: &csv::StringRecord) -> usize {
    let position = record.position().map_or(0, csv::Position::byte);
    let mut at = usize::try_from(position).unwrap_or(text.len()).min(text.len());
    while let Some(line) = text[at..].split_inclusive('\n').next() {
        let skip = line.starts_with('#') || line.trim_end_matches(['\r', '\n']).is_empty();
        if !skip {
            break;
        }
        at += line.len();
    }
    at
}

/// Bytes of a cell in its row, without blanks around it.
pub(super) fn cell_span(
    text: &str,
    row_offset: usize,
    index: usize,
    separator: u8,
) -> Range<usize> {
    let bytes = text.as_bytes();
    let (mut start, mut at, mut cell, mut quoted) = (row_offset, row_offset, 0, false);
    while at < bytes.len() && (quoted || bytes[at] != b'\n') {
        if bytes[at] == b'"' {
            quoted = !quoted;
        } else if bytes[at] == separator && !quoted {
            if cell == index {
                break;
            }
            cell += 1;
            start = at + 1;
        }
        at += 1;
    }
    // Cuts fall on ASCII bytes, so they are character boundaries.
    let raw = text.get(start..at).unwrap_or_default();
    let trimmed = raw.trim();
    // In an empty cell the blanks may be the end of the line, which is no place to show.
    let blanks = if trimmed.is_empty() { 0 } else { raw.len() - raw.trim_start().len() };
    start + blanks..start + blanks + trimmed.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_carry_the_unit() {
        assert_eq!(heading("peak_torque_nm").0, "peak_torque");
        assert_eq!(heading("Peak torque (N m)").0, "peak_torque");
        assert_eq!(heading("speed (km/h)").1.unwrap().name, "km/h");
        assert_eq!(heading("use_wh_per_km").1.unwrap().name, "Wh/km");
        assert!(heading("speed").1.is_none());
        assert!(heading("speed (parsecs)").1.is_none());
        assert!(heading("").1.is_none());
    }

    #[test]
    fn cells_are_found_in_their_row() {
        let text = "a;b\n 1 ;\"x;y\"; °\n";
        let cell = |index| &text[cell_span(text, 4, index, b';')];
        assert_eq!((cell(0), cell(1), cell(2)), ("1", "\"x;y\"", "°"));
        // Beyond the last cell the end of the last one is meant.
        assert_eq!(cell(9), "°");
        assert_eq!(cell_span("1; \r\n", 0, 1, b';'), 2..2);
    }
}
