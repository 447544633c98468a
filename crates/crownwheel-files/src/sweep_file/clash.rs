//! Keys that would be set twice.

use std::collections::BTreeMap;

use crate::document::{At, Document, Set};
use crate::message::{ProblemKind, Report, printable};

use super::factor::Factor;

/// Keys that two factors set, or one and a table that the other sets as a whole.
pub(super) fn among(document: &Document, factors: &[Factor], report: &mut Report) {
    // By path, so that a table and the keys below it stand side by side.
    let mut setters: BTreeMap<&str, Vec<(usize, &At)>> = BTreeMap::new();
    for (number, factor) in factors.iter().enumerate() {
        for (path, at) in touched(factor) {
            let known = setters.entry(path).or_default();
            if known.iter().all(|(other, _)| *other != number) {
                known.push((number, at));
            }
        }
    }
    for (path, own) in &setters {
        let above = setters.iter().filter(|(table, _)| is_below(path, table));
        let others: Vec<(usize, &At)> =
            above.flat_map(|(_, setters)| setters).chain(own).copied().collect();
        for (number, at) in own {
            let first = others
                .iter()
                .find(|(other, place)| *other != *number && place.span.start < at.span.start);
            if let Some((other, _)) = first {
                let places = [&factors[*other], &factors[*number]].map(Factor::place);
                let by = if places[0] == places[1] {
                    format!("twice in {}", places[0])
                } else {
                    format!("in {} and again in {}", places[0], places[1])
                };
                let what = format!("`{}` is set {by}", printable(path));
                let problem = document.problem(ProblemKind::Conflict, at, what);
                let hint = "a key can be varied in one place only: keep one of the two";
                report.push(problem.key(*path).hint(hint));
            }
        }
    }
}

/// Overrides of the build that the sweep would put its own value over.
pub(super) fn with_sets(
    document: &Document,
    factors: &[Factor],
    sets: &[Set],
    report: &mut Report,
) {
    for factor in factors {
        for (path, at) in touched(factor) {
            let over = |set: &&Set| {
                path == set.key || is_below(path, &set.key) || is_below(&set.key, path)
            };
            if let Some(set) = sets.iter().find(over) {
                let key = printable(&set.key);
                let what =
                    format!("`--set {key}` would be lost: `{path}` is set in {}", factor.place());
                let problem = document.problem(ProblemKind::Conflict, at, what);
                let hint = format!(
                    "leave --set {key} out, or override the sweep: --set vary.{path}=[...]"
                );
                report.push_new(problem.key(path).hint(hint));
            }
        }
    }
}

/// Paths that a factor sets or takes out, with their places.
fn touched(factor: &Factor) -> impl Iterator<Item = (&str, &At)> {
    factor.entries.iter().flat_map(|entry| {
        let set = entry.changes.iter().map(|change| (change.path.as_str(), &change.key_at));
        set.chain(entry.without.iter().map(|(path, at)| (path.as_str(), at)))
    })
}

fn is_below(path: &str, table: &str) -> bool {
    path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'))
}
