//! Published values that the library must reproduce, by id and quantity, each with its tolerance.

use crate::{Table, difference_too_large};

/// The index of published values, as text.
const INDEX: &str = include_str!("../../../tests/data/checks-index.csv");

/// One published value.
#[derive(Clone, Debug, PartialEq)]
pub struct ExpectedValue {
    /// Id and quantity, `TYR-01 D`.
    pub name: String,
    /// The value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Allowed absolute difference, in `unit`.
    pub abs: f64,
    /// Allowed difference over the value.
    pub rel: f64,
}

impl ExpectedValue {
    /// Compares a result, given in [`Self::unit`].
    ///
    /// # Panics
    /// When it is outside the published tolerance.
    #[track_caller]
    pub fn check(&self, actual: f64) {
        if let Some(why) = difference_too_large(actual, self.value, self.abs, self.rel) {
            panic!("{} in {}: {why}", self.name, self.unit);
        }
    }
}

/// The published value of a quantity, with its tolerance: `expected("TYR-01", "D")`.
///
/// # Panics
/// When the index has no such number.
#[must_use]
pub fn expected(id: &str, quantity: &str) -> ExpectedValue {
    find(id, quantity, |row| ExpectedValue {
        name: format!("{id} {quantity}"),
        value: row.number("expected"),
        unit: row.text("unit").to_owned(),
        abs: row.maybe_number("tol_abs").unwrap_or(0.0),
        rel: row.maybe_number("tol_rel").unwrap_or(0.0),
    })
}

/// The published words of a quantity that is no number: the classes of a list of tyres.
///
/// # Panics
/// When the index has no such entry.
#[must_use]
pub fn expected_words(id: &str, quantity: &str) -> Vec<String> {
    find(id, quantity, |row| row.text("expected").split_whitespace().map(str::to_owned).collect())
}

/// Every id of the index once, in file order.
#[must_use]
pub fn ids() -> Vec<String> {
    let mut ids: Vec<String> =
        Table::read(INDEX).rows().map(|row| row.text("id").to_owned()).collect();
    ids.dedup();
    ids
}

fn find<T>(id: &str, quantity: &str, pick: impl Fn(crate::table::Row<'_>) -> T) -> T {
    Table::read(INDEX)
        .rows()
        .find(|row| row.text("id") == id && row.text("quantity") == quantity)
        .map_or_else(|| panic!("no {quantity} of {id} among the published values"), pick)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_same_bits;

    #[test]
    fn a_value_comes_with_its_tolerance() {
        let height = expected("TYR-02", "H");
        assert_same_bits!(height.value, 112.75);
        assert_same_bits!(height.abs, 0.005);
        assert_same_bits!(height.rel, 0.0);
        height.check(112.752);
    }

    #[test]
    #[should_panic(expected = "TYR-02 H in mm")]
    fn a_result_outside_the_tolerance_fails() {
        expected("TYR-02", "H").check(112.756);
    }

    #[test]
    fn words_are_split() {
        assert_eq!(expected_words("TYR-05", "classes").len(), 7);
    }

    #[test]
    #[should_panic(expected = "no width of TYR-02")]
    fn an_unknown_quantity_is_named() {
        let _ = expected("TYR-02", "width");
    }

    #[test]
    fn every_id_is_listed_once() {
        let mut sorted = ids();
        sorted.sort();
        sorted.dedup();
        assert_eq!(sorted.len(), ids().len());
        assert!(sorted.len() > 80);
    }
}
