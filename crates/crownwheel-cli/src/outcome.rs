//! How a command ends, and what it tells the shell.

use std::fmt::Display;
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

use crownwheel_files::Report;

/// An answer was given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Exit code 0.
    Answered,
    /// There were warnings and the user asked to be strict: exit code 1.
    Warned,
    /// The answer says why there are no numbers: exit code 2.
    NotEnough,
}

impl Outcome {
    pub(crate) fn new(strict: bool, warnings: usize) -> Outcome {
        if strict && warnings > 0 { Outcome::Warned } else { Outcome::Answered }
    }

    pub(crate) fn exit_code(self) -> ExitCode {
        match self {
            Outcome::Answered => ExitCode::SUCCESS,
            Outcome::Warned => ExitCode::from(1),
            Outcome::NotEnough => ExitCode::from(2),
        }
    }
}

/// No answer.
#[derive(Debug)]
pub(crate) enum Failure {
    /// The input is wrong: exit code 2.
    Input(Report),
    /// The command was used wrongly: exit code 2.
    Usage(String),
    /// Something could not be done: exit code 1.
    Failed(String),
    /// Whoever read our output has read enough: exit code 0.
    ReaderLeft,
}

impl Failure {
    /// A file that could not be read or written.
    pub(crate) fn file(doing: &str, path: &Path, error: &dyn Display) -> Failure {
        Failure::Failed(format!("cannot {doing} `{}`: {error}", path.display()))
    }

    /// Prints the reason and gives the exit code.
    pub(crate) fn report(self) -> ExitCode {
        let mut err = io::stderr().lock();
        let (text, code) = match self {
            Failure::Input(report) => {
                let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
                (report.render(io::stderr().is_terminal() && !plain), 2)
            }
            Failure::Usage(text) => (format!("error: {text}"), 2),
            Failure::Failed(text) => (format!("error: {text}"), 1),
            Failure::ReaderLeft => return ExitCode::SUCCESS,
        };
        // If standard error is gone there is nobody left to tell.
        let _ = writeln!(err, "{}", text.trim_end());
        ExitCode::from(code)
    }
}

impl From<Report> for Failure {
    fn from(report: Report) -> Self {
        Failure::Input(report)
    }
}

/// Prints to standard output; a closed pipe is no error.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    let written = out
        .write_all(text.as_bytes())
        .and_then(|()| if text.ends_with('\n') { Ok(()) } else { out.write_all(b"\n") });
    match written.and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Err(Failure::ReaderLeft),
        Err(error) => Err(Failure::Failed(format!("cannot write to standard output: {error}"))),
    }
}

/// Says something that is not part of the answer.
pub(crate) fn say(text: &str) {
    // If standard error is gone there is nobody left to tell.
    let _ = writeln!(io::stderr(), "{text}");
}
