//! Density of the air, and the standard atmosphere.

use crate::constants::{
    ATMOSPHERE_EARTH_RADIUS_M, LAPSE_RATE_KPM, SEA_LEVEL_PRESSURE_PA, SEA_LEVEL_TEMPERATURE_K,
    STANDARD_AIR_GAS_CONSTANT_JPKGK, STANDARD_GRAVITY_MPS2, ZERO_CELSIUS_K,
};

/// Temperature, pressure and humidity of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct AirState {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Relative humidity, 0..1.
    pub humidity_frac: f64,
}

/// Temperature and pressure of the standard atmosphere at a geopotential height.
///
/// `T = T0 - L H`, `p = p0 (T/T0)^(g/(R L))`.
///
/// # Units
/// `height_m` geopotential (map) height, -5,000 to 11,000 m. The result is dry air.
/// # Source
/// ISO 2533:1975 (the same as the US Standard Atmosphere 1976 below 32 km).
///
/// ```
/// // Printed in ISO 2533 for 1,000 m: 281.650 K and 898.746 hPa.
/// let air = crownwheel::air::standard_atmosphere(1000.0);
/// assert!((air.temperature_k - 281.65).abs() < 1e-9);
/// assert!((air.pressure_pa - 89_874.6).abs() < 0.1);
/// ```
#[must_use]
pub fn standard_atmosphere(height_m: f64) -> AirState {
    let temperature_k = SEA_LEVEL_TEMPERATURE_K - LAPSE_RATE_KPM * height_m;
    let exponent = STANDARD_GRAVITY_MPS2 / (STANDARD_AIR_GAS_CONSTANT_JPKGK * LAPSE_RATE_KPM);
    let pressure_pa =
        SEA_LEVEL_PRESSURE_PA * libm::pow(temperature_k / SEA_LEVEL_TEMPERATURE_K, exponent);
    AirState { temperature_k, pressure_pa, humidity_frac: 0.0 }
}

/// Geopotential height of a geometric height: `H = r0 Z / (r0 + Z)`, metres both.
///
/// # Source
/// ISO 2533:1975, with its Earth radius of 6,356,766 m.
///
/// ```
/// // 6,356,766 · 10,000 / 6,366,766.
/// let height_m = crownwheel::air::geopotential_height_m(10_000.0);
/// assert!((height_m - 9_984.293).abs() < 1e-3);
/// ```
#[must_use]
pub fn geopotential_height_m(geometric_height_m: f64) -> f64 {
    ATMOSPHERE_EARTH_RADIUS_M * geometric_height_m
        / (ATMOSPHERE_EARTH_RADIUS_M + geometric_height_m)
}

/// Density of dry air as an ideal gas: `ρ = p / (R T)`, kg/m³.
///
/// # Units
/// `gas_constant_jpkgk`: which book's constant, see [`crate::constants`].
///
/// Temperature and pressure are more than 0; humidity is left out. Source: ideal gas law.
///
/// ```
/// use crownwheel::air::{dry_density_kgpm3, standard_atmosphere};
/// use crownwheel::constants::STANDARD_AIR_GAS_CONSTANT_JPKGK;
/// // ISO 2533 prints 1.225 kg/m³ at sea level.
/// let density = dry_density_kgpm3(standard_atmosphere(0.0), STANDARD_AIR_GAS_CONSTANT_JPKGK);
/// assert!((density - 1.225).abs() < 1e-4);
/// ```
#[must_use]
pub fn dry_density_kgpm3(air: AirState, gas_constant_jpkgk: f64) -> f64 {
    air.pressure_pa / (gas_constant_jpkgk * air.temperature_k)
}

/// What the formula for moist air finds on its way to the density.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct MoistAir {
    /// Density, kg/m³.
    pub density_kgpm3: f64,
    /// Saturation pressure of water vapour, Pa.
    pub saturation_pressure_pa: f64,
    /// Mole fraction of water vapour.
    pub vapour_frac: f64,
    /// Compressibility factor.
    pub compressibility: f64,
}

/// Density of moist air by the CIPM-2007 formula, with 400 ppm of carbon dioxide.
///
/// `ρ = 3.483740e-3 p/(Z T) (1 - 0.3780 x_v)`
///
/// # Units
/// The formula is stated for 15 to 27 °C and 600 to 1,100 hPa, where it is good to 22 ppm; outside
/// it is carried on and stays within 0.1 % of other sources between 0 and 40 °C.
/// # Source
/// Picard, Davis, Gläser, Fujii: Revised formula for the density of moist air (CIPM-2007),
/// Metrologia 45 (2008) 149-155.
///
/// ```
/// use crownwheel::air::{AirState, moist_air};
/// // Steam tables give 2,339 Pa at 20 °C (from memory); a third of it in 101,325 Pa is 0.77 %.
/// let air = AirState { temperature_k: 293.15, pressure_pa: 101_325.0, humidity_frac: 1.0 / 3.0 };
/// assert!((moist_air(air).saturation_pressure_pa - 2_339.0).abs() < 1.0);
/// assert!((moist_air(air).vapour_frac / (2_339.0 / 3.0 / 101_325.0) - 1.0).abs() < 0.005);
/// ```
#[must_use]
pub fn moist_air(air: AirState) -> MoistAir {
    let (t, p) = (air.temperature_k, air.pressure_pa);
    let c = t - ZERO_CELSIUS_K;
    let saturation_pressure_pa =
        libm::exp(1.237_884_7e-5 * t * t - 1.912_131_6e-2 * t + 33.937_110_47 - 6.343_164_5e3 / t);
    let enhancement = 1.000_62 + 3.14e-8 * p + 5.6e-7 * c * c;
    let x = air.humidity_frac * enhancement * saturation_pressure_pa / p;
    let linear = 1.581_23e-6 - 2.933_1e-8 * c
        + 1.104_3e-10 * c * c
        + (5.707e-6 - 2.051e-8 * c) * x
        + (1.989_8e-4 - 2.376e-6 * c) * x * x;
    let ratio = p / t;
    let compressibility = 1.0 - ratio * linear + ratio * ratio * (1.83e-11 - 0.765e-8 * x * x);
    let density_kgpm3 = 3.483_740e-3 * p / (compressibility * t) * (1.0 - 0.378_0 * x);
    MoistAir { density_kgpm3, saturation_pressure_pa, vapour_frac: x, compressibility }
}

/// Density of moist air, kg/m³, by [`moist_air`].
///
/// ```
/// use crownwheel::air::{AirState, density_kgpm3};
/// let air = AirState { temperature_k: 293.15, pressure_pa: 101_325.0, humidity_frac: 0.5 };
/// assert!((density_kgpm3(air) - 1.199_31).abs() < 1e-5);
/// ```
#[must_use]
pub fn density_kgpm3(air: AirState) -> f64 {
    moist_air(air).density_kgpm3
}
