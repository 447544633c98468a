//! Every key of a build and of a sweep, in the order of the reference.
//!
//! The numbers of a car and of a day are rows of [`crownwheel::keys`]; here stand, by subject, the rows
//! of what is no such number, and what may stand after each. Reading, the hints for misspelt keys, the
//! list of assumed values and the reference that `crownwheel keys` prints come from the rows. A `*` in a
//! path stands for a name that the writer chooses.

#[cfg(test)]
mod bands;
mod car;
mod demands;
mod driveline;
mod energy;
mod model;
mod motor;
mod not_modelled;
mod outside;
mod pack;
mod sweep;
mod tyres;
mod weights;

use std::collections::BTreeMap;
use std::ops::Deref;
use std::sync::LazyLock;

pub(crate) use crownwheel::keys::paths::matches;
use crownwheel::keys::paths::{nearest_of, starts_with};
pub use crownwheel::keys::{Advice, Key, Need, Range};
use crownwheel::keys::{key, subjects};
pub(crate) use not_modelled::choice_not_modelled;
use not_modelled::not_modelled;
pub use not_modelled::search_not_modelled;

use crate::units::Dimension;

/// What may stand after a key.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum KeyKind {
    /// A number with a unit, in quotes, or a pure number if the dimension is a ratio.
    Number(Dimension),
    /// A whole number.
    Whole,
    /// `true` or `false`.
    Flag,
    /// Any text.
    Text,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A list of some of these words.
    Words(&'static [&'static str]),
    /// Name of a table (CSV) beside the build.
    TableFile,
    /// A built-in cycle, or the name of a cycle file beside the build.
    Cycle,
    /// A tyre mark.
    TyreMark,
    /// A wind: speed and direction.
    Wind,
    /// A power, or a voltage times a current.
    PowerLimit,
    /// A list of gear ratios, falling.
    Ratios,
    /// A gear counted from 1, or `best`.
    Gear,
    /// A voltage at a shaft speed.
    VoltageAtSpeed,
    /// Name of a table (CSV) beside the build, or a list of temperatures and capacities.
    ColdCapacity,
    /// Something of a sweep that is not one value: what it is, in words.
    Several(&'static str),
}

/// A key with what may stand after it.
#[derive(Clone, Copy, Debug)]
pub struct KeyRow {
    key: Key,
    /// What may stand after it.
    pub kind: KeyKind,
    /// Whether it may be unsure although it is no adjustable number: its band goes into the number
    /// that it makes.
    pub unsure: bool,
    /// The key that it follows in the reference; without one, the row before it.
    after: Option<&'static str>,
}

impl Deref for KeyRow {
    type Target = Key;

    fn deref(&self) -> &Key {
        &self.key
    }
}

impl From<&Key> for KeyRow {
    fn from(key: &Key) -> Self {
        let dimension = key.range.map_or(Dimension::Ratio, |range| range.unit.dimension);
        let kind = match key.path {
            "day.*.wind" => KeyKind::Wind,
            _ if key.whole => KeyKind::Whole,
            _ => KeyKind::Number(dimension),
        };
        row(kind, *key)
    }
}

impl KeyRow {
    /// The numbers that are allowed; `None` for what is written in another form than a number.
    #[must_use]
    pub fn limits(&self) -> Option<Range> {
        self.range.filter(|_| matches!(self.kind, KeyKind::Number(_) | KeyKind::Whole))
    }

    /// Whether it may be unsure.
    #[must_use]
    pub fn takes_band(&self) -> bool {
        self.unsure || self.is_adjustable()
    }

    /// What is allowed, in words, for messages and for the reference.
    #[must_use]
    pub fn allowed(&self) -> String {
        if let Some(limits) = self.limits() {
            return limits.to_string();
        }
        match self.kind {
            KeyKind::Number(dimension) => format!("{} with its unit", dimension.words()),
            KeyKind::Whole => "a whole number".to_owned(),
            KeyKind::Flag => "true or false".to_owned(),
            KeyKind::Text => "a text".to_owned(),
            KeyKind::Choice(words) => one_of(words, "or"),
            KeyKind::Words([]) => "a list of names".to_owned(),
            KeyKind::Words(words) => format!("a list of {}", one_of(words, "and")),
            KeyKind::TableFile => "the name of a CSV file beside the build".to_owned(),
            KeyKind::Cycle => "a built-in cycle or the name of a cycle file".to_owned(),
            KeyKind::TyreMark => "a tyre mark such as 155/80 R13, 165 R13 or 5.60-13".to_owned(),
            KeyKind::Wind => "calm, or a speed and all round, headwind or tailwind".to_owned(),
            KeyKind::PowerLimit => "a power, or a voltage times a current".to_owned(),
            KeyKind::Ratios => "a list of 1 to 12 ratios that fall from gear to gear".to_owned(),
            KeyKind::Gear => "a gear counted from 1, or \"best\"".to_owned(),
            KeyKind::VoltageAtSpeed => "a voltage at a shaft speed".to_owned(),
            KeyKind::ColdCapacity => COLD_CAPACITY.to_owned(),
            KeyKind::Several(words) => words.to_owned(),
        }
    }

    const fn unsure(mut self) -> Self {
        self.unsure = true;
        self
    }

    const fn after(mut self, path: &'static str) -> Self {
        self.after = Some(path);
        self
    }
}

const COLD_CAPACITY: &str = "the name of a CSV file beside the build, or a list of { temperature, \
capacity }";

/// The rows of a subject that are no numbers of a car or a day, in the order of [`subjects`].
const OTHERS: [&[KeyRow]; 9] = [
    car::ROWS,
    weights::ROWS,
    tyres::ROWS,
    driveline::ROWS,
    motor::ROWS,
    pack::ROWS,
    energy::ROWS,
    outside::ROWS,
    model::ROWS,
];

/// Every key, in the order of the reference.
pub fn all() -> impl Iterator<Item = &'static KeyRow> {
    static ALL: LazyLock<Vec<KeyRow>> = LazyLock::new(|| {
        let of_subject = |(keys, others): (&&[Key], &[KeyRow])| together(keys, others);
        let subjects = subjects().iter().zip(OTHERS).flat_map(of_subject);
        [FORMAT].into_iter().chain(subjects).chain(demands::ROWS.iter().copied()).collect()
    });
    ALL.iter()
}

/// The rows of a subject, each of the others behind the key that it follows.
fn together(keys: &[Key], others: &[KeyRow]) -> Vec<KeyRow> {
    let mut rows: Vec<KeyRow> = keys.iter().map(KeyRow::from).collect();
    let mut place = 0;
    for other in others {
        if let Some(before) = other.after {
            place = rows.iter().position(|row| row.path == before).map_or(rows.len(), |at| at + 1);
        }
        rows.insert(place, *other);
        place += 1;
    }
    rows
}

/// Every key of a sweep, in the order of the reference. Those of `[vary]` and `set` are a build's.
pub fn of_sweep() -> impl Iterator<Item = &'static KeyRow> {
    sweep::ROWS.iter()
}

/// The known key or table that looks most like a path, with the writer's names put in.
#[must_use]
pub fn nearest(path: &str) -> Option<String> {
    nearest_of(all().map(|row| row.path), path)
}

/// What is advised on a key, or on the pattern of a key.
#[must_use]
pub fn advice(path: &str) -> Option<Advice> {
    find(path)?.advice
}

/// The row of a path, `taken_out.engine.mass`.
#[must_use]
pub fn find(path: &str) -> Option<&'static KeyRow> {
    rows_below(path).iter().find(|row| matches(row.path, path)).copied()
}

/// Whether keys stand below this path: it is the path of a table.
#[must_use]
pub fn is_table(path: &str) -> bool {
    rows_below(path).iter().any(|row| starts_with(row.path, path))
}

/// What a path that is no key is near to.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum NearKey {
    /// What it would be is not modelled yet.
    NotModelled(&'static str),
    /// It stands in this table of two ends, `from` and `to`.
    Ends(String),
    /// The key or table that looks most like it.
    Key(String),
    /// Nothing looks like it.
    Nothing,
}

impl NearKey {
    /// Of a path in a build.
    pub(crate) fn of(path: &str) -> Self {
        Self::among(all(), path)
    }

    /// Of a path among these rows.
    pub(crate) fn among(rows: impl Iterator<Item = &'static KeyRow>, path: &str) -> Self {
        if let Some(words) = not_modelled(path) {
            return Self::NotModelled(words);
        }
        match path.rsplit_once('.') {
            Some((table, _)) if has_two_ends(table) => Self::Ends(table.to_owned()),
            _ => nearest_of(rows.map(|row| row.path), path).map_or(Self::Nothing, Self::Key),
        }
    }

    /// The keys that were meant, perhaps.
    pub(crate) fn meant(self) -> Vec<String> {
        match self {
            Self::Key(path) => vec![path],
            Self::Ends(table) => ["from", "to"].map(|end| format!("{table}.{end}")).to_vec(),
            Self::NotModelled(_) | Self::Nothing => Vec::new(),
        }
    }
}

/// Whether a table has two keys, `from` and `to`.
fn has_two_ends(table: &str) -> bool {
    let in_table = |row: &&&KeyRow| {
        row.path.rsplit_once('.').is_some_and(|(pattern, _)| matches(pattern, table))
    };
    rows_below(table).iter().filter(in_table).map(|row| row.name()).eq(["from", "to"])
}

/// The rows whose path begins with the first name of this one. A sweep reads a build thousands of
/// times.
fn rows_below(path: &str) -> &'static [&'static KeyRow] {
    static TABLES: LazyLock<BTreeMap<&str, Vec<&KeyRow>>> = LazyLock::new(|| {
        let mut tables: BTreeMap<&str, Vec<&KeyRow>> = BTreeMap::new();
        for row in all() {
            tables.entry(first_name(row.path)).or_default().push(row);
        }
        tables
    });
    TABLES.get(first_name(path)).map_or(&[], Vec::as_slice)
}

fn first_name(path: &str) -> &str {
    path.split_once('.').map_or(path, |(first, _)| first)
}

/// Keys whose path or words hold `word`; all of them if it is empty.
#[must_use]
pub fn search(word: &str) -> Vec<&'static KeyRow> {
    search_in(all(), word)
}

/// The same among the keys of a sweep.
#[must_use]
pub fn search_sweep(word: &str) -> Vec<&'static KeyRow> {
    search_in(of_sweep(), word)
}

fn search_in(rows: impl Iterator<Item = &'static KeyRow>, word: &str) -> Vec<&'static KeyRow> {
    let word = word.to_lowercase();
    rows.filter(|row| row.path.contains(&word) || row.title.to_lowercase().contains(&word))
        .collect()
}

/// `"a", "b" or "c"`.
fn one_of(words: &[&str], join: &str) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} {join} {last}", first.join(", ")),
    }
}

const FORMAT: KeyRow =
    row(KeyKind::Whole, key("format", "version of the file format").like("1").required());

const fn row(kind: KeyKind, key: Key) -> KeyRow {
    KeyRow { key, kind, unsure: false, after: None }
}

const fn number(key: Key) -> KeyRow {
    let dimension = match key.range {
        Some(range) => range.unit.dimension,
        None => Dimension::Ratio,
    };
    row(KeyKind::Number(dimension), key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity;

    #[test]
    fn every_example_and_every_default_is_allowed() {
        for row in all() {
            let KeyKind::Number(dimension) = row.kind else { continue };
            let limits = row.limits().unwrap_or_else(|| panic!("{} has no limits", row.path));
            let mut texts = vec![row.example];
            if let Need::Assumed { text, source } = row.need {
                texts.push(text);
                assert!(!source.is_empty(), "{}", row.path);
            }
            for text in texts {
                let spread = quantity::parse(text.trim_matches('"'), dimension)
                    .unwrap_or_else(|error| panic!("{} = {text}: {error}", row.path));
                assert!(limits.allows(spread.nominal), "{} = {text}", row.path);
                assert!(
                    row.takes_band() || spread.is_exact(),
                    "{} = {text} is unsure and no knob",
                    row.path
                );
            }
        }
    }

    /// A row that follows a key that nobody knows would stand at the end of its subject.
    #[test]
    fn every_row_follows_a_key_of_its_subject() {
        for (keys, others) in subjects().iter().zip(OTHERS) {
            for after in others.iter().filter_map(|row| row.after) {
                assert!(keys.iter().any(|key| key.path == after), "{after}");
            }
        }
    }

    #[test]
    fn every_value_that_may_be_assumed_has_advice() {
        let assumed = all()
            .filter(|row| matches!(row.need, Need::Assumed { .. } | Need::Derived { .. }))
            .chain([find("tyres.size").unwrap(), find("corner_weights.front_left").unwrap()]);
        for row in assumed {
            let advice = row.advice.unwrap_or_else(|| panic!("{} has none", row.path));
            assert!(advice.matters.len() > 10 && advice.find_out.len() > 10, "{}", row.path);
        }
    }

    #[test]
    fn every_path_stands_once_and_has_words() {
        let mut seen = std::collections::BTreeSet::new();
        for row in all() {
            assert!(seen.insert(row.path), "{}", row.path);
            assert!(row.title.len() > 5 && !row.example.is_empty(), "{}", row.path);
            assert!(!row.allowed().is_empty());
        }
        assert!(seen.len() > 120);
    }

    #[test]
    fn names_of_the_writer_stand_for_stars() {
        assert_eq!(find("taken_out.engine.mass").unwrap().path, "taken_out.*.mass");
        assert_eq!(find("motor.max_speed").unwrap().title, "highest permitted motor speed");
        assert!(find("motor").is_none() && is_table("motor"));
        assert!(is_table("taken_out.anything") && is_table("pack.box.front"));
        assert!(!is_table("motor.max_speed") && !is_table("nonsense"));
    }

    #[test]
    fn the_reference_can_be_searched() {
        assert!(search("grip").len() >= 3);
        assert!(search("").len() == all().count());
        assert!(search("no such word").is_empty());
    }
}
