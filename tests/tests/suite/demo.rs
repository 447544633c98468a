//! The demo build, read from its files.

use std::path::{Path, PathBuf};

use crownwheel::cycle::{BUILTIN_NAMES, Cycle};
use crownwheel_files::{Build, cycle_file, load};

/// Folder of the demo.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo/dunlin")
}

/// The demo build.
pub(crate) fn build() -> Build {
    load(&folder().join("build.toml"), &[])
        .unwrap_or_else(|report| panic!("{}", report.render(false)))
}

/// The moorland round of the demo.
pub(crate) fn moor_round() -> Cycle {
    let file = cycle_file::open("moor-round.csv", &folder());
    file.unwrap_or_else(|report| panic!("{}", report.render(false))).cycle
}

/// The built-in cycles and the moorland round.
pub(crate) fn cycles() -> Vec<Cycle> {
    let builtin = BUILTIN_NAMES.iter().filter_map(|name| Cycle::builtin(name));
    builtin.chain([moor_round()]).collect()
}
