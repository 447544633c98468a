//! `{ from, to, step }` and `{ from, to, count }`: evenly spaced values of a key.

use crate::document::{At, Entry as Part, Node, NodeKind};
use crate::explain;
use crate::keys::{KeyKind, KeyRow};
use crate::message::{ProblemKind, printable};
use crate::quantity::{self, Spread};
use crate::units::{self, Dimension, Unit};
use crate::values::{OneValue, Value};

use super::MOST_VALUES;
use super::factor::{Alternative, label};
use super::reader::PartReader;

/// Keys of a range.
pub(super) const RANGE_KEYS: [&str; 4] = ["from", "to", "step", "count"];

/// How far a number of steps may be from a whole one, relative: what typed decimals leave.
const WHOLE_STEPS: f64 = 1e-6;

/// The values of a range, both ends in. `None` if it cannot be read, which is said.
pub(super) fn read(
    reader: &mut PartReader<'_>,
    path: &str,
    row: &'static KeyRow,
    inner: &[Part],
    part: &Part,
) -> Option<Vec<Alternative>> {
    Range { reader, path, row, inner, part }.read()
}

struct Range<'r, 'a> {
    reader: &'r mut PartReader<'a>,
    path: &'r str,
    row: &'static KeyRow,
    inner: &'r [Part],
    part: &'r Part,
}

impl Range<'_, '_> {
    fn read(mut self) -> Option<Vec<Alternative>> {
        if !matches!(self.row.kind, KeyKind::Number(_) | KeyKind::Whole) {
            let what = format!("`{}` takes no range: it is no number", self.path);
            return self.refuse(&self.part.node.at, what, ProblemKind::WrongKind);
        }
        for entry in self.inner {
            if !RANGE_KEYS.contains(&entry.key.as_str()) {
                let what = format!("`{}` is not known in a range", printable(&entry.key));
                return self.refuse(&entry.key_at, what, ProblemKind::UnknownKey);
            }
        }
        let (from, to) = (self.end("from"), self.end("to"));
        let (from, to) = (from?, to?);
        if from >= to {
            let what = format!("`{}`: the range does not rise", self.path);
            return self.refuse(&self.part.node.at, what, ProblemKind::OutOfRange);
        }
        let count = self.count(from, to)?;
        let last = f64::from(count - 1);
        let unit = self.unit()?;
        let mut entries = Vec::new();
        for place in 0..count {
            // Both ends are taken as they are written.
            let share = f64::from(place) / last;
            let value = if place + 1 == count { to } else { from + (to - from) * share };
            let node = self.node(value, unit);
            let label = label(match &node.kind {
                NodeKind::Text(text) | NodeKind::Number(text) => text,
                _ => "",
            });
            let spread = self.spread(&node);
            entries.push(Alternative {
                spread,
                ..Alternative::of_key(self.path, &self.part.key_at, label, node)
            });
        }
        Some(entries)
    }

    fn given(&self, key: &str) -> Option<&Node> {
        self.inner.iter().find(|entry| entry.key == key).map(|entry| &entry.node)
    }

    /// An end of the range in SI.
    fn end(&mut self, key: &str) -> Option<f64> {
        let Some(node) = self.given(key).cloned() else {
            let what = format!("`{}`: the range lacks `{key}`", self.path);
            return self.refuse(&self.part.node.at, what, ProblemKind::MissingKey);
        };
        match (OneValue { document: self.reader.document }).read(self.path, self.row, &node) {
            Ok(Value::Whole(whole)) => Some(f64::from(whole)),
            Ok(Value::Number(Spread { nominal, kind: quantity::SpreadKind::Exact })) => {
                Some(nominal)
            }
            Ok(_) => {
                let what = format!("`{}`: an end of a range cannot be unsure", self.path);
                let hint =
                    "list values with their bands: [\"0.0105 ± 0.0015\", \"0.0115 ± 0.0015\"]";
                self.reader.refuse(ProblemKind::WrongKind, self.path, &node.at, what, hint);
                None
            }
            Err(problem) => {
                self.reader.report.push(*problem);
                None
            }
        }
    }

    /// How many values there are.
    fn count(&mut self, from: f64, to: f64) -> Option<u32> {
        match (self.given("step").cloned(), self.given("count").cloned()) {
            (Some(_), Some(count)) => {
                let what = format!("`{}`: `count` cannot stand beside `step`", self.path);
                self.refuse(&count.at, what, ProblemKind::Conflict)
            }
            (Some(node), None) => {
                let step = self.step(&node)?;
                self.steps((to - from) / step, &node.at)
            }
            (None, Some(node)) => self.counted(from, to, &node),
            (None, None) if self.row.kind == KeyKind::Whole => {
                self.steps(to - from, &self.part.node.at)
            }
            (None, None) => {
                let what = format!("`{}`: the range lacks `step` or `count`", self.path);
                self.refuse(&self.part.node.at, what, ProblemKind::MissingKey)
            }
        }
    }

    /// The step in SI, above 0.
    fn step(&mut self, node: &Node) -> Option<f64> {
        let text = match &node.kind {
            NodeKind::Text(text) | NodeKind::Number(text) => text.as_str(),
            _ => "",
        };
        let dimension = self.dimension();
        // A difference of temperatures is not a temperature.
        let step = match quantity::parse(text, dimension) {
            Ok(step) if step.is_exact() && dimension != Dimension::Temperature => step.nominal,
            Ok(_) => f64::NAN,
            Err(error) => {
                let document = self.reader.document;
                let problem =
                    explain::quantity(document, self.path, self.row, dimension, &error, &node.at);
                self.reader.report.push(problem);
                return None;
            }
        };
        let whole = self.row.kind != KeyKind::Whole || step.fract().abs() <= 0.0;
        if step > 0.0 && whole {
            return Some(step);
        }
        let wanted = if whole { "a number above 0" } else { "a whole number above 0" };
        let what = format!("`{}`: `step` is not {wanted}", self.path);
        self.refuse(&node.at, what, ProblemKind::OutOfRange)
    }

    /// Values of so many steps, which must be a whole number.
    fn steps(&mut self, steps: f64, at: &At) -> Option<u32> {
        let whole = steps.round();
        if (steps - whole).abs() > WHOLE_STEPS * whole.max(1.0) {
            let what = format!("`{}`: {steps:.3} steps lie between both ends", self.path);
            let hint = "both ends are in: choose a step that meets `to`, or give `count`";
            self.reader.refuse(ProblemKind::OutOfRange, self.path, at, what, hint);
            return None;
        }
        self.small_enough(whole + 1.0, at)
    }

    fn counted(&mut self, from: f64, to: f64, node: &Node) -> Option<u32> {
        let count = match &node.kind {
            NodeKind::Number(text) => text.parse().unwrap_or(f64::NAN),
            _ => f64::NAN,
        };
        if !(count >= 2.0 && count.fract().abs() <= 0.0) {
            let what = format!("`{}`: `count` is not a whole number, 2 or more", self.path);
            return self.refuse(&node.at, what, ProblemKind::OutOfRange);
        }
        if self.row.kind == KeyKind::Whole {
            let step = (to - from) / (count - 1.0);
            if (step - step.round()).abs() > WHOLE_STEPS {
                let what = format!("`{}`: {count} values are not all whole numbers", self.path);
                return self.refuse(&node.at, what, ProblemKind::OutOfRange);
            }
        }
        self.small_enough(count, &node.at)
    }

    /// Counted before anything is made.
    fn small_enough(&mut self, count: f64, at: &At) -> Option<u32> {
        let small = format!("{count:.0}").parse::<u32>().ok();
        match small.filter(|count| usize::try_from(*count).is_ok_and(|count| count <= MOST_VALUES))
        {
            Some(count) => Some(count),
            None => {
                let what = format!("`{}`: the range has {count:.0} values", self.path);
                let hint = format!("at most {MOST_VALUES} are tried: take a longer step");
                self.reader.refuse(ProblemKind::OutOfRange, self.path, at, what, &hint);
                None
            }
        }
    }

    fn dimension(&self) -> Dimension {
        match self.row.kind {
            KeyKind::Number(dimension) => dimension,
            _ => Dimension::Ratio,
        }
    }

    /// The unit that `from` is written in.
    fn unit(&self) -> Option<&'static Unit> {
        let text = match self.given("from").map(|node| &node.kind) {
            Some(NodeKind::Text(text)) => text.as_str(),
            _ => "",
        };
        let tail = text.trim().trim_start_matches(|c: char| {
            c.is_ascii_digit() || c.is_whitespace() || matches!(c, '.' | '-' | '+' | '\u{2212}')
        });
        let dimension = self.dimension();
        units::find_for(tail, dimension)
            .or_else(|| units::find_for(units::usual(dimension), dimension))
    }

    /// A value as it would be written in a list, at the place of the range.
    fn node(&self, si: f64, unit: &Unit) -> Node {
        let value = unit.value_of(si);
        // Ten digits: what a person types, without the tail that computing leaves.
        let value: f64 = format!("{value:.9e}").parse().unwrap_or(value);
        let text = if unit.name.is_empty() {
            format!("{value}")
        } else {
            format!("{value} {}", unit.name)
        };
        let kind = if unit.name.is_empty() { NodeKind::Number(text) } else { NodeKind::Text(text) };
        Node { at: self.part.node.at.clone(), kind }
    }

    /// The value that a text of the range comes to.
    fn spread(&self, node: &Node) -> Option<Spread> {
        match (OneValue { document: self.reader.document }).read(self.path, self.row, node) {
            Ok(Value::Number(spread)) => Some(spread),
            Ok(Value::Whole(whole)) => Some(Spread::exact(f64::from(whole))),
            _ => None,
        }
    }

    fn refuse<T>(&mut self, at: &At, what: String, kind: ProblemKind) -> Option<T> {
        let hint = match self.row.kind {
            KeyKind::Whole => "write { from = 7, to = 10 }, or a list: [7, 8, 9, 10]".to_owned(),
            KeyKind::Number(dimension) => {
                let unit = if dimension == Dimension::Ratio { "" } else { units::usual(dimension) };
                let end = |number: &str| {
                    if unit.is_empty() { number.to_owned() } else { format!("\"{number} {unit}\"") }
                };
                format!(
                    "write {{ from = {}, to = {}, count = 5 }}, or `step` in place of `count`",
                    end("3"),
                    end("5")
                )
            }
            _ => format!("write a list: [{}]", self.row.example),
        };
        self.reader.refuse(kind, self.path, at, what, &hint);
        None
    }
}
