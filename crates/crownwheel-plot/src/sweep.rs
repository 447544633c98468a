//! The report of a sweep: its page, figures and tables as files.

use crownwheel_answers::tables::{assumed_table, warnings_table};
use crownwheel_answers::{SweepAnswer, Table, Units};
use serde::Serialize;

use crate::figures::SweepFigures;
use crate::page::sweep::page;
use crate::{FigureError, has_json, json_bytes, render, svg};

/// What the report of a sweep is made from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SweepInput {
    /// The sweep.
    #[serde(flatten)]
    pub answer: SweepAnswer,
    /// Draw each figure as PNG too.
    #[serde(skip)]
    pub png: bool,
}

fn tables(answer: &SweepAnswer) -> Vec<(String, Table)> {
    let all = [
        answer.ranking_table(),
        answer.options_table(),
        answer.answers_table(),
        answer.demands_table(),
        answer.measure_table(),
        assumed_table(&answer.assumed),
        warnings_table(&answer.warnings),
    ];
    all.into_iter().map(|table| (table.name.to_owned(), table)).collect()
}

/// Every file of a sweep's report: its name below the report's folder, with `/`, and its bytes.
///
/// # Errors
/// A figure could not be drawn.
pub fn sweep_files(input: &SweepInput) -> Result<Vec<(String, Vec<u8>)>, FigureError> {
    let answer = &input.answer;
    let (figures, tables) = (SweepFigures::of(answer), tables(answer));
    let mut files = vec![
        ("report.html".to_owned(), page(answer, &figures, &tables)?.into_bytes()),
        ("sweep.json".to_owned(), json_bytes(input, answer.units)),
    ];
    for figure in figures.all() {
        let name = format!("figures/{}", figure.slug);
        files.push((format!("{name}.svg"), svg::file_svg(figure)?.into_bytes()));
        if input.png {
            files.push((format!("{name}.png"), render::png(figure)?));
        }
    }
    for (name, table) in &tables {
        files.push((format!("tables/{name}.csv"), table.csv(&answer.provenance).into_bytes()));
        if has_json(table) {
            // A table knows its units already.
            files.push((format!("tables/{name}.json"), json_bytes(table, Units::Metric)));
        }
    }
    Ok(files)
}
