//! From what people have, CSV and GPX, to a [`Log`], with every repair counted.
//!
//! A log is read in one pass and bounded memory: lines have a highest length, and when the rows
//! become too many neighbours are averaged.

mod builder;
mod cells;
mod csv_log;
mod error;
mod finish;
mod gpx;
mod heading;
mod lines;
mod stamp;
mod units;
mod watched;

use std::io::{BufReader, Read};
use std::path::Path;

pub use error::{LogError, LogProblem};
pub use units::SpeedUnit;

use crate::log::Log;
use builder::Builder;
use watched::{FileReader, PipeReader};

/// Rows that are kept; of longer logs neighbours are averaged. At one row a second it is six days.
pub const MOST_ROWS: usize = 1 << 19;

/// Bytes that are looked at to tell what kind of file it is.
const FIRST_BYTES: usize = 4096;

/// What the reader cannot know by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadOptions {
    /// Unit of the speed, for a heading that does not say it.
    pub speed_unit: Option<SpeedUnit>,
    /// Take the file as a route: times are not read, and need not be there.
    pub as_route: bool,
    /// Rows that are kept at most, at least 2.
    pub most_rows: usize,
}

impl Default for ReadOptions {
    fn default() -> Self {
        Self { speed_unit: None, as_route: false, most_rows: MOST_ROWS }
    }
}

/// Reads a log file.
///
/// # Errors
/// [`LogError`] with the place, what is wrong and what to do.
pub fn read_log(path: &Path, options: &ReadOptions) -> Result<Log, LogError> {
    read_log_watched(path, options, &mut |_| {})
}

/// As [`read_log`]; `seen` is told every byte of the file, so that a hash of them is one of what was
/// read and of nothing else.
///
/// # Errors
/// [`LogError`] with the place, what is wrong and what to do.
pub fn read_log_watched(
    path: &Path,
    options: &ReadOptions,
    seen: &mut dyn FnMut(&[u8]),
) -> Result<Log, LogError> {
    let name = path.display().to_string();
    let failed = |problem: LogProblem| LogError::new(&name, 0, problem);
    let mut file = FileReader::open(path, seen).map_err(failed)?;
    let log = read_log_from(&name, &mut file, options);
    if log.is_ok() {
        file.rest().map_err(failed)?;
    }
    if file.has_changed().map_err(failed)? { Err(failed(LogProblem::Changed)) } else { log }
}

/// Reads a log that is piped in, as long as a log file may be; `seen` is told every byte.
///
/// # Errors
/// [`LogError`] with the place, what is wrong and what to do.
pub fn read_log_piped(
    name: &str,
    reader: &mut dyn Read,
    options: &ReadOptions,
    seen: &mut dyn FnMut(&[u8]),
) -> Result<Log, LogError> {
    let mut piped = PipeReader::new(reader, seen);
    let log = read_log_from(name, &mut piped, options)?;
    piped.rest().map_err(|problem| LogError::new(name, 0, problem))?;
    Ok(log)
}

/// Reads a log from anything that gives bytes; `name` is for messages.
///
/// # Errors
/// [`LogError`] with the place, what is wrong and what to do.
pub fn read_log_from(
    name: &str,
    mut reader: impl Read,
    options: &ReadOptions,
) -> Result<Log, LogError> {
    let mut first = Vec::with_capacity(FIRST_BYTES);
    let most = u64::try_from(FIRST_BYTES).unwrap_or(u64::MAX);
    reader
        .by_ref()
        .take(most)
        .read_to_end(&mut first)
        .map_err(|error| LogError::io(name, 0, &error))?;
    if let Some(kind) = other_kind(&first) {
        return Err(LogError::new(name, 0, LogProblem::OtherKind { kind }));
    }
    let is_xml = starts_as_xml(&first);
    let whole = BufReader::with_capacity(1 << 16, std::io::Cursor::new(first).chain(reader));
    let mut builder = Builder::new(name, options);
    if is_xml {
        gpx::read(name, whole, &mut builder)?;
    } else {
        csv_log::read(name, whole, options, &mut builder)?;
    }
    finish::finish(builder, options)
}

/// Files that are no text that a person would call a log.
fn other_kind(first: &[u8]) -> Option<&'static str> {
    const KINDS: [(&[u8], &str); 6] = [
        (b"PK\x03\x04", "a packed archive or a spreadsheet"),
        (b"\x1f\x8b", "a packed file"),
        (b"\xff\xfe", "text in UTF-16"),
        (b"\xfe\xff", "text in UTF-16"),
        (b"%PDF", "a document to print"),
        (b"\xd0\xcf\x11\xe0", "an old spreadsheet"),
    ];
    let known = KINDS.iter().find(|(start, _)| first.starts_with(start));
    if let Some((_, kind)) = known {
        return Some(kind);
    }
    if first.is_empty() {
        return Some("empty");
    }
    let zeros = first.iter().filter(|byte| **byte == 0).count();
    (zeros * 4 > first.len()).then_some("not text")
}

fn starts_as_xml(first: &[u8]) -> bool {
    let text = first.strip_prefix(b"\xef\xbb\xbf").unwrap_or(first);
    text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<')
}
