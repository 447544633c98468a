//! A sweep read from its file: the build, its options, and in which days and worlds they are judged.
//!
//! [`load_sweep`] reads `sweep.toml` and the build that it names. What may be varied is every key of
//! the car: a plain number becomes a [`SweptNumber`](crownwheel::space::SweptNumber), so that options are made by
//! setting it; anything else is put together through the build's own keys, one
//! [`Base`](crownwheel::space::Base) for each combination.

mod cars;
mod choose;
mod clash;
mod cycles;
mod factor;
mod range;
mod reader;
mod vary;
mod written;

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel::space::Space;
use crownwheel::unsure::DayModel;
use crownwheel_quantities::text::shown_path;

use crate::build::BuildText;
use crate::document::{At, Document, Set};
use crate::input::{self, InputError, InputFile};
use crate::message::{ProblemKind, Report, printable};
use crate::outside::CycleRef;
use crate::provider::Files;
use crate::{Build, keys};

use written::SweepText;

/// Name of the sweep in a folder.
pub const FILE_NAME: &str = "sweep.toml";
/// The version of the format that this program reads.
pub const FORMAT: u32 = 1;
/// Most cars that are put together through the keys of the build; axes make any number from them.
pub const MOST_BASES: u128 = 20_000;
/// Most values of one key.
pub const MOST_VALUES: usize = 100_000;

/// A cycle that a sweep needs.
#[derive(Clone, Debug)]
pub struct SweepCycle {
    /// Name as written.
    pub name: Arc<str>,
    /// Where it is from.
    pub of: CycleRef,
    /// The cycle.
    pub cycle: Cycle,
    /// The sweep lists it; others are those of demands and measured facts.
    pub listed: bool,
}

/// A sweep, checked.
#[derive(Clone, Debug)]
pub struct SweepBuild {
    /// The file it was read from.
    pub path: PathBuf,
    /// The build that the options start from; its demands hold those of the sweep's own file, too.
    pub build: Build,
    /// The options.
    pub space: Space,
    /// Cycles: those that every option drives, in file order, then those that only demands and
    /// measured facts name.
    pub cycles: Vec<SweepCycle>,
    /// Days that the cycles are driven on, in file order. Other days that demands and facts name are
    /// among [`Build::day_models`].
    pub days: Vec<DayModel>,
    /// Worlds that every option is judged in.
    pub worlds: NonZeroUsize,
    /// Number that all draws depend on.
    pub seed: u64,
    /// All options are looked at in a few worlds first, and only the best in all.
    pub screening: bool,
    /// What all prices are in. `None`: not said.
    pub currency: Option<Arc<str>>,
    /// Every file that was read, the sweep first, then the build.
    pub inputs: Vec<InputFile>,
    /// What was taken for granted.
    pub notes: Vec<String>,
}

/// Reads the sweep at `path` (a folder means its `sweep.toml`). Those of `sets` that name a key of the
/// sweep (`worlds`, `vary.driveline.axle.ratio`) are put over it, all others over its build.
///
/// # Errors
/// A [`Report`] of everything that is wrong with the sweep, its build and their tables.
pub fn load_sweep(path: &Path, sets: &[Set]) -> Result<SweepBuild, Report> {
    let path = if path.is_dir() { path.join(FILE_NAME) } else { path.to_owned() };
    let (text, file) = input::read_text(&path, input::LARGEST_BUILD).map_err(|error| {
        let shown = shown_path(&path);
        let what = format!("cannot read the sweep `{shown}`: {error}");
        let hint = match error {
            InputError::Missing => "name a sweep or its folder; `crownwheel new DIR` writes one",
            _ => error.hint(),
        };
        error.problem(&shown, what).hint(hint)
    })?;
    parsed(path, text, file, sets, Files::default())
}

/// A sweep that stands in no file: `path` is the name that messages give it, and files that it names are looked for
/// beside it, among `files`.
///
/// # Errors
/// As [`load_sweep`].
pub fn load_sweep_text(
    path: &Path,
    text: String,
    sets: &[Set],
    files: Files,
) -> Result<SweepBuild, Report> {
    let file = InputFile { path: path.to_owned(), bytes: text.as_bytes().into() };
    parsed(path.to_owned(), text, file, sets, files)
}

fn parsed(
    path: PathBuf,
    text: String,
    file: InputFile,
    sets: &[Set],
    files: Files,
) -> Result<SweepBuild, Report> {
    let (own, of_build): (Vec<Set>, Vec<Set>) = sets.iter().cloned().partition(is_of_sweep);
    if text.trim().is_empty() {
        return Err(input::empty(&shown_path(&path), "a sweep").into());
    }
    let mut report = Report::default();
    let document = Document::parse(&path, text, &own, &mut report);
    if report.problems().iter().any(|problem| problem.kind == ProblemKind::Syntax) {
        report.sort();
        return Err(report);
    }
    let written = written::read(&document, &mut report);
    Loading { path, file, document: &document, written, report, of_build: &of_build, files }.load()
}

/// Whether a file is a sweep and not a build: it names a build, or what is varied. A file that cannot be
/// read is none.
#[must_use]
pub fn is_sweep(path: &Path) -> bool {
    let text =
        (!path.is_dir()).then(|| input::read_text(path, input::LARGEST_BUILD).ok()).flatten();
    text.is_some_and(|(text, _)| {
        let (table, _) = toml::de::DeTable::parse_recoverable(&text);
        ["build", "vary", "choose"].iter().any(|key| table.get_ref().contains_key(*key))
    })
}

/// Whether a key of a build belongs to the car, so that options may differ in it.
#[must_use]
pub fn is_of_car(path: &str) -> bool {
    vary::belongs_to_car(path)
}

/// Whether an override names a key of the sweep.
fn is_of_sweep(set: &Set) -> bool {
    let first = set.key.split('.').next().unwrap_or_default().trim();
    first != "format" && keys::of_sweep().any(|row| row.path.split('.').next() == Some(first))
}

/// A sweep on its way from text to options.
struct Loading<'d> {
    path: PathBuf,
    file: InputFile,
    document: &'d Document,
    written: SweepText,
    report: Report,
    of_build: &'d [Set],
    files: Files,
}

impl Loading<'_> {
    fn load(mut self) -> Result<SweepBuild, Report> {
        clash::with_sets(self.document, &self.written.factors, self.of_build, &mut self.report);
        let built = self.open_build().and_then(|(text, first)| match text.clone().build() {
            Ok(build) => Some((cars::Stock { text, sweep: first }, build)),
            Err(report) => {
                self.absorb(report);
                None
            }
        });
        let mut cycles =
            cycles::listed(&self.files, self.document, &self.written, &mut self.report);
        let Some((stock, build)) = built else { return Err(self.sorted()) };
        let days = self.days(&build);
        cycles::of_build(&build, &mut cycles, &mut self.report);
        if !self.report.is_empty() {
            return Err(self.sorted());
        }
        let made = stock.space(self.document, &self.written, &mut self.report);
        let Some((space, tables)) = made.filter(|_| self.report.is_empty()) else {
            return Err(self.sorted());
        };
        let mut notes = self.notes_on_price(&build, &space);
        notes.extend(cycles.iter().flat_map(|read| read.notes.iter().cloned()));
        let mut inputs = vec![self.file];
        let of_cycles = cycles.iter().filter_map(|read| read.input.clone());
        for input in build.inputs.iter().cloned().chain(of_cycles).chain(tables) {
            if inputs.iter().all(|known| known.path != input.path) {
                inputs.push(input);
            }
        }
        Ok(SweepBuild {
            path: self.path,
            space,
            cycles: cycles.into_iter().map(|read| read.cycle).collect(),
            days,
            worlds: NonZeroUsize::new(self.written.worlds).unwrap_or(NonZeroUsize::MIN),
            seed: self.written.seed,
            screening: self.written.screening,
            currency: self.written.currency,
            inputs,
            notes,
            build,
        })
    }

    /// The build with the sweep's own demands in it, and the number of the sweep among its sources.
    fn open_build(&mut self) -> Option<(BuildText, usize)> {
        let (name, at) = &self.written.build;
        let path = self.document.folder_of(at).join(name);
        let folder = path.is_dir();
        let file = if folder { path.join(crate::build::FILE_NAME) } else { path.clone() };
        if self.files.look(&file).is_err() {
            let name = printable(name);
            let what = if folder {
                format!("`build`: the folder `{name}` holds no {}", crate::build::FILE_NAME)
            } else {
                format!("`build`: there is no file `{name}`")
            };
            let hint = "check the spelling; a path in a file starts at the folder of that file";
            let problem = self.document.problem(ProblemKind::File, at, what);
            self.report.push(problem.key("build").value(&name).hint(hint));
            return None;
        }
        match BuildText::open_in(self.files.clone(), &path, self.of_build) {
            Ok(mut text) => {
                let first = text.document.adopt(self.document);
                for demand in &self.written.demands {
                    let (at, node) = (demand.key_at.adopted(first), demand.node.adopted(first));
                    text.document.put(&demand.path, &at, node);
                }
                Some((text, first))
            }
            Err(report) => {
                self.absorb(report);
                None
            }
        }
    }

    /// The models of the days that are named, else of all.
    fn days(&mut self, build: &Build) -> Vec<DayModel> {
        let models = build.day_models();
        let Some(names) = &self.written.days else { return models };
        let known: Vec<&str> = models.iter().map(|model| &*model.day.name).collect();
        let mut days = Vec::new();
        for (name, at) in names {
            match models.iter().find(|model| *model.day.name == **name) {
                Some(model) => days.push(model.clone()),
                None => {
                    let what = format!("`days`: the build has no day `{name}`");
                    let hint = "name days of the build: its [day.NAME] tables";
                    let problem = self.document.problem(ProblemKind::DoesNotFit, at, what);
                    let problem = problem.key("days").value(name).allowed(known.join(", "));
                    self.report.push(problem.hint(hint));
                }
            }
        }
        days
    }

    /// A demand on a price that nothing has.
    fn notes_on_price(&self, build: &Build, space: &Space) -> Vec<String> {
        let priced = space.module_price.is_some()
            || self
                .written
                .factors
                .iter()
                .flat_map(|factor| &factor.entries)
                .any(|e| e.price.is_some());
        let asked = |demand: &&crate::outside::Demand| {
            matches!(demand.what, crate::outside::DemandKind::Price { .. }) && !priced
        };
        let note = |demand: &crate::outside::Demand| {
            format!("demand {}: nothing in the sweep has a price", demand.name)
        };
        build.demands.iter().filter(asked).map(note).collect()
    }

    /// Takes over what is wrong with the build.
    fn absorb(&mut self, report: Report) {
        self.report.absorb(report, self.document.source_count(), "build");
    }

    fn sorted(mut self) -> Report {
        self.report.sort();
        self.report
    }
}

/// Where the sweep as a whole is meant.
fn top() -> At {
    At::default()
}
