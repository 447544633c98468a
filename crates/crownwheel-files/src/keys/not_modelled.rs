//! Keys for what is not modelled yet: to be told so says more than the nearest key that is known.

use super::matches;

/// Path of a key or table, and what it would be. A line goes when its key comes.
const ROWS: &[(&str, &str)] = &[
    ("corner_weights.already_out", "parts that the scales were read without"),
    ("car.differential_centre", "drive on both axles and its centre differential"),
    ("car.drive_split_front", "drive on both axles and how it is split"),
    ("demand.*.route", "a demand on the charge that a route leaves"),
    ("demand.*.range.steady", "a demand on range at a steady speed"),
    ("driveline.transfer", "a transfer box with its ratios"),
    ("motor.count", "several motors on one shaft"),
    ("trailer", "its mass, nose load, drag and brakes"),
    ("plate.train", "a trailer and the mass of the train"),
    ("supply.*.kind", "charging with direct current, past the charger of the car"),
    ("supply.*.current", "charging with direct current, and its highest current"),
    ("supply.*.voltage_window", "charging with direct current, and its voltages"),
    ("pack.charge_curve", "a table of charging power against charge"),
    ("pack.string", "strings of other or older modules beside those of the pack"),
    ("day.*.trailer", "a day with a trailer"),
    ("hill.*.trailer", "a hill with a trailer"),
    ("hill.*.transfer", "a hill in another ratio of a transfer box"),
    ("route", "a route that is driven once, and the charge that it leaves"),
    ("steady", "a choice of steady speeds"),
    ("measured.*.route", "a measured fact of a route"),
    ("measured.*.ah", "a measured fact in ampere-hours"),
    ("measured.*.charge_from", "a measured fact by the charge before and after"),
    ("measured.*.charge_to", "a measured fact by the charge before and after"),
    ("running", "what a kilometre costs"),
    ("plates", "a sweep whose best option may be over a plate"),
];

/// Words of a choice that are not modelled yet: path, words, what they would be.
const CHOICES: &[(&str, &[&str], &str)] =
    &[("car.driven_axle", &["both", "all", "four", "awd", "4wd", "4x4"], "drive on both axles")];

/// What a key or table would be that is not modelled yet.
pub(crate) fn not_modelled(path: &str) -> Option<&'static str> {
    ROWS.iter().find(|(pattern, _)| matches(pattern, path)).map(|(_, words)| *words)
}

/// What a word of a choice would be that is not modelled yet.
pub(crate) fn choice_not_modelled(path: &str, word: &str) -> Option<&'static str> {
    let word = word.trim().to_lowercase();
    let fits = |(of, words, _): &&(&str, &[&str], &str)| *of == path && words.contains(&&*word);
    CHOICES.iter().find(fits).map(|(_, _, what)| *what)
}

/// What is not modelled yet and has `word` in its path or description, with its path.
#[must_use]
pub fn search_not_modelled(word: &str) -> Vec<(&'static str, &'static str)> {
    let word = word.to_lowercase();
    let fits = |(path, what): &&(&str, &str)| path.contains(&word) || what.contains(&word);
    ROWS.iter().filter(fits).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::super::{KeyKind, find, is_table};
    use super::*;

    #[test]
    fn what_is_not_modelled_is_no_key() {
        for (path, words) in ROWS {
            let written = path.replace('*', "own");
            assert!(find(&written).is_none() && !is_table(&written), "{path} is modelled");
            assert_eq!(not_modelled(&written), Some(*words));
        }
        let mut paths: Vec<&str> = ROWS.iter().map(|(path, _)| *path).collect();
        paths.sort_unstable();
        paths.dedup();
        assert_eq!(paths.len(), ROWS.len());
        for (path, words, _) in CHOICES {
            let KeyKind::Choice(known) = find(path).unwrap().kind else { panic!() };
            assert!(words.iter().all(|word| !known.contains(word)), "{path}");
        }
    }
}
