//! The command line of Crownwheel: flags, files and exit codes around the library crates.

mod args;
mod bands;
mod build_text;
mod commands;
mod help;
mod logs;
mod moves;
mod outcome;
mod results_folder;
mod routes;
mod screen;
mod staging;
mod standard_input;
mod subject;
mod threads;
mod values;

use std::process::ExitCode;

use clap::FromArgMatches;

use crate::args::{Args, Command};
use crate::outcome::{Failure, Outcome};

fn main() -> ExitCode {
    screen::settle_colours();
    let parsed = help::command().try_get_matches();
    let args = match parsed.and_then(|found| Args::from_arg_matches(&found)) {
        Ok(args) => args,
        Err(error) => return outcome::not_understood(&error),
    };
    match threads::settle().and_then(|()| run(&args.command)) {
        Ok(outcome) => outcome.exit_code(),
        Err(failure) => failure.report(),
    }
}

fn run(command: &Command) -> Result<Outcome, Failure> {
    match command {
        Command::New(new) => commands::new::run(new),
        Command::Check(check) => commands::check::run(check),
        Command::Weigh(common) => commands::weigh::run(common),
        Command::Pull(pull) => commands::pull::run(pull),
        Command::Gauges(common) => commands::gauges::run(common),
        Command::Charge(charge) => commands::charge::run(charge),
        Command::Range(range) => commands::range::run(range),
        Command::Sweep(sweep) => commands::sweep::run(sweep),
        Command::Report(report) => commands::report::run(report),
        Command::Compare(compare) => commands::compare::run(compare),
        Command::Explain(explain) => commands::explain::run(explain),
        Command::Explore(explore) => commands::explore::run(explore),
        Command::Audit(audit) => commands::audit::run(audit),
        Command::Trip(trip) => commands::trip::run(trip),
        Command::CoastDown(coast_down) => commands::coastdown::run(coast_down),
        Command::Cycles(cycles) => commands::cycles::run(cycles),
        Command::Keys(keys) => commands::keys::run(keys),
        Command::Completions(completions) => commands::completions::run(completions),
        Command::Man(man) => commands::man::run(man),
    }
}
