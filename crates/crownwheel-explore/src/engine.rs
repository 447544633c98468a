//! What the page asks of the program around it: to read the build, and to draw bands.

use std::path::PathBuf;

use crownwheel_answers::from_car::{Hill, RangeRequest, Subject};
use crownwheel_answers::sweep::DemandMet;
use crownwheel_answers::{PullAnswer, RangeAnswer};
use crownwheel_files::{Build, Problem, Report};

/// The program around the page.
pub trait Engine: Send + Sync {
    /// Reads the build as it is on disk now, with these settings over it as `--set` puts them there.
    ///
    /// # Errors
    /// What the command line would say.
    fn read(&self, sets: &[String]) -> Result<Reading, EngineRefusal>;

    /// The same with bands from worlds. `None`: it was no longer wanted.
    ///
    /// # Errors
    /// What the command line would say.
    fn bands(
        &self,
        sets: &[String],
        day: usize,
        wanted: &dyn Fn() -> bool,
    ) -> Result<Option<BandedAnswers>, EngineRefusal>;

    /// The command that answers the same, to be typed in a shell.
    fn command(&self, sets: &[String]) -> String;

    /// In how many worlds bands are drawn; 1: there are none.
    fn worlds(&self) -> usize;
}

/// A build that was read.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The build.
    pub build: Build,
    /// What answers are made from. The hash of its provenance is of everything that was read and set.
    pub subject: Subject,
    /// Cycles and days; the page puts its own steady speed.
    pub asked: RangeRequest,
    /// Every file that was read.
    pub files: Vec<PathBuf>,
    /// The build's hills.
    pub hills: Vec<Hill>,
}

/// Answers with what worlds say of them.
#[derive(Clone, Debug)]
pub struct BandedAnswers {
    /// Use and range, with bands.
    pub range: RangeAnswer,
    /// Pull, with bands.
    pub pull: PullAnswer,
    /// How surely each demand is met.
    pub demands: Vec<DemandMet>,
}

/// Why there is no answer.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EngineRefusal {
    /// Each with the key that it is about; an empty key is about the whole.
    pub messages: Vec<Message>,
}

/// A message of the command line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Message {
    /// Path of the key, empty if it is about none.
    pub key: String,
    /// The message, as the command line prints it.
    pub text: String,
    /// The same in sentences, for a narrow place.
    pub sentences: Vec<String>,
}

impl Message {
    /// A message of one sentence or more.
    #[must_use]
    pub fn new(key: &str, text: String) -> Message {
        Message { key: key.to_owned(), sentences: vec![text.clone()], text }
    }

    /// What is wrong with a setting is said of the key that was set; else it stands in a file.
    fn of(problem: &Problem) -> Message {
        let set = problem.file.strip_prefix("--set ");
        let place = match set {
            Some(_) => String::new(),
            None if problem.line == 0 => format!("{}: ", problem.file),
            None => format!("{}:{}:{}: ", problem.file, problem.line, problem.column),
        };
        let allowed =
            (!problem.allowed.is_empty()).then(|| format!("allowed is {}", problem.allowed));
        let hint = (!problem.hint.is_empty()).then(|| problem.hint.clone());
        let what = format!("{place}{}", problem.what);
        Message {
            key: set.unwrap_or(&problem.key).to_owned(),
            text: problem.render(false),
            sentences: [Some(what), allowed, hint].into_iter().flatten().collect(),
        }
    }
}

impl EngineRefusal {
    /// A message about one key.
    #[must_use]
    pub fn of(key: &str, text: String) -> EngineRefusal {
        EngineRefusal { messages: vec![Message::new(key, text)] }
    }
}

impl From<&Report> for EngineRefusal {
    fn from(report: &Report) -> EngineRefusal {
        EngineRefusal { messages: report.problems().iter().map(Message::of).collect() }
    }
}
