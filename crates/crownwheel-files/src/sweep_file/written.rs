//! From the text of a sweep to what it says, before the build is looked at.

use std::sync::Arc;

use crate::document::{At, Document, Entry as Part, Node};
use crate::explain;
use crate::message::{ProblemKind, Report, printable};
use crate::values::Value;

use super::factor::{Change, Factor};
use super::reader::{PartReader, row_of};
use super::{FORMAT, choose, clash, vary};

/// What a sweep says.
#[derive(Debug)]
pub(super) struct SweepText {
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
pub(super) fn read(document: &Document, report: &mut Report) -> SweepText {
    let mut reader = PartReader { document, report };
    let mut written = SweepText {
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

impl PartReader<'_> {
    fn part(&mut self, part: &Part, written: &mut SweepText) {
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

    fn price(&mut self, part: &Part, written: &mut SweepText) {
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
    fn demands(&mut self, part: &Part, written: &mut SweepText) {
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

    fn missing(&mut self, path: &str) {
        let Some(row) = row_of(path) else { return };
        let what = format!("`{path}` is missing: {}", row.title);
        let problem = self.document.problem(ProblemKind::MissingKey, &super::top(), what);
        let hint = format!("{} at the top", explain::example(row));
        self.report.push(problem.key(path).hint(hint));
    }
}
