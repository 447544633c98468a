//! A build that is written into: the new text is tried before it takes the place of the old, and what
//! somebody wrote meanwhile is not lost.

use std::fs;
use std::io::Write;
use std::path::Path;

use crownwheel_files::Build;

use crate::outcome::{Failure, shown};
use crate::staging::write_whole;

/// The text as it was read. A link is refused: it would have to be replaced, or a file be changed that was
/// not named.
pub(crate) fn of(build: &Build) -> Result<&str, Failure> {
    if let Ok(target) = fs::read_link(&build.path) {
        return Err(Failure::Usage(format!(
            "nothing was written: `{}` is a link to `{}`; name the file itself",
            shown(&build.path),
            shown(&target)
        )));
    }
    let bytes = build.inputs.first().map_or(&[][..], |input| &input.bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        Failure::Failed(format!("cannot read `{}` as text: {error}", shown(&build.path)))
    })
}

/// Reads a new text as a build, beside the old one so that its tables are found.
pub(crate) fn tried(path: &Path, text: &str) -> Result<(), String> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let failed = |error: std::io::Error| format!("cannot write beside it: {error}");
    let mut file = tempfile::Builder::new()
        .suffix(".toml")
        .tempfile_in(folder.unwrap_or(Path::new(".")))
        .map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)?;
    match crownwheel_files::load(file.path(), &[]) {
        Ok(_) => Ok(()),
        Err(report) => Err(format!(
            "with these lines it would not be a build any more:\n{}",
            report.render(false).trim_end()
        )),
    }
}

/// Puts a text that was tried in the place of the old one.
pub(crate) fn replace(build: &Build, text: &str) -> Result<(), Failure> {
    let now = fs::read(&build.path).map_err(|error| Failure::file("read", &build.path, &error))?;
    if build.inputs.first().is_some_and(|input| *input.bytes != *now) {
        return Err(Failure::Failed(format!(
            "nothing was written: `{}` was changed meanwhile; run this again",
            shown(&build.path)
        )));
    }
    write_whole(&build.path, text.as_bytes())
}
