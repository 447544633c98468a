//! Which choices a sweep varies, and the options beside a given one.

use crownwheel_answers::sweep::DemandLimit;
use crownwheel_answers::{OptionAnswer, SweepAnswer, Units};
use crownwheel_quantities::Question;

/// A key or group that takes more than one value.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct VariedKey<'a> {
    /// The key or group.
    pub(super) key: &'a str,
    /// Its values: by number if all are numbers, else as they come.
    pub(super) labels: Vec<&'a str>,
    /// The values as numbers. Empty: they are words.
    pub(super) numbers: Vec<f64>,
}

impl VariedKey<'_> {
    /// Name for people.
    pub(super) fn name(&self) -> String {
        short(self.key)
    }

    /// Unit of the values, as the first of them is written; empty for pure numbers.
    pub(super) fn unit(&self) -> &str {
        self.labels.first().and_then(|label| label.split_once(' ')).map_or("", |(_, unit)| unit)
    }
}

/// Name of a key for people: `modules in series` for `pack.modules_in_series`, and `axle ratio` for
/// `driveline.axle.ratio`, since one word alone says too little.
fn short(key: &str) -> String {
    let parts: Vec<&str> = key.split('.').collect();
    let kept = if parts.last().is_some_and(|last| last.contains('_')) { 1 } else { 2 };
    parts[parts.len().saturating_sub(kept)..].join(" ").replace('_', " ")
}

/// Everything that is varied, in the order of the choices.
pub(super) fn varied(answer: &SweepAnswer) -> Vec<VariedKey<'_>> {
    let mut all: Vec<VariedKey<'_>> = Vec::new();
    for (of, is) in answer.options.iter().flat_map(|option| &option.choices.0) {
        match all.iter_mut().find(|known| known.key == &**of) {
            Some(known) if known.labels.contains(&&**is) => {}
            Some(known) => known.labels.push(is),
            None => all.push(VariedKey { key: of, labels: vec![is], numbers: Vec::new() }),
        }
    }
    all.retain(|found| found.labels.len() > 1);
    for found in &mut all {
        sort_numbers(found);
    }
    all
}

fn sort_numbers(varied: &mut VariedKey<'_>) {
    let mut pairs: Vec<(f64, &str)> =
        varied.labels.iter().filter_map(|label| Some((number(label)?, *label))).collect();
    if pairs.len() == varied.labels.len() {
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        varied.labels = pairs.iter().map(|(_, label)| *label).collect();
        varied.numbers = pairs.iter().map(|(number, _)| *number).collect();
    }
}

/// The number that a value says: `3.89`, `360 A`; a name with a number in it is none.
fn number(label: &str) -> Option<f64> {
    let (number, unit) = label.split_once(' ').unwrap_or((label, ""));
    let plain = !unit.contains(|c: char| c.is_ascii_digit() || c == ':');
    number.parse().ok().filter(|value: &f64| plain && value.is_finite())
}

/// What an option has chosen for a key.
pub(super) fn choice<'a>(option: &'a OptionAnswer, key: &str) -> Option<&'a str> {
    option.choices.0.iter().find(|(of, _)| &**of == key).map(|(_, is)| &**is)
}

/// The option that chooses as `like` does but for some keys. `None`: the sweep has none.
pub(super) fn beside<'a>(
    answer: &'a SweepAnswer,
    like: &OptionAnswer,
    changes: &[(&str, &str)],
) -> Option<&'a OptionAnswer> {
    let fits = |option: &OptionAnswer| {
        option.choices.0.len() == like.choices.0.len()
            && like.choices.0.iter().all(|(of, is)| {
                let changed = changes.iter().find(|(key, _)| *key == &**of);
                let wanted = changed.map_or(&**is, |(_, label)| *label);
                choice(option, of) == Some(wanted)
            })
    };
    answer.options.iter().find(|option| fits(option))
}

/// The option to compare with: the best, or without a ranking the first.
pub(super) fn centre(answer: &SweepAnswer) -> Option<&OptionAnswer> {
    answer.best().or_else(|| answer.options.first())
}

/// Names of the answers that the options have.
pub(super) fn names(answer: &SweepAnswer) -> Vec<Question> {
    let some = answer.options.iter().find(|option| !option.answers.is_empty());
    some.map_or_else(Vec::new, |option| option.answers.names().to_vec())
}

/// The first answer of a kind that a demand limits; else the first of the kind.
pub(super) fn first_of(answer: &SweepAnswer, kind: impl Fn(&Question) -> bool) -> Option<Question> {
    let all: Vec<Question> = names(answer).into_iter().filter(|name| kind(name)).collect();
    let limited = all.iter().find(|name| !limits(answer, name).is_empty());
    limited.or(all.first()).cloned()
}

/// The limits that demands set on an answer.
pub(super) fn limits<'a>(answer: &'a SweepAnswer, name: &Question) -> Vec<&'a DemandLimit> {
    let key = name.key();
    answer.demand_limits.iter().filter(|limit| limit.answer == key).collect()
}

/// Words for the values of all keys but some: `modules in series 9, tyres narrow`.
pub(super) fn rest(option: &OptionAnswer, but: &[&str], varied: &[VariedKey<'_>]) -> String {
    let kept = varied.iter().filter(|one| !but.contains(&one.key));
    let said = kept.filter_map(|one| Some(format!("{} {}", one.name(), choice(option, one.key)?)));
    said.collect::<Vec<_>>().join(", ")
}

/// A number of an answer with its unit.
pub(super) fn text(name: &Question, metric: f64, units: Units) -> String {
    units.text_to(metric, name.unit(), name.decimals())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::sweep::bench::sweep;

    #[test]
    fn numbers_sort_as_numbers_and_names_stay_as_they_come() {
        let sweep = sweep();
        let varied = varied(&sweep);
        let keys: Vec<&str> = varied.iter().map(|one| one.key).collect();
        assert_eq!(keys, ["driveline.axle.ratio", "pack.modules_in_series", "tyres"]);
        assert_eq!(varied[1].labels, ["8", "9", "10"]);
        assert_eq!(varied[2].labels, ["narrow", "as they are"]);
        assert!(varied[2].numbers.is_empty());
        assert_eq!(varied[0].name(), "axle ratio");
        assert_eq!(number("360 A"), Some(360.0));
        assert_eq!(number("1.5 : 1"), None);
        assert_eq!(number("belt 1.8"), None);
    }

    #[test]
    fn the_option_beside_differs_only_where_it_is_told_to() {
        let sweep = sweep();
        let best = sweep.best().unwrap();
        let other = beside(&sweep, best, &[("driveline.axle.ratio", "4.22")]).unwrap();
        assert_eq!(choice(other, "driveline.axle.ratio"), Some("4.22"));
        assert_eq!(choice(other, "tyres"), choice(best, "tyres"));
        assert_eq!(beside(&sweep, best, &[("tyres", "wide")]), None);
    }
}
