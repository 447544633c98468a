//! What changed since a report was last written into the same folder.

use crownwheel_quantities::rows;
use crownwheel_quantities::text::OTHER_CONTENTS;
use serde::Serialize;

use crate::compare::{AnswerMoved, InputMoved, KeyMoved};
use crate::unit::MISSING;
use crate::{Grid, Question, Units, tables};

/// Parts of a move below this share are no reason for it, %.
const SMALL_PCT: f64 = 3.0;

/// Reasons, and answers, that the first line tells.
const MOST_TOLD: usize = 3;

/// What changed since last time.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SinceAnswer {
    /// The answer in one sentence, see [`SinceAnswer::plain_line`].
    pub plain: String,
    /// Version of the program that wrote the report last time.
    pub program_version: String,
    /// Hash of what was read last time.
    pub inputs_hash: String,
    /// The inputs that changed, with what they were (`first`) and are (`second`). The program is one
    /// where it gives other numbers for the same inputs.
    pub inputs: Vec<InputMoved>,
    /// The answers that moved.
    pub answers: Vec<AnswerMoved>,
    /// Answers that were compared.
    pub compared: usize,
    /// Units that it is shown in.
    #[serde(skip)]
    pub units: Units,
}

impl SinceAnswer {
    /// From everything that was compared.
    #[must_use]
    pub fn new(
        (program_version, inputs_hash): (String, String),
        inputs: Vec<InputMoved>,
        answers: Vec<AnswerMoved>,
        units: Units,
    ) -> SinceAnswer {
        let compared = answers.len();
        let answers = answers.into_iter().filter(|it| it.moved).collect();
        let mut since = SinceAnswer {
            plain: String::new(),
            program_version,
            inputs_hash,
            inputs,
            answers,
            compared,
            units,
        };
        since.plain = since.plain_line();
        since
    }

    /// What moved most of what people ask first, and which inputs moved it.
    #[must_use]
    pub fn plain_line(&self) -> String {
        if self.inputs.is_empty() && self.answers.is_empty() {
            return "Nothing has changed since last time.".to_owned();
        }
        let told = self.told();
        if told.is_empty() {
            let inputs: Vec<String> = self.inputs.iter().map(change_words).collect();
            return format!("Since last time: {}; no nominal answer moved.", cut(inputs, "input"));
        }
        let moves: Vec<String> = told.iter().map(|it| move_words(it)).collect();
        let why = self.why(&told);
        let because = if why.is_empty() { String::new() } else { format!(", because {why}") };
        let others = match self.answers.len() - told.len() {
            0 => String::new(),
            1 => "; one more answer moved".to_owned(),
            count => format!("; {count} more answers moved"),
        };
        format!("Since last time: {}{because}{others}.", moves.join(", "))
    }

    /// The inputs that changed, for people.
    #[must_use]
    pub fn inputs_grid(&self) -> Grid {
        tables::changed_grid(&self.inputs, ["last time", "now"])
    }

    /// The answers that moved, each with what moved it most.
    #[must_use]
    pub fn moved_grid(&self) -> Grid {
        tables::moved_grid(&self.answers, ["last time", "now"], self.units)
    }

    /// Of each kind that people ask first the one that moved most; where none of those moved, the first
    /// that did.
    fn told(&self) -> Vec<&AnswerMoved> {
        let size = |it: &&AnswerMoved| it.by_pct.map_or(f64::INFINITY, f64::abs);
        let most_of = |kind: &fn(&Question, Units) -> bool| {
            let of_kind = self.answers.iter().filter(|it| kind(&it.question, self.units));
            of_kind.rev().max_by(|a, b| size(a).total_cmp(&size(b)))
        };
        let told: Vec<&AnswerMoved> = KINDS.iter().filter_map(most_of).take(MOST_TOLD).collect();
        if told.is_empty() { self.answers.iter().take(1).collect() } else { told }
    }

    /// The inputs that had a share in these moves, the greatest first.
    fn why(&self, told: &[&AnswerMoved]) -> String {
        let share = |input: &InputMoved| {
            let parts = told.iter().flat_map(|it| &it.parts);
            let own = parts.filter(|part| part.input == input.input);
            own.filter_map(|part| part.share_pct).fold(0.0, |most: f64, pct| most.max(pct.abs()))
        };
        let mut shares: Vec<(f64, &InputMoved)> =
            self.inputs.iter().map(|input| (share(input), input)).collect();
        shares.sort_by(|a, b| b.0.total_cmp(&a.0));
        let moved: Vec<String> = shares
            .iter()
            .filter(|(share, _)| *share >= SMALL_PCT)
            .map(|(_, input)| change_words(input))
            .collect();
        // Inputs that only act together have no share of their own.
        let all = || self.inputs.iter().map(change_words).collect();
        cut(if moved.is_empty() { all() } else { moved }, "input")
    }
}

/// `range on udds (mild) 178 → 171 km`.
fn move_words(it: &AnswerMoved) -> String {
    let label = match it.question.is(&rows::MASS) {
        true => format!("mass ({})", it.question.case().label()),
        false => it.label.clone(),
    };
    format!("{label} {}", arrow(&it.shown[0], &it.shown[1]))
}

/// The kinds of answers that the first line tells, one of each. Times are told to the usual speed.
const KINDS: [fn(&Question, Units) -> bool; 5] = [
    |it, _| it.is_range(),
    |it, _| it.is(&rows::MASS),
    |it, units| it.is_like(&Question::of(&rows::TIME).between(0.0, units.usual_sprint_kmh())),
    |it, _| it.is(&rows::CHARGE_HOURS),
    |it, _| it.is(&rows::MOTOR_SPEED),
];

/// The first few, and how many more there are.
fn cut(mut all: Vec<String>, of: &str) -> String {
    let rest = all.len().saturating_sub(MOST_TOLD);
    all.truncate(MOST_TOLD);
    match rest {
        0 => all.join(", "),
        1 => format!("{} and one more {of}", all.join(", ")),
        _ => format!("{} and {rest} more {of}s", all.join(", ")),
    }
}

/// `pack.module_mass 11.4 → 12 kg`; a table that came or went as a whole, and keys that only stand
/// together, by their name.
fn change_words(input: &InputMoved) -> String {
    match input.keys.as_slice() {
        [key] => key_words(key),
        keys if keys.iter().all(|key| key.first.is_none()) => format!("{} is new", input.input),
        keys if keys.iter().all(|key| key.second.is_none()) => format!("{} is gone", input.input),
        keys => cut(keys.iter().map(key_words).collect(), "key"),
    }
}

fn key_words(key: &KeyMoved) -> String {
    let shown = |written: &Option<String>, assumed: &Option<String>| {
        let assumed = || Some(format!("{} (assumed)", assumed.as_ref()?));
        written.clone().or_else(assumed).unwrap_or_else(|| MISSING.to_owned())
    };
    let first = shown(&key.first, &key.first_assumed);
    let second = shown(&key.second, &key.second_assumed);
    if second.strip_prefix(&first).is_some_and(|rest| rest == OTHER_CONTENTS) {
        return format!("{} ({first}) has other contents", key.key);
    }
    format!("{} {}", key.key, arrow(&first, &second))
}

/// `11.4 → 12 kg`: a unit that both have stands once.
fn arrow(first: &str, second: &str) -> String {
    let unit = |text: &'_ str| {
        let (number, unit) = text.split_once(' ')?;
        number.parse::<f64>().ok().map(|_| (number.to_owned(), unit.to_owned()))
    };
    match (unit(first), unit(second)) {
        (Some((number, unit)), Some((_, other))) if unit == other => {
            format!("{number} → {second}")
        }
        _ => format!("{first} → {second}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::LoadCase;

    fn key(key: &str, first: Option<&str>, second: Option<&str>) -> KeyMoved {
        let owned = |text: Option<&str>| text.map(str::to_owned);
        KeyMoved {
            key: key.to_owned(),
            first: owned(first),
            second: owned(second),
            ..KeyMoved::default()
        }
    }

    fn input(keys: Vec<KeyMoved>) -> InputMoved {
        let table = keys[0].key.rsplit_once('.').map_or("", |(table, _)| table);
        let name = if keys.len() > 1 { table } else { &keys[0].key };
        InputMoved { input: name.to_owned(), keys, not_alone: None }
    }

    fn range_km(first: f64, second: f64, parts: &[(&str, f64)]) -> AnswerMoved {
        let name = Question::of(&rows::RANGE).on_cycle("udds").on_day("mild");
        let alone: Vec<_> =
            parts.iter().map(|(name, km)| ((*name).to_owned(), Some(Some(*km)))).collect();
        AnswerMoved::new(name, Some(first), Some(second), &alone, Units::Metric)
    }

    fn since(inputs: Vec<InputMoved>, answers: Vec<AnswerMoved>) -> String {
        SinceAnswer::new((String::new(), String::new()), inputs, answers, Units::Metric).plain
    }

    #[test]
    fn the_line_says_what_moved_and_because_of_what() {
        let mass = input(vec![key("pack.module_mass", Some("11.4 kg"), Some("12 kg"))]);
        let name = input(vec![key("car.name", Some("A"), Some("B"))]);
        let moved = range_km(178.2, 171.0, &[("pack.module_mass", 171.1), ("car.name", 178.2)]);
        let still = range_km(178.2, 178.2, &[]);
        assert_eq!(
            since(vec![name.clone(), mass], vec![moved, still]),
            "Since last time: range on udds (mild) 178 → 171 km, because pack.module_mass 11.4 → 12 kg."
        );
        let still = range_km(178.2, 178.2, &[("car.name", 178.2)]);
        assert_eq!(
            since(vec![name], vec![still]),
            "Since last time: car.name A → B; no nominal answer moved."
        );
        assert_eq!(since(Vec::new(), Vec::new()), "Nothing has changed since last time.");
    }

    #[test]
    fn what_came_what_went_and_what_is_assumed_instead_is_said() {
        let heater = input(vec![
            key("put_in.heater.mass", None, Some("6 kg")),
            key("put_in.heater.behind_front_axle", None, Some("0.3 m")),
        ]);
        let assumed = KeyMoved {
            second_assumed: Some("15 N".to_owned()),
            ..key("car.brake_drag", Some("22 N"), None)
        };
        let mass = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
        let moved = AnswerMoved::new(mass, Some(930.0), Some(936.0), &[], Units::Metric);
        assert_eq!(
            since(vec![heater, input(vec![assumed])], vec![moved]),
            "Since last time: mass (driver only) 930.0 → 936.0 kg, because put_in.heater is new, car.brake_drag 22 N → 15 N (assumed)."
        );
    }

    #[test]
    fn long_lists_are_cut_and_counted() {
        let inputs: Vec<InputMoved> =
            (0..5).map(|i| input(vec![key(&format!("k.{i}"), Some("1"), Some("2"))])).collect();
        assert_eq!(
            since(inputs, Vec::new()),
            "Since last time: k.0 1 → 2, k.1 1 → 2, k.2 1 → 2 and 2 more inputs; no nominal answer moved."
        );
        let other = format!("curve.csv{OTHER_CONTENTS}");
        let curve = input(vec![key("motor.curve", Some("curve.csv"), Some(&other))]);
        assert_eq!(
            since(vec![curve], Vec::new()),
            "Since last time: motor.curve (curve.csv) has other contents; no nominal answer moved."
        );
    }
}
