//! The worst rolling value of a current, a torque or a heat.

use serde::Serialize;

use crate::{Unit, Units};

/// Lengths of the windows, s.
pub const WINDOW_LENGTHS_S: [f64; 8] = [1.0, 10.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0];

/// Which quantity a window is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WindowQuantity {
    /// Root mean square of the battery current, A.
    BatteryCurrentRms,
    /// Root mean square of the motor torque, N m.
    MotorTorqueRms,
    /// Mean heat of the motor, W.
    MotorHeatMean,
    /// Mean heat of the inverter, W.
    InverterHeatMean,
    /// Mean heat of the pack, W.
    PackHeatMean,
}

impl WindowQuantity {
    /// All quantities in the order in which they are shown.
    pub const ALL: [WindowQuantity; 5] = [
        WindowQuantity::BatteryCurrentRms,
        WindowQuantity::MotorTorqueRms,
        WindowQuantity::MotorHeatMean,
        WindowQuantity::InverterHeatMean,
        WindowQuantity::PackHeatMean,
    ];

    /// The word in JSON and CSV.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            WindowQuantity::BatteryCurrentRms => "battery_current_rms",
            WindowQuantity::MotorTorqueRms => "motor_torque_rms",
            WindowQuantity::MotorHeatMean => "motor_heat_mean",
            WindowQuantity::InverterHeatMean => "inverter_heat_mean",
            WindowQuantity::PackHeatMean => "pack_heat_mean",
        }
    }

    /// Label for people.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            WindowQuantity::BatteryCurrentRms => "battery current, r.m.s.",
            WindowQuantity::MotorTorqueRms => "motor torque, r.m.s.",
            WindowQuantity::MotorHeatMean => "motor heat, mean",
            WindowQuantity::InverterHeatMean => "inverter heat, mean",
            WindowQuantity::PackHeatMean => "pack heat, mean",
        }
    }

    /// Unit of its values.
    #[must_use]
    pub fn unit(self) -> Unit {
        match self {
            WindowQuantity::BatteryCurrentRms => Unit::A,
            WindowQuantity::MotorTorqueRms => Unit::Nm,
            WindowQuantity::MotorHeatMean
            | WindowQuantity::InverterHeatMean
            | WindowQuantity::PackHeatMean => Unit::W,
        }
    }
}

/// The worst value of a quantity over any stretch of `window_s` seconds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Window {
    /// What.
    pub quantity: WindowQuantity,
    /// Unit of `value`, its metric symbol.
    pub unit: &'static str,
    /// Length of the window, s.
    pub window_s: f64,
    /// Worst value. `None`: the run is shorter than the window.
    pub value: Option<f64>,
}

impl Window {
    /// A window with the unit that belongs to its quantity.
    #[must_use]
    pub fn new(quantity: WindowQuantity, window_s: f64, value: Option<f64>) -> Self {
        Window { quantity, unit: Units::Metric.symbol(quantity.unit()), window_s, value }
    }
}
