//! What was understood from a build: first day, full charge, driver aboard.

use crownwheel::name::Name;
use serde::Serialize;

use crate::{Assumption, Caution, Provenance, Units, Warning};

/// The answer of `check`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CheckAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric, see [`crate::json`].
    pub units: Units,
    /// The answer in one sentence, see [`CheckAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// Name of the day that the numbers hold for.
    pub day: Name,
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
    /// Current through a dead short across the full pack at 25 °C, A.
    pub short_circuit_a: f64,
    /// Expected capacity of the weakest module of a string over the mean, %. `None`: modules are
    /// taken as alike.
    pub weakest_module_pct: Option<f64>,
    /// Motor speed above which its induced voltage is more than the inverter's highest, rpm.
    /// `None`: the motor has no magnets, or its induced voltage is not known.
    pub back_emf_limit_rpm: Option<f64>,
    /// The same as road speed, in the highest gear that is used, km/h.
    pub back_emf_limit_kmh: Option<f64>,
    /// What each day makes of pack and motor.
    pub days: Vec<DayFacts>,
    /// Motor speed in each gear of a gearbox; empty without one.
    pub gears: Vec<GearSpeed>,
    /// What each stage of the driveline is asked to bear.
    pub stages: Vec<StageLoad>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Lines to add to the build that would narrow the answers most, best first.
    pub lines_to_add: Vec<LineToAdd>,
    /// What else was understood, a sentence each (how a table was read, which unit was taken).
    pub notes: Vec<String>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// What a day makes of pack and motor.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct DayFacts {
    /// Name of the day.
    pub day: Name,
    /// Temperature of the air, °C.
    pub temperature_degc: f64,
    /// Temperature of the pack at the start, °C.
    pub pack_temperature_degc: f64,
    /// Height above sea level, m.
    pub altitude_m: f64,
    /// Density of the air, kg/m³.
    pub air_density_kgpm3: f64,
    /// State of charge at which a run ends, %.
    pub floor_pct: f64,
    /// Energy at rest between full and there, kWh.
    pub usable_kwh: f64,
    /// Heat that the motor may lose for ever over that of its rating, %; under 100 on hot days and
    /// high roads.
    pub continuous_heat_pct: f64,
}

/// Motor speed in a gear at a road speed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct GearSpeed {
    /// Gear, counted from 1.
    pub gear: u32,
    /// Motor speed over wheel speed.
    pub overall_ratio: f64,
    /// Road speed, km/h.
    pub speed_kmh: f64,
    /// Motor speed, rpm.
    pub motor_speed_rpm: f64,
    /// The motor must not turn so fast.
    pub over_motor_speed: bool,
}

/// What a stage of the driveline is asked to bear, at its input shaft, against what it may.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StageLoad {
    /// Which stage: `reduction`, `gearbox`, `axle`.
    pub stage: String,
    /// Peak motor torque carried to its input in the lowest gear, without losses, N m.
    pub launch_torque_nm: f64,
    /// What its maker allows, N m. `None`: not known.
    pub max_torque_nm: Option<f64>,
    /// What the original engine gave there in first gear, N m. `None`: not known.
    pub original_torque_nm: Option<f64>,
    /// Speed of its input at the highest motor speed in the highest gear, rpm.
    pub top_speed_rpm: f64,
    /// What its maker allows, rpm. `None`: not known.
    pub max_speed_rpm: Option<f64>,
}

/// A line that is worth adding to a build.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LineToAdd {
    /// Path of the key.
    pub key: String,
    /// The line as it would be written.
    pub line: String,
    /// By how much the band of a demanded range would shrink, %. `None`: not at all, or not known.
    pub band_shrinks_pct: Option<f64>,
    /// What it narrows, and how to measure it.
    pub why: String,
}
