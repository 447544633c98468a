//! What may be typed.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use crownwheel::cycle::BUILTIN_NAMES;
use crownwheel_answers::Units;
use crownwheel_answers::from_car::explained;

use crate::bands::parse_worlds;
use crate::values::{Suggested, a_build_file, a_folder, a_sweep, parse_port, parse_world};

/// Weight, range and limits of a petrol car converted to electric drive, before parts are cut or
/// bought.
#[derive(Debug, Parser)]
#[command(name = "crownwheel", version)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write a commented build that runs as it is
    New(New),
    /// Say what was understood, what was assumed and from where, and what to measure next
    Check(Check),
    /// Corner weights before and after the conversion in five cases, against plate and tyres
    Weigh(Common),
    /// Tractive effort, times, hills and speeds, each with what limits it; ratios side by side
    Pull(Pull),
    /// Times and energy from the wall at each supply
    Charge(Charge),
    /// Motor speed against road speed, what the speedometer reads, charge against voltage at rest
    Gauges(Common),
    /// Use and range per cycle and day, and at steady speeds
    Range(Drive),
    /// Everything about a build, or the decision of a sweep, as one page with tables and figures beside it
    Report(Report),
    /// Every option of a sweep in many worlds: how surely each meets the demands, and which to take
    Sweep(Sweep),
    /// Which answers moved between two builds, and which inputs moved them
    Compare(Compare),
    /// How an answer is reckoned, with its numbers and where they are from
    Explain(Explain),
    /// A page with sliders for a build, on this machine alone: what each change does
    Explore(Explore),
    /// Clean a log of a drive (GPX or CSV) into a cycle, and say what was repaired
    Trip(Trip),
    /// Compare a log of the finished car with its build, and name the likely cause of a difference
    Audit(Audit),
    /// Road load from coasting runs of a phone or a logger
    #[command(name = "coastdown")]
    CoastDown(CoastDown),
    /// List the built-in drive cycles, or print one as CSV
    Cycles(Cycles),
    /// Reference of the build's keys, and a schema for editors
    Keys(Keys),
    /// What a shell needs to finish what is typed
    Completions(Completions),
    /// Write the manual's pages
    Man(Man),
}

#[derive(Debug, ClapArgs)]
pub(crate) struct New {
    /// Folder to write into; made if it is not there
    #[arg(value_parser = a_folder())]
    pub(crate) dir: PathBuf,
    /// Replace files of the same name
    #[arg(long)]
    pub(crate) force: bool,
}

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

#[derive(Debug, ClapArgs)]
pub(crate) struct Check {
    #[command(flatten)]
    pub(crate) common: Common,
    /// Worlds that tell what a line would narrow, 2000 without it; 1: not reckoned
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Pull {
    #[command(flatten)]
    pub(crate) common: Common,
    /// A day of the build; without it the first
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Option<String>,
    /// Worlds that bands are drawn from, 2000 without it; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Charge {
    #[command(flatten)]
    pub(crate) common: Common,
    /// A day of the build; without it the first
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Option<String>,
    /// State of charge at the start: 10%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) from: Option<String>,
    /// State of charge that is asked for: 90%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) to: Option<String>,
    /// Worlds that bands are drawn from, 2000 without it; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
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
}

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

#[derive(Debug, ClapArgs)]
pub(crate) struct Report {
    #[command(flatten)]
    pub(crate) range: Range,
    /// Draw every figure as PNG too
    #[arg(long)]
    pub(crate) png: bool,
}

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
    #[command(flatten)]
    pub(crate) output: Output,
}

/// The answers that can be explained, for a shell to offer.
fn explained_words() -> Vec<&'static str> {
    explained().iter().map(|quantity| quantity.word()).collect()
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Explain {
    /// The answer, as JSON names it or shorter: mass, axle_load.rear, range.winter,
    /// range.udds.mild, hold_grade.50_kmh, time.0_100, charge_hours.garage; a wrong one lists all
    #[arg(value_parser = Suggested(explained_words), hide_possible_values = true)]
    pub(crate) answer: String,
    #[command(flatten)]
    pub(crate) common: Common,
}

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

#[derive(Debug, ClapArgs)]
pub(crate) struct Explore {
    /// The build, or a folder with a build.toml in it
    #[arg(default_value = "build.toml")]
    pub(crate) file: PathBuf,
    /// Put a value over the build's, as often as you like; several numbers are offered to pick from:
    /// driveline.axle.ratio=3.70,3.89,4.22
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    /// Units of the answers
    #[arg(long, value_name = "UNITS", value_enum, default_value_t = UnitsArg::Metric)]
    pub(crate) units: UnitsArg,
    /// Port of 127.0.0.1; without it any that is free
    #[arg(long, value_name = "N", value_parser = parse_port, default_value = "0", allow_hyphen_values = true)]
    pub(crate) port: u16,
    /// Worlds that bands are drawn from; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, default_value = "200", allow_hyphen_values = true)]
    pub(crate) worlds: NonZeroUsize,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Cycles {
    /// Print this cycle as CSV, with its source
    #[arg(value_parser = Suggested(|| BUILTIN_NAMES.to_vec()))]
    pub(crate) name: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Keys {
    /// Only keys that have this word in their path or description
    pub(crate) word: Option<String>,
    /// The keys of a sweep's own file instead
    #[arg(long)]
    pub(crate) sweep: bool,
    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// Print a JSON Schema for editors that know TOML
    #[arg(long, conflicts_with_all = ["json", "word"])]
    pub(crate) schema: bool,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Completions {
    /// The shell
    pub(crate) shell: Shell,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct Man {
    /// Folder to write into; made if it is not there
    #[arg(value_parser = a_folder())]
    pub(crate) dir: PathBuf,
    /// Replace files of the same name that are not ours
    #[arg(long)]
    pub(crate) force: bool,
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

#[derive(Debug, ClapArgs)]
pub(crate) struct Audit {
    /// The log: speed, pack volts and amperes; charge, heights and outside temperature if you have
    /// them; -: standard input
    pub(crate) log: PathBuf,
    /// The build, or a folder with a build.toml in it; -: standard input
    #[arg(default_value = "build.toml")]
    pub(crate) build: PathBuf,
    /// Put a value over the build's, as often as you like: luggage.mass="40 kg"
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    /// A day of the build; without it the first
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Option<String>,
    /// State of charge at the start, if the log does not have it: 92%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) from: Option<String>,
    /// Unit of the log's speed, if its heading does not say it: km/h, m/s, mph or kn
    #[arg(long, value_name = "UNIT")]
    pub(crate) speed_unit: Option<String>,
    /// Add what was measured to the build as [measured.NAME], and its cycle beside it as NAME.csv
    #[arg(long, value_name = "NAME")]
    pub(crate) write: Option<String>,
    #[command(flatten)]
    pub(crate) output: Output,
}

impl Audit {
    /// The build with the options of the answer.
    pub(crate) fn build_and_output(&self) -> Common {
        Common { file: self.build.clone(), set: self.set.clone(), output: self.output.clone() }
    }
}
