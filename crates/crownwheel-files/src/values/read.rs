//! From a document to checked values: every key is looked up in the key table and its value read.

mod lists;

use crate::cut_off;
use crate::document::{Document, Entry, Node, NodeKind};
use crate::explain;
use crate::keys::{self, KeyKind, KeyRow, NearKey};
use crate::message::{Problem, ProblemKind, Report, printable};
use crate::quantity::{self, Spread, SpreadKind};
use crate::tyre_mark;
use crate::units::Dimension;
use crate::wind;

use super::{Value, Values, WrittenValue};

/// Longest text, bytes, that may be a slip of a known word.
const LONGEST_WORD: usize = 30;

impl Values {
    /// Reads everything; what is wrong goes into `report`.
    pub(crate) fn read(document: &Document, report: &mut Report) -> Self {
        let mut reader = ValueReader { document, report, values: Self::default() };
        reader.table("", &document.root);
        reader.values
    }
}

struct ValueReader<'a> {
    document: &'a Document,
    report: &'a mut Report,
    values: Values,
}

impl ValueReader<'_> {
    fn table(&mut self, path: &str, entries: &[Entry]) {
        for entry in entries {
            if self.report.is_full() {
                return;
            }
            let child =
                if path.is_empty() { entry.key.clone() } else { format!("{path}.{}", entry.key) };
            if self.name_is_plain(entry, &child) {
                self.values.names.entry(path.to_owned()).or_default().push(entry.key.clone());
                self.entry(&child, entry);
            }
        }
    }

    /// A dot inside a quoted name would make its path ambiguous.
    fn name_is_plain(&mut self, entry: &Entry, path: &str) -> bool {
        let plain = !entry.key.is_empty()
            && entry.key.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-'));
        if !plain {
            let what = format!("`{}` is not a name for a key", printable(&entry.key));
            let problem = self.document.problem(ProblemKind::UnknownKey, &entry.key_at, what);
            let allowed = "letters, digits, `_` and `-`";
            self.report.push(
                problem
                    .key(printable(path))
                    .allowed(allowed)
                    .hint("write front_box for \"front box\""),
            );
        }
        plain
    }

    fn entry(&mut self, path: &str, entry: &Entry) {
        let row = keys::find(path);
        match (&entry.node.kind, row) {
            (NodeKind::Table(inner), Some(row)) if inner.iter().any(|e| e.key == "value") => {
                self.with_source(path, row, inner);
            }
            (NodeKind::Table(inner), _) if keys::is_table(path) => {
                // An inline table or a header: the key names it better than the braces.
                self.values.tables.insert(path.to_owned(), entry.key_at.clone());
                self.table(path, inner);
            }
            (_, Some(row)) => self.value(path, row, &entry.node, None),
            (_, None) if keys::is_table(path) => {
                let problem = explain::not_a_table(self.document, path, &entry.node.at);
                self.report.push(problem);
            }
            _ => {
                let near = NearKey::of(path);
                let problem = explain::unknown_key(self.document, path, &near, &entry.key_at);
                self.values.meant.extend(near.meant());
                self.report.push(problem);
            }
        }
    }

    /// `{ value = "...", from = "..." }`.
    fn with_source(&mut self, path: &str, row: &'static KeyRow, inner: &[Entry]) {
        let mut from = None;
        for entry in inner {
            match (entry.key.as_str(), &entry.node.kind) {
                ("value", _) => {}
                ("from", NodeKind::Text(text)) => from = Some(text.clone()),
                ("from", _) => {
                    let what = format!("`from` of `{path}` is not a text");
                    let problem =
                        self.document.problem(ProblemKind::WrongKind, &entry.node.at, what);
                    self.report.push(problem.key(path).hint("write from = \"coast-down, May\""));
                }
                (other, _) => {
                    let what = format!("`{}` is not known beside `value`", printable(other));
                    let problem =
                        self.document.problem(ProblemKind::UnknownKey, &entry.key_at, what);
                    self.report.push(problem.key(path).allowed("`value` and `from`"));
                }
            }
        }
        for entry in inner.iter().filter(|entry| entry.key == "value") {
            self.value(path, row, &entry.node, from.clone());
        }
    }

    fn value(&mut self, path: &str, row: &'static KeyRow, node: &Node, from: Option<String>) {
        match (OneValue { document: self.document }).read(path, row, node) {
            Ok(value) => {
                let bare = bare(&value, node);
                let value = WrittenValue { value, at: node.at.clone(), from, bare };
                self.values.given.insert(path.to_owned(), value);
            }
            Err(problem) => self.report.push(*problem),
        }
    }
}

/// Reads single values by their rows.
pub(crate) struct OneValue<'d> {
    pub(crate) document: &'d Document,
}

impl OneValue<'_> {
    /// The value of a key, or what is wrong with it.
    pub(crate) fn read(
        &self,
        path: &str,
        row: &KeyRow,
        node: &Node,
    ) -> Result<Value, Box<Problem>> {
        let value = self.of_kind(path, row, node)?;
        match cut_off::refusal(self.document, path, row, &value, &node.at) {
            None => Ok(value),
            Some(problem) => Err(Box::new(problem)),
        }
    }

    /// The same, however much of its band is outside of what is allowed.
    fn of_kind(&self, path: &str, row: &KeyRow, node: &Node) -> Result<Value, Box<Problem>> {
        let refuse = |what: String| {
            let problem = self.document.problem(ProblemKind::WrongKind, &node.at, what);
            let value = self.document.text_at(&node.at);
            Box::new(
                problem.key(path).value(value).allowed(row.allowed()).hint(explain::example(row)),
            )
        };
        let wrong_kind = || refuse(format!("`{path}` is not {}", explain::wanted(row)));
        match (row.kind, &node.kind) {
            (KeyKind::Number(dimension), NodeKind::Text(text)) => {
                self.number(path, row, dimension, text, node)
            }
            (KeyKind::Number(Dimension::Ratio), NodeKind::Number(text)) => {
                self.number(path, row, Dimension::Ratio, text, node)
            }
            (KeyKind::Number(dimension), NodeKind::Number(text)) => Err(Box::new(
                explain::missing_unit(self.document, path, row, dimension, text, &node.at),
            )),
            (KeyKind::Whole, NodeKind::Number(text) | NodeKind::Text(text)) => {
                self.whole(path, row, text, node)
            }
            (KeyKind::Gear, NodeKind::Text(text)) if text == "best" => {
                Ok(Value::Text(text.clone()))
            }
            (KeyKind::Gear, NodeKind::Number(text)) => match self.whole(path, row, text, node)? {
                Value::Whole(0) => Err(refuse(format!("`{path}` is 0: first gear is 1"))),
                gear => Ok(gear),
            },
            (KeyKind::Ratios, NodeKind::List(items)) => self.ratios(path, row, items, node),
            (KeyKind::ColdCapacity, NodeKind::List(items)) => {
                self.cold_rows(path, row, items, node)
            }
            (KeyKind::VoltageAtSpeed, NodeKind::Text(text)) => {
                quantity::parse_voltage_at_speed(text)
                    .map(|si| Value::Number(Spread::exact(si)))
                    .map_err(|error| refuse(format!("`{path}`: {error}")))
            }
            (KeyKind::Flag, NodeKind::Flag(flag)) => Ok(Value::Flag(*flag)),
            (
                KeyKind::Text | KeyKind::TableFile | KeyKind::ColdCapacity | KeyKind::Cycle,
                NodeKind::Text(text),
            ) if !text.trim().is_empty() => Ok(Value::Text(text.clone())),
            (KeyKind::Choice(words), NodeKind::Text(text)) => {
                match words.iter().find(|word| *word == text) {
                    Some(word) => Ok(Value::Text((*word).to_owned())),
                    None => {
                        let problem = refuse(format!("`{path}` cannot be \"{}\"", printable(text)));
                        if let Some(what) = keys::choice_not_modelled(path, text) {
                            return Err(Box::new(
                                problem.hint(format!("{what} is not modelled yet")),
                            ));
                        }
                        Err(match nearest_word(words, text) {
                            Some(word) => {
                                Box::new(problem.hint(format!("did you mean \"{word}\"?")))
                            }
                            None => problem,
                        })
                    }
                }
            }
            (KeyKind::Words(words), NodeKind::List(items)) => {
                let chosen: Option<Vec<String>> =
                    items.iter().map(|item| known_word(words, item)).collect();
                let unknown = items.iter().find(|item| known_word(words, item).is_none());
                chosen.map(Value::Words).ok_or_else(|| match unknown {
                    Some(item) => refuse(format!(
                        "`{path}`: {} is not one of the known words",
                        printable(self.document.text_at(&item.at))
                    )),
                    None => wrong_kind(),
                })
            }
            (KeyKind::TyreMark, NodeKind::Text(text)) => {
                tyre_mark::parse(text).map(Value::Mark).map_err(|error| {
                    let nearest = tyre_mark::nearest(text);
                    let problem = refuse(format!("`{path}`: {error}"));
                    match nearest {
                        Some(mark) => Box::new(problem.hint(format!("did you mean \"{mark}\"?"))),
                        None => problem,
                    }
                })
            }
            (KeyKind::Wind, NodeKind::Text(text)) => wind::parse(text)
                .map(Value::Wind)
                .map_err(|error| refuse(format!("`{path}`: {}", explain::wind(&error)))),
            (KeyKind::PowerLimit, NodeKind::Text(text)) => {
                match quantity::parse_power_limit(text) {
                    // A dead socket is an answer for `charge`, not a fault of the build.
                    Ok(power_w) if power_w >= 0.0 => Ok(Value::Number(Spread::exact(power_w))),
                    Ok(_) => Err(refuse(format!("`{path}` must not be less than nothing"))),
                    Err(error) => Err(refuse(format!("`{path}`: {error}"))),
                }
            }
            _ => Err(wrong_kind()),
        }
    }

    fn number(
        &self,
        path: &str,
        row: &KeyRow,
        dimension: Dimension,
        text: &str,
        node: &Node,
    ) -> Result<Value, Box<Problem>> {
        let spread = quantity::parse(text, dimension).map_err(|error| {
            Box::new(explain::quantity(self.document, path, row, dimension, &error, &node.at))
        })?;
        if !(spread.is_exact() || row.takes_band()) {
            let what = format!("`{path}` cannot be unsure: it is a fact on paper or a choice");
            let problem = self.document.problem(ProblemKind::WrongKind, &node.at, what);
            let problem = problem.key(path).value(text).allowed("one number");
            return Err(Box::new(problem.hint(explain::example(row))));
        }
        let ends = match spread.kind {
            SpreadKind::Uniform { low, high } => [low, high],
            _ => [spread.nominal; 2],
        };
        let allowed = row.range.is_none_or(|range| ends.iter().all(|end| range.allows(*end)));
        if allowed {
            Ok(Value::Number(spread))
        } else {
            Err(Box::new(explain::out_of_range(self.document, path, row, text, &node.at)))
        }
    }

    /// `10.0` is as good as `10`.
    fn whole(
        &self,
        path: &str,
        row: &KeyRow,
        text: &str,
        node: &Node,
    ) -> Result<Value, Box<Problem>> {
        let number = text.trim().parse::<f64>().unwrap_or(f64::NAN);
        if !number.is_finite() || number.fract().abs() > 0.0 {
            let what = format!("`{path}` is not a whole number");
            let problem = self.document.problem(ProblemKind::WrongKind, &node.at, what);
            let problem =
                problem.key(path).value(text).allowed(row.allowed()).hint(explain::example(row));
            return Err(Box::new(problem));
        }
        let allowed = row.range.is_none_or(|range| range.allows(number));
        // Formatting and parsing again is exact for whole numbers, and cannot cut anything off.
        match format!("{number:.0}").parse::<u32>() {
            Ok(whole) if allowed => Ok(Value::Whole(whole)),
            _ => Err(Box::new(explain::out_of_range(self.document, path, row, text, &node.at))),
        }
    }
}

/// The word that looks most like what was written.
fn nearest_word<'w>(words: &[&'w str], text: &str) -> Option<&'w str> {
    let lower = text.trim().to_lowercase();
    // A long text is no slip, and slow to compare.
    if lower.is_empty() || lower.len() > LONGEST_WORD {
        return None;
    }
    let distance = |word: &&str| crownwheel::alike::slips(&word.to_lowercase(), &lower);
    let begins = |word: &&&str| lower.starts_with(&word.to_lowercase());
    // One slip in three letters: short words are all like one another.
    let like = |word: &&&str| 3 * distance(word) <= word.len();
    let slips = || words.iter().filter(like).min_by_key(|word| distance(word));
    words.iter().find(begins).or_else(slips).copied()
}

fn known_word(words: &[&str], item: &Node) -> Option<String> {
    let NodeKind::Text(text) = &item.kind else { return None };
    // No words are known of a list of names.
    (words.is_empty() || words.contains(&text.as_str())).then(|| text.clone())
}
/// A number that stands alone, as it is written.
fn bare(value: &Value, node: &Node) -> Option<String> {
    let (NodeKind::Text(text) | NodeKind::Number(text)) = &node.kind else { return None };
    let Value::Number(spread) = value else { return None };
    let alone = spread.is_exact() && !text.contains(['±', '+']) && !text.contains("..");
    (alone && !text.trim_end().ends_with(quantity::EXACTLY.trim_start())).then(|| text.clone())
}
