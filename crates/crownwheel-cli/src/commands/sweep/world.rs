//! `--world`: one option in one world again.

use crownwheel::space::OptionCase;
use crownwheel::unsure::Model;
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::cycle_trace;
use crownwheel_answers::sheet::Section;
use crownwheel_answers::world::{DrawnInput, WorldResult};
use crownwheel_answers::{Table, WorldAnswer};
use crownwheel_files::as_written;
use crownwheel_sweep::replay::{Draw, Replay};
use crownwheel_sweep::result::Choices;

use super::watch::Stop;
use crate::commands::give;
use crate::commands::sweep::Sweep;
use crate::outcome::{Failure, Outcome};
use crownwheel_answers::build::Job;

/// Identities that a message names.
const NAMED: u128 = 5;

/// Replays a world, counted from 1.
pub(super) fn run(args: &Sweep, job: &Job, stop: &Stop, number: usize) -> Result<Outcome, Failure> {
    let count = job.worlds.count();
    let no_such =
        || Failure::Usage(format!("`--world {number}`: the sweep has worlds 1 to {count}"));
    // Said before hours are spent on the best option.
    let world = number.checked_sub(1).filter(|world| *world < count).ok_or_else(no_such)?;
    let option = match &args.option {
        Some(id) => of_id(job, id)?,
        None => best(args, job, stop)?,
    };
    let model = option
        .model
        .as_ref()
        .map_err(|reason| Failure::Usage(format!("`{}` cannot be built: {reason}", option.id)))?;
    let replay =
        Replay::new(&job.course, &job.worlds, (model, option.price), world, job.plan().reference())
            .map_err(|error| Failure::Usage(format!("`{}` cannot be built: {error}", option.id)))?
            .ok_or_else(no_such)?;
    let answer = answer(job, &option, model, &replay, number);
    let mut sheet = answer.sheet();
    let traces = traces(job, &replay)?;
    sheet.sections.push(traces.into_iter().fold(Section::default(), Section::file));
    give("world", &answer, &sheet, &args.output)?;
    Ok(Outcome::Answered)
}

/// The option of an identity.
fn of_id(job: &Job, id: &str) -> Result<OptionCase, Failure> {
    let space = &job.sweep.space;
    let options = || (0..space.len()).map_while(|index| space.unchecked(index));
    options().find(|option| option.id == id).ok_or_else(|| {
        let some = (0..space.len().min(NAMED)).filter_map(|index| space.unchecked(index));
        let some: Vec<String> = some.map(|option| format!("\"{}\"", option.id)).collect();
        Failure::Usage(format!(
            "`--option {id}`: the sweep has no such option; its identities are like {}",
            some.join(", ")
        ))
    })
}

/// The option that the sweep decides for.
fn best(args: &Sweep, job: &Job, stop: &Stop) -> Result<OptionCase, Failure> {
    let (gathered, _) = super::looked_at(args, job, stop, None)?;
    let decision = super::decide(job, gathered);
    let best = decision.ranked().first().and_then(|index| job.sweep.space.unchecked(*index));
    best.ok_or_else(|| Failure::Usage("no option of the sweep can be built".to_owned()))
}

fn answer(
    job: &Job,
    option: &OptionCase,
    model: &Model,
    replay: &Replay,
    number: usize,
) -> WorldAnswer {
    let (subject, count) = (&job.subject, job.worlds.count());
    let drawn = |it: &Draw| DrawnInput {
        key: it.key.to_string(),
        nominal: subject.units.written(&as_written(&it.key, it.nominal)),
        drawn: subject.units.written(&as_written(&it.key, it.value)),
        place: it.unit,
    };
    let results = job.course.names().iter().zip(replay.nominal.iter().zip(&replay.values));
    let unsure = model.unsure.len();
    WorldAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        plain: format!("World {number} of {count} of {}.", option.id),
        id: option.id.clone(),
        choices: Choices::of(&option.choices),
        world: number,
        worlds: count,
        counts: job.counts(number - 1),
        drawn: replay.drawn.iter().map(drawn).collect(),
        results: results
            .map(|(name, (nominal, value))| WorldResult::new(name, *nominal, *value))
            .collect(),
        notes: vec![
            format!(
                "{unsure} inputs of the car are unsure; an input has the same draw in every option."
            ),
            format!(
                "The world counts {:.2} times as much as it would if nothing had been measured.",
                job.counts(number - 1)
            ),
        ],
    }
}

/// Every listed cycle on every day of the sweep, once from full, in this world.
fn traces(job: &Job, replay: &Replay) -> Result<Vec<Table>, Failure> {
    let refused = |error: &dyn std::fmt::Display| Failure::Failed(error.to_string());
    let car = Car::new(&replay.car).map_err(|error| refused(&error))?;
    let mut traces = Vec::new();
    for cycle in job.sweep.cycles.iter().filter(|cycle| cycle.listed) {
        for day in &job.sweep.days {
            let spec = replay.days.iter().find(|known| known.name == day.day.name);
            let Some(spec) = spec else { continue };
            let day = Day::new(spec).map_err(|error| refused(&error))?;
            let trace = cycle_trace(&car, &day, &cycle.cycle);
            let name = format!("world-trace-{}", traces.len() + 1);
            traces.push(Table { name: name.into(), ..trace.table(job.subject.units) });
        }
    }
    Ok(traces)
}
