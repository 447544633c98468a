//! Reads parts of a sweep's document, and says what is wrong with them.

use crate::document::{At, Document, Entry as Part, Node, NodeKind};
use crate::explain;
use crate::keys::{self, KeyRow, NearKey};
use crate::message::{Problem, ProblemKind, Report, printable};
use crate::values::{OneValue, Value};

/// Reads parts of the document.
pub(super) struct PartReader<'a> {
    pub(super) document: &'a Document,
    pub(super) report: &'a mut Report,
}

impl PartReader<'_> {
    /// The value of a key of the sweep.
    pub(super) fn value(&mut self, path: &str, node: &Node) -> Option<Value> {
        self.value_as(path, path, node)
    }

    /// A value by the row of another key of the sweep.
    pub(super) fn value_as(&mut self, path: &str, like: &str, node: &Node) -> Option<Value> {
        let row = row_of(like)?;
        match (OneValue { document: self.document }).read(path, row, node) {
            Ok(value) => Some(value),
            Err(problem) => {
                self.report.push(*problem);
                None
            }
        }
    }

    /// A list of texts that differ, each with its place.
    pub(super) fn texts(&mut self, path: &str, node: &Node) -> Vec<(String, At)> {
        let Some(row) = row_of(path) else { return Vec::new() };
        let Some(items) = self.list(path, node, row.example) else { return Vec::new() };
        let mut texts: Vec<(String, At)> = Vec::new();
        for item in items {
            if self.report.is_full() {
                break;
            }
            let shown = printable(self.document.text_at(&item.at));
            let text = match &item.kind {
                NodeKind::Text(text) if !text.trim().is_empty() => text.clone(),
                _ => {
                    let what = format!("`{path}`: {shown} is not a name in quotes");
                    let hint = format!("write for example {path} = {}", row.example);
                    self.refuse(ProblemKind::WrongKind, path, &item.at, what, &hint);
                    continue;
                }
            };
            if texts.iter().any(|(known, _)| *known == text) {
                let what = format!("`{path}`: {shown} stands twice");
                self.refuse(ProblemKind::Conflict, path, &item.at, what, "keep one of the two");
            } else {
                texts.push((text, item.at.clone()));
            }
        }
        texts
    }

    /// The items of a list that is not empty.
    pub(super) fn list<'n>(
        &mut self,
        path: &str,
        node: &'n Node,
        example: &str,
    ) -> Option<&'n [Node]> {
        match &node.kind {
            NodeKind::List(items) if items.is_empty() => {
                let what = format!("`{path}` is an empty list: nothing is left to try");
                let hint = format!("write at least one: {path} = {example}");
                self.refuse(ProblemKind::OutOfRange, path, &node.at, what, &hint);
                None
            }
            NodeKind::List(items) => Some(items),
            _ => {
                let what = format!("`{path}` is not a list");
                let hint = format!("write a list, in square brackets: {path} = {example}");
                self.refuse(ProblemKind::WrongKind, path, &node.at, what, &hint);
                None
            }
        }
    }

    /// The entries of a table.
    pub(super) fn table<'n>(
        &mut self,
        path: &str,
        part: &'n Part,
        example: &str,
    ) -> Option<&'n [Part]> {
        match &part.node.kind {
            NodeKind::Table(entries) => Some(entries),
            _ => {
                let what = format!("`{path}` is a table, not a single value");
                let hint = format!("write for example {path} = {example}");
                self.refuse(ProblemKind::WrongKind, path, &part.node.at, what, &hint);
                None
            }
        }
    }

    /// Whether a key is a name that may stand in a path.
    pub(super) fn is_name(&mut self, part: &Part, table: &str) -> bool {
        let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-');
        let good = !part.key.is_empty() && part.key.chars().all(plain);
        if !good {
            let what = format!("`{}` is not a name for a key", printable(&part.key));
            let problem = self.document.problem(ProblemKind::UnknownKey, &part.key_at, what);
            let problem = problem.key(format!("{table}.{}", printable(&part.key)));
            let allowed = "letters, digits, `_` and `-`";
            self.report
                .push(problem.allowed(allowed).hint("write narrow_ones for \"narrow ones\""));
        }
        good
    }

    /// A key that a sweep does not know.
    pub(super) fn unknown(&mut self, path: &str, part: &Part) {
        let of_build = keys::find(path).is_some() || keys::is_table(path);
        let near = NearKey::among(keys::of_sweep(), path);
        let problem = explain::unknown_key(self.document, path, &near, &part.key_at);
        self.report.push(match near {
            _ if of_build => problem.hint(format!(
                "`{}` is a key of the build: set it there, or vary it in [vary]",
                printable(path)
            )),
            NearKey::Nothing => problem.hint(
                "known are format, build, worlds, seed, screening, cycles, days, [vary], \
                 [[choose.NAME]], [price] and [demand.NAME]",
            ),
            _ => problem,
        });
    }

    /// Reports a value.
    pub(super) fn refuse(
        &mut self,
        kind: ProblemKind,
        path: &str,
        at: &At,
        what: String,
        hint: &str,
    ) {
        let problem: Problem = self.document.problem(kind, at, what);
        let value = self.document.text_at(at).to_owned();
        self.report.push(problem.key(path).value(&value).hint(hint));
    }
}

/// The row of a key of the sweep.
pub(super) fn row_of(path: &str) -> Option<&'static KeyRow> {
    keys::of_sweep().find(|row| keys::matches(row.path, path))
}
