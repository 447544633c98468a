//! What the documents show on a screen is what the program says: every `console` block is run, in a
//! folder with nothing but the demo in it.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

use std::fs;
use std::path::Path;

/// The top of the repository.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().parent().unwrap()
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[test]
fn every_screen_in_the_documents_is_what_the_program_says() {
    let empty = tempfile::tempdir().unwrap();
    copy(&root().join("data-demo"), &empty.path().join("data-demo"));
    // The other test of this file says where it stands itself.
    std::env::set_current_dir(empty.path()).unwrap();
    let cases = trycmd::TestCases::new();
    for document in ["README.md", "data-demo/README.md"] {
        cases.case(root().join(document));
    }
    cases.run();
}

/// The pictures of the front page are those that the report draws.
#[test]
fn the_pictures_of_the_front_page_are_the_programs_own() {
    let empty = tempfile::tempdir().unwrap();
    let report = empty.path().join("report");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_crownwheel"))
        .args(["report", "data-demo/dunlin", "--worlds", "1", "--cycle", "udds", "--out"])
        .arg(&report)
        .current_dir(root())
        .output()
        .unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    for entry in fs::read_dir(root().join("data-demo/pictures")).unwrap() {
        let kept = entry.unwrap().path();
        let drawn = report.join("figures").join(kept.file_name().unwrap());
        assert!(
            fs::read(&drawn).unwrap() == fs::read(&kept).unwrap(),
            "{} is not what the report draws: copy {} over it",
            kept.display(),
            drawn.display()
        );
    }
}
