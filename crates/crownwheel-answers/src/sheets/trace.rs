//! Tables of a trace and of the motor's curves.

use crate::{CycleTrace, MotorCurve, Table, Unit, Units};

impl CycleTrace {
    /// One row for each sample.
    #[must_use]
    pub fn table(&self, units: Units) -> Table {
        let title = format!("{} on the {} day, from full", self.cycle, self.day);
        let of = |list: &[f64], i: usize| list.get(i).copied();
        Table::of("trace", title, units, 0..self.time_s.len())
            .col("time_s", "time", Unit::S, |i| of(&self.time_s, *i))
            .to(1)
            .col("distance_km", "distance", Unit::Km, |i| of(&self.distance_km, *i))
            .to(3)
            .col("target_kmh", "target speed", Unit::Kmh, |i| of(&self.target_kmh, *i))
            .to(1)
            .col("speed_kmh", "speed", Unit::Kmh, |i| of(&self.speed_kmh, *i))
            .to(1)
            .col("battery_power_kw", "battery power", Unit::Kw, |i| of(&self.battery_power_kw, *i))
            .col("charge_pct", "state of charge", Unit::Pct, |i| of(&self.charge_pct, *i))
            .col("motor_torque_nm", "motor torque", Unit::Nm, |i| of(&self.motor_torque_nm, *i))
            .col("motor_speed_rpm", "motor speed", Unit::Rpm, |i| of(&self.motor_speed_rpm, *i))
            .col("elevation_m", "elevation", Unit::M, |i| of(self.elevation_m.as_ref()?, *i))
            .to(1)
            .table()
    }
}

impl MotorCurve {
    /// All curves below each other, a row for each point.
    #[must_use]
    pub fn table(curves: &[MotorCurve], units: Units) -> Table {
        let all = curves.iter().flat_map(|it| (0..it.speed_rpm.len()).map(move |i| (it, i)));
        let title = "Motor torque at the voltages of the pack";
        Table::of("motor-curves", title, units, all)
            .words("name", "curve", |(it, _)| it.name.as_str())
            .col("voltage_v", "voltage", Unit::V, |(it, _)| it.voltage_v)
            .col("speed_rpm", "motor speed", Unit::Rpm, |(it, i)| it.speed_rpm.get(*i).copied())
            .col("peak_torque_nm", "peak torque", Unit::Nm, |(it, i)| {
                it.peak_torque_nm.get(*i).copied()
            })
            .col("continuous_torque_nm", "continuous torque", Unit::Nm, |(it, i)| {
                it.continuous_torque_nm.get(*i).copied()
            })
            .table()
    }
}
