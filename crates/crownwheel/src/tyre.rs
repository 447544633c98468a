//! Tyres: size, rolling radius, load index, rolling resistance.

use std::f64::consts::TAU;

use crate::constants::{KMH_PER_MPS, ROAD_REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crate::lane::Lane;
use crate::spec::{RoadSurface, RollingSpec, TyreMark};

/// Rolling circumference over overall diameter of a radial tyre.
///
/// Source: ETRTO standards manual, rolling circumference factor (from memory; the manual was not
/// opened). Single tyres differ by about 1.5 %.
pub const RADIAL_ROLLING_FACTOR: f64 = 3.05;

/// The same of a cross-ply tyre (same source, from memory).
pub const CROSS_PLY_ROLLING_FACTOR: f64 = 2.99;

/// Lowest load index of [`LOAD_CAPACITY_KG`].
const FIRST_LOAD_INDEX: u16 = 50;

/// Load per tyre, kg, by load index from 50. Source: UN Regulation 30 Annex 4 (from memory).
const LOAD_CAPACITY_KG: [u16; 77] = [
    190, 195, 200, 206, 212, 218, 224, 230, 236, 243, // 50
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325, // 60
    335, 345, 355, 365, 375, 387, 400, 412, 425, 437, // 70
    450, 462, 475, 487, 500, 515, 530, 545, 560, 580, // 80
    600, 615, 630, 650, 670, 690, 710, 730, 750, 775, // 90
    800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, // 100
    1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360, // 110
    1400, 1450, 1500, 1550, 1600, 1650, 1700, // 120
];

/// Top speed by speed symbol, km/h. Source: UN Regulation 30 (from memory).
const SPEED_SYMBOLS: [(char, u16); 14] = [
    ('J', 100),
    ('K', 110),
    ('L', 120),
    ('M', 130),
    ('N', 140),
    ('P', 150),
    ('Q', 160),
    ('R', 170),
    ('S', 180),
    ('T', 190),
    ('U', 200),
    ('H', 210),
    ('V', 240),
    ('W', 270),
];

/// Section height, m: width times aspect ratio.
///
/// By definition of the mark (ISO 4000-1); width in m, aspect ratio more than 0.
///
/// ```
/// use crownwheel::spec::TyreMark;
/// let mark = TyreMark { section_width_m: 0.155, aspect_frac: 0.80, rim_diameter_m: 13.0 * 0.0254,
///     radial: true, load_index: Some(79), speed_symbol: Some('T') };
/// assert!((crownwheel::tyre::section_height_m(&mark) - 0.124).abs() < 1e-12);
/// ```
#[must_use]
pub fn section_height_m(mark: &TyreMark) -> f64 {
    mark.section_width_m * mark.aspect_frac
}

/// Overall diameter, m: rim diameter and two section heights.
///
/// ```
/// use crownwheel::spec::TyreMark;
/// let mark = TyreMark { section_width_m: 0.185, aspect_frac: 0.60, rim_diameter_m: 14.0 * 0.0254,
///     radial: true, load_index: None, speed_symbol: None };
/// assert!((crownwheel::tyre::overall_diameter_m(&mark) - 0.5776).abs() < 1e-12);
/// ```
#[must_use]
pub fn overall_diameter_m(mark: &TyreMark) -> f64 {
    mark.rim_diameter_m + 2.0 * section_height_m(mark)
}

/// Rolling circumference, m: the factor of the construction times the overall diameter.
///
/// `C = k (d_rim + 2 h)`; `k` is [`RADIAL_ROLLING_FACTOR`] or [`CROSS_PLY_ROLLING_FACTOR`], with their source.
///
/// ```
/// use crownwheel::spec::TyreMark;
/// let mark = TyreMark { section_width_m: 0.155, aspect_frac: 0.80, rim_diameter_m: 13.0 * 0.0254,
///     radial: true, load_index: Some(79), speed_symbol: Some('T') };
/// // 3.05 · (0.3302 + 2 · 0.124) m.
/// assert!((crownwheel::tyre::rolling_circumference_m(&mark) - 1.763_51).abs() < 1e-9);
/// ```
#[must_use]
pub fn rolling_circumference_m(mark: &TyreMark) -> f64 {
    let factor = if mark.radial { RADIAL_ROLLING_FACTOR } else { CROSS_PLY_ROLLING_FACTOR };
    factor * overall_diameter_m(mark)
}

/// Rolling radius, m: road speed over angular speed, and force for torque.
///
/// `r = C / 2π`, with `C` by the mark, `distance / turns`, or `1,000 m / turns per km`; turns are more than 0.
///
/// ```
/// use crownwheel::spec::{RollingSpec, TyreMark};
/// let mark = TyreMark { section_width_m: 0.155, aspect_frac: 0.80, rim_diameter_m: 13.0 * 0.0254,
///     radial: true, load_index: Some(79), speed_symbol: Some('T') };
/// let pushed = RollingSpec::Rolled { turns: 10.0, distance_m: 17.6 };
/// let radius_m = crownwheel::tyre::rolling_radius_m(&mark, &pushed);
/// assert!((radius_m - 1.76 / std::f64::consts::TAU).abs() < 1e-12);
/// ```
#[must_use]
pub fn rolling_radius_m(mark: &TyreMark, rolling: &RollingSpec) -> f64 {
    match *rolling {
        RollingSpec::FromMark => rolling_circumference_m(mark) / TAU,
        RollingSpec::Rolled { turns, distance_m } => distance_m / turns / TAU,
        RollingSpec::RevolutionsPerKm(turns) => 1000.0 / turns / TAU,
    }
}

/// Load that one tyre may carry, kg, by its load index (50 to 126).
///
/// `None` outside the table. Source: UN Regulation 30 Annex 4 (from memory).
///
/// ```
/// assert_eq!(crownwheel::tyre::load_capacity_kg(79), Some(437.0));
/// assert_eq!(crownwheel::tyre::load_capacity_kg(49), None);
/// ```
#[must_use]
pub fn load_capacity_kg(load_index: u16) -> Option<f64> {
    let row = load_index.checked_sub(FIRST_LOAD_INDEX)?;
    LOAD_CAPACITY_KG.get(usize::from(row)).map(|load| f64::from(*load))
}

/// Top speed of a speed symbol, km/h.
///
/// `None` for a symbol that is not in the table. Source: UN Regulation 30 (from memory).
///
/// ```
/// assert_eq!(crownwheel::tyre::top_speed_kmh('T'), Some(190.0));
/// assert_eq!(crownwheel::tyre::top_speed_kmh('x'), None);
/// ```
#[must_use]
pub fn top_speed_kmh(symbol: char) -> Option<f64> {
    SPEED_SYMBOLS.iter().find(|(letter, _)| *letter == symbol).map(|(_, top)| f64::from(*top))
}

/// Relative change of rolling resistance per kelvin below 20 °C.
///
/// Source: the temperature term of coast-down correction, `K0 = 8.6e-3 1/K` (UN GTR 15 Annex 4;
/// from memory). Tyre drum tests use ISO 28580's slope near 25 °C, which is not meant for a
/// winter's day.
pub const ROLLING_TEMPERATURE_SLOPE_PER_K: f64 = 8.6e-3;

/// Factor on rolling resistance of a wet road. Engineer's judgement, ± 0.05.
pub const WET_ROLLING_FACTOR: f64 = 1.10;

/// Factor on rolling resistance of a rough road. Engineer's judgement, ± 0.15.
pub const ROUGH_ROLLING_FACTOR: f64 = 1.25;

/// Factor on rolling resistance on ice or hard snow. Engineer's judgement: bare ice is hard and smooth, the
/// snow beside and on it gives way.
pub const ICE_ROLLING_FACTOR: f64 = 1.3;

/// Grip of a rough road over that of a dry smooth one. Engineer's judgement, ± 0.1.
pub const ROUGH_GRIP_FACTOR: f64 = 0.8;

/// Static loaded radius less half the rim, over section height. Engineer's judgement, ± 0.04: a
/// tyre at its load gives by about a sixth of its section.
const LOADED_SECTION_SHARE: f64 = 0.83;

/// Static loaded radius, m: from the ground to the hub of a standing car.
///
/// It counts for the axle lift, not for rolling.
///
/// `½ d_rim + 0.83 h`: the share is an engineer's judgement, ± 0.04.
///
/// ```
/// use crownwheel::spec::TyreMark;
/// let mark = TyreMark { section_width_m: 0.155, aspect_frac: 0.80, rim_diameter_m: 13.0 * 0.0254,
///     radial: true, load_index: Some(79), speed_symbol: Some('T') };
/// // 165.1 mm and 0.83 · 124 mm.
/// assert!((crownwheel::tyre::static_loaded_radius_m(&mark) - 0.268_02).abs() < 1e-9);
/// ```
#[must_use]
pub fn static_loaded_radius_m(mark: &TyreMark) -> f64 {
    0.5 * mark.rim_diameter_m + LOADED_SECTION_SHARE * section_height_m(mark)
}

/// What a tyre warms by above the air at 80 km/h, K.
///
/// Engineering judgement; `tyres.temperature_rise` has the band.
pub const TYRE_RISE_K: f64 = 22.0;

/// Speed that [`TYRE_RISE_K`] holds at, m/s.
const TYRE_RISE_AT_MPS: f64 = 80.0 / KMH_PER_MPS;

/// Time in which a tyre warms by two thirds, s: 17 min (engineering judgement).
pub const TYRE_TIME_CONSTANT_S: f64 = 17.0 * 60.0;

/// Temperatures between which rolling resistance falls with warmth, K; it is held beyond.
const TYRE_LAW_FROM_K: f64 = ZERO_CELSIUS_K - 20.0;
const TYRE_LAW_TO_K: f64 = ZERO_CELSIUS_K + 70.0;

/// Rolling resistance of a tyre at a temperature over that of the warm tyre, which labels and coefficients hold for: one
/// that has warmed by `rise_k` in air of 20 °C, at 80 km/h.
///
/// `1 + k (20 °C + rise - T)`, `k` the slope of a coast-down, [`ROLLING_TEMPERATURE_SLOPE_PER_K`]; held beyond -20 and
/// 70 °C.
///
/// ```
/// use crownwheel::tyre::{TYRE_RISE_K, tyre_factor};
/// // At 42 °C as it is, at 20 °C a fifth more.
/// assert!((tyre_factor(315.15, TYRE_RISE_K) - 1.0_f64).abs() < 1e-15);
/// assert!((tyre_factor(293.15, TYRE_RISE_K) - 1.189_2_f64).abs() < 1e-9);
/// assert_eq!(tyre_factor(200.0, 22.0), tyre_factor(253.15, 22.0));
/// ```
#[inline(always)]
#[must_use]
pub fn tyre_factor<L: Lane>(tyre_k: L, rise_k: L) -> L {
    let held_k = tyre_k.max(L::splat(TYRE_LAW_FROM_K)).min(L::splat(TYRE_LAW_TO_K));
    let warm_k = L::splat(ROAD_REFERENCE_TEMPERATURE_K) + rise_k;
    L::splat(1.0) + L::splat(ROLLING_TEMPERATURE_SLOPE_PER_K) * (warm_k - held_k)
}

/// Temperature above the air that a tyre tends to at a speed, K: `rise √(v / 80 km/h)`.
///
/// Flexing heats with speed, and the air cools better the faster it passes (engineering judgement).
#[inline(always)]
#[must_use]
pub fn tyre_rise_k<L: Lane>(rise_at_80_kmh_k: L, speed_mps: L) -> L {
    rise_at_80_kmh_k * (speed_mps * L::splat(1.0 / TYRE_RISE_AT_MPS)).sqrt()
}

/// Factor on rolling resistance of warm tyres in air of a temperature, on a surface: what a road load curve at steady
/// speed holds, with tyres as warm as at 80 km/h.
///
/// [`tyre_factor`] of `T_air + 22 K`, times the surface.
///
/// Sources: [`ROLLING_TEMPERATURE_SLOPE_PER_K`]; the surfaces are an engineer's judgement.
///
/// ```
/// use crownwheel::{spec::RoadSurface, tyre::rolling_factor};
/// // Freezing and wet: (1 + 20 · 0.0086) · 1.10.
/// assert!((rolling_factor(273.15, RoadSurface::Wet) - 1.172 * 1.10).abs() < 1e-9);
/// ```
#[must_use]
pub fn rolling_factor(temperature_k: f64, surface: RoadSurface) -> f64 {
    tyre_factor(temperature_k + TYRE_RISE_K, TYRE_RISE_K) * surface_factor(surface)
}

/// Factor on rolling resistance of a surface (engineering judgement).
#[must_use]
pub fn surface_factor(surface: RoadSurface) -> f64 {
    match surface {
        RoadSurface::Dry => 1.0,
        RoadSurface::Ice => ICE_ROLLING_FACTOR,
        RoadSurface::Wet => WET_ROLLING_FACTOR,
        RoadSurface::Rough => ROUGH_ROLLING_FACTOR,
    }
}

/// Rolling resistance of a drum test carried to its reference temperature of 25 °C.
///
/// `F25 = F (1 + K (T - 25 °C))`; `K` is 0.008 1/K for car tyres (class C1), 0.010 for van tyres
/// (C2, and C3 up to load index 121), 0.006 for C3 above.
///
/// # Units
/// `force_n` any; `temperature_k` from 293.15 to 303.15 K (20 to 30 °C).
/// # Source
/// UN Regulation 117 Annex 6 par. 6.2, ISO 28580.
///
/// ```
/// // 2 K below the reference: 2 · 0.008 less.
/// let force_n = crownwheel::tyre::drum_force_at_25_degc_n(50.0, 296.15, 0.008);
/// assert!((force_n - 50.0 * 0.984).abs() < 1e-9);
/// ```
#[must_use]
pub fn drum_force_at_25_degc_n(force_n: f64, temperature_k: f64, slope_per_k: f64) -> f64 {
    force_n * (1.0 + slope_per_k * (temperature_k - crate::constants::CELL_REFERENCE_TEMPERATURE_K))
}

/// Slope of the drum test of car tyres (class C1), 1/K, for [`drum_force_at_25_degc_n`].
///
/// Source: UN Regulation 117 Annex 6 par. 6.2, as the next two.
pub const DRUM_SLOPE_C1_PER_K: f64 = 0.008;

/// The same of van tyres (C2), and of heavy tyres (C3) up to load index 121.
pub const DRUM_SLOPE_C2_PER_K: f64 = 0.010;

/// The same of heavy tyres (C3) above load index 121.
pub const DRUM_SLOPE_C3_PER_K: f64 = 0.006;

#[cfg(test)]
mod tests {
    use super::*;

    /// After 17 min of steady speed two thirds (1 - 1/e) of the way are gone, and the work of the tyres on the way is
    /// the integral of what they then take.
    #[test]
    fn tyres_warm_as_the_closed_form_says() {
        let (mut spec, day) = (crate::example::small_saloon(), crate::example::mild_day());
        spec.loads.clear();
        let (car, day) = (crate::Car::new(&spec).unwrap(), crate::Day::new(&day).unwrap());
        let (speed_mps, seconds) = (80.0 / 3.6, 1_020);
        let time_s: Vec<f64> = (0..=seconds).map(f64::from).collect();
        let samples = crate::cycle::Samples::ByTime {
            speed_mps: vec![speed_mps; time_s.len()],
            time_s,
            grade: crate::cycle::Grade::Flat,
        };
        let cycle = crate::cycle::Cycle::new("steady", &samples).unwrap();
        let run = crate::range::once(&car, &day, &cycle, 0.9);
        let warm_n = car.mass_kg() * 9.806_65 * car.rolling_resistance();
        // T = 288.15 K + 22 K (1 - e^(-t/τ)); the mean over τ of e^(-t/τ) is 1 - 1/e.
        let mean_k = 288.15 + 22.0 * libm::exp(-1.0);
        let wanted_j = warm_n * (1.0 + 0.0086 * (315.15 - mean_k)) * speed_mps * f64::from(seconds);
        let rolling_j = run.balance.sum.rolling_j;
        // The temperature of the start of each second stands for all of it.
        assert!((rolling_j / wanted_j - 1.0).abs() < 1e-4, "{rolling_j} {wanted_j}");
    }

    /// The slope is that of a coast-down: 0.86 % for a kelvin, from 20 °C.
    #[test]
    fn a_dry_road_at_the_reference_temperature_changes_nothing() {
        let dry = |celsius: f64| rolling_factor(273.15 + celsius, RoadSurface::Dry);
        assert!((dry(20.0) - 1.0).abs() < 1e-9);
        assert!((dry(10.0) - 1.086).abs() < 1e-9);
        assert!((dry(30.0) - 0.914).abs() < 1e-9);
        let wet = rolling_factor(283.15, RoadSurface::Wet);
        assert!((wet - 1.086 * WET_ROLLING_FACTOR).abs() < 1e-9);
    }
}
