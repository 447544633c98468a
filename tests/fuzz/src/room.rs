//! A folder in memory for readers that take files, and one input cut into those files.
//!
//! The readers of builds and sweeps open what a build names, so they take folders and no texts. An
//! input is the build, then a line `#@ NAME` and the next file, and so on.

use std::path::{Path, PathBuf};

/// Files that an input may write; a name of its own could lead out of the folder.
const NAMES: [&str; 6] = [
    "build.toml",
    "motor-curve.csv",
    "motor-losses.csv",
    "cell-cold.csv",
    "moor-round.csv",
    "market-round.csv",
];

/// The folder.
pub struct Room {
    folder: PathBuf,
}

impl Room {
    /// An empty one, which only this process uses.
    pub fn new(name: &str) -> Self {
        let memory = Path::new("/dev/shm");
        let base = if memory.is_dir() { memory.to_owned() } else { std::env::temp_dir() };
        let folder = base.join(format!("crownwheel-fuzz-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder for the files");
        Self { folder }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.folder
    }

    /// Writes one file.
    pub fn write(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.folder.join(name), bytes).expect("the folder can be written to");
    }

    /// Writes the files of an input, and takes away those of the input before; the part before the first
    /// mark is `first`.
    pub fn lay(&self, first: &str, input: &[u8]) {
        for name in NAMES {
            // Most are not there.
            let _ = std::fs::remove_file(self.folder.join(name));
        }
        let (mut name, mut start, mut at) = (first, 0, 0);
        while at < input.len() {
            let end =
                input[at..].iter().position(|b| *b == b'\n').map_or(input.len(), |n| at + n + 1);
            if let Some(next) = named(&input[at..end]) {
                self.write(name, &input[start..at]);
                (name, start) = (next, end);
            }
            at = end;
        }
        self.write(name, &input[start..]);
    }
}

fn named(line: &[u8]) -> Option<&'static str> {
    let name = line.strip_prefix(b"#@ ")?.trim_ascii();
    NAMES.into_iter().find(|known| known.as_bytes() == name)
}
