//! The page: plain answers first, then figures with a sentence each, tables, what was assumed,
//! where it comes from. One file that fetches nothing and needs no script.

pub(crate) mod parts;
pub(crate) mod sweep;

use crownwheel_answers::tables::{assumed_table, measure_table};
use crownwheel_answers::text::clean;
use crownwheel_answers::{Provenance, Table, Topic, Unit};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::ink::variables;
use crate::{FigureError, Figures, ReportInput, has_json};
use parts::{Narrow, bands, bound, caution, figure, list, range_matrix, table};

const STYLE: &str = include_str!("page/style.css");

/// Sections with their anchors, in reading order.
const SECTIONS: [(&str, &str); 9] = [
    ("weights", "Weights"),
    ("range", "Range"),
    ("pull", "Pull, hills and heat"),
    ("charging", "Charging"),
    ("drives", "Over a cycle"),
    ("motor", "Motor, currents and heat"),
    ("energy", "Energy"),
    ("build", "The build as understood"),
    ("sources", "Assumed, and where from"),
];

/// The whole page.
pub(crate) fn page(
    input: &ReportInput,
    figures: &Figures,
    tables: &[(String, Table)],
) -> Result<String, FigureError> {
    let content = html! {
        (answers(input))
        (contents(&SECTIONS))
        (weights(input, figures)?)
        (range(input, figures)?)
        (pull(input, figures)?)
        (charging(input, figures)?)
        (drives(input, figures)?)
        (motor(input, figures)?)
        (energy(input, figures)?)
        (build(input))
        (sources(input))
        (provenance(&input.check.provenance, "report.json", tables))
    };
    let kind = "Conversion to electric drive";
    Ok(document(&input.check.car, "conversion report", kind, &content))
}

/// A whole document around the sections of a page.
fn document(car: &str, what: &str, kind: &str, content: &Markup) -> String {
    let car = clean(car);
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (car) ": " (what) }
                link rel="icon" href="data:,";
                style { (PreEscaped(style())) }
            }
            body { main { header { p.kind { (kind) } h1 { (car) } } (content) } }
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
    html! {
        section.answers aria-label="The answers" {
            dl {
                dt { "Weight" } dd { (bound(&input.weigh.plain)) }
                dt { "Range" } dd { (bound(&input.range.plain)) }
                @if let Some(pull) = &input.pull {
                    dt { "Pull" } dd { (bound(&pull.plain)) }
                }
                @if let Some(charge) = &input.charge {
                    dt { "Charging" } dd { (bound(&charge.plain)) }
                }
                dt { "Build" } dd { (bound(&input.check.plain)) }
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

fn contents(sections: &[(&str, &str)]) -> Markup {
    html! {
        nav aria-label="On this page" {
            ol { @for (anchor, name) in sections { li { a href={ "#" (anchor) } { (name) } } } }
        }
    }
}

fn section(index: usize, content: &Markup) -> Markup {
    numbered(index, SECTIONS[index], content)
}

/// A section with its number, anchor and name.
fn numbered(index: usize, (anchor, name): (&str, &str), content: &Markup) -> Markup {
    html! {
        section id=(anchor) { h2 { span.count { (index + 1) } " " (name) } (content) }
    }
}

fn weights(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let content = html! {
        div.pair {
            div {
                (figure(&figures.corners)?)
                (list(&input.weigh.notes))
                (caution(Topic::AxleLoads))
                (caution(Topic::Brakes))
            }
            div { (table("Corner weights and what is left", &input.weigh.case_grid(), Narrow::Tight)) }
        }
    };
    Ok(section(0, &content))
}

fn range(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let measured = measure_table(&input.range.measure_next, input.units());
    let content = html! {
        div.pair {
            div { (figure(&figures.steady)?) }
            div {
                (range_matrix(&input.range))
                (list(&input.range.notes))
            }
        }
        (table("Use and range per cycle and day", &input.range.short_grid(), Narrow::Stacked))
        @if !input.range.measure_next.is_empty() {
            (table("What to measure next", &measured.without_empty_columns().grid(), Narrow::Stacked))
        }
    };
    Ok(section(1, &content))
}

fn pull(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let drawn = figures.pull.iter().map(figure).collect::<Result<Vec<_>, _>>()?;
    let content = html! {
        @if let Some(pull) = &input.pull {
            div.pair { @for drawing in &drawn { div { (drawing) } } }
            (table("At full throttle", &pull.times_grid(), Narrow::Tight))
            (bands(&pull.bands, input.units()))
            (caution(Topic::FullThrottle))
            (table("Steepest grades held, and how long", &pull.hold_table().grid(), Narrow::Stacked))
            (table("The hills of the build, and half an hour on the flat", &pull.hill_table().grid(), Narrow::Stacked))
            (table("Hardest braking by the motor alone", &pull.overrun_table().grid(), Narrow::Stacked))
            (caution(Topic::Brakes))
            (table("Braking: axle loads at 0.5 g, and locking by the motor alone in the wet", &pull.braking_table().grid(), Narrow::Stacked))
            (table("Where each gear ends, downhill too", &pull.over_rev_table().grid(), Narrow::Tight))
            (table("Shaft speeds", &pull.shaft_table().grid(), Narrow::Stacked))
        } @else {
            p { "Pull was not asked for." }
        }
    };
    Ok(section(2, &content))
}

fn charging(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let drawn = figures.charging.as_ref().map(figure).transpose()?;
    let content = html! {
        @match &input.charge {
            Some(charge) if !charge.supplies.is_empty() => {
                div.pair {
                    div { @if let Some(drawing) = &drawn { (drawing) } }
                    div {
                        (table("Charging at each supply", &charge.table().without_empty_columns().grid(), Narrow::Stacked))
                        (bands(&charge.bands, input.units()))
                        (list(&charge.notes))
                        (caution(Topic::Supply))
                        (caution(Topic::HighVoltage))
                    }
                }
            }
            _ => p { "The build names no supply to charge from." },
        }
    };
    Ok(section(3, &content))
}

fn drives(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let drawn = figures.cycles.iter().map(figure).collect::<Result<Vec<_>, _>>()?;
    let gears = input.range.gear_use_grid();
    let content = html! {
        div.pair { @for drawing in &drawn { div { (drawing) } } }
        @if !gears.rows.is_empty() {
            (table("Time in each gear, one cycle from full", &gears, Narrow::Tight))
        }
    };
    Ok(section(4, &content))
}

fn motor(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let windows = figures.windows.as_ref().map(figure).transpose()?;
    let content = html! {
        div.pair {
            div { (figure(&figures.motor)?) }
            div { @if let Some(drawing) = &windows { (drawing) } }
            div {
                (table("Worst rolling values of all cycles and days", &input.range.worst_windows_grid().turned(), Narrow::Tight))
                p { "Each is the worst value over any stretch of that length." }
                (caution(Topic::Currents))
            }
        }
    };
    Ok(section(5, &content))
}

fn energy(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let unit = input.units().symbol(Unit::WhPerKm);
    let content = html! {
        div.pair {
            div { (figure(&figures.balance)?) }
            div { (table("Braking energy, beside the balance", &input.range.braking_grid(), Narrow::Tight)) }
        }
        (table(&format!("Energy balance from full to empty, {unit}"), &input.range.balance_grid(), Narrow::Stacked))
    };
    Ok(section(6, &content))
}

fn build(input: &ReportInput) -> Markup {
    let content = html! {
        div.pair {
            div {
                (table("First day, full charge, driver aboard", &input.check.fact_grid(), Narrow::Tight))
                (caution(Topic::HighVoltage))
            }
            div {
                @for (title, grid) in input.check.more_grids() {
                    (table(&title, &grid, Narrow::Tight))
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
    };
    section(7, &content)
}

fn sources(input: &ReportInput) -> Markup {
    let assumed = assumed_table(&input.assumed());
    let content = html! {
        @if assumed.rows.is_empty() {
            p { "Nothing was assumed: the build gives every value." }
        } @else {
            (table(&assumed.title, &assumed.grid(), Narrow::Stacked))
        }
    };
    section(8, &content)
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
