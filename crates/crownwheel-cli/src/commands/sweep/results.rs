//! What a sweep leaves in a folder.

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crownwheel_answers::sheets::OptionTable;
use crownwheel_answers::sweep::DecisionBefore;
use crownwheel_answers::{OptionAnswer, SweepAnswer};
use crownwheel_files::input;
use crownwheel_plot::{SweepInput, sweep_files};
use crownwheel_sweep::decision::Decision;
use serde_json::Value;

use super::first_look::Reader;
use super::part::Part;
use crate::outcome::Failure;
use crate::results_folder::{self, Content, EarlierResults};
use crate::staging::StagingFolder;
use crownwheel_answers::build::Job;

/// Name of the page.
pub(super) const PAGE: &str = "report.html";

/// Name of the table of all options.
const OPTIONS: &str = "options.csv";

/// Rows of [`OPTIONS`] that are made together.
const TOGETHER: usize = 512;

/// Where the lines of the first look stand.
pub(super) enum Rows {
    /// Nowhere.
    None,
    /// In one file.
    OfPart(PathBuf, Part),
    /// In so many files.
    OfParts(PathBuf, u32),
}

impl Rows {
    fn readers<'a>(&self, job: &'a Job) -> Result<Vec<Reader<'a>>, Failure> {
        match self {
            Rows::None => Ok(Vec::new()),
            Rows::OfPart(folder, part) => Ok(vec![Reader::of_part(folder, job, *part)?]),
            Rows::OfParts(folder, of) => {
                let part = |number| Reader::of_part(folder, job, Part { number, of: *of });
                (1..=*of).map(part).collect()
            }
        }
    }
}

/// Name of the answer.
const ANSWER: &str = "sweep.json";

/// Largest answer that is read again, bytes.
const LARGEST_ANSWER: u64 = 64 << 20;

/// What was decided when a sweep was last written into a folder. `None`: none was, or somebody changed it.
pub(super) fn before(folder: &Path) -> Option<DecisionBefore> {
    let earlier = EarlierResults::read(folder)?;
    earlier.is_unchanged(folder, ANSWER).then_some(())?;
    let (text, _) = input::read_text(&folder.join(ANSWER), LARGEST_ANSWER).ok()?;
    let then: Value = serde_json::from_str(&text).ok()?;
    let best = then["ranking"].as_array()?.first().and_then(Value::as_str);
    let option = |id: &str| then["options"].as_array()?.iter().find(|option| option["id"] == id);
    Some(DecisionBefore {
        inputs_hash: then["provenance"]["inputs_hash"].as_str()?.to_owned(),
        probability: best.and_then(option).and_then(|it| it["all_demands_probability"].as_f64()),
        best: best.map(str::to_owned),
    })
}

/// The answer as JSON.
pub(super) fn json(answer: &SweepAnswer) -> Result<String, Failure> {
    crownwheel_answers::json::text(answer, answer.units)
        .map_err(|error| Failure::Failed(format!("cannot write the answer as JSON: {error}")))
}

/// Where results go, and which.
pub(super) struct ResultsTarget<'a> {
    pub(super) folder: &'a Path,
    /// Files of somebody else are replaced.
    pub(super) force: bool,
    /// Figures are drawn as PNG too.
    pub(super) png: bool,
}

/// Writes the page, figures, tables, JSON and the table of all options.
pub(super) fn write(
    job: &Job,
    decision: &Decision,
    answer: &SweepAnswer,
    rows: &Rows,
    out: &ResultsTarget<'_>,
) -> Result<(), Failure> {
    let input = SweepInput { answer: answer.clone(), png: out.png };
    let drawn = sweep_files(&input)
        .map_err(|error| Failure::Failed(format!("cannot draw the report: {error}")))?;
    let mut files: Vec<(&str, Content<'_>)> =
        drawn.iter().map(|(name, bytes)| (name.as_str(), Content::Bytes(bytes))).collect();
    let mut staging = StagingFolder::open(out.folder)?;
    let (staged, mut file) = staging.file()?;
    options(job, decision, rows, &mut file, &out.folder.join(OPTIONS))?;
    files.push((OPTIONS, Content::Staged(staged)));
    results_folder::write_contents(staging, out.folder, files, &answer.provenance, out.force)
}

/// Refuses a folder before hours are spent on it.
pub(super) fn refuse_foreign(folder: &Path, force: bool) -> Result<(), Failure> {
    if force {
        return Ok(());
    }
    results_folder::refuse_foreign_names(folder, &[PAGE, ANSWER, OPTIONS])
}

/// The table of all options, each with the best that is known of it.
fn options(
    job: &Job,
    decision: &Decision,
    rows: &Rows,
    file: &mut File,
    path: &Path,
) -> Result<(), Failure> {
    let failed = |error: std::io::Error| Failure::file("write", path, &error);
    let mut table = OptionRows { job, table: None, begun: false };
    if decision.gathered().keeps_all() {
        file.write_all(table.rows(&decision.shown()).as_bytes()).map_err(failed)?;
        return Ok(());
    }
    let mut readers = rows.readers(job)?;
    let mut block = Vec::with_capacity(TOGETHER);
    let count = readers.len();
    for turn in (0..count).cycle() {
        // Part K of N holds every N-th option, so that turn by turn they come in their order.
        let Some(looked) = readers[turn].next()? else { break };
        block.push(decision.known_of(&looked));
        if block.len() == TOGETHER {
            file.write_all(table.rows(&block).as_bytes()).map_err(failed)?;
            block.clear();
        }
    }
    file.write_all(table.rows(&block).as_bytes()).map_err(failed)
}

/// A table that is written block by block.
struct OptionRows<'a> {
    job: &'a Job,
    table: Option<OptionTable>,
    begun: bool,
}

impl OptionRows<'_> {
    fn rows(&mut self, options: &[OptionAnswer]) -> String {
        if options.is_empty() && self.begun {
            return String::new();
        }
        let plan = self.job.plan();
        let subject = &self.job.subject;
        let table = self.table.get_or_insert_with(|| {
            let choices = options.first().map_or_else(Vec::new, |option| {
                option.choices.0.iter().map(|(of, _)| Arc::clone(of)).collect()
            });
            let demands = plan.demands.iter().map(|demand| demand.name.clone()).collect();
            OptionTable::new(choices, Arc::clone(plan.course.names()), demands, subject.units)
        });
        let csv = table.of(options.iter()).csv(&subject.provenance);
        let begun = std::mem::replace(&mut self.begun, true);
        if !begun {
            return csv;
        }
        // Only the first block has the comments and the heads of the columns.
        let mut lines = csv.split_inclusive('\n').skip_while(|line| line.starts_with('#'));
        lines.next();
        lines.collect()
    }
}
