//! Reading a file with care: a size limit, text only, and plain words when it cannot be read.

use std::fmt;
use std::fs::{File, Metadata};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use crate::message::{Problem, ProblemKind};

/// Highest size of a build file, bytes.
pub const LARGEST_BUILD: u64 = 4 << 20;
/// Highest size of a table, bytes.
pub const LARGEST_TABLE: u64 = 256 << 20;

/// A file that was read, with its bytes so that the caller can hash them.
#[derive(Clone, Debug, PartialEq)]
pub struct InputFile {
    /// Where it is.
    pub path: PathBuf,
    /// What it holds, byte by byte.
    pub bytes: Arc<[u8]>,
}

impl InputFile {
    /// Of the bytes of a file, with its text.
    pub(crate) fn text(path: &Path, bytes: Vec<u8>) -> Result<(String, InputFile), InputError> {
        let text = text_of(&bytes)?.to_owned();
        Ok((text, InputFile { path: path.to_owned(), bytes: bytes.into() }))
    }
}

/// Place of a byte in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BytePlace {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl BytePlace {
    /// Of the byte behind these.
    fn behind(bytes: &[u8]) -> Self {
        let line_start = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
        Self {
            line: 1 + bytes.iter().filter(|byte| **byte == b'\n').count(),
            column: 1 + String::from_utf8_lossy(&bytes[line_start..]).chars().count(),
        }
    }
}

/// Why a file could not be read as text.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum InputError {
    /// There is nothing of that name.
    Missing,
    /// It is a folder.
    Folder,
    /// It is neither a file nor a folder: a device or a pipe.
    NotAFile,
    /// It is larger than allowed.
    TooLarge {
        /// Size, bytes; at least one more than `limit`.
        bytes: u64,
        /// Highest allowed size, bytes.
        limit: u64,
    },
    /// Somebody wrote it while it was read.
    Changed,
    /// It holds no text: a zero byte stands in it.
    Binary {
        /// Where the zero byte stands.
        at: BytePlace,
    },
    /// It is text in another encoding than UTF-8.
    NotUtf8 {
        /// Where the first bad byte stands.
        at: BytePlace,
        /// The bad byte.
        byte: u8,
    },
    /// The system refused.
    Refused {
        /// Its words.
        reason: String,
    },
}

impl fmt::Display for InputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => write!(f, "there is no such file"),
            Self::Folder => write!(f, "it is a folder, a file is wanted"),
            Self::NotAFile => write!(f, "it is not an ordinary file"),
            Self::TooLarge { bytes, limit } => {
                write!(f, "it is too large: {}, at most {} are read", size(*bytes), size(*limit))
            }
            Self::Changed => write!(f, "it changed while it was read"),
            Self::Binary { at } => {
                write!(f, "it is not text: line {} holds a zero byte", at.line)
            }
            Self::NotUtf8 { at, byte } => {
                write!(f, "it is not UTF-8 text: line {} holds the byte {byte:#04x}", at.line)
            }
            Self::Refused { reason } => write!(f, "{reason}"),
        }
    }
}

impl std::error::Error for InputError {}

impl InputError {
    /// What to do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Missing => {
                "check the spelling; a path in a file starts at the folder of that file"
            }
            Self::Folder | Self::NotAFile => "name the file itself",
            Self::TooLarge { .. } => "is it the right file? a long table can be thinned out",
            Self::Changed => "wait until it is written, and try again",
            Self::Binary { .. } => "a spreadsheet must be saved as CSV, a document as plain text",
            Self::NotUtf8 { .. } => "save it again with the encoding UTF-8",
            Self::Refused { .. } => "check that you may read it",
        }
    }

    /// Where in the file it stands, if it is about one place.
    #[must_use]
    pub const fn place(&self) -> Option<BytePlace> {
        match self {
            Self::Binary { at } | Self::NotUtf8 { at, .. } => Some(*at),
            _ => None,
        }
    }

    /// The problem with a file that is named like this, with its place.
    pub(crate) fn problem(&self, file: &str, what: String) -> Problem {
        let mut problem = Problem::file(ProblemKind::File, file, what).hint(self.hint());
        if let Some(at) = self.place() {
            (problem.line, problem.column) = (at.line, at.column);
        }
        problem
    }
}

/// Reads a text file of at most `limit` bytes. The text comes without a byte order mark.
///
/// # Errors
/// [`InputError`] in plain words; the size is looked at before anything is read.
pub fn read_text(path: &Path, limit: u64) -> Result<(String, InputFile), InputError> {
    InputFile::text(path, read_bytes(path, limit)?)
}

/// Looks whether there is an ordinary file, without opening it: a pipe would be waited for.
pub(crate) fn look(path: &Path) -> Result<Metadata, InputError> {
    let metadata = std::fs::metadata(path).map_err(refusal)?;
    if metadata.is_dir() {
        return Err(InputError::Folder);
    }
    if metadata.is_file() { Ok(metadata) } else { Err(InputError::NotAFile) }
}

pub(crate) fn read_bytes(path: &Path, limit: u64) -> Result<Vec<u8>, InputError> {
    let metadata = look(path)?;
    if metadata.len() > limit {
        return Err(InputError::TooLarge { bytes: metadata.len(), limit });
    }
    let mut file = File::open(path).map_err(refusal)?;
    let state = State::of(&file).map_err(refusal)?;
    let mut bytes = Vec::new();
    // The file may grow while it is read: one byte over the limit is enough to know.
    Read::by_ref(&mut file).take(limit + 1).read_to_end(&mut bytes).map_err(refusal)?;
    match u64::try_from(bytes.len()) {
        Ok(length) if length <= limit => {}
        _ => return Err(InputError::TooLarge { bytes: limit + 1, limit }),
    }
    if State::of(&file).map_err(refusal)? == state { Ok(bytes) } else { Err(InputError::Changed) }
}

/// What tells of an open file whether somebody wrote it meanwhile: half of a table may be a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct State {
    bytes: u64,
    written: Option<SystemTime>,
}

impl State {
    /// The state as it is now.
    ///
    /// # Errors
    /// The system does not say.
    pub fn of(file: &File) -> std::io::Result<Self> {
        let about = file.metadata()?;
        Ok(Self { bytes: about.len(), written: about.modified().ok() })
    }
}

fn refusal(error: std::io::Error) -> InputError {
    match error.kind() {
        std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => InputError::Missing,
        std::io::ErrorKind::InvalidInput => InputError::Missing,
        _ => InputError::Refused { reason: error.to_string() },
    }
}

/// The text in `bytes`, without a byte order mark.
///
/// # Errors
/// [`InputError::Binary`] or [`InputError::NotUtf8`].
pub fn text_of(bytes: &[u8]) -> Result<&str, InputError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    // UTF-16 is full of zero bytes, but its byte order mark names it better.
    let utf16 = bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff");
    if !utf16 && let Some(offset) = bytes.iter().position(|byte| *byte == 0) {
        return Err(InputError::Binary { at: BytePlace::behind(&bytes[..offset]) });
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let valid = error.valid_up_to();
        InputError::NotUtf8 { at: BytePlace::behind(&bytes[..valid]), byte: bytes[valid] }
    })
}

/// A file with nothing in it: a list of all that is missing would say less.
pub(crate) fn empty(file: &str, wanted: &str) -> Problem {
    let mut problem =
        Problem::file(ProblemKind::File, file, format!("`{file}` is empty: {wanted} is wanted"));
    (problem.line, problem.column) = (1, 1);
    problem.hint("`crownwheel new DIR` writes a build and a sweep that run as they are")
}

fn size(bytes: u64) -> String {
    if bytes >= 1 << 20 {
        format!("{} MB", bytes.div_ceil(1 << 20))
    } else if bytes >= 1 << 10 {
        format!("{} kB", bytes.div_ceil(1 << 10))
    } else {
        format!("{bytes} bytes")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_with_a_byte_order_mark_comes_without() {
        assert_eq!(text_of(b"\xef\xbb\xbfa").unwrap(), "a");
        assert_eq!(text_of(b"").unwrap(), "");
    }

    #[test]
    fn rubbish_is_refused() {
        let at = |line, column| BytePlace { line, column };
        assert_eq!(text_of(b"a\0b"), Err(InputError::Binary { at: at(1, 2) }));
        assert_eq!(text_of("a\n±±\0".as_bytes()), Err(InputError::Binary { at: at(2, 3) }));
        let degree = "15 ± 2 ".as_bytes();
        assert_eq!(
            text_of(&[b"a\n", degree, b"\xb0C"].concat()),
            Err(InputError::NotUtf8 { at: at(2, 8), byte: 0xb0 })
        );
        assert_eq!(text_of(b"\xff\xfea\0"), Err(InputError::NotUtf8 { at: at(1, 1), byte: 0xff }));
    }

    #[test]
    fn a_huge_file_is_refused_before_it_is_read() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("huge.csv");
        // A sparse gigabyte: it takes no room on the disk.
        File::create(&path).unwrap().set_len(1 << 30).unwrap();
        assert_eq!(
            read_text(&path, LARGEST_TABLE),
            Err(InputError::TooLarge { bytes: 1 << 30, limit: LARGEST_TABLE })
        );
    }

    #[test]
    fn a_file_that_is_written_has_another_state() {
        use std::io::Write;
        let mut file = tempfile::tempfile().unwrap();
        let before = State::of(&file).unwrap();
        assert_eq!(State::of(&file).unwrap(), before);
        file.write_all(b"1").unwrap();
        assert_ne!(State::of(&file).unwrap(), before);
    }

    #[test]
    fn folders_devices_and_missing_files_are_named() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(read_text(folder.path(), 10), Err(InputError::Folder));
        assert_eq!(read_text(&folder.path().join("none"), 10), Err(InputError::Missing));
        assert_eq!(read_text(Path::new("nul\0byte"), 10), Err(InputError::Missing));
        let path = folder.path().join("small.csv");
        std::fs::write(&path, "12345678901").unwrap();
        assert_eq!(read_text(&path, 10), Err(InputError::TooLarge { bytes: 11, limit: 10 }));
        assert_eq!(read_text(&path, 11).unwrap().0, "12345678901");
        assert_eq!(read_text(&path.join("below"), 11), Err(InputError::Missing));
    }
}
