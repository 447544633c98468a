//! A copy of a demo in a folder of its own, to spoil in one place.

#![allow(clippy::unwrap_used, reason = "helpers of tests: a panic is a failed test")]

use std::path::{Path, PathBuf};

use crownwheel_files::build::{self, FileLimits};
use crownwheel_files::message::{Problem, ProblemKind};
use crownwheel_files::{Build, Report, Set};

/// A folder of `data-demo`.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Demo {
    /// The saloon in metric, with a reduction and four scales.
    Dunlin,
    /// The van in pounds and miles, with its gearbox and coast-down coefficients.
    Godwit,
    /// The light car with a weighbridge ticket, a brushed motor and no reduction.
    Wren,
}

impl Demo {
    pub(crate) const ALL: [Self; 3] = [Self::Dunlin, Self::Godwit, Self::Wren];

    pub(crate) fn folder(self) -> PathBuf {
        let name = match self {
            Self::Dunlin => "dunlin",
            Self::Godwit => "godwit",
            Self::Wren => "wren",
        };
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo").join(name)
    }

    /// Names of its files, sorted. Logs of the finished car lie in a folder of their own.
    pub(crate) fn files(self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder()).unwrap().map(Result::unwrap);
        let files = entries.filter(|entry| entry.path().is_file());
        let mut names: Vec<String> =
            files.map(|entry| entry.file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }
}

/// One change of the demo.
pub(crate) enum Difference {
    /// Replace a text in the build.
    Edit { from: &'static str, to: &'static str },
    /// Write another file.
    Write { name: &'static str, text: &'static str },
    /// Override a key.
    Set { key: &'static str, value: &'static str },
}

pub(crate) fn edit(from: &'static str, to: &'static str) -> Difference {
    Difference::Edit { from, to }
}

pub(crate) fn set(key: &'static str, value: &'static str) -> Difference {
    Difference::Set { key, value }
}

pub(crate) fn write(name: &'static str, text: &'static str) -> Difference {
    Difference::Write { name, text }
}

pub(crate) fn curve(text: &'static str) -> Difference {
    write("motor-curve.csv", text)
}

pub(crate) fn losses(text: &'static str) -> Difference {
    write("motor-losses.csv", text)
}

/// Compares the messages of all cases with the kept ones. Each message must name its place, a key
/// and a way out.
pub(crate) fn check_messages(name: &str, demo: Demo, cases: &[(&str, Difference)]) {
    let mut settings = insta::Settings::clone_current();
    settings.set_omit_expression(true);
    settings.set_prepend_module_to_snapshot(false);
    settings.set_snapshot_path("snapshots");
    let (messages, faults) = messages(demo, cases);
    settings.bind(|| insta::assert_snapshot!(name, messages));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The messages of all cases, each under its name, and what is wrong with them.
fn messages(demo: Demo, cases: &[(&str, Difference)]) -> (String, Vec<String>) {
    let (mut all, mut faults) = (String::new(), Vec::new());
    for (name, change) in cases {
        let bench = Bench::of(demo);
        match bench.changed(change) {
            Ok(_) => faults.push(format!("{name}: this loads")),
            Err(report) => {
                faults.extend(report.problems().iter().filter_map(|p| fault_of(name, p)));
                let text = bench.short(&report.to_string());
                all.push_str(&format!("== {name}\n{text}\n\n"));
            }
        }
    }
    (all, faults)
}

/// Each message names its place, a key, and a way out.
fn fault_of(name: &str, problem: &Problem) -> Option<String> {
    let place = format!("--> {}:{}:{}", problem.file, problem.line, problem.column);
    let fault = if problem.line == 0 || problem.column == 0 || !problem.to_string().contains(&place)
    {
        "no place"
    } else if problem.key.is_empty() && problem.kind != ProblemKind::Syntax {
        // What is not even TOML has no keys.
        "no key"
    } else if problem.allowed.is_empty() && problem.hint.is_empty() {
        "no way out"
    } else {
        return None;
    };
    Some(format!("{name}: {fault}: {problem}"))
}

/// The folder.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    /// The first demo, which is also the starter build.
    pub(crate) fn demo() -> Self {
        Self::of(Demo::Dunlin)
    }

    pub(crate) fn of(demo: Demo) -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        for name in demo.files() {
            std::fs::copy(demo.folder().join(&name), bench.path(&name)).unwrap();
        }
        std::fs::create_dir(bench.path("folder")).unwrap();
        bench
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    pub(crate) fn write_bytes(&self, name: &str, bytes: &[u8]) {
        std::fs::write(self.path(name), bytes).unwrap();
    }

    pub(crate) fn replace(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        // The case says nothing if the demo no longer holds the text.
        assert!(text.contains(from), "{name} does not hold {from}");
        self.write_bytes(name, text.replacen(from, to, 1).as_bytes());
    }

    pub(crate) fn load(&self, sets: &[Set]) -> Result<Build, Report> {
        build::load(self.folder.path(), sets)
    }

    /// Loads what must load.
    pub(crate) fn loaded(&self) -> Build {
        self.load(&[]).unwrap_or_else(|report| panic!("{report}"))
    }

    /// The van again, written in metric.
    pub(crate) fn loaded_metric(&self) -> Build {
        build::load(&self.path("build-metric.toml"), &[])
            .unwrap_or_else(|report| panic!("{report}"))
    }

    pub(crate) fn load_within(&self, limits: FileLimits) -> Result<Build, Report> {
        build::load_within(self.folder.path(), &[], limits)
    }

    pub(crate) fn changed(&self, change: &Difference) -> Result<Build, Report> {
        match *change {
            Difference::Edit { from, to } => self.replace("build.toml", from, to),
            Difference::Write { name, text } => self.write_bytes(name, text.as_bytes()),
            Difference::Set { key, value } => {
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
