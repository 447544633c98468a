//! What was understood from a build: first day, full charge, driver aboard.

use serde::Serialize;

use crate::{Assumed, Caution, Provenance, Warning};

/// The answer of `check`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CheckAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// The answer in one sentence, see [`CheckAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: String,
    /// Name of the day that the numbers hold for.
    pub day: String,
    /// Mass with the driver, kg.
    pub mass_kg: f64,
    /// Load on the front axle with the driver, kg.
    pub front_axle_kg: f64,
    /// Load on the rear axle with the driver, kg.
    pub rear_axle_kg: f64,
    /// Mass plus what the turning parts count for, without losses, kg.
    pub effective_mass_kg: f64,
    /// Rolling radius, m.
    pub rolling_radius_m: f64,
    /// Motor speed over wheel speed.
    pub overall_ratio: f64,
    /// Drag area, m². `None`: road load is given as coast-down coefficients.
    pub drag_area_m2: Option<f64>,
    /// Rolling resistance coefficient on that day, N/N. `None`: as for `drag_area_m2`.
    pub rolling_resistance: Option<f64>,
    /// Density of the air on that day, kg/m³.
    pub air_density_kgpm3: f64,
    /// Energy of the pack between its end voltages, at rest, kWh.
    pub pack_energy_kwh: f64,
    /// Part of it that is used, kWh.
    pub pack_usable_kwh: f64,
    /// Open-circuit voltage of the full pack, V.
    pub pack_full_voltage_v: f64,
    /// Open-circuit voltage of the empty pack, V.
    pub pack_empty_voltage_v: f64,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumed>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Lines to add to the build that would narrow the answers most, best first.
    pub lines_to_add: Vec<LineToAdd>,
    /// What else was understood, a sentence each (how a table was read, which unit was taken).
    pub notes: Vec<String>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// A line that is worth adding to a build.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LineToAdd {
    /// Path of the key.
    pub key: String,
    /// The line as it would be written.
    pub line: String,
    /// What it narrows, and how to measure it.
    pub why: String,
}
