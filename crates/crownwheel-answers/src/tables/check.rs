//! Tables of `check`.

use crate::tables::assumed_table;
use crate::{CheckAnswer, Column, DayFacts, GearSpeed, StageLoad, Table, Unit, Units};

impl CheckAnswer {
    /// What was understood, one row.
    #[must_use]
    pub fn table(&self) -> Table {
        Table {
            name: "check",
            title: "What was understood".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("car", "car"),
                Column::words("day", "day"),
                Column::new("mass_kg", "mass with the driver", Unit::Kg),
                Column::new("front_axle_kg", "front axle", Unit::Kg),
                Column::new("rear_axle_kg", "rear axle", Unit::Kg),
                Column::new("effective_mass_kg", "effective mass", Unit::Kg),
                Column::new("rolling_radius_m", "rolling radius", Unit::M).to(4),
                Column::new("overall_ratio", "overall ratio", Unit::None).to(3),
                Column::new("drag_area_m2", "drag area", Unit::M2),
                Column::new("rolling_resistance", "rolling resistance", Unit::None).to(4),
                Column::new("air_density_kgpm3", "air density", Unit::Kgpm3),
                Column::new("pack_energy_kwh", "pack energy", Unit::Kwh),
                Column::new("pack_usable_kwh", "usable part", Unit::Kwh),
                Column::new("pack_full_voltage_v", "pack voltage, full", Unit::V),
                Column::new("pack_empty_voltage_v", "pack voltage, empty", Unit::V),
                Column::new("short_circuit_a", "short-circuit current, full pack", Unit::A),
                Column::new("weakest_module_pct", "weakest module over the mean", Unit::Pct),
                Column::new("back_emf_limit_rpm", "back-EMF over the inverter from", Unit::Rpm),
                Column::new("back_emf_limit_kmh", "the same on the road", Unit::Kmh),
            ],
            rows: vec![vec![
                (&self.car).into(),
                (&self.day).into(),
                self.mass_kg.into(),
                self.front_axle_kg.into(),
                self.rear_axle_kg.into(),
                self.effective_mass_kg.into(),
                self.rolling_radius_m.into(),
                self.overall_ratio.into(),
                self.drag_area_m2.into(),
                self.rolling_resistance.into(),
                self.air_density_kgpm3.into(),
                self.pack_energy_kwh.into(),
                self.pack_usable_kwh.into(),
                self.pack_full_voltage_v.into(),
                self.pack_empty_voltage_v.into(),
                self.short_circuit_a.into(),
                self.weakest_module_pct.into(),
                self.back_emf_limit_rpm.into(),
                self.back_emf_limit_kmh.into(),
            ]],
        }
        .shown_in(self.units)
    }

    /// What was assumed, with what it matters for and the way to replace it, a row for each.
    #[must_use]
    pub fn assumed_table(&self) -> Table {
        let mut table = assumed_table(&self.assumed);
        table.columns.extend([
            Column::words("matters", "matters for"),
            Column::words("find_out", "find it out"),
            Column::words("table", "table"),
            Column::words("instead", "line instead"),
        ]);
        for (row, assumed) in table.rows.iter_mut().zip(&self.assumed) {
            let more = [&assumed.matters, &assumed.find_out, &assumed.table, &assumed.instead];
            row.extend(more.map(|text| text.as_deref().into()));
        }
        table
    }

    /// What each day makes of pack and motor, a row for each.
    #[must_use]
    pub fn days_table(&self) -> Table {
        let row = |d: &DayFacts| {
            vec![
                (&d.day).into(),
                d.temperature_degc.into(),
                d.pack_temperature_degc.into(),
                d.altitude_m.into(),
                d.air_density_kgpm3.into(),
                d.floor_pct.into(),
                d.usable_kwh.into(),
                d.continuous_heat_pct.into(),
            ]
        };
        Table {
            name: "days",
            title: "What each day makes of pack and motor".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("day", "day"),
                Column::new("temperature_degc", "air", Unit::Degc),
                Column::new("pack_temperature_degc", "pack at start", Unit::Degc),
                Column::new("altitude_m", "altitude", Unit::M).to(0),
                Column::new("air_density_kgpm3", "air density", Unit::Kgpm3),
                Column::new("floor_pct", "runs end at", Unit::Pct),
                Column::new("usable_kwh", "usable", Unit::Kwh),
                Column::new("continuous_heat_pct", "lasting motor heat", Unit::Pct).to(0),
            ],
            rows: self.days.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Motor speed by gear and road speed, a row for each pair.
    #[must_use]
    pub fn gears_table(&self) -> Table {
        let row = |g: &GearSpeed| {
            vec![
                f64::from(g.gear).into(),
                g.overall_ratio.into(),
                g.speed_kmh.into(),
                g.motor_speed_rpm.into(),
                g.over_motor_speed.into(),
            ]
        };
        Table {
            name: "gears",
            title: "Motor speed in each gear".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("gear", "gear").to(0),
                Column::new("overall_ratio", "overall ratio", Unit::None).to(3),
                Column::new("speed_kmh", "speed", Unit::Kmh),
                Column::new("motor_speed_rpm", "motor speed", Unit::Rpm),
                Column::words("over_motor_speed", "over the motor's highest"),
            ],
            rows: self.gears.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// What each stage of the driveline is asked to bear, a row for each.
    #[must_use]
    pub fn stages_table(&self) -> Table {
        let row = |s: &StageLoad| {
            vec![
                s.stage.as_str().into(),
                s.launch_torque_nm.into(),
                s.max_torque_nm.into(),
                s.original_torque_nm.into(),
                s.top_speed_rpm.into(),
                s.max_speed_rpm.into(),
            ]
        };
        Table {
            name: "stages",
            title: "What each stage is asked to bear, at its input".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("stage", "stage"),
                Column::new("launch_torque_nm", "at full torque", Unit::Nm).to(0),
                Column::new("max_torque_nm", "allowed", Unit::Nm).to(0),
                Column::new("original_torque_nm", "by the engine, first gear", Unit::Nm).to(0),
                Column::new("top_speed_rpm", "at the highest speed", Unit::Rpm),
                Column::new("max_speed_rpm", "allowed", Unit::Rpm),
            ],
            rows: self.stages.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }
}
