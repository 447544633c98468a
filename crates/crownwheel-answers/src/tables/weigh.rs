//! Tables of `weigh`.

use crate::{Column, Table, Unit, Units, WeighAnswer, WeighCase};

impl WeighAnswer {
    /// One row for each case.
    #[must_use]
    pub fn table(&self) -> Table {
        Table {
            name: "weigh",
            title: "Corner weights, axle loads and what is left".to_owned(),
            units: Units::Metric,
            columns: columns(),
            rows: self.cases.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Plate and tyre limits, one row.
    #[must_use]
    pub fn limits_table(&self) -> Table {
        Table {
            name: "weigh-limits",
            title: "Limits by plate and tyres".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::new("gross_kg", "gross", Unit::Kg),
                Column::new("front_axle_kg", "front axle", Unit::Kg),
                Column::new("rear_axle_kg", "rear axle", Unit::Kg),
                Column::new("one_tyre_kg", "one tyre", Unit::Kg),
                Column::words("load_index", "load index").to(0),
            ],
            rows: vec![vec![
                self.limits.gross_kg.into(),
                self.limits.front_axle_kg.into(),
                self.limits.rear_axle_kg.into(),
                self.limits.one_tyre_kg.into(),
                self.limits.load_index.map(f64::from).into(),
            ]],
        }
        .shown_in(self.units)
    }
}

fn columns() -> Vec<Column> {
    let kg = |key, label| Column::new(key, label, Unit::Kg);
    vec![
        Column::words("case", "case"),
        kg("front_left_kg", "front left"),
        kg("front_right_kg", "front right"),
        kg("rear_left_kg", "rear left"),
        kg("rear_right_kg", "rear right"),
        kg("front_axle_kg", "front axle"),
        kg("rear_axle_kg", "rear axle"),
        kg("mass_kg", "whole car"),
        Column::new("front_pct", "front share", Unit::Pct),
        Column::new("cross_weight_pct", "cross weight", Unit::Pct),
        kg("warp_kg", "warp"),
        kg("front_plate_margin_kg", "front axle to plate"),
        kg("rear_plate_margin_kg", "rear axle to plate"),
        kg("gross_margin_kg", "whole car to gross"),
        kg("front_tyre_margin_kg", "front tyres to load index"),
        kg("rear_tyre_margin_kg", "rear tyres to load index"),
        kg("front_payload_left_kg", "payload left, front"),
        kg("rear_payload_left_kg", "payload left, rear"),
        Column::new("front_sag_mm", "front lower by", Unit::Mm),
        Column::new("rear_sag_mm", "rear lower by", Unit::Mm),
        Column::new("front_ride_hz", "front ride", Unit::Hz),
        Column::new("rear_ride_hz", "rear ride", Unit::Hz),
        Column::new("centre_behind_front_axle_m", "centre behind front axle", Unit::M),
        Column::new("centre_right_of_centre_m", "centre right of middle", Unit::M).to(3),
        Column::new("centre_height_m", "centre above ground", Unit::M),
    ]
}

fn row(case: &WeighCase) -> Vec<crate::Cell> {
    vec![
        case.case.key().into(),
        case.front_left_kg.into(),
        case.front_right_kg.into(),
        case.rear_left_kg.into(),
        case.rear_right_kg.into(),
        case.front_axle_kg.into(),
        case.rear_axle_kg.into(),
        case.mass_kg.into(),
        case.front_pct.into(),
        case.cross_weight_pct.into(),
        case.warp_kg.into(),
        case.front_plate_margin_kg.into(),
        case.rear_plate_margin_kg.into(),
        case.gross_margin_kg.into(),
        case.front_tyre_margin_kg.into(),
        case.rear_tyre_margin_kg.into(),
        case.front_payload_left_kg.into(),
        case.rear_payload_left_kg.into(),
        case.front_sag_mm.into(),
        case.rear_sag_mm.into(),
        case.front_ride_hz.into(),
        case.rear_ride_hz.into(),
        case.centre_behind_front_axle_m.into(),
        case.centre_right_of_centre_m.into(),
        case.centre_height_m.into(),
    ]
}
