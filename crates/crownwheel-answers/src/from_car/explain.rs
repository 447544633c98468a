//! How an answer of a car is computed, with its numbers.

mod energy;
mod inputs;
mod of_report;
mod road;
mod weights;

pub use of_report::explained_in_report;

use crownwheel::name::Name;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel_quantities::{Names, NotAsked, Quantity, Question, rows};

use super::Subject;
use crate::compare::Amount;
use crate::explain::{ExplainAnswer, InputText, Step};
use crate::{Caution, Topic, Unit, Units};
use weights::Axle;

/// What is to be explained, and what there is to explain it from.
#[derive(Clone, Debug)]
pub struct ExplainAsked {
    /// Name of the answer: `range.winter`, `axle_load.rear`, `mass`, or as JSON names it.
    pub answer: String,
    /// Cycles that may be named; the first is taken where none is.
    pub cycles: Vec<Cycle>,
    /// The inputs of the build, as they are written or assumed.
    pub inputs: Vec<InputText>,
}

/// A worked answer.
struct WorkedAnswer {
    /// Name for people.
    label: String,
    value: Option<f64>,
    unit: Unit,
    decimals: usize,
    steps: Vec<Step>,
    notes: Vec<String>,
    cautions: Vec<Topic>,
    /// Starts of the keys that it depends on.
    depends_on: Vec<String>,
    /// Place of its day. `None`: it has none.
    day: Option<usize>,
}

impl WorkedAnswer {
    fn new(label: &str, value: f64, unit: Unit, decimals: usize) -> WorkedAnswer {
        WorkedAnswer {
            label: label.to_owned(),
            value: Some(value).filter(|value| value.is_finite()),
            unit,
            decimals,
            steps: Vec::new(),
            notes: Vec::new(),
            cautions: Vec::new(),
            depends_on: Vec::new(),
            day: None,
        }
    }

    fn on(mut self, day: usize) -> WorkedAnswer {
        self.day = Some(day);
        self
    }

    fn depending_on(mut self, starts: &[&str]) -> WorkedAnswer {
        self.depends_on.extend(starts.iter().map(|start| (*start).to_owned()));
        self
    }

    fn step(&mut self, what: &str, formula: &str, numbers: String, computed_in: &str) {
        self.steps.push(Step::new(what, formula, numbers, computed_in));
    }
}

/// How an answer is worked out, on the day at a place in the list.
type Derivation = fn(&Subject, &ExplainAsked, &Question, usize) -> WorkedAnswer;

/// The quantities that can be explained, and what explains them.
static DERIVATIONS: [(&Quantity, Derivation); 11] = [
    (&rows::MASS, |car, _, of, _| weights::mass(car, of.case())),
    (&rows::FRONT_AXLE, |car, _, of, _| weights::axle_load(car, Axle::Front, of.case())),
    (&rows::REAR_AXLE, |car, _, of, _| weights::axle_load(car, Axle::Rear, of.case())),
    (&rows::ROLLING_RADIUS, |car, _, _, _| road::rolling_radius(car)),
    (&rows::OVERALL_RATIO, |car, _, _, _| road::ratio(car)),
    (&rows::MOTOR_SPEED, |car, _, of, _| road::motor_speed(car, of.kmh())),
    (&rows::ROAD_LOAD, |car, _, of, day| road::road_load(car, of.kmh(), day)),
    (&rows::DRAG_AREA, |car, _, _, _| road::drag_area(car)),
    (&rows::ROLLING_RESISTANCE, |car, _, _, _| road::rolling_resistance(car)),
    (&rows::AIR_DENSITY, |car, _, _, day| road::air_density(car, day)),
    (&rows::RANGE, |car, asked, of, day| energy::range_of(car, asked.cycle_of(of), day)),
];

/// The quantities that can be explained.
#[must_use]
pub fn explained() -> [&'static Quantity; DERIVATIONS.len()] {
    DERIVATIONS.map(|(quantity, _)| quantity)
}

/// Explains an answer.
///
/// # Errors
/// The name says no answer that can be explained.
pub fn explain(subject: &Subject, asked: &ExplainAsked) -> Result<ExplainAnswer, NotAsked> {
    let pack = &subject.car.spec().pack;
    let names = Names {
        quantities: &explained(),
        cycles: asked.cycles.iter().map(|cycle| Arc::from(cycle.name())).collect(),
        days: subject.days.iter().map(|day| day.name().clone()).collect(),
        supplies: Vec::new(),
        charge_pct: (100.0 * pack.floor_frac(), 100.0 * pack.usable_to_frac),
    };
    let question = Question::read(&asked.answer, &names)?;
    Ok(explain_question(subject, asked, &question))
}

/// Explains the answer to a question that names nothing but what is there.
#[must_use]
pub fn explain_question(
    subject: &Subject,
    asked: &ExplainAsked,
    question: &Question,
) -> ExplainAnswer {
    let is_day = |name: &Name| subject.days.iter().position(|day| day.name() == name);
    let day = question.day().and_then(is_day).unwrap_or(0);
    let place = DERIVATIONS.iter().position(|(quantity, _)| question.is(quantity)).unwrap_or(0);
    let worked = (DERIVATIONS[place].1)(subject, asked, question, day);
    answer(subject, asked, question, worked)
}

impl ExplainAsked {
    fn cycle_of(&self, question: &Question) -> &Cycle {
        let is_it = |cycle: &Cycle| question.cycle().is_some_and(|name| **name == *cycle.name());
        &self.cycles[self.cycles.iter().position(is_it).unwrap_or(0)]
    }
}

fn answer(
    subject: &Subject,
    asked: &ExplainAsked,
    question: &Question,
    worked: WorkedAnswer,
) -> ExplainAnswer {
    let day = worked.day.map(|place| subject.days[place].name().clone());
    let shown = match worked.value {
        Some(value) => subject.units.text_to(value, worked.unit, worked.decimals),
        None => "not known".to_owned(),
    };
    let on_day = day.as_ref().map_or_else(String::new, |day| format!(" ({day})"));
    let given = inputs::of(&asked.inputs, &worked.depends_on);
    let assumed = given.iter().filter(|input| !input.given).count();
    let hangs = match (given.len(), assumed) {
        (1, 0) => "its one input is given".to_owned(),
        (1, _) => "its one input is assumed".to_owned(),
        (all, 0) => format!("all its {all} inputs are given"),
        (all, 1) => format!("one of its {all} inputs is assumed"),
        (all, assumed) => format!("{assumed} of its {all} inputs are assumed"),
    };
    let mut notes = worked.notes;
    if subject.units != Units::Metric {
        notes.push("The steps are worked in metric units, as the program does.".to_owned());
    }
    ExplainAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        plain: format!(
            "The {}{on_day} is {shown} with every input at its nominal value; {hangs}.",
            worked.label
        ),
        car: subject.car.spec().name.clone(),
        day,
        answer: asked.answer.clone(),
        question: Some(question.clone()),
        result: Amount { value: worked.value, unit: Units::Metric.symbol(worked.unit) },
        steps: worked.steps,
        inputs: given,
        notes,
        cautions: worked.cautions.into_iter().map(Caution::about).collect(),
    }
}

/// A number for a formula, with its unit.
fn with(value: f64, unit: &str, decimals: usize) -> String {
    let digits = crate::unit::digits(value, decimals);
    if unit.is_empty() { digits } else { format!("{digits} {unit}") }
}

/// `221.5 + 214.0 - 9.0`.
fn sum(terms: &[f64], decimals: usize) -> String {
    let mut out = String::new();
    for (i, term) in terms.iter().enumerate() {
        let shown = crate::unit::digits(term.abs(), decimals);
        let sign = match (i, *term < 0.0) {
            (0, true) => "-",
            (0, false) => "",
            (_, true) => " - ",
            (_, false) => " + ",
        };
        out.push_str(sign);
        out.push_str(&shown);
    }
    if out.is_empty() { "0".to_owned() } else { out }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_written_as_people_write_them() {
        assert_eq!(sum(&[-221.5, 9.0, -3.25], 1), "-221.5 + 9.0 - 3.2");
        assert_eq!(sum(&[], 1), "0");
        assert_eq!(with(4.22, "", 2), "4.22");
        assert_eq!(with(4.22, "kg", 1), "4.2 kg");
    }
}
