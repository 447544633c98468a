//! Parts of the page: a figure with its sentence, tables, lists, cautions.

use crownwheel_answers::glossary::GLOSSARY;
use crownwheel_answers::sheet::{Look, Mark, Say};
use crownwheel_answers::table::Shown;
use crownwheel_answers::text::clean;
use crownwheel_answers::unit::MISSING;
use crownwheel_answers::{Caution, Grid, Table, Topic};
use maud::{Markup, PreEscaped, Render, html};

use crate::FigureError;
use crate::sketch::Sketch;
use crate::svg::inline_svg;

/// A figure with its sentence.
pub(crate) fn figure(sketch: &Sketch) -> Result<Markup, FigureError> {
    let svg = inline_svg(sketch)?;
    Ok(html! {
        figure id={ "figure-" (sketch.slug) } {
            h3 { (clean(&sketch.title)) }
            (PreEscaped(svg))
            figcaption { (bound(&sketch.words)) }
        }
    })
}

/// Where an answer leads, by the key of its question.
type Link<'a> = &'a dyn Fn(&str) -> Option<String>;

/// A table. The first column names the rows.
pub(crate) struct Rows<'a> {
    title: &'a str,
    grid: Grid,
    look: Look,
    link: Link<'a>,
}

impl<'a> Rows<'a> {
    pub(crate) fn new(table: &'a Table, look: Look, link: Link<'a>) -> Self {
        let grid = table.grid();
        let grid = if look == Look::Turned { grid.turned() } else { grid };
        Rows { title: &table.title, grid, look, link }
    }

    fn cell(&self, cell: &Shown) -> Markup {
        let text = shown(&cell.text);
        let to = cell.answers.as_ref().filter(|_| text != MISSING).and_then(|key| (self.link)(key));
        match to {
            Some(anchor) => html! { a.number href={ "#" (anchor) } { (text) } },
            None => html! { (text) },
        }
    }
}

impl Render for Rows<'_> {
    fn render(&self) -> Markup {
        let grid = &self.grid;
        let stacked = matches!(self.look, Look::Rows | Look::Wide);
        let class = if stacked { "stacked" } else { "tight" };
        // A list of quantities has an order of its own, and so has a single row.
        let sorts = (stacked && grid.rows.len() > 1).then_some("");
        let side = |i: usize| grid.right.get(i).copied().unwrap_or(false).then_some("n");
        html! {
            table class=(class) data-sorts=[sorts] {
                caption { (clean(self.title)) }
                thead { tr { @for (i, head) in grid.head.iter().enumerate() { th scope="col" class=[side(i)] { (clean(head)) } } } }
                tbody {
                    @for row in &grid.rows {
                        tr {
                            @for (i, cell) in row.iter().enumerate() {
                                @if i == 0 {
                                    th scope="row" { (shown(&cell.text)) }
                                } @else {
                                    td class=[side(i)] data-name=(clean(&grid.head[i])) { (self.cell(cell)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Entries of several sayings with their heading.
pub(crate) fn entries(title: &str, mark: Mark, all: &[Vec<Say>]) -> Markup {
    let said = |say: &Say| match say {
        Say::Words(words) => html! { (bound(words)) },
        Say::Line(line) => html! { code { (clean(line)) } },
    };
    html! {
        h3 { (clean(title)) }
        @if mark == Mark::None {
            dl.lines {
                @for entry in all {
                    @for (i, say) in entry.iter().enumerate() {
                        @if i == 0 { dt { (said(say)) } } @else { dd { (said(say)) } }
                    }
                }
            }
        } @else {
            ul { @for entry in all { li { @for say in entry { (said(say)) " " } } } }
        }
    }
}

/// The words of the page.
pub(super) fn glossary() -> Markup {
    html! {
        dl.words { @for term in GLOSSARY { div { dt { (term.word) } dd { (term.means) } } } }
    }
}

/// A minus sign instead of a hyphen before a number.
fn shown(cell: &str) -> String {
    let cell = clean(cell);
    match cell.strip_prefix('-') {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit()) => format!("\u{2212}{rest}"),
        _ => cell,
    }
}

/// A sentence in which a number and its unit do not part at the end of a line.
pub(crate) fn bound(text: &str) -> String {
    const SYMBOLS: [&str; 25] = [
        "kg", "km", "km/h", "m", "mm", "s", "rpm", "N", "Wh/km", "kWh", "kW", "W", "V", "A", "%",
        "min", "°C", "lb", "miles", "mph", "ft", "in", "lbf", "Wh/mile", "°F",
    ];
    let text = clean(text);
    let mut out = String::with_capacity(text.len());
    let mut before: &str = "";
    for word in text.split(' ') {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
        let number = before.ends_with(|c: char| c.is_ascii_digit()) && SYMBOLS.contains(&bare);
        if !out.is_empty() {
            out.push(if number || before == "±" { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
        before = word;
    }
    out
}

/// Sentences as a list.
pub(crate) fn list(lines: &[String]) -> Markup {
    html! { @if !lines.is_empty() { ul { @for line in lines { li { (bound(line)) } } } } }
}

/// The caution of a subject.
pub(crate) fn caution(topic: Topic) -> Markup {
    html! { p.caution role="note" { strong { "Caution. " } (Caution::about(topic).text) } }
}
