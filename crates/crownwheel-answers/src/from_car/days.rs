//! What each day makes of pack and motor.

use crownwheel::Day;
use crownwheel::constants::{JOULE_PER_WH, ZERO_CELSIUS_K};
use crownwheel::heat::derating;

use super::Subject;
use crate::{DayFacts, Unit};

/// A line of facts for each day.
pub(super) fn facts(subject: &Subject) -> Vec<DayFacts> {
    let (car, pack) = (&subject.car, &subject.car.spec().pack);
    let of_day = |day: &Day| {
        let floor_frac = car.floor_frac(day);
        DayFacts {
            day: day.name().clone(),
            temperature_degc: day.air().temperature_k - ZERO_CELSIUS_K,
            pack_temperature_degc: day.pack_temperature_k() - ZERO_CELSIUS_K,
            altitude_m: day.spec().altitude_m,
            air_density_kgpm3: day.air_density_kgpm3(),
            floor_pct: 100.0 * floor_frac,
            usable_kwh: pack.stored_j(floor_frac, pack.usable_to_frac) / JOULE_PER_WH / 1000.0,
            continuous_heat_pct: 100.0 * derating(&car.spec().motor, day),
        }
    };
    subject.days.iter().map(of_day).collect()
}

/// Days on which the motor is derated, and how cold acts on the pack.
pub(super) fn notes(subject: &Subject) -> Vec<String> {
    let units = subject.units;
    let derated = |day: &Day| {
        let share = derating(&subject.car.spec().motor, day);
        (share < 1.0).then(|| {
            format!(
                "On the {} day ({}, {}) the motor may lose only {:.0} % of its usual heat for long, because it is above {} or {}.",
                day.name(),
                units.text(day.air().temperature_k - ZERO_CELSIUS_K, Unit::Degc),
                units.text_to(day.spec().altitude_m, Unit::M, 0),
                100.0 * share,
                units.text(40.0, Unit::Degc),
                units.text_to(1000.0, Unit::M, 0)
            )
        })
    };
    let cold = subject.car.spec().pack.cold_capacity.as_ref().map(|_| {
        "Cold takes capacity by the cells' cold sheet; their resistance is not raised as well, because the sheet already holds it.".to_owned()
    });
    subject.days.iter().filter_map(derated).chain(cold).collect()
}
