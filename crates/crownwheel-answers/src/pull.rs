//! Tractive effort, times, hills and speeds, each with what limits it.

use crownwheel::name::Name;
use serde::Serialize;

pub use crate::hills::{HeatPoint, HillLine};
use crate::sweep::Answers;
use crate::{Assumption, Caution, Provenance, Units, Warning, WorldDraw};

/// The answer of `pull`: first day, flat road, those aboard who drive along.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PullAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence, see [`PullAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// Name of the day.
    pub day: Name,
    /// State of charge of `table` and of everything that names no other, %.
    pub charge_pct: f64,
    /// Pull every km/h from standstill to the highest speed that the motor may turn.
    pub table: Vec<PullLine>,
    /// The same at half and at nearly empty charge.
    pub at_less_charge: Vec<PullAtCharge>,
    /// Times from a run at full throttle.
    pub times_s: Times,
    /// Time to 100 km/h from a run with half the step, s. `None`: not reached.
    pub kmh_0_100_half_step_s: Option<f64>,
    /// The run at full throttle, a point about every tenth of a second.
    pub run: Vec<RunPoint>,
    /// Speed at the quarter mile, km/h. `None`: not reached.
    pub quarter_mile_speed_kmh: Option<f64>,
    /// Time without drive at a shift, s. `None`: nothing is shifted.
    pub shift_s: Option<f64>,
    /// Highest speed on the flat.
    pub top_speed: TopSpeed,
    /// Highest speed into a headwind of 10 m/s at the car.
    pub top_speed_into_10_mps: TopSpeed,
    /// Steepest grade that the car starts on, %. `None`: it does not start on the flat.
    pub start_grade_pct: Option<f64>,
    /// Steepest grades at steady speeds.
    pub hold: Vec<HoldLine>,
    /// The named hills of the build.
    pub hills: Vec<HillLine>,
    /// Half an hour at 112 km/h on the flat.
    pub cruise: Vec<HillLine>,
    /// Power and speed for thirty minutes.
    pub thirty_minutes: ThirtyMinutes,
    /// Braking by the motor.
    pub overrun: Vec<OverrunLine>,
    /// Load moving forward.
    pub braking: BrakingLoads,
    /// Road speed in each gear above which the motor turns faster than it may, downhill too.
    pub over_rev: Vec<OverRevLine>,
    /// Shaft speeds.
    pub shafts: Vec<ShaftLine>,
    /// The worlds behind the bands. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawn: Option<WorldDraw>,
    /// Bands of the answers that have one, by name; empty without worlds.
    #[serde(skip_serializing_if = "Answers::is_empty")]
    pub bands: Answers,
    /// Ratios side by side: every gear of a kept gearbox, or what was set as a list.
    pub ratios: Vec<RatioLine>,
    /// What else to know, a sentence each; differences between ratios among them.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// Pull at one speed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PullLine {
    /// Road speed, km/h.
    pub speed_kmh: f64,
    /// Motor speed, rpm.
    pub motor_speed_rpm: f64,
    /// Gear, counted from 1.
    pub gear: usize,
    /// Mass that the pull accelerates, kg, in the driving sense.
    pub effective_mass_kg: f64,
    /// Greatest force at the driven wheels, N.
    pub pull_n: f64,
    /// The same when the motor is hot, N.
    pub continuous_pull_n: f64,
    /// Road load on the flat, N.
    pub road_load_n: f64,
    /// Road load on 5 %, N.
    pub road_load_5_pct_n: f64,
    /// Road load on 10 %, N.
    pub road_load_10_pct_n: f64,
    /// Road load on 20 %, N.
    pub road_load_20_pct_n: f64,
    /// What keeps `pull_n` from being more.
    pub limit: String,
}

/// A pull table at another state of charge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PullAtCharge {
    /// State of charge, %.
    pub charge_pct: f64,
    /// The table.
    pub table: Vec<PullLine>,
}

/// Times at full throttle, s. `None`: not reached.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Times {
    /// 0 to 50 km/h.
    pub kmh_0_50: Option<f64>,
    /// 0 to 100 km/h.
    pub kmh_0_100: Option<f64>,
    /// 0 to 60 mph.
    pub mph_0_60: Option<f64>,
    /// 50 to 80 km/h.
    pub kmh_50_80: Option<f64>,
    /// 80 to 120 km/h.
    pub kmh_80_120: Option<f64>,
    /// A quarter of a mile from rest.
    pub quarter_mile: Option<f64>,
}

/// A moment of the run at full throttle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunPoint {
    /// Time from the start, s.
    pub time_s: f64,
    /// Distance from the start, m.
    pub distance_m: f64,
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Gear, counted from 1.
    pub gear: usize,
    /// What bound on the way here.
    pub limit: String,
}

/// One ratio.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RatioLine {
    /// What was set, `driveline.axle.ratio = 3.89`, or the gear.
    pub name: String,
    /// Motor speed over wheel speed.
    pub overall_ratio: f64,
    /// Greatest pull at standstill, N.
    pub launch_pull_n: f64,
    /// Steepest start, %.
    pub start_grade_pct: Option<f64>,
    /// 0 to 50 km/h, s.
    pub kmh_0_50_s: Option<f64>,
    /// 0 to 100 km/h, s.
    pub kmh_0_100_s: Option<f64>,
    /// Highest speed on the flat.
    pub top_speed: TopSpeed,
    /// Steepest grade at 80 km/h, %.
    pub grade_at_80_kmh_pct: Option<f64>,
    /// Motor speed at 112 km/h, rpm.
    pub motor_at_112_kmh_rpm: f64,
    /// That is faster than the motor may turn.
    pub over_speed_at_112_kmh: bool,
}

/// A highest speed.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TopSpeed {
    /// Speed, km/h.
    pub kmh: f64,
    /// What limits it.
    pub limit: String,
}

/// Steepest grades at a steady speed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoldLine {
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Steepest grade at peak torque, %. `None`: the speed is not held on the flat.
    pub grade_pct: Option<f64>,
    /// Steepest grade at continuous torque, %.
    pub continuous_grade_pct: Option<f64>,
    /// Time on the steepest grade until the motor cuts back, from cold, min. `None`: see `held`.
    pub minutes_to_cut_back: Option<f64>,
    /// The same after 20 minutes on the flat at that speed, min.
    pub minutes_to_cut_back_warm: Option<f64>,
    /// How it ends, in words: `cuts back`, `holds`, `pack empty first`.
    pub held: String,
    /// What limits the pull at that speed.
    pub limit: String,
}

/// Power and speed for thirty minutes from cold. `None`: the build gives no time at peak torque.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct ThirtyMinutes {
    /// Shaft power at the sheet's voltage, kW.
    pub power_kw: Option<f64>,
    /// Speed on the flat, km/h.
    pub speed_kmh: Option<f64>,
}

/// Braking by the motor alone at one speed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OverrunLine {
    /// Road speed, km/h.
    pub speed_kmh: f64,
    /// State of charge, %.
    pub charge_pct: f64,
    /// Greatest braking force of the driven wheels, N.
    pub braking_n: f64,
    /// Deceleration by it, m/s².
    pub deceleration_mps2: f64,
    /// What keeps it from being more.
    pub limit: String,
}

/// Load moving forward, and when braking by the motor locks the driven axle.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct BrakingLoads {
    /// Deceleration at which the motor alone locks the driven axle in the wet, m/s².
    pub lock_in_the_wet_mps2: f64,
    /// Front axle load at 0.5 g before the conversion, nobody aboard, kg.
    pub front_at_half_g_before_kg: f64,
    /// Rear axle load at 0.5 g before, kg.
    pub rear_at_half_g_before_kg: f64,
    /// Front axle load at 0.5 g after the conversion, nobody aboard, kg.
    pub front_at_half_g_after_kg: f64,
    /// Rear axle load at 0.5 g after, kg.
    pub rear_at_half_g_after_kg: f64,
}

/// Where a gear ends.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OverRevLine {
    /// Gear, counted from 1.
    pub gear: usize,
    /// Road speed at the motor's highest speed, km/h.
    pub speed_kmh: f64,
}

/// Shaft speeds at a road speed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ShaftLine {
    /// Road speed, km/h.
    pub speed_kmh: f64,
    /// Gear, counted from 1.
    pub gear: usize,
    /// Motor, rpm.
    pub motor_speed_rpm: f64,
    /// Propeller shaft (input of the final drive), rpm.
    pub propeller_shaft_rpm: f64,
    /// The motor would turn faster than it may.
    pub over_speed: bool,
}
