//! Use and range per cycle and day, and at steady speed.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::sweep::MeasureNext;
use crate::{
    Assumed, Balance, Band, BrakingMemo, Caution, Drawn, Provenance, Units, Warning, Window,
};

/// The answer of `range`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RangeAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric, see [`crate::json`].
    pub units: Units,
    /// The answer in one sentence, see [`RangeAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: String,
    /// Share of the usable energy kept back in `range_with_reserve_km`, %.
    pub reserve_pct: f64,
    /// Capacity left that the ranges hold for, %; 100 for a new pack.
    pub state_of_health_pct: f64,
    /// One for each cycle and day.
    pub results: Vec<CycleResult>,
    /// One for each day and steady speed.
    pub steady: Vec<SteadyResult>,
    /// The worlds behind the bands. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawn: Option<Drawn>,
    /// Inputs that move the ranges most; empty without worlds.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub measure_next: Vec<MeasureNext>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumed>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// One cycle on one day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CycleResult {
    /// Name of the cycle.
    pub cycle: String,
    /// Name of the day.
    pub day: String,
    /// Length of one cycle as driven, km.
    pub distance_km: f64,
    /// Duration of one cycle as driven, s.
    pub duration_s: f64,
    /// Energy at the pack's terminals, net, over the whole range, Wh/km. Not a number, null in JSON,
    /// if the car never moved; so are all others per km.
    pub use_wh_per_km: f64,
    /// The same with its band. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub use_band_wh_per_km: Option<Band>,
    /// Energy from the wall that puts it back, Wh/km.
    pub wall_wh_per_km: f64,
    /// Miles per gallon of petrol of equal energy, at the wall; only in US units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equivalent_mpg: Option<f64>,
    /// Range to empty.
    pub range_km: Band,
    /// Range with the reserve kept back, km.
    pub range_with_reserve_km: f64,
    /// Time more than 2 km/h below the target in one cycle from full, s.
    pub shortfall_s: f64,
    /// Distance lost against the target in one cycle from full, m.
    pub shortfall_m: f64,
    /// The car cannot follow the cycle even from full charge.
    pub cannot_follow_when_full: bool,
    /// Seconds of one cycle from full under each binding limit, by name.
    pub binding: BTreeMap<String, f64>,
    /// Seconds of one cycle from full in each gear, counted from 1. Empty: there is no choice.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub gear_s: BTreeMap<u32, f64>,
    /// How hard the motor worked.
    pub motor: MotorUse,
    /// Worst rolling values.
    pub windows: Vec<Window>,
    /// Where the energy went over the whole range, Wh/km.
    pub balance_wh_per_km: Balance,
    /// Braking, beside the balance.
    pub braking: BrakingMemo,
}

/// How hard the motor worked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct MotorUse {
    /// Root mean square torque, N m.
    pub rms_torque_nm: f64,
    /// Highest speed, rpm.
    pub max_speed_rpm: f64,
    /// Highest used share of heat, 1 at the limit. `None`: the build gives no time at peak torque.
    pub heat_used_max: Option<f64>,
}

/// Driving on the flat at one speed until empty.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SteadyResult {
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Name of the day.
    pub day: String,
    /// Range to empty, km. `None`: the speed cannot be held.
    pub range_km: Option<f64>,
    /// Energy at the pack's terminals, Wh/km. `None`: the speed cannot be held.
    pub use_wh_per_km: Option<f64>,
    /// The run ends with charge left, because the car no longer keeps this speed (heat, voltage).
    pub ends_too_slow: bool,
    /// What binds at this speed, `none` when nothing does.
    pub limit: String,
    /// Motor speed, rpm.
    pub motor_speed_rpm: f64,
}
