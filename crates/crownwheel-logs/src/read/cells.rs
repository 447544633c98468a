//! A line into cells, a cell into a number.

use std::ops::Range;

/// What a cell holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell<'t> {
    /// A number, what was odd about it, and the text behind it (a unit).
    Number { value: f64, mark: Mark, unit: &'t str },
    /// Nothing at all.
    Empty,
    /// A word for "no value".
    NoValue,
    /// Something else.
    Other,
}

/// How a number was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// With a point or without any mark.
    Plain,
    /// With a decimal comma.
    DecimalComma,
    /// With marks between thousands.
    Thousands,
}

/// The decimal mark of a column, as far as its first cells tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum DecimalMark {
    /// They do not tell: a single mark is a decimal one.
    #[default]
    Unknown,
    Point,
    Comma,
}

impl DecimalMark {
    /// What a cell tells: a mark that does not part three digits from others is a decimal one, and so
    /// is one behind a zero.
    pub(super) fn shown_by(cell: &str) -> DecimalMark {
        let Cell::Number { mark, .. } = number(cell, DecimalMark::Unknown) else {
            return DecimalMark::Unknown;
        };
        let digits = digits_of(cell).0;
        match mark {
            Mark::Plain if digits.contains('.') && !may_be_thousands(digits, '.') => {
                DecimalMark::Point
            }
            Mark::DecimalComma if !may_be_thousands(digits, ',') => DecimalMark::Comma,
            Mark::Thousands if digits.rfind(',') > digits.rfind('.') && digits.contains('.') => {
                DecimalMark::Comma
            }
            Mark::Thousands if digits.contains(',') && digits.contains('.') => DecimalMark::Point,
            _ => DecimalMark::Unknown,
        }
    }
}

/// Cuts a line at a separator; a separator between quotes belongs to its cell, and a quote that is
/// never closed is an ordinary sign: one lost quote must not swallow the rest of the log.
pub(super) fn split(line: &str, separator: u8, cells: &mut Vec<Range<usize>>) {
    cells.clear();
    let bytes = line.as_bytes();
    let mut start = 0;
    loop {
        let rest = &bytes[start..];
        let blanks = rest.iter().take_while(|byte| **byte == b' ').count();
        let quoted = rest.get(blanks) == Some(&b'"');
        let from = if quoted {
            let open = blanks + 1;
            rest[open..].iter().position(|byte| *byte == b'"').map_or(0, |close| open + close + 1)
        } else {
            0
        };
        match rest[from..].iter().position(|byte| *byte == separator) {
            Some(at) => {
                cells.push(start..start + from + at);
                start += from + at + 1;
            }
            None => {
                cells.push(start..bytes.len());
                return;
            }
        }
    }
}

/// The text of a cell without blanks and quotes around it.
pub(super) fn text<'t>(line: &'t str, cells: &[Range<usize>], index: usize) -> &'t str {
    let range = cells.get(index).cloned().unwrap_or_default();
    // Cuts fall on ASCII signs, so they are character boundaries.
    let cell = line.get(range).unwrap_or_default().trim();
    let inner = cell.strip_prefix('"').and_then(|cell| cell.strip_suffix('"'));
    inner.unwrap_or(cell).trim()
}

/// Reads a cell as a number.
pub(super) fn number(cell: &str, decimal: DecimalMark) -> Cell<'_> {
    if cell.is_empty() {
        return Cell::Empty;
    }
    let thousands = |mark: char| {
        let digits = digits_of(cell).0;
        may_be_thousands(digits, mark).then(|| digits.replace(mark, ""))
    };
    let grouped = match decimal {
        DecimalMark::Unknown => None,
        DecimalMark::Point => thousands(','),
        DecimalMark::Comma => thousands('.'),
    };
    if let Some(value) = grouped.and_then(|digits| digits.parse::<f64>().ok()) {
        return finite(value, Mark::Thousands, digits_of(cell).1);
    }
    if let Ok(value) = cell.parse::<f64>()
        && cell.as_bytes()[0] != b'i'
    {
        return finite(value, Mark::Plain, "");
    }
    if is_no_value(cell) {
        return Cell::NoValue;
    }
    let (digits, unit) = digits_of(cell);
    let minus = digits.replace('\u{2212}', "-");
    match plain_number(&minus) {
        Some((value, mark)) => finite(value, mark, unit),
        None => Cell::Other,
    }
}

/// The digits and marks that a cell begins with, and what stands behind them.
fn digits_of(cell: &str) -> (&str, &str) {
    let bytes = cell.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let end = cell
        .char_indices()
        .find(|(at, c)| match c {
            '0'..='9' | '.' | ',' | '+' | '-' | '\u{2212}' | '\'' => false,
            // A blank between digits parts thousands.
            ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' => {
                !(at.checked_sub(1).is_some_and(digit) && digit(at + c.len_utf8()))
            }
            _ => true,
        })
        .map_or(cell.len(), |(at, _)| at);
    (&cell[..end], cell[end..].trim())
}

/// Whether all marks of a kind part groups of three digits, and nothing else stands between: `1,234`,
/// not `0,234`.
fn may_be_thousands(digits: &str, mark: char) -> bool {
    let size = digits.trim_start_matches(['+', '-', '\u{2212}']);
    let mut groups = size.split(mark);
    let first = groups.next().unwrap_or_default();
    let all_digits = |group: &str| group.bytes().all(|byte| byte.is_ascii_digit());
    size.contains(mark)
        && (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && all_digits(first)
        && groups.all(|group| group.len() == 3 && all_digits(group))
}

fn finite(value: f64, mark: Mark, unit: &str) -> Cell<'_> {
    if value.is_finite() { Cell::Number { value, mark, unit } } else { Cell::NoValue }
}

/// A number with any marks: the last of two kinds of marks is the decimal mark.
fn plain_number(text: &str) -> Option<(f64, Mark)> {
    let (points, commas) = (text.matches('.').count(), text.matches(',').count());
    let parsed = |text: &str, mark: Mark| Some((text.parse::<f64>().ok()?, mark));
    let parts_thousands = |c: char| c == '\'' || c.is_whitespace();
    if text.contains(parts_thousands) {
        return parsed(&text.replace(parts_thousands, "").replace(',', "."), Mark::Thousands);
    }
    match (points, commas) {
        (0 | 1, 0) => parsed(text, Mark::Plain),
        (0, 1) => parsed(&text.replace(',', "."), Mark::DecimalComma),
        (1, _) if text.rfind('.') > text.rfind(',') && in_threes(text, ',') => {
            parsed(&text.replace(',', ""), Mark::Thousands)
        }
        (_, 1) if text.rfind(',') > text.rfind('.') && in_threes(text, '.') => {
            parsed(&text.replace('.', "").replace(',', "."), Mark::Thousands)
        }
        _ => None,
    }
}

/// Whether the whole part of a number is grouped by threes.
fn in_threes(text: &str, mark: char) -> bool {
    let other = if mark == ',' { '.' } else { ',' };
    let whole = text.split(other).next().unwrap_or_default();
    whole.split(mark).skip(1).all(|group| group.len() == 3)
}

/// Words that people and loggers write where there is no value.
fn is_no_value(cell: &str) -> bool {
    const WORDS: [&str; 16] = [
        "nan", "na", "n/a", "#n/a", "null", "none", "nil", "off", "inf", "-inf", "+inf", "invalid",
        "no fix", "nodata", "error", "#value!",
    ];
    let dashes = cell.chars().all(|c| matches!(c, '-' | '_' | '*' | '?' | '.' | '–' | '—'));
    dashes || WORDS.iter().any(|word| cell.eq_ignore_ascii_case(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(line: &str, separator: u8) -> Vec<&str> {
        let mut cells = Vec::new();
        split(line, separator, &mut cells);
        (0..cells.len()).map(|i| text(line, &cells, i)).collect()
    }

    #[test]
    fn lines_are_cut_and_a_lost_quote_swallows_nothing() {
        assert_eq!(cut("a, \"b,c\" ,d", b','), ["a", "b,c", "d"]);
        assert_eq!(cut("a;\"b;c", b';'), ["a", "\"b", "c"]);
        assert_eq!(cut("", b','), [""]);
        assert_eq!(cut("1,2,", b','), ["1", "2", ""]);
        assert_eq!(cut("\"12,5\",3", b','), ["12,5", "3"]);
    }

    #[test]
    fn numbers_are_read_as_people_write_them() {
        let read = |text| match number(text, DecimalMark::Unknown) {
            Cell::Number { value, mark, unit } => (value, mark, unit),
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(read("12.5"), (12.5, Mark::Plain, ""));
        assert_eq!(read("-3e2"), (-300.0, Mark::Plain, ""));
        assert_eq!(read("\u{2212}12,5"), (-12.5, Mark::DecimalComma, ""));
        assert_eq!(read("1,234.5"), (1234.5, Mark::Thousands, ""));
        assert_eq!(read("1.234,5"), (1234.5, Mark::Thousands, ""));
        assert_eq!(read("1'234.5"), (1234.5, Mark::Thousands, ""));
        assert_eq!(read("1 234,5"), (1234.5, Mark::Thousands, ""));
        assert_eq!(read("12\u{a0}345 km"), (12_345.0, Mark::Thousands, "km"));
        assert_eq!(read("45 km/h"), (45.0, Mark::Plain, "km/h"));
        assert_eq!(read("13,2V"), (13.2, Mark::DecimalComma, "V"));
    }

    #[test]
    fn a_mark_before_three_digits_is_what_the_column_says() {
        let read = |text, decimal| match number(text, decimal) {
            Cell::Number { value, mark, .. } => (value, mark),
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(read("1,234", DecimalMark::Point), (1234.0, Mark::Thousands));
        assert_eq!(read("1,234", DecimalMark::Unknown), (1.234, Mark::DecimalComma));
        assert_eq!(read("1.234", DecimalMark::Comma), (1234.0, Mark::Thousands));
        assert_eq!(read("0.234", DecimalMark::Comma), (0.234, Mark::Plain));
        for (text, shown) in [
            ("12.5", DecimalMark::Point),
            ("12,5", DecimalMark::Comma),
            ("0,125", DecimalMark::Comma),
            ("1,234.5", DecimalMark::Point),
            ("1.234,5", DecimalMark::Comma),
            ("1,234", DecimalMark::Unknown),
            ("12", DecimalMark::Unknown),
        ] {
            assert_eq!(DecimalMark::shown_by(text), shown, "{text}");
        }
    }

    #[test]
    fn words_for_nothing_are_no_value_and_the_rest_is_other() {
        for text in ["NaN", "--", "OFF", "n/a", "inf", "-inf", "NULL", "---", "?", "1e999"] {
            assert_eq!(number(text, DecimalMark::Unknown), Cell::NoValue, "{text}");
        }
        for text in ["abc", "1,2,3", "1.2.3", "12,34.5", "infinity!", "x1"] {
            assert_eq!(number(text, DecimalMark::Unknown), Cell::Other, "{text}");
        }
        assert_eq!(number("", DecimalMark::Unknown), Cell::Empty);
    }
}
