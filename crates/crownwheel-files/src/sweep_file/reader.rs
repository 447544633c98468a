//! From the text of a sweep to what it says, before the build is looked at.

use std::sync::Arc;

use crate::document::{At, Document, Entry as Part, Node, NodeKind};
use crate::explain;
use crate::keys::{self, KeyRow, Near};
use crate::message::{Problem, ProblemKind, Report, printable};
use crate::values::{OneValue, Value};

use super::factor::{Change, Factor};
use super::{FORMAT, choose, clash, vary};

/// What a sweep says.
#[derive(Debug)]
pub(super) struct Written {
    pub(super) build: (String, At),
    pub(super) worlds: usize,
    pub(super) seed: u64,
    pub(super) screening: bool,
    pub(super) cycles: Vec<(String, At)>,
    /// `None`: every day of the build.
    pub(super) days: Option<Vec<(String, At)>>,
    pub(super) currency: Option<Arc<str>>,
    pub(super) module_price: Option<f64>,
    pub(super) factors: Vec<Factor>,
    /// Demands that stand in the sweep's own file.
    pub(super) demands: Vec<Change>,
}

/// Reads everything; what is wrong goes into `report`.
pub(super) fn read(document: &Document, report: &mut Report) -> Written {
    let mut reader = Reader { document, report };
    let mut written = Written {
        build: (crate::build::FILE_NAME.to_owned(), At::default()),
        worlds: crownwheel::unsure::USUAL_WORLDS,
        seed: 1,
        screening: true,
        cycles: Vec::new(),
        days: None,
        currency: None,
        module_price: None,
        factors: Vec::new(),
        demands: Vec::new(),
    };
    for part in &document.root {
        if reader.report.is_full() {
            break;
        }
        reader.part(part, &mut written);
    }
    for missing in ["format", "cycles"] {
        if document.root.iter().all(|part| part.key != missing) {
            reader.missing(missing);
        }
    }
    clash::among(document, &written.factors, reader.report);
    written
}

/// Reads parts of the document.
pub(super) struct Reader<'a> {
    pub(super) document: &'a Document,
    pub(super) report: &'a mut Report,
}

impl Reader<'_> {
    fn part(&mut self, part: &Part, written: &mut Written) {
        match part.key.as_str() {
            "format" => self.format(&part.node),
            "build" => {
                if let Some(Value::Text(name)) = self.value("build", &part.node) {
                    written.build = (name, part.node.at.clone());
                }
            }
            "worlds" => {
                if let Some(Value::Whole(worlds)) = self.value("worlds", &part.node) {
                    written.worlds = usize::try_from(worlds).unwrap_or(usize::MAX);
                }
            }
            "seed" => {
                if let Some(Value::Whole(seed)) = self.value("seed", &part.node) {
                    written.seed = u64::from(seed);
                }
            }
            "screening" => {
                if let Some(Value::Flag(flag)) = self.value("screening", &part.node) {
                    written.screening = flag;
                }
            }
            "cycles" => written.cycles = self.texts("cycles", &part.node),
            "days" => written.days = Some(self.texts("days", &part.node)),
            "vary" => written.factors.extend(vary::read(self, part)),
            "choose" => written.factors.extend(choose::read(self, part)),
            "price" => self.price(part, written),
            "demand" => self.demands(part, written),
            _ => self.unknown(&part.key, part),
        }
    }

    fn format(&mut self, node: &Node) {
        if let Some(Value::Whole(format)) = self.value("format", node)
            && format != FORMAT
        {
            let what = format!("this program reads format {FORMAT} of sweeps, not format {format}");
            let hint = format!("a newer version of this program reads format {format}");
            let problem = self.document.problem(ProblemKind::DoesNotFit, &node.at, what);
            let problem = problem.key("format").value(&format.to_string());
            self.report.push(problem.allowed(FORMAT.to_string()).hint(hint));
        }
    }

    fn price(&mut self, part: &Part, written: &mut Written) {
        let Some(entries) = self.table("price", part, "{ currency = \"EUR\", each_module = 310 }")
        else {
            return;
        };
        for entry in entries {
            let path = format!("price.{}", entry.key);
            match entry.key.as_str() {
                "currency" => {
                    if let Some(Value::Text(text)) = self.value(&path, &entry.node) {
                        written.currency = Some(Arc::from(printable(text.trim())));
                    }
                }
                "each_module" => {
                    if let Some(Value::Number(price)) = self.value(&path, &entry.node) {
                        written.module_price = Some(price.nominal);
                    }
                }
                _ => self.unknown(&path, entry),
            }
        }
    }

    /// Demands of the sweep are read with the build, among its own.
    fn demands(&mut self, part: &Part, written: &mut Written) {
        let example = "{ fast_road = { cruise = { speed = \"112 km/h\" } } }";
        for entry in self.table("demand", part, example).unwrap_or_default() {
            if self.is_name(entry, "demand") {
                written.demands.push(Change {
                    path: format!("demand.{}", entry.key),
                    key_at: entry.key_at.clone(),
                    node: entry.node.clone(),
                });
            }
        }
    }

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
        let near = Near::among(keys::of_sweep(), path);
        let problem = explain::unknown_key(self.document, path, &near, &part.key_at);
        self.report.push(match near {
            _ if of_build => problem.hint(format!(
                "`{}` is a key of the build: set it there, or vary it in [vary]",
                printable(path)
            )),
            Near::Nothing => problem.hint(
                "known are format, build, worlds, seed, screening, cycles, days, [vary], \
                 [[choose.NAME]], [price] and [demand.NAME]",
            ),
            _ => problem,
        });
    }

    fn missing(&mut self, path: &str) {
        let Some(row) = row_of(path) else { return };
        let what = format!("`{path}` is missing: {}", row.title);
        let problem = self.document.problem(ProblemKind::MissingKey, &super::top(), what);
        let hint = format!("{} at the top", explain::example(row));
        self.report.push(problem.key(path).hint(hint));
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
fn row_of(path: &str) -> Option<&'static KeyRow> {
    keys::of_sweep().find(|row| keys::matches(row.path, path))
}
