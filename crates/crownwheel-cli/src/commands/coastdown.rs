//! `coastdown`: road load from runs.

mod conditions;
mod write;

use crownwheel_answers::text::coast_down_text;
use crownwheel_logs::coastdown::coast_down;
use crownwheel_logs::{Log, ReadOptions};

use super::give_with;
use crate::args::CoastDown;
use crate::logs;
use crate::outcome::{Failure, Outcome};

pub(crate) fn run(args: &CoastDown) -> Result<Outcome, Failure> {
    let options = ReadOptions {
        speed_unit: logs::speed_unit(args.speed_unit.as_ref())?,
        ..ReadOptions::default()
    };
    let mut inputs = logs::Inputs::default();
    let read = args.logs.iter().map(|path| inputs.log(path, &options));
    let read = read.collect::<Result<Vec<Log>, Failure>>()?;
    let conditions = conditions::conditions(args, &read, inputs)?;
    let mut answer = coast_down(&read, &conditions);
    if let Some(build) = &args.write
        && answer.f0_n.is_some()
    {
        write::write(build, &mut answer, args)?;
    }
    let tables = [
        ("coastdown-forces", answer.force_table()),
        ("coastdown-runs", answer.run_table()),
        ("coastdown-refused", answer.refused_table()),
        ("coastdown-curves", answer.curve_table()),
    ];
    let figure = || crownwheel_plot::coast_down_figure(&answer);
    let text = || coast_down_text(&answer);
    give_with("coastdown", &answer, text, &tables, &answer.provenance, &args.output, &[&figure])?;
    if answer.f0_n.is_none() {
        return Ok(Outcome::NotEnough);
    }
    Ok(Outcome::new(args.output.strict, answer.warnings.len()))
}
