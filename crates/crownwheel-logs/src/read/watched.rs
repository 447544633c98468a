//! A log on disk: an ordinary file, not too large, that nobody writes while it is read.

use std::fs::{File, metadata};
use std::io::{self, Read, Take};
use std::path::Path;

use crownwheel_files::input::State;

use super::LogProblem;

/// Highest size of a log, bytes: ten rows of 60 bytes a second for two months and more.
const LARGEST: u64 = 4 << 30;

/// A file that tells what is read of it.
pub(super) struct FileReader<'s> {
    file: Take<File>,
    state: State,
    seen: &'s mut dyn FnMut(&[u8]),
}

impl<'s> FileReader<'s> {
    pub(super) fn open(path: &Path, seen: &'s mut dyn FnMut(&[u8])) -> Result<Self, LogProblem> {
        let about = metadata(path).map_err(unreadable)?;
        let refused = |reason: &'static str| Err(LogProblem::NotAFile { reason });
        if about.is_dir() {
            return refused("it is a folder, a file is wanted");
        }
        if !about.is_file() {
            return refused("it is not an ordinary file");
        }
        if about.len() > LARGEST {
            return Err(LogProblem::TooLarge { most_gb: LARGEST >> 30 });
        }
        let file = File::open(path).map_err(unreadable)?;
        let state = State::of(&file).map_err(unreadable)?;
        Ok(Self { file: file.take(LARGEST), state, seen })
    }

    /// Whether somebody wrote the file since it was opened.
    pub(super) fn has_changed(&self) -> Result<bool, LogProblem> {
        Ok(State::of(self.file.get_ref()).map_err(unreadable)? != self.state)
    }

    /// Tells what was not wanted.
    pub(super) fn rest(&mut self) -> Result<(), LogProblem> {
        io::copy(self, &mut io::sink()).map_err(unreadable)?;
        Ok(())
    }
}

impl Read for FileReader<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.file.read(buffer)?;
        (self.seen)(&buffer[..count]);
        Ok(count)
    }
}

/// What is piped in, that tells what is read of it.
pub(super) struct PipeReader<'s> {
    reader: Take<&'s mut dyn Read>,
    seen: &'s mut dyn FnMut(&[u8]),
}

impl<'s> PipeReader<'s> {
    pub(super) fn new(reader: &'s mut dyn Read, seen: &'s mut dyn FnMut(&[u8])) -> Self {
        Self { reader: reader.take(LARGEST), seen }
    }

    /// Tells what was not wanted; more than a log may have is refused.
    pub(super) fn rest(mut self) -> Result<(), LogProblem> {
        io::copy(&mut self, &mut io::sink()).map_err(unreadable)?;
        let more = self.reader.get_mut().read(&mut [0]).map_err(unreadable)?;
        if more > 0 { Err(LogProblem::TooLarge { most_gb: LARGEST >> 30 }) } else { Ok(()) }
    }
}

impl Read for PipeReader<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.reader.read(buffer)?;
        (self.seen)(&buffer[..count]);
        Ok(count)
    }
}

#[allow(clippy::needless_pass_by_value, reason = "it is what map_err gives")]
fn unreadable(error: io::Error) -> LogProblem {
    let reason = match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        _ => error.to_string(),
    };
    LogProblem::Unreadable { reason }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_is_told_and_a_change_is_seen() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("log.csv");
        std::fs::write(&path, "0123456789").unwrap();
        let mut told = Vec::new();
        let mut seen = |bytes: &[u8]| told.extend_from_slice(bytes);
        let mut file = FileReader::open(&path, &mut seen).unwrap();
        file.read_exact(&mut [0; 4]).unwrap();
        file.rest().unwrap();
        assert!(!file.has_changed().unwrap());
        std::fs::write(&path, "01234567890").unwrap();
        assert!(file.has_changed().unwrap());
        assert_eq!(told, b"0123456789");
    }

    #[test]
    fn what_is_piped_in_is_told_to_its_end() {
        let mut told = Vec::new();
        let mut text: &[u8] = b"0123456789";
        let mut seen = |bytes: &[u8]| told.extend_from_slice(bytes);
        let mut piped = PipeReader::new(&mut text, &mut seen);
        piped.read_exact(&mut [0; 4]).unwrap();
        piped.rest().unwrap();
        assert_eq!(told, b"0123456789");
    }

    #[test]
    fn what_is_too_large_is_refused_before_it_is_read() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("log.csv");
        // A hole: it takes no room on the disk.
        File::create(&path).unwrap().set_len(LARGEST + 1).unwrap();
        let refused = FileReader::open(&path, &mut |_| {}).err();
        assert_eq!(refused, Some(LogProblem::TooLarge { most_gb: 4 }));
    }
}
