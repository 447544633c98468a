//! What is known of mass, weather, gradient and wind.

use crownwheel::air::{AirState, density_kgpm3};
use crownwheel::coastdown::{Coefficients, PROCEDURE_PRESSURE_PA};
use crownwheel::constants::ROAD_REFERENCE_TEMPERATURE_K;
use crownwheel::spec::RoadSurface;
use crownwheel::tyre::{ROLLING_TEMPERATURE_SLOPE_PER_K, rolling_factor};
use crownwheel_answers::{Assumption, Provenance, Units};

use super::directions::Way;
use super::judge::JudgedStretch;
use crate::fit::{Belief, Question, RunFacts};
use crate::log::{Log, Quantity};

/// How unsure a gradient is that nobody has given, as a standard deviation of its sine: ± 0.5 %
/// (engineer's judgement for a road that looks flat).
pub const GRADIENT_SD: f64 = 0.002_5;

/// The same where the log has heights: receivers drift by metres over a run.
pub const GRADIENT_BY_HEIGHTS_SD: f64 = 0.001_5;

/// How unsure a wind is that nobody has given, as a standard deviation, m/s (engineer's judgement
/// for a calm day).
pub const WIND_SD_MPS: f64 = 1.0;

/// Humidity of the air during the runs and of the reference, as the drive step takes it.
const HUMIDITY_FRAC: f64 = 0.5;

/// A number and how unsure it is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct UncertainValue {
    /// Value.
    pub value: f64,
    /// Standard deviation, at least 0.
    pub sd: f64,
}

impl UncertainValue {
    fn belief(self) -> Belief {
        if self.sd > 0.0 { Belief::About(self.value, self.sd) } else { Belief::Exactly(self.value) }
    }
}

/// Wind at the height of the car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Wind {
    /// Nobody knows.
    #[default]
    NotKnown,
    /// Along the road in the first direction, m/s; a headwind is positive.
    Along(UncertainValue),
    /// From all round, m/s.
    AllRound(f64),
}

/// What is known of all runs.
#[derive(Clone, Debug, Default)]
pub struct Conditions {
    /// Mass of the car with everybody in it, kg.
    pub mass_kg: UncertainValue,
    /// What its turning parts count as, kg.
    pub rotating_kg: UncertainValue,
    /// Air temperature, K.
    pub temperature_k: UncertainValue,
    /// Air pressure, Pa.
    pub pressure_pa: UncertainValue,
    /// Wind.
    pub wind: Wind,
    /// Gradient in the first direction, rise over run, positive uphill. `None`: not known.
    pub grade_frac: Option<UncertainValue>,
    /// Units that words are in.
    pub units: Units,
    /// Where the answer comes from.
    pub provenance: Provenance,
    /// What was assumed already.
    pub assumed: Vec<Assumption>,
}

/// Air that the result holds for.
#[must_use]
pub fn reference_air() -> AirState {
    AirState {
        temperature_k: ROAD_REFERENCE_TEMPERATURE_K,
        pressure_pa: PROCEDURE_PRESSURE_PA,
        humidity_frac: HUMIDITY_FRAC,
    }
}

/// Mean air temperature that the logs have, K. `None`: they have none.
#[must_use]
pub fn logged_temperature_k(logs: &[Log]) -> Option<f64> {
    let columns = logs.iter().filter_map(|log| log.column(Quantity::Temperature));
    let readings: Vec<f64> = columns.flatten().copied().filter(|t| t.is_finite()).collect();
    let n = crate::least_squares::count(readings.len());
    (n > 0.0).then(|| readings.iter().sum::<f64>() / n)
}

impl Conditions {
    /// Mass with turning parts, kg.
    #[must_use]
    pub fn effective_mass_kg(&self) -> f64 {
        self.mass_kg.value + self.rotating_kg.value
    }

    /// What the fit is asked, with the linear part free or tied to 0.
    #[must_use]
    pub fn question(&self, runs: &[JudgedStretch], linear: Belief) -> Question {
        let now = AirState {
            temperature_k: self.temperature_k.value,
            pressure_pa: self.pressure_pa.value,
            humidity_frac: HUMIDITY_FRAC,
        };
        let known = RunFacts {
            mass_kg: self.mass_kg.value,
            effective_mass_kg: self.effective_mass_kg(),
            rolling_factor: rolling_factor(self.temperature_k.value, RoadSurface::Dry),
            density_ratio: density_kgpm3(now) / density_kgpm3(reference_air()),
            all_round_mps: if let Wind::AllRound(speed_mps) = self.wind { speed_mps } else { 0.0 },
        };
        let both = both_ways(runs);
        let slope_sin = match self.grade_frac {
            Some(grade) => grade.belief(),
            None if both => Belief::Open,
            None if has_gradients(runs) => Belief::Exactly(0.0),
            None if has_heights(runs) => Belief::About(0.0, GRADIENT_BY_HEIGHTS_SD),
            None => Belief::About(0.0, GRADIENT_SD),
        };
        let headwind_mps = match self.wind {
            Wind::Along(speed_mps) => speed_mps.belief(),
            _ if both => Belief::Open,
            Wind::AllRound(_) => Belief::Exactly(0.0),
            Wind::NotKnown => Belief::About(0.0, WIND_SD_MPS),
        };
        Question { known, linear, slope_sin, headwind_mps }
    }

    /// Errors that all runs share, as shifts of `f0`, `f1`, `f2` by one standard deviation of mass,
    /// turning parts, temperature and pressure.
    #[must_use]
    pub fn shared_errors(&self, load: &Coefficients) -> [[f64; 3]; 4] {
        let by = |rolling: f64, air: f64| {
            [load.f0_n * rolling, load.f1_n_per_mps * rolling, load.f2_n_per_mps2 * air]
        };
        let mass = self.mass_kg.sd / self.effective_mass_kg();
        let turning = self.rotating_kg.sd / self.effective_mass_kg();
        let factor = rolling_factor(self.temperature_k.value, RoadSurface::Dry);
        let rolling = ROLLING_TEMPERATURE_SLOPE_PER_K * self.temperature_k.sd / factor;
        let air = self.temperature_k.sd / self.temperature_k.value;
        let pressure = self.pressure_pa.sd / self.pressure_pa.value;
        [by(mass, mass), by(turning, turning), by(rolling, air), by(0.0, pressure)]
    }
}

/// Whether runs went both ways.
#[must_use]
pub fn both_ways(runs: &[JudgedStretch]) -> bool {
    let has = |way: Way| runs.iter().any(|run| run.way == way);
    has(Way::First) && has(Way::Other)
}

/// Whether every run has a gradient at every reading.
#[must_use]
pub fn has_gradients(runs: &[JudgedStretch]) -> bool {
    runs.iter().all(|run| {
        let grades = &run.stretch.grade_frac;
        !grades.is_empty() && grades.iter().all(|grade| grade.is_finite())
    })
}

/// Whether every run has a straight slope by its heights.
#[must_use]
pub fn has_heights(runs: &[JudgedStretch]) -> bool {
    runs.iter().all(|run| slope_by_heights(run).is_some())
}

/// Sine of the slope of a run by a straight line through its heights over its way.
#[must_use]
pub fn slope_by_heights(run: &JudgedStretch) -> Option<f64> {
    let stretch = &run.stretch;
    if stretch.elevation_m.len() != stretch.time_s.len() {
        return None;
    }
    let mut way_m = 0.0;
    let mut points = Vec::new();
    for i in 0..stretch.time_s.len() {
        if i > 0 {
            let mean = 0.5 * (stretch.speed_mps[i] + stretch.speed_mps[i - 1]);
            way_m += mean * (stretch.time_s[i] - stretch.time_s[i - 1]);
        }
        if stretch.elevation_m[i].is_finite() {
            points.push((way_m, stretch.elevation_m[i]));
        }
    }
    let n = crate::least_squares::count(points.len());
    if points.len() < stretch.time_s.len() / 2 || n < 3.0 {
        return None;
    }
    let (x, y) = points.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.0 / n, sum.1 + p.1 / n));
    let along: f64 = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    let squares: f64 = points.iter().map(|p| (p.0 - x) * (p.0 - x)).sum();
    (squares > 0.0).then(|| (along / squares).clamp(-1.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn conditions() -> Conditions {
        Conditions {
            mass_kg: UncertainValue { value: 900.0, sd: 9.3 },
            rotating_kg: UncertainValue { value: 30.0, sd: 0.0 },
            temperature_k: UncertainValue { value: 283.15, sd: 2.0 },
            pressure_pa: UncertainValue { value: 98e3, sd: 0.0 },
            ..Conditions::default()
        }
    }

    #[test]
    fn a_cold_day_rolls_harder_and_its_air_is_thicker() {
        let known = conditions().question(&[], Belief::Open).known;
        assert!((known.rolling_factor - 1.086).abs() < 1e-12);
        let by_gas_law = 98.0 / 100.0 * 293.15 / 283.15;
        assert!((known.density_ratio / by_gas_law - 1.0).abs() < 0.005, "{known:?}");
        assert!((known.effective_mass_kg - 930.0).abs() < 1e-12);
    }

    #[test]
    fn errors_of_mass_move_all_coefficients_alike() {
        let load = Coefficients { f0_n: 100.0, f1_n_per_mps: 1.0, f2_n_per_mps2: 0.4 };
        let [mass, turning, weather, pressure] = conditions().shared_errors(&load);
        assert!((mass[0] - 1.0).abs() < 1e-9 && (mass[2] - 0.004).abs() < 1e-12);
        assert!(turning.iter().chain(&pressure).all(|shift| shift.abs() < 1e-15));
        assert!((weather[0] - 100.0 * 0.0172 / 1.086).abs() < 1e-9);
        assert!((weather[2] - 0.4 * 2.0 / 283.15).abs() < 1e-9);
    }

    #[test]
    fn one_way_without_gradient_leaves_it_unsure() {
        let question = conditions().question(&[], Belief::Open);
        assert_eq!(question.headwind_mps, Belief::About(0.0, WIND_SD_MPS));
        let known = Conditions {
            grade_frac: Some(UncertainValue { value: 0.002, sd: 0.0 }),
            wind: Wind::Along(UncertainValue { value: 1.0, sd: 0.5 }),
            ..conditions()
        };
        let question = known.question(&[], Belief::Open);
        assert_eq!(question.slope_sin, Belief::Exactly(0.002));
        assert_eq!(question.headwind_mps, Belief::About(1.0, 0.5));
    }
}
