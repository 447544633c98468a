//! How each number of the page is worked out: a fold for each answer, and the inputs that they depend on.

use std::collections::BTreeMap;

use crownwheel_answers::LoadCase;
use crownwheel_answers::explain::{ExplainAnswer, Step};
use crownwheel_answers::from_car::InputText;
use crownwheel_answers::text::clean;
use crownwheel_quantities::{Quantity, Question, rows};
use maud::{Markup, html};

use super::parts::{bound, caution, list};

/// Inputs up to this many are named beside the working; of more the number is said.
const MOST_NAMED: usize = 30;

/// Facts of the build, by the start of their label, with what they answer.
const FACTS: [(&str, &Quantity); 10] = [
    ("mass with the driver", &rows::MASS),
    ("front axle", &rows::FRONT_AXLE),
    ("rear axle", &rows::REAR_AXLE),
    ("effective mass", &rows::EFFECTIVE_MASS),
    ("rolling radius", &rows::ROLLING_RADIUS),
    ("overall ratio", &rows::OVERALL_RATIO),
    ("drag area", &rows::DRAG_AREA),
    ("rolling resistance", &rows::ROLLING_RESISTANCE),
    ("pack energy", &rows::PACK_ENERGY),
    ("pack voltage, full", &rows::PACK_FULL_VOLTAGE),
];

/// The workings of a page.
pub(super) struct Workings<'a> {
    explained: &'a [ExplainAnswer],
    inputs: &'a [InputText],
    /// Places in `explained`, by the key of the answer; of the first day also without it.
    places: BTreeMap<String, usize>,
    /// Places in `inputs`, by key.
    keys: BTreeMap<&'a str, usize>,
}

impl<'a> Workings<'a> {
    pub(super) fn new(
        explained: &'a [ExplainAnswer],
        inputs: &'a [InputText],
        first_day: &str,
    ) -> Workings<'a> {
        let mut places = BTreeMap::new();
        for (place, answer) in explained.iter().enumerate() {
            let Some(question) = &answer.question else { continue };
            places.insert(question.key(), place);
            if question.day().is_some_and(|day| **day == *first_day) {
                places.insert(question.clone().on_day_if(None).key(), place);
            }
        }
        let keys = inputs.iter().enumerate().map(|(i, it)| (it.key.as_str(), i)).collect();
        Workings { explained, inputs, places, keys }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.explained.is_empty()
    }

    /// The anchor of an answer's working, if it is in the page.
    pub(super) fn anchor(&self, question: &Question) -> Option<String> {
        self.anchor_of_key(&question.key())
    }

    /// The same by the key of the answer.
    pub(super) fn anchor_of_key(&self, key: &str) -> Option<String> {
        self.places.get(key).map(|place| anchor_of(*place))
    }

    /// The anchor of an answer's working if it comes to this value: of the gears of a gearbox one is
    /// explained.
    pub(super) fn anchor_of_value(&self, question: &Question, value: f64) -> Option<String> {
        let known = self.explained[*self.places.get(&question.key())?].result.value?;
        let same = (known - value).abs() <= 1e-9 * value.abs();
        same.then(|| self.anchor(question)).flatten()
    }

    /// The anchor of a fact of the build by its label.
    pub(super) fn of_fact(&self, label: &str) -> Option<String> {
        if label.starts_with("air density") {
            return self.anchor(&Question::of(&rows::AIR_DENSITY));
        }
        let (_, quantity) = FACTS.into_iter().find(|(start, _)| label.starts_with(start))?;
        let question = Question::of(quantity);
        let loaded = quantity.takes("case");
        self.anchor(&if loaded { question.loaded(LoadCase::DriverOnly) } else { question })
    }

    /// All of them, each folded, and the table of inputs.
    pub(super) fn section(&self) -> Markup {
        html! {
            p { "Each number in the tables that is underlined leads to its formula here, with this car's numbers put in." }
            @for (place, answer) in self.explained.iter().enumerate() {
                details.working {
                    summary { (bound(&answer.plain)) }
                    div id=(anchor_of(place)) { (self.working(answer)) }
                }
            }
            (self.all_inputs())
        }
    }

    fn working(&self, answer: &ExplainAnswer) -> Markup {
        html! {
            ol { @for step in &answer.steps { (step_of(step)) } }
            (list(&answer.notes))
            @for it in &answer.cautions { (caution(it.topic)) }
            p { (self.depends_on(answer)) }
        }
    }

    fn depends_on(&self, answer: &ExplainAnswer) -> Markup {
        if answer.inputs.is_empty() || answer.inputs.len() > MOST_NAMED {
            let count = answer.inputs.len();
            return html! { "It depends on " (count) " of the " a href="#inputs" { "inputs" } "." };
        }
        html! {
            "It depends on "
            @for (i, input) in answer.inputs.iter().enumerate() {
                @if i > 0 { ", " }
                @match self.keys.get(input.key.as_str()) {
                    Some(place) => a href={ "#input-" (place) } { code { (clean(&input.key)) } },
                    None => code { (clean(&input.key)) },
                }
            }
            "."
        }
    }

    fn all_inputs(&self) -> Markup {
        html! {
            details.working {
                summary { "Every input with its value and source: " (self.inputs.len()) " of them" }
                table.stacked id="inputs" data-sorts="" {
                    caption { "Inputs as they are written or assumed" }
                    thead { tr {
                        @for head in ["key", "value", "given or assumed", "source"] { th scope="col" { (head) } }
                    } }
                    tbody {
                        @for (place, input) in self.inputs.iter().enumerate() {
                            tr id={ "input-" (place) } {
                                th scope="row" { code { (clean(&input.key)) } }
                                td data-name="value" { (clean(&input.value)) }
                                td data-name="given or assumed" { @if input.given { "given" } @else { "assumed" } }
                                td data-name="source" { (clean(input.source.as_deref().unwrap_or("–"))) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn step_of(step: &Step) -> Markup {
    html! {
        li {
            (bound(&step.what)) ": " code { (clean(&step.formula)) }
            br; code { (clean(&step.numbers)) }
            br; span.soft { "in " code { (clean(&step.computed_in)) } }
        }
    }
}

fn anchor_of(place: usize) -> String {
    format!("how-{place}")
}
