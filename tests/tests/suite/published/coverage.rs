//! Every published value is either compared or excused, never both and never forgotten.

use std::collections::BTreeSet;

use crownwheel_testkit::{Table, checks};

/// Checks that must be compared at least.
const FEWEST_COMPARED: usize = 140;

const NOT_CHECKED: &str = include_str!("../../../NOT-CHECKED.md");

/// What each module says it compares, and its text.
const MODULES: &[(&[&str], &str)] = &[
    (super::acceleration::CHECKED, include_str!("acceleration.rs")),
    (super::air::CHECKED, include_str!("air.rs")),
    (super::battery::CHECKED, include_str!("battery.rs")),
    (super::coastdown::CHECKED, include_str!("coastdown.rs")),
    (super::gearing::CHECKED, include_str!("gearing.rs")),
    (super::geodesy::CHECKED, include_str!("geodesy.rs")),
    (super::inertia::CHECKED, include_str!("inertia.rs")),
    (super::labels::CHECKED, include_str!("labels.rs")),
    (super::least_squares::CHECKED, include_str!("least_squares.rs")),
    (super::motor::CHECKED, include_str!("motor.rs")),
    (super::road_load::CHECKED, include_str!("road_load.rs")),
    (super::runs::CHECKED, include_str!("runs.rs")),
    (super::statistics::CHECKED, include_str!("statistics.rs")),
    (super::tyres::CHECKED, include_str!("tyres.rs")),
    (super::weights::CHECKED, include_str!("weights.rs")),
];

/// Rows of the table under a heading of the list of excuses: first cell, reason.
fn excuses(heading: &str) -> Vec<(&'static str, &'static str)> {
    let (_, section) = NOT_CHECKED.split_once(heading).expect("the list has this heading");
    let section = section.split_once("\n## ").map_or(section, |(until, _)| until);
    let rows = section.lines().filter(|line| line.starts_with("| ") && !line.starts_with("| id"));
    rows.map(|line| {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        assert!(cells.len() == 4 && cells[2].len() > 20, "an excuse has a reason: {line}");
        (cells[1], cells[2])
    })
    .collect()
}

fn as_set(ids: impl Iterator<Item = &'static str>) -> BTreeSet<String> {
    let mut set = BTreeSet::new();
    for id in ids {
        assert!(set.insert(id.to_owned()), "{id} is listed twice");
    }
    set
}

fn checked() -> BTreeSet<String> {
    as_set(MODULES.iter().flat_map(|(ids, _)| ids.iter().copied()))
}

#[test]
fn every_published_value_is_checked_or_excused() {
    let (checked, excused) =
        (checked(), as_set(excuses("## Whole checks").iter().map(|row| row.0)));
    let both: Vec<_> = checked.intersection(&excused).collect();
    assert!(both.is_empty(), "checked, so no longer to be excused: {both:?}");
    let known: BTreeSet<String> = checks::ids().into_iter().collect();
    let listed: BTreeSet<String> = checked.union(&excused).cloned().collect();
    let forgotten: Vec<_> = known.difference(&listed).collect();
    assert!(forgotten.is_empty(), "neither checked nor excused: {forgotten:?}");
    let unknown: Vec<_> = listed.difference(&known).collect();
    assert!(unknown.is_empty(), "no such check: {unknown:?}");
}

/// A module cannot claim an id that its text never hands to the loader of published values.
#[test]
fn a_claimed_id_is_used() {
    for (ids, text) in MODULES {
        for id in *ids {
            assert!(
                text.contains(&format!("expected(\"{id}\", "))
                    || text.contains(&format!("expected_words(\"{id}\", ")),
                "{id} is claimed but never compared"
            );
        }
    }
}

/// A quantity that is left out of a check exists, and nobody compares it after all.
#[test]
fn an_excused_part_is_left_out() {
    for (part, _) in excuses("## Parts of checks") {
        let (id, quantity) = part.split_once(' ').expect("an id and a quantity");
        assert!(!checks::expected(id, quantity).unit.is_empty());
        let (_, text) = MODULES.iter().find(|(ids, _)| ids.contains(&id)).expect("a checked id");
        let mut tests = text.split("#[test]").filter(|test| test.contains(&format!("(\"{id}\", ")));
        let compared = tests.any(|test| test.contains(&format!("\"{quantity}\"")));
        assert!(!compared, "{part} is compared after all");
    }
}

/// Counted from the lists, not from what the README says.
#[test]
fn enough_is_compared() {
    let compared = checked().len();
    let excused = excuses("## Whole checks").len();
    assert!(compared >= FEWEST_COMPARED, "{compared} are compared");
    assert_eq!(compared + excused, checks::ids().len());
}

/// What is believed wrong at its source has our arithmetic beside it, and is compared.
#[test]
fn what_is_believed_wrong_is_worked_out() {
    let (_, section) = NOT_CHECKED.split_once("## Published values that we believe wrong").unwrap();
    let rows: Vec<Vec<&str>> = section
        .lines()
        .filter(|line| line.starts_with("| ") && !line.starts_with("| id"))
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    let checked = checked();
    for row in &rows {
        let &[id, printed, ours, arithmetic] = row.as_slice() else {
            panic!("four cells: {row:?}")
        };
        assert!(checked.contains(id), "{id} is not compared");
        let says = |text: &str| text.chars().any(|c| c.is_ascii_digit()) || text.len() > 20;
        assert!(says(printed) && says(ours) && arithmetic.len() > 20, "{row:?}");
    }
    let index = Table::read(include_str!("../../../data/checks-index.csv"));
    let traps = index.rows().filter(|row| row.text("grade") == "X");
    let ids: BTreeSet<&str> = traps.map(|row| row.text("id")).collect();
    assert_eq!(ids.len(), 2);
    for id in ids {
        assert!(rows.iter().any(|row| row[0] == id), "{id} is of grade X");
    }
}
