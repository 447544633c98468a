//! Files on their way to a folder: all are written beside their places first, then moved there, so that a
//! full disk is met before anything is replaced, and a file is whole or absent whenever the run is killed.
//!
//! They wait in a folder of their own, which one run at a time may use. What a killed run left in it is
//! removed by the next that writes to the same place.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use crate::outcome::{Failure, shown};

/// Folder in which files wait.
const WAITING: &str = ".crownwheel-writing";

/// File that says whose turn it is.
const TURN: &str = "turn.lock";

/// Ending of files that wait.
const ENDING: &str = "part";

/// How often, and after how long, another run is waited for.
const TURNS: u32 = 100;
const PAUSE: Duration = Duration::from_millis(100);

/// A folder that files are moved to.
#[derive(Debug)]
pub(crate) struct StagingFolder {
    folder: PathBuf,
    waiting: PathBuf,
    /// Locked as long as this run has its turn.
    _turn: File,
    /// The folder was not there before.
    is_new: bool,
    count: usize,
}

/// A file that waits for its place.
#[derive(Debug)]
pub(crate) struct StagedFile(PathBuf);

impl StagingFolder {
    /// Makes the folder if it is not there, and waits for the turn.
    pub(crate) fn open(folder: &Path) -> Result<Self, Failure> {
        let is_new = !here(folder).exists();
        make_folder(folder)?;
        let waiting = here(folder).join(WAITING);
        let turn = match take_turn(folder, &waiting) {
            Ok(turn) => turn,
            Err(failure) => {
                remove_if_empty(&waiting);
                if is_new {
                    remove_if_empty(folder);
                }
                return Err(failure);
            }
        };
        let staging = Self { folder: folder.to_owned(), waiting, _turn: turn, is_new, count: 0 };
        staging.clear();
        Ok(staging)
    }

    /// A new file that waits, to be written by whoever asked.
    pub(crate) fn file(&mut self) -> Result<(StagedFile, File), Failure> {
        self.count += 1;
        let path = self.waiting.join(format!("{}.{ENDING}", self.count));
        let file = File::create_new(&path).map_err(|error| self.failed(&error))?;
        Ok((StagedFile(path), file))
    }

    /// A new file that waits, with these bytes.
    pub(crate) fn bytes(&mut self, name: &str, bytes: &[u8]) -> Result<StagedFile, Failure> {
        let (staged, mut file) = self.file()?;
        file.write_all(bytes)
            .map_err(|error| Failure::file("write", &self.folder.join(name), &error))?;
        Ok(staged)
    }

    /// Makes the folder that a name lies in.
    pub(crate) fn folder_of(&self, name: &str) -> Result<(), Failure> {
        let path = self.folder.join(name);
        path.parent().map_or(Ok(()), make_folder)
    }

    /// Moves a file to its place.
    pub(crate) fn put(&self, staged: &StagedFile, name: &str) -> Result<(), Failure> {
        let path = self.folder.join(name);
        fs::rename(&staged.0, &path).map_err(|error| Failure::file("write", &path, &error))
    }

    fn failed(&self, error: &io::Error) -> Failure {
        Failure::file("write into", &self.folder, error)
    }

    /// Removes what is ours in the folder of waiting files, and nothing else.
    fn clear(&self) {
        let entries = fs::read_dir(&self.waiting).into_iter().flatten().flatten();
        let ours = entries.map(|entry| entry.path()).filter(|path| {
            path.extension().is_some_and(|ending| ending == ENDING)
                && path.symlink_metadata().is_ok_and(|about| about.is_file())
        });
        // One that cannot be removed is only in the way.
        ours.for_each(|path| drop(fs::remove_file(path)));
    }
}

impl StagedFile {
    /// Where it waits.
    pub(crate) fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for StagingFolder {
    fn drop(&mut self) {
        self.clear();
        let _ = fs::remove_file(self.waiting.join(TURN));
        remove_if_empty(&self.waiting);
        if self.is_new {
            let folders = fs::read_dir(&self.folder).into_iter().flatten().flatten();
            folders.for_each(|entry| remove_if_empty(&entry.path()));
            remove_if_empty(&self.folder);
        }
    }
}

fn remove_if_empty(folder: &Path) {
    // The system refuses a folder that holds anything.
    let _ = fs::remove_dir(folder);
}

/// The folder of a name without one is the one we are in.
fn here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}

/// Makes a folder that results go to.
pub(crate) fn make_folder(folder: &Path) -> Result<(), Failure> {
    fs::create_dir_all(here(folder))
        .map_err(|error| Failure::file("make the folder", folder, &error))
}

/// Locks the folder of waiting files. Where nothing can be locked, two runs at once fail on the names of
/// their files.
fn take_turn(folder: &Path, waiting: &Path) -> Result<File, Failure> {
    let failed = |error: &io::Error| Failure::file("write into", folder, error);
    let path = waiting.join(TURN);
    for _ in 0..TURNS {
        if waiting.is_symlink() {
            return Err(failed(&io::ErrorKind::AlreadyExists.into()));
        }
        fs::create_dir_all(waiting).map_err(|error| failed(&error))?;
        if path.symlink_metadata().is_ok_and(|about| !about.is_file()) {
            return Err(failed(&io::ErrorKind::AlreadyExists.into()));
        }
        let turn = match File::options().write(true).create(true).truncate(false).open(&path) {
            Ok(turn) => turn,
            // The run before has just gone, with the folder.
            Err(error) if error.kind() == io::ErrorKind::NotFound && folder.exists() => continue,
            Err(error) => return Err(failed(&error)),
        };
        match turn.try_lock() {
            Ok(()) if is_at(&turn, &path) => return Ok(turn),
            Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => {
                return Ok(turn);
            }
            Err(TryLockError::Error(error)) => return Err(failed(&error)),
            Ok(()) | Err(TryLockError::WouldBlock) => thread::sleep(PAUSE),
        }
    }
    Err(Failure::Failed(format!(
        "nothing was written: another run is writing into `{}`; wait until it is done, or name another folder",
        shown(folder)
    )))
}

/// Whether a file was not removed, by a run that was done, before it was locked.
#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let pair = (file.metadata(), path.metadata());
    matches!(pair, (Ok(own), Ok(other)) if (own.dev(), own.ino()) == (other.dev(), other.ino()))
}

#[cfg(not(unix))]
fn is_at(_file: &File, path: &Path) -> bool {
    path.exists()
}

/// Writes one file, whole or not at all.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    write_whole_by(path, |file| file.write_all(bytes))
}

/// The same for a file that is written piece by piece.
pub(crate) fn write_whole_by(
    path: &Path,
    write: impl FnOnce(&mut File) -> io::Result<()>,
) -> Result<(), Failure> {
    refuse_unordinary(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let Some(name) = path.file_name() else {
        return Err(Failure::Usage(format!("`{}` is no name of a file", shown(path))));
    };
    let mut staging = StagingFolder::open(folder)?;
    let (staged, mut file) = staging.file()?;
    write(&mut file).map_err(|error| Failure::file("write", path, &error))?;
    let about = fs::symlink_metadata(path).ok().filter(fs::Metadata::is_file);
    if let Some(about) = about {
        // Who may read it stays as it was.
        fs::set_permissions(&staged.0, about.permissions())
            .map_err(|error| Failure::file("write", path, &error))?;
    }
    fs::rename(&staged.0, folder.join(name)).map_err(|error| Failure::file("write", path, &error))
}

/// Refuses what must never be replaced, even by force: a folder, a device, a pipe. A link is replaced
/// itself; what it leads to is not touched.
pub(crate) fn refuse_unordinary(path: &Path) -> Result<(), Failure> {
    match path.symlink_metadata() {
        Ok(about) if about.is_dir() => {
            Err(Failure::Usage(format!("`{}` is a folder: name a file", shown(path))))
        }
        Ok(about) if !about.is_file() && !about.is_symlink() => Err(Failure::Usage(format!(
            "`{}` is not an ordinary file: name another; an answer goes to a device or a program with --json and `>` or `|`",
            shown(path)
        ))),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
    }

    #[test]
    fn what_a_killed_run_left_is_removed_and_what_a_person_put_there_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let waiting = folder.path().join(WAITING);
        fs::create_dir(&waiting).unwrap();
        for name in ["1.part", "7.part", TURN, "mine.txt"] {
            fs::write(waiting.join(name), name).unwrap();
        }
        write_whole(&folder.path().join("a.csv"), b"1").unwrap();
        assert_eq!(names(&waiting), ["mine.txt"]);
        fs::remove_file(waiting.join("mine.txt")).unwrap();
        write_whole(&folder.path().join("a.csv"), b"2").unwrap();
        assert_eq!(names(folder.path()), ["a.csv"]);
        assert_eq!(fs::read(folder.path().join("a.csv")).unwrap(), b"2");
    }

    #[test]
    fn a_folder_that_was_made_for_nothing_goes_again() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("out");
        let mut staging = StagingFolder::open(&out).unwrap();
        staging.bytes("a.csv", b"1").unwrap();
        staging.folder_of("tables/a.csv").unwrap();
        drop(staging);
        assert!(!out.exists());
    }

    #[test]
    fn many_at_once_take_turns() {
        let folder = tempfile::tempdir().unwrap();
        let path = |i: usize| folder.path().join(format!("{i}.csv"));
        thread::scope(|scope| {
            for i in 0..8 {
                let path = path(i);
                scope.spawn(move || write_whole(&path, i.to_string().as_bytes()).unwrap());
            }
        });
        for i in 0..8 {
            assert_eq!(fs::read_to_string(path(i)).unwrap(), i.to_string());
        }
        assert_eq!(names(folder.path()).len(), 8);
    }
}
