//! A TOML text as a tree in file order, every part with its place, and the overrides of `--set`.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crownwheel_quantities::text::shown_path;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::message::{Problem, ProblemKind, Report, SourceText, printable};

/// One override from the command line, `--set KEY=VALUE`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Set {
    /// Path of the key, `pack.modules_in_series`.
    pub key: String,
    /// The value: TOML, or a bare text such as `78 kg`.
    pub value: String,
}

impl Set {
    /// Splits `KEY=VALUE`. `None` if there is no `=` or no key.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (key, value) = text.split_once('=')?;
        let key = key.trim();
        (!key.is_empty()).then(|| Self { key: key.to_owned(), value: value.trim().to_owned() })
    }
}

/// Where a part of the document stands: which source, and the bytes in it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct At {
    pub(crate) source: usize,
    pub(crate) span: Range<usize>,
}

/// A value with its place.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub(crate) at: At,
    pub(crate) kind: NodeKind,
}

#[derive(Clone, Debug)]
pub(crate) enum NodeKind {
    Text(String),
    /// The number as written.
    Number(String),
    Flag(bool),
    List(Vec<Node>),
    Table(Vec<Entry>),
    /// A date or time: nothing in a build is one.
    Date,
}

impl Node {
    /// The same part with its sources counted on from `first`, for another document.
    pub(crate) fn adopted(&self, first: usize) -> Self {
        let kind = match &self.kind {
            NodeKind::List(items) => {
                NodeKind::List(items.iter().map(|item| item.adopted(first)).collect())
            }
            NodeKind::Table(entries) => NodeKind::Table(
                entries
                    .iter()
                    .map(|entry| Entry {
                        key: entry.key.clone(),
                        key_at: entry.key_at.adopted(first),
                        node: entry.node.adopted(first),
                    })
                    .collect(),
            ),
            other => other.clone(),
        };
        Self { at: self.at.adopted(first), kind }
    }
}

impl At {
    /// The same place with its source counted on from `first`.
    pub(crate) fn adopted(&self, first: usize) -> Self {
        Self { source: self.source + first, span: self.span.clone() }
    }
}

/// A key and its value, in file order.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub(crate) key: String,
    pub(crate) key_at: At,
    pub(crate) node: Node,
}

/// A text that parts of a document come from.
#[derive(Debug)]
struct Source {
    name: String,
    text: String,
    /// Where the files are that it names; the current folder for an override.
    folder: PathBuf,
    /// Files that were moved away from there, by the key that names them.
    moved: BTreeMap<String, PathBuf>,
}

impl Source {
    fn new(name: String, text: String, folder: PathBuf) -> Arc<Self> {
        Arc::new(Self { name, text, folder, moved: BTreeMap::new() })
    }
}

/// A parsed text and the texts of its overrides.
#[derive(Clone, Debug)]
pub(crate) struct Document {
    sources: Vec<Arc<Source>>,
    pub(crate) root: Vec<Entry>,
}

impl Document {
    /// Parses the text of the file `path` and puts `sets` over it. What is wrong goes into `report`.
    pub(crate) fn parse(path: &Path, text: String, sets: &[Set], report: &mut Report) -> Self {
        let name = shown_path(path);
        let root = {
            let (table, errors) = DeTable::parse_recoverable(&text);
            let source = SourceText { name: &name, number: 0, text: &text };
            // A broken line confuses what follows it: the first messages are those that help.
            for error in errors.iter().take(MOST_SYNTAX_ERRORS) {
                report.push(syntax_problem(error, source));
            }
            entries(table.get_ref(), 0)
        };
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        let mut document = Self { sources: vec![Source::new(name, text, folder)], root };
        for set in sets {
            document.apply(set, report);
        }
        document
    }

    /// A problem at a place of this document.
    pub(crate) fn problem(&self, kind: ProblemKind, at: &At, what: String) -> Problem {
        Problem::at(kind, self.source(at.source), at.span.clone(), what)
    }

    /// The text at a place.
    pub(crate) fn text_at(&self, at: &At) -> &str {
        self.source(at.source).text.get(at.span.clone()).unwrap_or_default()
    }

    /// Number of texts: the file and one for each override.
    pub(crate) fn source_count(&self) -> usize {
        self.sources.len()
    }

    /// Where the files are that a part of this document names.
    pub(crate) fn folder_of(&self, at: &At) -> &Path {
        self.sources.get(at.source).map_or(Path::new(""), |source| &source.folder)
    }

    /// The file that a key names.
    pub(crate) fn file_of(&self, key: &str, at: &At, name: &str) -> PathBuf {
        let moved = self.sources.get(at.source).and_then(|source| source.moved.get(key));
        moved.cloned().unwrap_or_else(|| self.folder_of(at).join(name))
    }

    /// Says that files were moved, by the keys that name them.
    pub(crate) fn move_files(&mut self, files: &BTreeMap<String, PathBuf>) {
        // Nobody else has the sources of a document that was just parsed.
        for source in self.sources.iter_mut().filter_map(Arc::get_mut) {
            source.moved.clone_from(files);
        }
    }

    /// Takes another document's text, so that parts of it can be put into this one; gives its number.
    pub(crate) fn adopt(&mut self, other: &Self) -> usize {
        self.sources.extend(other.sources.iter().map(Arc::clone));
        self.sources.len() - other.sources.len()
    }

    /// Puts a value at a path, in place of what stands there.
    pub(crate) fn put(&mut self, path: &str, key_at: &At, node: Node) {
        let path: Vec<&str> = path.split('.').collect();
        insert(&mut self.root, &path, key_at, node);
    }

    /// What stands at a path.
    pub(crate) fn entry(&self, path: &str) -> Option<&Entry> {
        let mut entries = &self.root;
        let mut found = None;
        for part in path.split('.') {
            let entry = entries.iter().find(|entry| entry.key == part)?;
            found = Some(entry);
            entries = match &entry.node.kind {
                NodeKind::Table(inner) => inner,
                _ => const { &Vec::new() },
            };
        }
        found
    }

    /// Takes out what stands at a path. Whether anything did.
    pub(crate) fn take_out(&mut self, path: &str) -> bool {
        let path: Vec<&str> = path.split('.').collect();
        remove(&mut self.root, &path)
    }

    fn source(&self, number: usize) -> SourceText<'_> {
        let (name, text) = self
            .sources
            .get(number)
            .map_or(("", ""), |source| (source.name.as_str(), source.text.as_str()));
        SourceText { name, number, text }
    }

    fn apply(&mut self, set: &Set, report: &mut Report) {
        let number = self.sources.len();
        let prefix = format!("{} = ", set.key);
        let name = format!("--set {}", set.key);
        let text = format!("{prefix}{}", set.value);
        self.sources.push(Source::new(name, text, PathBuf::new()));
        let whole = At { source: number, span: prefix.len()..prefix.len() + set.value.len() };
        let key_at = At { source: number, span: 0..set.key.len() };
        let node = match set_value(&set.value, number, prefix.len()) {
            Ok(node) => node,
            Err(message) => {
                let hint = "quote a text, or write a bare one such as 78 kg";
                report.push(
                    self.problem(ProblemKind::Syntax, &whole, message).key(&set.key).hint(hint),
                );
                return;
            }
        };
        let path: Vec<&str> = set.key.split('.').map(str::trim).collect();
        if path.iter().any(|part| part.is_empty()) || path.len() > DEEPEST_KEY {
            let what = format!("`{}` is not the path of a key", printable(&set.key));
            let hint = "write the parts with single dots between, as in pack.modules_in_series=8";
            report.push(
                self.problem(ProblemKind::UnknownKey, &key_at, what).key(&set.key).hint(hint),
            );
            return;
        }
        insert(&mut self.root, &path, &key_at, node);
    }
}

/// Most parts of the path of an override.
const DEEPEST_KEY: usize = 16;
/// Messages shown for broken TOML.
const MOST_SYNTAX_ERRORS: usize = 8;

fn syntax_problem(error: &toml::de::Error, source: SourceText<'_>) -> Problem {
    let span = error.span().unwrap_or(0..0);
    let said = error.message().lines().collect::<Vec<_>>().join(", ");
    let marked = source.text.get(span.clone()).unwrap_or_default();
    if said.contains("duplicate key") {
        let what = format!("`{}` stands twice", printable(marked));
        let hint = "a key may stand only once in a table: keep one of them";
        return Problem::at(ProblemKind::Conflict, source, span, what).key(marked).hint(hint);
    }
    let key = key_of_line(source.text, span.start);
    if said.contains("must be quoted") && !marked.contains(['"', '\'']) {
        let what = format!("`{}` is not in quotes", printable(marked));
        let problem = Problem::at(ProblemKind::Syntax, source, span, what).key(key).value(marked);
        let allowed = "a pure number, true or false, or a text in quotes";
        return problem.allowed(allowed).hint(format!("write {key} = \"{}\"", printable(marked)));
    }
    let hint =
        "a line reads `key = value`; a value with a unit stands in quotes, as in mass = \"148 kg\"";
    let what = format!("this is not TOML: {said}");
    Problem::at(ProblemKind::Syntax, source, span, what).key(key).hint(hint)
}

/// What stands before the first `=` of the line.
fn key_of_line(text: &str, at: usize) -> &str {
    let before = text.get(..at).unwrap_or_default();
    let line = before.rsplit('\n').next().unwrap_or_default();
    line.split_once('=').map_or("", |(key, _)| key.trim())
}

fn entries(table: &DeTable<'_>, source: usize) -> Vec<Entry> {
    let mut entries: Vec<Entry> = table
        .iter()
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_at: At { source, span: key.span() },
            node: node(value, source),
        })
        .collect();
    entries.sort_by_key(|entry| entry.key_at.span.start);
    entries
}

fn node(value: &Spanned<DeValue<'_>>, source: usize) -> Node {
    let at = At { source, span: value.span() };
    let kind = match value.get_ref() {
        DeValue::String(text) => NodeKind::Text(text.to_string()),
        DeValue::Integer(number) if number.radix() == 10 => {
            NodeKind::Number(number.as_str().to_owned())
        }
        DeValue::Integer(number) => match i64::from_str_radix(number.as_str(), number.radix()) {
            Ok(value) => NodeKind::Number(value.to_string()),
            Err(_) => NodeKind::Number(number.to_string()),
        },
        DeValue::Float(number) => NodeKind::Number(number.as_str().to_owned()),
        DeValue::Boolean(flag) => NodeKind::Flag(*flag),
        DeValue::Datetime(_) => NodeKind::Date,
        DeValue::Array(items) => {
            NodeKind::List(items.iter().map(|item| node(item, source)).collect())
        }
        DeValue::Table(table) => NodeKind::Table(entries(table, source)),
    };
    Node { at, kind }
}

fn shift_entries(entries: &mut [Entry], shift: usize) {
    for entry in entries {
        entry.key_at.span = entry.key_at.span.start + shift..entry.key_at.span.end + shift;
        shift_node(&mut entry.node, shift);
    }
}

fn shift_node(node: &mut Node, shift: usize) {
    node.at.span = node.at.span.start + shift..node.at.span.end + shift;
    match &mut node.kind {
        NodeKind::Table(entries) => shift_entries(entries, shift),
        NodeKind::List(items) => items.iter_mut().for_each(|item| shift_node(item, shift)),
        _ => {}
    }
}

/// The value of an override: TOML if it is, else the bare text.
fn set_value(text: &str, source: usize, shift: usize) -> Result<Node, String> {
    match DeValue::parse(text) {
        Ok(value) => {
            let mut node = node(&value, source);
            shift_node(&mut node, shift);
            Ok(node)
        }
        Err(error) if text.starts_with(['"', '\'', '[', '{']) => Err(format!(
            "the value is not TOML: {}",
            error.message().lines().collect::<Vec<_>>().join(", ")
        )),
        Err(_) => Ok(Node {
            at: At { source, span: shift..shift + text.len() },
            kind: NodeKind::Text(text.to_owned()),
        }),
    }
}

/// Takes out the value at a path. Whether there was one.
fn remove(entries: &mut Vec<Entry>, path: &[&str]) -> bool {
    let Some((first, rest)) = path.split_first() else { return false };
    let Some(position) = entries.iter().position(|entry| entry.key == *first) else {
        return false;
    };
    match &mut entries[position].node.kind {
        NodeKind::Table(inner) if !rest.is_empty() => remove(inner, rest),
        _ if rest.is_empty() => {
            entries.remove(position);
            true
        }
        _ => false,
    }
}

/// Puts a value at a path; tables on the way are made, and anything else in the way gives place.
fn insert(entries: &mut Vec<Entry>, path: &[&str], key_at: &At, node: Node) {
    let Some((first, rest)) = path.split_first() else { return };
    let position = entries.iter().position(|entry| entry.key == *first);
    if rest.is_empty() {
        let entry = Entry { key: (*first).to_owned(), key_at: key_at.clone(), node };
        match position {
            Some(position) => entries[position] = entry,
            None => entries.push(entry),
        }
        return;
    }
    let position = position.unwrap_or_else(|| {
        let table = Node { at: key_at.clone(), kind: NodeKind::Table(Vec::new()) };
        entries.push(Entry { key: (*first).to_owned(), key_at: key_at.clone(), node: table });
        entries.len() - 1
    });
    let entry = &mut entries[position];
    if !matches!(entry.node.kind, NodeKind::Table(_)) {
        entry.node = Node { at: key_at.clone(), kind: NodeKind::Table(Vec::new()) };
    }
    if let NodeKind::Table(inner) = &mut entry.node.kind {
        insert(inner, rest, key_at, node);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str, sets: &[(&str, &str)]) -> (Document, Report) {
        let mut report = Report::default();
        let sets: Vec<Set> = sets
            .iter()
            .map(|(key, value)| Set { key: (*key).into(), value: (*value).into() })
            .collect();
        let document =
            Document::parse(Path::new("build.toml"), text.to_owned(), &sets, &mut report);
        (document, report)
    }

    fn find<'d>(entries: &'d [Entry], path: &str) -> &'d Node {
        let (first, rest) = path.split_once('.').map_or((path, None), |(a, b)| (a, Some(b)));
        let node = &entries.iter().find(|entry| entry.key == first).unwrap().node;
        match (rest, &node.kind) {
            (None, _) => node,
            (Some(rest), NodeKind::Table(inner)) => find(inner, rest),
            _ => panic!("{path} is not a table"),
        }
    }

    #[test]
    fn tables_stay_in_file_order() {
        let (document, report) =
            parse("[day.mild]\na = 1\n[day.winter]\na = 1\n[day.autumn]\na = 1\n", &[]);
        assert!(report.is_empty());
        let NodeKind::Table(days) = &find(&document.root, "day").kind else { panic!() };
        assert_eq!(
            days.iter().map(|day| day.key.as_str()).collect::<Vec<_>>(),
            ["mild", "winter", "autumn"]
        );
    }

    #[test]
    fn numbers_keep_their_text() {
        let (document, _) = parse("a = 4.220\nb = 0x10\nc = 1_000\n", &[]);
        for (key, wanted) in [("a", "4.220"), ("b", "16"), ("c", "1000")] {
            let NodeKind::Number(text) = &find(&document.root, key).kind else { panic!() };
            assert_eq!(text, wanted);
        }
    }

    #[test]
    fn overrides_are_toml_or_bare_text() {
        let (document, report) = parse(
            "[pack]\nseries = 9\n",
            &[
                ("pack.series", "8"),
                ("car.mass", "78 kg"),
                ("car.window", "{ from = \"1 V\" }"),
                ("car.on", "true"),
            ],
        );
        assert!(report.is_empty());
        let series = find(&document.root, "pack.series");
        assert!(matches!(&series.kind, NodeKind::Number(text) if text == "8"));
        assert_eq!(document.text_at(&series.at), "8");
        let problem = document.problem(ProblemKind::WrongKind, &series.at, "no".into());
        assert_eq!(
            (problem.file.as_str(), problem.line, problem.column),
            ("--set pack.series", 1, 15)
        );
        assert!(
            matches!(&find(&document.root, "car.mass").kind, NodeKind::Text(t) if t == "78 kg")
        );
        let from = find(&document.root, "car.window.from");
        assert_eq!(document.text_at(&from.at), "\"1 V\"");
        assert!(matches!(find(&document.root, "car.on").kind, NodeKind::Flag(true)));
    }

    #[test]
    fn parts_move_from_one_document_to_another() {
        let (mut build, _) = parse("[car]\nname = \"a\"\nwidth = 3\n", &[]);
        let (sweep, _) = parse("new = { name = \"b\" }\n", &[("other", "4")]);
        let first = build.adopt(&sweep);
        assert_eq!(first, 1);
        let node = find(&sweep.root, "new.name").adopted(first);
        build.put("car.name", &node.at.clone(), node);
        build.put("seat.mate.mass", &At::default(), find(&sweep.root, "other").adopted(first));
        assert_eq!(build.text_at(&find(&build.root, "car.name").at), "\"b\"");
        assert_eq!(build.text_at(&find(&build.root, "seat.mate.mass").at), "4");
        assert!(build.take_out("car.width") && !build.take_out("car.width"));
        assert!(!build.take_out("car.name.short") && build.take_out("seat"));
        assert_eq!(build.root.len(), 1);
    }

    #[test]
    fn a_broken_override_is_named() {
        let (_, report) =
            parse("", &[("car.name", "\"open"), ("a..b", "1"), (&"a.".repeat(99), "1")]);
        let files: Vec<&str> = report.problems().iter().map(|p| p.file.as_str()).collect();
        assert_eq!(files[..2], ["--set car.name", "--set a..b"]);
        assert_eq!(files.len(), 3);
        assert_eq!(Set::parse("no value"), None);
        assert_eq!(
            Set::parse(" a.b = 3 = 4 "),
            Some(Set { key: "a.b".into(), value: "3 = 4".into() })
        );
    }

    #[test]
    fn deep_nesting_and_rubbish_are_errors() {
        let dots = format!("{}a = 1", "a.".repeat(50_000));
        let headers = format!("[{}a]", "a.".repeat(50_000));
        for text in [
            dots,
            headers,
            "a = ".to_owned() + &"[".repeat(100_000),
            "[a".repeat(10_000),
            "=".repeat(1_000),
            "\u{1}".into(),
        ] {
            let (_, report) = parse(&text, &[]);
            assert!(!report.is_empty() && report.problems().len() <= MOST_SYNTAX_ERRORS);
        }
    }
}
