//! Where the files come from that a build names: the disk, or what a program has in its hands.

use std::collections::BTreeMap;
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::input::{self, InputError, InputFile};

/// Gives files by the path that a build names them with.
///
/// [`Disk`] is the disk; a map from paths to bytes gives what it holds, an empty one nothing.
pub trait FileProvider: fmt::Debug + Send + Sync {
    /// The bytes of a file of at most `limit`.
    ///
    /// # Errors
    /// [`InputError`] if there is none, or it is larger.
    fn read(&self, path: &Path, limit: u64) -> Result<Vec<u8>, InputError>;

    /// Looks whether there is such a file.
    ///
    /// # Errors
    /// [`InputError`] if there is none.
    fn look(&self, path: &Path) -> Result<(), InputError> {
        self.read(path, u64::MAX).map(drop)
    }
}

/// The files of this machine.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl FileProvider for Disk {
    fn read(&self, path: &Path, limit: u64) -> Result<Vec<u8>, InputError> {
        input::read_bytes(path, limit)
    }

    fn look(&self, path: &Path) -> Result<(), InputError> {
        input::look(path).map(drop)
    }
}

impl FileProvider for BTreeMap<PathBuf, Vec<u8>> {
    fn read(&self, path: &Path, limit: u64) -> Result<Vec<u8>, InputError> {
        within(self.get(path).ok_or(InputError::Missing)?, limit)
    }
}

/// The bytes, if they are no more than are wanted.
fn within(bytes: &[u8], limit: u64) -> Result<Vec<u8>, InputError> {
    match u64::try_from(bytes.len()) {
        Ok(length) if length <= limit => Ok(bytes.to_vec()),
        length => Err(InputError::TooLarge { bytes: length.unwrap_or(u64::MAX), limit }),
    }
}

/// A text under a name, before all other files.
#[derive(Debug)]
struct WithText {
    name: PathBuf,
    bytes: Arc<[u8]>,
    others: Files,
}

impl FileProvider for WithText {
    fn read(&self, path: &Path, limit: u64) -> Result<Vec<u8>, InputError> {
        if path == self.name { within(&self.bytes, limit) } else { self.others.0.read(path, limit) }
    }

    fn look(&self, path: &Path) -> Result<(), InputError> {
        if path == self.name { Ok(()) } else { self.others.look(path) }
    }
}

/// A provider that copies share.
#[derive(Clone, Debug)]
pub struct Files(Arc<dyn FileProvider>);

impl Default for Files {
    fn default() -> Self {
        Files(Arc::new(Disk))
    }
}

/// Two builds are equal by what was read, not by where it was read from.
impl PartialEq for Files {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Files {
    /// Of a provider.
    pub fn new(provider: impl FileProvider + 'static) -> Files {
        Files(Arc::new(provider))
    }

    /// These files, and a text that is named like one.
    #[must_use]
    pub fn with_text(&self, name: impl Into<PathBuf>, bytes: &[u8]) -> Files {
        Files::new(WithText { name: name.into(), bytes: bytes.into(), others: self.clone() })
    }

    /// Reads a text file of at most `limit` bytes. The text comes without a byte order mark.
    ///
    /// # Errors
    /// [`InputError`] in plain words.
    pub fn read_text(&self, path: &Path, limit: u64) -> Result<(String, InputFile), InputError> {
        InputFile::text(path, self.0.read(path, limit)?)
    }

    /// Looks whether there is such a file.
    ///
    /// # Errors
    /// [`InputError`] if there is none.
    pub fn look(&self, path: &Path) -> Result<(), InputError> {
        self.0.look(path)
    }
}
