//! Units as logs write them: more habits than a build file allows.

/// Units of speed that can be named for a log whose heading does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum SpeedUnit {
    /// Metre per second.
    Mps,
    /// Kilometre per hour.
    Kmh,
    /// Mile per hour.
    Mph,
    /// Knot.
    Knot,
}

impl SpeedUnit {
    /// All units, with how they are written.
    pub const ALL: [(SpeedUnit, &'static str); 4] = [
        (SpeedUnit::Mps, "m/s"),
        (SpeedUnit::Kmh, "km/h"),
        (SpeedUnit::Mph, "mph"),
        (SpeedUnit::Knot, "kn"),
    ];

    /// Metres per second in one of this unit.
    #[must_use]
    pub const fn mps(self) -> f64 {
        match self {
            SpeedUnit::Mps => 1.0,
            SpeedUnit::Kmh => 1.0 / 3.6,
            SpeedUnit::Mph => MPH_MPS,
            SpeedUnit::Knot => KNOT_MPS,
        }
    }

    /// The unit as people write it: `km/h`, `kph`, `mph`, `m/s`, `kn`.
    #[must_use]
    pub fn parse(text: &str) -> Option<SpeedUnit> {
        let unit = find(text, Kind::Speed)?;
        let same = |(known, _): &(SpeedUnit, &str)| (known.mps() - unit.factor).abs() < 1e-12;
        SpeedUnit::ALL.into_iter().find(same).map(|(known, _)| known)
    }

    /// How it is written.
    #[must_use]
    pub fn text(self) -> &'static str {
        SpeedUnit::ALL.iter().find(|(unit, _)| *unit == self).map_or("", |(_, text)| text)
    }
}

/// Mile of 1,609.344 m an hour. Exact.
const MPH_MPS: f64 = 0.447_04;
/// Nautical mile of 1,852 m an hour. Exact.
const KNOT_MPS: f64 = 1852.0 / 3600.0;
/// Foot. Exact.
const FOOT_M: f64 = 0.3048;

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Time,
    Speed,
    Angle,
    Length,
    Ratio,
    Voltage,
    Current,
    Temperature,
    Power,
}

/// A unit: SI is `(value + offset) · factor`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LogUnit {
    pub(super) kind: Kind,
    pub(super) factor: f64,
    pub(super) offset: f64,
}

impl LogUnit {
    pub(super) fn to_si(self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    pub(super) const fn of(kind: Kind, factor: f64) -> LogUnit {
        LogUnit { kind, factor, offset: 0.0 }
    }
}

/// Finds a unit of a kind by its spelling, whatever the case.
pub(super) fn find(text: &str, kind: Kind) -> Option<LogUnit> {
    let wanted: String = text
        .trim()
        .trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | '{' | '}'))
        .chars()
        .filter(|c| !matches!(c, '°' | ' ' | '.'))
        .flat_map(char::to_lowercase)
        .collect();
    // "°" alone is an angle; everywhere else it is decoration.
    if wanted.is_empty() {
        let degree = text.contains('°') && kind == Kind::Angle;
        return degree.then_some(LogUnit::of(Kind::Angle, 1.0));
    }
    let row = UNITS
        .iter()
        .find(|(of, names, ..)| *of == kind && names.split(' ').any(|name| name == wanted))?;
    Some(LogUnit { kind, factor: row.2, offset: row.3 })
}

/// Whether a text is a unit, but of no such kind.
pub(super) fn is_of_other_kind(text: &str, kind: Kind) -> bool {
    let of = |kind: Kind| find(text, kind).is_some();
    !of(kind) && UNITS.iter().any(|(other, ..)| of(*other))
}

/// Kind, spellings, factor, offset.
const UNITS: &[(Kind, &str, f64, f64)] = &[
    (
        Kind::Time,
        "s sec secs second seconds sek sekunden seg segundos secondes secondi seconden",
        1.0,
        0.0,
    ),
    (Kind::Time, "ms msec msecs milli millis millisecond milliseconds", 1e-3, 0.0),
    (Kind::Time, "us µs usec micros microseconds", 1e-6, 0.0),
    (Kind::Time, "min mins minute minutes", 60.0, 0.0),
    (Kind::Time, "h hr hrs hour hours", 3600.0, 0.0),
    (Kind::Speed, "m/s mps ms-1 m/sec", 1.0, 0.0),
    (Kind::Speed, "km/h kmh kph kmph km/hr kmh-1 kmhr km/u km/t km/std", 1.0 / 3.6, 0.0),
    (Kind::Speed, "mph mi/h mi/hr mile/h miles/h", MPH_MPS, 0.0),
    (Kind::Speed, "kn kt kts knot knots", KNOT_MPS, 0.0),
    (Kind::Speed, "ft/s fps", FOOT_M, 0.0),
    (Kind::Angle, "deg degs degree degrees grad grados gradi graden grader", 1.0, 0.0),
    (Kind::Length, "m metre metres meter meters", 1.0, 0.0),
    (Kind::Length, "ft feet foot", FOOT_M, 0.0),
    (Kind::Length, "km kilometre kilometres kilometer kilometers", 1000.0, 0.0),
    (Kind::Length, "mi mile miles", 1609.344, 0.0),
    (Kind::Ratio, "% pct percent prozent", 0.01, 0.0),
    (Kind::Ratio, "frac fraction 1", 1.0, 0.0),
    (Kind::Voltage, "v volt volts vdc", 1.0, 0.0),
    (Kind::Voltage, "mv", 1e-3, 0.0),
    (Kind::Voltage, "kv", 1e3, 0.0),
    (Kind::Current, "a amp amps ampere amperes ampère adc", 1.0, 0.0),
    (Kind::Current, "ma", 1e-3, 0.0),
    (Kind::Temperature, "c degc celsius centigrade", 1.0, 273.15),
    (Kind::Temperature, "f degf fahrenheit", 1.0 / 1.8, 459.67),
    (Kind::Temperature, "k kelvin", 1.0, 0.0),
    (Kind::Power, "w watt watts", 1.0, 0.0),
    (Kind::Power, "kw", 1e3, 0.0),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_found_in_any_dress() {
        for (text, kind, si_of_one) in [
            ("km/h", Kind::Speed, 1.0 / 3.6),
            ("[KPH]", Kind::Speed, 1.0 / 3.6),
            ("Knots", Kind::Speed, KNOT_MPS),
            ("(m/s)", Kind::Speed, 1.0),
            ("°C", Kind::Temperature, 274.15),
            ("deg F", Kind::Temperature, 460.67 / 1.8),
            ("°", Kind::Angle, 1.0),
            ("mS", Kind::Time, 1e-3),
            ("%", Kind::Ratio, 0.01),
        ] {
            let unit = find(text, kind).unwrap_or_else(|| panic!("{text}"));
            assert!((unit.to_si(1.0) - si_of_one).abs() < 1e-12, "{text}");
        }
        assert_eq!(find("", Kind::Speed), None);
        assert_eq!(find("furlong", Kind::Speed), None);
    }

    #[test]
    fn a_speed_unit_can_be_named() {
        for (unit, text) in SpeedUnit::ALL {
            assert_eq!(SpeedUnit::parse(text), Some(unit));
            assert_eq!(unit.text(), text);
        }
        assert_eq!(SpeedUnit::parse("ft/s"), None);
    }
}
