//! A table of an answer: named columns with units, and rows of cells.
//!
//! One table feeds three renderings: CSV ([`Table::csv`]), JSON (it serialises as a list of objects), and a [`Grid`]
//! of shown text for the terminal and for HTML.

use crownwheel::name::Name;
use std::borrow::Cow;

use serde::{Serialize, Serializer};

use crownwheel_quantities::worth::{rounded, worth_digits};

use crate::unit::{MISSING, digits};
use crate::{Band, Unit, Units, json};

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Name for files, `weigh-cases`.
    pub name: &'static str,
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
}

impl Column {
    /// A column with the usual decimals of its unit.
    #[must_use]
    pub fn new(key: &'static str, label: &'static str, unit: Unit) -> Self {
        Column::named(Cow::Borrowed(key), Cow::Borrowed(label), unit)
    }

    /// A column whose key and heading are made from names.
    #[must_use]
    pub fn named(key: Cow<'static, str>, label: Cow<'static, str>, unit: Unit) -> Self {
        Column { key, label, unit, decimals: None }
    }

    /// A column of words.
    #[must_use]
    pub fn words(key: &'static str, label: &'static str) -> Self {
        Column::new(key, label, Unit::None)
    }

    /// The same with a chosen count of decimals.
    #[must_use]
    pub fn to(mut self, decimals: usize) -> Self {
        self.decimals = Some(decimals);
        self
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

impl From<Option<f64>> for Cell {
    fn from(value: Option<f64>) -> Self {
        value.map_or(Cell::Missing, Cell::from)
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

impl From<Option<&str>> for Cell {
    fn from(value: Option<&str>) -> Self {
        value.map_or(Cell::Missing, Cell::from)
    }
}

impl From<bool> for Cell {
    fn from(value: bool) -> Self {
        Cell::Flag(value)
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

    /// A metric cell in these units.
    #[must_use]
    pub fn shown_in(&self, units: Units, unit: Unit) -> Cell {
        match self {
            Cell::Number(value) => Cell::from(units.value(*value, unit)),
            Cell::Estimate { value, standard_error } => Cell::Estimate {
                value: units.value(*value, unit),
                standard_error: units.difference(*standard_error, unit),
            },
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

impl Table {
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

    /// The table, without a column if it does not belong.
    #[must_use]
    pub(crate) fn without_column_unless(mut self, key: &str, belongs: bool) -> Table {
        if let (Some(place), false) = (self.place(key), belongs) {
            self.columns.remove(place);
            for row in &mut self.rows {
                row.remove(place);
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
        let places: Vec<usize> = keys.iter().filter_map(|key| self.place(key.as_ref())).collect();
        Table {
            name: self.name,
            title: self.title.clone(),
            units: self.units,
            columns: places.iter().map(|&i| self.columns[i].clone()).collect(),
            rows: self
                .rows
                .iter()
                .map(|row| places.iter().map(|&i| row[i].clone()).collect())
                .collect(),
        }
    }

    /// The table without columns in which every cell is missing; a table without rows keeps them all.
    #[must_use]
    pub fn without_empty_columns(&self) -> Table {
        let keys: Vec<&Cow<'static, str>> = self
            .columns
            .iter()
            .enumerate()
            .filter(|(i, _)| {
                self.rows.is_empty() || self.rows.iter().any(|row| row[*i] != Cell::Missing)
            })
            .map(|(_, column)| &column.key)
            .collect();
        self.pick(&keys)
    }

    /// The table as people see it.
    #[must_use]
    pub fn grid(&self) -> Grid {
        let cells = |row: &Vec<Cell>| -> Vec<String> {
            row.iter()
                .zip(&self.columns)
                .map(|(cell, column)| cell.shown(column.decimals_in(self.units)))
                .collect()
        };
        let is_number = |i: usize| {
            self.rows.iter().any(|row| matches!(row[i], Cell::Number(_) | Cell::Estimate { .. }))
        };
        Grid {
            head: self.columns.iter().map(|column| column.heading(self.units)).collect(),
            right: (0..self.columns.len()).map(is_number).collect(),
            rows: self.rows.iter().map(cells).collect(),
        }
    }
}

/// Shown text in rows and columns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Headings.
    pub head: Vec<String>,
    /// Rows of shown cells, as wide as `head`.
    pub rows: Vec<Vec<String>>,
    /// Which columns stand to the right.
    pub right: Vec<bool>,
}

impl Grid {
    /// Rows become columns; the first column becomes the headings.
    #[must_use]
    pub fn turned(&self) -> Grid {
        let mut head = vec![String::new()];
        head.extend(self.rows.iter().filter_map(|row| row.first().cloned()));
        let rows = (1..self.head.len())
            .map(|i| {
                let mut row = vec![self.head[i].clone()];
                row.extend(self.rows.iter().map(|r| r[i].clone()));
                row
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
        Table {
            name: "t",
            title: "T".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("case", "case"),
                Column::new("mass_kg", "mass", Unit::Kg),
                Column::new("range_km", "range", Unit::Km),
            ],
            rows: vec![
                vec!["empty".into(), 851.26.into(), Cell::from(f64::NAN)],
                vec!["full".into(), 1180.0.into(), None::<f64>.into()],
            ],
        }
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
