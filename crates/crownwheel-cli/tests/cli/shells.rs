//! Completions and pages of the manual.

use std::fs;
use std::path::Path;
use std::process::Command;

use tempfile::TempDir;

use crate::bench::{good, path_text, run, text};

#[test]
fn every_shell_gets_its_completions() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = text(&good(&["completions", shell]).stdout).to_owned();
        for word in ["weigh", "coastdown", "completions", "strict"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    assert_eq!(run(&["completions", "teleprinter"]).status.code(), Some(2));
}

/// What bash offers for a line whose last word is not finished.
fn offered(script: &Path, words: &[&str]) -> Vec<String> {
    let line = words.iter().map(|word| format!("'{word}'")).collect::<Vec<_>>().join(" ");
    let ask = format!(
        "source {}; complete -p crownwheel >/dev/null || exit 9; COMP_WORDS=({line}); \
         COMP_CWORD={}; _crownwheel crownwheel '{}' ''; printf '%s\\n' \"${{COMPREPLY[@]}}\"",
        path_text(script),
        words.len() - 1,
        words[words.len() - 1],
    );
    let done = Command::new("bash").args(["-c", &ask]).output().unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    text(&done.stdout).lines().map(str::to_owned).collect()
}

#[test]
fn bash_completes_commands_cycles_and_answers() {
    let folder = TempDir::new().unwrap();
    let script = folder.path().join("crownwheel.bash");
    fs::write(&script, good(&["completions", "bash"]).stdout).unwrap();
    assert_eq!(offered(&script, &["crownwheel", "gau"]), ["gauges"]);
    assert_eq!(offered(&script, &["crownwheel", "weigh", "--str"]), ["--strict"]);
    assert_eq!(offered(&script, &["crownwheel", "cycles", "ud"]), ["udds"]);
    assert_eq!(
        offered(&script, &["crownwheel", "explain", "axle"]),
        ["axle_load.front", "axle_load.rear"]
    );
}

/// The program that shows pages, if the machine has it.
fn man_reads(page: &Path) -> Option<String> {
    let done = Command::new("man")
        .args(["--warnings", "-l", path_text(page)])
        .env("LC_ALL", "C.UTF-8")
        .env("MANWIDTH", "80")
        .output()
        .ok()?;
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    assert_eq!(text(&done.stderr), "", "{}", page.display());
    Some(String::from_utf8_lossy(&done.stdout).into_owned())
}

#[test]
fn the_manual_has_a_page_for_each_command() {
    let folder = TempDir::new().unwrap();
    let pages = folder.path().join("man1");
    good(&["man", path_text(&pages)]);
    let mut names: Vec<String> = fs::read_dir(&pages)
        .unwrap()
        .map(|it| it.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names.len(), 21, "{names:?}");
    for name in &names {
        let page = pages.join(name);
        let roff = fs::read_to_string(&page).unwrap();
        let title = format!(".TH {}", name.trim_end_matches(".1").to_uppercase());
        assert!(roff.contains(&title), "{name}");
        if let Some(shown) = man_reads(&page) {
            assert!(shown.contains("NAME") && shown.contains("SYNOPSIS"), "{name}: {shown}");
        }
    }
    let roff = fs::read_to_string(pages.join("crownwheel.1")).unwrap();
    assert!(roff.contains("EXIT CODES") && roff.contains("130"), "{roff}");
    if let Some(shown) = man_reads(&pages.join("crownwheel-weigh.1")) {
        let example = "crownwheel weigh data-demo/dunlin --set pack.box.front.room_for=6\n";
        assert!(shown.contains(example) && shown.contains("WHAT IT DOES NOT TELL\n"), "{shown}");
    }
    // Again, over our own.
    good(&["man", path_text(&pages)]);
}

#[test]
fn pages_of_somebody_else_are_not_replaced_and_nothing_is_written() {
    let folder = TempDir::new().unwrap();
    let theirs = folder.path().join("crownwheel-weigh.1");
    fs::write(&theirs, ".TH MINE\n").unwrap();
    let refused = run(&["man", path_text(folder.path())]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("crownwheel-weigh.1"));
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    good(&["man", path_text(folder.path()), "--force"]);
    assert!(fs::read_to_string(&theirs).unwrap().contains(".TH CROWNWHEEL-WEIGH"));
}
