//! Why a build cannot be asked.

use std::fmt;

use crownwheel_files::Report;

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub struct AskError(Why);

#[derive(Clone, Debug, PartialEq)]
enum Why {
    Build(Report),
    Asked(String),
    Failed(String),
    Stopped,
}

/// Where it went wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum AskErrorKind {
    /// In the build, a table or a cycle: [`AskError::report`] has every problem with its place.
    Build,
    /// In what was asked: a day that the build does not have, too many options.
    Asked,
    /// On the way: the computation gave nothing.
    Failed,
    /// Whoever asked stopped it.
    Stopped,
}

impl AskError {
    /// Something is wrong with what was asked.
    pub(crate) fn asked(text: impl Into<String>) -> AskError {
        AskError(Why::Asked(text.into()))
    }

    /// The computation gave nothing.
    pub(crate) fn failed(text: impl Into<String>) -> AskError {
        AskError(Why::Failed(text.into()))
    }

    pub(crate) fn stopped() -> AskError {
        AskError(Why::Stopped)
    }

    /// Where it went wrong.
    #[must_use]
    pub fn kind(&self) -> AskErrorKind {
        match self.0 {
            Why::Build(_) => AskErrorKind::Build,
            Why::Asked(_) => AskErrorKind::Asked,
            Why::Failed(_) => AskErrorKind::Failed,
            Why::Stopped => AskErrorKind::Stopped,
        }
    }

    /// Everything that is wrong with the build and its files. `None`: it is something else.
    #[must_use]
    pub fn report(&self) -> Option<&Report> {
        match &self.0 {
            Why::Build(report) => Some(report),
            _ => None,
        }
    }
}

impl fmt::Display for AskError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.0 {
            Why::Build(report) => report.fmt(f),
            Why::Asked(text) | Why::Failed(text) => f.write_str(text),
            Why::Stopped => f.write_str("it was stopped"),
        }
    }
}

impl std::error::Error for AskError {}

impl From<Report> for AskError {
    fn from(report: Report) -> AskError {
        AskError(Why::Build(report))
    }
}
