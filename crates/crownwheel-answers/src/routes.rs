//! Routes that are driven once.

use crate::{Cell, Column, Grid, RangeAnswer, RouteResult, Table, Unit, Units};

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
                vec![r.cycle.as_str().into(), (&r.day).into(), r.from_pct.into()];
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
