//! The commands, a row each: what it is for, its arguments, its file. Its help stands beside it in
//! `help/`.

pub(crate) mod audit;
pub(crate) mod charge;
pub(crate) mod check;
pub(crate) mod coastdown;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod cycles;
pub(crate) mod explain;
pub(crate) mod explore;
pub(crate) mod gauges;
pub(crate) mod keys;
pub(crate) mod licences;
pub(crate) mod man;
pub(crate) mod new;
pub(crate) mod pull;
pub(crate) mod range;
pub(crate) mod report;
pub(crate) mod sweep;
pub(crate) mod trip;
pub(crate) mod weigh;

use clap::{Parser, Subcommand};
use crownwheel_answers::Sheet;
use crownwheel_plot::FigureError;
use serde::Serialize;

use crate::args::{Common, Output};
use crate::outcome::{Failure, Outcome, print, say, shown};
use crate::{results_folder, screen};

/// A command as the help lists it.
#[derive(Debug)]
pub(crate) struct Row {
    /// As it is typed.
    pub(crate) name: &'static str,
    /// What it stands with in the help.
    pub(crate) group: &'static str,
    /// Its long help: a question, examples that a test runs, what it does not tell.
    pub(crate) text: &'static str,
}

macro_rules! commands {
    ($($group:literal { $($(#[doc = $about:literal])* $name:ident($args:ty) => $module:ident,)* })*) => {
        #[derive(Debug, Subcommand)]
        pub(crate) enum Command {
            $($($(#[doc = $about])* #[command(name = stringify!($module))] $name($args),)*)*
        }

        impl Command {
            /// Runs it.
            pub(crate) fn run(&self) -> Result<Outcome, Failure> {
                match self {
                    $($(Command::$name(args) => $module::run(args),)*)*
                }
            }
        }

        /// Every command, in the order of a workshop.
        pub(crate) const ROWS: &[Row] = &[$($(Row {
            name: stringify!($module),
            group: $group,
            text: include_str!(concat!("help/", stringify!($module), ".txt")),
        },)*)*];
    };
}

commands! {
    "Before buying" {
        /// Write a commented build that runs as it is
        New(new::New) => new,
        /// Say what was understood, what was assumed and from where, and what to measure next
        Check(check::Check) => check,
        /// Corner weights before and after the conversion in five cases, against plate and tyres
        Weigh(Common) => weigh,
        /// Tractive effort, times, hills and speeds, each with what limits it; ratios side by side
        Pull(pull::Pull) => pull,
        /// Times and energy from the wall at each supply
        Charge(charge::Charge) => charge,
        /// Motor speed against road speed, what the speedometer reads, charge against voltage at rest
        Gauges(Common) => gauges,
        /// Use and range per cycle and day, and at steady speeds
        Range(range::Drive) => range,
        /// Everything about a build, or the decision of a sweep, as one page with tables and figures beside it
        Report(report::Report) => report,
    }
    "Choosing" {
        /// Every option of a sweep in many worlds: how surely each meets the demands, and which to take
        Sweep(sweep::Sweep) => sweep,
        /// Which answers moved between two builds, and which inputs moved them
        Compare(compare::Compare) => compare,
        /// How an answer is worked out, with its numbers and where they are from
        Explain(explain::Explain) => explain,
        /// A page with sliders for a build, on this machine alone: what each change does
        Explore(explore::Explore) => explore,
    }
    "After the build" {
        /// Road load from coasting runs of a phone or a logger
        CoastDown(coastdown::CoastDown) => coastdown,
        /// Clean a log of a drive (GPX or CSV) into a cycle, and say what was repaired
        Trip(trip::Trip) => trip,
        /// Compare a log of the finished car with its build, and name the likely cause of a difference
        Audit(audit::Audit) => audit,
    }
    "Reference" {
        /// List the built-in drive cycles, or print one as CSV
        Cycles(cycles::Cycles) => cycles,
        /// Reference of the build's keys, and a schema for editors
        Keys(keys::Keys) => keys,
        /// What a shell needs to finish what is typed
        Completions(completions::Completions) => completions,
        /// What is linked into the program, and on which terms
        Licences(licences::Licences) => licences,
        /// Write the manual's pages
        Man(man::Man) => man,
    }
}

/// Weight, range and limits of a petrol car converted to electric drive, before parts are cut or
/// bought.
#[derive(Debug, Parser)]
#[command(name = "crownwheel", version)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// Prints an answer as text or JSON and, if asked, writes it with its tables.
fn give<A: Serialize>(
    name: &str,
    answer: &A,
    sheet: &Sheet,
    output: &Output,
) -> Result<(), Failure> {
    let json = write(name, answer, sheet, output, None)?;
    show(&json, sheet, output)
}

/// A figure as a file, or why it could not be drawn; it is drawn only for a folder.
type FigureFile<'a> = &'a dyn Fn() -> Result<(String, Vec<u8>), FigureError>;

fn show(json: &str, sheet: &Sheet, output: &Output) -> Result<(), Failure> {
    if output.json { print(json) } else { print(&screen::shown(|| sheet.text())) }
}

/// Writes an answer with its tables, if asked, and gives it as JSON.
fn write<A: Serialize>(
    name: &str,
    answer: &A,
    sheet: &Sheet,
    output: &Output,
    figure: Option<FigureFile<'_>>,
) -> Result<String, Failure> {
    let json = crownwheel_answers::json::text(answer, output.units.into())
        .map_err(|error| Failure::Failed(format!("cannot write the answer as JSON: {error}")))?;
    if let Some(folder) = &output.out {
        let provenance = &sheet.provenance;
        let mut files = vec![
            (format!("{name}.json"), json.clone().into_bytes()),
            (format!("{name}.txt"), sheet.text().into_bytes()),
        ];
        for table in sheet.tables() {
            files.push((format!("{}.csv", table.name), table.csv(provenance).into_bytes()));
        }
        if let Some(figure) = figure {
            files.push(figure().map_err(|error| Failure::Failed(error.to_string()))?);
        }
        results_folder::write(folder, &files, provenance, output.force)?;
        say(&format!("written to {}", shown(folder)));
    }
    Ok(json)
}
