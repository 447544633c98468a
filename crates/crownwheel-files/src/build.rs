//! A build read from its file: the car, the days, and everything that was said about them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use crownwheel::spec::{CarSpec, DaySpec, SpecError};
use crownwheel_quantities::Supply;
use crownwheel_quantities::Warning;
use crownwheel_quantities::text::shown_path;

use crate::assemble::Assembler;
pub use crate::assemble::{Assumption, FileLimits};
use crate::cycle_file::is_builtin_name;
use crate::document::{Document, Set};
use crate::input::{self, InputError, InputFile};
use crate::keys::{self, KeyKind};
use crate::message::{ProblemKind, Report, printable};
use crate::outside::{Demand, Hill, Measurement, Speedometer};
use crate::provider::Files;
use crate::quantity::Spread;
use crate::values::{Value, Values};
use crate::{cabin_part, car_part, cut_off, demands, explain, outside};

/// Name of the build in a folder.
pub const FILE_NAME: &str = "build.toml";
/// The version of the format that this program reads.
pub const FORMAT: u32 = 1;

/// A build, checked.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Build {
    /// The file it was read from.
    pub path: PathBuf,
    /// The car with the nominal value of every number.
    pub car: CarSpec,
    /// Days in file order; at least one, and the first is the default.
    pub days: Vec<DaySpec>,
    /// Hills in file order.
    pub hills: Vec<Hill>,
    /// Supplies to charge from, in file order.
    pub supplies: Vec<Supply>,
    /// What the car must do, in file order.
    pub demands: Vec<Demand>,
    /// Facts measured on the finished car, in file order.
    pub measured: Vec<Measurement>,
    /// What the speedometer belonged to. `None`: not given.
    pub speedometer: Option<Speedometer>,
    /// Unsureness in SI of every number that is unsure, given or assumed, by path.
    pub spreads: BTreeMap<String, Spread>,
    /// Where given values are from, by path: the `from` texts.
    pub provenance: BTreeMap<String, String>,
    /// Every key that is given, with its value as it was written.
    pub written: BTreeMap<String, String>,
    /// Every file that a key names, tables and cycles, by the path of the key.
    pub files: BTreeMap<String, PathBuf>,
    /// Where it was read from, with its tables; cycles are read from there when they are driven.
    pub provider: Files,
    /// Every assumed value.
    pub assumed: Vec<Assumption>,
    /// Every file that was read, the build first.
    pub inputs: Vec<InputFile>,
    /// What was taken for granted while reading tables.
    pub notes: Vec<String>,
    /// What a person should look at: bands that what is allowed cuts off.
    pub warnings: Vec<Warning>,
}

/// Reads the build at `path` (a folder means its `build.toml`), with `sets` put over it.
///
/// # Errors
/// A [`Report`] of everything that is wrong with the build and its tables.
pub fn load(path: &Path, sets: &[Set]) -> Result<Build, Report> {
    load_within(path, sets, FileLimits::default())
}

/// As [`load`], with other limits for the size of files.
///
/// # Errors
/// A [`Report`] of everything that is wrong with the build and its tables.
pub fn load_within(path: &Path, sets: &[Set], limits: FileLimits) -> Result<Build, Report> {
    BuildText::open_within(path, sets, limits, Files::default())?.build()
}

/// A build as a text that was parsed and not looked into: for builds that stand in no file, or whose
/// files were moved, and for [`Pair`](crate::Pair).
#[derive(Clone, Debug)]
pub struct BuildText {
    pub(crate) path: PathBuf,
    file: InputFile,
    limits: FileLimits,
    pub(crate) provider: Files,
    pub(crate) document: Document,
    report: Report,
}

impl BuildText {
    /// Opens the build at `path` (a folder means its `build.toml`), with `sets` put over it.
    ///
    /// # Errors
    /// A [`Report`] of why it cannot be read, or is no TOML.
    pub fn open(path: &Path, sets: &[Set]) -> Result<Self, Report> {
        Self::open_in(Files::default(), path, sets)
    }

    /// The same with the build and its tables from other files than the disk's.
    ///
    /// # Errors
    /// As [`BuildText::open`].
    pub fn open_in(files: Files, path: &Path, sets: &[Set]) -> Result<Self, Report> {
        Self::open_within(path, sets, FileLimits::default(), files)
    }

    /// The same for a build that was kept with its tables and cycles: `files` are those that its keys
    /// name, by the path of the key.
    ///
    /// # Errors
    /// As [`BuildText::open`].
    pub fn kept(
        path: &Path,
        sets: &[Set],
        files: &BTreeMap<String, PathBuf>,
    ) -> Result<Self, Report> {
        let mut text = Self::open(path, sets)?;
        text.document.move_files(files);
        Ok(text)
    }

    /// A build that does not stand in a file: messages name it `name`, and the files that it names are looked for among
    /// `files`, those of the disk in the current folder.
    ///
    /// # Errors
    /// As [`BuildText::open`].
    pub fn given(files: &Files, name: &str, bytes: &[u8], sets: &[Set]) -> Result<Self, Report> {
        let (path, files) = (PathBuf::from(name), files.with_text(name, bytes));
        let limits = FileLimits::default();
        let (text, file) = files.read_text(&path, limits.build_bytes).map_err(|error| {
            let what = format!("cannot read the build from {name}: {error}");
            error.problem(name, what)
        })?;
        Self::parsed(path, text, file, sets, (limits, files))
    }

    pub(crate) fn open_within(
        path: &Path,
        sets: &[Set],
        limits: FileLimits,
        files: Files,
    ) -> Result<Self, Report> {
        let path = if path.is_dir() { path.join(FILE_NAME) } else { path.to_owned() };
        let (text, file) = files.read_text(&path, limits.build_bytes).map_err(|error| {
            let shown = shown_path(&path);
            let what = format!("cannot read the build `{shown}`: {error}");
            let hint = match error {
                InputError::Missing => {
                    "name a build or its folder; `crownwheel new DIR` writes one"
                }
                _ => error.hint(),
            };
            error.problem(&shown, what).hint(hint)
        })?;
        Self::parsed(path, text, file, sets, (limits, files))
    }

    fn parsed(
        path: PathBuf,
        text: String,
        file: InputFile,
        sets: &[Set],
        (limits, provider): (FileLimits, Files),
    ) -> Result<Self, Report> {
        if text.trim().is_empty() {
            return Err(input::empty(&shown_path(&path), "a build").into());
        }
        let mut report = Report::default();
        let document = Document::parse(&path, text, sets, &mut report);
        if report.problems().iter().any(|problem| problem.kind == ProblemKind::Syntax) {
            // After a broken line the rest cannot be told from its consequences.
            report.sort();
            return Err(report);
        }
        Ok(Self { path, file, limits, provider, document, report })
    }

    /// The checked build.
    ///
    /// # Errors
    /// A [`Report`] of everything that is wrong with the build and its tables.
    pub fn build(mut self) -> Result<Build, Report> {
        let (document, report) = (&self.document, &mut self.report);
        let values = Values::read(document, report);
        if report.is_full() {
            report.sort();
            return Err(self.report);
        }
        let written = written(document, &values);
        let warnings = cut_off::warnings(document, &values);
        let files = files(document, &values);
        let mut assembler =
            Assembler::new(document, &values, report, (self.limits, &self.provider));
        check_format(&mut assembler);
        let mut car = car_part::car(&mut assembler);
        let mut days = outside::days(&mut assembler);
        cabin_part::cabin(&mut assembler, &mut car, &mut days);
        let hills = outside::hills(&mut assembler);
        let supplies = outside::supplies(&mut assembler);
        let demands = demands::demands(&mut assembler);
        let measured = outside::measured(&mut assembler);
        let speedometer = outside::speedometer(&mut assembler);
        if assembler.report.is_empty() {
            for error in crownwheel::Car::problems(&car) {
                refuse(&mut assembler, &error);
            }
            for error in days.iter().flat_map(crownwheel::rules::day_problems) {
                refuse(&mut assembler, &error);
            }
        }
        let Assembler { spreads, provenance, assumed, mut inputs, notes, .. } = assembler;
        inputs.insert(0, self.file);
        if !self.report.is_empty() {
            self.report.sort();
            return Err(self.report);
        }
        Ok(Build {
            path: self.path,
            car,
            days,
            hills,
            supplies,
            demands,
            measured,
            speedometer,
            spreads,
            provenance,
            written,
            files,
            provider: self.provider,
            assumed,
            inputs,
            notes,
            warnings,
        })
    }

    /// The car alone, put together and not checked as a whole, and what is unsure about it.
    pub(crate) fn car(&self, document: &Document) -> Result<LooseCar, Report> {
        let mut report = Report::default();
        let values = Values::read(document, &mut report);
        let mut assembler =
            Assembler::new(document, &values, &mut report, (self.limits, &self.provider));
        let car = car_part::car(&mut assembler);
        let Assembler { spreads, inputs, .. } = assembler;
        if !report.is_empty() {
            report.sort();
            return Err(report);
        }
        Ok(LooseCar { car, spreads, inputs })
    }
}

/// Values as they were written, without the quotes of a text.
fn written(document: &Document, values: &Values) -> BTreeMap<String, String> {
    let text = |given: &crate::values::WrittenValue| {
        let text = document.text_at(&given.at);
        let quoted = text.strip_prefix('"').and_then(|text| text.strip_suffix('"'));
        quoted.unwrap_or(text).to_owned()
    };
    values.iter().map(|(path, given)| (path.clone(), text(given))).collect()
}

/// The files that keys name.
fn files(document: &Document, values: &Values) -> BTreeMap<String, PathBuf> {
    let named = values.iter().filter_map(|(path, given)| {
        let Value::Text(name) = &given.value else { return None };
        let is_file = match keys::find(path)?.kind {
            KeyKind::TableFile | KeyKind::ColdCapacity => true,
            KeyKind::Cycle => !is_builtin_name(name),
            _ => false,
        };
        is_file.then(|| (path.clone(), document.file_of(path, &given.at, name)))
    });
    named.collect()
}

/// A car that was put together and not checked as a whole.
#[derive(Clone, Debug)]
pub(crate) struct LooseCar {
    pub(crate) car: CarSpec,
    /// Unsureness in SI of every number that is unsure, by path.
    pub(crate) spreads: BTreeMap<String, Spread>,
    /// The tables that were read.
    pub(crate) inputs: Vec<InputFile>,
}

fn check_format(assembler: &mut Assembler<'_>) {
    if let Some(Value::Whole(format)) = assembler.value("format")
        && format != FORMAT
    {
        let what =
            format!("this program reads format {FORMAT} of build files, not format {format}");
        let hint = format!("a newer version of this program reads format {format}");
        assembler.refuse_value("format", what, &FORMAT.to_string(), &hint);
    }
}

/// Takes a refusal of the core back to the key that it is about.
fn refuse(assembler: &mut Assembler<'_>, error: &SpecError) {
    let at = assembler.nearest_place(error.key());
    let space = if error.unit().is_empty() { "" } else { " " };
    let computed = format!("{}{space}{}", rounded(error.value()), error.unit());
    // What was written is known again; a sum of modules or of loads was not written.
    let written = assembler.values.get(error.key()).filter(|_| error.unit() != "modules");
    let value = written.map_or(computed, |given| {
        assembler.document.text_at(&given.at).trim_matches('"').to_owned()
    });
    let what = match error.key() {
        "taken_out" => format!("an axle of the car would carry {:.1} kg", error.value()),
        "taken_out.*.mass" => format!("the parts of [taken_out] weigh {value} together"),
        key => format!("`{}` is {}, and that does not fit", printable(key), printable(&value)),
    };
    let hint = explain::cure(error.key(), error.unit());
    let problem = assembler.document.problem(ProblemKind::DoesNotFit, &at, what);
    let problem = problem.key(error.key()).value(&value).allowed(error.allowed()).hint(hint);
    assembler.report.push_new(problem);
}

/// A number of a message, without the tail that a conversion leaves.
fn rounded(value: f64) -> f64 {
    format!("{value:.6e}").parse().unwrap_or(value)
}
