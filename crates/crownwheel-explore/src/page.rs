//! The page as it is sent first: the controls, and places for what follows each move.

use crownwheel_answers::text::clean;
use crownwheel_answers::unit::digits;
use crownwheel_plot::inline;
use maud::{DOCTYPE, Markup, html};

use crate::control::{Control, Kind};
use crate::engine::Reading;

const STYLE: &str = include_str!("page.css");

/// The script of the page.
pub(crate) const SCRIPT: &str = include_str!("page.js");

/// Sections that follow each move, with their headings, in reading order.
const SECTIONS: [(&str, &str); 7] = [
    ("demands", "Demands"),
    ("range", "Range"),
    ("speed", "What limits it"),
    ("pull", "Pull"),
    ("hills", "Hills and heat"),
    ("weights", "Weights"),
    ("build", "The build as understood"),
];

/// The style of the page: that of the report, and its own.
pub(crate) fn style() -> String {
    format!("{}\n{STYLE}", inline::style())
}

/// The whole page.
pub(crate) fn page(reading: &Reading, controls: &[Control], worlds: usize) -> String {
    let car = clean(&format!("{}", reading.build.car.name));
    let hash = &reading.subject.provenance.inputs_hash;
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (car) ": sliders" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="page.css";
                script src="page.js" defer {}
            }
            body data-build=(hash) data-worlds=(worlds) {
                main {
                    header { p.kind { "What a change does" } h1 { (car) } }
                    noscript { p.alarm { "This page needs its script: allow it for 127.0.0.1." } }
                    section id="decision" aria-label="The decision" { p.soft { "One moment." } }
                    output.unseen id="said" for="controls" aria-live="polite" {}
                    div.answers id="plain" role="region" aria-label="The answers in a sentence each" {}
                    (control_panel(controls))
                    (answers())
                }
            }
        }
    };
    markup.into_string()
}

fn control_panel(controls: &[Control]) -> Markup {
    html! {
        form id="controls" autocomplete="off" {
            h2 { "Move something" }
            @for control in controls { (field(control)) }
            p.buttons {
                button type="button" id="back" { "All back to the build" }
            }
            div.message id="message" role="alert" {}
            h3 { "The same on the command line" }
            p { code id="command" {} }
            p.buttons {
                button type="button" id="copy" { "Copy it" }
                output id="copied" for="copy" aria-live="polite" {}
            }
        }
    }
}

/// A control with its label, its own value and the way back.
fn field(control: &Control) -> Markup {
    let id = format!("move-{}", control.key.replace('.', "-"));
    let Control { key, label, own, kind, offered } = control;
    if let Kind::Missing(why) = kind {
        return html! {
            div.control.missing { p.name { (label) } p.soft { (why) } }
        };
    }
    let (about, message) = (format!("{id}-about"), format!("{id}-message"));
    let described = format!("{about} {message}");
    html! {
        div.control data-key=(key) data-own=(own) title=(key) {
            label.name for=(id) { (clean(label)) }
            @match kind {
                Kind::Choice(values) => select id=(id) aria-describedby=(described) {
                    @for (value, words) in values {
                        option value=(value) selected[value == own] { (clean(words)) }
                    }
                },
                _ => input.field type="text" id=(id) value=(own) aria-describedby=(described)
                    spellcheck="false" autocapitalize="off";,
            }
            @if let Kind::Slider { from, to, step, number, decimals, rest } = kind {
                @let places = shown_decimals(*step, *decimals);
                @let marks = format!("{id}-marks");
                input type="range" aria-label=(clean(label)) aria-valuetext=(own) list=(marks)
                    min=(digits(*from, places)) max=(digits(*to, places)) step=(step)
                    value=(digits(*number, places)) data-number=(digits(*number, places))
                    data-decimals=(places) data-rest=(rest);
                datalist id=(marks) {
                    option value=(digits(*number, places)) {}
                    @for value in offered { option value=(value) {} }
                }
            }
            @if !offered.is_empty() {
                p.buttons {
                    @for value in offered { button type="button" data-value=(value) { (clean(value)) } }
                }
            }
            p.about id=(about) hidden {
                "the build has " span.own { (clean(own)) } " "
                button type="button" class="back" aria-label={ "Back to the build's own: " (clean(label)) } { "back" }
            }
            div.message id=(message) role="alert" {}
        }
    }
}

/// Decimals of a slider's numbers: those of the build, and enough for its steps.
fn shown_decimals(step: f64, decimals: usize) -> usize {
    if step < 1.0 { decimals.max(2) } else { decimals }
}

/// Places for the answers.
fn answers() -> Markup {
    html! {
        div id="answers" {
            p id="changed" role="status" hidden {}
            @for (name, heading) in SECTIONS {
                section aria-labelledby={ (name) "-heading" } {
                    h2 id={ (name) "-heading" } { (heading) }
                    div id=(name) {}
                }
            }
            p.soft id="took" {}
        }
    }
}
