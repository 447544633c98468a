//! The page: the decision first, then figures with a sentence each, tables, how each number is
//! computed, what was assumed, where it comes from. One file that fetches nothing; without its few
//! lines of script only the sorting of tables is missing.

pub(crate) mod parts;
mod since;
mod subjects;
pub(crate) mod sweep;
mod workings;

use crownwheel_answers::tables::assumed_table;
use crownwheel_answers::text::clean;
use crownwheel_answers::{Provenance, Rule, Table, Topic};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::ink::variables;
use crate::{FigureError, Figures, ReportInput, has_json};
use parts::{Narrow, Rows, bound, caution, glossary, list};
use workings::Workings;

const STYLE: &str = include_str!("page/style.css");
const SCRIPT: &str = include_str!("page/sort.js");

/// What a browser may do with the page: nothing from elsewhere.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// A section of a page.
struct Section {
    anchor: &'static str,
    name: &'static str,
    content: Markup,
}

impl Section {
    fn new(anchor: &'static str, name: &'static str, content: Markup) -> Section {
        Section { anchor, name, content }
    }
}

/// The whole page.
pub(crate) fn page(
    input: &ReportInput,
    figures: &Figures,
    tables: &[(String, Table)],
) -> Result<String, FigureError> {
    let sections = sections(input, figures)?;
    let content = html! {
        (answers(input))
        (body(&sections))
        (provenance(&input.check.provenance, "report.json", tables))
    };
    let kind = "Conversion to electric drive";
    Ok(document(&format!("{}", input.check.car), "conversion report", kind, &content))
}

/// The sections in reading order.
fn sections(input: &ReportInput, figures: &Figures) -> Result<Vec<Section>, FigureError> {
    let all = Workings::new(&input.explained, &input.inputs, &input.check.day);
    let mut sections = Vec::new();
    if input.demands.is_some() {
        sections.push(Section::new("demands", "What is demanded", demands(input, &all)));
    }
    sections.extend([
        Section::new("weights", "Weights", subjects::weights(input, figures, &all)?),
        Section::new("range", "Range", subjects::range(input, figures, &all)?),
        Section::new("pull", "Pull, hills and heat", subjects::pull(input, figures, &all)?),
        Section::new("charging", "Charging", subjects::charging(input, figures, &all)?),
        Section::new("drives", "Over a cycle", subjects::drives(input, figures)?),
        Section::new("motor", "Motor, currents and heat", subjects::motor(input, figures)?),
        Section::new("energy", "Energy", subjects::energy(input, figures)?),
        Section::new("build", "The build as understood", build(input, &all)),
        Section::new("sources", "Assumed, and where from", sources(input)),
    ]);
    if !all.is_empty() {
        sections.push(Section::new("workings", "How each number is worked out", all.section()));
    }
    sections.push(Section::new("words", "Words", glossary()));
    Ok(sections)
}

/// The list of sections, then all of them.
fn body(sections: &[Section]) -> Markup {
    html! {
        nav aria-label="On this page" {
            ol { @for it in sections { li { a href={ "#" (it.anchor) } { (it.name) } } } }
        }
        @for (i, it) in sections.iter().enumerate() {
            section id=(it.anchor) { h2 { span.count { (i + 1) } " " (it.name) } (it.content) }
        }
    }
}

/// A whole document around the sections of a page.
fn document(car: &str, what: &str, kind: &str, content: &Markup) -> String {
    let car = clean(car);
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (car) ": " (what) }
                link rel="icon" href="data:,";
                style { (PreEscaped(style())) }
            }
            body {
                main { header { p.kind { (kind) } h1 { (car) } } (content) }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    };
    markup.into_string()
}

pub(crate) fn style() -> String {
    format!(
        ":root{{color-scheme:light dark;{}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}\n{STYLE}",
        variables(false),
        variables(true)
    )
}

fn answers(input: &ReportInput) -> Markup {
    let over: Vec<String> =
        input.weigh.overloads().iter().map(|o| input.weigh.overload_sentence(o)).collect();
    // The loads over a limit stand above already.
    let warnings: Vec<String> =
        input.warnings().into_iter().map(|w| w.text).filter(|text| !over.contains(text)).collect();
    let pull = input.pull.as_ref().map(|pull| ("pull", "Pull", &pull.plain));
    let charge = input.charge.as_ref().map(|charge| ("charging", "Charging", &charge.plain));
    let demands = input.demands.as_ref().map(|demands| ("demands", "Demands", &demands.plain));
    let said = [
        demands,
        Some(("weights", "Weight", &input.weigh.plain)),
        Some(("range", "Range", &input.range.plain)),
        pull,
        charge,
        Some(("build", "Build", &input.check.plain)),
    ];
    html! {
        section.answers aria-label="The answers" {
            (since::since(input.since.as_ref()))
            dl {
                @for (anchor, name, plain) in said.into_iter().flatten() {
                    dt { a href={ "#" (anchor) } { (name) } } dd { (bound(plain)) }
                }
            }
            @if !over.is_empty() {
                div.over role="note" { strong { "Over a limit" } (list(&over)) }
            }
            @if !warnings.is_empty() {
                div.warn role="note" { strong { "Look at this" } (list(&warnings)) }
            }
        }
    }
}

fn demands(input: &ReportInput, all: &Workings) -> Markup {
    let Some(demands) = &input.demands else { return html! {} };
    let link = |row: usize, head: &str, _: &[String]| {
        let limit = demands.demand_limits.get(row).filter(|_| head == "found")?;
        all.anchor_of_key(&limit.answer)
    };
    let grid = demands.table().grid();
    html! {
        (Rows::new("Each demand with its limits", &grid, Narrow::Stacked, Rule::Demands).linked(&link))
        p {
            "A demand is met if all of its limits hold at once in as many worlds as asked. "
            @if demands.demands.len() > 1 {
                "All demands at once: "
                (crownwheel_answers::sweep::percent(demands.all_demands_probability))
                " of " (demands.worlds) " worlds."
            }
        }
    }
}

fn build(input: &ReportInput, all: &Workings) -> Markup {
    let facts = input.check.fact_grid();
    let link = |_: usize, head: &str, row: &[String]| {
        let fact = row.first().filter(|_| head == "value")?;
        all.of_fact(fact)
    };
    html! {
        div.pair {
            div {
                (Rows::new("First day, full charge, driver aboard", &facts, Narrow::Tight, Rule::Facts).linked(&link))
                (caution(Topic::HighVoltage))
            }
            div {
                @for (title, grid) in input.check.more_grids() {
                    (Rows::new(&title, &grid, Narrow::Tight, Rule::ShaftSpeeds))
                }
                @if !input.check.lines_to_add.is_empty() {
                    h3 { "Lines that would narrow the answers most" }
                    dl.lines {
                        @for add in &input.check.lines_to_add {
                            dt { code { (clean(&add.line)) } } dd { (bound(&add.why)) }
                        }
                    }
                }
                (list(&input.check.notes))
            }
        }
    }
}

fn sources(input: &ReportInput) -> Markup {
    let assumed = assumed_table(&input.assumed());
    html! {
        @if assumed.rows.is_empty() {
            p { "Nothing was assumed: the build gives every value." }
        } @else {
            (Rows::new(&assumed.title, &assumed.grid(), Narrow::Stacked, Rule::Assumed))
        }
    }
}

fn provenance(made: &Provenance, json: &str, tables: &[(String, Table)]) -> Markup {
    html! {
        footer {
            p {
                "Made by crownwheel " (clean(&made.program_version)) " from inputs "
                code { (clean(&made.inputs_hash)) }
                @if let Some(seed) = made.seed { ", seed " (seed) } "."
            }
            p {
                "Every number beside this page: " a href=(json) { (json) }
                @for (name, table) in tables {
                    ", " (name) " (" a href={ "tables/" (name) ".csv" } { "CSV" }
                    @if has_json(table) { ", " a href={ "tables/" (name) ".json" } { "JSON" } }
                    @else { " only: it is long" }
                    ")"
                }
                "."
            }
        }
    }
}
