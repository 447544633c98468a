//! `[[choose.NAME]]`: things to choose from, each with a name, a price, and the keys that it sets.

use std::sync::Arc;

use crate::document::{Entry as Part, Node, NodeKind};
use crate::keys::{self, NearKey};
use crate::message::{ProblemKind, printable};
use crate::values::{OneValue, Value};

use super::factor::{Alternative, Change, Factor};
use super::reader::PartReader;
use super::vary::{is_of_car, joined, no_such_key};

/// How a group is written.
const EXAMPLE: &str =
    "[[choose.tyres]] with name = \"narrow\" and set.tyres.size = \"145/80 R13 75T\"";

/// The groups in file order.
pub(super) fn read(reader: &mut PartReader<'_>, part: &Part) -> Vec<Factor> {
    let mut factors = Vec::new();
    let NodeKind::Table(groups) = &part.node.kind else {
        let what = "`choose` is a table of groups".to_owned();
        let hint = format!("write {EXAMPLE}");
        reader.refuse(ProblemKind::WrongKind, "choose", &part.node.at, what, &hint);
        return factors;
    };
    for group in groups {
        if reader.report.is_full() {
            break;
        }
        if !reader.is_name(group, "choose") {
            continue;
        }
        let entries = entries(reader, group);
        if !entries.is_empty() {
            let name = Arc::from(group.key.as_str());
            factors.push(Factor { name, at: group.key_at.clone(), varied: false, entries });
        }
    }
    factors
}

fn entries(reader: &mut PartReader<'_>, group: &Part) -> Vec<Alternative> {
    let path = format!("choose.{}", group.key);
    let mut entries: Vec<Alternative> = Vec::new();
    let NodeKind::List(items) = &group.node.kind else {
        let what = format!("`{path}` is not a list of things to choose from");
        let hint = format!("double square brackets, one for each thing: {EXAMPLE}");
        reader.refuse(ProblemKind::WrongKind, &path, &group.key_at, what, &hint);
        return entries;
    };
    if items.is_empty() {
        let what = format!("`{path}` is an empty list: nothing is left to choose");
        let hint = format!("write {EXAMPLE}");
        reader.refuse(ProblemKind::OutOfRange, &path, &group.node.at, what, &hint);
    }
    for item in items {
        if reader.report.is_full() {
            break;
        }
        let Some(entry) = entry(reader, &path, group, item) else { continue };
        if entries.iter().any(|known| known.label == entry.label) {
            let what = format!("`{path}`: the name \"{}\" stands twice", printable(&entry.label));
            let hint = "give each its own name: it is what options are called by";
            reader.refuse(ProblemKind::Conflict, &path, &entry.at, what, hint);
        } else {
            entries.push(entry);
        }
    }
    entries
}

/// One thing to choose. `None` if it has no name that can be read.
fn entry(
    reader: &mut PartReader<'_>,
    path: &str,
    group: &Part,
    item: &Node,
) -> Option<Alternative> {
    let NodeKind::Table(parts) = &item.kind else {
        let what = format!("`{path}`: a thing to choose is a table");
        reader.refuse(ProblemKind::WrongKind, path, &item.at, what, &format!("write {EXAMPLE}"));
        return None;
    };
    let mut entry = Alternative {
        label: Arc::from(""),
        price: None,
        spread: None,
        at: item.at.clone(),
        changes: Vec::new(),
        without: Vec::new(),
    };
    let mut named = false;
    for part in parts {
        let key = format!("{path}.{}", part.key);
        match part.key.as_str() {
            "name" => {
                named = true;
                if let Some(Value::Text(name)) = reader.value(&key, &part.node) {
                    entry.label = Arc::from(super::factor::label(&printable(&name)));
                    entry.at = part.node.at.clone();
                }
            }
            "price" => {
                if let Some(Value::Number(price)) = reader.value(&key, &part.node) {
                    entry.price = Some(price.nominal);
                }
            }
            "set" => {
                let example = "{ tyres.size = \"145/80 R13 75T\" }";
                for inner in reader.table(&key, part, example).unwrap_or_default() {
                    below(reader, "", inner, &mut entry.changes);
                }
            }
            "without" => entry.without = without(reader, &key, &part.node),
            _ => unknown(reader, &key, part),
        }
    }
    if !named {
        let at = parts.first().map_or(&group.key_at, |part| &part.key_at);
        let what = format!("`{path}`: the thing to choose has no name");
        let hint = "write name = \"narrow\": options are called by it";
        let problem = reader.document.problem(ProblemKind::MissingKey, at, what);
        reader.report.push(problem.key(format!("{path}.name")).hint(hint));
    }
    (!entry.label.is_empty()).then_some(entry)
}

/// A key that is none of a thing to choose; perhaps `set.` was forgotten.
fn unknown(reader: &mut PartReader<'_>, path: &str, part: &Part) {
    let of_build = keys::find(&part.key).is_some() || keys::is_table(&part.key);
    if !of_build {
        return reader.unknown(path, part);
    }
    let what = format!("`{}` is a key of the build, not of a choice", printable(&part.key));
    let hint = format!("write set. before it: set.{} = ...", printable(&part.key));
    reader.refuse(ProblemKind::UnknownKey, path, &part.key_at, what, &hint);
}

/// The changes at or below a part; a table that the build does not have is made.
fn below(reader: &mut PartReader<'_>, table: &str, part: &Part, changes: &mut Vec<Change>) {
    if reader.report.is_full() {
        return;
    }
    let path = joined(table, &part.key);
    let row = keys::find(&path);
    match (&part.node.kind, row) {
        (NodeKind::Table(inner), None) if keys::is_table(&path) => {
            for entry in inner {
                below(reader, &path, entry, changes);
            }
        }
        (_, None) => no_such_key(reader, &path, part),
        (kind, Some(row)) => {
            let good = is_of_car(reader, &path, &part.key_at)
                && (matches!(kind, NodeKind::Table(_)) || {
                    let read =
                        (OneValue { document: reader.document }).read(&path, row, &part.node);
                    read.map_err(|problem| reader.report.push(*problem)).is_ok()
                });
            if good {
                let (key_at, node) = (part.key_at.clone(), part.node.clone());
                changes.push(Change { path, key_at, node });
            }
        }
    }
}

/// Keys and tables of the car that a choice goes without.
fn without(
    reader: &mut PartReader<'_>,
    key: &str,
    node: &Node,
) -> Vec<(String, crate::document::At)> {
    let mut paths = reader.texts(key, node);
    paths.retain(|(path, at)| {
        let known = keys::find(path).is_some() || keys::is_table(path);
        if !known {
            let near = NearKey::of(path);
            let problem = crate::explain::unknown_key(reader.document, path, &near, at);
            reader.report.push(problem);
        }
        known && is_of_car(reader, path, at)
    });
    paths
}
