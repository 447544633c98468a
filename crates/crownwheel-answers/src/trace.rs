//! A drive step by step, and the motor's curves, for figures.

use crownwheel::name::Name;
use serde::Serialize;

/// One cycle driven once from full charge, a value at each sample; all lists have one length.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CycleTrace {
    /// Name of the cycle.
    pub cycle: String,
    /// Name of the day.
    pub day: Name,
    /// Time from the start, s.
    pub time_s: Vec<f64>,
    /// Distance from the start, km.
    pub distance_km: Vec<f64>,
    /// Speed that the cycle asks for, km/h.
    pub target_kmh: Vec<f64>,
    /// Speed driven, km/h.
    pub speed_kmh: Vec<f64>,
    /// Power at the pack's terminals, kW; negative while it charges.
    pub battery_power_kw: Vec<f64>,
    /// State of charge, %.
    pub charge_pct: Vec<f64>,
    /// Motor torque, N m; negative while it brakes.
    pub motor_torque_nm: Vec<f64>,
    /// Motor speed, rpm.
    pub motor_speed_rpm: Vec<f64>,
    /// Height above the start of the cycle's table, m. `None`: the cycle is flat.
    pub elevation_m: Option<Vec<f64>>,
}

/// Torque of the motor against speed at one supply voltage.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct MotorCurve {
    /// What the voltage stands for, `full pack under load`.
    pub name: String,
    /// Supply voltage under load, V.
    pub voltage_v: f64,
    /// Motor speed, rpm, rising.
    pub speed_rpm: Vec<f64>,
    /// Peak torque, N m.
    pub peak_torque_nm: Vec<f64>,
    /// Continuous torque, N m.
    pub continuous_torque_nm: Vec<f64>,
}
