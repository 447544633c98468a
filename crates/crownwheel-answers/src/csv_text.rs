//! A table as a CSV file: comment lines with where it comes from, a header of keys, then the rows.
//!
//! Numbers keep all their digits, as in JSON; estimates those that their standard error allows. A text is as a screen
//! shows it, without control characters; a cell that a spreadsheet would take for a formula gets a leading apostrophe.

use std::fmt::Write as _;

use crownwheel_quantities::worth::rounded;

use crate::text::clean;
use crate::{Cell, Provenance, Table, Units};

impl Table {
    /// The CSV file.
    #[must_use]
    pub fn csv(&self, provenance: &Provenance) -> String {
        let mut out = String::new();
        comment(&mut out, "crownwheel", &provenance.program_version);
        comment(&mut out, "inputs", &provenance.inputs_hash);
        if let Some(seed) = provenance.seed {
            comment(&mut out, "seed", &seed.to_string());
        }
        if self.units == Units::Us {
            comment(&mut out, "units", "us");
        }
        comment(&mut out, "table", &self.name);
        let head = self.columns.iter().map(|column| clean(&column.key)).collect();
        let rows = self.rows.iter().map(|row| row.iter().map(field).collect());
        out.push_str(&records(std::iter::once(head).chain(rows)));
        out
    }
}

/// Records as lines of CSV; a record that would look like a comment is quoted.
#[must_use]
#[allow(clippy::missing_panics_doc, reason = "text into memory cannot fail")]
pub fn records(records: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer =
        csv::WriterBuilder::new().flexible(true).comment(Some(b'#')).from_writer(Vec::new());
    for record in records {
        writer.write_record(record).expect("a flexible writer into memory does not fail");
    }
    let bytes = writer.into_inner().expect("flushing into memory does not fail");
    String::from_utf8(bytes).expect("made of strings")
}

fn comment(out: &mut String, name: &str, value: &str) {
    let value = clean(value);
    // Writing to a `String` cannot fail.
    let _ = writeln!(out, "# {name} {value}");
}

fn field(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => defused(&clean(text)),
        Cell::Name(name) => defused(&clean(name.key())),
        Cell::Number(value) => value.to_string(),
        Cell::Estimate { value, standard_error } => rounded(*value, *standard_error).to_string(),
        Cell::Flag(flag) => flag.to_string(),
        Cell::Missing => String::new(),
        Cell::Answer { cell, .. } => field(cell),
    }
}

/// Spreadsheets run a cell that starts with one of these.
fn defused(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '#']) { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use crate::text::clean;
    use crate::{Cell, Provenance, Table, Unit, Units};

    fn csv_of(cells: Vec<Cell>) -> String {
        let table = Table::of("runs", "Runs", Units::Metric, [cells])
            .words("cycle", "cycle", |cells| cells[0].clone())
            .col("range_km", "range", Unit::Km, |cells| cells[1].clone())
            .table();
        let provenance = Provenance {
            program_version: "0.1.0\nx,y".to_owned(),
            inputs_hash: "ab12".to_owned(),
            seed: Some(7),
        };
        table.csv(&provenance)
    }

    #[test]
    fn metadata_comes_first_and_missing_is_empty() {
        assert_eq!(
            csv_of(vec!["udds".into(), Cell::Missing]),
            "# crownwheel 0.1.0\u{fffd}x,y\n# inputs ab12\n# seed 7\n# table runs\ncycle,range_km\nudds,\n"
        );
    }

    #[test]
    fn a_reader_gets_hostile_text_back_defused() {
        for hostile in
            ["=1+1", "+1", "-1", "@x", "#note", "a,\"b\"\nc", "\tx", ";", "a\u{202e}b\u{7}"]
        {
            let text = csv_of(vec![hostile.into(), 1.25.into()]);
            let mut reader =
                csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
            let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
            assert_eq!(rows.len(), 1, "{text}");
            assert!(rows[0][0].trim_start_matches('\'') == clean(hostile), "{text}");
            assert!(!rows[0][0].starts_with(['=', '+', '-', '@', '\t']), "{text}");
            assert!(!text.contains(['\u{202e}', '\u{7}', '\t']), "{text}");
            assert_eq!(&rows[0][1], "1.25");
        }
    }
}
