//! Tables that every answer has.

use crate::{Assumed, Column, Table, Units, Warning};

/// Assumed values with bands and sources.
#[must_use]
pub fn assumed_table(assumed: &[Assumed]) -> Table {
    let row = |a: &Assumed| {
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
