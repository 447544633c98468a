//! `trip`: a log as a cycle.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use clap::ValueEnum;
use crownwheel_logs::ReadOptions;
use crownwheel_logs::trip::{CycleAxis, TripError, route, trip, trip_answer};

use super::{show, write};
use crate::args::Output;
use crate::logs;
use crate::outcome::{Failure, Outcome, print, say, shown};
use crate::values::is_dash;

/// What rows of a cycle go by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum AlongArg {
    /// A row a second, with the gradient there
    Time,
    /// A row every few metres, with heights and stops
    Distance,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Trip {
    /// The log: GPX 1.0 or 1.1, or CSV of a phone, a logger or a battery monitor; -: standard input
    pub(crate) log: PathBuf,
    /// Write the cycle into this file; -: print it, and the answer goes to standard error
    #[arg(short = 'o', long = "cycle", value_name = "CYCLE.csv")]
    pub(crate) cycle: Option<PathBuf>,
    /// What the rows of the cycle go by; without it time, and distance for a route
    #[arg(long, value_name = "ALONG", value_enum)]
    pub(crate) by: Option<AlongArg>,
    /// Take the log as a route driven at this speed: "60 km/h". Its times are not used
    #[arg(long, value_name = "SPEED", allow_hyphen_values = true)]
    pub(crate) speed: Option<String>,
    /// Unit of the log's speed, if its heading does not say it: km/h, m/s, mph or kn
    #[arg(long, value_name = "UNIT")]
    pub(crate) speed_unit: Option<String>,
    #[command(flatten)]
    pub(crate) output: Output,
}

pub(crate) fn run(args: &Trip) -> Result<Outcome, Failure> {
    if args.output.json && args.cycle.as_deref().is_some_and(is_dash) {
        return Err(Failure::Usage(
            "`-o -` prints the cycle, and --json would print the answer among it: name a file for the cycle, or write the answer with --out DIR"
                .to_owned(),
        ));
    }
    let speed_mps = args.speed.as_ref().map(|text| logs::speed(text)).transpose()?;
    let options = ReadOptions {
        speed_unit: logs::speed_unit(args.speed_unit.as_ref())?,
        as_route: speed_mps.is_some(),
        ..ReadOptions::default()
    };
    let mut inputs = logs::Inputs::default();
    let log = inputs.log(&args.log, &options)?;
    let refused = |error: TripError| Failure::Usage(error.to_string());
    let driven = match speed_mps {
        Some(speed_mps) => route(&log, speed_mps),
        None => trip(&log),
    };
    let driven = driven.map_err(refused)?;
    // What the core refuses must not be written.
    driven.cycle().map_err(refused)?;
    let along = match args.by {
        Some(AlongArg::Time) => CycleAxis::Time,
        Some(AlongArg::Distance) => CycleAxis::Distance,
        None if driven.is_route => CycleAxis::Distance,
        None => CycleAxis::Time,
    };
    let asked = [&args.speed, &args.speed_unit].map(|text| text.clone().unwrap_or_default());
    let provenance = inputs.provenance(&asked);
    let name = logs::name(&args.log);
    let mut answer = trip_answer(&driven, &name, provenance, args.output.units.into());
    let cycle = || driven.cycle_csv(along);
    let prints_cycle = args.cycle.as_deref().is_some_and(is_dash);
    if let Some(path) = args.cycle.as_ref().filter(|_| !prints_cycle) {
        logs::write_new(path, cycle().as_bytes(), args.output.force)?;
        answer.cycle = Some(shown(path));
    }
    let figure = || crownwheel_plot::trip_figure(&answer);
    let sheet = answer.sheet();
    let json = write("trip", &answer, &sheet, &args.output, Some(&figure))?;
    if prints_cycle {
        say(sheet.text().trim_end());
        print(&cycle())?;
    } else {
        show(&json, &sheet, &args.output)?;
    }
    Ok(Outcome::new(args.output.strict, answer.warnings.len()))
}
