//! `sweep`: every option in many worlds, and which to take.
//!
//! A run looks at every option (all, or one part), gathers what a decision needs, runs the best in all
//! worlds, and decides. The first look stands on disk while it lasts, so that it can be gone on with.

mod first_look;
mod part;
mod results;
mod watch;
mod world;

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args as ClapArgs;
use crownwheel_answers::SweepAnswer;
use crownwheel_answers::build::Job;
use crownwheel_answers::text::sentence;
use crownwheel_sweep::decision::Decision;
use crownwheel_sweep::gathered::FirstLooks;
use crownwheel_sweep::sweep::OptionLook;

use crate::args::Output;
use crate::outcome::{Failure, Outcome, print, say, shown, typed};
use crate::screen;
use crate::subject::parse_sets;
use crate::values::a_folder;
use crate::values::a_sweep;
use crate::values::parse_world;
use first_look::{FirstLook, Reader};
use part::Part;
use results::Rows;
use watch::{Stop, bar};

#[derive(Debug, ClapArgs)]
pub(crate) struct Sweep {
    /// The sweep, or a folder with a sweep.toml in it
    #[arg(default_value = "sweep.toml", value_parser = a_sweep())]
    pub(crate) file: PathBuf,
    /// Put a value over the sweep's (worlds=500) or its build's, as often as you like
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    /// Run more than 100,000 options
    #[arg(long)]
    pub(crate) yes: bool,
    /// Take the first look at one part of the options only: 3/8 is the third of eight. Each part
    /// writes its own file into --out; any machine may make it
    #[arg(long, value_name = "K/N", conflicts_with_all = ["merge", "world"], allow_hyphen_values = true)]
    pub(crate) part: Option<String>,
    /// Decide from the parts in this folder; results go there, or into --out
    #[arg(long, value_name = "DIR", conflicts_with = "resume", value_parser = a_folder())]
    pub(crate) merge: Option<PathBuf>,
    /// Go on with the first look in --out that was stopped
    #[arg(long, requires = "out")]
    pub(crate) resume: bool,
    /// The answer begins with what was decided last time in the same folder: a report's does.
    #[arg(skip)]
    pub(crate) says_since: bool,
    /// Replay one world, counted from 1: what was drawn, and what the best option does in it
    #[arg(long, value_name = "N", value_parser = parse_world, allow_hyphen_values = true)]
    pub(crate) world: Option<usize>,
    /// The option to replay, by its identity, instead of the best
    #[arg(long, value_name = "ID", requires = "world")]
    pub(crate) option: Option<String>,
    /// Draw every figure as PNG too
    #[arg(long)]
    pub(crate) png: bool,
    /// Drive every world to its end instead of few and a fit on them: slow, to check bands against
    #[arg(long)]
    pub(crate) reference: bool,
    #[command(flatten)]
    pub(crate) output: Output,
}

pub(crate) fn run(args: &Sweep) -> Result<Outcome, Failure> {
    let part = match &args.part {
        Some(text) => Part::parse(text)?,
        None => Part::WHOLE,
    };
    let job = load(args)?;
    let stop = Stop::new()?;
    if let Some(number) = args.world {
        return world::run(args, &job, &stop, number);
    }
    if args.part.is_some() {
        return look_at_part(args, &job, part, &stop);
    }
    let folder = args.output.out.as_ref().or(args.merge.as_ref());
    let answer = answered(args, &job, &stop, folder)?;
    if args.output.json {
        print(&results::json(&answer)?)?;
    } else {
        print(&screen::shown(|| answer.sheet().text()))?;
    }
    if let Some(folder) = folder {
        say(&format!("The page is {}", shown(&folder.join(results::PAGE))));
    }
    Ok(outcome(args, &answer))
}

/// Options that are run without asking.
const MOST_UNASKED: u128 = 100_000;

/// Reads the sweep.
fn load(args: &Sweep) -> Result<Job, Failure> {
    let sweep = crownwheel_files::load_sweep(&args.file, &parse_sets(&args.set)?)?;
    let count = sweep.space.len();
    if count > MOST_UNASKED && !args.yes {
        return Err(Failure::Usage(format!(
            "`{}` has {count} options, more than {MOST_UNASKED}: shorten its lists, or run it with --yes (and --part K/N on several machines)",
            shown(&args.file)
        )));
    }
    Ok(Job::of(sweep, args.output.units.into(), &args.set, args.reference)?)
}

/// `report` of a sweep: the same, with the page as what is printed.
pub(crate) fn report(args: &Sweep, folder: &Path) -> Result<Outcome, Failure> {
    let job = load(args)?;
    let answer = answered(args, &job, &Stop::new()?, Some(&folder.to_owned()))?;
    if args.output.json {
        print(&results::json(&answer)?)?;
    } else {
        let page = folder.join(results::PAGE);
        let lines = answer.since.iter().chain([&answer.plain]);
        let lines: String = screen::shown(|| lines.map(|line| sentence(line)).collect());
        print(&format!("{lines}The page is {}\n", shown(&page)))?;
    }
    Ok(outcome(args, &answer))
}

/// The whole sweep, written into a folder if there is one.
fn answered(
    args: &Sweep,
    job: &Job,
    stop: &Stop,
    folder: Option<&PathBuf>,
) -> Result<SweepAnswer, Failure> {
    let (gathered, rows) = match &args.merge {
        Some(folder) => merged(job, folder)?,
        None => looked_at(args, job, stop, folder)?,
    };
    let decision = decide(job, gathered);
    let mut answer = job.answer(&decision);
    if let Some(folder) = folder {
        if args.says_since {
            answer.since = results::before(folder).map(|before| answer.since_line(&before));
        }
        let out = results::ResultsTarget { folder, force: args.output.force, png: args.png };
        results::write(job, &decision, &answer, &rows, &out)?;
        if let Rows::OfPart(folder, Part::WHOLE) = &rows {
            // The results say all that it says; one that cannot be removed is only in the way.
            let _ = fs::remove_file(folder.join(Part::WHOLE.file_name()));
        }
    }
    Ok(answer)
}

fn outcome(args: &Sweep, answer: &SweepAnswer) -> Outcome {
    let missed = usize::from(!answer.best().is_some_and(|best| best.meets_all));
    Outcome::new(args.output.strict, missed + answer.warnings.len())
}

/// Looks at one part and leaves its file.
fn look_at_part(args: &Sweep, job: &Job, part: Part, stop: &Stop) -> Result<Outcome, Failure> {
    let Some(folder) = &args.output.out else {
        return Err(Failure::Usage(
            "`--part` writes a file for `--merge`: say where with --out DIR".to_owned(),
        ));
    };
    let file = look_into(args, job, part, folder, stop, &mut |_| {})?;
    say(&format!(
        "part {} of {} is in {}; when all parts are there: crownwheel sweep {} --merge {}",
        part.number,
        part.of,
        shown(file.path()),
        typed(&args.file),
        typed(folder)
    ));
    Ok(Outcome::Answered)
}

/// Looks at all options, on disk if there is a folder.
fn looked_at(
    args: &Sweep,
    job: &Job,
    stop: &Stop,
    folder: Option<&PathBuf>,
) -> Result<(FirstLooks, Rows), Failure> {
    let plan = job.plan();
    let mut gathered = FirstLooks::new(&plan);
    if let Some(folder) = folder {
        results::refuse_foreign(folder, args.output.force)?;
        let mut add = |looked: OptionLook| gathered.add(&plan, looked);
        look_into(args, job, Part::WHOLE, folder, stop, &mut add)?;
        return Ok((gathered, Rows::OfPart(folder.clone(), Part::WHOLE)));
    }
    stop.say("Nothing was kept: with --out DIR a run can be gone on with.".to_owned(), None);
    let bar = bar("options", plan.space.len());
    job.look(Part::WHOLE.options(plan.space.len()), &mut |block: Vec<OptionLook>| {
        bar.inc(block.len() as u64);
        block.into_iter().for_each(|looked| gathered.add(&plan, looked));
        Ok::<(), Failure>(())
    })?;
    bar.finish_and_clear();
    Ok((gathered, Rows::None))
}

/// Looks at the options of a part, each written before it is told on.
fn look_into(
    args: &Sweep,
    job: &Job,
    part: Part,
    folder: &Path,
    stop: &Stop,
    gather: &mut dyn FnMut(OptionLook),
) -> Result<FirstLook, Failure> {
    let plan = job.plan();
    let mut known: u64 = 0;
    let how = (args.resume, args.output.force);
    let file = FirstLook::open(folder, job, part, how, &mut |looked| {
        known += 1;
        gather(looked);
    })?;
    let hint = format!(
        "What was looked at is in {}; the same command with --resume goes on from there.",
        shown(file.path())
    );
    stop.say(hint, Some(file.shared()));
    let bar = bar("options", part.len(plan.space.len()));
    bar.set_position(known);
    bar.reset_eta();
    let known = usize::try_from(known).unwrap_or(usize::MAX);
    let unknown = part.options(plan.space.len()).skip(known);
    job.look(unknown, &mut |block: Vec<OptionLook>| {
        bar.inc(block.len() as u64);
        file.add(&block)?;
        block.into_iter().for_each(&mut *gather);
        Ok::<(), Failure>(())
    })?;
    bar.finish_and_clear();
    Ok(file)
}

/// What the parts in a folder leave.
fn merged(job: &Job, folder: &Path) -> Result<(FirstLooks, Rows), Failure> {
    let of = parts_in(folder)?;
    let plan = job.plan();
    let mut gathered = FirstLooks::new(&plan);
    let mut missing = Vec::new();
    for part in (1..=of).map(|number| Part { number, of }) {
        if !folder.join(part.file_name()).exists() {
            missing.push(format!("{}/{of}", part.number));
            continue;
        }
        let mut reader = Reader::of_part(folder, job, part)?;
        while let Some(looked) = reader.next()? {
            gathered.add(&plan, looked);
        }
        if !reader.is_complete() {
            missing.push(format!("{}/{of} (begun: it needs --resume)", part.number));
        }
    }
    if missing.is_empty() {
        return Ok((gathered, Rows::OfParts(folder.to_owned(), of)));
    }
    Err(Failure::Usage(format!(
        "`{}` does not hold all parts yet: run --part {} with --out {}",
        shown(folder),
        missing.join(", --part "),
        shown(folder)
    )))
}

/// In how many parts the first look in a folder is.
fn parts_in(folder: &Path) -> Result<u32, Failure> {
    let read = fs::read_dir(folder)
        .map_err(|error| Failure::Usage(format!("cannot read `{}`: {error}", shown(folder))))?;
    let names = read.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let mut counts: Vec<u32> =
        names.filter_map(|name| Part::of_file(&name)).map(|part| part.of).collect();
    counts.sort_unstable();
    counts.dedup();
    match counts.as_slice() {
        [of] => Ok(*of),
        [] => Err(Failure::Usage(format!(
            "`{}` holds no parts of a sweep: make them with --part K/N --out {}",
            shown(folder),
            shown(folder)
        ))),
        several => {
            let all: Vec<String> = several.iter().map(ToString::to_string).collect();
            Err(Failure::Usage(format!(
                "`{}` holds parts of several divisions (of {}): leave the files of one",
                shown(folder),
                all.join(", of ")
            )))
        }
    }
}

/// The second look, and the decision.
fn decide(job: &Job, gathered: FirstLooks) -> Decision {
    let plan = job.plan();
    let on = plan.go_on(&gathered.briefs());
    let pieces = on.len() * (1 + plan.pieces().len());
    let bar = bar("second look", pieces as u128);
    let finished = plan.finish(&on, gathered.looked(), &|| bar.inc(1));
    bar.finish_and_clear();
    Decision::new(&plan, gathered, finished)
}
