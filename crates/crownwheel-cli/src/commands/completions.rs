//! `completions`: what a shell needs to finish what is typed.

use crate::args::Completions;
use crate::help;
use crate::outcome::{Failure, Outcome, print};

pub(crate) fn run(args: &Completions) -> Result<Outcome, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut help::command(), "crownwheel", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Answered)
}
