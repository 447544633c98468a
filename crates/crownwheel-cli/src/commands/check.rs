//! `check`: what was understood.

use std::num::NonZeroUsize;

use clap::Args as ClapArgs;

use crownwheel_answers::build::AskedWorlds;

use super::give;
use crate::args::Common;
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
    let worlds = AskedWorlds { count: check.worlds, reference: check.reference };
    let answer = load(common)?.check(worlds)?;
    give("check", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}
