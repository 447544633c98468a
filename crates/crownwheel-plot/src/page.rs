//! The page: the answers first, then the sections of their sheets with figures and tables, how numbers are
//! worked out, the rules that they follow, the words. One file that fetches nothing; without its few lines of
//! script only the sorting of tables is missing.

pub(crate) mod parts;
mod workings;

use crownwheel_answers::sheet::{Body, Look, Section, Sheet};
use crownwheel_answers::text::clean;
use crownwheel_answers::{CompareAnswer, Method, Provenance, Table};
use crownwheel_quantities::Name;
use maud::{DOCTYPE, Markup, PreEscaped, Render, html};

use crate::ink::variables;
use crate::sketch::Sketch;
use crate::{FigureError, has_json};
use parts::{Rows, bound, caution, entries, figure, glossary, list};
pub(crate) use workings::Workings;

const STYLE: &str = include_str!("page/style.css");
const SCRIPT: &str = include_str!("page/sort.js");

/// What a browser may do with the page: nothing from elsewhere.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// A section of a page.
struct Chapter {
    anchor: &'static str,
    name: &'static str,
    content: Markup,
}

/// What a page is made from.
pub(crate) struct Page<'a> {
    /// Name of the car.
    pub(crate) car: &'a Name,
    /// What it is, for the head and for the title of a window.
    pub(crate) kind: [&'a str; 2],
    /// The answers in their order.
    pub(crate) sheets: &'a [Sheet],
    /// What stands above the answers.
    pub(crate) before: Markup,
    /// What stands below them.
    pub(crate) after: Markup,
    pub(crate) figures: &'a [Sketch],
    pub(crate) workings: Workings<'a>,
    /// Name of the file with every number.
    pub(crate) json: &'a str,
    pub(crate) tables: &'a [Table],
    pub(crate) provenance: &'a Provenance,
}

impl Page<'_> {
    /// The whole page.
    pub(crate) fn html(&self) -> Result<String, FigureError> {
        let mut chapters = Vec::new();
        for sheet in self.sheets {
            for (place, section) in sheet.sections.iter().enumerate() {
                chapters.extend(self.chapter(sheet, section, place == 0)?);
            }
        }
        let mut add = |anchor, name, content| chapters.push(Chapter { anchor, name, content });
        if !self.workings.is_empty() {
            add("workings", "How each number is worked out", self.workings.section());
        }
        add("method", "The rules that numbers follow", self.methods());
        add("words", "Words", glossary());
        let content = html! {
            section.answers aria-label="The answers" {
                (self.before)
                dl {
                    @for sheet in self.sheets {
                        @if let Some(first) = sheet.sections.first() {
                            dt { a href={ "#" (first.anchor) } { (first.title) } }
                            @for said in &sheet.said { dd { (bound(said)) } }
                        }
                    }
                }
                (self.after)
            }
            (body(&chapters))
            (provenance(self.provenance, self.json, self.tables))
        };
        Ok(self.document(&content))
    }

    /// A section of a sheet; the first one has what is to be known of all. `None`: it has nothing to show.
    fn chapter(
        &self,
        sheet: &Sheet,
        section: &Section,
        first: bool,
    ) -> Result<Option<Chapter>, FigureError> {
        let belongs = |it: &&Sketch| section.figures.iter().any(|name| it.slug.starts_with(name));
        let drawn = self.figures.iter().filter(belongs).map(figure);
        let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
        let (mut beside, mut below) = (Vec::new(), Vec::new());
        for part in section.parts() {
            match &part.body {
                Body::Table(table, look) => {
                    let rows = Rows::new(table, *look, &|key| self.workings.anchor(key)).render();
                    let narrow = matches!(look, Look::Tight | Look::Turned);
                    if narrow { beside.push(rows) } else { below.push(rows) }
                }
                Body::List(mark, all) => below.push(entries(&part.title, *mark, all)),
            }
        }
        if !first && drawn.is_empty() && beside.is_empty() && below.is_empty() {
            return Ok(None);
        }
        let content = html! {
            div.pair { @for part in drawn.iter().chain(&beside) { div { (part) } } }
            @for part in &below { (part) }
            @if first {
                (list(&sheet.notes))
                @for it in &sheet.cautions { (caution(it.topic)) }
            }
        };
        Ok(Some(Chapter { anchor: section.anchor, name: section.title, content }))
    }

    /// The rules of all sections, each once.
    fn methods(&self) -> Markup {
        let sections = self.sheets.iter().flat_map(|sheet| &sheet.sections);
        let mut rules = Vec::new();
        for rule in sections.flat_map(|section| section.rules) {
            if !rules.contains(rule) {
                rules.push(*rule);
            }
        }
        html! {
            dl.lines {
                @for method in rules.into_iter().map(Method::about) {
                    dt { (method.name) }
                    dd { (bound(method.formula)) ". Source: " (bound(method.source)) "." }
                }
            }
        }
    }

    /// A whole document around the sections.
    fn document(&self, content: &Markup) -> String {
        let car = clean(&format!("{}", self.car));
        let [kind, title] = self.kind;
        let markup = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    title { (car) ": " (title) }
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
}

/// The list of sections, then all of them.
fn body(chapters: &[Chapter]) -> Markup {
    html! {
        nav aria-label="On this page" {
            ol { @for it in chapters { li { a href={ "#" (it.anchor) } { (it.name) } } } }
        }
        @for (i, it) in chapters.iter().enumerate() {
            section id=(it.anchor) { h2 { span.count { (i + 1) } " " (it.name) } (it.content) }
        }
    }
}

pub(crate) fn style() -> String {
    format!(
        ":root{{color-scheme:light dark;{}}}\n@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}\n{STYLE}",
        variables(false),
        variables(true)
    )
}

/// What changed since the report that stood in the same folder: the sentence, and both tables to unfold.
pub(crate) fn since(since: &CompareAnswer) -> Markup {
    let tables = since.since_tables();
    html! {
        p.since role="note" { (bound(&since.plain)) }
        @if tables.iter().any(|table| !table.rows.is_empty()) {
            details {
                summary { "What changed, and what that moved" }
                @for table in tables.iter().filter(|table| !table.rows.is_empty()) {
                    (Rows::new(&table.without_empty_columns(), Look::Rows, &|_| None))
                }
            }
        }
    }
}

/// Lines that must not be overlooked, with what they are; nothing without any.
pub(crate) fn alarm(class: &str, what: &str, lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() { div class=(class) role="note" { strong { (what) } (list(lines)) } }
    }
}

fn provenance(made: &Provenance, json: &str, tables: &[Table]) -> Markup {
    html! {
        footer {
            p {
                "Made by crownwheel " (clean(&made.program_version)) " from inputs "
                code { (clean(&made.inputs_hash)) }
                @if let Some(seed) = made.seed { ", seed " (seed) } "."
            }
            p {
                "Every number beside this page: " a href=(json) { (json) }
                @for table in tables {
                    ", " (table.name) " (" a href={ "tables/" (table.name) ".csv" } { "CSV" }
                    @if has_json(table) { ", " a href={ "tables/" (table.name) ".json" } { "JSON" } }
                    @else { " only: it is long" }
                    ")"
                }
                "."
            }
        }
    }
}
