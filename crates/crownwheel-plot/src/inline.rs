//! Parts of the page for another page: the same look, tables and figures, in colours that follow the
//! reader's light or dark setting.

use crownwheel_answers::sheet::Look;
use crownwheel_answers::{PullAnswer, Table, Topic};
use maud::{Markup, Render};

use crate::figures::tractive_effort;
use crate::page::{self, parts};
use crate::sketch::FigureError;

/// The style of the page with its colours, as a CSS file.
#[must_use]
pub fn style() -> String {
    page::style()
}

/// Pull against road speed with its limits and road loads, a figure with its sentence.
///
/// # Errors
/// It could not be drawn.
pub fn pull_figure(answer: &PullAnswer) -> Result<Markup, FigureError> {
    parts::figure(&tractive_effort(answer))
}

/// A table. The first column names the rows.
#[must_use]
pub fn table(table: &Table, look: Look) -> Markup {
    parts::Rows::new(table, look, &|_| None).render()
}

/// Sentences as a list; nothing without any.
#[must_use]
pub fn list(lines: &[String]) -> Markup {
    parts::list(lines)
}

/// A sentence in which a number and its unit do not part at the end of a line.
#[must_use]
pub fn bound(text: &str) -> String {
    parts::bound(text)
}

/// The caution of a subject.
#[must_use]
pub fn caution(topic: Topic) -> Markup {
    parts::caution(topic)
}
