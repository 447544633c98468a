//! `trip`: a log as a cycle.

use crownwheel_answers::text::trip_text;
use crownwheel_logs::ReadOptions;
use crownwheel_logs::trip::{Along, TripError, route, trip, trip_answer};

use super::{give_with, write};
use crate::args::{AlongArg, Trip};
use crate::logs;
use crate::outcome::{Failure, Outcome, print, say, shown};
use crate::values::is_dash;

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
        Some(AlongArg::Time) => Along::Time,
        Some(AlongArg::Distance) => Along::Distance,
        None if driven.is_route => Along::Distance,
        None => Along::Time,
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
    let tables = [
        ("trip", answer.table()),
        ("trip-repairs", answer.repairs_table()),
        ("trip-points", answer.points_table()),
    ];
    let figure = || crownwheel_plot::trip_figure(&answer);
    let text = || trip_text(&answer);
    let (provenance, output) = (&answer.provenance, &args.output);
    if prints_cycle {
        write("trip", &answer, &text, &tables, provenance, output, &[&figure])?;
        say(text().trim_end());
        print(&cycle())?;
    } else {
        give_with("trip", &answer, text, &tables, provenance, output, &[&figure])?;
    }
    Ok(Outcome::new(args.output.strict, answer.warnings.len()))
}
