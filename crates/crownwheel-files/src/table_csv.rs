//! Tables of numbers as spreadsheets and loggers write them.
//!
//! Columns are parted by commas, semicolons or tabs; numbers have a decimal point or comma; lines
//! that start with `#` are comments. Each heading says its unit: `speed_rpm`, `speed_kmh`,
//! `speed (km/h)`. What was taken for granted is kept as notes.

mod cells;

use cells::{DecimalMark, cell_span, heading, number, row_start, separator};

use crate::message::{Problem, ProblemKind, Report, SourceText, printable};
use crate::units::{Dimension, Unit};

/// Most bad cells of one table that are reported.
const MOST_CELL_ERRORS: usize = 10;

/// Most unused columns that a note names.
const MOST_UNUSED: usize = 10;

/// A column that a reader wants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WantedColumn {
    /// Heading without its unit, `peak_torque`.
    pub name: &'static str,
    /// What it holds.
    pub dimension: Dimension,
    /// Whether the table is of no use without it.
    pub needed: bool,
    /// A whole heading, `peak_torque_nm`.
    pub example: &'static str,
    /// A cell may be empty: it reads as NaN, and the reader says what stands for it.
    pub blank: bool,
}

/// A table of numbers in SI.
#[derive(Debug)]
pub struct CsvTable<'t> {
    source: SourceText<'t>,
    separator: u8,
    columns: Vec<Option<Column>>,
    heading_offset: usize,
    row_offsets: Vec<usize>,
    notes: Vec<String>,
}

#[derive(Debug)]
struct Column {
    wanted: WantedColumn,
    heading: String,
    unit: &'static Unit,
    si: Vec<f64>,
}

impl WantedColumn {
    /// A column that must be there.
    #[must_use]
    pub const fn needed(name: &'static str, dimension: Dimension, example: &'static str) -> Self {
        Self { name, dimension, needed: true, example, blank: false }
    }

    /// A column that may be there.
    #[must_use]
    pub const fn extra(name: &'static str, dimension: Dimension, example: &'static str) -> Self {
        Self { needed: false, ..Self::needed(name, dimension, example) }
    }

    /// A column that may be there, with cells that may be empty.
    #[must_use]
    pub const fn sparse(name: &'static str, dimension: Dimension, example: &'static str) -> Self {
        Self { blank: true, ..Self::extra(name, dimension, example) }
    }
}

impl<'t> CsvTable<'t> {
    /// Reads a table of at least one row and at most `most_rows`. `name` is for messages.
    ///
    /// # Errors
    /// A [`Report`] with the place of everything that is wrong, up to ten cells.
    pub fn read(
        name: &'t str,
        text: &'t str,
        wanted: &[WantedColumn],
        most_rows: usize,
    ) -> Result<Self, Report> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let source = SourceText { name, number: usize::MAX, text };
        let separator = separator(text);
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .comment(Some(b'#'))
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut record = csv::StringRecord::new();
        let mut table = Self {
            source,
            separator,
            columns: Vec::new(),
            heading_offset: 0,
            row_offsets: Vec::new(),
            notes: Vec::new(),
        };
        if !matches!(reader.read_record(&mut record), Ok(true)) {
            let what =
                format!("`{name}` is empty: a heading and at least one row of numbers are wanted");
            return Err(Problem::at(ProblemKind::Table, source, 0..0, what)
                .hint(headings_hint(wanted))
                .into());
        }
        table.heading_offset = row_start(text, &record);
        table.read_headings(&record, wanted)?;
        table.read_rows(&mut reader, &mut record, most_rows)?;
        Ok(table)
    }

    /// Values of a column in SI, if the table has it.
    #[must_use]
    pub fn column(&self, name: &str) -> Option<&[f64]> {
        self.find(name).map(|column| column.si.as_slice())
    }

    /// Takes the values of a column out of the table.
    #[must_use]
    pub fn take(&mut self, name: &str) -> Option<Vec<f64>> {
        let column = self.columns.iter_mut().flatten().find(|column| column.wanted.name == name)?;
        Some(std::mem::take(&mut column.si))
    }

    /// Line of a row (from 0) in the text, from 1.
    #[must_use]
    pub fn line_of(&self, row: usize) -> usize {
        let offset = self.row_offsets.get(row).copied().unwrap_or_default();
        let before = self.source.text.get(..offset).unwrap_or_default();
        1 + before.bytes().filter(|byte| *byte == b'\n').count()
    }

    /// Name of the table for notes.
    #[must_use]
    pub fn name(&self) -> &str {
        self.source.name
    }

    /// Number of rows, the heading not counted.
    #[must_use]
    pub fn row_count(&self) -> usize {
        self.row_offsets.len()
    }

    /// What was taken for granted: separator, decimal mark, units, unused columns.
    #[must_use]
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// A problem with the cell of a row (from 0) and a column.
    #[must_use]
    pub fn cell_problem(&self, row: usize, name: &str, what: String) -> Problem {
        let offset = self.row_offsets.get(row).copied().unwrap_or_default();
        let index =
            self.columns.iter().position(|c| c.as_ref().is_some_and(|c| c.wanted.name == name));
        self.problem_at(offset, index.unwrap_or_default(), what)
    }

    /// The cell of a row (from 0) and a column with its unit: `500 km/h`.
    #[must_use]
    pub fn as_written(&self, row: usize, name: &str) -> String {
        let unit = self.find(name).map_or("", |column| column.unit.name);
        let value = self.cell_problem(row, name, String::new()).value;
        format!("{value} {unit}").trim().to_owned()
    }

    /// An SI value in the unit of a column, to four digits.
    #[must_use]
    pub fn in_its_unit(&self, name: &str, si: f64) -> String {
        let Some(unit) = self.find(name).map(|column| column.unit) else { return si.to_string() };
        let value = unit.value_of(si);
        let value: f64 = format!("{value:.3e}").parse().unwrap_or(value);
        format!("{value} {}", unit.name).trim_end().to_owned()
    }

    /// A problem with the table as a whole, shown at its heading.
    #[must_use]
    pub fn table_problem(&self, what: String) -> Problem {
        let (text, start) = (self.source.text, self.heading_offset);
        let end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        Problem::at(ProblemKind::Table, self.source, start..end, what)
    }

    fn find(&self, name: &str) -> Option<&Column> {
        self.columns.iter().flatten().find(|column| column.wanted.name == name)
    }

    fn problem_at(&self, row_offset: usize, index: usize, what: String) -> Problem {
        let span = cell_span(self.source.text, row_offset, index, self.separator);
        let value = self.source.text.get(span.clone()).unwrap_or_default().to_owned();
        let heading =
            self.columns.get(index).and_then(|c| c.as_ref()).map_or("", |c| c.heading.as_str());
        Problem::at(ProblemKind::Table, self.source, span, what).key(heading).value(&value)
    }

    fn read_headings(
        &mut self,
        record: &csv::StringRecord,
        wanted: &[WantedColumn],
    ) -> Result<(), Report> {
        let offset = self.heading_offset;
        let mut report = Report::default();
        let mut unused = Vec::new();
        for (index, text) in record.iter().enumerate() {
            let (stem, unit) = heading(text);
            let Some(want) = wanted.iter().find(|want| want.name == stem) else {
                unused.push(printable(text));
                self.columns.push(None);
                continue;
            };
            let twice = self.find(want.name).is_some();
            let column = match unit {
                _ if twice => Err(format!("there are two columns `{}`", want.name)),
                Some(unit) if unit.dimension == want.dimension => Ok(unit),
                Some(unit) => Err(format!(
                    "`{}` is {}, and a column of {} is wanted",
                    printable(text),
                    unit.dimension.words(),
                    want.dimension.words().trim_start_matches("a ").trim_start_matches("an ")
                )),
                None => Err(format!("the heading `{}` does not say its unit", printable(text))),
            };
            match column {
                Ok(unit) => self.columns.push(Some(Column {
                    wanted: *want,
                    heading: text.to_owned(),
                    unit,
                    si: Vec::new(),
                })),
                Err(what) => {
                    self.columns.push(None);
                    let hint = if twice {
                        "leave one of them out".to_owned()
                    } else {
                        format!("write it as {}", want.example)
                    };
                    report.push(self.problem_at(offset, index, what).hint(hint));
                }
            }
        }
        let missing: Vec<&WantedColumn> =
            wanted.iter().filter(|want| want.needed && self.find(want.name).is_none()).collect();
        if report.is_empty() && !missing.is_empty() {
            report.push(self.missing_columns(record, &missing, wanted));
        }
        if !report.is_empty() {
            return Err(report);
        }
        self.note_headings(&unused);
        Ok(())
    }

    fn missing_columns(
        &self,
        record: &csv::StringRecord,
        missing: &[&WantedColumn],
        wanted: &[WantedColumn],
    ) -> Problem {
        let numbers = record.iter().any(|cell| cell.parse::<f64>().is_ok());
        let names =
            missing.iter().map(|want| format!("`{}`", want.example)).collect::<Vec<_>>().join(", ");
        let what = if numbers {
            "the table has no heading: its first row holds numbers".to_owned()
        } else {
            format!("the table has no column {names}")
        };
        self.table_problem(what).hint(headings_hint(wanted))
    }

    fn note_headings(&mut self, unused: &[String]) {
        let name = self.source.name;
        let separator = match self.separator {
            b';' => "semicolons",
            b'\t' => "tabs",
            _ => "commas",
        };
        self.notes.push(format!("{name}: columns parted by {separator}"));
        if !unused.is_empty() {
            let shown = unused.iter().take(MOST_UNUSED).cloned().collect::<Vec<_>>().join(", ");
            let more = if unused.len() > MOST_UNUSED { " and more" } else { "" };
            self.notes.push(format!("{name}: not used: {shown}{more}"));
        }
    }

    fn read_rows(
        &mut self,
        reader: &mut csv::Reader<&[u8]>,
        record: &mut csv::StringRecord,
        most_rows: usize,
    ) -> Result<(), Report> {
        let mut report = Report::default();
        let mut mark =
            if self.separator == b',' { DecimalMark::Point } else { DecimalMark::Unknown };
        // The text is valid UTF-8 and rows may have any length, so reading a record cannot fail.
        while matches!(reader.read_record(record), Ok(true))
            && report.problems().len() < MOST_CELL_ERRORS
        {
            if record.iter().all(str::is_empty) {
                continue;
            }
            let offset = row_start(self.source.text, record);
            if self.row_offsets.len() == most_rows {
                let what = format!("the table has more than {most_rows} rows");
                report.push(self.problem_at(offset, 0, what).hint("thin the table out"));
                break;
            }
            self.row_offsets.push(offset);
            self.read_row(record, offset, &mut mark, &mut report);
        }
        if report.is_empty() && self.row_offsets.is_empty() {
            let problem = self.table_problem("the table has a heading and no rows".to_owned());
            report.push(problem.hint("at least one row of numbers is wanted"));
        }
        if !report.is_empty() {
            return Err(report);
        }
        let name = self.source.name;
        self.notes.push(match mark {
            DecimalMark::Comma => format!("{name}: commas in numbers are decimal marks"),
            DecimalMark::Point | DecimalMark::Unknown => format!("{name}: decimal points"),
        });
        Ok(())
    }

    fn read_row(
        &mut self,
        record: &csv::StringRecord,
        offset: usize,
        mark: &mut DecimalMark,
        report: &mut Report,
    ) {
        if record.len() > self.columns.len()
            && record.iter().skip(self.columns.len()).any(|cell| !cell.is_empty())
        {
            let what = format!(
                "this row has {} cells, the heading has {}",
                record.len(),
                self.columns.len()
            );
            let hint = "a comma parts the columns: write 6000 for 6,000; decimal commas need \
                        semicolons or tabs between the columns";
            report.push(self.problem_at(offset, self.columns.len(), what).hint(hint));
            return;
        }
        let mut problems = Vec::new();
        for (index, column) in self.columns.iter_mut().enumerate() {
            let Some(column) = column else { continue };
            match record.get(index).map_or(
                Err("the row ends before this column".to_owned()),
                |cell| {
                    if cell.is_empty() && column.wanted.blank {
                        return Ok(f64::NAN);
                    }
                    let si = column.unit.to_si(number(cell, mark)?);
                    // A number can be held and its value in SI not.
                    let too_large = || format!("`{}` is too large", printable(cell));
                    si.is_finite().then_some(si).ok_or_else(too_large)
                },
            ) {
                Ok(si) => column.si.push(si),
                Err(what) => problems.push((index, what)),
            }
        }
        for (index, what) in problems {
            let problem = self.problem_at(offset, index, what);
            report.push(problem.allowed("a number").hint(
                "write plain numbers such as 12.5; leave the whole row out if there is none",
            ));
        }
    }
}

fn headings_hint(wanted: &[WantedColumn]) -> String {
    let (needed, more): (Vec<&WantedColumn>, Vec<&WantedColumn>) =
        wanted.iter().partition(|want| want.needed);
    let list = |columns: &[&WantedColumn]| {
        columns.iter().map(|want| want.example).collect::<Vec<_>>().join(",")
    };
    let mut hint = format!("the first line names the columns: {}", list(&needed));
    if !more.is_empty() {
        hint.push_str(&format!(" (and if you like {})", list(&more)));
    }
    hint
}

#[cfg(test)]
mod tests {
    use super::*;

    const WANTED: &[WantedColumn] = &[
        WantedColumn::needed("speed", Dimension::Speed, "speed_kmh"),
        WantedColumn::extra("grade", Dimension::Ratio, "grade_pct"),
    ];

    fn speeds(text: &str) -> Vec<f64> {
        let table = CsvTable::read("t.csv", text, WANTED, 100).unwrap();
        table.column("speed").unwrap().iter().map(|mps| (mps * 36.0).round() / 10.0).collect()
    }

    fn refused(text: &str) -> String {
        CsvTable::read("t.csv", text, WANTED, 3).unwrap_err().to_string()
    }

    #[test]
    fn separators_marks_and_line_ends() {
        for text in [
            "speed_kmh,grade_pct\n1.5,0\n-2,1\n",
            "\u{feff}speed_kmh,grade_pct\n1.5,0\n-2,1\n",
            "speed_kmh;grade_pct\r\n1.5;0\r\n-2;1\r\n",
            "speed_kmh;grade_pct\n1,5;0\n\u{2212}2;1",
            "# made by hand\n\nspeed_kmh\tgrade_pct\n1,5\t0\n# half way\n\n-2\t1\n;;\n"
                .trim_end_matches(";;\n"),
            "\"Speed (km/h)\", Grade [%]\n\"1.5\" , 0\n -2 ,1\n,\n",
        ] {
            assert_eq!(speeds(text), [1.5, -2.0], "{text}");
        }
    }

    #[test]
    fn what_was_taken_for_granted_is_said() {
        let table = CsvTable::read("t.csv", "speed_kmh;note\n1,5;hello\n", WANTED, 9).unwrap();
        assert_eq!(
            table.notes(),
            [
                "t.csv: columns parted by semicolons",
                "t.csv: not used: note",
                "t.csv: commas in numbers are decimal marks"
            ]
        );
        assert_eq!(table.row_count(), 1);
        assert!(table.column("grade").is_none());
    }

    #[test]
    fn bad_cells_are_shown_in_their_place() {
        let message = refused("# a comment\nspeed_kmh,grade_pct\n# another\n\n1.5,0\nNaN,2 °\n");
        insta::assert_snapshot!(message, @r"
        error: `NaN` is not a number
         --> t.csv:6:1
          |
        6 | NaN,2 °
          | ^^^ allowed is a number
          |
          = help: write plain numbers such as 12.5; leave the whole row out if there is none

        error: `2 °` is not a number
         --> t.csv:6:5
          |
        6 | NaN,2 °
          |     ^^^ allowed is a number
          |
          = help: write plain numbers such as 12.5; leave the whole row out if there is none

        2 errors
        ");
    }

    #[test]
    fn tables_without_use_are_refused() {
        assert!(refused("").contains("is empty"));
        assert!(refused("# only a comment\n").contains("is empty"));
        assert!(refused("speed_kmh\n").contains("a heading and no rows"));
        assert!(refused("1,2\n3,4\n").contains("no heading"));
        assert!(refused("velocity_kmh\n3\n").contains("no column `speed_kmh`"));
        assert!(refused("speed\n3\n").contains("does not say its unit"));
        assert!(refused("speed_rpm\n3\n").contains("is a shaft speed"));
        assert!(refused("speed_kmh,speed_mph\n3,4\n").contains("two columns"));
        assert!(refused("speed_kmh\n1\n2\n3\n4\n").contains("more than 3 rows"));
    }

    #[test]
    fn rows_of_the_wrong_length_and_mixed_marks_are_refused() {
        assert!(refused("speed_kmh,grade_pct\n1,5,0\n").contains("t.csv:2:5"));
        assert!(refused("grade_pct,speed_kmh\n1\n").contains("ends before"));
        assert!(refused("speed_kmh;grade_pct\n1,5;0.5\n").contains("has a point"));
        assert!(refused("speed_kmh;grade_pct\n1.5;0,5\n").contains("has a comma"));
        assert!(refused("speed_kmh;grade_pct\n1.234,5;0\n").contains("thousands"));
        assert!(refused("speed_kmh,grade_pct\n,1\n").contains("empty"));
        assert!(refused("speed_kmh\n1e999\ninf\n0x10\n").contains("3 errors"));
    }

    #[test]
    fn odd_texts_do_not_make_it_panic() {
        let parts = ["\"", "\n", ",", ";", "\r", "#", "speed_kmh", "°", "1", "\t", "\u{feff}"];
        for a in parts {
            for b in parts {
                for c in parts {
                    for d in parts {
                        let text = format!("speed_kmh\n{a}{b}{c}{d}");
                        if let Err(report) = CsvTable::read("t.csv", &text, WANTED, 3) {
                            assert!(!report.to_string().is_empty());
                        }
                    }
                }
            }
        }
    }
}
