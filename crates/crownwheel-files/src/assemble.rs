//! Takes values out of a document one by one, fills in what is assumed, and keeps a record of both.

use crownwheel::name::Name;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use crownwheel::keys::{Binding, Key};
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::usual::Usual;
use crownwheel_quantities::text::shown_path;

use crate::document::{At, Document};
use crate::explain;
use crate::input::{self, InputFile};
use crate::keys::{self, KeyKind, KeyRow, Need};
use crate::message::{ProblemKind, Report, printable};
use crate::provider::Files;
use crate::quantity::Spread;
use crate::units;
use crate::values::{Value, Values, default_value};

/// A value that was assumed because the build does not say it.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Assumption {
    /// Path of the key; a `*` stands for every name that lacks it.
    pub key: String,
    /// The value with its unit, as it would be written.
    pub value: String,
    /// How unsure it is, `± 10 N`; empty if it is taken as exact.
    pub band: String,
    /// Where it is from.
    pub source: String,
    /// It was worked out from other keys of the build: to write it beside them would contradict
    /// them.
    pub worked_out: bool,
}

/// Largest files that are read, bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FileLimits {
    /// The build itself.
    pub build_bytes: u64,
    /// Each table that it names.
    pub table_bytes: u64,
}

impl Default for FileLimits {
    fn default() -> Self {
        Self { build_bytes: input::LARGEST_BUILD, table_bytes: input::LARGEST_TABLE }
    }
}

/// Values are asked for by path; a missing one is reported and stands as 0 until the report is
/// looked at, so that all that is missing is said at once.
#[derive(Debug)]
pub(crate) struct Assembler<'a> {
    pub(crate) document: &'a Document,
    pub(crate) values: &'a Values,
    pub(crate) report: &'a mut Report,
    pub(crate) limits: FileLimits,
    /// Where tables are read from.
    pub(crate) files: &'a Files,
    pub(crate) spreads: BTreeMap<String, Spread>,
    pub(crate) provenance: BTreeMap<String, String>,
    pub(crate) assumed: Vec<Assumption>,
    pub(crate) inputs: Vec<InputFile>,
    pub(crate) notes: Vec<String>,
    assumed_keys: BTreeSet<String>,
    /// Paths that were asked for or worked out.
    read: BTreeSet<String>,
}

impl<'a> Assembler<'a> {
    pub(crate) fn new(
        document: &'a Document,
        values: &'a Values,
        report: &'a mut Report,
        (limits, files): (FileLimits, &'a Files),
    ) -> Self {
        let provenance = values
            .iter()
            .filter_map(|(path, given)| Some((path.clone(), given.from.clone()?)))
            .collect();
        Self {
            document,
            values,
            report,
            limits,
            files,
            spreads: BTreeMap::new(),
            provenance,
            assumed: Vec::new(),
            inputs: Vec::new(),
            notes: Vec::new(),
            assumed_keys: BTreeSet::new(),
            read: BTreeSet::new(),
        }
    }

    /// The name of a table of a kind: `winter` of `[day.winter]`.
    pub(crate) fn name(&mut self, kind: &str, key: &str) -> Name {
        self.named(&format!("{kind}.{key}"), key)
    }

    /// The name of what stands at a path, with its title.
    pub(crate) fn named(&mut self, path: &str, key: &str) -> Name {
        let title = self.optional_text(&format!("{path}.title"));
        Name::new(key).titled(title.as_deref().map(str::trim))
    }

    /// Writes into a car every number at or below a path that nobody asked for yet, as given or as its
    /// row assumes. What is worked out from others is left to who does that.
    pub(crate) fn fill(&mut self, car: &mut CarSpec, path: &str) {
        for key in crownwheel::keys::all().filter(|key| is_at_or_below(key.path, path)) {
            for place in key.places(car) {
                let path = key.path_at(car, place);
                if let Some(number) = key.in_car(car, place) {
                    self.fill_in(key, &path, number);
                }
            }
        }
    }

    /// The same of a day.
    pub(crate) fn fill_day(&mut self, day: &mut DaySpec) {
        for key in crownwheel::keys::all() {
            let path = key.named(&day.name);
            if let Some(number) = key.in_day(day) {
                self.fill_in(key, &path, number);
            }
        }
    }

    fn fill_in(&mut self, key: &Key, path: &str, number: Binding<'_>) {
        if matches!(key.need, Need::Derived { .. }) || self.read.contains(path) {
            return;
        }
        let value = match key.need {
            Need::Optional => self.values.get(path).map(|given| given.value.clone()),
            _ => self.value(path),
        };
        let si = match value {
            Some(Value::Number(spread)) => self.keep(path, spread),
            Some(Value::Whole(whole)) => f64::from(whole),
            _ => return,
        };
        // A count was read as a whole number.
        number.write(si).unwrap_or_default();
    }

    /// The number of a key, as given or as its row assumes; else it is reported as missing.
    pub(crate) fn number(&mut self, path: &str) -> f64 {
        match self.value(path) {
            Some(Value::Number(spread)) => self.keep(path, spread),
            _ => 0.0,
        }
    }

    /// The number of a key if it is given.
    pub(crate) fn optional(&mut self, path: &str) -> Option<f64> {
        self.read.insert(path.to_owned());
        match self.values.get(path)?.value {
            Value::Number(spread) => Some(self.keep(path, spread)),
            _ => None,
        }
    }

    /// The number of a key, or what `text` says, written as in a build.
    pub(crate) fn number_or(&mut self, path: &str, text: &str, source: &str) -> f64 {
        if let Some(number) = self.optional(path) {
            return number;
        }
        let Some(row) = keys::find(path) else { return 0.0 };
        match default_value(row.kind, text) {
            Some(Value::Number(spread)) if !self.values.was_refused(path) => {
                self.assume(row.path, text, source);
                self.keep(path, spread)
            }
            _ => 0.0,
        }
    }

    /// The number of a key, or what is usual of a part of its kind.
    pub(crate) fn usual(&mut self, path: &str, usual: Usual) -> f64 {
        self.number_or(path, usual.text, usual.source)
    }

    /// The text of a key or choice; empty if it is missing.
    pub(crate) fn text(&mut self, path: &str) -> String {
        match self.value(path) {
            Some(Value::Text(text)) => text,
            _ => String::new(),
        }
    }

    pub(crate) fn optional_text(&self, path: &str) -> Option<String> {
        match &self.values.get(path)?.value {
            Value::Text(text) => Some(text.clone()),
            _ => None,
        }
    }

    /// The names in a list, each of a table `[table.NAME]`; `None` if the key is not given.
    pub(crate) fn names(&mut self, path: &str, table: &str) -> Option<Vec<Name>> {
        let Value::Words(names) = &self.values.get(path)?.value else { return None };
        let (names, known) = (names.clone(), self.values.names(table));
        if let Some(other) = names.iter().find(|name| !known.contains(name)) {
            let what = format!("`{path}`: there is no [{table}.{}]", printable(other));
            let hint = format!("write [{table}.{}], or one of the names above", printable(other));
            self.refuse_value(path, what, &known.join(", "), &hint);
        }
        Some(names.into_iter().map(Name::from).collect())
    }

    /// The flag of a key, if it is given.
    pub(crate) fn optional_flag(&self, path: &str) -> Option<bool> {
        match self.values.get(path)?.value {
            Value::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// The flag of a key as given or as its row assumes.
    pub(crate) fn flag(&mut self, path: &str) -> bool {
        matches!(self.value(path), Some(Value::Flag(true)))
    }

    /// The flag of a key, or `otherwise`, which is recorded with the rule of its row.
    pub(crate) fn flag_or(&mut self, path: &str, otherwise: bool) -> bool {
        if let Some(Value::Flag(flag)) = self.values.get(path).map(|given| &given.value) {
            return *flag;
        }
        if let Some(row) = keys::find(path)
            && let Need::Derived { rule } = row.need
        {
            self.assume(row.path, if otherwise { "true" } else { "false" }, rule);
        }
        otherwise
    }

    /// The value of a key as given or as its row assumes; else it is reported as missing.
    pub(crate) fn value(&mut self, path: &str) -> Option<Value> {
        self.read.insert(path.to_owned());
        if let Some(given) = self.values.get(path) {
            return Some(given.value.clone());
        }
        let row = keys::find(path)?;
        match row.need {
            Need::Assumed { text, source } => {
                self.assume(row.path, text, source);
                default_value(row.kind, text)
            }
            _ => {
                self.missing(path, row);
                None
            }
        }
    }

    /// Records an assumption once for all names that a `*` stands for.
    pub(crate) fn assume(&mut self, pattern: &str, text: &str, source: &str) {
        if self.assumed_keys.insert(pattern.to_owned()) {
            let at = text.find(['±']).or_else(|| text.find("..")).unwrap_or(text.len());
            let (value, band) = text.split_at(at);
            self.assumed.push(Assumption {
                key: pattern.to_owned(),
                value: value.trim().to_owned(),
                band: band.trim().to_owned(),
                source: source.to_owned(),
                worked_out: false,
            });
        }
    }

    /// The number of a key with its spread, for a number that is worked out from it.
    pub(crate) fn spread(&mut self, path: &str) -> Spread {
        match self.value(path) {
            Some(Value::Number(spread)) => spread,
            _ => Spread::exact(0.0),
        }
    }

    /// Records a number that was worked out from other keys: it is assumed, with its band.
    pub(crate) fn worked_out(&mut self, path: &str, made: Spread, unit: &str, source: &str) -> f64 {
        let text = shown_spread(path, made, unit);
        self.assume_worked_out(path, &text, source);
        self.keep(path, made)
    }

    /// Records what other keys of the build say about a key that is not written.
    pub(crate) fn assume_worked_out(&mut self, path: &str, text: &str, source: &str) {
        self.assume(path, text, source);
        self.without_line(|key| key == path);
    }

    /// What is assumed for these keys has no line to write in its place.
    pub(crate) fn without_line(&mut self, is_one: impl Fn(&str) -> bool) {
        for assumed in self.assumed.iter_mut().filter(|it| is_one(&it.key)) {
            assumed.worked_out = true;
        }
    }

    /// Keeps the spread of a number and gives its nominal value.
    pub(crate) fn keep(&mut self, path: &str, spread: Spread) -> f64 {
        self.read.insert(path.to_owned());
        let spread = self.usual_band(path).unwrap_or(spread);
        if spread.is_exact() {
            return spread.nominal;
        }
        self.spreads.insert(path.to_owned(), spread);
        spread.nominal
    }

    /// The band of a number that is written alone, where such a number has one; it is said.
    fn usual_band(&mut self, path: &str) -> Option<Spread> {
        let given = self.values.get(path)?;
        let Value::Number(Spread { nominal, .. }) = given.value else { return None };
        let (row, text) = (keys::find(path)?, given.bare.clone()?);
        let spread = row.bare_spread(nominal)?;
        let share = 100.0 * spread.half_width_95() / nominal;
        let source = format!("written without a band: the usual one; \"{text} exactly\" has none");
        self.assume_worked_out(row.path, &format!("{text} ± {share:.2} %"), &source);
        Some(spread)
    }

    /// Reports a missing key, unless it was written and refused.
    fn missing(&mut self, path: &str, row: &KeyRow) {
        if self.report.is_full() || self.values.was_refused(path) {
            return;
        }
        let table = path.rsplit_once('.').map_or("", |(table, _)| table);
        let what = format!("`{path}` is missing: {}", row.title);
        let inside =
            if table.is_empty() { "at the top".to_owned() } else { format!("in [{table}]") };
        let hint = format!("{} {inside}", explain::example(row));
        let problem =
            self.document.problem(ProblemKind::MissingKey, &self.nearest_place(path), what);
        self.report.push(problem.key(path).allowed(row.allowed()).hint(hint));
    }

    /// Reports a missing table of which one or more must be there.
    pub(crate) fn missing_table(&mut self, path: &str, words: &str, hint: &str) {
        if !self.report.is_full() && !self.values.was_refused(path) {
            let what = format!("`{path}` is missing: {words}");
            let problem =
                self.document.problem(ProblemKind::MissingKey, &self.nearest_place(path), what);
            self.report.push(problem.key(path).hint(hint));
        }
    }

    /// Reports keys that cannot stand together, at the second of them.
    pub(crate) fn conflict(&mut self, first: &str, second: &str) {
        let what = format!("`{second}` cannot stand beside `{first}`: they say the same");
        let problem =
            self.document.problem(ProblemKind::Conflict, &self.nearest_place(second), what);
        self.report.push(problem.key(second).hint("keep one of the two"));
    }

    /// Reports a key or table that cannot stand beside another one, with the reason.
    pub(crate) fn exclude(&mut self, path: &str, what: &str, hint: &str) {
        let at = self.nearest_place(path);
        let problem = self.document.problem(ProblemKind::Conflict, &at, what.to_owned());
        self.report.push(problem.key(path).hint(hint));
    }

    /// Reports a value that refers to something that is not there.
    pub(crate) fn refuse_value(&mut self, path: &str, what: String, allowed: &str, hint: &str) {
        let at = self.nearest_place(path);
        let problem = self.document.problem(ProblemKind::DoesNotFit, &at, what);
        let value = self.document.text_at(&at).to_owned();
        self.report.push(problem.key(path).value(&value).allowed(allowed).hint(hint));
    }

    /// Place of a key, else of the table that it belongs in, else the start of the file.
    pub(crate) fn nearest_place(&self, path: &str) -> At {
        let mut start = path;
        loop {
            if let Some(at) = self.values.place(start) {
                return at.clone();
            }
            match start.rsplit_once('.') {
                Some((table, _)) => start = table,
                None => return At::default(),
            }
        }
    }

    /// Path of a file that a key names: beside the file that holds the key, or from the current
    /// folder for `--set`.
    pub(crate) fn file_path(&self, key: &str, name: &str) -> PathBuf {
        let at = self.values.get(key).map(|given| given.at.clone()).unwrap_or_default();
        self.document.file_of(key, &at, name)
    }

    /// Reads and parses the table that a key names.
    pub(crate) fn table<T>(
        &mut self,
        key: &str,
        parse: impl FnOnce(&str, &str) -> Result<(T, Vec<String>), Report>,
    ) -> Option<T> {
        let name = match self.value(key)? {
            Value::Text(name) => name,
            _ => return None,
        };
        let path = self.file_path(key, &name);
        let (text, file) = match self.files.read_text(&path, self.limits.table_bytes) {
            Ok(read) => read,
            Err(error) => {
                let what = format!("`{key}`: cannot read `{}`: {error}", printable(&name));
                if error.place().is_some() {
                    let problem = error.problem(&shown_path(&path), what).value(&name);
                    let number = self.document.source_count() + self.inputs.len();
                    self.report.absorb(problem.allowed(KEYS_OF_FILES).into(), number, key);
                } else {
                    self.refuse_file(key, what, error.hint());
                }
                return None;
            }
        };
        self.inputs.push(file);
        match parse(&shown_path(&path), &text) {
            Ok((table, notes)) => {
                self.notes.extend(notes);
                Some(table)
            }
            Err(report) => {
                self.report.absorb(report, self.document.source_count() + self.inputs.len(), key);
                None
            }
        }
    }

    /// Reports a file that a key names and that cannot be read.
    pub(crate) fn refuse_file(&mut self, key: &str, what: String, hint: &str) {
        let at = self.nearest_place(key);
        let problem = self.document.problem(ProblemKind::File, &at, what);
        let value = self.document.text_at(&at).to_owned();
        self.report.push(problem.key(key).value(&value).allowed(KEYS_OF_FILES).hint(hint));
    }

    /// Of several keys that say the same thing, the one that is given.
    pub(crate) fn one_of(&mut self, paths: &[&'static str]) -> Option<&'static str> {
        let given: Vec<&'static str> = paths
            .iter()
            .copied()
            .filter(|path| self.values.get(path).is_some() || self.values.has_table(path))
            .collect();
        if let [first, second, ..] = given.as_slice() {
            self.conflict(first, second);
        }
        given.first().copied()
    }
}

fn is_at_or_below(path: &str, table: &str) -> bool {
    path.strip_prefix(table).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// A number and its band as they would be written in a build.
fn shown_spread(path: &str, spread: Spread, unit_name: &str) -> String {
    let Some(KeyRow { kind: KeyKind::Number(dimension), .. }) = keys::find(path) else {
        return String::new();
    };
    let Some(unit) = units::find_for(unit_name, *dimension) else { return String::new() };
    let space = if unit_name.is_empty() { "" } else { " " };
    let value = rounded(unit.value_of(spread.nominal), 4);
    let band = rounded(spread.half_width_95() / unit.factor, 2);
    if spread.is_exact() {
        format!("{value}{space}{unit_name}")
    } else {
        format!("{value}{space}{unit_name} ± {band}{space}{unit_name}")
    }
}

/// A number without the tail that computing leaves.
pub(crate) fn rounded(value: f64, decimals: usize) -> f64 {
    format!("{value:.decimals$e}").parse().unwrap_or(value)
}

const KEYS_OF_FILES: &str = "a readable CSV file";
