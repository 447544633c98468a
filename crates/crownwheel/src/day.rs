//! A day: outdoor conditions, checked.

use crate::air::{AirState, density_kgpm3, standard_atmosphere};
use crate::name::Name;
use crate::rules::day_problems;
use crate::spec::{DaySpec, RoadSurface, SpecError};

/// Checked outdoor conditions.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    spec: DaySpec,
    air: AirState,
    density_kgpm3: f64,
}

impl Day {
    /// A mild, calm and dry day at sea level: 15 °C.
    ///
    /// ```
    /// let day = crownwheel::Day::mild();
    /// assert!((day.air_density_kgpm3() - 1.222).abs() < 1e-3);
    /// ```
    #[must_use]
    pub fn mild() -> Day {
        Day::made(crate::example::mild_day())
    }

    /// Checks a description.
    ///
    /// # Errors
    /// The first value out of range; [`day_problems`] gives all.
    ///
    /// ```
    /// use crownwheel::{Day, example, spec::DaySpec};
    /// let high = DaySpec { altitude_m: 1_000.0, ..example::mild_day() };
    /// assert!((Day::new(&high)?.air().pressure_pa - 89_874.6).abs() < 0.1);
    /// let wet = DaySpec { humidity_frac: 1.2, ..example::mild_day() };
    /// assert!(Day::new(&wet).is_err());
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    pub fn new(spec: &DaySpec) -> Result<Day, SpecError> {
        if let Some(problem) = day_problems(spec).into_iter().next() {
            return Err(problem);
        }
        Ok(Day::made(spec.clone()))
    }

    fn made(spec: DaySpec) -> Day {
        let air = AirState {
            temperature_k: spec.temperature_k,
            pressure_pa: standard_atmosphere(spec.altitude_m).pressure_pa,
            humidity_frac: spec.humidity_frac,
        };
        Day { spec, air, density_kgpm3: density_kgpm3(air) }
    }

    /// Name.
    #[must_use]
    pub fn name(&self) -> &Name {
        &self.spec.name
    }

    /// The description.
    #[must_use]
    pub fn spec(&self) -> &DaySpec {
        &self.spec
    }

    /// Temperature, pressure (standard atmosphere at the day's altitude) and humidity.
    #[must_use]
    pub fn air(&self) -> AirState {
        self.air
    }

    /// Density of the air, kg/m³.
    ///
    /// By [`density_kgpm3`].
    #[must_use]
    pub fn air_density_kgpm3(&self) -> f64 {
        self.density_kgpm3
    }

    /// Temperature of the pack at the start, K.
    #[must_use]
    pub fn pack_temperature_k(&self) -> f64 {
        self.spec.pack_temperature_k.unwrap_or(self.spec.temperature_k)
    }

    /// Road surface.
    #[must_use]
    pub fn road(&self) -> RoadSurface {
        self.spec.road
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::constants::ZERO_CELSIUS_K;
    use crate::example::mild_day;

    #[test]
    fn the_ends_of_a_range_are_allowed_however_they_were_converted() {
        let at = |degc: f64| DaySpec { temperature_k: degc + ZERO_CELSIUS_K, ..mild_day() };
        for degc in [-60.0, 70.0] {
            assert!(Day::new(&at(degc)).is_ok(), "{degc} °C");
        }
        for degc in [-60.001, 70.001] {
            assert!(Day::new(&at(degc)).is_err(), "{degc} °C");
        }
    }
}
