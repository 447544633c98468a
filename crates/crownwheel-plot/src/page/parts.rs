//! Parts of the page: a figure with its sentence, tables, lists, cautions.

use std::borrow::Cow;

use crownwheel_answers::glossary::GLOSSARY;
use crownwheel_answers::tables::steady_at;
use crownwheel_answers::text::clean;
use crownwheel_answers::unit::{MISSING, digits};
use crownwheel_answers::{Caution, Grid, Method, RangeAnswer, Rule, Topic, Unit, Units};
use maud::{Markup, PreEscaped, Render, html};

use crate::FigureError;
use crate::sketch::Sketch;
use crate::svg::inline_svg;

/// How a table fits a phone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Narrow {
    /// Smaller, still a table.
    Tight,
    /// Each row becomes a block of names and values.
    Stacked,
}

/// A figure with its sentence, and how it is computed.
pub(crate) fn figure(sketch: &Sketch, about: Rule) -> Result<Markup, FigureError> {
    let svg = inline_svg(sketch)?;
    Ok(html! {
        figure id={ "figure-" (sketch.slug) } {
            h3 { (clean(&sketch.title)) }
            (PreEscaped(svg))
            figcaption { (bound(&sketch.words)) }
            (how(about))
        }
    })
}

/// The formula and its source, folded.
fn how(about: Rule) -> Markup {
    let method = Method::about(about);
    html! {
        details.how {
            summary { "formula and source" }
            p { (bound(method.formula)) "." }
            p { "Source: " (bound(method.source)) "." }
        }
    }
}

/// Where a cell leads: by the number of its row, its heading, and its row.
type Link<'a> = &'a dyn Fn(usize, &str, &[String]) -> Option<String>;

/// A table. The first column names the rows.
pub(crate) struct Rows<'a> {
    title: &'a str,
    grid: Cow<'a, Grid>,
    narrow: Narrow,
    about: Rule,
    link: Option<Link<'a>>,
}

impl<'a> Rows<'a> {
    pub(crate) fn new(title: &'a str, grid: &'a Grid, narrow: Narrow, about: Rule) -> Self {
        Rows { title, grid: Cow::Borrowed(grid), narrow, about, link: None }
    }

    pub(super) fn owned(title: &'a str, grid: Grid, narrow: Narrow, about: Rule) -> Self {
        Rows { title, grid: Cow::Owned(grid), narrow, about, link: None }
    }

    /// The same with cells that lead to their working.
    pub(super) fn linked(self, link: Link<'a>) -> Self {
        Rows { link: Some(link), ..self }
    }

    fn cell(&self, place: usize, row: &[String], column: usize) -> Markup {
        let text = shown(&row[column]);
        let to = self.link.and_then(|link| link(place, &self.grid.head[column], row));
        match to {
            Some(anchor) if text != MISSING => html! { a.number href={ "#" (anchor) } { (text) } },
            _ => html! { (text) },
        }
    }
}

impl Render for Rows<'_> {
    fn render(&self) -> Markup {
        let (grid, class) = match self.narrow {
            Narrow::Tight => (&self.grid, "tight"),
            Narrow::Stacked => (&self.grid, "stacked"),
        };
        // A list of quantities has an order of its own, and so has a single row.
        let sorts = (self.narrow == Narrow::Stacked && grid.rows.len() > 1).then_some("");
        let side = |i: usize| grid.right.get(i).copied().unwrap_or(false).then_some("n");
        html! {
            table class=(class) data-sorts=[sorts] {
                caption { (clean(self.title)) }
                thead { tr { @for (i, head) in grid.head.iter().enumerate() { th scope="col" class=[side(i)] { (clean(head)) } } } }
                tbody {
                    @for (place, row) in grid.rows.iter().enumerate() {
                        tr {
                            @for (i, cell) in row.iter().enumerate() {
                                @if i == 0 {
                                    th scope="row" { (shown(cell)) }
                                } @else {
                                    td class=[side(i)] data-name=(clean(&grid.head[i])) { (self.cell(place, row, i)) }
                                }
                            }
                        }
                    }
                }
            }
            (how(self.about))
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

/// Range by steady speed and day; a bar behind each number is as long as the range.
pub(super) fn range_matrix(answer: &RangeAnswer) -> Markup {
    let (days, units) = (answer.days(), answer.units);
    let speeds = units.steady_speeds_kmh();
    let title =
        format!("How far a steady speed is held from full on the flat, {}", units.symbol(Unit::Km));
    let found = |day: &str, speed: f64| steady_at(&answer.steady, day, speed);
    let all = days.iter().flat_map(|day| speeds.iter().map(move |speed| (*day, *speed)));
    let most = all
        .filter_map(|(day, speed)| found(day, speed)?.held_km())
        .map(|km| km.middle())
        .fold(1.0, f64::max);
    html! {
        table.tight.matrix {
            caption { (title) }
            thead {
                tr {
                    th scope="col" { "day" }
                    @for speed in speeds { th.n scope="col" { (units.text(speed, Unit::Kmh)) } }
                }
            }
            tbody {
                @for day in &days {
                    tr {
                        th scope="row" { (clean(&format!("{day}"))) }
                        @for speed in speeds { (matrix_cell(found(day, speed), most, units)) }
                    }
                }
            }
        }
        (how(Rule::SteadyRange))
    }
}

fn matrix_cell(
    found: Option<&crownwheel_answers::SteadyResult>,
    most_km: f64,
    units: Units,
) -> Markup {
    match found {
        Some(s) if s.held => {
            let middle_km = s.held_km().map_or(most_km, |km| km.middle());
            let share = digits((100.0 * middle_km / most_km).clamp(0.0, 100.0), 0);
            html! { td.n style={ "--share:" (share) "%" } { (s.shown_range(units)) } }
        }
        Some(s) => html! { td.n { "not held: " (clean(&s.limit)) } },
        None => html! { td.n { "–" } },
    }
}
