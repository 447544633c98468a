//! The demo builds, read from their files, and the cycles that they bring.

use std::path::{Path, PathBuf};

use crownwheel::cycle::{BUILTIN_NAMES, Cycle};
use crownwheel_files::outside::{CycleRef, DemandKind};
use crownwheel_files::{Build, cycle_file, load};

/// A demo: its folder and the name of the build in it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Demo {
    folder: &'static str,
    file: &'static str,
}

/// A saloon in metric.
pub(crate) const DUNLIN: Demo = Demo { folder: "dunlin", file: "build.toml" };

/// A van in US units.
pub(crate) const GODWIT: Demo = Demo { folder: "godwit", file: "build.toml" };

/// The same van in metric.
pub(crate) const GODWIT_METRIC: Demo = Demo { folder: "godwit", file: "build-metric.toml" };

/// A light car of the thirties.
pub(crate) const WREN: Demo = Demo { folder: "wren", file: "build.toml" };

/// One of each car.
pub(crate) const DEMOS: [Demo; 3] = [DUNLIN, GODWIT, WREN];

impl Demo {
    /// Folder of the demo.
    pub(crate) fn folder(self) -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo").join(self.folder)
    }

    /// The build's file.
    pub(crate) fn path(self) -> PathBuf {
        self.folder().join(self.file)
    }

    /// The build.
    pub(crate) fn build(self) -> Build {
        load(&self.path(), &[]).unwrap_or_else(|report| panic!("{}", report.render(false)))
    }

    /// The built-in cycles and the demo's own.
    pub(crate) fn cycles(self) -> Vec<Cycle> {
        let builtin = BUILTIN_NAMES.iter().filter_map(|name| Cycle::builtin(name).ok());
        builtin.chain(self.own_cycles()).collect()
    }

    /// The cycle files that the demo's demands name, each once.
    pub(crate) fn own_cycles(self) -> Vec<Cycle> {
        let mut names: Vec<PathBuf> = Vec::new();
        for demand in self.build().demands {
            if let DemandKind::Range { cycle: CycleRef::File(path), .. } = demand.what
                && !names.contains(&path)
            {
                names.push(path);
            }
        }
        let open = |name: &PathBuf| {
            let file = cycle_file::open(&name.display().to_string(), Path::new(""));
            file.unwrap_or_else(|report| panic!("{}", report.render(false))).cycle
        };
        names.iter().map(open).collect()
    }
}
