//! What moves answers from one build to another: the first build with each input of the second alone.

use crownwheel_answers::Units;
use crownwheel_answers::compare::{InputMoved, KeyMoved};
use crownwheel_answers::from_car::{self, CompareAsked, Number};
use crownwheel_files::pair::{Difference, KeyChange};
use crownwheel_files::{Build, Pair};
use rayon::prelude::*;

use crate::outcome::Failure;
use crate::subject::{LoadedBuild, assumed_for, of_build};

/// The first build with one of the second's inputs.
pub(crate) struct SwitchedInput {
    pub(crate) change: Difference,
    /// Its numbers, or why it has none.
    pub(crate) numbers: Result<Vec<Number>, String>,
}

/// The first build with each of these changes alone, in their order, whatever thread is first.
pub(crate) fn switched(
    pair: &Pair,
    changes: Vec<Difference>,
    asked: &CompareAsked,
) -> Vec<SwitchedInput> {
    changes.into_par_iter().map(|change| switch(pair, change, asked)).collect()
}

fn switch(pair: &Pair, change: Difference, asked: &CompareAsked) -> SwitchedInput {
    let numbers = pair
        .with(&change)
        .map_err(|report| report.problems().first().map_or_else(String::new, |p| p.what.clone()))
        .and_then(|build| numbers_of(build, asked));
    SwitchedInput { change, numbers }
}

fn numbers_of(build: Build, asked: &CompareAsked) -> Result<Vec<Number>, String> {
    match of_build(build, Units::Metric, &[]) {
        Ok(loaded) => Ok(numbers(&loaded, asked)),
        Err(Failure::Usage(why)) => Err(why),
        Err(_) => Err("the core refuses it".to_owned()),
    }
}

/// Everything that is compared, of one build.
pub(crate) fn numbers(loaded: &LoadedBuild, asked: &CompareAsked) -> Vec<Number> {
    from_car::numbers(&loaded.subject, &loaded.build.supplies, asked)
}

/// The change with its keys, as answers tell it.
pub(crate) fn input_moved(switched: &SwitchedInput, pair: &Pair, units: Units) -> InputMoved {
    let change = &switched.change;
    InputMoved {
        input: change.name.clone(),
        keys: change.keys.iter().map(|key| key_moved(key, pair, units)).collect(),
        not_alone: switched.numbers.as_ref().err().cloned(),
    }
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
