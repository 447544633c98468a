//! `compare`: two builds, or one build as it was and is.

use crate::compare::{AnswerMoved, KeyMoved, Part, shown_by, signed};
use crate::sheet::{Look, Mark, Section, Sheet, sentences};
use crate::table::Rows;
use crate::unit::digits;
use crate::{CompareAnswer, Question, Rule, Table, Unit, Units, json};

/// Parts of a move below this share are not shown to people, %.
const SMALL_PCT: f64 = 3.0;

/// Parts of a move that people are shown.
const MOST_PARTS: usize = 3;

impl CompareAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let builds = [format!("first: {}", self.first), format!("second: {}", self.second)];
        let section = Section::new("compare", "Compared")
            .by(&[Rule::Moved])
            .list("The builds", Mark::None, sentences(&builds))
            .file(self.table())
            .file(self.parts_table())
            .file(self.inputs_table())
            .shown(Look::Rows, self.changed_table(["first build", "second build"]))
            .shown(Look::Rows, self.moved_table(["first", "second"]));
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .warning(&self.warnings, &self.cautions)
    }

    /// What changed since last time, and what that moved.
    #[must_use]
    pub fn since_tables(&self) -> [Table; 2] {
        [self.changed_table(["last time", "now"]), self.moved_table(["last time", "now"])]
    }

    /// A row for each answer.
    fn table(&self) -> Table {
        let units = self.units;
        let number = |it: &AnswerMoved, value: Option<f64>| {
            value.map(|value| units.value(value, it.question.unit()))
        };
        named(Table::of("compare", "Answers of both builds", units, &self.answers), units, |it| it)
            .words("first", "first", |it| number(it, it.first.value))
            .to(3)
            .words("second", "second", |it| number(it, it.second.value))
            .to(3)
            .words("by", "by", |it| step(&it.question, it.by.value, units))
            .to(3)
            .col("by_pct", "by", Unit::Pct, |it| it.by_pct)
            .words("moved", "moved", |it| it.moved)
            .words("together", "together", |it| step(&it.question, it.together.value, units))
            .to(3)
            .table()
    }

    /// A row for each answer and input.
    fn parts_table(&self) -> Table {
        let units = self.units;
        let all = self.answers.iter().flat_map(|it| it.parts.iter().map(move |part| (it, part)));
        let title = "What each input alone does to the first build";
        named(Table::of("compare-parts", title, units, all), units, |(it, _)| it)
            .words("input", "input", |(_, part)| part.input.as_str())
            .words("by", "by", |(it, part)| step(&it.question, part.by.value, units))
            .to(3)
            .col("share_pct", "share", Unit::Pct, |(_, part)| part.share_pct)
            .to(0)
            .table()
    }

    /// A row for each key that differs.
    fn inputs_table(&self) -> Table {
        Table::of("compare-inputs", "Inputs that differ", self.units, self.keys())
            .words("key", "key", |key| key.key.as_str())
            .words("first", "first build", |key| key.first.as_deref())
            .words("second", "second build", |key| key.second.as_deref())
            .words("first_assumed", "first assumes", |key| key.first_assumed.as_deref())
            .words("second_assumed", "second assumes", |key| key.second_assumed.as_deref())
            .words("first_from", "first from", |key| key.first_from.as_deref())
            .words("second_from", "second from", |key| key.second_from.as_deref())
            .table()
    }

    fn keys(&self) -> impl Iterator<Item = &KeyMoved> {
        self.inputs.iter().flat_map(|input| &input.keys)
    }

    /// The same for people, with what the builds are called: what is assumed stands where nothing is written.
    fn changed_table(&self, names: [&'static str; 2]) -> Table {
        let from = names.map(|name| format!("{} from", name.trim_end_matches(" build")));
        let [first_from, second_from] = from;
        Table::of("", "Inputs that differ", self.units, self.keys())
            .words("key", "key", |key| key.key.as_str())
            .words("first", names[0], |key| key.shown()[0].clone())
            .words("second", names[1], |key| key.shown()[1].clone())
            .words("first_from", first_from, |key| key.first_from.as_deref())
            .words("second_from", second_from, |key| key.second_from.as_deref())
            .table()
    }

    /// The answers that moved, each with what moved it most, with what the two builds are called.
    fn moved_table(&self, names: [&'static str; 2]) -> Table {
        let moved = self.answers.iter().filter(|it| it.moved);
        Table::of("", "Answers that moved", self.units, moved)
            .words("answer", "answer", |it| it.label.as_str())
            .words("first", names[0], |it| it.shown[0].as_str())
            .right()
            .words("second", names[1], |it| it.shown[1].as_str())
            .right()
            .words("by", "by", |it| shown_by(&it.question, it.by.value, self.units))
            .right()
            .words("parts", "of that, each input alone", |it| moved_by(it, self.units))
            .table()
    }
}

/// The columns of an answer's name and unit.
fn named<T>(rows: Rows<T>, units: Units, of: impl Fn(&T) -> &AnswerMoved) -> Rows<T> {
    rows.words("answer", "answer", |it| json::answer_name(&of(it).answer, units)).words(
        "unit",
        "unit",
        |it| units.symbol(of(it).question.unit()),
    )
}

fn step(question: &Question, by: Option<f64>, units: Units) -> Option<f64> {
    by.map(|by| units.difference(by, question.unit()))
}

/// `-13 (109 %) pack.modules_in_series, +3 (-27 %) driveline.axle.ratio, -2 (18 %) together`. `None`: nothing
/// is put down to an input.
fn moved_by(it: &AnswerMoved, units: Units) -> Option<String> {
    let size = |share_pct: Option<f64>| share_pct.unwrap_or(0.0).abs();
    let mut parts: Vec<&Part> =
        it.parts.iter().filter(|part| size(part.share_pct) >= SMALL_PCT).collect();
    parts.sort_by(|a, b| size(b.share_pct).total_cmp(&size(a.share_pct)));
    let said = |by: Option<f64>, share_pct: Option<f64>, what: &str| {
        let pct = digits(share_pct.unwrap_or(f64::NAN), 0);
        format!("{} ({pct} %) {what}", signed(&it.question, by, units))
    };
    let shown = parts.iter().take(MOST_PARTS);
    let mut all: Vec<String> =
        shown.map(|part| said(part.by.value, part.share_pct, &part.input)).collect();
    if parts.len() > MOST_PARTS {
        all.push(format!("{} more", parts.len() - MOST_PARTS));
    }
    if size(it.together_pct) >= SMALL_PCT {
        all.push(said(it.together.value, it.together_pct, "together"));
    }
    (!all.is_empty()).then(|| all.join(", "))
}
