//! How a command ends, and what it tells the shell.

use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

use crownwheel_answers::text::clean_lines;
use crownwheel_files::Report;

pub(crate) use crownwheel_answers::text::shown_path as shown;

use crate::screen;

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
    pub(crate) fn file(doing: &str, path: &Path, error: &io::Error) -> Failure {
        Failure::Failed(format!("cannot {doing} `{}`: {error}{}", shown(path), way_out(error)))
    }

    /// Prints the reason and gives the exit code.
    pub(crate) fn report(self) -> ExitCode {
        let mut err = io::stderr().lock();
        let (text, code) = match self {
            Failure::Input(report) => (report.render(screen::colours_messages()), 2),
            Failure::Usage(text) => (format!("error: {}", clean_lines(&text)), 2),
            Failure::Failed(text) => (format!("error: {}", clean_lines(&text)), 1),
            Failure::ReaderLeft => return ExitCode::SUCCESS,
        };
        // If standard error is gone there is nobody left to tell.
        let _ = writeln!(err, "{}", text.trim_end());
        ExitCode::from(code)
    }
}

/// A path as it is typed in a shell.
pub(crate) fn typed(path: &Path) -> String {
    let text = shown(path);
    quoted(&if text.starts_with('-') { format!("./{text}") } else { text })
}

/// A word as it is typed in a shell.
pub(crate) fn quoted(text: &str) -> String {
    let plain =
        |c: char| c.is_alphanumeric() || matches!(c, '/' | '.' | '_' | '-' | '+' | ',' | '=');
    let bare = !text.is_empty() && text.chars().all(plain);
    if bare { text.to_owned() } else { format!("'{}'", text.replace('\'', "'\\''")) }
}

/// What to do about a file that the system does not give or take.
fn way_out(error: &io::Error) -> &'static str {
    use io::ErrorKind as Kind;
    match error.kind() {
        Kind::StorageFull | Kind::QuotaExceeded => "; make room there, or name a folder elsewhere",
        Kind::PermissionDenied | Kind::ReadOnlyFilesystem => {
            "; name a folder that you may write to"
        }
        Kind::AlreadyExists | Kind::NotADirectory => {
            "; something else stands where a folder is wanted: name another folder"
        }
        Kind::IsADirectory => "; a folder stands where a file is wanted: name another folder",
        Kind::NotFound => "; name a place that is there",
        _ => "; name another place",
    }
}

/// Words that are no command of ours. What was typed may hold anything, if a shell put names of files in.
pub(crate) fn not_understood(error: &clap::Error) -> ExitCode {
    let typed = std::env::args_os().any(|arg| arg.to_string_lossy().contains(char::is_control));
    if !error.use_stderr() {
        return match error.print().map_err(not_printed) {
            Ok(()) => ExitCode::SUCCESS,
            Err(failure) => failure.report(),
        };
    }
    if typed {
        say(clean_lines(&error.render().to_string()).trim_end());
    } else {
        // If standard error is gone there is nobody left to tell.
        let _ = error.print();
    }
    ExitCode::from(2)
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
    written.and_then(|()| out.flush()).map_err(not_printed)
}

#[allow(clippy::needless_pass_by_value, reason = "it is what map_err gives")]
fn not_printed(error: io::Error) -> Failure {
    if error.kind() == io::ErrorKind::BrokenPipe {
        return Failure::ReaderLeft;
    }
    Failure::Failed(format!("cannot write to standard output: {error}{}", way_out(&error)))
}

/// Says something that is not part of the answer.
pub(crate) fn say(text: &str) {
    // If standard error is gone there is nobody left to tell.
    let _ = writeln!(io::stderr(), "{text}");
}
