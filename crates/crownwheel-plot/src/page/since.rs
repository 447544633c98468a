//! What changed since the report that stood in the same folder.

use crownwheel_answers::{Rule, SinceAnswer};
use maud::{Markup, html};

use super::parts::{Narrow, Rows, bound};

/// The sentence, and both tables to unfold. Nothing for a first report.
pub(super) fn since(since: Option<&SinceAnswer>) -> Markup {
    html! {
        @if let Some(since) = since {
            p.since role="note" { (bound(&since.plain)) }
            @if !since.inputs.is_empty() {
                details {
                    summary { "What changed, and what that moved" }
                    (Rows::owned("Inputs that changed", since.inputs_grid(), Narrow::Stacked, Rule::Inputs))
                    @if !since.answers.is_empty() {
                        (Rows::owned("Answers that moved", since.moved_grid(), Narrow::Stacked, Rule::Moved))
                    }
                }
            }
        }
    }
}
