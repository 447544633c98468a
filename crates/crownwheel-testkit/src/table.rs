//! Reference tables in CSV whose first lines, starting with `#`, name their source.

use std::collections::BTreeMap;

/// A reference table: one row of named cells after another.
#[derive(Clone, Debug)]
pub struct Table {
    rows: Vec<BTreeMap<String, String>>,
}

impl Table {
    /// Reads CSV text: source lines starting with `#`, a header, at least one row.
    ///
    /// # Panics
    /// When there is no source line, no row, or a row of the wrong length: a test on an empty
    /// table would pass without having looked at anything.
    #[must_use]
    pub fn read(text: &str) -> Table {
        assert!(text.starts_with('#'), "a reference table starts with its source");
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
        let rows: Vec<_> =
            reader.deserialize().map(|row| row.expect("a row like the header")).collect();
        assert!(!rows.is_empty(), "a reference table has rows");
        Table { rows }
    }

    /// The rows, in file order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { cells })
    }
}

/// One row of a [`Table`].
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    cells: &'a BTreeMap<String, String>,
}

impl<'a> Row<'a> {
    /// The cell under a header, as written.
    ///
    /// # Panics
    /// When the table has no such column.
    #[must_use]
    pub fn text(&self, column: &str) -> &'a str {
        self.cells.get(column).unwrap_or_else(|| panic!("no column {column} in {:?}", self.cells))
    }

    /// The cell under a header as a number, in the unit that the header names.
    ///
    /// # Panics
    /// When the table has no such column or the cell holds no number.
    #[must_use]
    pub fn number(&self, column: &str) -> f64 {
        self.maybe_number(column)
            .unwrap_or_else(|| panic!("no number under {column} in {:?}", self.cells))
    }

    /// The cell under a header as a number, `None` where it is empty.
    ///
    /// # Panics
    /// When the table has no such column or the cell holds something else.
    #[must_use]
    pub fn maybe_number(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        Some(text.parse().unwrap_or_else(|_| panic!("`{text}` under {column} is no number")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_same_bits;

    const TEXT: &str = "# source: a test\nname,mass_kg,note\nbox,1.5,\nbag,2e-1,\"soft, red\"\n";

    #[test]
    fn cells_are_found_by_header() {
        let table = Table::read(TEXT);
        let rows: Vec<_> = table.rows().collect();
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[1].text("note"), "soft, red");
        assert_same_bits!(rows[1].number("mass_kg"), 0.2);
        assert_eq!(rows[0].maybe_number("note"), None);
    }

    #[test]
    #[should_panic(expected = "no column mass_lb")]
    fn an_unknown_column_is_named() {
        let table = Table::read(TEXT);
        let _ = table.rows().next().unwrap().number("mass_lb");
    }

    #[test]
    #[should_panic(expected = "has rows")]
    fn an_empty_table_is_refused() {
        let _ = Table::read("# source: a test\nname\n");
    }
}
