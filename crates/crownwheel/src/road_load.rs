//! Road load: air, rolling, gradient and wind.

use std::sync::LazyLock;

use crate::constants::KMH_PER_MPS;
use crate::spec::DragSpec;
use crate::table::Pair;

/// Height that weather forecasts state wind for, m (World Meteorological Organization, Guide to
/// Instruments and Methods of Observation: 10 m).
pub const WIND_FORECAST_HEIGHT_M: f64 = 10.0;

/// Height at which wind meets a car, m: half of that of a saloon. Engineer's judgement.
pub const WIND_AT_CAR_HEIGHT_M: f64 = 0.75;

/// Roughness length of open land with few houses and hedges, m. Engineer's judgement; towns have more.
pub const ROUGHNESS_M: f64 = 0.03;

/// Headings over which wind from all round is averaged.
const HEADINGS: usize = 72;

impl DragSpec {
    /// Drag area `C_d A`, m².
    ///
    /// By definition.
    ///
    /// ```
    /// use crownwheel::spec::DragSpec;
    /// let drag = DragSpec::CoefficientAndArea { coefficient: 0.43, frontal_area_m2: 1.66 };
    /// assert!((drag.area_m2() - 0.7138).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        match *self {
            DragSpec::Area(area_m2) => area_m2,
            DragSpec::CoefficientAndArea { coefficient, frontal_area_m2 } => {
                coefficient * frontal_area_m2
            }
        }
    }
}

/// Air that a car meets, along the road.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirStream {
    /// Density, kg/m³, at least 0.
    pub density_kgpm3: f64,
    /// Speed of the car, m/s, any sign.
    pub speed_mps: f64,
    /// Headwind, m/s; a tailwind is negative.
    pub headwind_mps: f64,
}

impl AirStream {
    /// Aerodynamic drag, N, opposing motion: `½ ρ C_d A (v + w)|v + w|`; `drag_area_m2` at least 0.
    ///
    /// ```
    /// use crownwheel::road_load::AirStream;
    /// let air = AirStream { density_kgpm3: 1.2, speed_mps: 30.0 / 3.6, headwind_mps: 0.0 };
    /// assert!((air.drag_n(0.45 * 1.6) - 30.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn drag_n(&self, drag_area_m2: f64) -> f64 {
        let square_m2ps2 = along_road_m2ps2(self.speed_mps, self.headwind_mps);
        0.5 * self.density_kgpm3 * drag_area_m2 * square_m2ps2
    }
}

/// Rolling resistance on a slope, N: `C_rr m g cos θ`.
///
/// `weight_n` is `m g`, at least 0. Coulomb's law with one coefficient, common practice.
///
/// ```
/// use crownwheel::road_load::{Slope, rolling_n};
/// assert!((rolling_n(0.0115, 8_000.0, Slope::from_grade(0.0)) - 92.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn rolling_n(coefficient: f64, weight_n: f64, slope: Slope) -> f64 {
    coefficient * weight_n * slope.cos()
}

/// Force of the gradient, N, positive uphill: `m g sin θ`.
///
/// Statics: `weight_n` is `m g`, at least 0; any slope.
///
/// ```
/// use crownwheel::road_load::{Slope, gradient_n};
/// // A rise of 3 on a run of 4 is 3 on 5 along the road.
/// assert!((gradient_n(1_000.0, Slope::from_grade(0.75)) - 600.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn gradient_n(weight_n: f64, slope: Slope) -> f64 {
    weight_n * slope.sin()
}

/// Coast-down polynomial, N: `f0 + f1 v + f2 v²`.
///
/// `coefficients` are `f0` (N), `f1` (N per m/s) and `f2` (N per (m/s)²), any sign. Source: the form of
/// 40 CFR 1066 and UN GTR 15.
///
/// ```
/// assert!((crownwheel::road_load::coast_down_n([100.0, 2.0, 0.5], 10.0) - 170.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn coast_down_n(coefficients: [f64; 3], speed_mps: f64) -> f64 {
    let [f0, f1, f2] = coefficients;
    f0 + f1 * speed_mps + f2 * speed_mps * speed_mps
}

/// The angle of the road.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    sin: f64,
}

impl Slope {
    /// From rise over run: 0.05 is a 5 % grade.
    ///
    /// `sin θ = s / √(1 + s²)`, any finite number.
    ///
    /// ```
    /// let slope = crownwheel::road_load::Slope::from_grade(0.75);
    /// assert!((slope.sin() - 0.6).abs() < 1e-12 && (slope.cos() - 0.8).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn from_grade(grade_frac: f64) -> Slope {
        Slope { sin: grade_frac / (1.0 + grade_frac * grade_frac).sqrt() }
    }

    /// From rise over the length of the road, held between -1 and 1.
    ///
    /// ```
    /// let slope = crownwheel::road_load::Slope::from_sin(0.6);
    /// assert!((slope.grade_frac() - 0.75).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn from_sin(sin: f64) -> Slope {
        Slope { sin: sin.clamp(-1.0, 1.0) }
    }

    /// Sine of the angle: rise over length of the road.
    #[must_use]
    pub fn sin(&self) -> f64 {
        self.sin
    }

    /// Cosine of the angle.
    #[must_use]
    pub fn cos(&self) -> f64 {
        (1.0 - self.sin * self.sin).sqrt()
    }

    /// Angle, rad.
    #[must_use]
    pub fn angle_rad(&self) -> f64 {
        libm::asin(self.sin)
    }

    /// Rise over run, `tan θ`.
    #[must_use]
    pub fn grade_frac(&self) -> f64 {
        self.sin / self.cos()
    }
}

/// Wind at the car, m/s, from wind at a height above ground: `w ln(h/z0) / ln(h_wind/z0)`, with the car's height
/// [`WIND_AT_CAR_HEIGHT_M`] and open land, `z0` = [`ROUGHNESS_M`].
///
/// Speeds of any sign; `height_m` is held at 0.1 m or more. From the 10 m of a forecast 0.554 is left.
///
/// # Source
/// Logarithmic profile of wind over ground, common practice; height of the car and roughness: engineer's judgement.
///
/// ```
/// use crownwheel::road_load::wind_at_car_mps;
/// assert!((wind_at_car_mps(4.0, 10.0) / 4.0 - 0.554).abs() < 1e-3);
/// assert!((wind_at_car_mps(4.0, 0.75) - 4.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn wind_at_car_mps(speed_mps: f64, height_m: f64) -> f64 {
    let log = |height_m: f64| libm::log(height_m.max(0.1) / ROUGHNESS_M);
    speed_mps * log(WIND_AT_CAR_HEIGHT_M) / log(height_m)
}

/// Air speed squared along the road, m²/s², with the sign of the force: `(v + w)|v + w|`.
///
/// By definition of drag; speeds in m/s of any sign, a tailwind is negative.
///
/// ```
/// // A tailwind that is faster than the car pushes it.
/// assert!((crownwheel::road_load::along_road_m2ps2(2.0, -5.0) + 9.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn along_road_m2ps2(speed_mps: f64, headwind_mps: f64) -> f64 {
    let air_mps = speed_mps + headwind_mps;
    air_mps * air_mps.abs()
}

/// Yaw beyond which drag area is not taken to rise any more, rad. Engineer's judgement.
const HIGHEST_YAW_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

/// Factor on drag area at a yaw angle: `1 + rise · sin² β / sin² 10°`, held beyond 20°.
///
/// # Units
/// `rise_at_10_deg` relative, at least 0; `yaw_rad` of the air to the car. The square form is
/// common practice for small angles.
///
/// ```
/// let at = |degrees: f64| crownwheel::road_load::yaw_factor(0.05, degrees.to_radians());
/// assert!((at(10.0) - 1.05).abs() < 1e-12);
/// assert!((at(45.0) - at(20.0)).abs() < 1e-12);
/// ```
#[must_use]
pub fn yaw_factor(rise_at_10_deg: f64, yaw_rad: f64) -> f64 {
    let reference = libm::sin((10f64).to_radians());
    let share = libm::sin(yaw_rad.abs().min(HIGHEST_YAW_RAD)) / reference;
    1.0 + rise_at_10_deg * share * share
}

/// The same, averaged over all headings of a wind `w`:
/// mean of `√((v + w cos φ)² + (w sin φ)²) (v + w cos φ)`, near `v² + ¾ w²` at speed, each heading
/// with its [`yaw_factor`].
///
/// Speeds in m/s, at least 0; `rise_at_10_deg` relative, at least 0. The mean is over 72 headings.
///
/// ```
/// // 30² + ¾ 4²: the next term of the series is 0.03.
/// let square = crownwheel::road_load::all_round_m2ps2(30.0, 4.0, 0.0);
/// assert!((square - 912.0).abs() < 0.05);
/// ```
#[must_use]
pub fn all_round_m2ps2(speed_mps: f64, wind_mps: f64, rise_at_10_deg: f64) -> f64 {
    let mut sum = 0.0;
    for i in 0..HEADINGS {
        let heading =
            std::f64::consts::TAU * crate::table::count(i) / crate::table::count(HEADINGS);
        let (air_mps, yaw_rad) = air_speed_and_yaw(speed_mps, wind_mps, heading);
        let along = speed_mps + wind_mps * libm::cos(heading);
        sum += air_mps * along * yaw_factor(rise_at_10_deg, yaw_rad);
    }
    sum / crate::table::count(HEADINGS)
}

/// Speed over wind up to which [`all_round_shape`] is tabulated; what wind adds is constant beyond.
const SHAPE_TOP: f64 = 30.0;

/// What a wind `w` from all round adds to `v²` in the drag formula, over `w²`, against `v/w`: of a
/// car whose drag area does not depend on yaw, and what a relative rise of 1 at 10° adds to that.
///
/// [`all_round_m2ps2`] depends on speed and wind by their ratio alone, so one table serves every
/// wind: `v² + w² (a(v/w) + rise b(v/w))`.
///
/// ```
/// // At speed a(v/w) tends to ¾.
/// let (plain, _) = crownwheel::road_load::all_round_shape().at(20.0);
/// assert!((plain - 0.75).abs() < 1e-3);
/// ```
#[must_use]
pub fn all_round_shape() -> Pair {
    static SHAPE: LazyLock<Pair> = LazyLock::new(|| {
        Pair::sampled((0.0, SHAPE_TOP), SHAPE_CELLS, |ratio| {
            let plain = all_round_m2ps2(ratio, 1.0, 0.0);
            (plain - ratio * ratio, all_round_m2ps2(ratio, 1.0, 1.0) - plain)
        })
    });
    SHAPE.clone()
}

/// Cells of that table.
const SHAPE_CELLS: usize = 480;

/// Air speed and yaw angle of a car in a wind: speed of both in m/s, angle of the wind to the road
/// in rad (0 is a headwind). Returns air speed, m/s, and yaw, rad.
///
/// Trigonometry; any numbers.
///
/// ```
/// // 30 m/s with 40 m/s from the side: 50 m/s, at the angle of 4 on 3.
/// let side = std::f64::consts::FRAC_PI_2;
/// let (air_mps, yaw_rad) = crownwheel::road_load::air_speed_and_yaw(30.0, 40.0, side);
/// assert!((air_mps - 50.0).abs() < 1e-9 && (yaw_rad.tan() - 4.0 / 3.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn air_speed_and_yaw(speed_mps: f64, wind_mps: f64, wind_angle_rad: f64) -> (f64, f64) {
    let along = speed_mps + wind_mps * libm::cos(wind_angle_rad);
    let across = wind_mps * libm::sin(wind_angle_rad);
    (libm::hypot(along, across), libm::atan2(across, along))
}

/// Frontal area over width times height of a car body: a rule of thumb, real cars 0.78 to 0.88.
///
/// Source: <http://www.bgsoflex.com/airdragchart.html>.
pub const FRONTAL_AREA_OVER_BOX: f64 = 0.85;

/// Frontal area of a car, m², from its outer width and height, m, by the rule of thumb.
///
/// `A = 0.85 w h`, see [`FRONTAL_AREA_OVER_BOX`].
///
/// ```
/// assert!((crownwheel::road_load::frontal_area_m2(1.5, 1.4) - 1.785).abs() < 1e-12);
/// ```
#[must_use]
pub fn frontal_area_m2(width_m: f64, height_m: f64) -> f64 {
    FRONTAL_AREA_OVER_BOX * width_m * height_m
}

/// Road load of a car that nobody has coasted down, as the worldwide test procedure prescribes it:
/// `f0 = 0.140 m`, `f1 = 0`, `f2 = 2.8e-6 m w h` with f2 in N per (km/h)². N, N per m/s, N per
/// (m/s)².
///
/// Meant to be unfavourable: real cars mostly need less.
///
/// # Units
/// `test_mass_kg` with driver; `width_m`, `height_m` over all.
/// # Source
/// UN GTR 15 Annex 4 par. 5.2 (the factor 0.140 from memory).
///
/// ```
/// // 1,000 kg, 1.5 m by 1.4 m: 140 N and 0.00588 N per (km/h)².
/// let [f0_n, _, f2] = crownwheel::road_load::default_coefficients(1_000.0, 1.5, 1.4);
/// assert!((f0_n - 140.0).abs() < 1e-9 && (f2 - 0.005_88 * 12.96).abs() < 1e-9);
/// ```
#[must_use]
pub fn default_coefficients(test_mass_kg: f64, width_m: f64, height_m: f64) -> [f64; 3] {
    let per_kmh2 = 2.8e-6 * test_mass_kg * width_m * height_m;
    [0.140 * test_mass_kg, 0.0, per_kmh2 * KMH_PER_MPS * KMH_PER_MPS]
}

/// A car's top speed in its day, and what it had to get there.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TopSpeed {
    /// Top speed on the flat, m/s.
    pub speed_mps: f64,
    /// Power of the engine at that speed, W.
    pub power_w: f64,
    /// Share of it that reached the wheels, 0..1.
    pub driveline_frac: f64,
    /// Mass of the car, kg.
    pub mass_kg: f64,
    /// Rolling resistance coefficient at that speed.
    pub rolling_resistance: f64,
    /// Density of the air, kg/m³.
    pub density_kgpm3: f64,
}

/// Drag area, m², that top speed and power of the period imply:
/// `C_d A = 2 (P η / v - C_rr m g) / (ρ v²)`.
///
/// It holds if the engine gave that power at that speed; period figures were often generous on both,
/// so give it a wide band. `None` if rolling resistance alone takes more.
///
/// ```
/// use crownwheel::road_load::{TopSpeed, drag_area_from_top_speed_m2};
/// let car = TopSpeed { speed_mps: 36.0, power_w: 43e3, driveline_frac: 0.88, mass_kg: 870.0,
///     rolling_resistance: 0.015, density_kgpm3: 1.2 };
/// assert!((drag_area_from_top_speed_m2(&car).unwrap() - 1.187).abs() < 1e-3);
/// ```
#[must_use]
pub fn drag_area_from_top_speed_m2(car: &TopSpeed) -> Option<f64> {
    let wheel_n = car.power_w * car.driveline_frac / car.speed_mps;
    let rolling_n = car.rolling_resistance * car.mass_kg * crate::constants::STANDARD_GRAVITY_MPS2;
    let area_m2 = 2.0 * (wheel_n - rolling_n) / (car.density_kgpm3 * car.speed_mps * car.speed_mps);
    (area_m2 > 0.0).then_some(area_m2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wind_from_all_round_adds_three_quarters_of_its_square() {
        let added = all_round_m2ps2(25.0, 3.0, 0.0) - 625.0;
        assert!((added - 0.75 * 9.0).abs() < 0.02, "{added}");
        let with_yaw = all_round_m2ps2(25.0, 3.0, 0.05) - 625.0;
        assert!(with_yaw > added && with_yaw < 2.0 * added + 10.0, "{with_yaw}");
    }

    #[test]
    fn one_shape_serves_every_wind() {
        let shape = all_round_shape();
        for (v, wind, rise) in
            [(31.4, 3.0, 0.05), (7.77, 5.0, 0.1), (0.0, 2.0, 0.0), (40.0, 0.8, 0.05)]
        {
            let (plain, yawed) = shape.at(v / wind);
            let found = v * v + wind * wind * (plain + rise * yawed);
            let exact = all_round_m2ps2(v, wind, rise);
            assert!((found - exact).abs() < 2e-3 * wind * wind, "{v} {wind}: {found} {exact}");
        }
    }

    /// Against the profile `ln(h / z0)` written out: 0.63 of a wind at 5 m, 0.554 at 10 m, 0.495 at 20 m.
    #[test]
    fn a_wind_at_any_height_is_carried_down_to_the_car() {
        for (height_m, share) in
            [(0.75, 1.0), (2.0, 0.7664), (5.0, 0.6292), (10.0, 0.5541), (20.0, 0.4950)]
        {
            let found = wind_at_car_mps(10.0, height_m) / 10.0;
            assert!((found - share).abs() < 1e-4, "{height_m} m: {found}");
        }
    }

    #[test]
    fn a_car_is_lighter_on_its_tyres_uphill() {
        assert!((rolling_n(0.012, 10e3, Slope::from_grade(0.0)) - 120.0).abs() < 1e-9);
        // 3 up on 4 along: the cosine is 4/5, the sine 3/5.
        let slope = Slope::from_grade(0.75);
        assert!((rolling_n(0.012, 10e3, slope) - 96.0).abs() < 1e-9);
        assert!((gradient_n(10e3, slope) - 6000.0).abs() < 1e-9);
    }

    /// What is left of the engine's force after rolling is `½ ρ C_d A v²`.
    #[test]
    fn drag_area_from_top_speed_closes_the_balance_of_forces() {
        let car = TopSpeed {
            speed_mps: 30.0,
            power_w: 30e3,
            driveline_frac: 0.9,
            mass_kg: 800.0,
            rolling_resistance: 0.0125,
            density_kgpm3: 1.2,
        };
        let area_m2 = drag_area_from_top_speed_m2(&car).unwrap();
        let needed_n = AirStream { density_kgpm3: 1.2, speed_mps: 30.0, headwind_mps: 0.0 }
            .drag_n(area_m2)
            + 0.0125 * 800.0 * 9.806_65;
        assert!((needed_n - 900.0).abs() < 1e-9, "{needed_n}");
        assert_eq!(drag_area_from_top_speed_m2(&TopSpeed { power_w: 3e3, ..car }), None);
    }
}
