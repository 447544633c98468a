//! An answer as people read it, made once: what it comes to in a sentence, then sections with tables, and what
//! stands below them. The terminal, the page, the workbench and the tables that are written all render it.

use crate::text::{clean, grid_text, sentence, wrapped};
use crate::{Assumption, Caution, Grid, Provenance, Rule, Table, Warning, sheets};

/// An answer as people read it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// What it comes to; the last sentence is the answer.
    pub said: Vec<String>,
    /// What it is made of.
    pub sections: Vec<Section>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
    /// Program, inputs, seed.
    pub provenance: Provenance,
}

/// A section of an answer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// Its place in a page.
    pub anchor: &'static str,
    /// Its heading.
    pub title: &'static str,
    /// Figures by the beginning of their names.
    pub figures: &'static [&'static str],
    /// The rules that its numbers follow.
    pub rules: &'static [Rule],
    parts: Vec<Part>,
    files: Vec<Table>,
}

/// A table or a list with its heading.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its heading.
    pub title: String,
    /// What it shows.
    pub body: Body,
}

/// What a part shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// A table for people.
    Table(Table, Look),
    /// Entries of several sayings each.
    List(Mark, Vec<Vec<Say>>),
}

/// How a table stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Rows that may be sorted; on a phone each becomes a block.
    Rows,
    /// A few columns, or a list of quantities in an order of its own.
    Tight,
    /// Rows stand as columns.
    Turned,
    /// On a terminal a few rows at a time stand as columns: the table is wide.
    Wide,
}

/// What stands before an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Nothing.
    None,
    /// A dash.
    Dash,
    /// Its number.
    Number,
}

/// A saying of an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Say {
    /// Words, which may be wrapped.
    Words(String),
    /// A line that is copied as it stands.
    Line(String),
}

impl Section {
    /// A section that is empty yet.
    #[must_use]
    pub fn new(anchor: &'static str, title: &'static str) -> Section {
        Section { anchor, title, ..Section::default() }
    }

    /// The same with figures by the beginning of their names.
    #[must_use]
    pub fn drawn(self, figures: &'static [&'static str]) -> Section {
        Section { figures, ..self }
    }

    /// The same with the rules that its numbers follow.
    #[must_use]
    pub fn by(self, rules: &'static [Rule]) -> Section {
        Section { rules, ..self }
    }

    /// A table that is shown and written.
    #[must_use]
    pub fn table(self, look: Look, table: Table) -> Section {
        self.shown(look, table.clone()).file(table)
    }

    /// A table that is shown only, without what nobody knows.
    #[must_use]
    pub fn shown(mut self, look: Look, table: Table) -> Section {
        let title = table.title.clone();
        self.parts.push(Part { title, body: Body::Table(table.without_empty_columns(), look) });
        self
    }

    /// A table that is written only.
    #[must_use]
    pub fn file(mut self, table: Table) -> Section {
        self.files.push(table);
        self
    }

    /// A list.
    #[must_use]
    pub fn list(mut self, title: &str, mark: Mark, entries: Vec<Vec<Say>>) -> Section {
        self.parts.push(Part { title: title.to_owned(), body: Body::List(mark, entries) });
        self
    }

    /// What there is to show.
    pub fn parts(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter().filter(|part| match &part.body {
            Body::Table(table, _) => !table.rows.is_empty(),
            Body::List(_, entries) => !entries.is_empty(),
        })
    }
}

impl Sheet {
    /// An answer in a sentence with its sections.
    #[must_use]
    pub fn new(
        plain: &str,
        notes: &[String],
        provenance: &Provenance,
        sections: Vec<Section>,
    ) -> Sheet {
        Sheet {
            said: vec![plain.to_owned()],
            sections,
            notes: notes.to_vec(),
            provenance: provenance.clone(),
            ..Sheet::default()
        }
    }

    /// The same with what was assumed.
    #[must_use]
    pub fn assuming(self, assumed: &[Assumption]) -> Sheet {
        Sheet { assumed: assumed.to_vec(), ..self }
    }

    /// The same with what to look at and safety words.
    #[must_use]
    pub fn warning(self, warnings: &[Warning], cautions: &[Caution]) -> Sheet {
        Sheet { warnings: warnings.to_vec(), cautions: cautions.to_vec(), ..self }
    }

    /// The answer in a sentence.
    #[must_use]
    pub fn plain(&self) -> &str {
        self.said.last().map_or("", String::as_str)
    }

    /// The tables that are written, those that have rows.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        let all = self.sections.iter().flat_map(|section| &section.files);
        all.filter(|table| !table.rows.is_empty())
    }

    /// The answer as a terminal shows it.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out: String = self.said.iter().map(|said| sentence(said)).collect();
        for part in self.sections.iter().flat_map(Section::parts) {
            heading(&mut out, &part.title);
            match &part.body {
                Body::Table(table, look) => out.push_str(&table_text(table, *look)),
                Body::List(mark, entries) => out.push_str(&list_text(*mark, entries)),
            }
        }
        bullets(&mut out, "To know", self.notes.iter().map(String::as_str));
        if !self.assumed.is_empty() {
            let table = sheets::assumed_table(&self.assumed);
            heading(&mut out, &table.title);
            out.push_str(&grid_text(&table.grid()));
        }
        bullets(&mut out, "Warnings", self.warnings.iter().map(|it| it.text.as_str()));
        bullets(&mut out, "Caution", self.cautions.iter().map(|it| it.text));
        let made = &self.provenance;
        let seed = made.seed.map_or_else(String::new, |seed| format!(", seed {seed}"));
        let made =
            format!("crownwheel {}, inputs {}{seed}", made.program_version, made.inputs_hash);
        out.push('\n');
        out.push_str(&sentence(&made));
        out
    }
}

fn heading(out: &mut String, title: &str) {
    out.push_str(&format!("\n{}\n", clean(title)));
}

fn bullets<'a>(out: &mut String, title: &str, lines: impl Iterator<Item = &'a str>) {
    for (i, line) in lines.enumerate() {
        if i == 0 {
            heading(out, title);
        }
        out.push_str(&wrapped("  - ", line));
    }
}

/// Rows of a wide table that stand beside each other.
const ROWS_BESIDE: usize = 5;

fn table_text(table: &Table, look: Look) -> String {
    let grid = table.grid();
    match look {
        Look::Rows | Look::Tight => grid_text(&grid),
        Look::Turned => grid_text(&grid.turned()),
        Look::Wide => {
            let block = |rows: &[Vec<_>]| Grid { rows: rows.to_vec(), ..grid.clone() }.turned();
            let blocks = grid.rows.chunks(ROWS_BESIDE).map(|rows| grid_text(&block(rows)));
            blocks.collect::<Vec<_>>().join("\n")
        }
    }
}

fn list_text(mark: Mark, entries: &[Vec<Say>]) -> String {
    let mut out = String::new();
    for (i, entry) in entries.iter().enumerate() {
        let first = match mark {
            Mark::None => "  ".to_owned(),
            Mark::Dash => "  - ".to_owned(),
            Mark::Number => format!("{:>3}. ", i + 1),
        };
        let below = if mark == Mark::None { "      ".to_owned() } else { " ".repeat(first.len()) };
        for (i, say) in entry.iter().enumerate() {
            let before = if i == 0 { &first } else { &below };
            match say {
                Say::Words(words) => out.push_str(&wrapped(before, words)),
                Say::Line(line) => out.push_str(&format!("{before}{}\n", clean(line))),
            }
        }
    }
    out
}

/// Sentences as entries.
#[must_use]
pub fn sentences<'a>(all: impl IntoIterator<Item = &'a String>) -> Vec<Vec<Say>> {
    all.into_iter().map(|it| vec![Say::Words(it.clone())]).collect()
}
