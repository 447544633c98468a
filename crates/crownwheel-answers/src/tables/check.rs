//! Tables of `check`.

use crate::{CheckAnswer, Column, Table, Unit};

impl CheckAnswer {
    /// What was understood, one row.
    #[must_use]
    pub fn table(&self) -> Table {
        Table {
            name: "check",
            title: "What was understood".to_owned(),
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
            ],
            rows: vec![vec![
                self.car.as_str().into(),
                self.day.as_str().into(),
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
            ]],
        }
    }
}
