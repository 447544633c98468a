//! A copy of a demo with its sweep in a folder of its own, to spoil in one place.

#![allow(clippy::unwrap_used, reason = "helpers of tests: a panic is a failed test")]

use std::path::{Path, PathBuf};

use crownwheel_files::message::{Problem, ProblemKind};
use crownwheel_files::{Report, Set, SweepBuild, load_sweep};

/// The folder.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    /// The saloon.
    pub(crate) fn dunlin() -> Self {
        Self::of("dunlin")
    }

    pub(crate) fn of(demo: &str) -> Self {
        let bench = Self { folder: tempfile::tempdir().unwrap() };
        let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo");
        for entry in std::fs::read_dir(demos.join(demo)).unwrap() {
            let path = entry.unwrap().path();
            // Logs of the finished car lie in a folder of their own.
            if path.is_dir() {
                continue;
            }
            std::fs::copy(&path, bench.folder.path().join(path.file_name().unwrap())).unwrap();
        }
        std::fs::create_dir(bench.path("folder")).unwrap();
        bench
    }

    /// A short sweep of the saloon, with these lines.
    pub(crate) fn with(lines: &str) -> Self {
        let bench = Self::dunlin();
        bench.write("sweep.toml", &format!("format = 1\ncycles = [\"udds\"]\n{lines}\n"));
        bench
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    pub(crate) fn replace(&self, name: &str, from: &str, to: &str) {
        let text = std::fs::read_to_string(self.path(name)).unwrap();
        // The case says nothing if the demo no longer holds the text.
        assert!(text.contains(from), "{name} does not hold {from}");
        self.write(name, &text.replacen(from, to, 1));
    }

    pub(crate) fn load(&self, sets: &[(&str, &str)]) -> Result<SweepBuild, Report> {
        let set = |(key, value): &(&str, &str)| Set { key: (*key).into(), value: (*value).into() };
        let sets: Vec<Set> = sets.iter().map(set).collect();
        load_sweep(self.folder.path(), &sets)
    }

    /// Loads what must load.
    pub(crate) fn loaded(&self) -> SweepBuild {
        self.load(&[]).unwrap_or_else(|report| panic!("{report}"))
    }

    /// A text without the path of the folder, which is another one in every run.
    pub(crate) fn short(&self, text: &str) -> String {
        text.replace(&format!("{}/", self.folder.path().display()), "")
    }
}

/// Loads a short sweep with these lines.
pub(crate) fn loaded(lines: &str) -> SweepBuild {
    Bench::with(lines).loaded()
}

/// One way to be wrong.
pub(crate) enum Wrong {
    /// The lines of a short sweep.
    Lines(&'static str),
    /// A whole sweep.
    Whole(&'static str),
    /// Another text in the demo's sweep.
    Edit(&'static str, &'static str),
    /// Another text in its build.
    Build(&'static str, &'static str),
    /// An override.
    Set(&'static str, &'static str),
}

/// Compares the messages of all cases with the kept ones. Each message must name its place, a key
/// and a way out.
pub(crate) fn check_messages(name: &str, cases: &[(&str, Wrong)]) {
    let mut settings = insta::Settings::clone_current();
    settings.set_omit_expression(true);
    settings.set_prepend_module_to_snapshot(false);
    settings.set_snapshot_path("snapshots");
    let (mut all, mut faults) = (String::new(), Vec::new());
    for (case, wrong) in cases {
        let (bench, result) = load(wrong);
        match result {
            Ok(_) => faults.push(format!("{case}: this loads")),
            Err(report) => {
                faults.extend(report.problems().iter().filter_map(|p| fault_of(case, p)));
                let text = bench.short(&report.to_string());
                all.push_str(&format!("== {case}\n{text}\n\n"));
            }
        }
    }
    settings.bind(|| insta::assert_snapshot!(name, all));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn load(wrong: &Wrong) -> (Bench, Result<SweepBuild, Report>) {
    let bench = match wrong {
        Wrong::Lines(lines) => Bench::with(lines),
        _ => Bench::dunlin(),
    };
    let mut sets = Vec::new();
    match wrong {
        Wrong::Lines(_) => {}
        Wrong::Whole(text) => bench.write("sweep.toml", text),
        Wrong::Edit(from, to) => bench.replace("sweep.toml", from, to),
        Wrong::Build(from, to) => bench.replace("build.toml", from, to),
        Wrong::Set(key, value) => sets.push((*key, *value)),
    }
    let result = bench.load(&sets);
    (bench, result)
}

/// Each message names its place, a key, and a way out.
fn fault_of(name: &str, problem: &Problem) -> Option<String> {
    let place = format!("--> {}:{}:{}", problem.file, problem.line, problem.column);
    let fault = if problem.line == 0 || problem.column == 0 || !problem.to_string().contains(&place)
    {
        "no place"
    } else if problem.key.is_empty()
        && !matches!(problem.kind, ProblemKind::Syntax | ProblemKind::File)
    {
        "no key"
    } else if problem.allowed.is_empty() && problem.hint.is_empty() {
        "no way out"
    } else {
        return None;
    };
    Some(format!("{name}: {fault}: {problem}"))
}
