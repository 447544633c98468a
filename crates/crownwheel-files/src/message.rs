//! What is wrong with the files, all of it at once, each with its place and the way out.

use std::fmt;
use std::ops::Range;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use crownwheel_quantities::text::{clean, clean_lines};

/// Lines longer than this are not shown: they are not what a person wrote.
const LONGEST_EXCERPT: usize = 400;
/// Problems of one build that are reported: a file with more of them is not worth reading on.
const MOST_PROBLEMS: usize = 100;
/// Values longer than this are cut in messages.
const LONGEST_VALUE: usize = 60;

/// What kind of thing is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ProblemKind {
    /// The text is not TOML.
    Syntax,
    /// A key that nobody knows.
    UnknownKey,
    /// A key that must be there and is not.
    MissingKey,
    /// The value is of another kind: a word for a number, a number without unit, a wrong unit.
    WrongKind,
    /// A number outside of what is allowed.
    OutOfRange,
    /// Two keys that cannot stand together.
    Conflict,
    /// A file that cannot be read.
    File,
    /// A table (CSV) that cannot be used.
    Table,
    /// The parts are right, each by itself, but do not go together.
    DoesNotFit,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Problem {
    /// What kind of thing is wrong.
    pub kind: ProblemKind,
    /// The file, or `--set KEY` for an override.
    pub file: String,
    /// Line, from 1; 0 if the whole file is meant.
    pub line: usize,
    /// Column in characters, from 1; 0 if the whole line is meant.
    pub column: usize,
    /// Path of the key, or heading of the column in a table; empty if none is concerned.
    pub key: String,
    /// The value as written; empty if there is none.
    pub value: String,
    /// What is wrong, in words.
    pub what: String,
    /// What is allowed, in words; empty if it goes without saying.
    pub allowed: String,
    /// How to put it right; empty if it goes without saying.
    pub hint: String,
    order: (usize, usize),
    excerpt: Option<Excerpt>,
}

/// The line to show and the part of it to underline, in bytes.
#[derive(Clone, Debug, PartialEq)]
struct Excerpt {
    line: String,
    marked: Range<usize>,
}

/// A text that problems point into.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SourceText<'t> {
    /// Name for messages.
    pub(crate) name: &'t str,
    /// Place among the sources, for the order of messages.
    pub(crate) number: usize,
    /// The text.
    pub(crate) text: &'t str,
}

impl Problem {
    /// A problem with a whole file.
    pub(crate) fn file(kind: ProblemKind, file: &str, what: String) -> Self {
        Self {
            kind,
            file: file.to_owned(),
            line: 0,
            column: 0,
            key: String::new(),
            value: String::new(),
            what,
            allowed: String::new(),
            hint: String::new(),
            order: (0, 0),
            excerpt: None,
        }
    }

    /// A problem at a place in a text; `span` is in bytes.
    pub(crate) fn at(
        kind: ProblemKind,
        source: SourceText<'_>,
        span: Range<usize>,
        what: String,
    ) -> Self {
        let place = Place::find(source.text, span);
        Self {
            line: place.line,
            column: place.column,
            order: (source.number, place.start),
            excerpt: place.excerpt,
            ..Self::file(kind, source.name, what)
        }
    }

    pub(crate) fn key(mut self, key: impl Into<String>) -> Self {
        self.key = key.into();
        self
    }

    pub(crate) fn value(mut self, value: &str) -> Self {
        self.value = printable(value);
        self
    }

    pub(crate) fn allowed(mut self, allowed: impl Into<String>) -> Self {
        self.allowed = allowed.into();
        self
    }

    pub(crate) fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    /// The message with its excerpt, as several lines without a final newline.
    #[must_use]
    pub fn render(&self, colour: bool) -> String {
        let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
        let title = clean_lines(&self.what);
        let (file, hint) = (clean(&self.file), clean_lines(&self.hint));
        let group = Level::ERROR.primary_title(title.as_str());
        let mut group = match &self.excerpt {
            Some(excerpt) => group.element(
                Snippet::source(excerpt.line.as_str())
                    .line_start(self.line)
                    .path(file.as_str())
                    .annotation(
                        AnnotationKind::Primary.span(excerpt.marked.clone()).label(self.label()),
                    ),
            ),
            None => group.element(self.origin(&file)),
        };
        if self.excerpt.is_none() && !self.allowed.is_empty() {
            group =
                group.element(Level::NOTE.message(format!("allowed is {}", clean(&self.allowed))));
        }
        if !self.hint.is_empty() {
            group = group.element(Level::HELP.message(hint.as_str()));
        }
        let text = renderer.decor_style(DecorStyle::Ascii).render(&[group]);
        text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
    }

    fn label(&self) -> String {
        if self.allowed.is_empty() {
            String::new()
        } else {
            format!("allowed is {}", clean(&self.allowed))
        }
    }

    fn origin<'f>(&self, file: &'f str) -> Origin<'f> {
        let origin = Origin::path(file);
        match (self.line, self.column) {
            (0, _) => origin,
            (line, 0) => origin.line(line),
            (line, column) => origin.line(line).char_column(column),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

/// Everything that is wrong, in the order of the files.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    problems: Vec<Problem>,
}

impl Report {
    /// The problems in file order.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// All messages, an empty line between them, and how many there are.
    #[must_use]
    pub fn render(&self, colour: bool) -> String {
        let mut text = String::new();
        for problem in &self.problems {
            text.push_str(&problem.render(colour));
            text.push_str("\n\n");
        }
        match self.problems.len() {
            1 => text.push_str("1 error"),
            count if self.is_full() => text.push_str(&format!("{count} errors, and perhaps more")),
            count => text.push_str(&format!("{count} errors")),
        }
        text
    }

    pub(crate) fn push(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Whether there are so many problems that looking on is of no use.
    pub(crate) fn is_full(&self) -> bool {
        self.problems.len() >= MOST_PROBLEMS
    }

    /// Adds a problem unless the same is there already.
    pub(crate) fn push_new(&mut self, problem: Problem) {
        if !self.problems.contains(&problem) {
            self.problems.push(problem);
        }
    }

    /// Takes over the problems of another file, which comes after `number - 1` others and is named
    /// by `key`: a problem with the file as a whole is one of that key.
    pub(crate) fn absorb(&mut self, other: Self, number: usize, key: &str) {
        for mut problem in other.problems {
            problem.order.0 = number;
            if problem.key.is_empty() {
                key.clone_into(&mut problem.key);
            }
            self.push_new(problem);
        }
    }

    pub(crate) fn sort(&mut self) {
        self.problems.sort_by_key(|problem| problem.order);
    }
}

impl From<Problem> for Report {
    fn from(problem: Problem) -> Self {
        Self { problems: vec![problem] }
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Report {}

/// A value fit for one line of a message: no control characters, not too long.
pub(crate) fn printable(text: &str) -> String {
    let line = clean(text);
    if line.chars().count() <= LONGEST_VALUE {
        return line;
    }
    let start: String = line.chars().take(LONGEST_VALUE - 1).collect();
    format!("{start}…")
}

/// Line, column and excerpt of a byte span.
struct Place {
    start: usize,
    line: usize,
    column: usize,
    excerpt: Option<Excerpt>,
}

impl Place {
    fn find(text: &str, span: Range<usize>) -> Self {
        let start = floor_boundary(text, span.start);
        let end = floor_boundary(text, span.end.max(start));
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        let line = text[line_start..line_end].trim_end_matches('\r');
        let marked = (start - line_start).min(line.len())..(end - line_start).min(line.len());
        let excerpt = (line.len() <= LONGEST_EXCERPT)
            .then(|| Excerpt { line: clean(&line.replace('\t', " ")), marked: marked.clone() })
            // Replaced characters are wider: then the marked bytes no longer fit.
            .filter(|excerpt| excerpt.line.len() == line.len());
        Self {
            start,
            line: 1 + text[..line_start].matches('\n').count(),
            // Behind the end of a line nothing is shown, so no place there is named.
            column: 1 + line[..marked.start].chars().count(),
            excerpt,
        }
    }
}

fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> SourceText<'_> {
        SourceText { name: "build.toml", number: 0, text }
    }

    #[test]
    fn columns_count_characters_not_bytes() {
        let text = "a = \"± °C\" # ±\nb = \"−3 °C ± 8 %\"\n";
        let start = text.rfind("8 %").unwrap();
        let problem =
            Problem::at(ProblemKind::WrongKind, source(text), start..start + 3, "no".into());
        assert_eq!((problem.line, problem.column), (2, 14));
        insta::assert_snapshot!(problem.render(false), @r#"
        error: no
         --> build.toml:2:14
          |
        2 | b = "−3 °C ± 8 %"
          |              ^^^
        "#);
    }

    #[test]
    fn spans_outside_the_text_are_cut() {
        for span in [0..0, 5..99, 99..200, 3..4] {
            let problem = Problem::at(ProblemKind::Syntax, source("a±\r\nb"), span, "no".into());
            assert!(!problem.render(false).is_empty());
        }
        let behind = Problem::at(ProblemKind::Syntax, source("#t\r\r"), 4..4, "no".into());
        assert_eq!((behind.line, behind.column), (1, 3));
        assert!(behind.render(false).contains("build.toml:1:3"), "{behind}");
        let empty = Problem::at(ProblemKind::Syntax, source(""), 0..0, "no".into());
        assert_eq!((empty.line, empty.column), (1, 1));
        assert!(!empty.render(true).is_empty());
    }

    #[test]
    fn several_lines_are_shown_as_their_first() {
        let text = "a = [\n1,\n2]\n";
        let problem = Problem::at(ProblemKind::WrongKind, source(text), 4..12, "no".into());
        assert!(problem.render(false).contains("1 | a = ["), "{problem}");
    }

    #[test]
    fn endless_lines_and_control_characters_are_not_shown() {
        let long = "x".repeat(100_000);
        let problem =
            Problem::at(ProblemKind::Syntax, source(&long), 5..6, "no".into()).value(&long);
        assert!(problem.render(false).len() < 1_000);
        assert_eq!(problem.value.chars().count(), LONGEST_VALUE);
        let bell = Problem::at(ProblemKind::Syntax, source("a\u{7}b"), 0..1, "a\u{1b}[2J".into());
        assert!(!bell.render(false).contains('\u{1b}'));
        assert!(!bell.render(false).contains('\u{7}'));
    }

    #[test]
    fn a_report_is_in_file_order() {
        let text = "a\nb\nc\n";
        let mut report = Report::default();
        report.push(Problem::at(
            ProblemKind::Syntax,
            SourceText { number: 1, ..source(text) },
            0..1,
            "third".into(),
        ));
        report.push(Problem::at(ProblemKind::Syntax, source(text), 4..5, "second".into()));
        report.push(Problem::at(ProblemKind::Syntax, source(text), 0..1, "first".into()));
        report.sort();
        let words: Vec<&str> = report.problems().iter().map(|p| p.what.as_str()).collect();
        assert_eq!(words, ["first", "second", "third"]);
        assert!(report.to_string().ends_with("3 errors"));
    }
}
