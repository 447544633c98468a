//! `explain`: the formulas of an answer with its numbers, and who says so.

use clap::Args as ClapArgs;
use crownwheel::cycle::BUILTIN_NAMES;
use crownwheel_answers::Units;
use crownwheel_answers::explain::InputText;
use crownwheel_answers::from_car::explained;
use crownwheel_answers::from_car::{self, ExplainAsked};
use crownwheel_files::Build;
use crownwheel_files::outside::CycleRef;

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::{USUAL_CYCLES, load, open_cycles, own_cycles, typed};
use crate::values::SuggestedText;

/// The answers that can be explained, for a shell to offer.
fn explained_words() -> Vec<&'static str> {
    explained().iter().map(|quantity| quantity.word()).collect()
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Explain {
    /// The answer, as JSON names it or shorter: mass, axle_load.rear, range.winter,
    /// range.udds.mild, motor_speed.112_kmh, road_load.80_kmh; a wrong one lists all
    #[arg(value_parser = SuggestedText(explained_words), hide_possible_values = true)]
    pub(crate) answer: String,
    #[command(flatten)]
    pub(crate) common: Common,
}

pub(crate) fn run(args: &Explain) -> Result<Outcome, Failure> {
    let common = &args.common;
    let mut loaded = load(common)?;
    let names = cycle_names(&loaded.build);
    let cycles = open_cycles(&mut loaded, &names)?;
    let asked = ExplainAsked {
        answer: args.answer.clone(),
        cycles,
        inputs: inputs(&loaded.build, common.output.units.into()),
    };
    let answer = from_car::explain(&loaded.subject, &asked)
        .map_err(|error| Failure::Usage(error.to_string()))?;
    give("explain", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::Answered)
}

/// The cycles that `range` drives, then all others that are built in.
fn cycle_names(build: &Build) -> Vec<CycleRef> {
    let usual = USUAL_CYCLES.into_iter();
    let others = BUILTIN_NAMES.into_iter().filter(|name| !USUAL_CYCLES.contains(name));
    usual.map(typed).chain(own_cycles(build)).chain(others.map(typed)).collect()
}

/// Every input, as it is written or assumed.
pub(super) fn inputs(build: &Build, units: Units) -> Vec<InputText> {
    let given = build.written.iter().map(|(key, value)| InputText {
        key: key.clone(),
        value: value.clone(),
        given: true,
        source: build.provenance.get(key).cloned(),
    });
    let assumed = build.assumed.iter().map(|assumed| {
        let band = units.written(&assumed.band);
        let value = units.written(&assumed.value);
        InputText {
            key: assumed.key.clone(),
            value: if band.is_empty() { value } else { format!("{value} {band}") },
            given: false,
            source: Some(assumed.source.clone()),
        }
    });
    given.chain(assumed).collect()
}
