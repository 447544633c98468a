//! What changed since the report before: the build of then is read again, and compared with that of now.

use crownwheel::cycle::Cycle;
use crownwheel_answers::SinceAnswer;
use crownwheel_answers::compare::{InputMoved, KeyMoved};
use crownwheel_answers::from_car::{self, CompareAsked, Number, RangeRequest};
use crownwheel_files::keys::{self, KeyKind};
use crownwheel_files::pair::Difference;
use crownwheel_files::{BuildText, Pair};
use crownwheel_quantities::text::OTHER_CONTENTS;

use super::kept::{EarlierReport, first_day};
use crate::moves::{input_moved, numbers, switched};
use crate::subject::{LoadedBuild, of_build};

/// The nominal numbers of a report, to be kept with it.
pub(super) fn own_numbers(loaded: &LoadedBuild, wanted: &RangeRequest) -> Vec<Number> {
    let days = wanted.days.iter().map(|day| loaded.subject.days[*day].name().key().to_owned());
    numbers(loaded, &question(loaded, wanted.cycles.clone(), days.collect()))
}

fn question(loaded: &LoadedBuild, cycles: Vec<Cycle>, days: Vec<String>) -> CompareAsked {
    let pack = &loaded.build.car.pack;
    CompareAsked { cycles, days, charge_frac: (pack.floor_frac(), pack.usable_to_frac) }
}

/// Compares the build of now with that of then.
///
/// # Errors
/// Why they cannot be compared, as the end of a sentence.
pub(super) fn since(
    before: &EarlierReport,
    text: &BuildText,
    loaded: &LoadedBuild,
    wanted: &RangeRequest,
) -> Result<SinceAnswer, String> {
    let units = loaded.subject.units;
    let unreadable = || "this version does not read the build of then".to_owned();
    let pair = Pair::of(before.text.clone(), text.clone()).map_err(|_| unreadable())?;
    let first = of_build(pair.first.clone(), units, &[]).map_err(|_| unreadable())?;
    let asked =
        question(&first, cycles_of_then(before, &wanted.cycles), days(&first, loaded, wanted));
    // The same inputs in the program of now, and what it told then.
    let again = numbers(&first, &asked);
    let same_day = before.first_day == first_day(loaded, wanted);
    let told: Vec<Number> =
        again.iter().map(|it| if same_day { told(before, it) } else { it.clone() }).collect();
    let changes = pair.changes().into_iter().filter(|change| !is_of_cycle(change)).collect();
    let mut alone: Vec<SingleInput> = switched(&pair, changes, &asked)
        .iter()
        .map(|it| (input_moved(it, &pair, units), it.numbers.as_ref().ok().cloned()))
        .collect();
    alone.extend(cycles_alone(before, &first, &asked, &wanted.cycles));
    let mut parts: Vec<(String, Option<Vec<Number>>)> = alone
        .iter()
        .map(|(input, numbers)| {
            let moved = numbers.as_ref().map(|numbers| moved_from(&told, &again, numbers));
            (input.input.clone(), moved)
        })
        .collect();
    let mut inputs: Vec<InputMoved> = alone.into_iter().map(|(input, _)| input).collect();
    if from_car::moves(&told, &again, &[], units).iter().any(|it| it.moved) {
        let program = program(&before.program_version, &loaded.subject.provenance.program_version);
        parts.push((program.input.clone(), Some(again.clone())));
        inputs.push(program);
    }
    let now = numbers(loaded, &CompareAsked { cycles: wanted.cycles.clone(), ..asked });
    let then = (before.program_version.clone(), before.inputs_hash.clone());
    Ok(SinceAnswer::new(then, inputs, from_car::moves(&told, &now, &parts, units), units))
}

/// An input, and the numbers of the build of then with it alone.
type SingleInput = (InputMoved, Option<Vec<Number>>);

/// The days of the report that the build of then has, too.
fn days(first: &LoadedBuild, loaded: &LoadedBuild, wanted: &RangeRequest) -> Vec<String> {
    let names = wanted.days.iter().map(|day| loaded.subject.days[*day].name().key());
    let both = |name: &&str| first.subject.days.iter().any(|day| day.name() == *name);
    names.filter(both).map(str::to_owned).collect()
}

/// The cycles of the report as they were then; those that are new, as they are.
fn cycles_of_then(before: &EarlierReport, cycles: &[Cycle]) -> Vec<Cycle> {
    let then = |cycle: &Cycle| before.cycles.iter().find(|known| known.name() == cycle.name());
    cycles.iter().map(|cycle| then(cycle).unwrap_or(cycle).clone()).collect()
}

/// A key that names the same cycle file, of which only the contents changed: the cycle itself is an input.
fn is_of_cycle(change: &Difference) -> bool {
    change.keys.iter().all(|key| {
        let is_cycle = keys::find(&key.key).is_some_and(|row| row.kind == KeyKind::Cycle);
        is_cycle && key.other_contents
    })
}

/// The build of then on each cycle that changed.
fn cycles_alone(
    before: &EarlierReport,
    first: &LoadedBuild,
    asked: &CompareAsked,
    cycles: &[Cycle],
) -> Vec<SingleInput> {
    let changed = |cycle: &&Cycle| {
        before.cycles.iter().any(|then| then.name() == cycle.name() && then != *cycle)
    };
    let alone = |cycle: &Cycle| {
        let of_now = |then: &Cycle| if then.name() == cycle.name() { cycle } else { then }.clone();
        let asked =
            CompareAsked { cycles: asked.cycles.iter().map(of_now).collect(), ..asked.clone() };
        let input = format!("cycle {}", cycle.name());
        let file = format!("{}.csv", cycle.name());
        let key = KeyMoved {
            key: input.clone(),
            second: Some(format!("{file}{OTHER_CONTENTS}")),
            first: Some(file),
            ..KeyMoved::default()
        };
        (InputMoved { input, keys: vec![key], not_alone: None }, Some(numbers(first, &asked)))
    };
    cycles.iter().filter(changed).map(alone).collect()
}

/// A number as the report of the same first day told it; as it is computed now, where it did not.
fn told(before: &EarlierReport, (of, again): &Number) -> Number {
    (of.clone(), before.told(&of.key()).unwrap_or(*again))
}

/// What an input does to the numbers of the program of now, put upon those that were told.
fn moved_from(told: &[Number], again: &[Number], alone: &[Number]) -> Vec<Number> {
    let one = |(of, value): &Number| {
        let find = |numbers: &[Number]| {
            numbers.iter().find(|(known, _)| known == of).and_then(|(_, value)| *value)
        };
        // What never comes cannot be moved by so much.
        let moved = |value: f64| Some(find(told)? + (value - find(again)?));
        (of.clone(), value.and_then(moved).filter(|moved| moved.is_finite()).or(*value))
    };
    alone.iter().map(one).collect()
}

/// The program as an input: it gives other numbers for the same build.
fn program(then: &str, now: &str) -> InputMoved {
    let now = if then == now { format!("{now}, another build of it") } else { now.to_owned() };
    let key = KeyMoved {
        key: "crownwheel".to_owned(),
        first: Some(then.to_owned()),
        second: Some(now),
        ..KeyMoved::default()
    };
    InputMoved { input: "the program".to_owned(), keys: vec![key], not_alone: None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel_quantities::{Question, rows};

    fn mass(value: f64) -> Vec<Number> {
        vec![(Question::of(&rows::EFFECTIVE_MASS), Some(value))]
    }

    #[test]
    fn an_input_moves_what_was_told_by_as_much_as_it_moves_what_is_computed() {
        let moved = |told, again, alone| {
            moved_from(&mass(told), &mass(again), &mass(alone))[0].1.unwrap_or(f64::NAN)
        };
        assert!((moved(900.0, 900.0, 930.0) - 930.0).abs() < 1e-12);
        assert!((moved(900.0, 910.0, 940.0) - 930.0).abs() < 1e-12);
        assert!(moved(900.0, 900.0, f64::INFINITY).is_infinite());
        assert!((moved(f64::INFINITY, f64::INFINITY, 930.0) - 930.0).abs() < 1e-12);
    }
}
