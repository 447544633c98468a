//! Charging at each supply.

use crownwheel::name::Name;
use serde::Serialize;

use crate::sweep::Answers;
use crate::{Assumption, Caution, Provenance, Units, Warning, WorldDraw};

/// The answer of `charge`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ChargeAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence, see [`ChargeAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// Name of the day.
    pub day: Name,
    /// State of charge at the start, %.
    pub from_pct: f64,
    /// State of charge that is asked for, %.
    pub to_pct: f64,
    /// Heat that warms a cold pack to 5 °C before it is charged, kWh, without what leaks away; 0 for a warmer one.
    pub warm_up_kwh: f64,
    /// One for each supply, in file order.
    pub supplies: Vec<SupplyLine>,
    /// The worlds behind the bands. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawn: Option<WorldDraw>,
    /// Bands of the answers that have one, by name; empty without worlds.
    #[serde(skip_serializing_if = "Answers::is_empty")]
    pub bands: Answers,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// Charging at one supply.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SupplyLine {
    /// Name.
    pub name: Name,
    /// Highest power of the supply, kW.
    pub supply_kw: f64,
    /// Time, h, warming included. `None`: it never gets there.
    pub hours: Option<f64>,
    /// Energy from the wall, kWh, with warming up.
    pub wall_kwh: Option<f64>,
    /// Energy into the pack, kWh.
    pub into_pack_kwh: Option<f64>,
    /// Energy that warms a cold pack and holds it warm, kWh out of the charger.
    pub warming_kwh: Option<f64>,
    /// Time before any charge goes in, h.
    pub before_charging_hours: Option<f64>,
    /// State of charge at the end, %: what was asked for, or where the current fell to a twentieth
    /// of capacity.
    pub end_pct: f64,
    /// State of charge from which power falls, %. `None`: it does not.
    pub taper_from_pct: Option<f64>,
    /// Range that an hour of charging gives, km, on the cycle that `notes` names.
    pub km_per_hour: Option<f64>,
    /// Points of the charge, a hundred or so.
    pub points: Vec<ChargePoint>,
}

/// A moment of a charge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct ChargePoint {
    /// Time from the start, min.
    pub time_min: f64,
    /// State of charge, %.
    pub charge_pct: f64,
    /// Power into the pack, kW.
    pub power_kw: f64,
    /// Current into the pack, A.
    pub current_a: f64,
    /// Voltage at the pack's terminals, V.
    pub voltage_v: f64,
    /// Temperature of the pack, °C.
    pub pack_degc: f64,
}
