//! Why a log could not be read: the place, what is wrong, and what to do.

use std::fmt;

use crownwheel_answers::text::clean;

/// A log that cannot be used.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct LogError {
    /// File, as it was named.
    pub file: String,
    /// Line, from 1; 0 if the whole file is meant.
    pub line: usize,
    /// What is wrong.
    pub problem: LogProblem,
}

/// What is wrong with a log.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum LogProblem {
    /// The system does not give the file.
    Unreadable {
        /// Its words.
        reason: String,
    },
    /// It is a folder, a device or a pipe.
    NotAFile {
        /// What it is.
        reason: &'static str,
    },
    /// Somebody wrote it while it was read.
    Changed,
    /// It is larger than allowed.
    TooLarge {
        /// Highest allowed size, gigabytes.
        most_gb: u64,
    },
    /// It is another kind of file.
    OtherKind {
        /// What it is.
        kind: &'static str,
    },
    /// No line names columns that we know.
    NoHeading,
    /// No column of times.
    NoTimeColumn {
        /// Headings that stand there.
        headings: String,
    },
    /// Neither speed nor fixes nor volts.
    NothingToDrive {
        /// Headings that stand there.
        headings: String,
    },
    /// Most rows have more cells than the heading.
    WiderThanHeading {
        /// Cells of the row.
        cells: usize,
        /// Cells of the heading.
        headings: usize,
    },
    /// From some row on there are more or fewer cells, and no heading says which.
    ColumnsChange {
        /// Cells of the row.
        cells: usize,
        /// Cells of the heading.
        headings: usize,
    },
    /// A heading between the rows does not say what the one before said.
    HeadingUnclear {
        /// What it does not say.
        what: &'static str,
    },
    /// Many rows share a time, as with whole minutes.
    CoarseTimes {
        /// Rows that share one.
        rows: usize,
    },
    /// The rows go from the end of the drive to its start.
    NewestFirst,
    /// The column of volts holds something else, and no other column holds the volts.
    VoltsBelowZero,
    /// Speed and way cannot both be right.
    SpeedAgainstWay {
        /// Speed over the time, m.
        by_speed_m: f64,
        /// Way by fixes or counter, m.
        by_way_m: f64,
        /// Which of them.
        way: &'static str,
    },
    /// A heading without a unit, and no way to find it.
    NoUnit {
        /// The heading.
        heading: String,
        /// What it measures.
        what: &'static str,
        /// A heading that says it.
        example: &'static str,
        /// The option that says it; empty if there is none.
        option: &'static str,
    },
    /// Not one row could be used.
    NoRows {
        /// Rows that were looked at.
        rows: u64,
    },
    /// No point, or less than half of them, has a time.
    NoTimes {
        /// Points without a time.
        without: u64,
        /// Points with a time.
        with: u64,
    },
    /// The XML is broken before the first point, or is no track at all.
    NoTrack {
        /// What the XML reader says; empty if the file is sound but holds no points.
        reason: String,
    },
}

impl LogError {
    pub(crate) fn new(file: &str, line: usize, problem: LogProblem) -> Self {
        Self { file: file.to_owned(), line, problem }
    }

    pub(crate) fn io(file: &str, line: usize, error: &std::io::Error) -> Self {
        Self::new(file, line, LogProblem::Unreadable { reason: error.to_string() })
    }

    /// How to put it right.
    #[must_use]
    pub fn hint(&self) -> String {
        match &self.problem {
            LogProblem::NotAFile { .. } => "name the file itself".into(),
            LogProblem::Unreadable { .. } => "check the spelling, and that you may read it".into(),
            LogProblem::Changed => {
                "wait until it is written, or stop the logger, and try again".into()
            }
            LogProblem::TooLarge { .. } => "is it the right file? cut it into drives".into(),
            LogProblem::OtherKind { .. } => {
                "export the log as CSV (UTF-8 text) or GPX, unpacked, and name that file".into()
            }
            LogProblem::NoHeading => {
                "name the columns in the first line, for example time_s,speed_kmh,pack_voltage_v,pack_current_a".into()
            }
            LogProblem::NoTimeColumn { .. } => {
                "add a column such as time_s, time_ms, time (12:30:05) or timestamp".into()
            }
            LogProblem::NothingToDrive { .. } => {
                "a column speed_kmh (speed_mps, speed_mph, speed_kn), or latitude and longitude, is wanted".into()
            }
            LogProblem::WiderThanHeading { .. } => {
                "decimal commas need semicolons or tabs between the columns; every column needs a heading".into()
            }
            LogProblem::ColumnsChange { .. } => {
                "write a heading above that line that names all columns, or cut the file there".into()
            }
            LogProblem::HeadingUnclear { .. } => {
                "write its headings as in the first heading of the file, or with units: time_s, speed_kmh".into()
            }
            LogProblem::CoarseTimes { .. } => {
                "write the times with seconds; a spreadsheet may only hide them".into()
            }
            LogProblem::NewestFirst => "sort the rows by their time, the earliest first".into(),
            LogProblem::VoltsBelowZero => {
                "look at the headings of volts and amperes; leave out the column that is neither".into()
            }
            LogProblem::SpeedAgainstWay { .. } => {
                "look at the units in the headings of speed, time and distance; leave out the column that is wrong".into()
            }
            LogProblem::NoUnit { example, option: "", .. } => {
                format!("write the heading as {example}")
            }
            LogProblem::NoUnit { example, option, .. } => {
                format!("write the heading as {example}, or give {option}")
            }
            LogProblem::NoRows { .. } => {
                "rows need a time that can be read: seconds, 12:30:05, or 2024-05-18T12:30:05Z".into()
            }
            LogProblem::NoTimes { .. } => {
                "times are never invented: `crownwheel trip` with --speed \"60 km/h\" takes the file as a route driven at that speed, and writes its cycle with -o route.csv".into()
            }
            LogProblem::NoTrack { .. } => {
                "a GPX file with <trkpt> or <rtept> points is wanted".into()
            }
        }
    }
}

impl fmt::Display for LogError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = clean(&self.file);
        write!(f, "the log `{file}` cannot be used: {}", clean(&self.problem.to_string()))?;
        if self.line > 0 {
            write!(f, "\n --> {file}:{}", self.line)?;
        }
        write!(f, "\n  = help: {}", self.hint())
    }
}

impl std::error::Error for LogError {}

impl fmt::Display for LogProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable { reason } => f.write_str(reason),
            Self::NotAFile { reason } => f.write_str(reason),
            Self::Changed => f.write_str("it changed while it was read"),
            Self::TooLarge { most_gb } => {
                write!(f, "it is too large: at most {most_gb} GB are read")
            }
            Self::OtherKind { kind } => write!(f, "it is {kind}"),
            Self::NoHeading => f.write_str("no line at its start names columns that are known"),
            Self::NoTimeColumn { headings } => {
                write!(f, "it has no column of times, only {headings}")
            }
            Self::NothingToDrive { headings } => {
                write!(f, "it has neither speed nor fixes, only {headings}")
            }
            Self::WiderThanHeading { cells, headings } => {
                write!(
                    f,
                    "most rows have more cells than the heading: this one {cells}, the heading {headings}"
                )
            }
            Self::ColumnsChange { cells, headings } => {
                write!(
                    f,
                    "from this line on rows have {cells} cells, the heading has {headings}: which column is which cannot be known"
                )
            }
            Self::HeadingUnclear { what } => {
                write!(f, "a new heading between the rows does not say {what}")
            }
            Self::CoarseTimes { rows } => {
                write!(f, "some {rows} rows share each time: its times have no seconds")
            }
            Self::NewestFirst => f.write_str("its rows go back in time, the newest first"),
            Self::VoltsBelowZero => f.write_str(
                "its column of volts goes below zero again and again, and the amperes are no volts either",
            ),
            Self::SpeedAgainstWay { by_speed_m, by_way_m, way } => {
                write!(
                    f,
                    "by its speed the car drove {:.2} km, by its {way} {:.2} km: one of them has a wrong unit",
                    by_speed_m / 1000.0,
                    by_way_m / 1000.0
                )
            }
            Self::NoUnit { heading, what, .. } => {
                write!(f, "the heading `{heading}` does not say the unit of the {what}")
            }
            Self::NoRows { rows: 0 } => f.write_str("there are no rows below the heading"),
            Self::NoRows { rows } => write!(f, "none of its {rows} rows can be used"),
            Self::NoTimes { without, with: 0 } => {
                write!(f, "none of its {without} points has a time")
            }
            Self::NoTimes { without, with } => {
                write!(f, "{without} of its points have no time, only {with} have one")
            }
            Self::NoTrack { reason } if reason.is_empty() => {
                f.write_str("it holds no track and no route")
            }
            Self::NoTrack { reason } => write!(f, "it is broken before the first point: {reason}"),
        }
    }
}
