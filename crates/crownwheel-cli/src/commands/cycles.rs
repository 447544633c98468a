//! `cycles`: the built-in drive cycles.

use clap::Args as ClapArgs;
use crownwheel::constants::KMH_PER_MPS;
use crownwheel::cycle::{BUILTIN_NAMES, Cycle, builtin_text};
use crownwheel_answers::text::sentence_after;

use crate::outcome::{Failure, Outcome, print};
use crate::screen;
use crate::values::SuggestedText;

#[derive(Debug, ClapArgs)]
pub(crate) struct Cycles {
    /// Print this cycle as CSV, with its source
    #[arg(value_parser = SuggestedText(|| BUILTIN_NAMES.to_vec()))]
    pub(crate) name: Option<String>,
}

pub(crate) fn run(cycles: &Cycles) -> Result<Outcome, Failure> {
    match &cycles.name {
        None => print(&screen::shown(list))?,
        Some(name) => {
            let text = builtin_text(name).ok_or_else(|| {
                Failure::Usage(format!(
                    "there is no built-in cycle `{name}`; there are {}",
                    BUILTIN_NAMES.join(", ")
                ))
            })?;
            print(text)?;
        }
    }
    Ok(Outcome::Answered)
}

fn list() -> String {
    let mut text = format!(
        "{} drive cycles are built in; `crownwheel cycles NAME` prints one with its source.\n\n",
        BUILTIN_NAMES.len()
    );
    text.push_str("name     distance  duration       top      mean   what it is\n");
    text.push_str("               km         s      km/h      km/h\n");
    for name in BUILTIN_NAMES {
        let Ok(cycle) = Cycle::builtin(name) else { continue };
        let title = builtin_text(name).and_then(|file| file.lines().next()).unwrap_or_default();
        let numbers = format!(
            "{name:<7} {:>9.3} {:>9.0} {:>9.1} {:>9.1}   ",
            cycle.distance_m() / 1000.0,
            cycle.duration_s(),
            cycle.top_speed_mps() * KMH_PER_MPS,
            cycle.distance_m() / cycle.duration_s() * KMH_PER_MPS,
        );
        text.push_str(&sentence_after(&numbers, title.trim_start_matches("# ")));
    }
    text
}
