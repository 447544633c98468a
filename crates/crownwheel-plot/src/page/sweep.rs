//! The page of a sweep: the decision first, then why, what to measure, every figure, and what was
//! left out and assumed.

use crownwheel_answers::demands::listed;
use crownwheel_answers::sweep::percent;
use crownwheel_answers::sweep::{answers_grid, facts_sentences};
use crownwheel_answers::tables::assumed_table;
use crownwheel_answers::text::clean;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{Grid, OptionAnswer, Rule, SweepAnswer, Table, Topic};
use maud::{Markup, html};

use super::parts::{Narrow, Rows, bound, caution, figure, glossary, list};
use super::{Section, body, document, provenance};
use crate::FigureError;
use crate::figures::SweepFigures;
use crate::figures::label_of;
use crate::sketch::Sketch;

/// Options of the ranking that the page shows; all are in the tables beside it.
const MOST_RANKED: usize = 12;

/// Sentences and rows that a page bears.
const MOST_LINES: usize = 12;

/// The whole page.
pub(crate) fn page(
    answer: &SweepAnswer,
    figures: &SweepFigures,
    tables: &[(String, Table)],
) -> Result<String, FigureError> {
    let sections = [
        Section::new("decision", "The decision", decision(answer, figures)?),
        Section::new("trades", "What the choices give and take", trades(answer)),
        Section::new("measure", "What to measure next", measure(answer, figures)?),
        Section::new("compared", "All options compared", compared(answer, figures)?),
        Section::new("impossible", "What cannot be built", impossible(answer)),
        Section::new("sources", "Assumed, and where from", sources(answer)),
        Section::new("words", "Words", glossary()),
    ];
    let content = html! {
        (first(answer))
        (body(&sections))
        (provenance(&answer.provenance, "sweep.json", tables))
    };
    Ok(document(
        &format!("{}", answer.car),
        "which option",
        "Conversion to electric drive: which option",
        &content,
    ))
}

/// The decision, and how surely it meets what is demanded.
fn first(answer: &SweepAnswer) -> Markup {
    let warnings: Vec<String> = answer.warnings.iter().map(|w| w.text.clone()).collect();
    let against: Vec<String> = answer
        .facts
        .iter()
        .filter(|f| !f.contradictions.is_empty())
        .flat_map(|f| {
            // The first sentences say what the facts did, the last ones contradict.
            let mut said = facts_sentences(f, answer.worlds, answer.units);
            said.split_off(said.len() - f.contradictions.len())
        })
        .collect();
    html! {
        section.answers aria-label="The answers" {
            dl {
                dt { "Decision" } dd { (bound(&answer.plain)) }
                @if let Some(since) = &answer.since { dt { "Last time" } dd { (bound(since)) } }
                @if let Some(best) = answer.best() {
                    dt { "Demands" } dd { (bound(&demands_line(best))) }
                }
                @if let Some(next) = answer.measure_next.first() {
                    dt { "Measure" }
                    dd {
                        code { (clean(&next.key)) } " first: it would narrow "
                        "the band of " (clean(&label_of(answer, &next.answer)))
                        " by " (digits(next.band_shrinks_pct, 0)) "\u{a0}%."
                    }
                }
            }
            @if !against.is_empty() {
                div.over role="note" { strong { "A fact contradicts the build" } (list(&against)) }
            }
            @if !warnings.is_empty() {
                div.warn role="note" { strong { "Look at this" } (list(&warnings)) }
            }
        }
    }
}

fn demands_line(best: &OptionAnswer) -> String {
    if best.demands.is_empty() {
        return "No demand is written.".to_owned();
    }
    format!("{}.", listed(&best.demands))
}

fn drawn(sketch: Option<&Sketch>, about: Rule) -> Result<Option<Markup>, FigureError> {
    sketch.map(|sketch| figure(sketch, about)).transpose()
}

fn decision(answer: &SweepAnswer, figures: &SweepFigures) -> Result<Markup, FigureError> {
    let heat = drawn(figures.heat.as_ref(), Rule::Demands)?;
    let best = answer.best().filter(|best| !best.answers.is_empty());
    let more = answer.ranking.len().saturating_sub(MOST_RANKED);
    Ok(html! {
        @if answer.ranking.is_empty() {
            p { "There is no option to rank." }
        } @else {
            (Rows::owned("The best options", answer.ranking_grid(MOST_RANKED), Narrow::Stacked, Rule::Ranking))
            p {
                @if answer.ranked().take(MOST_RANKED).any(|option| !option.meets_all) {
                    "! less sure than asked. "
                }
                (bound(&answer.ranking_rule))
                @if more > 0 { " " (more) " more are in the tables beside this page." }
            }
        }
        div.pair {
            div {
                @if let Some(best) = best {
                    (Rows::owned("What the best option chooses", choices(best), Narrow::Tight, Rule::Inputs))
                    (Rows::owned("What the best option does", answers_grid(&best.answers, answer.units), Narrow::Tight, Rule::Bands))
                }
                (caution(Topic::AxleLoads))
                (caution(Topic::HighVoltage))
            }
            div { @if let Some(heat) = &heat { (heat) } }
        }
    })
}

fn choices(best: &OptionAnswer) -> Grid {
    Grid {
        head: ["choice", "value"].map(str::to_owned).to_vec(),
        rows: best.choices.0.iter().map(|(of, is)| vec![of.to_string(), is.to_string()]).collect(),
        right: vec![false, false],
    }
}

fn trades(answer: &SweepAnswer) -> Markup {
    let said: Vec<String> = answer
        .trades
        .iter()
        .take(MOST_LINES)
        .map(|trade| format!("{}: {}", trade.choice, trade.text))
        .collect();
    let row = |it: &crownwheel_answers::sweep::HeadToHead| {
        vec![it.over.clone(), label_of(answer, &it.answer), percent(it.probability)]
    };
    let heads = Grid {
        head: ["than", "answer", "probability"].map(str::to_owned).to_vec(),
        rows: answer.head_to_head.iter().take(MOST_LINES).map(row).collect(),
        right: vec![false, false, true],
    };
    html! {
        @if said.is_empty() {
            p { "No other option differs from the best in one choice alone." }
        }
        (list(&said))
        @if !heads.rows.is_empty() {
            (Rows::new("How often the best option is better in the same worlds", &heads, Narrow::Stacked, Rule::HeadToHead))
        }
    }
}

fn measure(answer: &SweepAnswer, figures: &SweepFigures) -> Result<Markup, FigureError> {
    let bars = drawn(figures.measure.as_ref(), Rule::MeasureNext)?;
    let lines: Vec<&str> =
        answer.measure_next.iter().filter_map(|next| next.line.as_deref()).collect();
    let facts: Vec<String> = answer
        .facts
        .iter()
        .flat_map(|facts| facts_sentences(facts, answer.worlds, answer.units))
        .collect();
    let grid = answer.measure_table().without_empty_columns().grid();
    Ok(html! {
        @if answer.measure_next.is_empty() {
            p { "Nothing that is unsure moves the answers of the best option, or no worlds were run." }
        } @else {
            div.pair {
                div { @if let Some(bars) = &bars { (bars) } }
                div {
                    @if !lines.is_empty() {
                        h3 { "Lines to write into the build once they are measured" }
                        ul { @for line in unique(&lines) { li { code { (clean(line)) } } } }
                    }
                    (list(&facts))
                }
            }
            (Rows::new("Shares of the inputs", &grid, Narrow::Stacked, Rule::MeasureNext))
        }
        @if answer.measure_next.is_empty() { (list(&facts)) }
    })
}

/// Each line once, in their order.
fn unique<'a>(lines: &[&'a str]) -> Vec<&'a str> {
    let mut kept: Vec<&str> = Vec::new();
    for line in lines {
        if !kept.contains(line) {
            kept.push(line);
        }
    }
    kept
}

fn compared(answer: &SweepAnswer, figures: &SweepFigures) -> Result<Markup, FigureError> {
    let all = [&figures.lines, &figures.modules, &figures.front].into_iter().flatten();
    let all = all.map(|it| figure(it, Rule::Range)).collect::<Result<Vec<_>, _>>()?;
    let over: Vec<String> =
        answer.non_dominated_over.iter().map(|name| label_of(answer, &name.answer)).collect();
    let (options, cycles) = (answer.option_count, answer.cycles.len());
    let mut notes = vec![format!(
        "{options} options, {cycles} cycles ({}), {} days ({}), {} worlds.",
        answer.cycles.join(", "),
        answer.days.len(),
        answer.days.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
        answer.worlds
    )];
    notes.extend(answer.screening.clone());
    if !over.is_empty() {
        notes.push(format!(
            "In the tables an option is beaten by none if no other is at least as good in all of {} and better in one.",
            over.join(", ")
        ));
    }
    notes.extend(answer.notes.iter().cloned());
    Ok(html! {
        div.pair { @for drawing in &all { div { (drawing) } } }
        (list(&notes))
    })
}

fn impossible(answer: &SweepAnswer) -> Markup {
    let grid = answer.impossible_grid(MOST_LINES);
    html! {
        @if grid.rows.is_empty() {
            p { "Every option can be built." }
        } @else {
            (Rows::new("Reasons, the most frequent first", &grid, Narrow::Stacked, Rule::Impossible))
        }
    }
}

fn sources(answer: &SweepAnswer) -> Markup {
    let assumed = assumed_table(&answer.assumed);
    html! {
        @if assumed.rows.is_empty() {
            p { "Nothing was assumed: the build gives every value." }
        } @else {
            (Rows::new(&assumed.title, &assumed.grid(), Narrow::Stacked, Rule::Assumed))
        }
        @for caution in &answer.cautions {
            p.caution role="note" { strong { "Caution. " } (caution.text) }
        }
    }
}
