//! What changed since the report before: the build of then is read again, and compared with that of now.

use crownwheel::cycle::Cycle;
use crownwheel_answers::CompareAnswer;
use crownwheel_answers::compare::{InputMoved, KeyMoved};
use crownwheel_answers::from_car::{CompareAsked, RangeRequest};
use crownwheel_files::keys::{self, KeyKind};
use crownwheel_files::pair::Difference;
use crownwheel_files::{BuildText, Pair};
use crownwheel_quantities::text::OTHER_CONTENTS;

use super::kept::EarlierReport;
use crate::moves::{SingleInput, compared, numbers, switched};
use crate::subject::{LoadedBuild, of_build};

/// Compares the build of now with that of then, both computed by the program of now.
///
/// # Errors
/// Why they cannot be compared, as the end of a sentence.
pub(super) fn since(
    before: &EarlierReport,
    text: &BuildText,
    loaded: &LoadedBuild,
    wanted: &RangeRequest,
) -> Result<CompareAnswer, String> {
    let units = loaded.subject.units;
    let unreadable = || "this version does not read the build of then".to_owned();
    let pair = Pair::of(before.text.clone(), text.clone()).map_err(|_| unreadable())?;
    let first = of_build(pair.first.clone(), units, &[]).map_err(|_| unreadable())?;
    let pack = &first.build.car.pack;
    let now = CompareAsked {
        cycles: wanted.cycles.clone(),
        days: days(&first, loaded, wanted),
        charge_frac: (pack.floor_frac(), pack.usable_to_frac),
    };
    let then = CompareAsked { cycles: cycles_of_then(before, &wanted.cycles), ..now.clone() };
    let changes = pair.changes().into_iter().filter(|change| !is_of_cycle(change)).collect();
    let mut alone = switched(&pair, changes, &then, units);
    alone.extend(cycles_alone(&first, &then, &now));
    let both = (numbers(&first, &then), numbers(loaded, &now));
    let mut since = compared(both, alone, units);
    since.answers.retain(|it| it.moved);
    since.plain = since.since_line();
    let program = &loaded.subject.provenance.program_version;
    if before.program_version != *program {
        since.plain.push_str(&format!(
            " Last time crownwheel {} computed it; here {program} computes both.",
            before.program_version
        ));
    }
    Ok(since)
}

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

/// The build of then on the cycles of now, if any of them changed.
fn cycles_alone(
    first: &LoadedBuild,
    then: &CompareAsked,
    now: &CompareAsked,
) -> Option<SingleInput> {
    let both = then.cycles.iter().zip(&now.cycles);
    let key = |(_, cycle): (&Cycle, &Cycle)| {
        let file = format!("{}.csv", cycle.name());
        KeyMoved {
            key: format!("cycle {}", cycle.name()),
            second: Some(format!("{file}{OTHER_CONTENTS}")),
            first: Some(file),
            ..KeyMoved::default()
        }
    };
    let keys: Vec<KeyMoved> = both.filter(|(then, now)| then != now).map(key).collect();
    let name = keys.iter().map(|key| key.key.as_str()).collect::<Vec<_>>().join(", ");
    let input = InputMoved { input: name, keys, not_alone: None };
    (!input.keys.is_empty()).then(|| SingleInput { input, numbers: Some(numbers(first, now)) })
}
