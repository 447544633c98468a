//! Tables of `trip`.

use crate::trip::{RepairLine, TripAnswer, TripPoint};
use crate::{Cell, Column, Table, Unit, Units};

impl TripAnswer {
    /// The trip in one row.
    #[must_use]
    pub fn table(&self) -> Table {
        Table {
            units: Units::Metric,
            name: "trip",
            title: "The trip".to_owned(),
            columns: vec![
                Column::new("distance_km", "way", Unit::Km).to(2),
                Column::new("duration_s", "time", Unit::S),
                Column::new("standing_s", "standing", Unit::S),
                Column::new("mean_speed_kmh", "mean speed", Unit::Kmh).to(1),
                Column::new("top_speed_kmh", "top speed", Unit::Kmh).to(1),
                Column::new("climb_m", "uphill", Unit::M).to(0),
                Column::new("climb_raw_m", "uphill as read", Unit::M).to(0),
            ],
            rows: vec![vec![
                self.distance_km.into(),
                self.duration_s.into(),
                self.standing_s.into(),
                self.mean_speed_kmh.into(),
                self.top_speed_kmh.into(),
                self.climb_m.into(),
                self.climb_raw_m.into(),
            ]],
        }
        .shown_in(self.units)
    }

    /// A row for each kind of repair.
    #[must_use]
    pub fn repairs_table(&self) -> Table {
        repairs_table(&self.repairs)
    }

    /// Speed and height along the way.
    #[must_use]
    pub fn points_table(&self) -> Table {
        let row = |point: &TripPoint| -> Vec<Cell> {
            vec![
                point.time_s.into(),
                point.distance_km.into(),
                point.speed_kmh.into(),
                point.elevation_m.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "trip-points",
            title: "Speed and height along the way".to_owned(),
            columns: vec![
                Column::new("time_s", "time", Unit::S),
                Column::new("distance_km", "way", Unit::Km).to(3),
                Column::new("speed_kmh", "speed", Unit::Kmh).to(1),
                Column::new("elevation_m", "height", Unit::M).to(1),
            ],
            rows: self.points.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }
}

/// What was repaired in a log.
#[must_use]
pub fn repairs_table(repairs: &[RepairLine]) -> Table {
    let row = |line: &RepairLine| -> Vec<Cell> {
        // Counts of rows are far below the whole numbers that a double holds.
        let count = line.count.to_string().parse::<f64>().unwrap_or(f64::NAN);
        vec![line.kind.as_str().into(), count.into(), line.what.as_str().into()]
    };
    Table {
        units: Units::Metric,
        name: "repairs",
        title: "What was repaired in the log".to_owned(),
        columns: vec![
            Column::words("kind", "kind"),
            Column::words("count", "count").to(0),
            Column::words("what", "what was done"),
        ],
        rows: repairs.iter().map(row).collect(),
    }
}
