//! The report of a sweep: its page, figures and tables as files.

use crownwheel_answers::demands::listed;
use crownwheel_answers::sweep::facts_sentences;
use crownwheel_answers::text::clean;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{SweepAnswer, Table};
use maud::{Markup, html};
use serde::Serialize;

use crate::page::parts::bound;
use crate::page::{Page, Workings, alarm};
use crate::sketch::Sketch;
use crate::{FigureError, figures, json_bytes, with_beside};

/// What the report of a sweep is made from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SweepInput {
    /// The sweep.
    #[serde(flatten)]
    pub answer: SweepAnswer,
    /// Draw each figure as PNG too.
    #[serde(skip)]
    pub png: bool,
}

/// The figures that the answer has enough for.
fn drawn(answer: &SweepAnswer) -> Vec<Sketch> {
    let all = [
        figures::answers_over_key(answer),
        figures::range_over_modules(answer),
        figures::heat_map(answer),
        figures::front(answer),
        figures::measure_next(answer),
    ];
    all.into_iter().flatten().collect()
}

/// How surely the best option meets what is demanded, what to measure first, and what does not fit.
fn after(answer: &SweepAnswer) -> Markup {
    let said = answer.facts.iter().filter(|it| !it.contradictions.is_empty()).flat_map(|it| {
        // The first sentences say what the facts did, the last ones contradict.
        let mut said = facts_sentences(it, answer.worlds, answer.units);
        said.split_off(said.len() - it.contradictions.len())
    });
    let against: Vec<String> = said.collect();
    let warnings: Vec<String> = answer.warnings.iter().map(|it| it.text.clone()).collect();
    html! {
        dl {
            @if let Some(best) = answer.best().filter(|best| !best.demands.is_empty()) {
                dt { "Demands" } dd { (bound(&listed(&best.demands))) "." }
            }
            @if let Some(next) = answer.measure_next.first() {
                dt { "Measure" }
                dd {
                    code { (clean(&next.key)) } " first: it would narrow the band of "
                    (clean(&answer.label_of(&next.answer)))
                    " by " (digits(next.band_shrinks_pct, 0)) "\u{a0}%."
                }
            }
        }
        (alarm("over", "A fact contradicts the build", &against))
        (alarm("warn", "Look at this", &warnings))
    }
}

/// Every file of a sweep's report: its name below the report's folder, with `/`, and its bytes.
///
/// # Errors
/// A figure could not be drawn.
pub fn sweep_files(input: &SweepInput) -> Result<Vec<(String, Vec<u8>)>, FigureError> {
    let (answer, sheet) = (&input.answer, input.answer.sheet());
    let (figures, tables) = (drawn(answer), sheet.tables().cloned().collect::<Vec<Table>>());
    let page = Page {
        car: &answer.car,
        kind: ["Conversion to electric drive: which option", "which option"],
        sheets: &[sheet],
        before: html! {},
        after: after(answer),
        figures: &figures,
        workings: Workings::new(&[], &[]),
        json: "sweep.json",
        tables: &tables,
        provenance: &answer.provenance,
    };
    let page = page.html()?.into_bytes();
    let first = [("report.html", page), ("sweep.json", json_bytes(input, answer.units))];
    with_beside(first, &figures, &tables, &answer.provenance, input.png)
}
