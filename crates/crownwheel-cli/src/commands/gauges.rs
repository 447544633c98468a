//! `gauges`: what the old gauges read after the conversion.

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::load;

pub(crate) fn run(common: &Common) -> Result<Outcome, Failure> {
    let answer = load(common)?.gauges();
    give("gauges", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}
