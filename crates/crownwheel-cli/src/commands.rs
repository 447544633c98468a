//! One file for each command.

pub(crate) mod audit;
pub(crate) mod charge;
pub(crate) mod check;
pub(crate) mod coastdown;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod cycles;
pub(crate) mod explain;
pub(crate) mod explore;
pub(crate) mod gauges;
pub(crate) mod keys;
pub(crate) mod man;
pub(crate) mod new;
pub(crate) mod pull;
pub(crate) mod range;
pub(crate) mod report;
pub(crate) mod sweep;
pub(crate) mod trip;
pub(crate) mod weigh;

use crownwheel_answers::{Provenance, Table};
use crownwheel_plot::FigureError;
use serde::Serialize;

use crate::args::Output;
use crate::outcome::{Failure, print, say, shown};
use crate::{results_folder, screen};

/// Prints an answer as text or JSON and, if asked, writes it with its tables.
fn give<A: Serialize>(
    name: &str,
    answer: &A,
    text: impl Fn() -> String,
    tables: &[(&str, Table)],
    provenance: &Provenance,
    output: &Output,
) -> Result<(), Failure> {
    give_with(name, answer, text, tables, provenance, output, &[])
}

/// A figure as a file, or why it could not be drawn.
type Drawn = Result<(String, Vec<u8>), FigureError>;

/// The same with figures, which are drawn only for a folder.
fn give_with<A: Serialize>(
    name: &str,
    answer: &A,
    text: impl Fn() -> String,
    tables: &[(&str, Table)],
    provenance: &Provenance,
    output: &Output,
    figures: &[&dyn Fn() -> Drawn],
) -> Result<(), Failure> {
    let json = write(name, answer, &text, tables, provenance, output, figures)?;
    if output.json { print(&json) } else { print(&screen::shown(text)) }
}

/// Writes an answer with its tables, if asked, and gives it as JSON.
fn write<A: Serialize>(
    name: &str,
    answer: &A,
    text: &dyn Fn() -> String,
    tables: &[(&str, Table)],
    provenance: &Provenance,
    output: &Output,
    figures: &[&dyn Fn() -> Drawn],
) -> Result<String, Failure> {
    let json = crownwheel_answers::json::text(answer, output.units.into())
        .map_err(|error| Failure::Failed(format!("cannot write the answer as JSON: {error}")))?;
    if let Some(folder) = &output.out {
        let mut files = vec![
            (format!("{name}.json"), json.clone().into_bytes()),
            (format!("{name}.txt"), text().into_bytes()),
        ];
        for (table_name, table) in tables {
            files.push((format!("{table_name}.csv"), table.csv(provenance).into_bytes()));
        }
        for figure in figures {
            let drawn = figure().map_err(|error| Failure::Failed(error.to_string()))?;
            files.push(drawn);
        }
        results_folder::write(folder, &files, provenance, output.force)?;
        say(&format!("written to {}", shown(folder)));
    }
    Ok(json)
}
