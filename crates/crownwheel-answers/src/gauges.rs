//! What the gauges read, and how fast shafts turn.

use crownwheel::name::Name;
use serde::Serialize;

use crate::pull::ShaftLine;
use crate::{Assumption, Caution, Provenance, Units, Warning};

/// The answer of `gauges`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct GaugesAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence, see [`GaugesAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// Motor and propeller shaft against road speed, in the usual gear.
    pub speeds: Vec<ShaftLine>,
    /// The speedometer. `None`: the build does not say what it belonged to.
    pub speedometer: Option<Speedometer>,
    /// Charge against voltage at rest.
    pub charge: Vec<RestLine>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// A speedometer after its gearing was changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Speedometer {
    /// What drives it.
    pub driven_from: String,
    /// Reading over true speed.
    pub reading_over_true: f64,
    /// What it shows at a true 100 km/h, km/h.
    pub reads_at_100_kmh_kmh: f64,
    /// Turns of its drive for a kilometre.
    pub turns_per_kilometre: f64,
    /// Pulses of the sender for a kilometre. `None`: no sender is given.
    pub pulses_per_kilometre: Option<f64>,
}

/// Voltage at rest at a state of charge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RestLine {
    /// State of charge, %.
    pub charge_pct: f64,
    /// Voltage of the pack at rest, V.
    pub rest_voltage_v: f64,
    /// Voltage of a cell at rest, V.
    pub cell_voltage_v: f64,
}
