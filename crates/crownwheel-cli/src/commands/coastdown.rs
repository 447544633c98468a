//! `coastdown`: road load from runs.

mod conditions;
mod write;

use std::path::PathBuf;

use clap::Args as ClapArgs;
use crownwheel_logs::coastdown::coast_down;
use crownwheel_logs::{Log, ReadOptions};

use super::{show, write};
use crate::args::Output;
use crate::logs;
use crate::outcome::{Failure, Outcome};
use crate::values::a_build_file;

#[derive(Debug, ClapArgs)]
pub(crate) struct CoastDown {
    /// Logs with runs: one or many in a file, both ways on the same road; -: standard input
    #[arg(required = true, value_name = "LOG")]
    pub(crate) logs: Vec<PathBuf>,
    /// Mass of the car during the runs, with everybody in it: "905 kg ± 5 kg"
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) mass: String,
    /// What the turning parts count as: "3 %" of the mass, or "28 kg"
    #[arg(long, value_name = "SHARE|MASS", allow_hyphen_values = true)]
    pub(crate) rotating_mass: Option<String>,
    /// Air temperature during the runs: "14 °C"
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) temperature: Option<String>,
    /// Air pressure at the road, not reduced to sea level: "99.8 kPa"
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    pub(crate) pressure: Option<String>,
    /// Wind: "calm", "2 m/s headwind" (in the direction of the first run), "3 m/s all round"; without
    /// it the runs both ways tell the part along the road
    #[arg(long, value_name = "WIND", allow_hyphen_values = true)]
    pub(crate) wind: Option<String>,
    /// Height that the wind was measured at; a forecast is for 10 m
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    pub(crate) wind_height: Option<String>,
    /// Gradient in the direction of the first run, uphill positive: "0.3 ± 0.1 %"; without it the runs
    /// both ways tell it
    #[arg(long, value_name = "GRADE", allow_hyphen_values = true)]
    pub(crate) grade: Option<String>,
    /// Unit of the speed, where the heading does not say it: km/h, mph, m/s, kn
    #[arg(long, value_name = "UNIT")]
    pub(crate) speed_unit: Option<String>,
    /// What turned with the wheels, for --write: axle, gearbox, motor
    #[arg(long, value_name = "PART", value_delimiter = ',', value_parser = ["axle", "gearbox", "motor"])]
    pub(crate) turning: Vec<String>,
    /// Put the result into this build; what it replaces becomes a comment
    #[arg(long, value_name = "BUILD", value_parser = a_build_file())]
    pub(crate) write: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: Output,
}

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
    let figure = || crownwheel_plot::coast_down_figure(&answer);
    let sheet = answer.sheet();
    let json = write("coastdown", &answer, &sheet, &args.output, Some(&figure))?;
    show(&json, &sheet, &args.output)?;
    if answer.f0_n.is_none() {
        return Ok(Outcome::NotEnough);
    }
    Ok(Outcome::new(args.output.strict, answer.warnings.len()))
}
