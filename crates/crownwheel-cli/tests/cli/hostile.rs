//! Hostile places: folders that nothing can be written to, files that are none, links, names that mean
//! something to a page, a spreadsheet or a terminal. What wants a mount or a kill is in
//! `.ci/hostile-places`.

mod links;
mod names;
mod reading;
mod writing;

use std::ffi::OsStr;
use std::fs;
use std::io::{Read, Seek};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::bench::crownwheel;

/// Longer than any of these commands takes on a slow machine; a program that hangs takes longer.
const PATIENCE: Duration = Duration::from_secs(120);

/// What a run leaves; one that hangs is ended and fails the test.
fn ended<A: AsRef<OsStr>>(args: &[A]) -> Output {
    // Files and not pipes: what fills a pipe waits for a reader.
    let (out, err) = (tempfile::tempfile().unwrap(), tempfile::tempfile().unwrap());
    let mut command = crownwheel();
    command.args(args).stdout(out.try_clone().unwrap()).stderr(err.try_clone().unwrap());
    let mut child = command.spawn().unwrap();
    let begun = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if begun.elapsed() > PATIENCE {
            child.kill().unwrap();
            panic!("{:?} hangs", args.iter().map(AsRef::as_ref).collect::<Vec<_>>());
        }
        sleep(Duration::from_millis(5));
    }
    let [stdout, stderr] = [out, err].map(|mut file| {
        let mut bytes = Vec::new();
        file.rewind().unwrap();
        file.read_to_end(&mut bytes).unwrap();
        bytes
    });
    Output { status: child.wait().unwrap(), stdout, stderr }
}

/// What a run says, checked to be fit for a terminal.
fn said(output: &Output) -> String {
    let text = format!(
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    let raw = text.chars().find(|c| c.is_control() && *c != '\n');
    assert_eq!(raw, None, "{text:?}");
    assert!(!text.contains("panicked"), "{text}");
    text
}

/// A refusal: this exit code, no answer, and these words.
fn refused<A: AsRef<OsStr>>(args: &[A], code: i32, words: &[&str]) -> String {
    let output = ended(args);
    let text = said(&output);
    let typed: Vec<&OsStr> = args.iter().map(AsRef::as_ref).collect();
    assert_eq!(output.status.code(), Some(code), "{typed:?}: {text}");
    assert!(output.stdout.is_empty(), "{typed:?}: {text}");
    for word in words {
        assert!(text.contains(word), "{typed:?}: `{word}` is not said: {text}");
    }
    text
}

/// Every entry below a folder: what it is, and its bytes or where it leads.
fn tree(folder: &Path) -> Vec<(PathBuf, String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let about = path.symlink_metadata().unwrap();
        let kind = format!("{:?}", about.file_type());
        let holds = if about.is_file() {
            fs::read(&path).unwrap()
        } else if about.is_symlink() {
            fs::read_link(&path).unwrap().into_os_string().into_encoded_bytes()
        } else {
            Vec::new()
        };
        if about.is_dir() {
            found.extend(tree(&path));
        }
        found.push((path, kind, holds));
    }
    found.sort();
    found
}

/// A pipe with a name, that nobody writes into.
fn pipe(path: &Path) {
    assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
}
