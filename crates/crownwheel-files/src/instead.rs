//! The line that takes the place of an assumed value.

use crate::Build;
use crate::build::Assumption;
use crate::keys::{self, KeyKind, KeyRow};
use crate::values::default_value;

/// A line of a build.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Path of the key, with a name of the build where any may stand.
    pub key: String,
    /// The table that it stands in.
    pub table: String,
    /// Key and value.
    pub line: String,
}

impl Build {
    /// The line to write instead of assuming a value, with the value as `shown` in some units. `None`: it
    /// was worked out from other keys, and would contradict them.
    #[must_use]
    pub fn instead(&self, assumed: &Assumption, shown: &str) -> Option<Line> {
        if assumed.worked_out {
            return None;
        }
        let row = keys::find(&assumed.key)?;
        let key = self.own_path(&assumed.key);
        let (table, name) = key.rsplit_once('.')?;
        let line = format!("{name} = {}", toml(row, shown));
        Some(Line { table: table.to_owned(), line, key })
    }

    /// A path with the first name of the build that lacks the key, in the place of `*`.
    fn own_path(&self, pattern: &str) -> String {
        let Some((table, rest)) = pattern.split_once(".*.") else { return pattern.to_owned() };
        let below =
            self.written.keys().filter_map(|key| key.strip_prefix(table)?.strip_prefix('.'));
        let mut names: Vec<&str> = below.filter_map(|key| Some(key.split_once('.')?.0)).collect();
        if table == "day" && names.is_empty() {
            names.extend(self.days.first().map(|day| &*day.name));
        }
        let path = |name: &str| format!("{table}.{name}.{rest}");
        let lacking = names.iter().find(|name| !self.written.contains_key(&path(name)));
        path(lacking.copied().unwrap_or("NAME"))
    }
}

/// A value as TOML; the example of the row where it cannot be written.
fn toml(row: &KeyRow, value: &str) -> String {
    match row.kind {
        KeyKind::Flag => value.to_owned(),
        kind if default_value(kind, value).is_some() => format!("\"{value}\""),
        _ => row.example.to_owned(),
    }
}
