//! `compare`: which answers moved between two builds, and which inputs moved them.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use crownwheel::Day;
use crownwheel::name::Name;
use crownwheel_answers::compare::InputMoved;
use crownwheel_answers::from_car::CompareAsked;
use crownwheel_answers::{Caution, CompareAnswer, Provenance, Topic, Units, Warning};
use crownwheel_files::Pair;
use crownwheel_files::outside::CycleRef;

use super::give;
use crate::args::Output;
use crate::moves::{compared, numbers, switched};
use crate::outcome::{Failure, Outcome, shown};
use crate::subject::{
    LoadedBuild, USUAL_CYCLES, hash, of_build, open, open_cycles, own_cycles, typed,
};
use crate::values::is_dash;

#[derive(Debug, ClapArgs)]
pub(crate) struct Compare {
    /// The first build, or a folder with a build.toml in it; -: standard input
    #[arg(value_name = "A")]
    pub(crate) first: PathBuf,
    /// The second build; without it the first, with what is set
    #[arg(value_name = "B")]
    pub(crate) second: Option<PathBuf>,
    /// Put a value over the second build's, as often as you like: driveline.axle.ratio=3.89
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    #[command(flatten)]
    pub(crate) output: Output,
}

pub(crate) fn run(args: &Compare) -> Result<Outcome, Failure> {
    let answer = answer(args)?;
    give("compare", &answer, &answer.sheet(), &args.output)?;
    Ok(Outcome::new(args.output.strict, answer.warnings.len()))
}

fn answer(args: &Compare) -> Result<CompareAnswer, Failure> {
    let units: Units = args.output.units.into();
    let second = second_file(args)?;
    if args.second.as_deref().is_some_and(is_dash) && is_dash(&args.first) {
        return Err(Failure::Usage(
            "`compare - -`: standard input is one build; name a file for the other".to_owned(),
        ));
    }
    let pair = Pair::of(open(&args.first, &[])?, open(&second, &args.set)?)?;
    let mut first = of_build(pair.first.clone(), units, &[])?;
    let mut second = of_build(pair.second.clone(), units, &args.set)?;
    let (asked, notes) = asked(&mut first, &mut second)?;
    let alone = switched(&pair, pair.changes(), &asked, units);
    let both = (numbers(&first, &asked), numbers(&second, &asked));
    let compared = compared(both, alone, units);
    let [first_name, second_name] = names(args, &pair);
    let mut answer = CompareAnswer {
        provenance: provenance(&first, &second, &args.set),
        first: first_name,
        second: second_name,
        warnings: compared.inputs.iter().filter_map(not_alone).collect(),
        notes,
        cautions: vec![Caution::about(Topic::AxleLoads), Caution::about(Topic::Brakes)],
        ..compared
    };
    answer.plain = answer.plain_line();
    Ok(answer)
}

/// The second build's file; without one the first's, with what is set over it.
fn second_file(args: &Compare) -> Result<PathBuf, Failure> {
    match &args.second {
        Some(second) => Ok(second.clone()),
        None if !args.set.is_empty() => Ok(args.first.clone()),
        None => Err(Failure::Usage(format!(
            "`compare {first}` has nothing to compare with: name a second build, or set a value of the first, for example compare {first} --set driveline.axle.ratio=3.89",
            first = shown(&args.first)
        ))),
    }
}

/// Cycles of both builds and the days that both have, with what is to be said about them.
fn asked(
    first: &mut LoadedBuild,
    second: &mut LoadedBuild,
) -> Result<(CompareAsked, Vec<String>), Failure> {
    let mut files: Vec<CycleRef> = USUAL_CYCLES.map(typed).to_vec();
    files.extend(own_cycles(&first.build));
    let known: Vec<Option<String>> = files.iter().map(stem).collect();
    let more = own_cycles(&second.build).into_iter().filter(|file| !known.contains(&stem(file)));
    files.extend(more.collect::<Vec<_>>());
    let cycles = open_cycles(first, &files)?;
    let both = |day: &&Day| second.subject.days.iter().any(|other| other.name() == day.name());
    let days: Vec<String> =
        first.subject.days.iter().filter(both).map(|day| day.name().key().to_owned()).collect();
    let pack = &first.build.car.pack;
    let mut notes = vec![
        "The share of an input is what it alone does to the first build, over the whole move. What is left acts together: one input changes what another does.".to_owned(),
        "Both builds drive the same cycles; where their files of one name differ, the first's.".to_owned(),
    ];
    match days.first() {
        Some(day) => notes.push(format!("Where no day is named it is {day}, from full charge.")),
        None => notes.push(
            "The builds have no day of the same name, so only weights, ratios and the pack are compared."
                .to_owned(),
        ),
    }
    let charge_frac = (pack.floor_frac(), pack.usable_to_frac);
    Ok((CompareAsked { cycles, days, charge_frac }, notes))
}

/// Name of a cycle's file without folders and ending, as the cycle is called.
fn stem(of: &CycleRef) -> Option<String> {
    match of {
        CycleRef::Builtin(name) => Some(name.clone()),
        CycleRef::File(path) => path.file_stem().map(|stem| stem.to_string_lossy().into_owned()),
    }
}

fn not_alone(input: &InputMoved) -> Option<Warning> {
    let why = input.not_alone.as_ref()?;
    Some(Warning {
        code: "not_alone".to_owned(),
        text: format!(
            "The first build does not stand with {} of the second alone ({why}): nothing is put down to it, and what it does is in what acts together.",
            input.input
        ),
    })
}

/// What the builds are called: their cars' names, and the files where those are the same.
fn names(args: &Compare, pair: &Pair) -> [Name; 2] {
    let [first, second] = [&pair.first, &pair.second].map(|build| build.car.name.clone());
    let set =
        if args.set.is_empty() { String::new() } else { format!(" with {}", args.set.join(", ")) };
    if first == second {
        let [a, b] = [&pair.first, &pair.second].map(|build| shown(&build.path));
        return [first.with(&format!(" ({a})")), second.with(&format!(" ({b}){set}"))];
    }
    let second = second.with(&set);
    [first, second]
}

/// Everything that was read, of the first build, its cycles and the second, and what was set.
fn provenance(first: &LoadedBuild, second: &LoadedBuild, sets: &[String]) -> Provenance {
    let hashes = [first, second].map(|loaded| loaded.subject.provenance.inputs_hash.clone());
    let all: Vec<String> = hashes.into_iter().chain(sets.iter().cloned()).collect();
    Provenance { inputs_hash: hash(&[], &all), ..first.subject.provenance.clone() }
}
