//! Options of a first look, one after the other, as long as its lines are what was written.

use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::ops::Range;
use std::path::{Path, PathBuf};

use crownwheel_answers::text::clean;
use crownwheel_sweep::sweep::OptionLook;

use super::super::part::Part;
use super::heading;
use super::line::{self, Fault, Seal};
use crate::outcome::{Failure, shown};
use crownwheel_answers::build::Job;

/// Longest line that is read, bytes: thousands of answers.
const LONGEST_LINE: u64 = 4 << 20;

/// Longest line of a heading that a message shows.
const LONGEST_SHOWN: usize = 60;

/// An option that was read.
pub(super) struct ReadOption {
    pub(super) looked: OptionLook,
    /// Options of the part between the one before and this one, whose lines are not there: as turns.
    pub(super) lost: Range<u128>,
    /// Where its line is.
    pub(super) bytes: Range<u64>,
}

/// Lines that are not what was written.
#[derive(Clone, Debug, Default, PartialEq)]
struct Faults {
    count: u64,
    /// The first, with the number of its line.
    first: Option<(u64, Fault)>,
}

/// Options of a file, one after the other.
pub(in crate::commands::sweep) struct Reader<'a> {
    job: &'a Job,
    part: Part,
    path: PathBuf,
    seal: Seal,
    columns: Vec<String>,
    file: BufReader<File>,
    /// Lines that were read.
    lines: u64,
    /// Bytes of them.
    bytes: u64,
    /// Turn of the part whose option comes next.
    turn: u128,
    faults: Faults,
}

impl<'a> Reader<'a> {
    /// Opens the file of a part.
    pub(in crate::commands::sweep) fn of_part(
        folder: &Path,
        job: &'a Job,
        part: Part,
    ) -> Result<Reader<'a>, Failure> {
        Reader::open(&folder.join(part.file_name()), job, part)
    }

    pub(super) fn open(path: &Path, job: &'a Job, part: Part) -> Result<Reader<'a>, Failure> {
        let failed = |error: &std::io::Error| Failure::file("read", path, error);
        if path.metadata().is_ok_and(|about| !about.is_file()) {
            return Err(Failure::Usage(format!("`{}` is not an ordinary file", shown(path))));
        }
        let heading = heading(job, part);
        let mut file = BufReader::new(File::open(path).map_err(|error| failed(&error))?);
        let head = Head::read(&mut file, &heading).map_err(|error| failed(&error))?;
        if let Some(difference) = head.difference {
            return Err(Failure::Usage(format!(
                "`{}` is not of this sweep as it is now (part {} of {}, the same files and settings, the same version of the program): {difference}; look at its options again, without --resume and with --force",
                shown(path),
                part.number,
                part.of
            )));
        }
        Ok(Reader {
            job,
            part,
            path: path.to_owned(),
            seal: Seal::new(&heading),
            columns: line::columns(&job.plan()),
            file,
            lines: heading.lines().count() as u64,
            bytes: head.bytes,
            turn: 0,
            faults: Faults::default(),
        })
    }

    /// The next option; `None` after the last. A line that is not what was written is an error.
    pub(in crate::commands::sweep) fn next(&mut self) -> Result<Option<OptionLook>, Failure> {
        let row = self.row()?;
        match self.faults_said() {
            None => Ok(row.map(|row| row.looked)),
            Some(faults) => Err(Failure::Usage(format!(
                "{faults}; look at what is lost again with --part {}/{} --resume and --out {}",
                self.part.number,
                self.part.of,
                shown(self.path.parent().unwrap_or(Path::new(".")))
            ))),
        }
    }

    /// The next option whose line is what was written; `None` after the last.
    pub(super) fn row(&mut self) -> Result<Option<ReadOption>, Failure> {
        let before = self.faults.count;
        loop {
            let from = self.bytes;
            let Some(text) = self.line()? else { return Ok(None) };
            match self.believed(&text) {
                Ok((turn, looked)) => {
                    let lost = self.turn..turn;
                    if !lost.is_empty() && self.faults.count == before {
                        self.fault(Fault::of_line("the lines of options before it are gone"));
                    }
                    self.turn = turn + 1;
                    return Ok(Some(ReadOption { looked, lost, bytes: from..self.bytes }));
                }
                Err(fault) => self.fault(fault),
            }
        }
    }

    /// Whether every option of the part was read.
    pub(in crate::commands::sweep) fn is_complete(&self) -> bool {
        self.turn >= self.part.len(self.job.sweep.space.len())
    }

    /// Where the lines begin, before one is read.
    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }

    /// What was wrong with the lines so far, in words.
    pub(super) fn faults_said(&self) -> Option<String> {
        let (number, Fault { column, what }) = self.faults.first.as_ref()?;
        let column = column
            .as_ref()
            .map_or_else(String::new, |(at, head)| format!(", column {at} (`{head}`)"));
        let more = match self.faults.count {
            1 => String::new(),
            2 => " (and 1 more line)".to_owned(),
            count => format!(" (and {} more lines)", count - 1),
        };
        Some(format!("`{}`, line {number}{column}: {what}{more}", shown(&self.path)))
    }

    fn fault(&mut self, fault: Fault) {
        self.faults.count += 1;
        self.faults.first.get_or_insert((self.lines, fault));
    }

    /// The next line without its end; `None` where no whole one is left.
    fn line(&mut self) -> Result<Option<Vec<u8>>, Failure> {
        let mut text = Vec::new();
        Read::by_ref(&mut self.file)
            .take(LONGEST_LINE)
            .read_until(b'\n', &mut text)
            .map_err(|error| Failure::file("read", &self.path, &error))?;
        let length = text.len() as u64;
        if text.pop() != Some(b'\n') {
            // Half a line is what a stopped run leaves.
            if length == LONGEST_LINE {
                self.lines += 1;
                self.fault(Fault::of_line(format!("it is longer than {LONGEST_LINE} bytes")));
            }
            return Ok(None);
        }
        self.lines += 1;
        self.bytes += length;
        if text.last() == Some(&b'\r') {
            text.pop();
        }
        Ok(Some(text))
    }

    /// The option of a line, with its turn.
    fn believed(&self, text: &[u8]) -> Result<(u128, OptionLook), Fault> {
        let looked = line::read(text, &self.seal, &self.columns, &self.job.plan())?;
        let turn = self.part.turn_of(looked.index).filter(|turn| *turn >= self.turn);
        let turn = turn.ok_or_else(|| Fault {
            column: Some((2, self.columns[1].clone())),
            what: format!("option {} stands twice or out of its place", looked.index),
        })?;
        Ok((turn, looked))
    }
}

/// The first lines of a file against those that it should have.
pub(super) struct Head {
    /// Bytes that they take in the file; its lines may end as another system ends them.
    pub(super) bytes: u64,
    /// The first line that is another, in words.
    pub(super) difference: Option<String>,
}

impl Head {
    pub(super) fn read(file: &mut impl BufRead, heading: &str) -> std::io::Result<Head> {
        let mut bytes = 0;
        for (at, wanted) in heading.lines().enumerate() {
            let mut found = Vec::new();
            let limit = wanted.len() as u64 + 2;
            let length = file.by_ref().take(limit).read_until(b'\n', &mut found)?;
            bytes += length as u64;
            let whole = found.strip_suffix(b"\n");
            let text = whole.map(|text| text.strip_suffix(b"\r").unwrap_or(text));
            if text != Some(wanted.as_bytes()) {
                let difference = Some(difference(at + 1, &found, wanted));
                return Ok(Head { bytes, difference });
            }
        }
        Ok(Head { bytes, difference: None })
    }
}

fn difference(number: usize, found: &[u8], wanted: &str) -> String {
    if wanted.len() > LONGEST_SHOWN {
        return format!("line {number} names other columns");
    }
    let text = clean(String::from_utf8_lossy(found).trim_end());
    format!("line {number} is `{text}`, and would now be `{wanted}`")
}
