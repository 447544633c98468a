//! Tables that several answers have.

use crate::sweep::{Answers, MeasureNext};
use crate::{Assumption, Cell, Table, Unit, Units, Warning, json};

/// Assumed values with bands and sources.
#[must_use]
pub fn assumed_table(assumed: &[Assumption]) -> Table {
    Table::of("assumed", "Assumed, because the build does not say", Units::Metric, assumed)
        .words("key", "key", |it| it.key.as_str())
        .words("value", "value", |it| it.value.as_str())
        .words("band", "band", |it| it.band.as_deref())
        .words("source", "source", |it| it.source.as_str())
        .table()
}

/// Inputs that are worth measuring, the answer by its name in these units.
#[must_use]
pub fn measure_table(measure_next: &[MeasureNext], units: Units) -> Table {
    let share = |next: &&MeasureNext| Cell::Estimate {
        value: next.share,
        standard_error: next.standard_error,
    };
    Table::of("measure-next", "What to measure next", units, measure_next)
        .words("answer", "answer", |next| json::answer_name(&next.answer, units))
        .words("key", "input", |next| next.key.as_str())
        .words("share", "share of the variance", share)
        .to(2)
        .words("standard_error", "standard error", |next| next.standard_error)
        .to(2)
        .col("band_shrinks_pct", "the band would shrink by", Unit::Pct, |next| {
            next.band_shrinks_pct
        })
        .to(0)
        .words("line", "line to write", |next| next.line.as_deref())
        .table()
}

/// Warnings.
#[must_use]
pub fn warnings_table(warnings: &[Warning]) -> Table {
    Table::of("warnings", "Warnings", Units::Metric, warnings)
        .words("code", "code", |it| it.code.as_str())
        .words("text", "what", |it| it.text.as_str())
        .table()
}

/// A row for each answer of one car with its band.
#[must_use]
pub fn bands_table(name: &'static str, bands: &Answers, units: Units) -> Table {
    band_columns(Table::of(name, "With what is unsure", units, bands.iter()), units, |it| *it)
        .table()
}

/// The columns of an answer with its band, in these units.
pub(super) fn band_columns<T>(
    rows: crate::table::Rows<T>,
    units: Units,
    read: impl Fn(&T) -> (&crate::Question, &crate::Band),
) -> crate::table::Rows<T> {
    let part = |it: &T, place: usize| {
        let (name, band) = read(it);
        Cell::of_band(band)[place].shown_in(units, name.unit())
    };
    rows.words("answer", "answer", |it| json::answer_name(&read(it).0.key(), units))
        .words("unit", "unit", |it| units.symbol(read(it).0.unit()))
        .words("nominal", "nominal", |it| part(it, 0))
        .to(1)
        .words("p10", "one in ten below", |it| part(it, 1))
        .to(1)
        .words("p50", "half below", |it| part(it, 2))
        .to(1)
        .words("p90", "nine in ten below", |it| part(it, 3))
        .to(1)
        .words("standard_error", "standard error", |it| {
            let (name, band) = read(it);
            band.standard_error.map(|error| units.difference(error, name.unit()))
        })
        .to(2)
}
