//! Two builds: in which inputs they differ, and the first with some of the second's inputs.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use crownwheel_quantities::text::OTHER_CONTENTS;

use crate::build::BuildText;
use crate::document::Set;
use crate::input;
use crate::keys::{self, KeyKind};
use crate::values::Values;
use crate::{Build, Report};

/// What differs and may go over from the second build to the first as one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The key or table, or several with commas between.
    pub name: String,
    /// The keys that differ.
    pub keys: Vec<KeyChange>,
    /// Paths that go over: the keys, or the table that only one of the builds has.
    paths: Vec<String>,
}

/// A key that differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeyChange {
    /// Path of the key.
    pub key: String,
    /// As the first build writes it. `None`: it does not.
    pub first: Option<String>,
    /// As the second build writes it. `None`: it does not.
    pub second: Option<String>,
    /// Both name the same file, which holds something else.
    pub other_contents: bool,
}

/// Two builds.
#[derive(Debug)]
pub struct Pair {
    texts: [BuildText; 2],
    /// The first build, as it is.
    pub first: Build,
    /// The second build, as it is.
    pub second: Build,
}

impl Pair {
    /// Reads two builds; `sets` go over the second.
    ///
    /// # Errors
    /// A [`Report`] of everything that is wrong with the first, or else with the second.
    pub fn load(first: &Path, second: &Path, sets: &[Set]) -> Result<Pair, Report> {
        Pair::of(BuildText::open(first, &[])?, BuildText::open(second, sets)?)
    }

    /// Puts two builds side by side.
    ///
    /// # Errors
    /// A [`Report`] of everything that is wrong with the first, or else with the second.
    pub fn of(first: BuildText, second: BuildText) -> Result<Pair, Report> {
        let texts = [first, second];
        let [first, second] = texts.clone().map(BuildText::build);
        Ok(Pair { texts, first: first?, second: second? })
    }

    /// Everything in which the builds differ.
    ///
    /// What may stand by itself in the first build is one change. What may not (a drag area instead
    /// of a coefficient and an area) goes with the others of its table, or else with all others.
    #[must_use]
    pub fn changes(&self) -> Vec<Difference> {
        let (mut alone, mut rest): (Vec<Difference>, Vec<Difference>) =
            self.separate().into_iter().partition(|change| self.with(change).is_ok());
        let mut tables: BTreeMap<String, Vec<Difference>> = BTreeMap::new();
        for change in rest.drain(..) {
            let table = change.name.rsplit_once('.').map_or("", |(table, _)| table);
            tables.entry(table.to_owned()).or_default().push(change);
        }
        for (_, changes) in tables {
            let together = joined(&changes);
            if self.with(&together).is_ok() {
                alone.push(together);
            } else {
                rest.extend(changes);
            }
        }
        if !rest.is_empty() {
            alone.push(joined(&rest));
        }
        alone.sort_by(|a, b| a.name.cmp(&b.name));
        alone
    }

    /// The first build with a change of the second's.
    ///
    /// # Errors
    /// A [`Report`] of why the first build does not stand with this change alone.
    pub fn with(&self, change: &Difference) -> Result<Build, Report> {
        let [first, second] = &self.texts;
        let mut text = first.clone();
        let number = text.document.adopt(&second.document);
        for path in &change.paths {
            match second.document.entry(path) {
                Some(entry) => {
                    let key_at = entry.key_at.adopted(number);
                    text.document.put(path, &key_at, entry.node.adopted(number));
                }
                None => {
                    text.document.take_out(path);
                }
            }
        }
        text.build()
    }

    /// Each key or table that differs, for itself.
    fn separate(&self) -> Vec<Difference> {
        let [first, second] = self.values();
        let keys: BTreeSet<&String> =
            first.iter().chain(second.iter()).map(|(key, _)| key).collect();
        let mut changes: BTreeMap<String, Difference> = BTreeMap::new();
        for key in keys {
            let (mine, theirs) = (first.get(key), second.get(key));
            let same = match (mine, theirs) {
                (Some(mine), Some(theirs)) => mine.value == theirs.value && self.same_file(key),
                _ => false,
            };
            if same {
                continue;
            }
            let path = match (mine, theirs) {
                (Some(_), Some(_)) => key.clone(),
                (Some(_), None) => only_here(key, &second),
                _ => only_here(key, &first),
            };
            let change = changes.entry(path.clone()).or_insert_with(|| Difference {
                name: path.clone(),
                keys: Vec::new(),
                paths: vec![path],
            });
            change.keys.push(self.key_change(key));
        }
        changes.into_values().collect()
    }

    fn key_change(&self, key: &str) -> KeyChange {
        let mut change = KeyChange {
            key: key.to_owned(),
            first: self.first.written.get(key).cloned(),
            second: self.second.written.get(key).cloned(),
            other_contents: false,
        };
        if change.first == change.second
            && let Some(second) = &mut change.second
        {
            second.push_str(OTHER_CONTENTS);
            change.other_contents = true;
        }
        change
    }

    fn values(&self) -> [Values; 2] {
        // Both were read before, and were sound.
        [0, 1].map(|i| Values::read(&self.texts[i].document, &mut Report::default()))
    }

    /// Whether a key that names a table names the same table in both builds.
    fn same_file(&self, key: &str) -> bool {
        let kind = keys::find(key).map(|row| row.kind);
        let table =
            matches!(kind, Some(KeyKind::TableFile | KeyKind::ColdCapacity | KeyKind::Cycle));
        if !table {
            return true;
        }
        let [mine, theirs] = [(0, &self.first), (1, &self.second)].map(|(i, build)| {
            let document = &self.texts[i].document;
            let entry = document.entry(key)?;
            let name = build.written.get(key)?;
            let path = document.file_of(key, &entry.node.at, name);
            let known = build.inputs.iter().find(|input| input.path == path);
            // A cycle is no input of the build: it is read when it is driven.
            let read = || Some(build.provider.read_text(&path, input::LARGEST_TABLE).ok()?.1.bytes);
            known.map(|input| Arc::clone(&input.bytes)).or_else(read)
        });
        mine == theirs
    }
}

/// Several changes as one.
fn joined(changes: &[Difference]) -> Difference {
    Difference {
        name: changes.iter().map(|change| change.name.as_str()).collect::<Vec<_>>().join(", "),
        keys: changes.iter().flat_map(|change| change.keys.clone()).collect(),
        paths: changes.iter().flat_map(|change| change.paths.clone()).collect(),
    }
}

/// The key, or the highest table above it of which the other build has nothing.
fn only_here(key: &str, other: &Values) -> String {
    let tables = key.match_indices('.').map(|(end, _)| &key[..end]);
    let mut free = tables.filter(|table| other.names(table).is_empty());
    free.next().unwrap_or(key).to_owned()
}
