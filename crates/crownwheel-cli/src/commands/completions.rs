//! `completions`: what a shell needs to finish what is typed.

use clap::Args as ClapArgs;
use clap_complete::Shell;

use crate::help;
use crate::outcome::{Failure, Outcome, print};

#[derive(Debug, ClapArgs)]
pub(crate) struct Completions {
    /// The shell
    pub(crate) shell: Shell,
}

pub(crate) fn run(args: &Completions) -> Result<Outcome, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut help::command(), "crownwheel", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Answered)
}
