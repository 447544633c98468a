//! Units of answers and how many digits they are worth. Values are metric; this is the one place
//! that turns a value into shown digits, so the one place to convert in when other units are asked.

/// Unit of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Unit {
    /// A pure number, or text.
    None,
    /// Kilogram.
    Kg,
    /// Kilometre.
    Km,
    /// Metre.
    M,
    /// Square metre.
    M2,
    /// Kilometre per hour.
    Kmh,
    /// Second.
    S,
    /// Turns per minute.
    Rpm,
    /// Newton metre.
    Nm,
    /// Watt-hour per kilometre.
    WhPerKm,
    /// Kilowatt-hour.
    Kwh,
    /// Kilowatt.
    Kw,
    /// Volt.
    V,
    /// Per cent.
    Pct,
    /// Kilogram per cubic metre.
    Kgpm3,
}

impl Unit {
    /// Symbol as shown, empty for a pure number.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::None => "",
            Unit::Kg => "kg",
            Unit::Km => "km",
            Unit::M => "m",
            Unit::M2 => "m²",
            Unit::Kmh => "km/h",
            Unit::S => "s",
            Unit::Rpm => "rpm",
            Unit::Nm => "N m",
            Unit::WhPerKm => "Wh/km",
            Unit::Kwh => "kWh",
            Unit::Kw => "kW",
            Unit::V => "V",
            Unit::Pct => "%",
            Unit::Kgpm3 => "kg/m³",
        }
    }

    /// Decimals that are worth showing, unless a column knows better.
    #[must_use]
    pub fn decimals(self) -> usize {
        match self {
            Unit::Km | Unit::Kmh | Unit::S | Unit::Rpm | Unit::WhPerKm => 0,
            Unit::Kg | Unit::Nm | Unit::Kwh | Unit::Kw | Unit::V | Unit::Pct => 1,
            Unit::None | Unit::M => 2,
            Unit::M2 | Unit::Kgpm3 => 3,
        }
    }
}

/// A number with a fixed count of decimals, a dash when it is missing; never `-0`.
#[must_use]
pub fn digits(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return MISSING.to_owned();
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

/// A number with its unit, in the digits that it is worth: `1180.0 kg`.
#[must_use]
pub fn with_unit(value: f64, unit: Unit) -> String {
    join(&digits(value, unit.decimals()), unit)
}

/// As [`with_unit`], with a chosen count of decimals.
#[must_use]
pub fn with_unit_to(value: f64, unit: Unit, decimals: usize) -> String {
    join(&digits(value, decimals), unit)
}

fn join(digits: &str, unit: Unit) -> String {
    if unit == Unit::None { digits.to_owned() } else { format!("{digits} {}", unit.symbol()) }
}

/// What stands for a missing value in text.
pub const MISSING: &str = "–";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_never_show_minus_zero_or_invent_a_number() {
        assert_eq!(digits(-0.04, 1), "0.0");
        assert_eq!(digits(-0.06, 1), "-0.1");
        assert_eq!(digits(f64::NAN, 1), "–");
        assert_eq!(digits(f64::INFINITY, 0), "–");
    }

    #[test]
    fn units_follow_their_number() {
        assert_eq!(with_unit(851.26, Unit::Kg), "851.3 kg");
        assert_eq!(with_unit(118.4, Unit::Km), "118 km");
        assert_eq!(with_unit_to(4.22, Unit::None, 2), "4.22");
    }
}
