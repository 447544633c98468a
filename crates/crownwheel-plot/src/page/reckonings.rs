//! How each number of the page is reckoned: a fold for each answer, and the inputs that they hang on.

use std::collections::BTreeMap;

use crownwheel_answers::explain::{ExplainAnswer, Step};
use crownwheel_answers::from_car::InputText;
use crownwheel_answers::text::clean;
use maud::{Markup, html};

use super::parts::{bound, caution, list};

/// Inputs up to this many are named beside the reckoning; of more the number is said.
const MOST_NAMED: usize = 30;

/// Facts of the build, by the start of their label, with the names of their answers.
const FACTS: [(&str, &str); 10] = [
    ("mass with the driver", "mass.driver_only"),
    ("front axle", "axle_load.front.driver_only"),
    ("rear axle", "axle_load.rear.driver_only"),
    ("effective mass", "effective_mass"),
    ("rolling radius", "rolling_radius"),
    ("overall ratio", "overall_ratio"),
    ("drag area", "drag_area"),
    ("rolling resistance", "rolling_resistance"),
    ("pack energy", "pack_energy"),
    ("pack voltage, full", "pack_full_voltage"),
];

/// The reckonings of a page.
pub(super) struct Reckonings<'a> {
    explained: &'a [ExplainAnswer],
    inputs: &'a [InputText],
    /// Places in `explained`, by the name of the answer.
    places: BTreeMap<&'a str, usize>,
    /// Places in `inputs`, by key.
    keys: BTreeMap<&'a str, usize>,
}

impl<'a> Reckonings<'a> {
    pub(super) fn new(explained: &'a [ExplainAnswer], inputs: &'a [InputText]) -> Reckonings<'a> {
        let places = explained.iter().enumerate().map(|(i, it)| (it.answer.as_str(), i)).collect();
        let keys = inputs.iter().enumerate().map(|(i, it)| (it.key.as_str(), i)).collect();
        Reckonings { explained, inputs, places, keys }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.explained.is_empty()
    }

    /// The anchor of an answer's reckoning, by its name or its JSON key, if it is in the page.
    pub(super) fn anchor(&self, name: &str) -> Option<String> {
        let short = name.replacen("range_km.", "range.", 1).replacen(
            "cruise_motor_speed_rpm.",
            "motor_speed.",
            1,
        );
        self.places.get(short.as_str()).map(|place| anchor_of(*place))
    }

    /// The anchor of an answer's reckoning if it comes to this value: of the gears of a gearbox one is
    /// explained.
    pub(super) fn anchor_of_value(&self, name: &str, value: f64) -> Option<String> {
        let known = self.explained[*self.places.get(name)?].result.value?;
        let same = (known - value).abs() <= 1e-9 * value.abs();
        same.then(|| self.anchor(name)).flatten()
    }

    /// The anchor of a fact of the build by its label.
    pub(super) fn of_fact(&self, label: &str, day: &str) -> Option<String> {
        if label.starts_with("air density") {
            return self.anchor(&format!("air_density.{day}"));
        }
        let (_, name) = FACTS.into_iter().find(|(start, _)| label.starts_with(start))?;
        self.anchor(name)
    }

    /// All of them, each folded, and the table of inputs.
    pub(super) fn section(&self) -> Markup {
        html! {
            p { "Each number in the tables that is underlined leads to its formula here, with this car's numbers put in." }
            @for (place, answer) in self.explained.iter().enumerate() {
                details.reckoning {
                    summary { (bound(&answer.plain)) }
                    div id=(anchor_of(place)) { (self.reckoning(answer)) }
                }
            }
            (self.all_inputs())
        }
    }

    fn reckoning(&self, answer: &ExplainAnswer) -> Markup {
        html! {
            ol { @for step in &answer.steps { (step_of(step)) } }
            (list(&answer.notes))
            @for it in &answer.cautions { (caution(it.topic)) }
            p { (self.hangs_on(answer)) }
        }
    }

    fn hangs_on(&self, answer: &ExplainAnswer) -> Markup {
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
            details.reckoning {
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
