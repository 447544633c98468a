//! `range`: use and range.

use crownwheel_answers::from_car;
use crownwheel_answers::tables::measure_table;
use crownwheel_answers::text::range_text;

use super::give;
use crate::args::Range;
use crate::bands::Bands;
use crate::outcome::{Failure, Outcome};
use crate::subject::{USUAL_CYCLES, asked, load};

pub(crate) fn run(range: &Range) -> Result<Outcome, Failure> {
    let mut loaded = load(&range.common)?;
    let wanted = asked(&mut loaded, range, &USUAL_CYCLES)?;
    let bands = Bands::new(&mut loaded, range.worlds, &range.common.set)?;
    let mut answer = from_car::range(&loaded.subject, &wanted);
    if let Some(bands) = &bands {
        bands.range(&wanted, &mut answer)?;
    }
    let mut tables = vec![
        ("range", answer.table()),
        ("range-balance", answer.balance_table()),
        ("range-binding", answer.binding_table()),
        ("range-windows", answer.windows_table()),
        ("range-steady", answer.steady_table()),
    ];
    let gears = answer.gears_table();
    if !gears.rows.is_empty() {
        tables.push(("range-gears", gears));
    }
    if bands.is_some() {
        tables.push(("measure-next", measure_table(&answer.measure_next, answer.units)));
    }
    give(
        "range",
        &answer,
        || range_text(&answer),
        &tables,
        &answer.provenance,
        &range.common.output,
    )?;
    Ok(Outcome::new(range.common.output.strict, answer.warnings.len()))
}
