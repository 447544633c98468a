//! Usable capacity against temperature: `temperature_degc,capacity_pct`.

use crownwheel::spec::ColdCapacityTable;

use crate::message::Report;
use crate::table_csv::{CsvTable, WantedColumn};
use crate::table_rules;
use crate::units::Dimension;

/// Most rows of a table.
const MOST_ROWS: usize = 10_000;

/// Temperatures that a pack may be tested at, K.
pub(crate) const TEMPERATURES_K: std::ops::RangeInclusive<f64> = 213.15..=353.15;
/// The same in words.
pub(crate) const TEMPERATURES: &str = "-60 °C to 80 °C";

const WANTED: &[WantedColumn] = &[
    WantedColumn::needed("temperature", Dimension::Temperature, "temperature_degc"),
    WantedColumn::needed("capacity", Dimension::Ratio, "capacity_pct"),
];

/// Reads a table of usable capacity; `name` is for messages. The second part of the result is what
/// was taken for granted.
///
/// # Errors
/// A [`Report`] if it is no such table, temperature does not rise, or a capacity is not within
/// 0 % and 100 %.
pub fn parse(name: &str, text: &str) -> Result<(ColdCapacityTable, Vec<String>), Report> {
    let mut table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    table_rules::rising(&table, "temperature", "temperature")?;
    table_rules::at_least_rows(&table, 2)?;
    table_rules::outside(
        &table,
        "temperature",
        |temperature_k| !TEMPERATURES_K.contains(&temperature_k),
        "no pack is tested at this temperature",
        TEMPERATURES,
    )?;
    table_rules::outside(
        &table,
        "capacity",
        |share| share <= 0.0 || share > 1.0,
        "no pack has this usable capacity",
        "more than 0 % and at most 100 % of the capacity at 25 °C",
    )?;
    let notes = table.notes().to_vec();
    let mut take = |name| table.take(name).unwrap_or_default();
    let (temperature_k, capacity_frac) = (take("temperature"), take("capacity"));
    Ok((ColdCapacityTable { temperature_k, capacity_frac }, notes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_comes_in_kelvin_and_fractions() {
        let (table, _) = parse("c.csv", "temperature_degf,capacity_pct\n14,82\n77,100\n").unwrap();
        assert!((table.temperature_k[0] - 263.15).abs() < 1e-9);
        assert!((table.capacity_frac[0] - 0.82).abs() < 1e-12);
    }

    #[test]
    fn tables_that_cannot_be_are_refused() {
        for (rows, word) in [
            ("-10,80\n", "two rows"),
            ("25,100\n-10,80\n", "does not rise"),
            ("-10,80\n25,120\n", "c.csv:3:4"),
            ("-274,80\n25,100\n", "-60 °C to 80 °C"),
        ] {
            let text = format!("temperature_degc,capacity_pct\n{rows}");
            let report = parse("c.csv", &text).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
    }
}
