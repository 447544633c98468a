//! `check`: what was understood.

use std::num::NonZeroUsize;

use clap::Args as ClapArgs;
use crownwheel_answers::from_car;

use super::give;
use crate::args::Common;
use crate::bands::Bands;
use crate::outcome::{Failure, Outcome};
use crate::subject::load;
use crate::values::parse_worlds;

#[derive(Debug, ClapArgs)]
pub(crate) struct Check {
    #[command(flatten)]
    pub(crate) common: Common,
    /// Worlds that tell what a line would narrow, 2000 without it; 1: not computed
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
    /// Drive every world to its end instead of few and a fit on them: slow, to check bands against
    #[arg(long)]
    pub(crate) reference: bool,
}

pub(crate) fn run(check: &Check) -> Result<Outcome, Failure> {
    let common = &check.common;
    let mut loaded = load(common)?;
    if let Some(bands) = Bands::new(&mut loaded, (check.worlds, check.reference), &common.set)? {
        bands.judge_and_narrow(&mut loaded, &common.set)?;
    }
    let answer = from_car::check(&loaded.subject);
    give("check", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}
