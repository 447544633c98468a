//! A build as models for worlds: the nominal car or day, and what is unsure about it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::knob::{DayKnob, Knob};
use crownwheel::spec::{CarSpec, DaySpec, Wind};
use crownwheel::unsure::{DayModel, DayUnsure, Model, UncertainNumber};

use crate::Build;
use crate::keys::{self, KeyKind, KeyRow};
use crate::quantity::Spread;
use crate::units::{self, Dimension};

impl Build {
    /// The car with everything that is unsure about it, given or assumed.
    #[must_use]
    pub fn model(&self) -> Model {
        model(self.car.clone(), &self.spreads)
    }

    /// The days with everything that is unsure about them, in file order.
    #[must_use]
    pub fn day_models(&self) -> Vec<DayModel> {
        self.days.iter().map(|day| day_model(day, &self.spreads)).collect()
    }
}

/// An SI value of a key as a build would write it, with four digits: `0.6123`, `78.21 kg`.
#[must_use]
pub fn as_written(path: &str, si: f64) -> String {
    let row = keys::find(path);
    let limits = row.and_then(KeyRow::limits);
    // A wind is written with its direction; its speed is what is unsure.
    let is_wind = row.is_some_and(|row| row.kind == KeyKind::Wind);
    let usual = units::usual(if is_wind { Dimension::Speed } else { Dimension::Ratio });
    let unit = limits.map(|limits| limits.unit).or_else(|| units::find(usual).copied());
    let (value, name) = unit.map_or((si, ""), |unit| (unit.value_of(si), unit.name));
    let value: f64 = format!("{value:.3e}").parse().unwrap_or(value);
    if name.is_empty() { value.to_string() } else { format!("{value} {name}") }
}

/// A car with those of the spreads that are its own.
pub(crate) fn model(car: CarSpec, spreads: &BTreeMap<String, Spread>) -> Model {
    let unsure = spreads
        .iter()
        .filter_map(|(path, spread)| {
            let knob = Knob::find(path, &car).ok()?;
            let (key, physical) = (Arc::from(path.as_str()), knob.key().ends_si());
            Some(UncertainNumber { key, knob, spread: *spread, physical })
        })
        .collect();
    Model { car, unsure }
}

fn day_model(day: &DaySpec, spreads: &BTreeMap<String, Spread>) -> DayModel {
    let unsure = spreads
        .iter()
        .filter_map(|(path, spread)| {
            let knob = DayKnob::find(path, day).ok()?;
            let (low, high) = knob.key().ends_si();
            let from_all_round =
                path.ends_with(".wind") && matches!(day.wind, Wind::AllRound { .. });
            let physical = (if from_all_round { 0.0 } else { low }, high);
            Some(DayUnsure { key: Arc::from(path.as_str()), knob, spread: *spread, physical })
        })
        .collect();
    DayModel { day: day.clone(), unsure }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{changed, close};

    fn physical(path: &str) -> (f64, f64) {
        keys::find(path).unwrap().ends_si()
    }

    #[test]
    fn everything_that_is_unsure_is_in_a_model() {
        let winter = "temperature = \"-2 °C\"\nwind = \"5 m/s all round\"";
        let unsure = "temperature = \"-2 °C ± 3 °C\"\nwind = \"5 m/s ± 2 m/s all round\"";
        let build = changed(&[(winter, unsure)]);
        let model = build.model();
        let days = build.day_models();
        assert_eq!(model.car, build.car);
        assert_eq!(days.len(), build.days.len());
        let of_days: usize = days.iter().map(|day| day.unsure.len()).sum();
        assert_eq!(model.unsure.len() + of_days, build.spreads.len());
        let winter = days.iter().find(|day| &*day.day.name == "winter").unwrap();
        let wind = winter.unsure.iter().find(|unsure| &*unsure.key == "day.winter.wind").unwrap();
        assert_eq!((&*wind.key, wind.physical), ("day.winter.wind", (0.0, 40.0)));
    }

    #[test]
    fn ranges_of_keys_are_physical_limits_in_si() {
        let (low, high) = physical("day.winter.temperature");
        assert!(close(low, 233.15) && close(high, 333.15));
        assert_eq!(physical("driveline.axle.efficiency"), (0.3, 1.0));
        let (low, high) = physical("regen.fade_out_below");
        assert!(low.abs() < 1e-15 && close(high, 60.0 / 3.6));
        for (path, _) in Knob::all(&changed(&[]).car) {
            let (low, high) = physical(&path);
            assert!(low < high && low.is_finite() && high.is_finite(), "{path}");
        }
    }

    #[test]
    fn all_spreads_lie_within_what_is_physical() {
        for unsure in changed(&[]).model().unsure {
            let (low, high) = unsure.physical;
            assert!((low..=high).contains(&unsure.spread.nominal), "{}", unsure.key);
        }
    }
}
