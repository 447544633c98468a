//! Cells of tables: decimal commas and points, separators, quotes, comments.

#![no_main]

use crownwheel_files::table_csv::{CsvTable, WantedColumn};
use crownwheel_files::units::Dimension;
use crownwheel_fuzz::{check_finite, check_report};
use libfuzzer_sys::fuzz_target;

const WANTED: &[WantedColumn] = &[
    WantedColumn::needed("speed", Dimension::Speed, "speed_kmh"),
    WantedColumn::extra("grade", Dimension::Ratio, "grade_pct"),
];

fuzz_target!(|cells: &str| {
    let separator = [',', ';', '\t'][cells.len() % 3];
    let text = format!("speed_kmh{separator}grade_pct\n{cells}");
    match CsvTable::read("t.csv", &text, WANTED, 1000) {
        Ok(table) => {
            assert!(table.row_count() > 0);
            for name in ["speed", "grade"] {
                let column = table.column(name).expect("both are named");
                assert_eq!(column.len(), table.row_count());
                check_finite(name, column);
            }
            let lines = text.bytes().filter(|byte| *byte == b'\n').count() + 1;
            let line = table.line_of(table.row_count() - 1);
            assert!((2..=lines).contains(&line), "line {line} of {lines}");
        }
        Err(report) => check_report(&report),
    }
});
