//! From the motor shaft to the wheels: gear stages, their losses, and inertia.

use std::sync::LazyLock;

use crate::constants::{KMH_PER_MPS, OIL_REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::lane::Lane;
use crate::spec::StageSpec;
use crate::table::Table;

/// Most that cold oil multiplies drag torque by. Engineer's judgement.
pub const COLD_OIL_MOST: f64 = 4.0;

/// Kinematic viscosity of the assumed gear oil at 40 °C, mm²/s: SAE 90 class, mineral, typical.
const OIL_40_DEGC_MM2PS: f64 = 150.0;

/// The same at 100 °C, mm²/s (SAE J306 puts SAE 90 between 13.5 and 18.5; from memory).
const OIL_100_DEGC_MM2PS: f64 = 15.0;

/// A stage ready to run, in any width.
///
/// Torques are at its input shaft. With load torque `y` (output torque over ratio) and drag `D`
/// the input torque is `max((y + D)/η, η y + D)`: the first while power enters from the motor, the
/// second while it enters from the wheels. The stage so loses `(1 - η)` of the power entering it,
/// in either direction, and `D ω` beside; where a trickle enters from both ends the larger loss
/// counts and the torque has no jump.
#[derive(Clone, Copy, Debug)]
pub struct Stage<L> {
    /// Input speed over output speed.
    pub ratio: L,
    /// One over the ratio.
    pub per_ratio: L,
    /// Efficiency under load.
    pub efficiency: L,
    /// One over efficiency.
    pub per_efficiency: L,
    /// Drag torque at the input shaft now, N m.
    pub drag_nm: L,
}

impl<L: Lane> Stage<L> {
    /// Torque at the input shaft, N m, for a torque at the output shaft, N m.
    ///
    /// `max((T_out / i + D) / η, η T_out / i + D)`. Our own law, see [`Stage`].
    ///
    /// ```
    /// use crownwheel::driveline::Stage;
    /// let stage = Stage { ratio: 4.0, per_ratio: 0.25, efficiency: 0.96, per_efficiency: 1.0 / 0.96,
    ///     drag_nm: 1.2 };
    /// // (100 / 4 + 1.2) / 0.96.
    /// assert!((stage.input_nm(100.0) - 27.291_667_f64).abs() < 1e-6);
    /// ```
    #[inline(always)]
    pub fn input_nm(&self, output_nm: L) -> L {
        let load = output_nm * self.per_ratio;
        let driving = (load + self.drag_nm) * self.per_efficiency;
        driving.max(load * self.efficiency + self.drag_nm)
    }

    /// Torque at the output shaft, N m, for a torque at the input shaft, N m: the inverse.
    ///
    /// ```
    /// use crownwheel::driveline::Stage;
    /// let stage = Stage { ratio: 4.0, per_ratio: 0.25, efficiency: 0.96, per_efficiency: 1.0 / 0.96,
    ///     drag_nm: 1.2 };
    /// // (25 · 0.96 - 1.2) · 4.
    /// assert!((stage.output_nm(25.0) - 91.2_f64).abs() < 1e-9);
    /// ```
    #[inline(always)]
    pub fn output_nm(&self, input_nm: L) -> L {
        let driving = input_nm * self.efficiency - self.drag_nm;
        driving.min((input_nm - self.drag_nm) * self.per_efficiency) * self.ratio
    }
}

/// Drag torque against speed: `T_ref (0.5 + 0.5 n / n_ref)` as a constant and a slope, N m and
/// N m per rad/s of the stage's input shaft.
///
/// Half of the drag is there at rest, half grows with speed: engineer's judgement. `drag_speed_radps` is more
/// than 0.
///
/// ```
/// let mut stage = crownwheel::example::small_saloon().driveline.axle;
/// (stage.drag_torque_nm, stage.drag_speed_radps) = (1.2, 300.0);
/// let (rest_nm, slope) = crownwheel::driveline::drag_line(&stage);
/// assert!((rest_nm - 0.6).abs() < 1e-12 && (slope - 0.002).abs() < 1e-12);
/// ```
#[must_use]
pub fn drag_line(stage: &StageSpec) -> (f64, f64) {
    let half_nm = 0.5 * stage.drag_torque_nm;
    (half_nm, half_nm / stage.drag_speed_radps)
}

/// Kinematic viscosity of the assumed gear oil, mm²/s, between -40 and 120 °C.
///
/// `log log (ν + 0.7) = A - B log T`, through two given points.
///
/// # Source
/// The viscosity-temperature form of ASTM D341.
///
/// ```
/// // The points that it goes through: 150 mm²/s at 40 °C and 15 at 100 °C.
/// let at = crownwheel::driveline::oil_viscosity_mm2ps;
/// assert!((at(313.15) - 150.0).abs() < 1e-9 && (at(373.15) - 15.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn oil_viscosity_mm2ps(temperature_k: f64) -> f64 {
    let double_log = |viscosity: f64| libm::log10(libm::log10(viscosity + 0.7));
    let cool = libm::log10(40.0 + ZERO_CELSIUS_K);
    let hot = libm::log10(100.0 + ZERO_CELSIUS_K);
    let slope = (double_log(OIL_40_DEGC_MM2PS) - double_log(OIL_100_DEGC_MM2PS)) / (hot - cool);
    let value = double_log(OIL_40_DEGC_MM2PS) - slope * (libm::log10(temperature_k) - cool);
    libm::pow(10f64, libm::pow(10f64, value)) - 0.7
}

/// Factor on drag torque against oil temperature: `min(4, (ν(T) / ν(80 °C))^x)`.
///
/// In the table that the step reads it is held at its ends: oil hotter than 120 °C drags as at 120 °C.
///
/// `temperature_k` between -40 and 120 °C; `exponent` about 0.33 ± 0.1 (engineer's judgement).
///
/// ```
/// use crownwheel::driveline::cold_oil_factor;
/// // 40 °C against 80 °C with exponent 1 is the quotient of the viscosities.
/// let quotient = 150.0 / crownwheel::driveline::oil_viscosity_mm2ps(353.15);
/// assert!((cold_oil_factor(313.15, 1.0) - quotient.min(4.0)).abs() < 1e-9);
/// ```
#[must_use]
pub fn cold_oil_factor(temperature_k: f64, exponent: f64) -> f64 {
    let ratio =
        oil_viscosity_mm2ps(temperature_k) / oil_viscosity_mm2ps(OIL_REFERENCE_TEMPERATURE_K);
    libm::pow(ratio, exponent).min(COLD_OIL_MOST)
}

/// Speed at which a casing gives off its stated conductance, m/s (50 km/h).
pub const CASING_AT_MPS: f64 = 50.0 / KMH_PER_MPS;

/// Conductance of a casing at a road speed over that at [`CASING_AT_MPS`]: `0.25 + 0.45 √x + 0.30 x`, with `x` the
/// speed over that one.
///
/// A quarter is left at rest; the rest is `0.6 √x + 0.4 x`, which lies within 6 % of `x^0.7` from 15 to 160 km/h: forced
/// convection around a body goes with about the 0.7th power of speed. `speed_mps` from 0. Engineer's judgement.
///
/// ```
/// use crownwheel::driveline::conductance_by_speed;
/// assert!((conductance_by_speed(50.0 / 3.6) - 1.0_f64).abs() < 1e-12);
/// assert!((conductance_by_speed(200.0 / 3.6) - 2.35_f64).abs() < 1e-12);
/// ```
#[inline(always)]
pub fn conductance_by_speed<L: Lane>(speed_mps: L) -> L {
    let x = speed_mps * L::splat(1.0 / CASING_AT_MPS);
    L::splat(0.25) + L::splat(0.45) * x.sqrt() + L::splat(0.30) * x
}

/// Temperatures of the oil's table, K; beyond them its ends hold.
const OIL_SPAN_K: (f64, f64) = (ZERO_CELSIUS_K - 40.0, ZERO_CELSIUS_K + 120.0);

/// Cells of the oil's table, one a kelvin.
const OIL_CELLS: u32 = 160;

/// `ln(ν(T) / ν(80 °C))` at the nodes of the oil's table.
static LOG_VISCOSITY_RATIO: LazyLock<Vec<f64>> = LazyLock::new(|| {
    let reference = oil_viscosity_mm2ps(OIL_REFERENCE_TEMPERATURE_K);
    let at = |i: u32| libm::log(oil_viscosity_mm2ps(OIL_SPAN_K.0 + f64::from(i)) / reference);
    (0..=OIL_CELLS).map(at).collect()
});

/// [`cold_oil_factor`] as a table over -40 to 120 °C, argument in K.
///
/// ```
/// let table = crownwheel::driveline::cold_oil_table(0.33);
/// assert!((table.at(353.15) - 1.0).abs() < 1e-4);
/// assert!((table.at(150.0) - 4.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn cold_oil_table(exponent: f64) -> Table {
    let factor = |log: &f64| libm::exp(exponent * log).min(COLD_OIL_MOST);
    Table::of_nodes(OIL_SPAN_K, &LOG_VISCOSITY_RATIO.iter().map(factor).collect::<Vec<f64>>())
}

/// Effective mass of a car with turning parts, kg: `m + Σ I_wheel / r² + J G² / r²`.
///
/// # Units
/// `wheels_kgm2` is the sum over all wheels; `overall_ratio` motor speed over wheel speed.
///
/// `radius_m` is more than 0. Source: kinetic energy, `½ m_e v² = ½ m v² + Σ ½ I ω²`.
///
/// ```
/// use crownwheel::driveline::{Inertia, effective_mass_kg};
/// let inertia = Inertia { wheels_kgm2: 2.5, rotor_kgm2: 0.04, overall_ratio: 6.0 };
/// // 900 + (2.5 + 0.04 · 36) / 0.3².
/// assert!((effective_mass_kg(900.0, inertia, 0.3) - 943.777_8).abs() < 1e-4);
/// ```
#[must_use]
pub fn effective_mass_kg(mass_kg: f64, inertia: Inertia, radius_m: f64) -> f64 {
    let Inertia { wheels_kgm2, rotor_kgm2, overall_ratio } = inertia;
    mass_kg + (wheels_kgm2 + rotor_kgm2 * overall_ratio * overall_ratio) / (radius_m * radius_m)
}

/// Moments of inertia that turn with the wheels.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Inertia {
    /// All wheels together, kg m².
    pub wheels_kgm2: f64,
    /// Rotor with everything on its shaft, kg m².
    pub rotor_kgm2: f64,
    /// Motor speed over wheel speed.
    pub overall_ratio: f64,
}

/// From motor to road in one ratio.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gearing {
    /// Motor speed over wheel speed, more than 0.
    pub overall_ratio: f64,
    /// Share of the power that gets through, 0..1; speeds do not depend on it.
    pub efficiency: f64,
    /// Rolling radius, m, more than 0.
    pub radius_m: f64,
}

impl Gearing {
    /// Motor shaft speed, rad/s, at a road speed: `v G / r`. By definition of the ratio.
    ///
    /// ```
    /// use crownwheel::driveline::Gearing;
    /// let gearing = Gearing { overall_ratio: 6.0, efficiency: 1.0, radius_m: 0.3 };
    /// assert!((gearing.motor_speed_radps(30.0) - 600.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn motor_speed_radps(&self, speed_mps: f64) -> f64 {
        speed_mps * self.overall_ratio / self.radius_m
    }

    /// Tractive effort, N, of a motor torque: `η T G / r`. Statics of the lever.
    ///
    /// ```
    /// use crownwheel::driveline::Gearing;
    /// let gearing = Gearing { overall_ratio: 6.0, efficiency: 0.9, radius_m: 0.3 };
    /// assert!((gearing.tractive_effort_n(100.0) - 1_800.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn tractive_effort_n(&self, torque_nm: f64) -> f64 {
        self.efficiency * torque_nm * self.overall_ratio / self.radius_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STAGE: Stage<f64> = Stage {
        ratio: 4.0,
        per_ratio: 0.25,
        efficiency: 0.96,
        per_efficiency: 1.0 / 0.96,
        drag_nm: 1.2,
    };

    #[test]
    fn losses_are_a_share_of_entering_power_plus_drag() {
        // Driving: 100 N m at the output needs (25 + 1.2)/0.96 at the input.
        let input = STAGE.input_nm(100.0);
        assert!((input - 26.2 / 0.96).abs() < 1e-12);
        // Overrun: 25 N m enter from the wheels, 0.96 of it less the drag arrives.
        let input = STAGE.input_nm(-100.0);
        assert!((input - (-24.0 + 1.2)).abs() < 1e-12);
    }

    #[test]
    fn output_is_the_inverse_of_input_and_has_no_jump() {
        let mut last = STAGE.input_nm(-40.0);
        for i in -400..=400 {
            let output = f64::from(i) * 0.1;
            let input = STAGE.input_nm(output);
            assert!((STAGE.output_nm(input) - output).abs() < 1e-12);
            assert!(input >= last && input - last < 0.03);
            last = input;
        }
    }

    /// Forced convection goes with about the 0.7th power of speed.
    #[test]
    fn what_a_casing_gives_off_rises_with_about_the_power_of_0_7() {
        for kmh in [15, 25, 50, 80, 112, 160] {
            let x = f64::from(kmh) / 50.0;
            let forced = (conductance_by_speed(f64::from(kmh) / 3.6) - 0.25) / 0.75;
            assert!((forced / libm::pow(x, 0.7) - 1.0).abs() < 0.06, "{kmh} km/h: {forced}");
        }
    }

    #[test]
    fn the_motor_turns_by_the_ratio_faster_than_the_wheel() {
        // 20 m/s on wheels of 0.25 m are 80 rad/s, and five times that behind a ratio of 5.
        assert!(
            (Gearing { overall_ratio: 5.0, efficiency: 1.0, radius_m: 0.25 }
                .motor_speed_radps(20.0)
                - 400.0)
                .abs()
                < 1e-12
        );
        // 90 N m, 0.9 of it arriving, times 5 over 0.25 m.
        assert!(
            (Gearing { overall_ratio: 5.0, efficiency: 0.9, radius_m: 0.25 }
                .tractive_effort_n(90.0)
                - 1620.0)
                .abs()
                < 1e-9
        );
    }

    #[test]
    fn oil_goes_through_its_points_and_thickens_in_the_cold() {
        assert!((oil_viscosity_mm2ps(313.15) - 150.0).abs() < 1e-9);
        assert!((oil_viscosity_mm2ps(373.15) - 15.0).abs() < 1e-9);
        assert!((cold_oil_factor(353.15, 0.33) - 1.0).abs() < 1e-12);
        let cold = cold_oil_factor(268.15, 0.33);
        assert!(cold > 2.0 && cold <= COLD_OIL_MOST, "{cold}");
    }
}
