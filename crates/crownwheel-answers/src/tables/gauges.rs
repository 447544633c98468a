//! Tables of `gauges`.

use crate::gauges::{GaugesAnswer, RestLine};
use crate::pull::ShaftLine;
use crate::{Cell, Column, Table, Unit, Units};

impl GaugesAnswer {
    /// Shaft speeds against road speed.
    #[must_use]
    pub fn speed_table(&self) -> Table {
        let row = |line: &ShaftLine| -> Vec<Cell> {
            vec![
                line.speed_kmh.into(),
                line.motor_speed_rpm.into(),
                line.propeller_shaft_rpm.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "gauges-speeds",
            title: "Shafts against road speed, in the usual gear".to_owned(),
            columns: vec![
                Column::new("speeds.speed_kmh", "speed", Unit::Kmh),
                Column::new("speeds.motor_speed_rpm", "motor", Unit::Rpm),
                Column::new("speeds.propeller_shaft_rpm", "propeller shaft", Unit::Rpm),
            ],
            rows: self.speeds.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Charge against voltage at rest.
    #[must_use]
    pub fn charge_table(&self) -> Table {
        let row = |line: &RestLine| -> Vec<Cell> {
            vec![line.charge_pct.into(), line.rest_voltage_v.into(), line.cell_voltage_v.into()]
        };
        Table {
            units: Units::Metric,
            name: "gauges-charge",
            title: "Charge against voltage at rest".to_owned(),
            columns: vec![
                Column::new("charge.charge_pct", "charge", Unit::Pct).to(0),
                Column::new("charge.rest_voltage_v", "pack at rest", Unit::V),
                Column::new("charge.cell_voltage_v", "cell at rest", Unit::V).to(3),
            ],
            rows: self.charge.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }
}
