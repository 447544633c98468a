//! Published laws of rolling resistance: against speed, and against load, pressure and speed.
//!
//! The step takes one coefficient from the build. These laws are for reading a tyre maker's or a
//! text book's figures into such a coefficient, and for judging how far it holds over speed.

use crate::constants::{KMH_PER_MPS, METRE_PER_MILE, ZERO_CELSIUS_K};

/// 100 km/h in m/s.
const HUNDRED_KMH_MPS: f64 = 100.0 / KMH_PER_MPS;

/// 100 mph in m/s.
const HUNDRED_MPH_MPS: f64 = 100.0 * METRE_PER_MILE / 3600.0;

/// Rolling resistance coefficient against speed: `c(v) = c0 + c1 (v / v1)^n`.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SpeedLaw {
    /// Coefficient at rest `c0`, N/N.
    pub at_rest: f64,
    /// What it has risen by at `at_mps`, N/N: `c1`.
    pub rise: f64,
    /// Speed `v1`, m/s, more than 0.
    pub at_mps: f64,
    /// Power `n`.
    pub power: f64,
}

/// Car tyres, linear in speed with ft/s: `0.01 (1 + v / 147 ft/s)`.
///
/// Source: Mannering and Washburn, Principles of Highway Engineering and Traffic Analysis, ch. 2,
/// eq. 2.5.
pub const LINEAR_FROM_FEET: SpeedLaw =
    SpeedLaw { at_rest: 0.01, rise: 0.01, at_mps: 147.0 * 0.304_8, power: 1.0 };

/// The same law as usually written with km/h: `0.01 (1 + V / 160)`, up to 128 km/h.
///
/// Source: Ehsani et al., Modern Electric, Hybrid Electric and Fuel Cell Vehicles, ch. 2 (from
/// memory).
pub const LINEAR: SpeedLaw =
    SpeedLaw { at_rest: 0.01, rise: 0.01, at_mps: 1.6 * HUNDRED_KMH_MPS, power: 1.0 };

/// Radial tyres of heavy lorries: `0.0041 + 0.000041 V`, V in mph.
///
/// Source: Fancher, in Gillespie, Fundamentals of Vehicle Dynamics, ch. 4.
pub const LORRY_RADIAL: SpeedLaw =
    SpeedLaw { at_rest: 0.004_1, rise: 0.004_1, at_mps: HUNDRED_MPH_MPS, power: 1.0 };

/// Radial car tyres: `0.0136 + 0.40e-7 V²`, V in km/h.
///
/// Source: Wong, Theory of Ground Vehicles, ch. 1 (from memory), as the next two.
pub const CAR_RADIAL: SpeedLaw =
    SpeedLaw { at_rest: 0.013_6, rise: 0.000_4, at_mps: HUNDRED_KMH_MPS, power: 2.0 };

/// Cross-ply car tyres: `0.0169 + 0.19e-6 V²`, V in km/h.
pub const CAR_CROSS_PLY: SpeedLaw =
    SpeedLaw { at_rest: 0.016_9, rise: 0.001_9, at_mps: HUNDRED_KMH_MPS, power: 2.0 };

/// Radial tyres of lorries: `0.006 + 0.23e-6 V²`, V in km/h.
pub const LORRY_RADIAL_SQUARE: SpeedLaw =
    SpeedLaw { at_rest: 0.006, rise: 0.002_3, at_mps: HUNDRED_KMH_MPS, power: 2.0 };

impl SpeedLaw {
    /// The law of the Institute of Technology Stuttgart: `f0 + 3.24 fs (V / 100)^2.5`, V in mph.
    ///
    /// `f0` and `fs` (N/N) depend on pressure: 0.012 and 0.007 at 28 psi.
    ///
    /// Source: Gillespie, Fundamentals of Vehicle Dynamics, ch. 4.
    ///
    /// ```
    /// // At 100 mph: 0.012 + 3.24 · 0.007.
    /// let law = crownwheel::rolling::SpeedLaw::power_two_and_a_half(0.012, 0.007);
    /// assert!((law.coefficient(44.704) - 0.034_68).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn power_two_and_a_half(f0: f64, fs: f64) -> SpeedLaw {
        SpeedLaw { at_rest: f0, rise: 3.24 * fs, at_mps: HUNDRED_MPH_MPS, power: 2.5 }
    }

    /// The law with inflation pressure: `0.005 + (0.01 + 0.0095 (V / 100)²) / p`, p in bar above
    /// the outside air, V in km/h.
    ///
    /// `pressure_pa` is more than 0. Source: The Engineering ToolBox, rolling resistance,
    /// <https://www.engineeringtoolbox.com/rolling-friction-resistance-d_1303.html>.
    ///
    /// ```
    /// // 2 bar at 100 km/h: 0.005 + (0.01 + 0.0095) / 2.
    /// let law = crownwheel::rolling::SpeedLaw::of_pressure(2e5);
    /// assert!((law.coefficient(100.0 / 3.6) - 0.014_75).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn of_pressure(pressure_pa: f64) -> SpeedLaw {
        let bar = pressure_pa / 1e5;
        SpeedLaw {
            at_rest: 0.005 + 0.01 / bar,
            rise: 0.009_5 / bar,
            at_mps: HUNDRED_KMH_MPS,
            power: 2.0,
        }
    }

    /// Coefficient, N/N, at a speed in m/s, at least 0.
    ///
    /// ```
    /// let at_100_kmh = crownwheel::rolling::CAR_RADIAL.coefficient(100.0 / 3.6);
    /// assert!((at_100_kmh - 0.014).abs() < 1e-15);
    /// ```
    #[must_use]
    pub fn coefficient(&self, speed_mps: f64) -> f64 {
        self.at_rest + self.rise * libm::pow(speed_mps / self.at_mps, self.power)
    }
}

/// Rolling resistance of one tyre against load, pressure and speed:
/// `F = p^α Z^β (a + b V + c V²)`.
///
/// A fit is only good with the units that it was made in: N, kPa and km/h, or lbf, psi and mph.
///
/// # Source
/// SAE J2452, as used in 40 CFR 1037.528(h)(6). α belongs to pressure, β to load; some authors swap
/// the letters.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct LoadPressureLaw {
    /// Exponent α of pressure (negative: harder tyres roll easier).
    pub pressure_exponent: f64,
    /// Exponent β of load.
    pub load_exponent: f64,
    /// `a`, `b`, `c`: by rising power of speed.
    pub by_speed: [f64; 3],
}

/// Where one tyre works, in the units of the fit.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TyreWork {
    /// Load on the tyre, N or lbf.
    pub load: f64,
    /// Inflation pressure, kPa or psi.
    pub pressure: f64,
    /// Speed, km/h or mph.
    pub speed: f64,
}

impl LoadPressureLaw {
    /// Force of one tyre, N or lbf as the load.
    ///
    /// Load and pressure are more than 0.
    ///
    /// ```
    /// use crownwheel::rolling::{LoadPressureLaw, TyreWork};
    /// let law = LoadPressureLaw { pressure_exponent: -0.5, load_exponent: 1.0, by_speed: [0.1, 1e-3, 0.0] };
    /// // 3,000 N / √225 · (0.1 + 0.05).
    /// let force = law.force(TyreWork { load: 3_000.0, pressure: 225.0, speed: 50.0 });
    /// assert!((force - 30.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn force(&self, work: TyreWork) -> f64 {
        let [a, b, c] = self.by_speed;
        let TyreWork { load, pressure, speed } = work;
        libm::pow(pressure, self.pressure_exponent)
            * libm::pow(load, self.load_exponent)
            * (a + speed * (b + speed * c))
    }
}

/// Reference temperature of the SAE J2452 test, K (24 °C; 40 CFR 1037.528).
pub const J2452_REFERENCE_TEMPERATURE_K: f64 = ZERO_CELSIUS_K + 24.0;

/// Rolling resistance carried from the reference temperature of the test to the air's:
/// `F = F24 (1 + K (24 °C - T))`.
///
/// The direction is the reverse of [`crate::tyre::drum_force_at_25_degc_n`].
///
/// # Units
/// `force_n` at 24 °C; `slope_per_k` is 0.006 1/K in the regulation.
/// # Source
/// 40 CFR 1037.528(h)(6).
///
/// ```
/// // 14 °C is 10 K colder: 6 % more.
/// let force_n = crownwheel::rolling::force_at_air_temperature_n(100.0, 287.15, 0.006);
/// assert!((force_n - 106.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn force_at_air_temperature_n(force_n: f64, temperature_k: f64, slope_per_k: f64) -> f64 {
    force_n * (1.0 + slope_per_k * (J2452_REFERENCE_TEMPERATURE_K - temperature_k))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_linear_laws_are_one() {
        let (feet, kmh) = (LINEAR_FROM_FEET.coefficient(30.0), LINEAR.coefficient(30.0));
        assert!((feet / kmh - 1.0).abs() < 0.005, "{feet} {kmh}");
    }

    #[test]
    fn harder_tyres_roll_easier() {
        let soft = SpeedLaw::of_pressure(1.8e5).coefficient(20.0);
        let hard = SpeedLaw::of_pressure(2.4e5).coefficient(20.0);
        assert!(hard < soft);
    }

    #[test]
    fn a_cold_day_costs_force() {
        let at = |celsius: f64| force_at_air_temperature_n(100.0, ZERO_CELSIUS_K + celsius, 0.006);
        assert!((at(24.0) - 100.0).abs() < 1e-12);
        assert!((at(14.0) - 106.0).abs() < 1e-9);
    }
}
