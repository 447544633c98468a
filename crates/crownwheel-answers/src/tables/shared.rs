//! Tables that every answer has.

use crate::sweep::MeasureNext;
use crate::{Assumption, Cell, Column, Table, Unit, Units, Warning, json};

/// Assumed values with bands and sources.
#[must_use]
pub fn assumed_table(assumed: &[Assumption]) -> Table {
    let row = |a: &Assumption| {
        vec![
            a.key.as_str().into(),
            a.value.as_str().into(),
            a.band.as_deref().into(),
            a.source.as_str().into(),
        ]
    };
    Table {
        name: "assumed",
        title: "Assumed, because the build does not say".to_owned(),
        units: Units::Metric,
        columns: vec![
            Column::words("key", "key"),
            Column::words("value", "value"),
            Column::words("band", "band"),
            Column::words("source", "source"),
        ],
        rows: assumed.iter().map(row).collect(),
    }
}

/// Inputs that are worth measuring, the answer by its name in these units.
#[must_use]
pub fn measure_table(measure_next: &[MeasureNext], units: Units) -> Table {
    let row = |next: &MeasureNext| {
        vec![
            json::answer_name(&next.answer, units).as_str().into(),
            next.key.as_str().into(),
            Cell::Estimate { value: next.share, standard_error: next.standard_error },
            next.standard_error.into(),
            next.band_shrinks_pct.into(),
            next.line.as_deref().into(),
        ]
    };
    Table {
        name: "measure-next",
        title: "What to measure next".to_owned(),
        units,
        columns: vec![
            Column::words("answer", "answer"),
            Column::words("key", "input"),
            Column::words("share", "share of the variance").to(2),
            Column::words("standard_error", "standard error").to(2),
            Column::new("band_shrinks_pct", "the band would shrink by", Unit::Pct).to(0),
            Column::words("line", "line to write"),
        ],
        rows: measure_next.iter().map(row).collect(),
    }
}

/// Warnings.
#[must_use]
pub fn warnings_table(warnings: &[Warning]) -> Table {
    Table {
        name: "warnings",
        title: "Warnings".to_owned(),
        units: Units::Metric,
        columns: vec![Column::words("code", "code"), Column::words("text", "what")],
        rows: warnings
            .iter()
            .map(|w| vec![w.code.as_str().into(), w.text.as_str().into()])
            .collect(),
    }
}
