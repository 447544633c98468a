//! `[vary]`: keys of the build with the values that each takes.

use std::sync::Arc;

use crate::document::{At, Entry as Part, Node, NodeKind};
use crate::explain;
use crate::keys::{self, KeyRow, NearKey};
use crate::message::{ProblemKind, printable};
use crate::quantity::Spread;
use crate::values::{OneValue, Value};

use super::factor::{Alternative, Factor, label};
use super::range::{self, RANGE_KEYS};
use super::reader::PartReader;

/// What does not belong to the car: options are cars.
const NOT_OF_A_CAR: [&str; 7] =
    ["format", "day", "demand", "hill", "supply", "measured", "speedometer"];

/// Whether a key belongs to the car, so that options may differ in it.
pub(super) fn belongs_to_car(path: &str) -> bool {
    !NOT_OF_A_CAR.contains(&first_name(path))
}

fn first_name(path: &str) -> &str {
    path.split('.').next().unwrap_or_default()
}

/// The varied keys in file order.
pub(super) fn read(reader: &mut PartReader<'_>, part: &Part) -> Vec<Factor> {
    let mut factors = Vec::new();
    let example = "{ driveline.axle.ratio = [3.89, 4.22] }";
    for inner in reader.table("vary", part, example).unwrap_or_default() {
        below(reader, "", inner, &mut factors);
    }
    factors
}

/// The keys at or below a part; names may be dotted or quoted.
fn below(reader: &mut PartReader<'_>, table: &str, part: &Part, factors: &mut Vec<Factor>) {
    if reader.report.is_full() {
        return;
    }
    let path = joined(table, &part.key);
    let row = keys::find(&path);
    if let NodeKind::Table(inner) = &part.node.kind {
        let is_range = inner.iter().any(|entry| RANGE_KEYS.contains(&entry.key.as_str()));
        if keys::is_table(&path) && !(row.is_some() && is_range) {
            for entry in inner {
                below(reader, &path, entry, factors);
            }
            return;
        }
    }
    let Some(row) = row else { return no_such_key(reader, &path, part) };
    if is_of_car(reader, &path, &part.key_at) {
        let entries = entries(reader, &path, row, part);
        if !entries.is_empty() {
            let name = Arc::from(path);
            factors.push(Factor { name, at: part.key_at.clone(), varied: true, entries });
        }
    }
}

/// A path that is no key: a table as a whole, or misspelt.
pub(super) fn no_such_key(reader: &mut PartReader<'_>, path: &str, part: &Part) {
    let problem = if keys::is_table(path) {
        explain::not_a_table(reader.document, path, &part.node.at)
    } else {
        explain::unknown_key(reader.document, path, &NearKey::of(path), &part.key_at)
    };
    reader.report.push(problem);
}

/// Whether a key belongs to the car; else that is said.
pub(super) fn is_of_car(reader: &mut PartReader<'_>, path: &str, at: &At) -> bool {
    let first = first_name(path);
    let of_car = belongs_to_car(path);
    if !of_car {
        let what = format!("`{path}` cannot differ between options: options are cars");
        let hint = if first == "day" {
            "write another [day.NAME] table in the build and name it in `days`"
        } else {
            "change it in the build"
        };
        let problem = reader.document.problem(ProblemKind::DoesNotFit, at, what);
        reader.report.push(problem.key(path).allowed("keys of the car").hint(hint));
    }
    of_car
}

/// The values of a key: a list, or a range.
fn entries(
    reader: &mut PartReader<'_>,
    path: &str,
    row: &'static KeyRow,
    part: &Part,
) -> Vec<Alternative> {
    if let NodeKind::Table(inner) = &part.node.kind {
        return range::read(reader, path, row, inner, part).unwrap_or_default();
    }
    let example = format!("[{}]", row.example);
    let mut entries = Vec::new();
    let mut values: Vec<Value> = Vec::new();
    let items = reader.list(path, &part.node, &example).unwrap_or_default();
    if items.len() > super::MOST_VALUES {
        let what = format!("`{path}` takes {} values", items.len());
        let hint = format!("at most {} are tried", super::MOST_VALUES);
        reader.refuse(ProblemKind::OutOfRange, path, &part.key_at, what, &hint);
        return entries;
    }
    for item in items {
        if reader.report.is_full() {
            break;
        }
        let Some((node, price)) = priced(reader, path, item) else { continue };
        let mut spread = None;
        // Several keys in braces are looked at with the build that they are put into.
        let whole = matches!(node.kind, NodeKind::Table(_)) && keys::is_table(path);
        if !whole {
            match (OneValue { document: reader.document }).read(path, row, node) {
                Ok(value) if values.contains(&value) => {
                    let shown = printable(reader.document.text_at(&node.at));
                    let what = format!("`{path}`: the value {shown} stands twice");
                    let hint = "keep one of the two";
                    reader.refuse(ProblemKind::Conflict, path, &node.at, what, hint);
                    continue;
                }
                Ok(value) => {
                    spread = spread_of(&value);
                    values.push(value);
                }
                Err(mut problem) => {
                    if problem.hint == explain::example(row) {
                        problem.hint = format!("write for example {path} = {example}");
                    }
                    reader.report.push(*problem);
                    continue;
                }
            }
        }
        let label = label(reader.document.text_at(&node.at));
        entries.push(Alternative {
            price,
            spread,
            ..Alternative::of_key(path, &part.key_at, label, node.clone())
        });
    }
    entries
}

/// The number that a value is, with its band.
fn spread_of(value: &Value) -> Option<Spread> {
    match value {
        Value::Number(spread) => Some(*spread),
        Value::Whole(whole) => Some(Spread::exact(f64::from(*whole))),
        _ => None,
    }
}

/// The value and the price of an item: `4.22`, or `{ value = 4.22, price = 180 }`.
fn priced<'n>(
    reader: &mut PartReader<'_>,
    path: &str,
    item: &'n Node,
) -> Option<(&'n Node, Option<f64>)> {
    let NodeKind::Table(inner) = &item.kind else { return Some((item, None)) };
    let Some(value) = inner.iter().find(|entry| entry.key == "value") else {
        return Some((item, None));
    };
    let mut price = None;
    for entry in inner {
        match entry.key.as_str() {
            "value" => {}
            "price" => match reader.value_as(path, "choose.*.price", &entry.node)? {
                Value::Number(number) => price = Some(number.nominal),
                _ => return None,
            },
            other => {
                let what = format!("`{}` is not known beside `value`", printable(other));
                let hint =
                    format!("write {{ value = {}, price = 420 }}", value_text(reader, value));
                reader.refuse(ProblemKind::UnknownKey, path, &entry.key_at, what, &hint);
                return None;
            }
        }
    }
    Some((&value.node, price))
}

fn value_text(reader: &PartReader<'_>, value: &Part) -> String {
    printable(reader.document.text_at(&value.node.at))
}

/// A path and a key below it.
pub(super) fn joined(table: &str, key: &str) -> String {
    if table.is_empty() { key.to_owned() } else { format!("{table}.{key}") }
}
