//! Logs of drives, as routes that are driven once.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel_files::cycle_file::is_gpx;
use crownwheel_files::input::InputFile;
use crownwheel_logs::trip::{TripError, trip};
use crownwheel_logs::{ReadOptions, read_log_watched};

use crate::outcome::Failure;
use crate::subject::LoadedBuild;

/// Whether a cycle as it is typed is a log that has to be cleaned first.
pub(crate) fn is_log(name: &str) -> bool {
    is_gpx(Path::new(name))
}

/// Cleans logs into what was driven, as `trip` does; they count as input of the answer.
pub(crate) fn open_logs(loaded: &mut LoadedBuild, logs: &[String]) -> Result<Vec<Cycle>, Failure> {
    let mut routes = Vec::new();
    for log in logs {
        let (route, input, notes) = open(Path::new(log))?;
        loaded.add_input(input, notes);
        routes.push(route);
    }
    Ok(routes)
}

fn open(path: &Path) -> Result<(Cycle, InputFile, Vec<String>), Failure> {
    let mut bytes = Vec::new();
    let log = read_log_watched(path, &ReadOptions::default(), &mut |part| bytes.extend(part))
        .map_err(|error| Failure::Usage(error.to_string()))?;
    let refused = |error: TripError| Failure::Usage(error.to_string());
    let mut driven = trip(&log).map_err(refused)?;
    if let Some(stem) = path.file_stem() {
        driven.name = stem.to_string_lossy().into_owned();
    }
    let route = driven.cycle().map_err(refused)?;
    let input = InputFile { path: PathBuf::from(path), bytes: Arc::from(bytes) };
    Ok((route, input, driven.notes))
}
