//! Results on disk: whole or not at all, and never over what somebody else wrote.
//!
//! A manifest in the folder holds the hash of every file that was written. A later run replaces
//! files that still have that hash; others are refused unless forced.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::Path;

use crownwheel_answers::Provenance;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::outcome::Failure;
use crate::subject::hex;

/// Name of the manifest.
const MANIFEST: &str = "manifest.json";

/// Hashes of the files that were written, by name.
type Hashes = BTreeMap<String, String>;

/// What a file will hold.
pub(crate) enum Content<'a> {
    /// These bytes.
    Bytes(&'a [u8]),
    /// What stands in a file beside it, for what is too long for the memory.
    File(tempfile::NamedTempFile),
}

/// Writes files into a folder, which is made if it is not there. Names may have folders, with `/`.
pub(crate) fn write(
    folder: &Path,
    files: &[(String, Vec<u8>)],
    provenance: &Provenance,
    force: bool,
) -> Result<(), Failure> {
    let files = files.iter().map(|(name, bytes)| (name.as_str(), Content::Bytes(bytes)));
    write_contents(folder, files.collect(), provenance, force)
}

/// The same for files of which some are on the disk already.
pub(crate) fn write_contents(
    folder: &Path,
    files: Vec<(&str, Content<'_>)>,
    provenance: &Provenance,
    force: bool,
) -> Result<(), Failure> {
    let before = read_manifest(folder);
    if !force {
        let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
        refuse_foreign(folder, &names, &before)?;
    }
    let mut after = Hashes::new();
    for (name, content) in files {
        let path = folder.join(name);
        let hash = match content {
            Content::Bytes(bytes) => {
                write_whole(&path, bytes)?;
                hash(bytes)
            }
            Content::File(file) => {
                let hash = hash_of(file.path())
                    .map_err(|error| Failure::file("read", file.path(), &error))?;
                put_in_place(file, &path)?;
                hash
            }
        };
        after.insert(name.to_owned(), hash);
    }
    remove_stale(folder, &before, &after);
    write_whole(&folder.join(MANIFEST), manifest(&after, provenance).as_bytes())
}

/// Refuses a folder in which files of these names are not ours to replace.
pub(crate) fn refuse_foreign_names(folder: &Path, names: &[&str]) -> Result<(), Failure> {
    refuse_foreign(folder, names, &read_manifest(folder))
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
        let read = std::io::Read::read(&mut file, &mut part)?;
        if read == 0 {
            return Ok(hex(&sha.finalize()));
        }
        sha.update(&part[..read]);
    }
}

fn manifest(hashes: &Hashes, provenance: &Provenance) -> String {
    let value = json!({
        "program": "crownwheel",
        "program_version": provenance.program_version,
        "inputs_hash": provenance.inputs_hash,
        "files": hashes,
    });
    format!("{value:#}\n")
}

/// What an earlier run wrote; nothing if there is no manifest or it is not one of ours.
fn read_manifest(folder: &Path) -> Hashes {
    let read = || -> Option<Hashes> {
        let text = fs::read_to_string(folder.join(MANIFEST)).ok()?;
        let value: Value = serde_json::from_str(&text).ok()?;
        let files = value.get("files")?.as_object()?;
        let pairs =
            files.iter().map(|(name, hash)| Some((name.clone(), hash.as_str()?.to_owned())));
        pairs.collect()
    };
    read().unwrap_or_default()
}

/// Refuses if a file would be replaced that we did not write, or that was changed since.
fn refuse_foreign(folder: &Path, names: &[&str], before: &Hashes) -> Result<(), Failure> {
    let manifest_path = folder.join(MANIFEST);
    let foreign_manifest = before.is_empty() && manifest_path.exists();
    let is_foreign = |name: &&str| -> bool {
        let path = folder.join(name);
        path.symlink_metadata().is_ok() && !is_unchanged(&path, before.get(*name))
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
        folder.display(),
        foreign.join(", ")
    )))
}

fn is_unchanged(path: &Path, expected: Option<&String>) -> bool {
    let Some(expected) = expected else { return false };
    hash_of(path).is_ok_and(|hash| hash == *expected)
}

/// Removes what an earlier run wrote, nobody changed, and this run no longer has.
fn remove_stale(folder: &Path, before: &Hashes, after: &Hashes) {
    for (name, expected) in before {
        let path = folder.join(name);
        if !after.contains_key(name) && is_below(name) && is_unchanged(&path, Some(expected)) {
            // A file that cannot be removed is only old, not wrong.
            let _ = fs::remove_file(path);
        }
    }
}

/// A manifest may have been edited: only names inside the folder are ours to remove.
fn is_below(name: &str) -> bool {
    let path = Path::new(name);
    path.components().all(|part| matches!(part, std::path::Component::Normal(_)))
}

/// Writes a file beside its place and moves it there, so that it is whole or absent.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder).map_err(|error| Failure::file("make the folder", folder, &error))?;
    let failed = |error: &dyn std::fmt::Display| Failure::file("write", path, error);
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(|error| failed(&error))?;
    file.write_all(bytes).map_err(|error| failed(&error))?;
    put_in_place(file, path)
}

/// Moves a file to its place, made as readable as any other.
fn put_in_place(file: tempfile::NamedTempFile, path: &Path) -> Result<(), Failure> {
    readable(&file)?;
    file.persist(path).map_err(|error| Failure::file("write", path, &error.error))?;
    Ok(())
}

/// Temporary files are private; results are made as readable as any other file.
#[cfg(unix)]
fn readable(file: &tempfile::NamedTempFile) -> Result<(), Failure> {
    use std::os::unix::fs::PermissionsExt;
    let mode = fs::Permissions::from_mode(0o644);
    file.as_file()
        .set_permissions(mode)
        .map_err(|error| Failure::file("set the permissions of", file.path(), &error))
}

#[cfg(not(unix))]
fn readable(_file: &tempfile::NamedTempFile) -> Result<(), Failure> {
    Ok(())
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
