//! `check`: what was understood.

use crownwheel_answers::from_car;
use crownwheel_answers::tables::assumed_table;
use crownwheel_answers::text::check_text;

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::load;

pub(crate) fn run(common: &Common) -> Result<Outcome, Failure> {
    let subject = load(common)?.subject;
    let answer = from_car::check(&subject);
    let tables = [("check", answer.table()), ("assumed", assumed_table(&answer.assumed))];
    give("check", &answer, &check_text(&answer), &tables, &answer.provenance, common)?;
    Ok(Outcome::new(common.strict, answer.warnings.len()))
}
