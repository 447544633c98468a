//! Tables of a trace and of the motor's curves.

use crate::{Cell, Column, CycleTrace, MotorCurve, Table, Unit, Units};

impl CycleTrace {
    /// One row for each sample.
    #[must_use]
    pub fn table(&self) -> Table {
        let columns = vec![
            Column::new("time_s", "time", Unit::S).to(1),
            Column::new("distance_km", "distance", Unit::Km).to(3),
            Column::new("target_kmh", "target speed", Unit::Kmh).to(1),
            Column::new("speed_kmh", "speed", Unit::Kmh).to(1),
            Column::new("battery_power_kw", "battery power", Unit::Kw),
            Column::new("charge_pct", "state of charge", Unit::Pct),
            Column::new("motor_torque_nm", "motor torque", Unit::Nm),
            Column::new("motor_speed_rpm", "motor speed", Unit::Rpm),
            Column::new("elevation_m", "elevation", Unit::M).to(1),
        ];
        let series = [
            &self.time_s,
            &self.distance_km,
            &self.target_kmh,
            &self.speed_kmh,
            &self.battery_power_kw,
            &self.charge_pct,
            &self.motor_torque_nm,
            &self.motor_speed_rpm,
        ];
        let row = |i: usize| {
            let elevation = self.elevation_m.as_ref().and_then(|list| list.get(i).copied());
            let mut cells: Vec<Cell> =
                series.iter().map(|list| list.get(i).copied().into()).collect();
            cells.push(elevation.into());
            cells
        };
        Table {
            name: "trace",
            title: format!("{} on the {} day, from full", self.cycle, self.day),
            units: Units::Metric,
            columns,
            rows: (0..self.time_s.len()).map(row).collect(),
        }
    }
}

impl MotorCurve {
    /// All curves below each other, a row for each point.
    #[must_use]
    pub fn table(curves: &[MotorCurve]) -> Table {
        let rows = curves.iter().flat_map(|curve| {
            (0..curve.speed_rpm.len()).map(|i| {
                vec![
                    curve.name.as_str().into(),
                    curve.voltage_v.into(),
                    curve.speed_rpm.get(i).copied().into(),
                    curve.peak_torque_nm.get(i).copied().into(),
                    curve.continuous_torque_nm.get(i).copied().into(),
                ]
            })
        });
        Table {
            name: "motor-curves",
            title: "Motor torque at the voltages of the pack".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("name", "curve"),
                Column::new("voltage_v", "voltage", Unit::V),
                Column::new("speed_rpm", "motor speed", Unit::Rpm),
                Column::new("peak_torque_nm", "peak torque", Unit::Nm),
                Column::new("continuous_torque_nm", "continuous torque", Unit::Nm),
            ],
            rows: rows.collect(),
        }
    }
}
