//! From what people have, CSV and GPX, to a [`Log`], with every repair counted.
//!
//! A log is read in one pass and bounded memory: lines have a highest length, and when the rows
//! become too many neighbours are averaged.

mod builder;
mod cells;
mod csv_log;
mod electric;
mod error;
mod finish;
mod gpx;
mod heading;
mod lines;
mod position;
mod stamp;
mod units;
mod utf16;
mod watched;
mod ways;

use std::io::{BufReader, Read};
use std::path::Path;

pub use electric::current_lag_s;
pub use error::{LogError, LogProblem};
pub use units::SpeedUnit;

use crate::log::Log;
use crate::repairs::RepairKind;
use builder::Builder;
use utf16::{Utf16, Utf16Reader};
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
    let (first, whole) = peeked(name, &mut reader)?;
    if let Some(kind) = other_kind(&first) {
        return Err(LogError::new(name, 0, LogProblem::OtherKind { kind }));
    }
    let mut builder = Builder::new(name, options);
    if let Some(order) = Utf16::of(&first) {
        builder.count(RepairKind::Utf16, 1);
        let mut text = Utf16Reader::new(whole, order);
        let (first, whole) = peeked(name, &mut text)?;
        read_text(name, &first, whole, options, &mut builder)?;
    } else {
        read_text(name, &first, whole, options, &mut builder)?;
    }
    finish::finish(builder, options)
}

/// The first bytes, and a reader of all.
fn peeked<'r, R: Read>(
    name: &str,
    reader: &'r mut R,
) -> Result<(Vec<u8>, impl Read + use<'r, R>), LogError> {
    let mut first = Vec::with_capacity(FIRST_BYTES);
    let most = u64::try_from(FIRST_BYTES).unwrap_or(u64::MAX);
    let failed = |error: std::io::Error| LogError::io(name, 0, &error);
    reader.by_ref().take(most).read_to_end(&mut first).map_err(failed)?;
    let whole = std::io::Cursor::new(first.clone()).chain(reader);
    Ok((first, whole))
}

fn read_text(
    name: &str,
    first: &[u8],
    whole: impl Read,
    options: &ReadOptions,
    builder: &mut Builder,
) -> Result<(), LogError> {
    let whole = BufReader::with_capacity(1 << 16, whole);
    if starts_as_xml(first) {
        gpx::read(name, whole, builder)
    } else {
        csv_log::read(name, whole, options, builder)
    }
}

/// Files that are no text that a person would call a log.
fn other_kind(first: &[u8]) -> Option<&'static str> {
    const KINDS: [(&[u8], &str); 4] = [
        (b"PK\x03\x04", "a packed archive or a spreadsheet"),
        (b"\x1f\x8b", "a packed file"),
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
    let text = Utf16::of(first).is_some();
    (zeros * 4 > first.len() && !text).then_some("not text")
}

fn starts_as_xml(first: &[u8]) -> bool {
    let text = first.strip_prefix(b"\xef\xbb\xbf").unwrap_or(first);
    text.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<')
}
