//! Units that build files may use, against tables of exact factors.

use crownwheel_files::units::{Unit, find};
use crownwheel_testkit::tolerance::ROUNDING_REL;
use crownwheel_testkit::{Table, assert_close};

/// Rows of `units.csv` that no build file needs: volumes, and units of books.
const NOT_A_UNIT_OF_OURS: &[&str] = &["BTU (IT)", "US gallon", "imperial gallon", "inHg (0 degC)"];

/// The spelling of build files for a spelling of the table.
fn ours(spelling: &str) -> &'static Unit {
    let name = match spelling {
        "hp (mechanical)" => "hp",
        "PS (metric hp)" => "PS",
        other => other,
    };
    find(name).unwrap_or_else(|| panic!("no unit {name}"))
}

/// Source: the lines at the head of `units.csv`: definitions of the international yard and pound
/// agreement and of ISO 80000; NIST SP 811 prints the same.
#[test]
fn table_of_units() {
    let table = Table::read(include_str!("../../../data/units.csv"));
    let mut compared = 0;
    for row in table.rows() {
        if NOT_A_UNIT_OF_OURS.contains(&row.text("unit")) {
            assert!(find(row.text("unit")).is_none(), "{row:?} is a unit of ours after all");
            continue;
        }
        let (from, to) = (ours(row.text("unit")), ours(row.text("in")));
        assert_eq!(from.dimension, to.dimension, "{row:?}");
        let factor = to.value_of(from.to_si(1.0));
        assert_close!(factor, row.number("factor"), abs = 0.0, rel = ROUNDING_REL, "{row:?}");
        compared += 1;
    }
    assert_eq!(compared, 13);
}
