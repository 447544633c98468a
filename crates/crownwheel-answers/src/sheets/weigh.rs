//! `weigh`: axle loads and what is left.

use crate::sheet::{Look, Section, Sheet};
use crate::{Cell, LoadCase, Question, Rule, Table, Unit, WeighAnswer, WeighCase};
use crownwheel_quantities::rows;

impl WeighAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let section = Section::new("weights", "Weights")
            .drawn(&["corner-weights"])
            .by(&[Rule::Weights])
            .file(self.table())
            .shown(Look::Turned, self.cases_table("", LoadCase::label))
            .file(self.limits_table());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .assuming(&self.assumed)
            .warning(&self.warnings, &self.cautions)
    }

    /// One row for each case.
    #[must_use]
    pub fn table(&self) -> Table {
        self.cases_table("weigh", LoadCase::key)
    }

    fn cases_table(&self, name: &'static str, called: fn(LoadCase) -> &'static str) -> Table {
        let of = |quantity, kg: f64, it: &WeighCase| {
            Cell::from(kg).of(&Question::of(quantity).loaded(it.case))
        };
        Table::of(name, "Corner weights, axle loads and what is left", self.units, &self.cases)
            .words("case", "case", |it| called(it.case))
            .col("front_left_kg", "front left", Unit::Kg, |it| it.front_left_kg)
            .col("front_right_kg", "front right", Unit::Kg, |it| it.front_right_kg)
            .col("rear_left_kg", "rear left", Unit::Kg, |it| it.rear_left_kg)
            .col("rear_right_kg", "rear right", Unit::Kg, |it| it.rear_right_kg)
            .col("front_axle_kg", "front axle", Unit::Kg, |it| {
                of(&rows::FRONT_AXLE, it.front_axle_kg, it)
            })
            .col("rear_axle_kg", "rear axle", Unit::Kg, |it| {
                of(&rows::REAR_AXLE, it.rear_axle_kg, it)
            })
            .col("mass_kg", "whole car", Unit::Kg, |it| of(&rows::MASS, it.mass_kg, it))
            .col("front_pct", "front share", Unit::Pct, |it| it.front_pct)
            .col("cross_weight_pct", "cross weight", Unit::Pct, |it| it.cross_weight_pct)
            .col("warp_kg", "warp", Unit::Kg, |it| it.warp_kg)
            .col("front_plate_margin_kg", "front axle to plate", Unit::Kg, |it| {
                it.front_plate_margin_kg
            })
            .col("rear_plate_margin_kg", "rear axle to plate", Unit::Kg, |it| {
                it.rear_plate_margin_kg
            })
            .col("gross_margin_kg", "whole car to gross", Unit::Kg, |it| it.gross_margin_kg)
            .col("front_tyre_margin_kg", "front tyres to load index", Unit::Kg, |it| {
                it.front_tyre_margin_kg
            })
            .col("rear_tyre_margin_kg", "rear tyres to load index", Unit::Kg, |it| {
                it.rear_tyre_margin_kg
            })
            .col("front_payload_left_kg", "payload left, front", Unit::Kg, |it| {
                it.front_payload_left_kg
            })
            .col("rear_payload_left_kg", "payload left, rear", Unit::Kg, |it| {
                it.rear_payload_left_kg
            })
            .col("front_sag_mm", "front lower by", Unit::Mm, |it| it.front_sag_mm)
            .col("rear_sag_mm", "rear lower by", Unit::Mm, |it| it.rear_sag_mm)
            .col("front_ride_hz", "front ride", Unit::Hz, |it| it.front_ride_hz)
            .col("rear_ride_hz", "rear ride", Unit::Hz, |it| it.rear_ride_hz)
            .col("centre_behind_front_axle_m", "centre behind front axle", Unit::M, |it| {
                it.centre_behind_front_axle_m
            })
            .col("centre_right_of_centre_m", "centre right of middle", Unit::M, |it| {
                it.centre_right_of_centre_m
            })
            .to(3)
            .col("centre_height_m", "centre above ground", Unit::M, |it| it.centre_height_m)
            .table()
    }

    /// Plate and tyre limits, one row.
    #[must_use]
    pub fn limits_table(&self) -> Table {
        Table::of("weigh-limits", "Limits by plate and tyres", self.units, [&self.limits])
            .col("gross_kg", "gross", Unit::Kg, |it| it.gross_kg)
            .col("front_axle_kg", "front axle", Unit::Kg, |it| it.front_axle_kg)
            .col("rear_axle_kg", "rear axle", Unit::Kg, |it| it.rear_axle_kg)
            .col("one_tyre_kg", "one tyre", Unit::Kg, |it| it.one_tyre_kg)
            .words("load_index", "load index", |it| it.load_index.map(f64::from))
            .to(0)
            .table()
    }
}
