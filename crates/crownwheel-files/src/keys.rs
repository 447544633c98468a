//! The one table of the build's keys: what each is, what is allowed, what is assumed without it.
//!
//! It drives reading, the hints for misspelt keys, the list of assumed values and the reference
//! that `crownwheel keys` prints; what may be assumed has advice beside it. A `*` in a path stands for a name that the writer chooses.

mod advice;
#[cfg(test)]
mod bands;
mod car;
mod demands;
mod driveline;
mod energy;
mod motor;
mod not_modelled;
mod outside;
mod pack;
mod paths;
mod sweep;
mod tyres;
mod weights;

use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

pub use advice::{Advice, advice};
pub(crate) use not_modelled::choice_not_modelled;
use not_modelled::not_modelled;
pub use not_modelled::search_not_modelled;
pub use paths::nearest;
use paths::starts_with;
pub(crate) use paths::{matches, nearest_of};

use crate::units::{self, Dimension};

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

/// The numbers that are allowed, in `unit`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Lowest.
    pub low: f64,
    /// `low` itself is not allowed.
    pub above_low: bool,
    /// Highest.
    pub high: f64,
    /// Unit of both, a spelling that [`units::find`] knows; `""` for a pure number.
    pub unit: &'static str,
}

impl Limits {
    /// Whether an SI value of `dimension` lies within.
    #[must_use]
    pub fn allow(&self, si: f64, dimension: Dimension) -> bool {
        let Some(unit) = units::find_for(self.unit, dimension) else { return false };
        let (low, high) = (unit.to_si(self.low), unit.to_si(self.high));
        // A limit in °C or km/h is rounded on its way to SI, and so is the value: let both meet.
        let slack = 1e-12 * low.abs().max(high.abs());
        let above = if self.above_low { si > low } else { si >= low - slack };
        above && si <= high + slack
    }
}

impl fmt::Display for Limits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let space = if self.unit.is_empty() { "" } else { " " };
        let unit = self.unit;
        let start = if self.above_low { "more than " } else { "" };
        let middle = if self.above_low { " and at most " } else { " to " };
        write!(f, "{start}{}{space}{unit}{middle}{}{space}{unit}", self.low, self.high)
    }
}

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Need {
    /// It must be there (if its table is).
    Required,
    /// Without it, nothing is assumed.
    Optional,
    /// Without it this value is assumed, and the answer says so.
    Assumed {
        /// The value as it would be written in a build.
        text: &'static str,
        /// Where the value is from.
        source: &'static str,
    },
    /// Without it a value is worked out as `rule` says, and the answer says so.
    Derived {
        /// The rule in words.
        rule: &'static str,
    },
}

/// One key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyRow {
    /// Path, `taken_out.*.mass`.
    pub path: &'static str,
    /// What it is, in words.
    pub words: &'static str,
    /// What may stand after it.
    pub kind: KeyKind,
    /// The numbers that are allowed; `None` for other kinds.
    pub limits: Option<Limits>,
    /// Whether it must be there.
    pub need: Need,
    /// How to write its value, as in TOML.
    pub example: &'static str,
    /// Whether it is an adjustable number: it may be unsure, and sweeps may vary it.
    pub knob: bool,
    /// Whether it may be unsure although it is no adjustable number: its band goes into the number
    /// that it makes.
    pub unsure: bool,
}

impl KeyRow {
    /// Last part of the path.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }

    /// What is allowed, in words, for messages and for the reference.
    #[must_use]
    pub fn allowed(&self) -> String {
        if let Some(limits) = &self.limits {
            return limits.to_string();
        }
        match self.kind {
            KeyKind::Number(dimension) => format!("{} with its unit", dimension.words()),
            KeyKind::Whole => "a whole number".to_owned(),
            KeyKind::Flag => "true or false".to_owned(),
            KeyKind::Text => "a text".to_owned(),
            KeyKind::Choice(words) => one_of(words, "or"),
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

    const fn required(mut self) -> Self {
        self.need = Need::Required;
        self
    }

    const fn assumed(mut self, text: &'static str, source: &'static str) -> Self {
        self.need = Need::Assumed { text, source };
        self
    }

    const fn derived(mut self, rule: &'static str) -> Self {
        self.need = Need::Derived { rule };
        self
    }

    const fn knob(mut self) -> Self {
        self.knob = true;
        self
    }

    const fn unsure(mut self) -> Self {
        self.unsure = true;
        self
    }
}

const COLD_CAPACITY: &str = "the name of a CSV file beside the build, or a list of { temperature, \
capacity }";

/// Every key, in the order of the reference.
pub fn all() -> impl Iterator<Item = &'static KeyRow> {
    FORMAT
        .iter()
        .chain(car::ROWS)
        .chain(weights::ROWS)
        .chain(tyres::ROWS)
        .chain(driveline::ROWS)
        .chain(motor::ROWS)
        .chain(pack::ROWS)
        .chain(energy::ROWS)
        .chain(outside::ROWS)
        .chain(demands::ROWS)
}

/// Every key of a sweep, in the order of the reference. Those of `[vary]` and `set` are a build's.
pub fn of_sweep() -> impl Iterator<Item = &'static KeyRow> {
    sweep::ROWS.iter()
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
pub(crate) enum Near {
    /// What it would be is not modelled yet.
    NotModelled(&'static str),
    /// It stands in this table of two ends, `from` and `to`.
    Ends(String),
    /// The key or table that looks most like it.
    Key(String),
    /// Nothing looks like it.
    Nothing,
}

impl Near {
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
            _ => nearest_of(rows, path).map_or(Self::Nothing, Self::Key),
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
    rows.filter(|row| row.path.contains(&word) || row.words.to_lowercase().contains(&word))
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

const FORMAT: &[KeyRow] =
    &[row("format", "version of the file format", KeyKind::Whole, "1").required()];

const fn row(
    path: &'static str,
    words: &'static str,
    kind: KeyKind,
    example: &'static str,
) -> KeyRow {
    KeyRow {
        path,
        words,
        kind,
        limits: None,
        need: Need::Optional,
        example,
        knob: false,
        unsure: false,
    }
}

const fn number(
    path: &'static str,
    words: &'static str,
    dimension: Dimension,
    limits: Limits,
    example: &'static str,
) -> KeyRow {
    KeyRow { limits: Some(limits), ..row(path, words, KeyKind::Number(dimension), example) }
}

const fn whole(
    path: &'static str,
    words: &'static str,
    low: f64,
    high: f64,
    example: &'static str,
) -> KeyRow {
    KeyRow { limits: Some(from(low, high, "")), ..row(path, words, KeyKind::Whole, example) }
}

const fn from(low: f64, high: f64, unit: &'static str) -> Limits {
    Limits { low, above_low: false, high, unit }
}

const fn over(low: f64, high: f64, unit: &'static str) -> Limits {
    Limits { low, above_low: true, high, unit }
}

/// Named once: the source of every default that no publication settles.
const JUDGEMENT: &str = "engineering judgement";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity;

    #[test]
    fn every_example_and_every_default_is_allowed() {
        for row in all() {
            let KeyKind::Number(dimension) = row.kind else { continue };
            let limits = row.limits.unwrap_or_else(|| panic!("{} has no limits", row.path));
            let mut texts = vec![row.example];
            if let Need::Assumed { text, source } = row.need {
                texts.push(text);
                assert!(!source.is_empty(), "{}", row.path);
            }
            for text in texts {
                let spread = quantity::parse(text.trim_matches('"'), dimension)
                    .unwrap_or_else(|error| panic!("{} = {text}: {error}", row.path));
                assert!(limits.allow(spread.nominal, dimension), "{} = {text}", row.path);
                assert!(
                    row.knob || row.unsure || spread.is_exact(),
                    "{} = {text} is unsure and no knob",
                    row.path
                );
            }
        }
    }

    #[test]
    fn every_path_stands_once_and_has_words() {
        let mut seen = std::collections::BTreeSet::new();
        for row in all() {
            assert!(seen.insert(row.path), "{}", row.path);
            assert!(row.words.len() > 5 && !row.example.is_empty(), "{}", row.path);
            assert!(!row.allowed().is_empty());
        }
        assert!(seen.len() > 120);
    }

    #[test]
    fn names_of_the_writer_stand_for_stars() {
        assert_eq!(find("taken_out.engine.mass").unwrap().path, "taken_out.*.mass");
        assert_eq!(find("motor.max_speed").unwrap().words, "highest permitted motor speed");
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

    #[test]
    fn limits_read_as_words() {
        assert_eq!(over(0.0, 5000.0, "kg").to_string(), "more than 0 kg and at most 5000 kg");
        assert_eq!(from(-60.0, 60.0, "°C").to_string(), "-60 °C to 60 °C");
        assert!(!over(0.0, 1.0, "").allow(0.0, Dimension::Ratio));
        assert!(from(0.0, 1.0, "").allow(0.0, Dimension::Ratio));
    }
}
