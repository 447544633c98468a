//! How each number of the page is worked out: a fold for each answer, and the inputs that they depend on.

use std::collections::BTreeMap;

use crownwheel_answers::explain::{ExplainAnswer, InputText, Step};
use crownwheel_answers::text::clean;
use maud::{Markup, html};

use super::parts::{bound, caution, list};

/// Inputs up to this many are named beside the working; of more the number is said.
const MOST_NAMED: usize = 30;

/// The workings of a page.
pub(crate) struct Workings<'a> {
    explained: &'a [ExplainAnswer],
    inputs: &'a [InputText],
    /// Places in `explained`, by the key of the answer.
    places: BTreeMap<String, usize>,
    /// Places in `inputs`, by key.
    keys: BTreeMap<&'a str, usize>,
}

impl<'a> Workings<'a> {
    pub(crate) fn new(explained: &'a [ExplainAnswer], inputs: &'a [InputText]) -> Workings<'a> {
        let keyed =
            |(place, it): (usize, &ExplainAnswer)| Some((it.question.as_ref()?.key(), place));
        let places = explained.iter().enumerate().filter_map(keyed).collect();
        let keys = inputs.iter().enumerate().map(|(i, it)| (it.key.as_str(), i)).collect();
        Workings { explained, inputs, places, keys }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.explained.is_empty()
    }

    /// The anchor of an answer's working by its key, if it is in the page.
    pub(crate) fn anchor(&self, key: &str) -> Option<String> {
        self.places.get(key).map(|place| anchor_of(*place))
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
