//! Units of measure that build files and tables may use, with their exact factor to SI.
//!
//! One row per spelling. The factors are definitions, not roundings: the international yard and
//! pound (1959), the standard acceleration of free fall (3rd CGPM, 1901) and the SI itself.
//!
//! # Source
//! NIST SP 811 (2008), Guide for the Use of the International System of Units, appendix B. The
//! tests compare every factor that is not a power of ten with the figure printed there.

use std::sync::LazyLock;

use crownwheel::constants::METRE_PER_INCH as INCH_M;
use crownwheel::constants::METRE_PER_MILE as MILE_M;
use crownwheel::constants::STANDARD_GRAVITY_MPS2 as FREE_FALL_MPS2;
use crownwheel::keys::unit as si;
pub use crownwheel::keys::{Dimension, Unit};

/// Every spelling that is understood.
pub fn all() -> impl Iterator<Item = &'static Unit> {
    UNITS.iter().map(|(unit, _)| unit)
}

/// Finds a unit by its spelling. `²`, `^2` and `2` are the same, so are `N·m`, `N*m`,
/// `N-m` and `N m`.
#[must_use]
pub fn find(text: &str) -> Option<&'static Unit> {
    let wanted = canonical(text);
    spelt().find(|(_, spelling)| **spelling == wanted).map(|(unit, _)| unit)
}

/// Finds a unit by its spelling, of `dimension` if it can: `K` is a reading and a coefficient.
#[must_use]
pub fn find_for(text: &str, dimension: Dimension) -> Option<&'static Unit> {
    // Most are written as they stand in the table.
    if let Some(unit) = all().find(|u| u.dimension == dimension && u.name == text) {
        return Some(unit);
    }
    let wanted = canonical(text);
    spelt()
        .find(|(unit, spelling)| unit.dimension == dimension && **spelling == wanted)
        .map(|(unit, _)| unit)
        .or_else(|| find(text))
}

/// Every unit with its spelling without differences that carry no meaning, made once: a refused text
/// is compared with all of them.
fn spelt() -> impl Iterator<Item = (&'static Unit, &'static String)> {
    static SPELLINGS: LazyLock<Vec<String>> =
        LazyLock::new(|| all().map(|unit| canonical(unit.name)).collect());
    all().zip(SPELLINGS.iter())
}

/// Finds a unit by the ending of a table heading, `kmh`; `lbf_ft` is the same as `lbfft`.
#[must_use]
pub fn find_suffix(suffix: &str) -> Option<&'static Unit> {
    if suffix.is_empty() {
        return None;
    }
    let joined = suffix.replace('_', "");
    let same = |(_, own): &&(Unit, &str)| *own == suffix || *own == joined;
    UNITS.iter().find(same).map(|(unit, _)| unit)
}

/// The known spelling that looks most like this one, preferring units of `dimension`.
#[must_use]
pub fn nearest(text: &str, dimension: Dimension) -> Option<&'static str> {
    let wanted = canonical(text).to_lowercase();
    let habit = HABITS.iter().find(|(written, meant)| {
        *written == wanted && find(meant).is_some_and(|unit| unit.dimension == dimension)
    });
    if let Some((_, meant)) = habit {
        return Some(meant);
    }
    let alike = || spelt().filter(|(_, spelling)| spelling.to_lowercase() == wanted);
    alike()
        .find(|(unit, _)| unit.dimension == dimension)
        .or_else(|| alike().next())
        .map(|(unit, _)| unit.name)
}

/// What people write for units, and what they mean.
const HABITS: [(&str, &str); 10] = [
    ("f", "°F"),
    ("deg f", "°F"),
    ("deg c", "°C"),
    ("kph", "km/h"),
    ("kmh", "km/h"),
    ("km/hr", "km/h"),
    ("m.p.h.", "mph"),
    ("\"", "in"),
    ("inches", "in"),
    ("feet", "ft"),
];

/// Spellings for a dimension, the first few in words: `kg, g or lb`.
#[must_use]
pub fn spellings(dimension: Dimension) -> String {
    let names: Vec<&str> = all()
        .filter(|u| u.dimension == dimension && !u.name.is_empty())
        .map(|u| u.name)
        .take(4)
        .collect();
    match names.as_slice() {
        [] => String::from("no unit"),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// The usual spelling of a unit of a dimension.
#[must_use]
pub fn usual(dimension: Dimension) -> &'static str {
    all().find(|unit| unit.dimension == dimension).map_or("", |unit| unit.name)
}

/// Spelling without differences that carry no meaning.
fn canonical(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '²' => out.push('2'),
            '³' => out.push('3'),
            '^' => {}
            'Ω' | '\u{2126}' => out.push_str("ohm"),
            '·' | '⋅' | '*' | '-' => out.push(' '),
            c if c.is_whitespace() => out.push(' '),
            c => out.push(c),
        }
    }
    let mut words = out.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
    for mark in ["/", "(", ")"] {
        words = words.replace(&format!(" {mark}"), mark).replace(&format!("{mark} "), mark);
    }
    words
}

const POUND_KG: f64 = 0.453_592_37;
const FOOT_M: f64 = 0.3048;
const POUND_FORCE_N: f64 = POUND_KG * FREE_FALL_MPS2;
const MPH_MPS: f64 = 0.447_04;

const fn unit(
    name: &'static str,
    suffix: &'static str,
    dimension: Dimension,
    factor: f64,
) -> (Unit, &'static str) {
    (Unit::new(name, dimension, factor), suffix)
}

const fn degrees(
    name: &'static str,
    suffix: &'static str,
    offset: f64,
    factor: f64,
) -> (Unit, &'static str) {
    (Unit { name, dimension: Dimension::Temperature, factor, offset }, suffix)
}

// The first rows of a dimension are the ones that messages name, so the usual spelling comes first.
/// Each spelling, and how it is written at the end of a table heading, `kmh`; empty if it has no such
/// form.
const UNITS: &[(Unit, &str)] = &[
    unit("%", "pct", Dimension::Ratio, 0.01),
    (si::ONE, "frac"),
    unit("turns", "turns", Dimension::Ratio, 1.0),
    (si::KG, "kg"),
    unit("lb", "lb", Dimension::Mass, POUND_KG),
    unit("g", "g", Dimension::Mass, 1e-3),
    unit("t", "t", Dimension::Mass, 1e3),
    unit("lbs", "", Dimension::Mass, POUND_KG),
    (si::M, "m"),
    unit("mm", "mm", Dimension::Length, 1e-3),
    unit("ft", "ft", Dimension::Length, FOOT_M),
    unit("in", "in", Dimension::Length, INCH_M),
    unit("cm", "cm", Dimension::Length, 1e-2),
    (si::KM, "km"),
    unit("mi", "mi", Dimension::Length, MILE_M),
    unit("mile", "mile", Dimension::Length, MILE_M),
    unit("miles", "miles", Dimension::Length, MILE_M),
    (si::M2, "m2"),
    unit("ft2", "ft2", Dimension::Area, FOOT_M * FOOT_M),
    unit("cm2", "cm2", Dimension::Area, 1e-4),
    unit("sq ft", "", Dimension::Area, FOOT_M * FOOT_M),
    unit("in2", "in2", Dimension::Area, INCH_M * INCH_M),
    (si::KM_PER_H, "kmh"),
    unit("mph", "mph", Dimension::Speed, MPH_MPS),
    (si::M_PER_S, "mps"),
    (si::RPM, "rpm"),
    unit("1/min", "", Dimension::ShaftSpeed, si::RPM.factor),
    unit("rad/s", "radps", Dimension::ShaftSpeed, 1.0),
    (si::S, "s"),
    (si::MIN, "min"),
    (si::H, "h"),
    unit("ms", "ms", Dimension::Time, 1e-3),
    (si::N, "n"),
    unit("kN", "kn", Dimension::Force, 1e3),
    unit("lbf", "lbf", Dimension::Force, POUND_FORCE_N),
    (si::N_PER_MM, ""),
    unit("N/m", "", Dimension::Stiffness, 1.0),
    unit("lbf/in", "", Dimension::Stiffness, POUND_FORCE_N / INCH_M),
    unit("kN/m", "", Dimension::Stiffness, 1e3),
    unit("lb/in", "", Dimension::Stiffness, POUND_FORCE_N / INCH_M),
    unit("kgf/mm", "", Dimension::Stiffness, 1e3 * FREE_FALL_MPS2),
    (si::N_PER_MPS, ""),
    unit("N/(km/h)", "", Dimension::ForcePerSpeed, 3.6),
    unit("lbf/mph", "", Dimension::ForcePerSpeed, POUND_FORCE_N / MPH_MPS),
    unit("N s/m", "", Dimension::ForcePerSpeed, 1.0),
    (si::N_PER_MPS2, ""),
    unit("N/(km/h)^2", "", Dimension::ForcePerSpeedSquared, 3.6 * 3.6),
    unit("lbf/mph^2", "", Dimension::ForcePerSpeedSquared, POUND_FORCE_N / (MPH_MPS * MPH_MPS)),
    unit("N s2/m2", "", Dimension::ForcePerSpeedSquared, 1.0),
    (si::N_M, "nm"),
    unit("lbf ft", "lbfft", Dimension::Torque, POUND_FORCE_N * FOOT_M),
    unit("Nm", "", Dimension::Torque, 1.0),
    unit("kgf m", "kgfm", Dimension::Torque, FREE_FALL_MPS2),
    unit("ft lbf", "", Dimension::Torque, POUND_FORCE_N * FOOT_M),
    unit("lb ft", "lbft", Dimension::Torque, POUND_FORCE_N * FOOT_M),
    unit("ft lb", "ftlb", Dimension::Torque, POUND_FORCE_N * FOOT_M),
    unit("lbf in", "", Dimension::Torque, POUND_FORCE_N * INCH_M),
    (si::KW, "kw"),
    unit("W", "w", Dimension::Power, 1.0),
    // Mechanical horsepower, 550 foot pounds-force in a second.
    unit("hp", "hp", Dimension::Power, 550.0 * FOOT_M * POUND_FORCE_N),
    unit("PS", "ps", Dimension::Power, 75.0 * FREE_FALL_MPS2),
    unit("bhp", "bhp", Dimension::Power, 550.0 * FOOT_M * POUND_FORCE_N),
    unit("kWh", "kwh", Dimension::Energy, 3.6e6),
    unit("Wh", "wh", Dimension::Energy, 3.6e3),
    unit("MJ", "mj", Dimension::Energy, 1e6),
    unit("J", "j", Dimension::Energy, 1.0),
    (si::WH_PER_KM, "wh_per_km"),
    unit("Wh/mile", "wh_per_mile", Dimension::EnergyPerDistance, 3_600.0 / MILE_M),
    unit("kWh/100 km", "kwh_per_100km", Dimension::EnergyPerDistance, 36.0),
    unit("Wh/mi", "", Dimension::EnergyPerDistance, 3_600.0 / MILE_M),
    (si::A, "a"),
    unit("mA", "ma", Dimension::Current, 1e-3),
    (si::AH, "ah"),
    unit("A h", "", Dimension::Charge, 3_600.0),
    unit("mAh", "mah", Dimension::Charge, 3.6),
    (si::V, "v"),
    unit("mV", "mv", Dimension::Voltage, 1e-3),
    unit("kV", "kv", Dimension::Voltage, 1e3),
    unit("mohm", "mohm", Dimension::Resistance, 1e-3),
    (si::OHM, "ohm"),
    (si::KPA, "kpa"),
    unit("bar", "bar", Dimension::Pressure, 1e5),
    unit("psi", "psi", Dimension::Pressure, POUND_FORCE_N / (INCH_M * INCH_M)),
    unit("Pa", "pa", Dimension::Pressure, 1.0),
    unit("hPa", "hpa", Dimension::Pressure, 1e2),
    unit("mbar", "mbar", Dimension::Pressure, 1e2),
    (si::CELSIUS, "degc"),
    degrees("°F", "degf", 459.67, 1.0 / 1.8),
    degrees("K", "k", 0.0, 1.0),
    degrees("degC", "", 273.15, 1.0),
    degrees("degF", "", 459.67, 1.0 / 1.8),
    (si::KG_M2, "kgm2"),
    unit("lb ft2", "lbft2", Dimension::Inertia, POUND_KG * FOOT_M * FOOT_M),
    unit("kg cm2", "kgcm2", Dimension::Inertia, 1e-4),
    unit("lb in2", "lbin2", Dimension::Inertia, POUND_KG * INCH_M * INCH_M),
    (si::C, ""),
    unit("1/h", "", Dimension::ChargeRate, 1.0),
    (si::W_PER_K, ""),
    (si::KJ_PER_K, ""),
    unit("J/K", "", Dimension::HeatCapacity, 1.0),
    (si::J_PER_KG_K, ""),
    unit("kJ/(kg K)", "", Dimension::SpecificHeat, 1e3),
    (si::K, ""),
    (si::W_PER_NM2, ""),
    (si::W_PER_RADPS, ""),
    unit("W/rpm", "", Dimension::LossPerShaftSpeed, 1.0 / si::RPM.factor),
    (si::W_PER_RADPS3, ""),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Factor of a unit as printed, to half of the last printed digit.
    fn agrees(name: &str, printed: f64, half_digit: f64) {
        let unit = find(name).unwrap();
        let difference = (unit.factor - printed).abs();
        assert!(difference <= half_digit, "{name}: {} against {printed}", unit.factor);
    }

    #[test]
    fn factors_agree_with_nist_sp_811_appendix_b() {
        // Figures as printed in NIST SP 811 (2008), appendix B.8, with half of the last digit.
        agrees("ft", 3.048e-1, 1e-16);
        agrees("in", 2.54e-2, 1e-17);
        agrees("mi", 1.609_344e3, 1e-12);
        agrees("mph", 4.4704e-1, 1e-16);
        agrees("km/h", 2.777_778e-1, 5e-8);
        agrees("lb", 4.535_924e-1, 5e-8);
        agrees("lbf", 4.448_222, 5e-7);
        agrees("lbf ft", 1.355_818, 5e-7);
        agrees("lbf in", 1.129_848e-1, 5e-8);
        agrees("kgf m", 9.806_65, 1e-15);
        agrees("hp", 7.456_999e2, 5e-5);
        agrees("PS", 7.354_988e2, 5e-5);
        agrees("psi", 6.894_757e3, 5e-4);
        agrees("bar", 1.0e5, 1e-9);
        agrees("kWh", 3.6e6, 1e-8);
        agrees("Ah", 3.6e3, 1e-9);
        agrees("rpm", 1.047_198e-1, 5e-8);
        agrees("ft2", 9.290_304e-2, 1e-16);
        agrees("lb ft2", 4.214_011e-2, 5e-9);
        agrees("lb in2", 2.926_397e-4, 5e-11);
    }

    #[test]
    fn derived_factors_agree_with_their_definitions() {
        // Worked out with exact rational arithmetic from the 1959 yard and pound.
        agrees("lbf/mph", 9.950_388_366_277_066, 1e-14);
        agrees("lbf/mph^2", 22.258_384_856_561_083, 1e-13);
        agrees("lbf ft", 1.355_817_948_331_400_3, 1e-15);
        agrees("hp", 745.699_871_582_270_2, 1e-12);
        agrees("Wh/mile", 3.6 * 0.621_371_192_237_334, 1e-14);
    }

    #[test]
    fn temperatures_have_an_offset_and_their_differences_do_not() {
        let fahrenheit = find("°F").unwrap();
        assert!((fahrenheit.to_si(212.0) - 373.15).abs() < 1e-12);
        assert!((fahrenheit.difference_to_si(9.0) - 5.0).abs() < 1e-12);
        let celsius = find("degC").unwrap();
        assert!((celsius.to_si(-40.0) - fahrenheit.to_si(-40.0)).abs() < 1e-12);
        assert!((celsius.value_of(288.15) - 15.0).abs() < 1e-12);
    }

    #[test]
    fn spellings_that_mean_the_same_are_one_unit() {
        for (left, right) in
            [("m²", "m2"), ("m^2", "m2"), ("N·m", "N m"), ("N*m", "N m"), ("kg m²", "kg  m2")]
        {
            assert_eq!(find(left).unwrap().name, find(right).unwrap().name);
        }
        assert_eq!(find("mΩ").unwrap().name, "mohm");
        assert_eq!(find("N / (km/h)²").unwrap().name, "N/(km/h)^2");
    }

    #[test]
    fn no_spelling_stands_twice_for_different_quantities() {
        for (i, (left, suffix)) in UNITS.iter().enumerate() {
            for (right, other) in &UNITS[i + 1..] {
                let same = canonical(left.name) == canonical(right.name);
                // "K" is both a reading and a coefficient, with one factor.
                assert!(!same || left.name == "K", "{} and {}", left.name, right.name);
                assert!(suffix.is_empty() || suffix != other, "{suffix}");
            }
        }
    }

    #[test]
    fn a_wrong_case_is_recognised_but_not_accepted() {
        assert!(find("KG").is_none());
        assert_eq!(nearest("KG", Dimension::Mass), Some("kg"));
        assert_eq!(nearest("KW", Dimension::Power), Some("kW"));
        assert_eq!(nearest("furlong", Dimension::Length), None);
    }

    #[test]
    fn spellings_are_named_for_messages() {
        assert_eq!(spellings(Dimension::Mass), "kg, lb, g or t");
        assert_eq!(spellings(Dimension::Conductance), "W/K");
        assert_eq!(usual(Dimension::Torque), "N m");
    }
}
