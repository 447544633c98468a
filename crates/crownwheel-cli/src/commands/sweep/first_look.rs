//! The first look on disk: a line for each option with every digit, so that a run can be stopped and
//! gone on with, and parts be put together.

mod line;
mod reader;

use std::fs::{File, OpenOptions};
use std::io::{self, BufReader, Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use crownwheel_answers::csv_text;
use crownwheel_sweep::sweep::OptionLook;

use super::part::Part;
use crate::outcome::{Failure, say, shown};
use crate::staging::{refuse_unordinary, write_whole, write_whole_by};
use crownwheel_answers::build::Job;
use line::Seal;
pub(super) use reader::Reader;
use reader::{Head, ReadOption};

/// First words of every file of a first look: such a file is ours.
const OURS: &str = "# crownwheel first look";

/// A file that lines are added to, shared with whoever stops the run.
pub(super) type SharedFile = Arc<Mutex<File>>;

/// The first look of a part, on its way to a file.
pub(super) struct FirstLook {
    path: PathBuf,
    file: SharedFile,
    seal: Seal,
}

/// What stands above the lines: whoever goes on must have the same.
fn heading(job: &Job, part: Part) -> String {
    let plan = job.plan();
    let provenance = &job.subject.provenance;
    format!(
        "{OURS}, part {} of {}\n# crownwheel {}\n# inputs {}\n# seed {}\n# options {}, worlds {} of {}{}\n{}",
        part.number,
        part.of,
        provenance.program_version,
        provenance.inputs_hash,
        plan.worlds.seed(),
        plan.space.len(),
        plan.first_worlds(),
        plan.worlds.count(),
        if plan.worlds.drives_all() { ", all driven" } else { "" },
        csv_text::records([line::columns(&plan)])
    )
}

impl FirstLook {
    /// A new file, or one that is gone on with: `known` is told of the options that stand there.
    pub(super) fn open(
        folder: &Path,
        job: &Job,
        part: Part,
        (resume, force): (bool, bool),
        known: &mut dyn FnMut(OptionLook),
    ) -> Result<FirstLook, Failure> {
        let path = folder.join(part.file_name());
        let heading = heading(job, part);
        if path.symlink_metadata().is_ok() {
            refuse_unordinary(&path)?;
            if resume && path.is_symlink() {
                return Err(not_ours(&path));
            }
            if resume {
                let bytes = go_on(&path, job, part, known)?;
                return FirstLook::at_end(path, bytes, &heading);
            }
            if !force {
                refuse_to_replace(&path, &heading)?;
            }
        }
        // With its heading in it from the beginning: a file without one could not be gone on with.
        write_whole(&path, heading.as_bytes())?;
        FirstLook::at_end(path, heading.len() as u64, &heading)
    }

    /// Opens a file to add lines behind these bytes.
    fn at_end(path: PathBuf, bytes: u64, heading: &str) -> Result<FirstLook, Failure> {
        let failed = |error: &io::Error| Failure::file("go on with", &path, error);
        let mut file =
            OpenOptions::new().write(true).open(&path).map_err(|error| failed(&error))?;
        file.set_len(bytes).map_err(|error| failed(&error))?;
        file.seek(SeekFrom::End(0)).map_err(|error| failed(&error))?;
        Ok(FirstLook { path, file: Arc::new(Mutex::new(file)), seal: Seal::new(heading) })
    }

    /// The file, for whoever must not stop the run in the middle of a line.
    pub(super) fn shared(&self) -> SharedFile {
        Arc::clone(&self.file)
    }

    /// Where it stands.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// Adds options, all of their lines at once.
    pub(super) fn add(&self, options: &[OptionLook]) -> Result<(), Failure> {
        let lines: String = options.iter().map(|looked| self.seal.line(looked)).collect();
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
    let mut file = BufReader::new(File::open(path).map_err(|error| failed(&error))?);
    let head = Head::read(&mut file, heading).map_err(|error| failed(&error))?;
    if head.difference.is_none() {
        return Err(Failure::Usage(format!(
            "`{}` holds a first look at options of this sweep: go on with it with --resume, or begin anew with --force",
            shown(path)
        )));
    }
    file.rewind().map_err(|error| failed(&error))?;
    let mut first = vec![0; OURS.len()];
    match file.read_exact(&mut first) {
        Ok(()) if first == OURS.as_bytes() => Ok(()),
        _ => Err(not_ours(path)),
    }
}

/// Reads what a file knows, and cuts what is not whole off its end. Options whose lines are not what was
/// written are looked at again, and their lines put in their places. How many bytes are good then.
fn go_on(
    path: &Path,
    job: &Job,
    part: Part,
    known: &mut dyn FnMut(OptionLook),
) -> Result<u64, Failure> {
    let mut reader = Reader::open(path, job, part)?;
    let mut pieces = Pieces::new(reader.bytes());
    while let Some(row) = reader.row()? {
        pieces.add(&row);
        known(row.looked);
    }
    if let Some(faults) = reader.faults_said() {
        say(&format!("{faults}: what is lost is looked at again."));
    }
    if pieces.before.is_empty() {
        return Ok(pieces.last.end);
    }
    let seal = Seal::new(&heading(job, part));
    pieces.written_again(path, &mut |lost| {
        let mut lines = String::new();
        job.look(lost.map(|turn| part.option(turn)), &mut |block: Vec<OptionLook>| {
            lines.extend(block.iter().map(|looked| seal.line(looked)));
            block.into_iter().for_each(&mut *known);
            Ok::<(), Failure>(())
        })?;
        Ok(lines)
    })
}

/// What is kept of a file: stretches of whole lines, and the turns that are lost behind each.
struct Pieces {
    before: Vec<(Range<u64>, Range<u128>)>,
    /// Nothing is lost behind the last.
    last: Range<u64>,
}

impl Pieces {
    fn new(heading: u64) -> Self {
        Self { before: Vec::new(), last: 0..heading }
    }

    fn add(&mut self, row: &ReadOption) {
        if row.lost.is_empty() && row.bytes.start == self.last.end {
            self.last.end = row.bytes.end;
            return;
        }
        let kept = std::mem::replace(&mut self.last, row.bytes.clone());
        self.before.push((kept, row.lost.clone()));
    }

    /// Writes the file anew, with what is lost in its place. Its length.
    fn written_again(
        self,
        path: &Path,
        again: &mut dyn FnMut(Range<u128>) -> Result<String, Failure>,
    ) -> Result<u64, Failure> {
        let mut pieces = Vec::new();
        for (kept, lost) in self.before {
            pieces.push((kept, again(lost)?));
        }
        pieces.push((self.last, String::new()));
        let mut from = File::open(path).map_err(|error| Failure::file("read", path, &error))?;
        let mut length = 0;
        write_whole_by(path, |out| {
            for (kept, lines) in pieces {
                copy(&mut from, kept, out)?;
                out.write_all(lines.as_bytes())?;
            }
            length = out.stream_position()?;
            Ok(())
        })?;
        Ok(length)
    }
}

fn copy(from: &mut File, bytes: Range<u64>, out: &mut File) -> io::Result<()> {
    from.seek(SeekFrom::Start(bytes.start))?;
    let length = bytes.end - bytes.start;
    let copied = io::copy(&mut from.take(length), out)?;
    if copied == length { Ok(()) } else { Err(io::ErrorKind::UnexpectedEof.into()) }
}

fn not_ours(path: &Path) -> Failure {
    Failure::Failed(format!(
        "nothing was written: this program did not write `{}`; name another folder, or replace it with --force",
        shown(path)
    ))
}

#[cfg(test)]
mod tests;
