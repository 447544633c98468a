//! `range`: use and range.

use clap::Args as ClapArgs;
use crownwheel_answers::from_car::{AskedRoute, RangeRequest};

use super::charge::fraction;
use super::give;
use crate::args::Range;
use crate::outcome::{Failure, Outcome};
use crate::routes;
use crate::subject::{LoadedBuild, USUAL_CYCLES, asked, days, load};

#[derive(Debug, ClapArgs)]
pub(crate) struct Drive {
    #[command(flatten)]
    pub(crate) range: Range,
    /// Drive every cycle once, as the route that it is: what is left in the pack at its end
    #[arg(long)]
    pub(crate) once: bool,
    /// State of charge at the start of a route: 90%; without it full
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) from: Option<String>,
}

pub(crate) fn run(drive: &Drive) -> Result<Outcome, Failure> {
    let range = &drive.range;
    let mut loaded = load(&range.common)?;
    let wanted = wanted(&mut loaded, drive)?;
    let answer = loaded.range(&wanted, range.asked_worlds())?;
    give("range", &answer, &answer.sheet(), &range.common.output)?;
    Ok(Outcome::new(range.common.output.strict, answer.warnings.len()))
}

/// What is asked for: cycles until the pack is empty, and routes that are driven once.
fn wanted(loaded: &mut LoadedBuild, drive: &Drive) -> Result<RangeRequest, Failure> {
    let range = &drive.range;
    let full_frac = loaded.build.car.pack.usable_to_frac;
    let from_frac = match &drive.from {
        Some(text) => fraction("--from", text)?,
        None => full_frac,
    };
    let (logs, cycles): (Vec<String>, Vec<String>) =
        range.cycle.iter().cloned().partition(|name| routes::is_log(name));
    if drive.from.is_some() && !drive.once && logs.is_empty() {
        return Err(Failure::Usage(
            "`--from` is the charge at the start of a route: write --once beside it, or name a log (.gpx) with --cycle"
                .to_owned(),
        ));
    }
    let mut all =
        RangeRequest { days: days(&loaded.subject, &range.day)?, ..RangeRequest::default() };
    if logs.is_empty() || !cycles.is_empty() {
        all = asked(loaded, &Range { cycle: cycles, ..range.clone() }, &USUAL_CYCLES)?;
    }
    let mut routes = routes::open_logs(loaded, &logs)?;
    if drive.once {
        routes.extend(std::mem::take(&mut all.cycles));
        all.trips.clear();
        all.steady_kmh.clear();
    }
    all.routes = routes.into_iter().map(|route| AskedRoute { route, from_frac }).collect();
    Ok(all)
}
