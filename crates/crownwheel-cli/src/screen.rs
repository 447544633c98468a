//! How wide the screen is, and whether it takes colour.

use std::io::{self, IsTerminal};

use anstream::{AutoStream, ColorChoice};
use crownwheel_answers::text::within;
use indicatif::ProgressDrawTarget;
use terminal_size::{Width, terminal_size_of};

/// Columns of help that goes elsewhere.
const USUAL: usize = 80;

/// Columns of standard output. `None`: it is no screen, so a text is the same everywhere.
fn columns() -> Option<usize> {
    io::stdout().is_terminal().then(|| asked().or_else(measured)).flatten()
}

/// Columns that help is wrapped to.
pub(crate) fn help_columns() -> usize {
    asked().or_else(measured).unwrap_or(USUAL)
}

/// What the environment asks for; a shell has it for itself and passes it on only if told to.
fn asked() -> Option<usize> {
    std::env::var("COLUMNS").ok()?.trim().parse().ok().filter(|columns| *columns > 0)
}

fn measured() -> Option<usize> {
    terminal_size_of(io::stdout()).map(|(Width(columns), _)| usize::from(columns))
}

/// A text as standard output shows it.
pub(crate) fn shown<T>(make: impl FnOnce() -> T) -> T {
    within(columns(), make)
}

/// Whether messages may be coloured: by `NO_COLOR`, `CLICOLOR`, `CLICOLOR_FORCE` and `TERM`, on a terminal.
pub(crate) fn colours_messages() -> bool {
    AutoStream::choice(&io::stderr()) != ColorChoice::Never
}

/// A terminal that knows no colours gets none, also where builds are run for others and colours are
/// usual; only `CLICOLOR_FORCE` asks for them all the same.
pub(crate) fn settle_colours() {
    let forced = std::env::var_os("CLICOLOR_FORCE").is_some_and(|value| value != "0");
    if is_dumb() && !forced {
        ColorChoice::Never.write_global();
    }
}

fn is_dumb() -> bool {
    std::env::var_os("TERM").is_some_and(|term| term == "dumb")
}

/// Where progress is drawn: on a terminal that can go back in a line.
pub(crate) fn progress() -> ProgressDrawTarget {
    if is_dumb() { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr() }
}
