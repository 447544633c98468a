//! Routes that are driven once.

use crownwheel_quantities::rows;
use serde::Serialize;

use crate::{Band, Cell, Column, Grid, Question, RangeAnswer, Table, Unit, Units};

/// A route driven once on one day.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RouteResult {
    /// Name of the route.
    pub cycle: String,
    /// Name of the day.
    pub day: String,
    /// State of charge at its start, %.
    pub from_pct: f64,
    /// State of charge left at its end, %; that of the empty pack where it does not last.
    pub charge_left_pct: Band,
    /// Distance driven, km.
    pub distance_km: f64,
    /// Time driven, s.
    pub duration_s: f64,
    /// How it ended: `arrived`, `empty`, `stands`.
    pub end: String,
    /// What was missed of the way that was asked for, %.
    pub missed_pct: f64,
    /// Energy at the pack's terminals, net, Wh/km. Not a number, null in JSON, if the car never moved.
    pub use_wh_per_km: f64,
}

impl RouteResult {
    /// The charge left as the worlds name it.
    #[must_use]
    pub fn name(&self) -> Question {
        Question::of(&rows::CHARGE_LEFT)
            .on_cycle(self.cycle.as_str())
            .from_pct(self.from_pct)
            .on_day(self.day.as_str())
    }

    /// Whether it was driven to its end.
    #[must_use]
    pub fn arrived(&self) -> bool {
        self.end == "arrived"
    }

    /// `with 90 % at the start 62 % (60 to 64) is left behind moor-round (winter)`.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let from = units.text_to(self.from_pct, Unit::Pct, 0);
        let place = format!("{} ({})", self.cycle, self.day);
        if self.arrived() {
            let left = self.charge_left_pct.text(units, Unit::Pct, 0);
            return format!("with {from} at the start {left} is left behind {place}");
        }
        let km = units.text(self.distance_km, Unit::Km);
        let ends = if self.end == "empty" { "the pack is empty" } else { "the car stands" };
        format!("with {from} at the start {ends} after {km} of {place}")
    }
}

impl RangeAnswer {
    /// Routes for people: what is left, with its band.
    #[must_use]
    pub fn routes_grid(&self) -> Grid {
        let mut grid = self.routes_table().pick(&["cycle", "day", "from_pct"]).grid();
        grid.head.push("left, %".to_owned());
        grid.right.push(true);
        let rest = self.routes_table().pick(&["distance_km", "end"]).grid();
        grid.head.extend(rest.head);
        grid.right.extend(rest.right);
        for ((row, rest), route) in grid.rows.iter_mut().zip(rest.rows).zip(&self.routes) {
            row.push(route.charge_left_pct.number(self.units, Unit::Pct, 0));
            row.extend(rest);
        }
        grid
    }

    /// One row for each route that is driven once and each day.
    #[must_use]
    pub fn routes_table(&self) -> Table {
        let row = |r: &RouteResult| {
            let mut row: Vec<Cell> =
                vec![r.cycle.as_str().into(), r.day.as_str().into(), r.from_pct.into()];
            row.extend(Cell::of_band(&r.charge_left_pct));
            row.extend([
                r.end.as_str().into(),
                r.distance_km.into(),
                r.duration_s.into(),
                r.missed_pct.into(),
                r.use_wh_per_km.into(),
            ]);
            row
        };
        Table {
            name: "routes",
            title: "Routes driven once".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("cycle", "route"),
                Column::words("day", "day"),
                Column::new("from_pct", "at the start", Unit::Pct).to(0),
                Column::new("charge_left_pct.nominal", "left", Unit::Pct).to(1),
                Column::new("charge_left_pct.p10", "left, one in ten below", Unit::Pct).to(1),
                Column::new("charge_left_pct.p50", "left, middle", Unit::Pct).to(1),
                Column::new("charge_left_pct.p90", "left, nine in ten below", Unit::Pct).to(1),
                Column::words("end", "ends"),
                Column::new("distance_km", "driven", Unit::Km).to(2),
                Column::new("duration_s", "driven", Unit::S).to(0),
                Column::new("missed_pct", "missed", Unit::Pct).to(2),
                Column::new("use_wh_per_km", "use", Unit::WhPerKm),
            ],
            rows: self.routes.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }
}
