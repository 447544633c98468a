//! Titles: people are shown them in place of names, and everything else stays with the name.

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{dunlin, good, json, path_text, text};

/// Titles with the name that each stands for.
const TITLES: [(&str, &str, &str); 7] = [
    ("car.title", "Dunlin 1100", "The blue saloon"),
    ("day.mild.title", "mild", "A noon in May"),
    ("day.winter.title", "winter", "A frosty morning"),
    ("hill.moor_bank.title", "moor_bank", "Up the bank"),
    ("supply.garage.title", "garage", "Socket at home"),
    ("supply.wallbox.title", "wallbox", "Box at work"),
    ("demand.moor_round.title", "moor_round", "To the moor and back"),
];

fn titled(command: &str) -> Vec<String> {
    let sets = TITLES.map(|(key, _, title)| ["--set".to_owned(), format!("{key}={title}")]);
    let worlds = ["--worlds".to_owned(), "20".to_owned()];
    [command.to_owned(), dunlin()].into_iter().chain(sets.concat()).chain(worlds).collect()
}

fn as_typed(args: &[String]) -> Vec<&str> {
    args.iter().map(String::as_str).collect()
}

/// Everything but sentences for people and what was read.
fn bare(mut answer: Value) -> Value {
    if let Some(fields) = answer.as_object_mut() {
        fields.retain(|key, _| !["provenance", "plain", "notes", "lines_to_add"].contains(&&**key));
    }
    answer
}

#[test]
fn screens_say_titles_and_json_says_names() {
    let shown = [
        ("range", ["A noon in May", "A frosty morning"], ["mild", "winter"]),
        ("pull", ["Up the bank", "Up the bank"], ["moor_bank", "mild"]),
        ("charge", ["Socket at home", "Box at work"], ["garage", "wallbox"]),
    ];
    for (command, titles, names) in shown {
        let args = titled(command);
        let done = good(&as_typed(&args));
        let screen = text(&done.stdout);
        assert!(titles.iter().all(|title| screen.contains(title)), "{screen}");
        // Names of keys keep the name: they are what is typed.
        let said = |name: &str| {
            let words = screen.split(|c: char| c.is_whitespace() || "(),:".contains(c));
            words.into_iter().any(|word| word == name)
        };
        assert!(!names.iter().any(|name| said(name)), "{command}: {screen}");
        let plain = json(&[command, &dunlin(), "--worlds", "20"]);
        assert_eq!(bare(json(&as_typed(&args))), bare(plain));
    }
}

#[test]
fn the_page_and_its_figures_say_titles_and_the_tables_say_names() {
    let folder = TempDir::new().unwrap();
    let mut args = titled("report");
    args.extend(["--out".to_owned(), path_text(folder.path()).to_owned()]);
    good(&as_typed(&args));
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    let page = read("report.html");
    for (_, name, title) in TITLES {
        assert!(page.contains(title), "{title}");
        assert!(!page.contains(&format!(">{name}</text>")), "a figure says {name}");
    }
    assert!(read("figures/charging.svg").contains("Socket at home"));
    assert!(read("figures/steady-range.svg").contains("A frosty morning"));
    assert!(read("figures/hill-heat.svg").contains("Up the bank"));
    let table = read("tables/range.csv");
    assert!(table.contains("winter") && !table.contains("A frosty morning"), "{table}");
}

#[test]
fn a_title_is_a_text_and_no_demand() {
    let build = dunlin();
    let done = crate::bench::run(&["check", &build, "--set", "demand.odd.title=Nothing"]);
    assert!(text(&done.stderr).contains("the demand says nothing"), "{}", text(&done.stderr));
}
