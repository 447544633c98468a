//! Tables of `sweep`.

use crownwheel::name::Name;
use std::borrow::Cow;
use std::sync::Arc;

use crate::sweep::{Answers, OptionAnswer, SweepAnswer};
use crate::{Band, Cell, Column, Question, Table, Unit, Units};

/// The table of options, a column for everything that can be told of one. It makes rows one by one,
/// so that a large sweep need not hold them.
#[derive(Clone, Debug)]
pub struct OptionTable {
    choices: Vec<Arc<str>>,
    names: Arc<[Question]>,
    demands: Vec<Name>,
    units: Units,
}

impl OptionTable {
    /// For options with these choices, answers and demands, shown in these units.
    #[must_use]
    pub fn new(
        choices: Vec<Arc<str>>,
        names: Arc<[Question]>,
        demands: Vec<Name>,
        units: Units,
    ) -> OptionTable {
        OptionTable { choices, names, demands, units }
    }

    /// The table of these options.
    #[must_use]
    pub fn of<'a>(&self, options: impl Iterator<Item = &'a OptionAnswer>) -> Table {
        Table {
            name: "sweep-options",
            title: "Options".to_owned(),
            units: Units::Metric,
            columns: self.columns(),
            rows: options.map(|option| self.row(option)).collect(),
        }
        .shown_in(self.units)
    }

    fn columns(&self) -> Vec<Column> {
        let mut columns = vec![Column::words("id", "option")];
        columns.extend(self.choices.iter().map(|of| {
            Column::named(format!("choices.{of}").into(), of.to_string().into(), Unit::None)
        }));
        columns.extend([
            Column::words("price", "price").to(0),
            Column::words("worlds", "worlds").to(0),
            Column::words("all_demands_probability", "all demands").to(2),
            Column::words("meets_all", "meets all demands"),
            Column::words("non_dominated", "beaten by none"),
        ]);
        columns.extend(self.demands.iter().map(|demand| {
            let key = format!("demands.{}.probability", demand.key());
            Column::named(key.into(), demand.to_string().into(), Unit::None).to(2)
        }));
        for name in self.names.iter() {
            columns.extend(["nominal", "p10", "p50", "p90"].map(|part| answer_column(name, part)));
        }
        columns.push(Column::words("reason", "why it cannot be built"));
        columns
    }

    fn row(&self, option: &OptionAnswer) -> Vec<Cell> {
        let choice = |of: &Arc<str>| {
            let made = option.choices.0.iter().find(|(known, _)| known == of);
            Cell::from(made.map(|(_, is)| &**is))
        };
        let mut row = vec![option.id.as_str().into()];
        row.extend(self.choices.iter().map(choice));
        row.extend([
            option.price.into(),
            count(option.worlds),
            option.all_demands_probability.into(),
            option.meets_all.into(),
            option.non_dominated.map_or(Cell::Missing, Cell::from),
        ]);
        row.extend(self.demands.iter().map(|demand| {
            let met = option.demands.iter().find(|met| met.name == *demand);
            Cell::from(met.map(|met| met.probability))
        }));
        for name in self.names.iter() {
            row.extend(option.answers.get(name).map_or_else(missing, Cell::of_band));
        }
        row.push(option.reason.as_deref().into());
        row
    }
}

fn answer_column(name: &Question, part: &str) -> Column {
    let of = match part {
        "nominal" => String::new(),
        "p50" => ", half below".to_owned(),
        "p10" => ", one in ten below".to_owned(),
        _ => ", nine in ten below".to_owned(),
    };
    let key = format!("answers.{}.{part}", name.key());
    Column::named(Cow::from(key), Cow::from(format!("{}{of}", name.title())), name.unit())
        .to(name.decimals())
}

fn missing() -> [Cell; 4] {
    [const { Cell::Missing }; 4]
}

#[allow(clippy::cast_precision_loss, reason = "a count of worlds is far below 2^53")]
fn count(worlds: usize) -> Cell {
    Cell::Number(worlds as f64)
}

impl SweepAnswer {
    /// A row for each option, a column for each choice, demand and answer.
    #[must_use]
    pub fn options_table(&self) -> Table {
        let some = || self.options.iter().find(|option| option.reason.is_none());
        let choices = self.options.first().map_or_else(Vec::new, |option| {
            option.choices.0.iter().map(|(of, _)| Arc::clone(of)).collect()
        });
        let names = some().map_or_else(|| Arc::from([]), |option| option.answers.names());
        let demands = some().map_or_else(Vec::new, |option| {
            option.demands.iter().map(|met| met.name.clone()).collect()
        });
        OptionTable::new(choices, names, demands, self.units).of(self.options.iter())
    }

    /// A row for each option and answer.
    #[must_use]
    pub fn answers_table(&self) -> Table {
        let rows = self.options.iter().flat_map(|option| answer_rows(option, self.units));
        Table {
            name: "sweep-answers",
            title: "Answers of each option".to_owned(),
            units: self.units,
            columns: std::iter::once(Column::words("id", "option")).chain(band_columns()).collect(),
            rows: rows.collect(),
        }
    }

    /// A row for each option and demand.
    #[must_use]
    pub fn demands_table(&self) -> Table {
        let rows = self.options.iter().flat_map(|option| {
            option.demands.iter().map(|met| {
                vec![
                    option.id.as_str().into(),
                    (&met.name).into(),
                    met.probability.into(),
                    met.standard_error.into(),
                    met.sure.into(),
                    met.met.into(),
                ]
            })
        });
        Table {
            name: "sweep-demands",
            title: "Demands and how surely each option meets them".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("id", "option"),
                Column::words("name", "demand"),
                Column::words("probability", "probability").to(2),
                Column::words("standard_error", "standard error").to(3),
                Column::words("sure", "asked").to(2),
                Column::words("met", "met"),
            ],
            rows: rows.collect(),
        }
    }

    /// A row for each ranked option with its place.
    #[must_use]
    pub fn ranking_table(&self) -> Table {
        let rows = self
            .ranking
            .iter()
            .enumerate()
            .map(|(place, id)| vec![count(place + 1), Cell::from(id.as_str())]);
        Table {
            name: "sweep-ranking",
            title: "Ranking".to_owned(),
            units: self.units,
            columns: vec![Column::words("place", "place").to(0), Column::words("id", "option")],
            rows: rows.collect(),
        }
    }

    /// A row for each input that is worth measuring.
    #[must_use]
    pub fn measure_table(&self) -> Table {
        crate::tables::measure_table(&self.measure_next, self.units)
    }
}

/// One row for each answer of an option, in these units.
fn answer_rows(option: &OptionAnswer, units: Units) -> Vec<Vec<Cell>> {
    let row = |(name, band): (&Question, &Band)| {
        let mut row: Vec<Cell> = vec![option.id.as_str().into()];
        row.extend(band_row(name, band, units));
        row
    };
    option.answers.iter().map(row).collect()
}

/// A row for each answer of one car with its band.
#[must_use]
pub fn bands_table(name: &'static str, bands: &Answers, units: Units) -> Table {
    Table {
        name,
        title: "With what is unsure".to_owned(),
        units,
        columns: band_columns(),
        rows: bands.iter().map(|(name, band)| band_row(name, band, units)).collect(),
    }
}

fn band_columns() -> Vec<Column> {
    vec![
        Column::words("answer", "answer"),
        Column::words("unit", "unit"),
        Column::words("nominal", "nominal").to(1),
        Column::words("p10", "one in ten below").to(1),
        Column::words("p50", "half below").to(1),
        Column::words("p90", "nine in ten below").to(1),
        Column::words("standard_error", "standard error").to(2),
    ]
}

/// An answer in these units.
fn band_row(name: &Question, band: &Band, units: Units) -> Vec<Cell> {
    let unit = name.unit();
    let mut row: Vec<Cell> = vec![
        crate::json::answer_name(&name.key(), units).as_str().into(),
        units.symbol(unit).into(),
    ];
    row.extend(Cell::of_band(band).map(|cell| cell.shown_in(units, unit)));
    row.push(band.standard_error.map(|error| units.difference(error, unit)).into());
    row
}
