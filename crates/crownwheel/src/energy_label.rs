//! Energy use as labels print it, and the rules that labels average by.

use crate::constants::{METRE_PER_MILE, PETROL_GALLON_WH};

/// Share of the city cycle in a combined figure of the United States.
///
/// Source: 40 CFR 600.208-12(a)(3)(i).
pub const CITY_SHARE: f64 = 0.55;

/// Factor from a measured range or efficiency to the label of the United States.
///
/// Source: 40 CFR 600.210-12(d)(3) (second hand).
pub const LABEL_FACTOR: f64 = 0.7;

/// City and highway figures of one car, in whatever unit; the result has the same.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct CityHighway {
    /// Figure of the city cycle.
    pub city: f64,
    /// Figure of the highway cycle.
    pub highway: f64,
}

/// kWh per 100 miles from Wh/km.
///
/// By definition of the units.
///
/// ```
/// assert!((crownwheel::energy_label::kwh_per_100_miles(150.0) - 24.140_16).abs() < 1e-9);
/// ```
#[must_use]
pub fn kwh_per_100_miles(use_wh_per_km: f64) -> f64 {
    use_wh_per_km * METRE_PER_MILE / 1e4
}

/// Miles per kWh from Wh/km (more than 0).
///
/// By definition of the units.
///
/// ```
/// // 100 kWh over 24.14016 kWh in 100 miles.
/// assert!((crownwheel::energy_label::miles_per_kwh(150.0) - 100.0 / 24.140_16).abs() < 1e-9);
/// ```
#[must_use]
pub fn miles_per_kwh(use_wh_per_km: f64) -> f64 {
    1e6 / (use_wh_per_km * METRE_PER_MILE)
}

/// Miles per gallon of petrol of equal energy, from Wh/km (more than 0).
///
/// # Source
/// [`PETROL_GALLON_WH`]; the shorter 33.7 kWh that is often quoted gives 0.015 % less.
///
/// ```
/// let mpge = crownwheel::energy_label::miles_per_gallon_equivalent(150.0);
/// assert!((mpge - 139.622).abs() < 1e-3);
/// ```
#[must_use]
pub fn miles_per_gallon_equivalent(use_wh_per_km: f64) -> f64 {
    miles_per_kwh(use_wh_per_km) * PETROL_GALLON_WH / 1e3
}

/// Combined figure of what is per distance travelled over energy (miles per gallon): harmonic mean
/// by [`CITY_SHARE`].
///
/// `1 / (0.55 / city + 0.45 / highway)`, both more than 0. Source: as [`CITY_SHARE`].
///
/// ```
/// use crownwheel::energy_label::{CityHighway, combined_harmonic};
/// let both = CityHighway { city: 100.0, highway: 50.0 };
/// assert!((combined_harmonic(both) - 1.0 / 0.0145).abs() < 1e-9);
/// ```
#[must_use]
pub fn combined_harmonic(both: CityHighway) -> f64 {
    1.0 / (CITY_SHARE / both.city + (1.0 - CITY_SHARE) / both.highway)
}

/// Combined figure of ranges, or of energy per distance: plain mean by [`CITY_SHARE`].
///
/// `0.55 city + 0.45 highway`. Source: as [`CITY_SHARE`].
///
/// ```
/// use crownwheel::energy_label::{CityHighway, combined_mean};
/// assert!((combined_mean(CityHighway { city: 100.0, highway: 50.0 }) - 77.5).abs() < 1e-12);
/// ```
#[must_use]
pub fn combined_mean(both: CityHighway) -> f64 {
    CITY_SHARE * both.city + (1.0 - CITY_SHARE) * both.highway
}

/// What a multi-cycle range test finds.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct MultiCycle {
    /// Weight of the first cycle (the cold one).
    pub first_weight: f64,
    /// Weight of each later cycle.
    pub later_weight: f64,
    /// Energy over distance, in the units given (Wh and miles give Wh/mile).
    pub energy_per_distance: f64,
    /// Range, in the unit of the distances.
    pub range: f64,
}

/// Weights the cycles of a multi-cycle range test: the cold first one counts by its share of the
/// usable energy, the others share the rest.
///
/// `K1 = E1 / U`, `K2.. = (1 - K1) / (n - 1)`, `e = Σ K_i E_i / d_i`, `range = U / e`.
///
/// # Units
/// `cycles`: energy and distance of each, any units; `usable` in the unit of the energies. `None`
/// with fewer than two cycles, or where a distance or `usable` is not positive.
/// # Source
/// SAE J1634, multi-cycle test (from memory).
///
/// ```
/// use crownwheel::energy_label::multi_cycle;
/// // K1 = 4/20; the others 0.4 each: 0.2 · 0.4 + 0.8 · 0.2.
/// let found = multi_cycle(20.0, &[(4.0, 10.0), (2.0, 10.0), (2.0, 10.0)]).expect("it is a test");
/// assert!((found.energy_per_distance - 0.24).abs() < 1e-12);
/// ```
#[must_use]
pub fn multi_cycle(usable: f64, cycles: &[(f64, f64)]) -> Option<MultiCycle> {
    let (first, later) = cycles.split_first()?;
    let later_count = u32::try_from(later.len()).ok().filter(|count| *count > 0)?;
    let sound = usable > 0.0 && cycles.iter().all(|(_, distance)| *distance > 0.0);
    if !sound {
        return None;
    }
    let first_weight = first.0 / usable;
    let later_weight = (1.0 - first_weight) / f64::from(later_count);
    let rest: f64 = later.iter().map(|(energy, distance)| later_weight * energy / distance).sum();
    let energy_per_distance = first_weight * first.0 / first.1 + rest;
    let range = usable / energy_per_distance;
    Some(MultiCycle { first_weight, later_weight, energy_per_distance, range })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_cycles_give_their_own_use() {
        let found = multi_cycle(20.0, &[(2.0, 10.0), (2.0, 10.0), (2.0, 10.0)]).unwrap();
        assert!((found.energy_per_distance - 0.2).abs() < 1e-15);
        assert!((found.range - 100.0).abs() < 1e-12);
    }

    #[test]
    fn what_makes_no_test_gives_nothing() {
        assert_eq!(multi_cycle(20.0, &[]), None);
        assert_eq!(multi_cycle(20.0, &[(2.0, 10.0)]), None);
        assert_eq!(multi_cycle(0.0, &[(2.0, 10.0), (2.0, 10.0)]), None);
        assert_eq!(multi_cycle(20.0, &[(2.0, 10.0), (2.0, 0.0)]), None);
    }

    #[test]
    fn equal_figures_combine_to_themselves() {
        let both = CityHighway { city: 3.0, highway: 3.0 };
        assert!((combined_mean(both) - 3.0).abs() < 1e-15);
        assert!((combined_harmonic(both) - 3.0).abs() < 1e-15);
    }
}
