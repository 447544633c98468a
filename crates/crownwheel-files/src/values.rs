//! The checked values of a document, by their paths.

mod read;

use std::collections::{BTreeMap, BTreeSet};

use crate::document::At;
use crate::keys::KeyKind;
use crate::quantity::{self, Spread};
use crate::tyre_mark::TyreMarkText;
use crate::wind::{self, WindText};

pub(crate) use read::OneValue;

/// A value that its row of the key table accepts.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    Number(Spread),
    Whole(u32),
    Flag(bool),
    Text(String),
    Words(Vec<String>),
    Mark(TyreMarkText),
    Wind(WindText),
    Ratios(Vec<f64>),
    /// Temperatures, K, and usable share of capacity.
    ColdRows(Vec<(f64, f64)>),
}

/// A value with its place and where it came from.
#[derive(Clone, Debug)]
pub(crate) struct WrittenValue {
    pub(crate) value: Value,
    pub(crate) at: At,
    pub(crate) from: Option<String>,
    /// A number that is written alone, without a band and without `exactly`, as it is written.
    pub(crate) bare: Option<String>,
}

/// All values of a document by path.
#[derive(Debug, Default)]
pub(crate) struct Values {
    given: BTreeMap<String, WrittenValue>,
    tables: BTreeMap<String, At>,
    names: BTreeMap<String, Vec<String>>,
    meant: BTreeSet<String>,
}

impl Values {
    pub(crate) fn get(&self, path: &str) -> Option<&WrittenValue> {
        self.given.get(path)
    }

    /// Place of a key or table that was written.
    pub(crate) fn place(&self, path: &str) -> Option<&At> {
        self.given.get(path).map(|given| &given.at).or_else(|| self.tables.get(path))
    }

    /// Whether the key was written, and read or refused.
    pub(crate) fn has(&self, path: &str) -> bool {
        self.given.contains_key(path) || self.was_refused(path)
    }

    pub(crate) fn has_table(&self, path: &str) -> bool {
        self.tables.contains_key(path)
    }

    /// Names in a table, in file order.
    pub(crate) fn names(&self, path: &str) -> Vec<String> {
        self.names.get(path).cloned().unwrap_or_default()
    }

    /// Whether the path, or a table that it is in, was written but refused, perhaps under a
    /// misspelt name: then it is not missing.
    pub(crate) fn was_refused(&self, path: &str) -> bool {
        let starts = path.match_indices('.').map(|(at, _)| &path[..at]).chain([path]);
        starts.into_iter().any(|start| {
            let (table, name) = start.rsplit_once('.').unwrap_or(("", start));
            let written =
                self.names.get(table).is_some_and(|names| names.iter().any(|n| n == name));
            let read = self.given.contains_key(start) || self.tables.contains_key(start);
            self.meant.contains(start) || (written && !read)
        })
    }

    /// All values in the order of their paths.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&String, &WrittenValue)> {
        self.given.iter()
    }
}

/// Reads a default of the key table, `15 N ± 10 N`. The tests of the table read every one of them.
pub(crate) fn default_value(kind: KeyKind, text: &str) -> Option<Value> {
    match kind {
        KeyKind::Number(dimension) => quantity::parse(text, dimension).ok().map(Value::Number),
        KeyKind::Wind => wind::parse(text).ok().map(Value::Wind),
        KeyKind::Choice(_) => Some(Value::Text(text.to_owned())),
        KeyKind::Flag => text.parse().ok().map(Value::Flag),
        _ => None,
    }
}
