//! Two builds: which answers moved between them, and which inputs moved them.

use crownwheel::name::Name;
use crownwheel_quantities::rows;
use crownwheel_quantities::text::OTHER_CONTENTS;
use serde::Serialize;

use crate::unit::{MISSING, digits};
use crate::{Band, Caution, Provenance, Question, Units, Warning};

/// The answer of `compare`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CompareAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence, see [`CompareAnswer::plain_line`].
    pub plain: String,
    /// The first car: its name, and the file if that tells them apart.
    pub first: Name,
    /// The second car.
    pub second: Name,
    /// The inputs in which the builds differ.
    pub inputs: Vec<InputMoved>,
    /// Every answer that was compared.
    pub answers: Vec<AnswerMoved>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// An input, or several that only stand together, in which the builds differ.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct InputMoved {
    /// Its key, or the table, or several keys with commas between.
    pub input: String,
    /// The keys with both values.
    pub keys: Vec<KeyMoved>,
    /// Why the first build does not stand with it alone, so that nothing is put down to it. `None`:
    /// it does.
    pub not_alone: Option<String>,
}

/// A key that differs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct KeyMoved {
    /// Path of the key.
    pub key: String,
    /// As the first build writes it. `None`: it does not.
    pub first: Option<String>,
    /// As the second build writes it. `None`: it does not.
    pub second: Option<String>,
    /// What the first build assumes where it does not write it, if it assumes anything.
    pub first_assumed: Option<String>,
    /// What the second build assumes where it does not write it, if it assumes anything.
    pub second_assumed: Option<String>,
    /// Where the first build has it from, as it says.
    pub first_from: Option<String>,
    /// Where the second build has it from, as it says.
    pub second_from: Option<String>,
}

impl KeyMoved {
    /// Both values as people see them: what is assumed stands where nothing is written.
    #[must_use]
    pub fn shown(&self) -> [Option<String>; 2] {
        let assumed = |text: &String| format!("{text} (assumed)");
        let of = |written: &Option<String>, other: &Option<String>| {
            written.clone().or_else(|| other.as_ref().map(assumed))
        };
        [of(&self.first, &self.first_assumed), of(&self.second, &self.second_assumed)]
    }
}

/// A number with its unit beside it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Amount {
    /// The number. `None`: it does not come to this.
    pub value: Option<f64>,
    /// Symbol of its unit.
    pub unit: &'static str,
}

/// An answer of both builds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AnswerMoved {
    /// Name in JSON.
    pub answer: String,
    /// Name for people.
    pub label: String,
    /// Of the first build.
    pub first: Amount,
    /// Of the second build.
    pub second: Amount,
    /// Second less first.
    pub by: Amount,
    /// The same over the first, %. `None`: the first is nought or one of them is not known.
    pub by_pct: Option<f64>,
    /// It moved in the digits that are shown.
    pub moved: bool,
    /// What each input alone does to the first build, in the order of `inputs`.
    pub parts: Vec<Part>,
    /// What is left: inputs that act together. `None`: an answer is not known.
    pub together: Amount,
    /// The same over the whole move, %. `None`: the answer did not move or is not known.
    pub together_pct: Option<f64>,
    /// Both as people are shown them: a number with its unit, or how it is not reached.
    #[serde(skip)]
    pub shown: [String; 2],
    /// What it is of.
    #[serde(skip)]
    pub question: Question,
}

/// What one input alone does to an answer of the first build.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// The input.
    pub input: String,
    /// By how much the answer moves.
    pub by: Amount,
    /// The same over the whole move, %. `None`: the answer did not move or is not known.
    pub share_pct: Option<f64>,
}

/// A difference with its sign and unit.
#[must_use]
pub fn shown_by(question: &Question, by: Option<f64>, units: Units) -> String {
    let shown = signed(question, by, units);
    if by.is_some() { units.with_symbol(shown, question.unit()) } else { shown }
}

/// A difference with its sign, without its unit.
#[must_use]
pub fn signed(question: &Question, by: Option<f64>, units: Units) -> String {
    let Some(by) = by.filter(|by| by.is_finite()) else {
        return MISSING.to_owned();
    };
    let shown = digits(units.difference(by, question.unit()), question.decimals());
    let positive = by > 0.0 && shown.chars().any(|c| ('1'..='9').contains(&c));
    let sign = if positive { "+" } else { "" };
    format!("{sign}{shown}")
}

fn shown(question: &Question, value: Option<f64>, units: Units) -> String {
    question.shown(&Band::only(value.unwrap_or(f64::NAN)), units)
}

fn amount(question: &Question, value: Option<f64>) -> Amount {
    Amount {
        value: value.filter(|value| value.is_finite()),
        unit: Units::Metric.symbol(question.unit()),
    }
}

impl AnswerMoved {
    /// From the answers of both builds, and of the first with each input of the second alone (`None`:
    /// it does not stand so).
    #[must_use]
    pub fn new(
        question: Question,
        first: Option<f64>,
        second: Option<f64>,
        alone: &[(String, Option<Option<f64>>)],
        units: Units,
    ) -> AnswerMoved {
        let finite = |value: Option<f64>| value.filter(|value| value.is_finite());
        let less = |value: Option<f64>| Some(finite(value)? - finite(first)?);
        let by = less(second);
        let shown = [first, second].map(|value| shown(&question, value, units));
        let moved = shown[0] != shown[1];
        let of_all = |part: f64| by.filter(|by| moved && *by != 0.0).map(|by| 100.0 * part / by);
        let part = |(input, value): &(String, Option<Option<f64>>)| {
            let part = value.and_then(less);
            Part {
                input: input.clone(),
                by: amount(&question, part),
                share_pct: part.and_then(of_all),
            }
        };
        let parts: Vec<Part> = alone.iter().map(part).collect();
        let sum: f64 = parts.iter().filter_map(|part| part.by.value).sum();
        let together = by.map(|by| by - sum);
        AnswerMoved {
            answer: question.key(),
            label: question.title(),
            first: amount(&question, first),
            second: amount(&question, second),
            by: amount(&question, by),
            by_pct: by
                .zip(finite(first))
                .filter(|(_, first)| *first != 0.0)
                .map(|(by, first)| 100.0 * by / first.abs()),
            moved,
            together: amount(&question, together),
            together_pct: together.and_then(of_all),
            parts,
            shown,
            question,
        }
    }
}

impl CompareAnswer {
    /// What changes from the first build to the second, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        if self.inputs.is_empty() {
            return "The builds do not differ in any input.".to_owned();
        }
        let inputs = match self.inputs.len() {
            1 => "one input differs".to_owned(),
            count => format!("{count} inputs differ"),
        };
        let count = match self.answers.iter().filter(|it| it.moved).count() {
            0 => return format!("Between the builds {inputs}, and no answer moves."),
            1 => "one answer moves".to_owned(),
            count => format!("{count} of {} answers move", self.answers.len()),
        };
        let mut said: Vec<String> =
            self.told(|_| 0.0).into_iter().filter_map(|it| difference(it, self.units)).collect();
        match said.pop() {
            None => format!("Between the builds {inputs}, and {count}."),
            Some(last) if said.is_empty() => {
                format!("The second build {last} than the first; {inputs}, and {count}.")
            }
            Some(last) => format!(
                "Against the first, the second build {} and {last}; {inputs}, and {count}.",
                said.join(", ")
            ),
        }
    }

    /// What changed from a build to what it is now, in a sentence: what moved, and after which inputs.
    #[must_use]
    pub fn since_line(&self) -> String {
        let inputs: Vec<String> =
            self.inputs.iter().flat_map(|it| &it.keys).map(key_words).collect();
        let moved = self.answers.iter().filter(|it| it.moved);
        let mut told = self.told(|it| it.by_pct.map_or(f64::INFINITY, f64::abs));
        told.extend(moved.clone().take(usize::from(told.is_empty())));
        let said = told.iter().map(|it| format!("{} {} → {}", it.label, it.shown[0], it.shown[1]));
        let said: Vec<String> = said.collect();
        match (said.is_empty(), inputs.is_empty()) {
            (true, true) => "Nothing has changed since last time.".to_owned(),
            (true, false) => format!("Since last time: {}; no nominal answer moved.", few(&inputs)),
            (false, _) => {
                let of = moved.count();
                let all =
                    if of > said.len() { format!("; {of} answers moved") } else { String::new() };
                format!("Since last time: {}, after {}{all}.", said.join(", "), few(&inputs))
            }
        }
    }

    /// Of the answers that moved the greatest of each kind that the first line tells; of equals the first.
    fn told(&self, size: fn(&AnswerMoved) -> f64) -> Vec<&AnswerMoved> {
        let greatest = |kind: &fn(&Question) -> bool| {
            let of_kind = self.answers.iter().filter(|it| it.moved && kind(&it.question));
            of_kind.rev().max_by(|a, b| size(a).total_cmp(&size(b)))
        };
        KINDS.iter().filter_map(greatest).collect()
    }
}

/// Keys that a sentence names.
const MOST_NAMED: usize = 3;

fn few(keys: &[String]) -> String {
    let named = keys[..keys.len().min(MOST_NAMED)].join(", ");
    match keys.len().saturating_sub(MOST_NAMED) {
        0 => named,
        rest => format!("{named} and {rest} more"),
    }
}

/// `pack.module_mass 11.4 kg → 12 kg`, `motor.curve (curve.csv) has other contents`.
fn key_words(key: &KeyMoved) -> String {
    let [first, second] = key.shown().map(|it| it.unwrap_or_else(|| MISSING.to_owned()));
    match second.strip_prefix(&first) {
        Some(OTHER_CONTENTS) => format!("{} ({first}) has other contents", key.key),
        _ => format!("{} {first} → {second}", key.key),
    }
}

/// The kinds of answers that the first line tells, one of each.
const KINDS: [fn(&Question) -> bool; 4] = [
    |name| name.is(&rows::MASS),
    Question::is_range,
    |name| name.is(&rows::TIME) && name.from_kmh() <= 0.0,
    |name| name.is(&rows::MOTOR_SPEED),
];

fn difference(moved: &AnswerMoved, units: Units) -> Option<String> {
    moved.question.difference(moved.second.value?, moved.first.value?, units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::LoadCase;

    const MASS: Question = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);

    fn moved(
        first: Option<f64>,
        second: Option<f64>,
        parts: &[Option<Option<f64>>],
    ) -> AnswerMoved {
        let alone: Vec<_> =
            parts.iter().enumerate().map(|(i, part)| (format!("input.{i}"), *part)).collect();
        AnswerMoved::new(MASS, first, second, &alone, Units::Metric)
    }

    fn close(value: Option<f64>, wanted: f64) -> bool {
        value.is_some_and(|value| (value - wanted).abs() < 1e-9)
    }

    #[test]
    fn parts_and_what_acts_together_add_up_to_the_whole() {
        let it = moved(Some(900.0), Some(880.0), &[Some(Some(888.0)), Some(Some(893.0)), None]);
        assert!(it.moved && close(it.by.value, -20.0) && close(it.by_pct, -100.0 * 20.0 / 900.0));
        assert!(close(it.parts[0].by.value, -12.0) && close(it.parts[0].share_pct, 60.0));
        assert!(close(it.parts[1].share_pct, 35.0));
        assert_eq!((it.parts[2].by.value, it.parts[2].share_pct), (None, None));
        assert!(close(it.together.value, -1.0) && close(it.together_pct, 5.0));
    }

    #[test]
    fn what_moves_less_than_its_digits_has_not_moved() {
        let it = moved(Some(900.0), Some(900.04), &[Some(Some(900.04))]);
        assert!(!it.moved && it.parts[0].share_pct.is_none());
        let gone = moved(Some(900.0), None, &[Some(None)]);
        assert!(gone.moved && gone.by.value.is_none() && gone.parts[0].by.value.is_none());
        let never = moved(Some(f64::INFINITY), Some(f64::INFINITY), &[]);
        assert!(!never.moved && never.first.value.is_none());
    }

    #[test]
    fn differences_have_their_sign_and_unit() {
        assert_eq!(shown_by(&MASS, Some(11.4), Units::Metric), "+11.4 kg");
        assert_eq!(shown_by(&MASS, Some(-11.4), Units::Us), "-25.1 lb");
        assert_eq!(shown_by(&MASS, Some(0.01), Units::Metric), "0.0 kg");
        assert_eq!(shown_by(&MASS, None, Units::Metric), "–");
        assert_eq!(shown(&Question::of(&rows::DRAG_AREA), Some(0.7138), Units::Metric), "0.714 m²");
    }

    #[test]
    fn the_first_line_says_what_changes() {
        let mut answer = CompareAnswer::default();
        assert_eq!(answer.plain_line(), "The builds do not differ in any input.");
        answer.inputs = vec![InputMoved::default()];
        answer.answers = vec![moved(Some(900.0), Some(900.0), &[])];
        assert_eq!(
            answer.plain_line(),
            "Between the builds one input differs, and no answer moves."
        );
        answer.answers = vec![moved(Some(900.0), Some(888.6), &[])];
        assert_eq!(
            answer.plain_line(),
            "The second build weighs 11.4 kg less than the first; one input differs, and one answer moves."
        );
    }
}
