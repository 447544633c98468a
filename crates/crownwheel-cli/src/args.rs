//! What may be typed that commands share; each has its own beside it.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};
use crownwheel_answers::Units;
use crownwheel_answers::build::AskedWorlds;

use crate::values::{a_folder, parse_worlds};

/// What every answer about a build takes.
#[derive(Clone, Debug, ClapArgs)]
pub(crate) struct Common {
    /// The build, or a folder with a build.toml in it; -: standard input
    #[arg(default_value = "build.toml")]
    pub(crate) file: PathBuf,
    /// Put a value over the build's, as often as you like: driveline.axle.ratio=3.89
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    #[command(flatten)]
    pub(crate) output: Output,
}

/// The units that answers are shown in.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum UnitsArg {
    /// Kilograms, km/h, Wh/km, °C
    Metric,
    /// Pounds, feet, mph, Wh/mile, °F, and MPGe beside use at the wall
    Us,
}

impl From<UnitsArg> for Units {
    fn from(arg: UnitsArg) -> Units {
        match arg {
            UnitsArg::Metric => Units::Metric,
            UnitsArg::Us => Units::Us,
        }
    }
}

#[derive(Clone, Debug, ClapArgs)]
pub(crate) struct Range {
    #[command(flatten)]
    pub(crate) common: Common,
    /// A built-in cycle or a cycle file, as often as you like
    #[arg(long, value_name = "CYCLE")]
    pub(crate) cycle: Vec<String>,
    /// A day of the build, as often as you like; without it all days
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Vec<String>,
    /// Worlds that bands are drawn from, 2000 without it; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
    /// Drive every world to its end instead of few and a fit on them: slow, to check bands against
    #[arg(long)]
    pub(crate) reference: bool,
}

impl Range {
    /// The worlds that are asked for.
    pub(crate) fn asked_worlds(&self) -> AskedWorlds {
        AskedWorlds { count: self.worlds, reference: self.reference }
    }
}

/// How an answer is given.
#[derive(Clone, Debug, ClapArgs)]
pub(crate) struct Output {
    /// Units of the answer: text, tables, figures and JSON (its keys carry their units)
    #[arg(long, value_name = "UNITS", value_enum, default_value_t = UnitsArg::Metric)]
    pub(crate) units: UnitsArg,
    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// Write the answer, its tables and, if it has one, its figure into a folder
    #[arg(long, value_name = "DIR", value_parser = a_folder())]
    pub(crate) out: Option<PathBuf>,
    /// Replace files that this program did not write, or that were changed since
    #[arg(long)]
    pub(crate) force: bool,
    /// End with exit code 1 if there is a warning
    #[arg(long)]
    pub(crate) strict: bool,
}
