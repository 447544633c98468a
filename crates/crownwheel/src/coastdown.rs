//! Coasting down: time and distance in closed form, and what turns measured runs into road load.
//!
//! The sums are for a car that rolls freely: `m_e dv/dt = -F(v)`. How a whole run looks in wind and
//! on a slope, with its derivatives for a fit, is in [`curve`].

pub mod curve;

use crate::constants::STANDARD_GRAVITY_MPS2;
use crate::road_load::coast_down_n;
use crate::tyre::ROLLING_TEMPERATURE_SLOPE_PER_K;

/// Share of a car's mass that its turning parts count as when nothing better is known.
///
/// Source: UN GTR 15 Annex 4 par. 2.5.1 (from memory). Real cars with wheels and axle turning have
/// 2.5 to 4 %.
pub const USUAL_ROTATING_SHARE: f64 = 0.03;

/// Reference temperature of the worldwide procedure, K: its texts round 20 °C to 293 K.
pub const PROCEDURE_TEMPERATURE_K: f64 = 293.0;

/// Reference pressure of the worldwide procedure, Pa.
pub const PROCEDURE_PRESSURE_PA: f64 = 100_000.0;

/// Road load of a car that coasts on the flat in still air: `F = f0 + f1 v + f2 v²`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Coefficients {
    /// Constant part, N.
    pub f0_n: f64,
    /// Part that grows with speed, N per m/s.
    pub f1_n_per_mps: f64,
    /// Part that grows with speed squared, N per (m/s)².
    pub f2_n_per_mps2: f64,
}

impl Coefficients {
    /// Force at a speed in m/s, N, holding the car back.
    ///
    /// `f0 + f1 v + f2 v²`.
    ///
    /// ```
    /// use crownwheel::coastdown::Coefficients;
    /// let load = Coefficients { f0_n: 100.0, f1_n_per_mps: 2.0, f2_n_per_mps2: 0.5 };
    /// assert!((load.force_n(10.0) - 170.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn force_n(&self, speed_mps: f64) -> f64 {
        coast_down_n([self.f0_n, self.f1_n_per_mps, self.f2_n_per_mps2], speed_mps)
    }

    /// Least force between two speeds, N.
    fn least_n(&self, span: SpeedSpan) -> f64 {
        let lowest_mps = if self.f2_n_per_mps2 > 0.0 {
            (-0.5 * self.f1_n_per_mps / self.f2_n_per_mps2).clamp(span.to_mps, span.from_mps)
        } else {
            span.to_mps
        };
        self.force_n(lowest_mps).min(self.force_n(span.from_mps)).min(self.force_n(span.to_mps))
    }
}

/// A car that slows from one speed to a lower one.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct SpeedSpan {
    /// Speed at the start, m/s.
    pub from_mps: f64,
    /// Speed at the end, m/s, below `from_mps` and at least 0.
    pub to_mps: f64,
}

/// Mass that inertia acts with, kg: the car's and that of its turning parts.
///
/// `rotating_frac` is the turning parts' share of the mass, see [`USUAL_ROTATING_SHARE`].
///
/// `m (1 + s)`, by definition.
///
/// ```
/// assert!((crownwheel::coastdown::effective_mass_kg(900.0, 0.03) - 927.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn effective_mass_kg(mass_kg: f64, rotating_frac: f64) -> f64 {
    mass_kg * (1.0 + rotating_frac)
}

/// Time to coast from one speed down to another, s: `∫ m_e dv / (f0 + f1 v + f2 v²)`.
///
/// With `d = v1 - v2`, `P = f0 + ½ f1 (v1 + v2) + f2 v1 v2` and `q = 4 f0 f2 - f1²` the integral is
/// `m_e (2/√q) atan(√q d / 2P)`, for `q < 0` with the hyperbolic tangent instead, and `m_e d / P`
/// between them. `None` if something pushes the car along between the speeds, so that it never
/// gets there.
///
/// # Units
/// `effective_mass_kg` with turning parts, see [`effective_mass_kg`].
/// # Source
/// The closed form as in EPA and 40 CFR 86.529-98, where `f1` is 0.
///
/// ```
/// use crownwheel::coastdown::{Coefficients, SpeedSpan, coast_time_s};
/// // 40 CFR 86.529-98: 100 kg with 0.0224 N/(km/h)² take 2.95 s from 70 to 60 km/h.
/// let air = Coefficients { f2_n_per_mps2: 0.0224 * 3.6 * 3.6, ..Coefficients::default() };
/// let span = SpeedSpan { from_mps: 70.0 / 3.6, to_mps: 60.0 / 3.6 };
/// assert!((coast_time_s(&air, 100.0, span).unwrap() - 2.95).abs() < 0.005);
/// ```
#[must_use]
pub fn coast_time_s(load: &Coefficients, effective_mass_kg: f64, span: SpeedSpan) -> Option<f64> {
    if !slows(load, span) {
        return None;
    }
    let &Coefficients { f0_n, f1_n_per_mps, f2_n_per_mps2 } = load;
    let slowed_mps = span.from_mps - span.to_mps;
    let mixed_n = f0_n
        + 0.5 * f1_n_per_mps * (span.from_mps + span.to_mps)
        + f2_n_per_mps2 * span.from_mps * span.to_mps;
    let q = 4.0 * f0_n * f2_n_per_mps2 - f1_n_per_mps * f1_n_per_mps;
    let root = q.abs().sqrt();
    let (up, along) = (root * slowed_mps, 2.0 * mixed_n);
    // Below this the next term of the series is lost in rounding.
    let is_straight = up < 1e-5 * along;
    let integral = if is_straight {
        slowed_mps / mixed_n * (1.0 - q.signum() * (up / along).powi(2) / 3.0)
    } else if q > 0.0 {
        2.0 / root * libm::atan2(up, along)
    } else {
        2.0 / root * libm::atanh(up / along)
    };
    Some(effective_mass_kg * integral)
}

/// Distance covered while coasting from one speed down to another, m: `∫ m_e v dv / F(v)`.
///
/// Summed by Gauss's rule, which for a smooth force agrees with the closed form to twelve digits.
/// `None` as in [`coast_time_s`].
///
/// ```
/// use crownwheel::coastdown::{Coefficients, SpeedSpan, coast_distance_m};
/// let load = Coefficients { f0_n: 100.0, f1_n_per_mps: 0.0, f2_n_per_mps2: 0.0 };
/// let span = SpeedSpan { from_mps: 20.0, to_mps: 10.0 };
/// // Work is the change of kinetic energy: ½ 1,000 kg (400 - 100) over 100 N.
/// assert!((coast_distance_m(&load, 1_000.0, span).unwrap() - 1_500.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn coast_distance_m(
    load: &Coefficients,
    effective_mass_kg: f64,
    span: SpeedSpan,
) -> Option<f64> {
    /// Three points of Gauss and Legendre on -1 to 1, with their weights.
    const RULE: [(f64, f64); 3] = [
        (-0.774_596_669_241_483_4, 5.0 / 9.0),
        (0.0, 8.0 / 9.0),
        (0.774_596_669_241_483_4, 5.0 / 9.0),
    ];
    const CELLS: u32 = 400;
    if !slows(load, span) {
        return None;
    }
    let half_mps = 0.5 * (span.from_mps - span.to_mps) / f64::from(CELLS);
    let mut sum = 0.0;
    for cell in 0..CELLS {
        let middle_mps = span.to_mps + half_mps * (2.0 * f64::from(cell) + 1.0);
        for (place, weight) in RULE {
            let speed_mps = middle_mps + half_mps * place;
            sum += weight * half_mps * speed_mps / load.force_n(speed_mps);
        }
    }
    Some(effective_mass_kg * sum)
}

/// Whether the car slows all the way.
fn slows(load: &Coefficients, span: SpeedSpan) -> bool {
    span.from_mps > span.to_mps && span.to_mps >= 0.0 && load.least_n(span) > 0.0
}

/// Mean force over the time of a speed drop, N: `m_e (v1 - v2) / t`.
///
/// It belongs to the mean over time, not to the force at the mean speed; the two differ by the
/// square of the drop. `seconds` is more than 0.
///
/// ```
/// use crownwheel::coastdown::{SpeedSpan, mean_force_n};
/// let span = SpeedSpan { from_mps: 20.0, to_mps: 10.0 };
/// assert!((mean_force_n(1_000.0, span, 100.0) - 100.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn mean_force_n(effective_mass_kg: f64, span: SpeedSpan, seconds: f64) -> f64 {
    effective_mass_kg * (span.from_mps - span.to_mps) / seconds
}

/// A climb over a stretch of road.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct CoastClimb {
    /// Height gained, m; negative downhill.
    pub height_m: f64,
    /// Distance covered, m, more than 0.
    pub distance_m: f64,
}

/// The part of a mean force that a climb took, N: `m g Δh / Δs`.
///
/// `gravity_mps2` is that of the place, or the standard's.
/// # Source
/// 40 CFR 1037.528, Eq. 1037.528-7.
///
/// ```
/// use crownwheel::coastdown::{CoastClimb, climb_force_n};
/// let climb = CoastClimb { height_m: 5.0, distance_m: 1_000.0 };
/// assert!((climb_force_n(900.0, 9.8, climb) - 44.1).abs() < 1e-9);
/// ```
#[must_use]
pub fn climb_force_n(mass_kg: f64, gravity_mps2: f64, climb: CoastClimb) -> f64 {
    mass_kg * gravity_mps2 * climb.height_m / climb.distance_m
}

/// Drag area that a force growing with speed squared implies, m²: `C_d A = 2 f2 / ρ`.
///
/// `density_kgpm3` of the air that `f2_n_per_mps2` holds for, more than 0.
///
/// By definition of the drag area.
///
/// ```
/// assert!((crownwheel::coastdown::drag_area_m2(0.42, 1.2) - 0.7).abs() < 1e-12);
/// ```
#[must_use]
pub fn drag_area_m2(f2_n_per_mps2: f64, density_kgpm3: f64) -> f64 {
    2.0 * f2_n_per_mps2 / density_kgpm3
}

/// Rolling resistance coefficient that a constant force implies: `C_rr = f0 / (m g)`.
///
/// Everything constant is in it: tyres, bearings, dragging brakes. `mass_kg` is more than 0.
///
/// By definition of the coefficient.
///
/// ```
/// assert!((crownwheel::coastdown::rolling_resistance(98.066_5, 1_000.0) - 0.01).abs() < 1e-12);
/// ```
#[must_use]
pub fn rolling_resistance(f0_n: f64, mass_kg: f64) -> f64 {
    f0_n / (mass_kg * STANDARD_GRAVITY_MPS2)
}

/// Weather and mass of a test, as the worldwide procedure corrects for them.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TestWeather {
    /// Mean air temperature, K.
    pub temperature_k: f64,
    /// Mean air pressure, Pa.
    pub pressure_pa: f64,
    /// Wind along the track, m/s; runs go both ways, so its sign does not matter.
    pub wind_along_mps: f64,
    /// Mass that the result shall hold for, kg.
    pub test_mass_kg: f64,
    /// Mean mass of the car during the runs, kg.
    pub mean_mass_kg: f64,
}

/// What the procedure takes off or multiplies by.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct ProcedureCorrection {
    /// Force of the wind, N: `w1 = f2 w²`.
    pub wind_n: f64,
    /// Force of the mass, N: `K1 = f0 (1 - TM / m_av)`.
    pub mass_n: f64,
    /// Factor on the drag of the air: `K2 = T / 293 K · 100 kPa / p`.
    pub air: f64,
    /// Factor on rolling resistance: `1 + K0 (T - 293 K)`.
    pub rolling: f64,
}

impl ProcedureCorrection {
    /// The correction of measured coefficients.
    ///
    /// # Source
    /// UN GTR 15 Annex 4 par. 4.5 (from memory), with `K0 = 8.6e-3 1/K`.
    ///
    /// Temperature (K), pressure (Pa) and masses (kg) are more than 0.
    ///
    /// ```
    /// use crownwheel::coastdown::{Coefficients, ProcedureCorrection, TestWeather};
    /// let measured = Coefficients { f0_n: 100.0, f1_n_per_mps: 0.0, f2_n_per_mps2: 0.5 };
    /// let weather = TestWeather { temperature_k: 303.0, pressure_pa: 100_000.0, wind_along_mps: 2.0,
    ///     test_mass_kg: 900.0, mean_mass_kg: 1_000.0 };
    /// // Wind 0.5 · 2², mass 100 (1 - 0.9), ten kelvins of 0.0086.
    /// let correction = ProcedureCorrection::new(&measured, &weather);
    /// assert!((correction.wind_n - 2.0).abs() < 1e-12 && (correction.mass_n - 10.0).abs() < 1e-9);
    /// assert!((correction.apply(&measured).f0_n - 88.0 * 1.086).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn new(measured: &Coefficients, weather: &TestWeather) -> ProcedureCorrection {
        let warmer_k = weather.temperature_k - PROCEDURE_TEMPERATURE_K;
        ProcedureCorrection {
            wind_n: measured.f2_n_per_mps2 * weather.wind_along_mps * weather.wind_along_mps,
            mass_n: measured.f0_n * (1.0 - weather.test_mass_kg / weather.mean_mass_kg),
            air: weather.temperature_k / PROCEDURE_TEMPERATURE_K * PROCEDURE_PRESSURE_PA
                / weather.pressure_pa,
            rolling: 1.0 + ROLLING_TEMPERATURE_SLOPE_PER_K * warmer_k,
        }
    }

    /// Coefficients at 20 °C, 100 kPa, in still air:
    /// `((f0 - w1 - K1) + f1 v)(1 + K0 (T - 293 K)) + K2 f2 v²`.
    ///
    /// The fit of this program puts the weather into the curve of each run instead; within 10 K
    /// both agree to a hundredth of the rolling part.
    #[must_use]
    pub fn apply(&self, measured: &Coefficients) -> Coefficients {
        Coefficients {
            f0_n: (measured.f0_n - self.wind_n - self.mass_n) * self.rolling,
            f1_n_per_mps: measured.f1_n_per_mps * self.rolling,
            f2_n_per_mps2: measured.f2_n_per_mps2 * self.air,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPAN: SpeedSpan = SpeedSpan { from_mps: 33.0, to_mps: 5.0 };

    fn load(f0_n: f64, f1_n_per_mps: f64, f2_n_per_mps2: f64) -> Coefficients {
        Coefficients { f0_n, f1_n_per_mps, f2_n_per_mps2 }
    }

    /// Simpson's rule, as a second way to the same integral.
    fn summed(load: &Coefficients, f: impl Fn(f64) -> f64) -> f64 {
        let n = 2_000;
        let h = (SPAN.from_mps - SPAN.to_mps) / f64::from(n);
        (0..=n)
            .map(|i| {
                let v = SPAN.to_mps + h * f64::from(i);
                let weight = if i == 0 || i == n {
                    1.0
                } else if i % 2 == 1 {
                    4.0
                } else {
                    2.0
                };
                weight * h / 3.0 * f(v) / load.force_n(v)
            })
            .sum()
    }

    #[test]
    fn the_closed_form_holds_for_every_kind_of_polynomial() {
        let kinds = [
            load(120.0, 0.0, 0.4),
            load(120.0, 2.0, 0.4),
            load(40.0, 12.0, 0.2),
            // Close to, at and through the double root.
            load(100.0, 20.0, 1.0),
            load(100.0, 20.0 + 1e-9, 1.0),
            load(100.0, 20.0 - 1e-4, 1.0),
            load(100.0, 0.0, 0.0),
            load(100.0, 3.0, 0.0),
            // A linear part below zero, as fits give it.
            load(160.0, -4.0, 0.5),
            load(200.0, -18.0, 0.5),
        ];
        for kind in kinds {
            let seconds = coast_time_s(&kind, 900.0, SPAN).unwrap();
            let wanted = 900.0 * summed(&kind, |_| 1.0);
            assert!((seconds / wanted - 1.0).abs() < 1e-9, "{kind:?}: {seconds} {wanted}");
            let metres = coast_distance_m(&kind, 900.0, SPAN).unwrap();
            let wanted = 900.0 * summed(&kind, |v| v);
            assert!((metres / wanted - 1.0).abs() < 1e-9, "{kind:?}: {metres} {wanted}");
        }
    }

    #[test]
    fn a_car_that_is_pushed_along_does_not_get_there() {
        assert_eq!(coast_time_s(&load(-10.0, 0.0, 0.4), 900.0, SPAN), None);
        // In the middle the force is below zero, at both ends above.
        assert_eq!(coast_time_s(&load(150.0, -18.0, 0.5), 900.0, SPAN), None);
        assert_eq!(coast_distance_m(&load(150.0, -18.0, 0.5), 900.0, SPAN), None);
        let upwards = SpeedSpan { from_mps: 5.0, to_mps: 33.0 };
        assert_eq!(coast_time_s(&load(100.0, 0.0, 0.4), 900.0, upwards), None);
        assert_eq!(coast_time_s(&load(f64::NAN, 0.0, 0.4), 900.0, SPAN), None);
    }

    #[test]
    fn the_mean_force_lies_between_those_at_both_ends() {
        let kind = load(120.0, 1.0, 0.4);
        let mean = mean_force_n(900.0, SPAN, coast_time_s(&kind, 900.0, SPAN).unwrap());
        assert!(mean > kind.force_n(SPAN.to_mps) && mean < kind.force_n(SPAN.from_mps));
    }

    #[test]
    fn calm_reference_weather_changes_nothing() {
        let kind = load(120.0, 1.0, 0.4);
        let weather = TestWeather {
            temperature_k: PROCEDURE_TEMPERATURE_K,
            pressure_pa: PROCEDURE_PRESSURE_PA,
            wind_along_mps: 0.0,
            test_mass_kg: 900.0,
            mean_mass_kg: 900.0,
        };
        assert_eq!(ProcedureCorrection::new(&kind, &weather).apply(&kind), kind);
    }
}
