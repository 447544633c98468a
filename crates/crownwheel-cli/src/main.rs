//! The command line of Crownwheel: flags, files and exit codes around the library crates.

mod args;
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

use crate::commands::Args;

fn main() -> ExitCode {
    screen::settle_colours();
    let parsed = help::command().try_get_matches();
    let args = match parsed.and_then(|found| Args::from_arg_matches(&found)) {
        Ok(args) => args,
        Err(error) => return outcome::not_understood(&error),
    };
    match threads::settle().and_then(|()| args.command.run()) {
        Ok(outcome) => outcome.exit_code(),
        Err(failure) => failure.report(),
    }
}
