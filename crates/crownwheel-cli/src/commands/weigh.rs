//! `weigh`: corner weights before and after.

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::load;

pub(crate) fn run(common: &Common) -> Result<Outcome, Failure> {
    let answer = load(common)?.weigh();
    give("weigh", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}
