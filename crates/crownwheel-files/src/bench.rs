//! For unit tests: the starter build with some of its text replaced.

use crate::template::FILES;
use crate::{Build, Report};

/// Loads the starter build with each first text replaced by the second.
pub(crate) fn try_changed(edits: &[(&str, &str)]) -> Result<Build, Report> {
    let folder = tempfile::tempdir().unwrap();
    for file in FILES {
        let mut text = file.text.to_owned();
        if file.name == "build.toml" {
            for (from, to) in edits {
                assert!(text.contains(from), "the starter build does not hold {from}");
                text = text.replacen(from, to, 1);
            }
        }
        std::fs::write(folder.path().join(file.name), text).unwrap();
    }
    crate::load(folder.path(), &[])
}

/// The same for edits that make a sound build.
pub(crate) fn changed(edits: &[(&str, &str)]) -> Build {
    try_changed(edits).unwrap_or_else(|report| panic!("{report}"))
}

/// The message of edits that do not.
pub(crate) fn refused(edits: &[(&str, &str)]) -> String {
    try_changed(edits).map(|_| ()).unwrap_err().to_string()
}

/// Value, band and source of an assumed key.
pub(crate) fn assumed(build: &Build, key: &str) -> Option<(String, String, String)> {
    let entry = build.assumed.iter().find(|assumed| assumed.key == key)?;
    assert!(!entry.source.is_empty(), "{key}");
    Some((entry.value.clone(), entry.band.clone(), entry.source.clone()))
}

/// Whether two numbers agree to a part in 10⁹.
pub(crate) fn close(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-9 * left.abs().max(right.abs())
}
