//! A table and the JSON of the same answer use the same words for the same values.

use crownwheel_answers::{Cell, Column, RangeAnswer, Table};
use crownwheel_quantities::worth::rounded;
use serde_json::Value;

/// The JSON value at a path with dots.
pub(crate) fn at<'a>(json: &'a Value, path: &str) -> Option<&'a Value> {
    path.split('.').try_fold(json, |value, key| value.get(key))
}

/// Each column's key leads to the same value in the JSON of the row; absent counts as missing.
pub(crate) fn assert_same_words(table: &Table, json_rows: &[&Value]) {
    assert_eq!(table.rows.len(), json_rows.len(), "{}", table.name);
    for (row, json) in table.rows.iter().zip(json_rows) {
        for (Column { key, .. }, cell) in table.columns.iter().zip(row) {
            let value = at(json, key).filter(|value| !value.is_null());
            let same = match cell.bare() {
                Cell::Text(text) => value.and_then(Value::as_str) == Some(text.as_str()),
                Cell::Name(name) => value.and_then(Value::as_str) == Some(name.key()),
                Cell::Number(number) => value.and_then(Value::as_f64) == Some(*number),
                Cell::Estimate { value: number, standard_error } => {
                    value.and_then(Value::as_f64) == Some(rounded(*number, *standard_error))
                }
                Cell::Flag(flag) => value.and_then(Value::as_bool) == Some(*flag),
                Cell::Answer { .. } => false,
                Cell::Missing => value.is_none(),
            };
            assert!(same, "{} {key}: {cell:?} in the table, {value:?} in JSON", table.name);
        }
    }
}

pub(crate) fn items(json: &Value) -> Vec<&Value> {
    json.as_array().expect("a list").iter().collect()
}

/// Every table of a range says the words of its JSON.
pub(crate) fn assert_range_words(range: &RangeAnswer, json: &Value) {
    let results = items(&json["results"]);
    assert_same_words(&range.table(), &results);
    assert_same_words(&range.balance_table(), &results);
    assert_same_words(&range.steady_table(), &items(&json["steady"]));
    let windows: Vec<&Value> = results.into_iter().flat_map(|r| items(&r["windows"])).collect();
    let own = ["quantity", "unit", "window_s", "value"];
    assert_same_words(&range.windows_table().pick(&own), &windows);
}
