//! Results on disk: whole or not at all, and never over what somebody else wrote.
//!
//! A manifest in the folder holds the hash of every file that was written. A later run replaces
//! files that still have that hash; others are refused unless forced. While files are moved to their
//! places the manifest knows the old hashes and, under `writing`, the new ones: whenever a run is killed,
//! the next can tell what is ours.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Read;
use std::path::{Component, Path};

use crownwheel_answers::Provenance;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::outcome::{Failure, shown};
use crate::staging::{StagedFile, StagingFolder, refuse_unordinary};
use crate::subject::hex;

/// Name of the manifest.
const MANIFEST: &str = "manifest.json";

/// Largest manifest that is read, bytes.
const LARGEST_MANIFEST: u64 = 4 << 20;

/// Hashes of files, by name.
type Hashes = BTreeMap<String, String>;

/// What a manifest says.
#[derive(Default)]
struct Manifest {
    /// Files that an earlier run wrote.
    files: Hashes,
    /// Files that it was about to put in place when it was killed.
    writing: Hashes,
}

/// What a file will hold.
pub(crate) enum Content<'a> {
    /// These bytes.
    Bytes(&'a [u8]),
    /// What waits on the disk already, for what is too long for the memory.
    Staged(StagedFile),
}

/// Writes files into a folder, which is made if it is not there. Names may have folders, with `/`.
pub(crate) fn write(
    folder: &Path,
    files: &[(String, Vec<u8>)],
    provenance: &Provenance,
    force: bool,
) -> Result<(), Failure> {
    let files = files.iter().map(|(name, bytes)| (name.as_str(), Content::Bytes(bytes)));
    write_contents(StagingFolder::open(folder)?, folder, files.collect(), provenance, force)
}

/// The same for files of which some wait on the disk already.
pub(crate) fn write_contents(
    mut staging: StagingFolder,
    folder: &Path,
    files: Vec<(&str, Content<'_>)>,
    provenance: &Provenance,
    force: bool,
) -> Result<(), Failure> {
    let known = Manifest::read(folder);
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    refuse_unwritable(folder, &names)?;
    if !force {
        refuse_foreign(folder, &names, &known)?;
    }
    let before = known.unchanged(folder);
    let mut after = Hashes::new();
    let mut waiting = Vec::with_capacity(files.len());
    for (name, content) in files {
        let (staged, hash) = match content {
            Content::Bytes(bytes) => (staging.bytes(name, bytes)?, hash(bytes)),
            Content::Staged(staged) => {
                let hash = hash_of(staged.path())
                    .map_err(|error| Failure::file("read", staged.path(), &error))?;
                (staged, hash)
            }
        };
        staging.folder_of(name)?;
        after.insert(name.to_owned(), hash);
        waiting.push((name, staged));
    }
    let during = manifest(&before, Some(&after), provenance);
    let during = staging.bytes(MANIFEST, during.as_bytes())?;
    let done = staging.bytes(MANIFEST, manifest(&after, None, provenance).as_bytes())?;
    // From here on everything that is to be written is on the disk.
    staging.put(&during, MANIFEST)?;
    for (name, staged) in &waiting {
        staging.put(staged, name)?;
    }
    remove_stale(folder, &before, &after);
    staging.put(&done, MANIFEST)
}

/// Refuses a folder in which files of these names are not ours to replace.
pub(crate) fn refuse_foreign_names(folder: &Path, names: &[&str]) -> Result<(), Failure> {
    refuse_unwritable(folder, names)?;
    refuse_foreign(folder, names, &Manifest::read(folder))
}

/// What an earlier run left in a folder.
pub(crate) struct EarlierResults(Manifest);

impl EarlierResults {
    /// `None`: nothing, or a run that was killed while it moved files to their places.
    pub(crate) fn read(folder: &Path) -> Option<EarlierResults> {
        let known = Manifest::read(folder);
        (!known.is_empty() && known.writing.is_empty()).then_some(EarlierResults(known))
    }

    /// Whether it wrote a file of this name.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.0.files.contains_key(name)
    }

    /// Whether the file is still as it wrote it.
    pub(crate) fn is_unchanged(&self, folder: &Path, name: &str) -> bool {
        self.0.hash_of(folder, name).is_some()
    }
}

fn hash(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// The hash of a file of any length.
fn hash_of(path: &Path) -> std::io::Result<String> {
    let mut file = fs::File::open(path)?;
    let mut sha = Sha256::new();
    let mut part = vec![0; 1 << 16];
    loop {
        let read = file.read(&mut part)?;
        if read == 0 {
            return Ok(hex(&sha.finalize()));
        }
        sha.update(&part[..read]);
    }
}

fn manifest(files: &Hashes, writing: Option<&Hashes>, provenance: &Provenance) -> String {
    let mut value = json!({
        "program": "crownwheel",
        "program_version": provenance.program_version,
        "inputs_hash": provenance.inputs_hash,
        "files": files,
    });
    if let Some(writing) = writing {
        value["writing"] = json!(writing);
    }
    format!("{value:#}\n")
}

impl Manifest {
    /// What an earlier run wrote; nothing if there is no manifest or it is not one of ours.
    fn read(folder: &Path) -> Manifest {
        let path = folder.join(MANIFEST);
        let read = || -> Option<Manifest> {
            if !is_ordinary(&path) {
                return None;
            }
            let mut text = String::new();
            fs::File::open(&path).ok()?.take(LARGEST_MANIFEST).read_to_string(&mut text).ok()?;
            let value: Value = serde_json::from_str(&text).ok()?;
            let writing = value.get("writing").map_or_else(|| Some(Hashes::new()), hashes)?;
            Some(Manifest { files: hashes(value.get("files")?)?, writing })
        };
        read().unwrap_or_default()
    }

    fn is_empty(&self) -> bool {
        self.files.is_empty() && self.writing.is_empty()
    }

    /// The hash that a file has, if it is one that we gave it.
    fn hash_of(&self, folder: &Path, name: &str) -> Option<String> {
        let ours = [self.files.get(name), self.writing.get(name)];
        let path = folder.join(name);
        if ours == [None, None] || !is_below(name) || !is_ordinary(&path) {
            return None;
        }
        let hash = hash_of(&path).ok()?;
        ours.contains(&Some(&hash)).then_some(hash)
    }

    /// The files that are still as we wrote them.
    fn unchanged(&self, folder: &Path) -> Hashes {
        let names: BTreeSet<&String> = self.files.keys().chain(self.writing.keys()).collect();
        let hash = |name: &String| Some((name.clone(), self.hash_of(folder, name)?));
        names.into_iter().filter_map(hash).collect()
    }
}

fn hashes(value: &Value) -> Option<Hashes> {
    let pairs = value.as_object()?.iter();
    pairs.map(|(name, hash)| Some((name.clone(), hash.as_str()?.to_owned()))).collect()
}

/// Neither a link nor something that gives bytes for ever.
fn is_ordinary(path: &Path) -> bool {
    path.symlink_metadata().is_ok_and(|about| about.is_file())
}

/// Refuses places that nothing may be written to, whoever they belong to: a folder or a device in the
/// place of a file, and a link in the place of a folder of ours, which would lead elsewhere.
fn refuse_unwritable(folder: &Path, names: &[&str]) -> Result<(), Failure> {
    for name in names.iter().copied().chain([MANIFEST]) {
        refuse_unordinary(&folder.join(name))?;
        let below = Path::new(name).parent().filter(|below| !below.as_os_str().is_empty());
        if let Some(path) = below.map(|below| folder.join(below))
            && path.is_symlink()
        {
            return Err(Failure::Failed(format!(
                "nothing was written: `{}` is a link, and results are not written through it; name another folder",
                shown(&path)
            )));
        }
    }
    Ok(())
}

/// Refuses if a file would be replaced that we did not write, or that was changed since.
fn refuse_foreign(folder: &Path, names: &[&str], known: &Manifest) -> Result<(), Failure> {
    let foreign_manifest = known.is_empty() && folder.join(MANIFEST).symlink_metadata().is_ok();
    let is_foreign = |name: &&str| -> bool {
        folder.join(name).symlink_metadata().is_ok() && known.hash_of(folder, name).is_none()
    };
    let mut foreign: Vec<String> =
        names.iter().copied().filter(is_foreign).map(str::to_owned).collect();
    if foreign_manifest {
        foreign.push(MANIFEST.to_owned());
    }
    if foreign.is_empty() {
        return Ok(());
    }
    Err(Failure::Failed(format!(
        "nothing was written: `{}` holds files that this program did not write, or that were changed since: {}; name another folder, or replace them with --force",
        shown(folder),
        foreign.join(", ")
    )))
}

/// Removes what an earlier run wrote, nobody changed, and this run no longer has.
fn remove_stale(folder: &Path, before: &Hashes, after: &Hashes) {
    for name in before.keys().filter(|name| !after.contains_key(*name)) {
        // A file that cannot be removed is only old, not wrong.
        let _ = fs::remove_file(folder.join(name));
    }
}

/// A manifest may have been edited: only names inside the folder are ours to remove.
fn is_below(name: &str) -> bool {
    Path::new(name).components().all(|part| matches!(part, Component::Normal(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(name: &str, text: &str) -> Vec<(String, Vec<u8>)> {
        vec![(name.to_owned(), text.as_bytes().to_vec())]
    }

    #[test]
    fn our_own_unchanged_files_are_replaced_and_others_are_not() {
        let folder = tempfile::tempdir().unwrap();
        let provenance = Provenance::default();
        let put =
            |files: &[(String, Vec<u8>)], force| write(folder.path(), files, &provenance, force);
        put(&one("a.csv", "1"), false).unwrap();
        put(&one("a.csv", "2"), false).unwrap();
        fs::write(folder.path().join("a.csv"), "mine").unwrap();
        assert!(put(&one("a.csv", "3"), false).is_err());
        assert_eq!(fs::read_to_string(folder.path().join("a.csv")).unwrap(), "mine");
        put(&one("a.csv", "4"), true).unwrap();
        assert_eq!(fs::read_to_string(folder.path().join("a.csv")).unwrap(), "4");
    }

    #[test]
    fn a_file_of_somebody_else_stops_everything() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("b.csv"), "theirs").unwrap();
        let mut files = one("a.csv", "1");
        files.extend(one("b.csv", "2"));
        assert!(write(folder.path(), &files, &Provenance::default(), false).is_err());
        assert!(!folder.path().join("a.csv").exists());
    }

    #[test]
    fn what_is_no_longer_made_is_removed_if_nobody_changed_it() {
        let folder = tempfile::tempdir().unwrap();
        let provenance = Provenance::default();
        let mut files = one("a.csv", "1");
        files.extend(one("old/b.csv", "2"));
        write(folder.path(), &files, &provenance, false).unwrap();
        write(folder.path(), &one("a.csv", "1"), &provenance, false).unwrap();
        assert!(!folder.path().join("old/b.csv").exists());
    }
}
