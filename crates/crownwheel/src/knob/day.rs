//! The adjustable numbers of a day.

use super::absent;
use crate::spec::{DaySpec, SpecError, Wind};

/// One adjustable number of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
#[non_exhaustive]
pub enum DayKnob {
    /// Air temperature, K.
    Temperature,
    /// Pack temperature at the start, K; only of a day that says it.
    PackTemperature,
    /// Height above sea level, m.
    Altitude,
    /// Relative humidity, 0..1.
    Humidity,
    /// Wind speed, m/s, positive against the car; only of a day that is not calm.
    WindSpeed,
    /// Load on the traction side on top of the standing loads, W.
    ExtraLoad,
}

impl DayKnob {
    /// All of them, each with the last part of its path.
    pub const ALL: [(&str, DayKnob); 6] = [
        ("temperature", DayKnob::Temperature),
        ("pack_temperature", DayKnob::PackTemperature),
        ("altitude", DayKnob::Altitude),
        ("humidity", DayKnob::Humidity),
        ("wind", DayKnob::WindSpeed),
        ("extra_load", DayKnob::ExtraLoad),
    ];

    /// The knob of a path, `day.winter.temperature`. `None` if it is no number of this day.
    ///
    /// ```
    /// use crownwheel::{example, knob::DayKnob};
    /// let mut day = example::winter_day();
    /// let knob = DayKnob::find("day.winter.wind", &day).expect("it blows");
    /// assert_eq!((knob.get(&day), knob.path(&day)), (Some(5.0), "day.winter.wind".to_owned()));
    /// knob.set(&mut day, 7.0)?;
    /// assert_eq!(knob.get(&day), Some(7.0));
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn find(path: &str, spec: &DaySpec) -> Option<DayKnob> {
        let (name, field) = path.strip_prefix("day.")?.rsplit_once('.')?;
        let (_, knob) = Self::ALL.into_iter().find(|(known, _)| *known == field)?;
        let here = *spec.name == *name && knob.get(spec).is_some();
        here.then_some(knob)
    }

    /// Path of the number in a build file.
    #[must_use]
    pub fn path(self, spec: &DaySpec) -> String {
        let field = Self::ALL.iter().find(|(_, knob)| *knob == self).map_or("", |(field, _)| field);
        format!("day.{}.{field}", spec.name)
    }

    /// The number, in the unit of its field in [`DaySpec`]. `None` if the day has no such number.
    #[must_use]
    pub fn get(self, spec: &DaySpec) -> Option<f64> {
        match self {
            DayKnob::Temperature => Some(spec.temperature_k),
            DayKnob::PackTemperature => spec.pack_temperature_k,
            DayKnob::Altitude => Some(spec.altitude_m),
            DayKnob::Humidity => Some(spec.humidity_frac),
            DayKnob::WindSpeed => match spec.wind {
                Wind::Calm => None,
                Wind::AlongRoad { speed_mps, .. } | Wind::AllRound { speed_mps, .. } => {
                    Some(speed_mps)
                }
            },
            DayKnob::ExtraLoad => Some(spec.extra_load_w),
        }
    }

    /// Sets the number; [`crate::Day::new`] checks it with all others.
    ///
    /// # Errors
    /// When this day has no such number.
    pub fn set(self, spec: &mut DaySpec, value: f64) -> Result<(), SpecError> {
        let place = match self {
            DayKnob::Temperature => Some(&mut spec.temperature_k),
            DayKnob::PackTemperature => spec.pack_temperature_k.as_mut(),
            DayKnob::Altitude => Some(&mut spec.altitude_m),
            DayKnob::Humidity => Some(&mut spec.humidity_frac),
            DayKnob::WindSpeed => match &mut spec.wind {
                Wind::Calm => None,
                Wind::AlongRoad { speed_mps, .. } | Wind::AllRound { speed_mps, .. } => {
                    Some(speed_mps)
                }
            },
            DayKnob::ExtraLoad => Some(&mut spec.extra_load_w),
        };
        match place {
            Some(place) => {
                *place = value;
                Ok(())
            }
            None => Err(absent(&self.path(spec), value)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::mild_day;

    #[test]
    fn every_number_of_a_day_is_found_and_set() {
        let wind = Wind::AllRound { speed_mps: 5.0, height_m: 10.0 };
        let mut day = DaySpec { pack_temperature_k: Some(280.0), wind, ..mild_day() };
        for (_, knob) in DayKnob::ALL {
            let path = knob.path(&day);
            assert_eq!(DayKnob::find(&path, &day), Some(knob), "{path}");
            let value = knob.get(&day).unwrap();
            knob.set(&mut day, value + 1.0).unwrap();
            assert_eq!(knob.get(&day), Some(value + 1.0), "{path}");
        }
        assert_eq!(day.wind, Wind::AllRound { speed_mps: 6.0, height_m: 10.0 });
    }

    #[test]
    fn a_calm_day_has_no_wind_to_set_and_another_day_is_another() {
        let mut day = DaySpec { wind: Wind::Calm, pack_temperature_k: None, ..mild_day() };
        for knob in [DayKnob::WindSpeed, DayKnob::PackTemperature] {
            assert_eq!(DayKnob::find(&knob.path(&day), &day), None);
            assert!(knob.set(&mut day, 1.0).is_err());
        }
        assert_eq!(DayKnob::find("day.some_other_day.temperature", &day), None);
        assert_eq!(DayKnob::find("temperature", &day), None);
    }
}
