//! `weigh`: corner weights before and after.

use crownwheel_answers::from_car;

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::load;

pub(crate) fn run(common: &Common) -> Result<Outcome, Failure> {
    let subject = load(common)?.subject;
    let answer = from_car::weigh(&subject);
    give("weigh", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}
