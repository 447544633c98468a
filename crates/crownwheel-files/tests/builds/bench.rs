//! A copy of the demo in a folder of its own, to spoil in one place.

#![allow(clippy::unwrap_used, reason = "helpers of tests: a panic is a failed test")]

use std::path::PathBuf;

use crownwheel_files::build::{self, FileLimits};
use crownwheel_files::{Build, Report, Set, template};

/// One change of the demo.
pub(crate) enum Change {
    /// Replace a text in the build.
    Edit { from: &'static str, to: &'static str },
    /// Write another file.
    Write { name: &'static str, text: &'static str },
    /// Override a key.
    Set { key: &'static str, value: &'static str },
}

pub(crate) fn edit(from: &'static str, to: &'static str) -> Change {
    Change::Edit { from, to }
}

pub(crate) fn set(key: &'static str, value: &'static str) -> Change {
    Change::Set { key, value }
}

pub(crate) fn curve(text: &'static str) -> Change {
    Change::Write { name: "motor-curve.csv", text }
}

pub(crate) fn losses(text: &'static str) -> Change {
    Change::Write { name: "motor-losses.csv", text }
}

/// Compares the messages of all cases with the kept ones.
pub(crate) fn check_messages(name: &str, cases: &[(&str, Change)]) {
    let mut settings = insta::Settings::clone_current();
    settings.set_omit_expression(true);
    settings.set_prepend_module_to_snapshot(false);
    settings.set_snapshot_path("snapshots");
    settings.bind(|| insta::assert_snapshot!(name, messages(cases)));
}

/// The messages of all cases, each under its name.
fn messages(cases: &[(&str, Change)]) -> String {
    let mut all = String::new();
    for (name, change) in cases {
        let bench = Bench::demo();
        let report = bench.changed(change).map(|_| ()).expect_err(name);
        let text = bench.short(&report.to_string());
        all.push_str(&format!("== {name}\n{text}\n\n"));
    }
    all
}

/// The folder.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    pub(crate) fn demo() -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        for file in template::FILES {
            bench.write_bytes(file.name, file.text.as_bytes());
        }
        std::fs::create_dir(bench.path("folder")).unwrap();
        bench
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write_bytes(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.path(name), bytes).unwrap();
    }

    pub(crate) fn replace(&self, name: &str, from: &str, to: &str) {
        let text = std::fs::read_to_string(self.path(name)).unwrap();
        // The case says nothing if the demo no longer holds the text.
        assert!(text.contains(from), "{name} does not hold {from}");
        self.write_bytes(name, text.replacen(from, to, 1).as_bytes());
    }

    pub(crate) fn load(&self, sets: &[Set]) -> Result<Build, Report> {
        build::load(self.folder.path(), sets)
    }

    pub(crate) fn load_within(&self, limits: FileLimits) -> Result<Build, Report> {
        build::load_within(self.folder.path(), &[], limits)
    }

    pub(crate) fn changed(&self, change: &Change) -> Result<Build, Report> {
        match *change {
            Change::Edit { from, to } => self.replace("build.toml", from, to),
            Change::Write { name, text } => self.write_bytes(name, text.as_bytes()),
            Change::Set { key, value } => {
                return self.load(&[Set { key: key.to_owned(), value: value.to_owned() }]);
            }
        }
        self.load(&[])
    }

    /// A text without the path of the folder, which is another one in every run.
    pub(crate) fn short(&self, text: &str) -> String {
        text.replace(&format!("{}/", self.folder.path().display()), "")
    }
}
