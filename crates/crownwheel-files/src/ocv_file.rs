//! Open-circuit voltage of a cell: `charge_pct,voltage_v`.

use crownwheel::spec::OpenCircuitTable;

use crate::message::Report;
use crate::table_csv::{CsvTable, WantedColumn};
use crate::table_rules;
use crate::units::Dimension;

/// Most rows of a table.
const MOST_ROWS: usize = 10_000;

const WANTED: &[WantedColumn] = &[
    WantedColumn::needed("charge", Dimension::Ratio, "charge_pct"),
    WantedColumn::needed("voltage", Dimension::Voltage, "voltage_v"),
];

/// Reads an open-circuit table; `name` is for messages. The second part of the result is what was
/// taken for granted.
///
/// # Errors
/// A [`Report`] if it is no such table, charge does not rise from 0 to 1, or voltage does not rise.
pub fn parse(name: &str, text: &str) -> Result<(OpenCircuitTable, Vec<String>), Report> {
    let mut table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    table_rules::rising(&table, "charge", "charge")?;
    table_rules::at_least_rows(&table, 2)?;
    table_rules::outside(
        &table,
        "voltage",
        |v| v <= 0.0 || v > 5.0,
        "no cell has this voltage",
        "more than 0 V and at most 5 V",
    )?;
    ends_full(&table)?;
    table_rules::rising(&table, "voltage", "voltage")?;
    let notes = table.notes().to_vec();
    let mut take = |name| table.take(name).unwrap_or_default();
    Ok((OpenCircuitTable { charge_frac: take("charge"), voltage_v: take("voltage") }, notes))
}

fn ends_full(table: &CsvTable<'_>) -> Result<(), Report> {
    let charge = table.column("charge").unwrap_or_default();
    let (Some(first), Some(last)) = (charge.first(), charge.last()) else { return Ok(()) };
    if first.abs() > 1e-9 {
        let what = "the first row is not the empty cell".to_owned();
        return Err(table.cell_problem(0, "charge", what).allowed("0 in the first row").into());
    }
    if (last - 1.0).abs() > 1e-9 {
        let what = "the last row is not the full cell".to_owned();
        let row = charge.len() - 1;
        return Err(table
            .cell_problem(row, "charge", what)
            .allowed("100 % in the last row")
            .into());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_comes_as_fractions() {
        let (table, _) = parse("o.csv", "charge_pct,voltage_v\n0,3.0\n50,3.7\n100,4.2\n").unwrap();
        assert_eq!(table.charge_frac, [0.0, 0.5, 1.0]);
        assert_eq!(table.voltage_v, [3.0, 3.7, 4.2]);
    }

    #[test]
    fn tables_that_cannot_be_are_refused() {
        for (rows, word) in [
            ("0,3\n50,3.5\n", "the full cell"),
            ("10,3\n100,3.5\n", "the empty cell"),
            ("0,3\n50,3.5\n100,3.4\n", "voltage does not rise"),
            ("0,3\n100,42\n", "no cell"),
            ("0,3\n0,3\n100,4\n", "does not rise"),
        ] {
            let report = parse("o.csv", &format!("charge_pct,voltage_v\n{rows}")).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
    }
}
