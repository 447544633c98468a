//! What a report was made from, kept beside it, so that the next one can say what changed.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel_answers::from_car::RangeRequest;
use crownwheel_files::{BuildText, cycle_file, input};
use serde::{Deserialize, Serialize};

use crate::outcome::Failure;
use crate::results_folder::EarlierResults;
use crate::subject::{LoadedBuild, parse_sets};

/// Folder of what is kept.
const FOLDER: &str = "inputs";

/// The build as it was read.
const BUILD: &str = "build.toml";

/// What else belongs to it.
const MADE: &str = "made-from.json";

/// Everything beside the build's own text.
#[derive(Debug, Deserialize, Serialize)]
struct ReportOrigin {
    program_version: String,
    inputs_hash: String,
    /// What was set over the build.
    set: Vec<String>,
    /// Files that keys of the build name, by key.
    files: BTreeMap<String, String>,
    /// Cycles that were read from files, by name.
    cycles: BTreeMap<String, String>,
}

/// What is kept of a report: names below its folder, and bytes.
pub(super) fn files(
    loaded: &LoadedBuild,
    wanted: &RangeRequest,
    sets: &[String],
) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut shelf = Shelf::default();
    if let Some(build) = loaded.inputs.first() {
        shelf.put(BUILD, &build.bytes);
    }
    let of_keys = loaded.build.files.iter().filter_map(|(key, path)| {
        let input = loaded.inputs.iter().find(|input| input.path == *path).cloned();
        // A cycle that nothing asked for was not opened.
        let read = || Some(input::read_text(path, input::LARGEST_TABLE).ok()?.1);
        let input = input.or_else(read)?;
        Some((key.clone(), shelf.keep(&input.path, &input.bytes)))
    });
    let of_keys: BTreeMap<String, String> = of_keys.collect();
    let of_cycles = wanted.cycles.iter().filter_map(|cycle| {
        let input = loaded.file_of(cycle)?;
        Some((cycle.name().to_owned(), shelf.keep(&input.path, &input.bytes)))
    });
    let of_cycles: BTreeMap<String, String> = of_cycles.collect();
    let provenance = &loaded.subject.provenance;
    let made = ReportOrigin {
        program_version: provenance.program_version.clone(),
        inputs_hash: provenance.inputs_hash.clone(),
        set: sets.to_vec(),
        files: of_keys,
        cycles: of_cycles,
    };
    let made = serde_json::to_string_pretty(&made)
        .map_err(|error| Failure::Failed(format!("cannot write `{MADE}`: {error}")))?;
    shelf.put(MADE, format!("{made}\n").as_bytes());
    let below = |(name, bytes): (String, Vec<u8>)| (format!("{FOLDER}/{name}"), bytes);
    Ok(shelf.files.into_iter().map(below).collect())
}

/// Files with names of their own.
#[derive(Default)]
struct Shelf {
    files: Vec<(String, Vec<u8>)>,
    taken: BTreeSet<String>,
}

impl Shelf {
    fn put(&mut self, name: &str, bytes: &[u8]) {
        self.taken.insert(name.to_lowercase());
        self.files.push((name.to_owned(), bytes.to_vec()));
    }

    /// Keeps a file once, under its own name: cycles are called by it. Of two files of the same name the
    /// second goes into a folder.
    fn keep(&mut self, path: &Path, bytes: &[u8]) -> String {
        let own = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
        let mut name = own.clone();
        let mut number = 1;
        while self.taken.contains(&name.to_lowercase()) || name.eq_ignore_ascii_case(MADE) {
            let same = self.files.iter().any(|(known, held)| *known == name && held == bytes);
            if same {
                return name;
            }
            number += 1;
            name = format!("{number}/{own}");
        }
        self.put(&name, bytes);
        name
    }
}

/// What the report before was made from.
pub(super) struct EarlierReport {
    pub(super) text: BuildText,
    pub(super) program_version: String,
    /// Cycles that were read from files.
    pub(super) cycles: Vec<Cycle>,
}

impl EarlierReport {
    /// Reads what is kept in a folder. `None`: nothing is.
    ///
    /// # Errors
    /// Why it cannot be used, as the end of a sentence.
    pub(super) fn read(folder: &Path) -> Result<Option<EarlierReport>, String> {
        let made_name = format!("{FOLDER}/{MADE}");
        let Some(earlier) = EarlierResults::read(folder).filter(|earlier| earlier.has(&made_name))
        else {
            return Ok(None);
        };
        let ours = |name: &str| {
            if earlier.is_unchanged(folder, name) {
                Ok(folder.join(name))
            } else {
                Err(format!("`{name}` was changed after it was written"))
            }
        };
        let below = |name: &String| ours(&format!("{FOLDER}/{name}"));
        let (text, _) = input::read_text(&ours(&made_name)?, input::LARGEST_BUILD)
            .map_err(|error| error.to_string())?;
        let made: ReportOrigin =
            serde_json::from_str(&text).map_err(|_| "another version wrote it".to_owned())?;
        let build = below(&BUILD.to_owned())?;
        let files = made.files.iter().map(|(key, name)| Ok((key.clone(), below(name)?)));
        let files = files.collect::<Result<BTreeMap<_, _>, String>>()?;
        let unreadable = || "this version does not read the build of then".to_owned();
        let sets = parse_sets(&made.set).map_err(|_| unreadable())?;
        let text = BuildText::kept(&build, &sets, &files).map_err(|_| unreadable())?;
        let cycle = |name: &String| {
            let path = below(name)?;
            let read = cycle_file::read(&path, input::LARGEST_TABLE).map_err(|_| unreadable())?;
            Ok(read.cycle)
        };
        Ok(Some(EarlierReport {
            text,
            cycles: made.cycles.values().map(cycle).collect::<Result<_, String>>()?,
            program_version: made.program_version,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_the_same_name_are_kept_apart_and_the_same_file_once() {
        let mut shelf = Shelf::default();
        shelf.put(BUILD, b"");
        assert_eq!(shelf.keep(Path::new("a/curve.csv"), b"1"), "curve.csv");
        assert_eq!(shelf.keep(Path::new("b/curve.csv"), b"1"), "curve.csv");
        assert_eq!(shelf.keep(Path::new("b/Curve.csv"), b"2"), "2/Curve.csv");
        assert_eq!(shelf.keep(Path::new("c/curve.csv"), b"3"), "3/curve.csv");
        assert_eq!(shelf.keep(Path::new("made-from.json"), b"4"), "2/made-from.json");
        assert_eq!(shelf.keep(Path::new("build.toml"), b"5"), "2/build.toml");
        assert_eq!(shelf.files.len(), 6);
    }
}
