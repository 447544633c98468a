//! The units in which ranges are written, with their exact factor to SI.

use super::Dimension;
use super::Dimension as D;
use crate::constants::{JPM_PER_WH_PER_KM, KMH_PER_MPS, ZERO_CELSIUS_K};

/// A unit: `SI value = (value + offset) x factor`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How it is written, `km/h`.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Factor to SI.
    pub factor: f64,
    /// Added to the value before the factor; only temperatures have one.
    pub offset: f64,
}

impl Unit {
    /// A unit without an offset.
    #[must_use]
    pub const fn new(name: &'static str, dimension: Dimension, factor: f64) -> Self {
        Unit { name, dimension, factor, offset: 0.0 }
    }

    /// A value in this unit, in SI.
    #[must_use]
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// A difference of two values in this unit, in SI: the offset of a temperature drops out.
    #[must_use]
    pub fn difference_to_si(&self, difference: f64) -> f64 {
        difference * self.factor
    }

    /// An SI value in this unit.
    #[must_use]
    pub fn value_of(&self, si: f64) -> f64 {
        si / self.factor - self.offset
    }
}

/// A pure number.
pub const ONE: Unit = Unit::new("", D::Ratio, 1.0);
/// Kilogram.
pub const KG: Unit = Unit::new("kg", D::Mass, 1.0);
/// Metre.
pub const M: Unit = Unit::new("m", D::Length, 1.0);
/// Kilometre.
pub const KM: Unit = Unit::new("km", D::Length, 1e3);
/// Square metre.
pub const M2: Unit = Unit::new("m2", D::Area, 1.0);
/// Kilometre per hour.
pub const KM_PER_H: Unit = Unit::new("km/h", D::Speed, 1.0 / KMH_PER_MPS);
/// Metre per second.
pub const M_PER_S: Unit = Unit::new("m/s", D::Speed, 1.0);
/// Revolution per minute.
pub const RPM: Unit = Unit::new("rpm", D::ShaftSpeed, std::f64::consts::PI / 30.0);
/// Second.
pub const S: Unit = Unit::new("s", D::Time, 1.0);
/// Minute.
pub const MIN: Unit = Unit::new("min", D::Time, 60.0);
/// Hour.
pub const H: Unit = Unit::new("h", D::Time, 3_600.0);
/// Newton.
pub const N: Unit = Unit::new("N", D::Force, 1.0);
/// Newton per millimetre.
pub const N_PER_MM: Unit = Unit::new("N/mm", D::Stiffness, 1e3);
/// Newton per metre per second.
pub const N_PER_MPS: Unit = Unit::new("N/(m/s)", D::ForcePerSpeed, 1.0);
/// Newton per square metre per second squared.
pub const N_PER_MPS2: Unit = Unit::new("N/(m/s)^2", D::ForcePerSpeedSquared, 1.0);
/// Newton metre.
pub const N_M: Unit = Unit::new("N m", D::Torque, 1.0);
/// Kilowatt.
pub const KW: Unit = Unit::new("kW", D::Power, 1e3);
/// Watt-hour per kilometre.
pub const WH_PER_KM: Unit = Unit::new("Wh/km", D::EnergyPerDistance, JPM_PER_WH_PER_KM);
/// Ampere.
pub const A: Unit = Unit::new("A", D::Current, 1.0);
/// Ampere-hour.
pub const AH: Unit = Unit::new("Ah", D::Charge, 3_600.0);
/// Volt.
pub const V: Unit = Unit::new("V", D::Voltage, 1.0);
/// Ohm.
pub const OHM: Unit = Unit::new("ohm", D::Resistance, 1.0);
/// Kilopascal.
pub const KPA: Unit = Unit::new("kPa", D::Pressure, 1e3);
/// Degree Celsius.
pub const CELSIUS: Unit =
    Unit { name: "°C", dimension: D::Temperature, factor: 1.0, offset: ZERO_CELSIUS_K };
/// Kilogram square metre.
pub const KG_M2: Unit = Unit::new("kg m2", D::Inertia, 1.0);
/// Capacity per hour.
pub const C: Unit = Unit::new("C", D::ChargeRate, 1.0);
/// Watt per kelvin.
pub const W_PER_K: Unit = Unit::new("W/K", D::Conductance, 1.0);
/// Kilojoule per kelvin.
pub const KJ_PER_K: Unit = Unit::new("kJ/K", D::HeatCapacity, 1e3);
/// Joule per kilogram and kelvin.
pub const J_PER_KG_K: Unit = Unit::new("J/(kg K)", D::SpecificHeat, 1.0);
/// Kelvin of a coefficient.
pub const K: Unit = Unit::new("K", D::TemperatureCoefficient, 1.0);
/// Watt per newton metre squared.
pub const W_PER_NM2: Unit = Unit::new("W/(N m)^2", D::LossPerTorqueSquared, 1.0);
/// Watt per radian per second.
pub const W_PER_RADPS: Unit = Unit::new("W/(rad/s)", D::LossPerShaftSpeed, 1.0);
/// Watt per cubed radian per second.
pub const W_PER_RADPS3: Unit = Unit::new("W/(rad/s)^3", D::LossPerShaftSpeedCubed, 1.0);
