//! The first lines of a table: which of them names the columns, and with what separator.

use super::super::cells::{self, Cell, DecimalMark};
use super::super::heading::{Field, Heading, understand, unit_of_cell};
use super::super::stamp;

/// Lines among which the heading is looked for.
const HEADING_WITHIN: usize = 80;
/// Separators; among equals the first wins.
const SEPARATORS: [u8; 4] = [b';', b'\t', b',', b'|'];

/// A line that was looked at.
pub(super) struct Line {
    pub(super) number: usize,
    pub(super) text: String,
}

/// The line that names the columns.
pub(super) struct HeadingRow {
    pub(super) place: usize,
    pub(super) separator: u8,
    pub(super) headings: Vec<Option<Heading>>,
    pub(super) texts: Vec<String>,
    /// Different things that its headings name.
    pub(super) known: usize,
}

/// The line and the separator that give the most headings that we know.
pub(super) fn find_heading(lines: &[Line], forced: Option<u8>) -> Option<HeadingRow> {
    let separators: Vec<u8> = forced.map_or_else(|| SEPARATORS.to_vec(), |byte| vec![byte]);
    let mut best: Option<HeadingRow> = None;
    let mut cells = Vec::new();
    for (place, line) in lines.iter().take(HEADING_WITHIN).enumerate() {
        for &separator in &separators {
            cells::split(&line.text, separator, &mut cells);
            let texts: Vec<String> = (0..cells.len())
                .map(|index| cells::text(&line.text, &cells, index).to_owned())
                .collect();
            let headings: Vec<Option<Heading>> =
                texts.iter().map(|text| understand(text)).collect();
            // Headings are words: a line with a number or a time in it is none.
            let known =
                if texts.iter().any(|text| is_value(text)) { 0 } else { distinct(&headings) };
            // A remark may hold one known word; a heading has columns.
            let enough = known >= 2 || (known == 1 && texts.len() >= 2);
            if enough && best.as_ref().is_none_or(|best| known > best.known) {
                best = Some(HeadingRow { place, separator, headings, texts, known });
            }
        }
    }
    best
}

fn is_value(text: &str) -> bool {
    stamp::parse(text).is_some()
        || matches!(cells::number(text, DecimalMark::Unknown), Cell::Number { unit: "", .. })
}

fn distinct(headings: &[Option<Heading>]) -> usize {
    let mut fields: Vec<Field> = Vec::new();
    for heading in headings.iter().flatten() {
        if !fields.contains(&heading.field) {
            fields.push(heading.field);
        }
    }
    fields.len()
}

/// A row below the heading that holds units and no numbers.
pub(super) fn take_units_row(found: &mut HeadingRow, line: Option<&Line>) -> bool {
    let Some(line) = line else { return false };
    let mut cells = Vec::new();
    cells::split(&line.text, found.separator, &mut cells);
    let texts: Vec<&str> =
        (0..cells.len()).map(|index| cells::text(&line.text, &cells, index)).collect();
    let holds_value =
        |text: &&str| text.starts_with(|c: char| c.is_ascii_digit()) || is_value(text);
    if texts.iter().any(holds_value) {
        return false;
    }
    let mut any = false;
    for ((heading, name), text) in found.headings.iter_mut().zip(&found.texts).zip(&texts) {
        // `I` means nothing, `v` is a speed only with its unit.
        let with_unit = understand(&format!("{name} ({text})")).filter(|it| it.unit.is_some());
        if with_unit.is_some() {
            *heading = with_unit;
        } else if let Some(heading) = heading
            && let Some(unit) = unit_of_cell(text, heading.field)
        {
            heading.unit = Some(unit);
        } else {
            continue;
        }
        any = true;
    }
    any
}
