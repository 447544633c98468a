//! What moves answers from one build to another: the first build with each input of the second alone.

use crownwheel_answers::compare::{InputMoved, KeyMoved};
use crownwheel_answers::from_car::{self, CompareAsked, Number};
use crownwheel_answers::{CompareAnswer, Units};
use crownwheel_files::pair::{Difference, KeyChange};
use crownwheel_files::{Build, Pair};
use rayon::prelude::*;

use crate::subject::{LoadedBuild, assumed_for, of_build};

/// An input that differs, and the numbers of the first build with it alone. `None`: it does not stand so.
pub(crate) struct SingleInput {
    pub(crate) input: InputMoved,
    pub(crate) numbers: Option<Vec<Number>>,
}

/// The first build with each of these changes alone, in their order, whatever thread is first.
pub(crate) fn switched(
    pair: &Pair,
    changes: Vec<Difference>,
    asked: &CompareAsked,
    units: Units,
) -> Vec<SingleInput> {
    changes.into_par_iter().map(|change| switch(pair, &change, asked, units)).collect()
}

fn switch(pair: &Pair, change: &Difference, asked: &CompareAsked, units: Units) -> SingleInput {
    let numbers = pair
        .with(change)
        .map_err(|report| report.problems().first().map_or_else(String::new, |p| p.what.clone()))
        .and_then(|build| numbers_of(build, asked));
    let input = InputMoved {
        input: change.name.clone(),
        keys: change.keys.iter().map(|key| key_moved(key, pair, units)).collect(),
        not_alone: numbers.as_ref().err().cloned(),
    };
    SingleInput { input, numbers: numbers.ok() }
}

/// What moved between the numbers of two builds, and what each input alone does.
pub(crate) fn compared(
    (first, second): (Vec<Number>, Vec<Number>),
    alone: Vec<SingleInput>,
    units: Units,
) -> CompareAnswer {
    let (inputs, parts): (Vec<InputMoved>, Vec<_>) =
        alone.into_iter().map(|it| (it.input.clone(), (it.input.input, it.numbers))).unzip();
    let answers = from_car::moves(&first, &second, &parts, units);
    CompareAnswer { units, answers, inputs, ..CompareAnswer::default() }
}

fn numbers_of(build: Build, asked: &CompareAsked) -> Result<Vec<Number>, String> {
    let loaded = of_build(build, Units::Metric, &[]).map_err(|error| error.to_string())?;
    Ok(numbers(&loaded, asked))
}

/// Everything that is compared, of one build.
pub(crate) fn numbers(loaded: &LoadedBuild, asked: &CompareAsked) -> Vec<Number> {
    from_car::numbers(&loaded.subject, &loaded.build.supplies, asked)
}

/// Both values as written; where a build does not write it, what it assumes instead.
fn key_moved(key: &KeyChange, pair: &Pair, units: Units) -> KeyMoved {
    let from = |build: &Build| build.provenance.get(&key.key).cloned();
    let assumed = |build: &Build, written: &Option<String>| match written {
        Some(_) => None,
        None => assumed_for(build, &key.key).map(|given| units.written(&given.value)),
    };
    KeyMoved {
        key: key.key.clone(),
        first: key.first.clone(),
        second: key.second.clone(),
        first_assumed: assumed(&pair.first, &key.first),
        second_assumed: assumed(&pair.second, &key.second),
        first_from: from(&pair.first),
        second_from: from(&pair.second),
    }
}
