//! Tables of `charge`.

use crate::charge::{ChargeAnswer, SupplyLine};
use crate::{Cell, Column, Table, Unit, Units};

impl ChargeAnswer {
    /// A row for each supply.
    #[must_use]
    pub fn table(&self) -> Table {
        let row = |line: &SupplyLine| {
            vec![
                (&line.name).into(),
                line.supply_kw.into(),
                line.hours.into(),
                line.wall_kwh.into(),
                line.into_pack_kwh.into(),
                line.warming_kwh.filter(|kwh| *kwh > 0.0).into(),
                line.before_charging_hours.filter(|hours| *hours > 0.0).into(),
                line.end_pct.into(),
                line.taper_from_pct.into(),
                line.km_per_hour.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "charge",
            title: "Charging at each supply".to_owned(),
            columns: vec![
                Column::words("name", "supply"),
                Column::new("supply_kw", "supply", Unit::Kw),
                Column::words("hours", "hours").to(1),
                Column::new("wall_kwh", "from the wall", Unit::Kwh),
                Column::new("into_pack_kwh", "into the pack", Unit::Kwh),
                Column::new("warming_kwh", "warming the pack", Unit::Kwh),
                Column::words("before_charging_hours", "hours before charging").to(2),
                Column::new("end_pct", "ends at", Unit::Pct),
                Column::new("taper_from_pct", "power falls from", Unit::Pct),
                Column::words("km_per_hour", "km of range an hour").to(0),
            ],
            rows: self.supplies.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// The points of every charge.
    #[must_use]
    pub fn points_table(&self) -> Table {
        let rows = self.supplies.iter().flat_map(|line| {
            line.points.iter().map(|point| -> Vec<Cell> {
                vec![
                    (&line.name).into(),
                    point.time_min.into(),
                    point.charge_pct.into(),
                    point.power_kw.into(),
                    point.current_a.into(),
                    point.voltage_v.into(),
                    point.pack_degc.into(),
                ]
            })
        });
        Table {
            units: Units::Metric,
            name: "charge-points",
            title: "Charge, power and voltage against time".to_owned(),
            columns: vec![
                Column::words("name", "supply"),
                Column::words("points.time_min", "time, min").to(1),
                Column::new("points.charge_pct", "charge", Unit::Pct),
                Column::new("points.power_kw", "power", Unit::Kw),
                Column::new("points.current_a", "current", Unit::A),
                Column::new("points.voltage_v", "voltage", Unit::V),
                Column::new("points.pack_degc", "pack", Unit::Degc),
            ],
            rows: rows.collect(),
        }
        .shown_in(self.units)
    }
}
