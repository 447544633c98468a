//! The program, the demos, and copies of them that a test may change.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// The program, and nothing of the terminal that the tests run in.
pub(crate) fn crownwheel() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_crownwheel"));
    command.env("NO_COLOR", "1").stdin(Stdio::null());
    command
}

pub(crate) fn run(args: &[&str]) -> Output {
    crownwheel().args(args).output().unwrap()
}

pub(crate) fn run_with(args: &[&str], threads: &str) -> Output {
    crownwheel().args(args).env("RAYON_NUM_THREADS", threads).output().unwrap()
}

/// As [`run`]; it must succeed.
pub(crate) fn good(args: &[&str]) -> Output {
    let output = run(args);
    assert_eq!(output.status.code(), Some(0), "{args:?}: {}", text(&output.stderr));
    output
}

/// The answer as JSON.
pub(crate) fn json(args: &[&str]) -> Value {
    serde_json::from_slice(&good(&[args, &["--json"]].concat()).stdout).unwrap()
}

pub(crate) fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

pub(crate) fn path_text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The folder of a demo.
pub(crate) fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo").join(name)
}

/// The saloon's, as it is typed.
pub(crate) fn dunlin() -> String {
    path_text(&demo("dunlin")).to_owned()
}

/// A log of the saloon, as it is typed.
pub(crate) fn demo_log(name: &str) -> String {
    path_text(&demo("dunlin").join("logs").join(name)).to_owned()
}

/// A demo copied where a test may change it; its logs stay where they are.
pub(crate) fn copy_of(name: &str) -> TempDir {
    let folder = TempDir::new().unwrap();
    for entry in fs::read_dir(demo(name)).unwrap() {
        let from = entry.unwrap().path();
        if from.is_file() {
            fs::copy(&from, folder.path().join(from.file_name().unwrap())).unwrap();
        }
    }
    folder
}
