//! The first look on disk: a line for each option with every digit, so that a run can be stopped and
//! gone on with, and parts be put together.

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use crownwheel_answers::csv_text;
use crownwheel_answers::sweep::{Answers, DemandMet};
use crownwheel_answers::{Band, OptionAnswer};
use crownwheel_sweep::space::named;
use crownwheel_sweep::sweep::Looked;
use csv::StringRecord;

use super::job::Job;
use super::part::Part;
use crate::outcome::{Failure, shown};
use crate::staging::{refuse_unordinary, write_whole};

/// First words of every file of a first look: such a file is ours.
const OURS: &str = "# crownwheel first look";

/// Values of one answer: nominal, three quantiles, their standard error.
const PER_ANSWER: usize = 5;
/// Values of one demand.
const PER_DEMAND: usize = 3;
/// Values before demands and answers, of an option that can be built.
const BEFORE: usize = 7;

/// A file that lines are added to, shared with whoever stops the run.
pub(super) type Shared = Arc<Mutex<File>>;

/// The first look of a part, on its way to a file.
pub(super) struct FirstLook {
    path: PathBuf,
    file: Shared,
}

/// What stands above the lines: whoever goes on must have the same.
fn heading(job: &Job, part: Part) -> String {
    let plan = job.plan();
    let provenance = &job.subject.provenance;
    let mut columns: Vec<String> =
        ["option", "scatter", "reason", "worlds", "all_demands", "all_demands_error", "meets_all"]
            .map(str::to_owned)
            .to_vec();
    for demand in plan.demands {
        let name = &demand.name;
        columns.extend(["probability", "standard_error", "met"].map(|it| format!("{name}.{it}")));
    }
    for name in plan.course.names.iter() {
        let key = name.key();
        let parts = ["nominal", "p10", "p50", "p90", "standard_error"];
        columns.extend(parts.map(|it| format!("{key}.{it}")));
    }
    format!(
        "{OURS}, part {} of {}\n# crownwheel {}\n# inputs {}\n# seed {}\n# options {}, worlds {} of {}\n{}",
        part.number,
        part.of,
        provenance.program_version,
        provenance.inputs_hash,
        plan.worlds.seed(),
        plan.space.len(),
        plan.first_worlds(),
        plan.worlds.count(),
        csv_text::records([columns])
    )
}

impl FirstLook {
    /// A new file, or one that is gone on with: `known` is told of the options that stand there.
    pub(super) fn open(
        folder: &Path,
        job: &Job,
        part: Part,
        (resume, force): (bool, bool),
        known: &mut dyn FnMut(Looked),
    ) -> Result<FirstLook, Failure> {
        let path = folder.join(part.file_name());
        let heading = heading(job, part);
        if path.symlink_metadata().is_ok() {
            refuse_unordinary(&path)?;
            if resume && path.is_symlink() {
                return Err(not_ours(&path));
            }
            if resume {
                return FirstLook::go_on(path, job, part, &heading, known);
            }
            if !force {
                refuse_to_replace(&path, &heading)?;
            }
        }
        // With its heading in it from the beginning: a file without one could not be gone on with.
        write_whole(&path, heading.as_bytes())?;
        FirstLook::at_end(path, heading.len() as u64)
    }

    /// Cuts what is not whole off the end, and goes on behind it.
    fn go_on(
        path: PathBuf,
        job: &Job,
        part: Part,
        heading: &str,
        known: &mut dyn FnMut(Looked),
    ) -> Result<FirstLook, Failure> {
        let mut reader = Reader::open(&path, job, part, heading)?;
        while let Some(looked) = reader.next()? {
            known(looked);
        }
        FirstLook::at_end(path, reader.whole_bytes)
    }

    /// Opens a file to add lines behind these bytes.
    fn at_end(path: PathBuf, bytes: u64) -> Result<FirstLook, Failure> {
        let failed = |error: &std::io::Error| Failure::file("go on with", &path, error);
        let mut file =
            OpenOptions::new().write(true).open(&path).map_err(|error| failed(&error))?;
        file.set_len(bytes).map_err(|error| failed(&error))?;
        file.seek(SeekFrom::End(0)).map_err(|error| failed(&error))?;
        Ok(FirstLook { path, file: Arc::new(Mutex::new(file)) })
    }

    /// The file, for whoever must not stop the run in the middle of a line.
    pub(super) fn shared(&self) -> Shared {
        Arc::clone(&self.file)
    }

    /// Where it stands.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// Adds options, all of their lines at once.
    pub(super) fn add(&self, options: &[Looked]) -> Result<(), Failure> {
        let lines = csv_text::records(options.iter().map(fields));
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let whole = file.stream_position();
        file.write_all(lines.as_bytes()).map_err(|error| {
            // Half a line helps nobody; where it cannot be cut off, whoever goes on does it.
            let _ = whole.and_then(|bytes| file.set_len(bytes));
            Failure::Failed(format!(
                "cannot write `{}`: {error}; what was looked at is kept: make room, and go on with --resume",
                shown(&self.path)
            ))
        })
    }
}

/// A file of somebody else is not touched, and what was looked at is not thrown away.
fn refuse_to_replace(path: &Path, heading: &str) -> Result<(), Failure> {
    let failed = |error: &std::io::Error| Failure::file("read", path, error);
    if path.is_symlink() {
        return Err(not_ours(path));
    }
    let file = File::open(path).map_err(|error| failed(&error))?;
    let long = u64::try_from(heading.len()).unwrap_or(u64::MAX);
    let mut head = Vec::new();
    file.take(long).read_to_end(&mut head).map_err(|error| failed(&error))?;
    if head == heading.as_bytes() {
        return Err(Failure::Usage(format!(
            "`{}` holds a first look at options of this sweep: go on with it with --resume, or begin anew with --force",
            shown(path)
        )));
    }
    if head.starts_with(OURS.as_bytes()) {
        return Ok(());
    }
    Err(not_ours(path))
}

fn not_ours(path: &Path) -> Failure {
    Failure::Failed(format!(
        "nothing was written: this program did not write `{}`; name another folder, or replace it with --force",
        shown(path)
    ))
}

/// Options of a file, one after the other, as long as its lines are whole.
pub(super) struct Reader<'a> {
    job: &'a Job,
    path: PathBuf,
    reader: csv::Reader<File>,
    record: StringRecord,
    wanted: Box<dyn Iterator<Item = u128>>,
    /// Where the lines begin.
    from_byte: u64,
    /// Bytes up to the end of the lines that are whole.
    whole_bytes: u64,
    /// Bytes of the file.
    bytes: u64,
    ends_whole: bool,
}

impl<'a> Reader<'a> {
    /// Opens the file of a part.
    pub(super) fn of_part(folder: &Path, job: &'a Job, part: Part) -> Result<Reader<'a>, Failure> {
        Reader::open(&folder.join(part.file_name()), job, part, &heading(job, part))
    }

    fn open(path: &Path, job: &'a Job, part: Part, heading: &str) -> Result<Reader<'a>, Failure> {
        let failed = |error: &std::io::Error| Failure::file("read", path, error);
        if path.metadata().is_ok_and(|about| !about.is_file()) {
            return Err(Failure::Usage(format!("`{}` is not an ordinary file", shown(path))));
        }
        let mut file = File::open(path).map_err(|error| failed(&error))?;
        let bytes = file.metadata().map_err(|error| failed(&error))?.len();
        let mut head = Vec::new();
        let long = u64::try_from(heading.len()).unwrap_or(u64::MAX);
        Read::by_ref(&mut file)
            .take(long)
            .read_to_end(&mut head)
            .map_err(|error| failed(&error))?;
        if head != heading.as_bytes() {
            return Err(Failure::Usage(format!(
                "`{}` is not of this sweep as it is now (part {} of {}, the same files and settings, the same version of the program): look at its options again, without --resume and with --force",
                shown(path),
                part.number,
                part.of
            )));
        }
        let ends_whole = ends_with_newline(&mut file, bytes).map_err(|error| failed(&error))?;
        file.seek(SeekFrom::Start(long)).map_err(|error| failed(&error))?;
        let reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(file);
        Ok(Reader {
            job,
            path: path.to_owned(),
            reader,
            record: StringRecord::new(),
            wanted: Box::new(part.options(job.sweep.space.len())),
            from_byte: long,
            whole_bytes: long,
            bytes,
            ends_whole,
        })
    }

    /// The next option; `None` after the last whole line.
    pub(super) fn next(&mut self) -> Result<Option<Looked>, Failure> {
        let read = match self.reader.read_record(&mut self.record) {
            Ok(read) => read,
            // Bytes that are no text: what a broken disk or a stopped machine left.
            Err(error) if error.is_io_error() => {
                return Err(Failure::file("read", &self.path, &error.into()));
            }
            Err(_) => false,
        };
        let end = self.from_byte + self.reader.position().byte();
        let cut_short = end >= self.bytes && !self.ends_whole;
        if !read || cut_short {
            return Ok(None);
        }
        let Some(looked) = looked(self.job, &self.record) else { return Ok(None) };
        if self.wanted.next() != Some(looked.index) {
            return Ok(None);
        }
        self.whole_bytes = end;
        Ok(Some(looked))
    }

    /// Whether every option of the part was read.
    pub(super) fn is_complete(&mut self) -> bool {
        self.wanted.next().is_none()
    }
}

fn ends_with_newline(file: &mut File, bytes: u64) -> std::io::Result<bool> {
    if bytes == 0 {
        return Ok(false);
    }
    file.seek(SeekFrom::Start(bytes - 1))?;
    let mut last = [0];
    file.read_exact(&mut last)?;
    Ok(last[0] == b'\n')
}

/// The values of an option, with all their digits.
fn fields(looked: &Looked) -> Vec<String> {
    let answer = &looked.answer;
    let mut fields = vec![
        looked.index.to_string(),
        number(looked.scatter),
        answer.reason.clone().unwrap_or_default(),
    ];
    if answer.reason.is_some() {
        return fields;
    }
    fields.extend([
        answer.worlds.to_string(),
        optional(answer.all_demands_probability),
        optional(answer.all_demands_standard_error),
        answer.meets_all.to_string(),
    ]);
    for met in &answer.demands {
        let shares = [number(met.probability), number(met.standard_error), met.met.to_string()];
        fields.extend(shares);
    }
    for (_, band) in answer.answers.iter() {
        fields.push(number(band.nominal));
        fields.extend([band.p10, band.p50, band.p90, band.standard_error].map(optional));
    }
    fields
}

/// The shortest text that is read back as the same number.
fn number(value: f64) -> String {
    format!("{value:?}")
}

fn optional(value: Option<f64>) -> String {
    value.map_or_else(String::new, number)
}

/// The option of a line; `None` if it is none.
fn looked(job: &Job, record: &StringRecord) -> Option<Looked> {
    let plan = job.plan();
    let index: u128 = record.get(0)?.parse().ok()?;
    let scatter: f64 = record.get(1)?.parse().ok()?;
    let option = plan.space.unchecked(index)?;
    let choices = named(&option.choices);
    let reason = record.get(2)?;
    if !reason.is_empty() {
        let answer = OptionAnswer {
            price: option.price,
            ..OptionAnswer::impossible(option.id, choices, reason.to_owned())
        };
        return Some(Looked::told(index, answer, scatter));
    }
    let demands = plan.demands.len() * PER_DEMAND;
    if record.len() != BEFORE + demands + plan.course.names.len() * PER_ANSWER {
        return None;
    }
    let at = |place: usize| record.get(place).unwrap_or_default();
    let value = |place: usize| at(place).parse::<f64>().ok();
    let optional = |place: usize| -> Option<Option<f64>> {
        if at(place).is_empty() { Some(None) } else { value(place).map(Some) }
    };
    let met = |(i, demand): (usize, &crownwheel_sweep::Demand)| {
        let place = BEFORE + i * PER_DEMAND;
        Some(DemandMet {
            name: demand.name.to_string(),
            probability: value(place)?,
            standard_error: value(place + 1)?,
            sure: demand.sure_frac,
            met: at(place + 2).parse().ok()?,
        })
    };
    let band = |i: usize| {
        let place = BEFORE + demands + i * PER_ANSWER;
        Some(Band {
            nominal: value(place)?,
            p10: optional(place + 1)?,
            p50: optional(place + 2)?,
            p90: optional(place + 3)?,
            standard_error: optional(place + 4)?,
        })
    };
    let bands = (0..plan.course.names.len()).map(band).collect::<Option<Vec<_>>>()?;
    let answer = OptionAnswer {
        id: option.id,
        choices,
        answers: Answers::new(Arc::clone(&plan.course.names), bands),
        demands: plan.demands.iter().enumerate().map(met).collect::<Option<Vec<_>>>()?,
        all_demands_probability: optional(4)?,
        all_demands_standard_error: optional(5)?,
        meets_all: at(6).parse().ok()?,
        non_dominated: None,
        price: option.price,
        worlds: at(3).parse().ok()?,
        reason: None,
    };
    Some(Looked::told(index, answer, scatter))
}
