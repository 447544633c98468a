//! A table of an answer: named columns with units, and rows of cells.
//!
//! One table feeds three renderings: CSV ([`Table::csv`]), JSON (it serialises as a list of objects), and a [`Grid`]
//! of shown text for the terminal and for HTML.

use crownwheel::name::Name;
use std::borrow::Cow;

use serde::{Serialize, Serializer};

use crownwheel_quantities::worth::{rounded, worth_digits};

use crate::unit::{MISSING, digits};
use crate::{Band, Question, Unit, Units, json};

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Name for files, `weigh-cases`.
    pub name: Cow<'static, str>,
    /// Heading for people.
    pub title: String,
    /// Units of the cells.
    pub units: Units,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows; each has one cell for each column.
    pub rows: Vec<Vec<Cell>>,
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Path of the value in the JSON of the answer; also the CSV header.
    pub key: Cow<'static, str>,
    /// Heading for people, without unit.
    pub label: Cow<'static, str>,
    /// Unit of the values, as its metric name; the table says in which units they are.
    pub unit: Unit,
    /// Decimals that are worth showing. `None`: the usual ones of the unit.
    pub decimals: Option<usize>,
    /// Its words stand to the right, as numbers do.
    pub right: bool,
}

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Words.
    Text(String),
    /// The name of something: files hold its key, people are shown it as it is shown.
    Name(Name),
    /// A finite number in the unit of its column.
    Number(f64),
    /// A finite number that is no better known than its standard error, both in the unit of the
    /// column: no more digits are written than that allows.
    Estimate {
        /// The number.
        value: f64,
        /// Its standard error.
        standard_error: f64,
    },
    /// Yes or no.
    Flag(bool),
    /// Not known: never shown as 0.
    Missing,
    /// The answer to a question: a page leads from it to how it is worked out.
    Answer {
        /// Key of the question.
        key: String,
        /// What is shown.
        cell: Box<Cell>,
    },
}

impl Column {
    fn new(key: Cow<'static, str>, label: Cow<'static, str>, unit: Unit) -> Self {
        Column { key, label, unit, decimals: None, right: false }
    }

    /// Heading with the unit: `mass, kg`.
    #[must_use]
    pub fn heading(&self, units: Units) -> String {
        match units.symbol(self.unit) {
            "" => self.label.clone().into_owned(),
            symbol => format!("{}, {symbol}", self.label),
        }
    }

    fn decimals_in(&self, units: Units) -> usize {
        self.decimals.unwrap_or(self.unit.look(units).decimals)
    }
}

impl From<f64> for Cell {
    fn from(value: f64) -> Self {
        if value.is_finite() { Cell::Number(value) } else { Cell::Missing }
    }
}

impl From<u32> for Cell {
    fn from(count: u32) -> Self {
        Cell::Number(f64::from(count))
    }
}

#[allow(clippy::cast_precision_loss, reason = "a count is far below 2^53")]
impl From<u64> for Cell {
    fn from(count: u64) -> Self {
        Cell::Number(count as f64)
    }
}

#[allow(clippy::cast_precision_loss, reason = "a count is far below 2^53")]
impl From<usize> for Cell {
    fn from(count: usize) -> Self {
        Cell::Number(count as f64)
    }
}

impl From<&str> for Cell {
    fn from(value: &str) -> Self {
        Cell::Text(value.to_owned())
    }
}

impl From<&Name> for Cell {
    fn from(name: &Name) -> Self {
        Cell::Name(name.clone())
    }
}

impl From<String> for Cell {
    fn from(value: String) -> Self {
        Cell::Text(value)
    }
}

impl From<bool> for Cell {
    fn from(value: bool) -> Self {
        Cell::Flag(value)
    }
}

impl From<Shown> for Cell {
    fn from(shown: Shown) -> Self {
        let text = Cell::Text(shown.text);
        match shown.answers {
            Some(key) => Cell::Answer { key, cell: Box::new(text) },
            None => text,
        }
    }
}

impl<C: Into<Cell>> From<Option<C>> for Cell {
    fn from(value: Option<C>) -> Self {
        value.map_or(Cell::Missing, Into::into)
    }
}

impl Cell {
    /// A quantile of a band, with the digits that it is worth.
    #[must_use]
    pub fn quantile(quantile: Option<f64>, band: &Band) -> Cell {
        match (quantile, band.standard_error) {
            (Some(value), Some(standard_error)) if value.is_finite() => {
                Cell::Estimate { value, standard_error }
            }
            (value, _) => Cell::from(value),
        }
    }

    /// The nominal value of a band, then what one world in ten, half and nine in ten are below.
    #[must_use]
    pub fn of_band(band: &Band) -> [Cell; 4] {
        let of = |quantile| Cell::quantile(quantile, band);
        [band.nominal.into(), of(band.p10), of(band.p50), of(band.p90)]
    }

    /// The same as the answer to a question.
    #[must_use]
    pub fn of(self, question: &Question) -> Cell {
        Cell::Answer { key: question.key(), cell: Box::new(self) }
    }

    /// What is shown, whatever it answers.
    #[must_use]
    pub fn bare(&self) -> &Cell {
        if let Cell::Answer { cell, .. } = self { cell.bare() } else { self }
    }

    /// A metric cell in these units.
    #[must_use]
    pub fn shown_in(&self, units: Units, unit: Unit) -> Cell {
        match self {
            Cell::Number(value) => Cell::from(units.value(*value, unit)),
            Cell::Estimate { value, standard_error } => Cell::Estimate {
                value: units.value(*value, unit),
                standard_error: units.difference(*standard_error, unit),
            },
            Cell::Answer { key, cell } => {
                Cell::Answer { key: key.clone(), cell: Box::new(cell.shown_in(units, unit)) }
            }
            other => other.clone(),
        }
    }

    fn shown(&self, decimals: usize) -> String {
        match self {
            Cell::Text(text) => text.clone(),
            Cell::Name(name) => name.to_string(),
            Cell::Number(value) => digits(*value, decimals),
            Cell::Estimate { value, standard_error } => {
                worth_digits(*value, *standard_error, decimals)
            }
            Cell::Flag(true) => "yes".to_owned(),
            Cell::Flag(false) => "no".to_owned(),
            Cell::Missing => MISSING.to_owned(),
            Cell::Answer { cell, .. } => cell.shown(decimals),
        }
    }
}

impl Serialize for Cell {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Cell::Text(text) => serializer.serialize_str(text),
            Cell::Name(name) => serializer.serialize_str(name.key()),
            Cell::Number(value) => serializer.serialize_f64(*value),
            Cell::Estimate { value, standard_error } => {
                serializer.serialize_f64(rounded(*value, *standard_error))
            }
            Cell::Flag(flag) => serializer.serialize_bool(*flag),
            Cell::Missing => serializer.serialize_none(),
            Cell::Answer { cell, .. } => cell.serialize(serializer),
        }
    }
}

/// Rows as objects with the keys of the columns, in the order of the columns.
impl Serialize for Table {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.rows.iter().map(|row| Row { columns: &self.columns, row }))
    }
}

struct Row<'a> {
    columns: &'a [Column],
    row: &'a [Cell],
}

impl Serialize for Row<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(
            self.columns.iter().zip(self.row).map(|(column, cell)| (column.key.as_ref(), cell)),
        )
    }
}

/// A table in the making: rows of one kind, column by column, each with how it is read.
#[derive(Clone, Debug)]
pub struct Rows<T> {
    items: Vec<T>,
    table: Table,
    shown_in: Units,
    /// Columns that the last call put in.
    added: usize,
}

impl<T> Rows<T> {
    /// A column of values in a unit, from the metric ones that are read.
    #[must_use]
    pub fn col<C: Into<Cell>>(
        mut self,
        key: impl Into<Cow<'static, str>>,
        label: impl Into<Cow<'static, str>>,
        unit: Unit,
        read: impl Fn(&T) -> C,
    ) -> Self {
        self.table.columns.push(Column::new(key.into(), label.into(), unit));
        for (row, item) in self.table.rows.iter_mut().zip(&self.items) {
            row.push(read(item).into());
        }
        self.added = 1;
        self
    }

    /// A column of words, or of numbers without a unit.
    #[must_use]
    pub fn words<C: Into<Cell>>(
        self,
        key: impl Into<Cow<'static, str>>,
        label: impl Into<Cow<'static, str>>,
        read: impl Fn(&T) -> C,
    ) -> Self {
        self.col(key, label, Unit::None, read)
    }

    /// The nominal value of a band, then what one world in ten, half and nine in ten are below: the key of the
    /// nominal value, that of the band, and the name of both.
    #[must_use]
    pub fn band(
        mut self,
        [nominal, band, label]: [&str; 3],
        unit: Unit,
        read: impl Fn(&T) -> Band,
    ) -> Self {
        let parts =
            [(".p10", "one in ten below"), (".p50", "middle"), (".p90", "nine in ten below")];
        let of = |key: String, label: String| Column::new(key.into(), label.into(), unit);
        self.table.columns.push(of(nominal.to_owned(), label.to_owned()));
        let parts =
            parts.map(|(part, said)| of(format!("{band}{part}"), format!("{label}, {said}")));
        self.table.columns.extend(parts);
        for (row, item) in self.table.rows.iter_mut().zip(&self.items) {
            row.extend(Cell::of_band(&read(item)));
        }
        self.added = 4;
        self
    }

    fn last(&mut self) -> &mut [Column] {
        let first = self.table.columns.len() - self.added;
        &mut self.table.columns[first..]
    }

    /// The last column with a chosen count of decimals.
    #[must_use]
    pub fn to(mut self, decimals: usize) -> Self {
        self.last().iter_mut().for_each(|column| column.decimals = Some(decimals));
        self
    }

    /// The last column to the right.
    #[must_use]
    pub fn right(mut self) -> Self {
        self.last().iter_mut().for_each(|column| column.right = true);
        self
    }

    /// The last column only if it belongs.
    #[must_use]
    pub fn only_if(mut self, belongs: bool) -> Self {
        if !belongs {
            let left = self.table.columns.len() - self.added;
            self.table.columns.truncate(left);
            self.table.rows.iter_mut().for_each(|row| row.truncate(left));
            self.added = 0;
        }
        self
    }

    /// The table in the units that it is shown in.
    #[must_use]
    pub fn table(self) -> Table {
        self.table.shown_in(self.shown_in)
    }
}

impl Table {
    /// The beginning of a table in these units, a row for each of these.
    #[must_use]
    pub fn of<T>(
        name: &'static str,
        title: impl Into<String>,
        shown_in: Units,
        items: impl IntoIterator<Item = T>,
    ) -> Rows<T> {
        let items: Vec<T> = items.into_iter().collect();
        let rows = vec![Vec::new(); items.len()];
        let (title, units, columns) = (title.into(), Units::Metric, Vec::new());
        let name = Cow::Borrowed(name);
        Rows { items, table: Table { name, title, units, columns, rows }, shown_in, added: 0 }
    }

    /// Facts of one thing, a row for each with its name and value.
    #[must_use]
    pub fn facts<C: Into<Cell>>(
        title: impl Into<String>,
        facts: impl IntoIterator<Item = (String, C)>,
    ) -> Table {
        let facts = facts.into_iter().map(|(what, value)| (what, value.into()));
        Table::of("", title, Units::Metric, facts)
            .words("what", "what", |(what, _)| what.clone())
            .words("value", "value", |(_, value): &(String, Cell)| value.clone())
            .table()
    }

    /// A metric table in the units that it is shown in: values, keys and headings.
    #[must_use]
    pub fn shown_in(mut self, units: Units) -> Table {
        if units == self.units {
            return self;
        }
        self.units = units;
        for (i, column) in self.columns.iter_mut().enumerate() {
            column.key = Cow::Owned(json::key(&column.key, units));
            for row in &mut self.rows {
                row[i] = row[i].shown_in(units, column.unit);
            }
        }
        self
    }

    /// Place of the column with this metric key.
    pub(crate) fn place(&self, key: &str) -> Option<usize> {
        let key = json::key(key, self.units);
        self.columns.iter().position(|column| column.key == key)
    }

    /// Only the columns with these keys, in this order, by their metric names whatever the units;
    /// unknown keys are left out.
    #[must_use]
    pub fn pick(&self, keys: &[impl AsRef<str>]) -> Table {
        self.columns_at(&keys.iter().filter_map(|key| self.place(key.as_ref())).collect::<Vec<_>>())
    }

    /// The table without columns in which every cell is missing; a table without rows keeps them all.
    #[must_use]
    pub fn without_empty_columns(&self) -> Table {
        let known = |i: &usize| self.rows.iter().any(|row| *row[*i].bare() != Cell::Missing);
        let places = (0..self.columns.len()).filter(|i| self.rows.is_empty() || known(i));
        self.columns_at(&places.collect::<Vec<_>>())
    }

    fn columns_at(&self, places: &[usize]) -> Table {
        let of_row = |row: &Vec<Cell>| places.iter().map(|&i| row[i].clone()).collect();
        Table {
            name: self.name.clone(),
            title: self.title.clone(),
            units: self.units,
            columns: places.iter().map(|&i| self.columns[i].clone()).collect(),
            rows: self.rows.iter().map(of_row).collect(),
        }
    }

    /// The only row as facts, each with the name of its column.
    #[must_use]
    pub fn as_facts(&self, title: &str) -> Table {
        let grid = self.grid();
        Table::facts(title, grid.head.into_iter().zip(grid.rows.into_iter().flatten()))
    }

    /// The same with other words in a column, where there are any: a number with its band.
    #[must_use]
    pub fn with(mut self, key: &str, words: impl IntoIterator<Item = Option<String>>) -> Table {
        if let Some(place) = self.place(key) {
            self.columns[place].right = true;
            for (row, words) in self.rows.iter_mut().zip(words) {
                if let Some(words) = words {
                    row[place] = Cell::Text(words);
                }
            }
        }
        self
    }

    /// The table as people see it.
    #[must_use]
    pub fn grid(&self) -> Grid {
        let shown = |(cell, column): (&Cell, &Column)| Shown {
            text: cell.shown(column.decimals_in(self.units)),
            answers: if let Cell::Answer { key, .. } = cell { Some(key.clone()) } else { None },
        };
        let is_number = |i: usize| {
            let bare =
                |row: &Vec<Cell>| matches!(row[i].bare(), Cell::Number(_) | Cell::Estimate { .. });
            self.columns[i].right || self.rows.iter().any(bare)
        };
        Grid {
            head: self.columns.iter().map(|column| column.heading(self.units)).collect(),
            right: (0..self.columns.len()).map(is_number).collect(),
            rows: self
                .rows
                .iter()
                .map(|row| row.iter().zip(&self.columns).map(shown).collect())
                .collect(),
        }
    }
}

/// Shown text in rows and columns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Headings.
    pub head: Vec<String>,
    /// Rows of shown cells, as wide as `head`.
    pub rows: Vec<Vec<Shown>>,
    /// Which columns stand to the right.
    pub right: Vec<bool>,
}

/// A cell as people see it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shown {
    /// Its text.
    pub text: String,
    /// Key of the question that it answers.
    pub answers: Option<String>,
}

impl From<String> for Shown {
    fn from(text: String) -> Self {
        Shown { text, answers: None }
    }
}

impl PartialEq<&str> for Shown {
    fn eq(&self, text: &&str) -> bool {
        self.text == *text
    }
}

impl Grid {
    /// Rows become columns; the first column becomes the headings.
    #[must_use]
    pub fn turned(&self) -> Grid {
        let mut head = vec![String::new()];
        head.extend(self.rows.iter().filter_map(|row| Some(row.first()?.text.clone())));
        let rows = (1..self.head.len())
            .map(|i| {
                let name = Shown::from(self.head[i].clone());
                std::iter::once(name).chain(self.rows.iter().map(|row| row[i].clone())).collect()
            })
            .collect();
        let right = (0..head.len()).map(|i| i > 0).collect();
        Grid { head, rows, right }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let rows = [("empty", 851.26, f64::NAN), ("full", 1180.0, f64::INFINITY)];
        Table::of("t", "T", Units::Metric, rows)
            .words("case", "case", |(case, ..)| *case)
            .col("mass_kg", "mass", Unit::Kg, |(_, mass_kg, _)| *mass_kg)
            .col("range_km", "range", Unit::Km, |(.., range_km)| *range_km)
            .table()
    }

    #[test]
    fn missing_values_are_null_and_dashes_never_zero() {
        assert_eq!(
            serde_json::to_string(&table()).unwrap(),
            r#"[{"case":"empty","mass_kg":851.26,"range_km":null},{"case":"full","mass_kg":1180.0,"range_km":null}]"#
        );
        assert_eq!(table().grid().rows[1], ["full", "1180.0", "–"]);
    }

    #[test]
    fn keys_headings_and_values_change_units_together() {
        let table = table().shown_in(Units::Us);
        let json = serde_json::to_value(table.pick(&["mass_kg"])).unwrap();
        // 851.26 kg / 0.45359237 kg.
        assert!((json[0]["mass_lb"].as_f64().unwrap() - 1_876.707_053_075).abs() < 1e-8, "{json}");
        assert_eq!(table.grid().head, ["case", "mass, lb", "range, miles"]);
        assert_eq!(table.grid().rows[1], ["full", "2601.5", "–"]);
    }

    #[test]
    fn a_turned_grid_keeps_every_cell() {
        let turned = table().grid().turned();
        assert_eq!(turned.head, ["", "empty", "full"]);
        assert_eq!(turned.rows, [["mass, kg", "851.3", "1180.0"], ["range, km", "–", "–"]]);
        assert_eq!(turned.right, [false, true, true]);
    }

    #[test]
    fn columns_are_picked_in_order_and_empty_ones_dropped() {
        let picked = table().pick(&["mass_kg", "no_such_key", "case"]);
        assert_eq!(picked.columns.len(), 2);
        assert_eq!(picked.rows[0], [Cell::Number(851.26), "empty".into()]);
        assert_eq!(table().without_empty_columns().columns.len(), 2);
        let empty = Table { rows: Vec::new(), ..table() };
        assert_eq!(empty.without_empty_columns(), empty);
    }
}
