//! Numbers as people write them: a value, its unit, and how unsure it is.

use std::fmt;

use crate::units::{self, Dimension, Unit};

/// Half-width of a 95 % band over the standard deviation of a normal distribution.
pub const SD_PER_HALF_WIDTH: f64 = 1.96;

/// How a number is spread about its nominal value. All figures are SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SpreadKind {
    /// Taken as it stands.
    Exact,
    /// `a ± b`: normal, and within `b` of the nominal value 19 times out of 20.
    Normal {
        /// Half the width of the 95 % band, 1.96 standard deviations.
        half_width_95: f64,
    },
    /// `a .. b`: anywhere between, all alike.
    Uniform {
        /// Lowest value.
        low: f64,
        /// Highest value.
        high: f64,
    },
}

/// A number with its unsureness, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The value to use where one number is wanted; the middle of a range.
    pub nominal: f64,
    /// How it is spread.
    pub kind: SpreadKind,
}

impl Spread {
    /// A number without unsureness.
    #[must_use]
    pub const fn exact(nominal: f64) -> Self {
        Self { nominal, kind: SpreadKind::Exact }
    }

    /// Whether there is no unsureness.
    #[must_use]
    pub const fn is_exact(&self) -> bool {
        matches!(self.kind, SpreadKind::Exact)
    }

    /// Standard deviation, in the unit of `nominal`.
    #[must_use]
    pub fn standard_deviation(&self) -> f64 {
        match self.kind {
            SpreadKind::Exact => 0.0,
            SpreadKind::Normal { half_width_95 } => half_width_95 / SD_PER_HALF_WIDTH,
            // Variance of a uniform distribution: width squared over twelve.
            SpreadKind::Uniform { low, high } => (high - low) / 12_f64.sqrt(),
        }
    }
}

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing there.
    Empty,
    /// It is not a number, nor a number with a unit.
    NotANumber {
        /// The part that was read.
        text: String,
    },
    /// A comma inside a number: a thousands mark to some, a decimal mark to others.
    Comma {
        /// The number if the comma marks thousands, where that is possible.
        thousands: Option<String>,
        /// The number if the comma is the decimal mark.
        decimal: String,
        /// Unit after the number.
        unit: String,
    },
    /// Blanks inside a number.
    Blank {
        /// The number without them.
        joined: String,
        /// Unit after the number.
        unit: String,
    },
    /// A number without the unit that it needs.
    MissingUnit {
        /// The number.
        number: String,
    },
    /// A unit that nobody knows.
    UnknownUnit {
        /// As written.
        unit: String,
        /// A known spelling that looks like it.
        nearest: Option<&'static str>,
    },
    /// A known unit of another quantity.
    WrongDimension {
        /// As written.
        unit: String,
        /// What it measures.
        found: Dimension,
    },
    /// A percentage of a temperature means nothing: 8 % of 15 °C is not 8 % of 59 °F.
    PercentOfTemperature,
    /// A half-width below zero.
    NegativeHalfWidth {
        /// As written.
        text: String,
    },
    /// The first end of a range lies above the second.
    Backwards {
        /// First end, as written.
        low: String,
        /// Second end, as written.
        high: String,
    },
    /// More than one `±` or `..`.
    TooManyParts,
    /// Too large for a number.
    NotFinite {
        /// As written.
        text: String,
    },
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "there is no number"),
            Self::NotANumber { text } => write!(f, "`{text}` is not a number"),
            Self::Comma { thousands: Some(thousands), decimal, .. } => {
                write!(f, "a comma can be read two ways: {thousands} or {decimal}")
            }
            Self::Comma { decimal, .. } => {
                write!(f, "a comma is not a decimal mark here: is {decimal} meant?")
            }
            Self::Blank { joined, .. } => {
                write!(f, "there are blanks inside the number: is {joined} meant?")
            }
            Self::MissingUnit { number } => write!(f, "{number} has no unit"),
            Self::UnknownUnit { unit, .. } => write!(f, "`{unit}` is not a known unit"),
            Self::WrongDimension { unit, found } => {
                write!(f, "`{unit}` is the unit of {}", found.words())
            }
            Self::PercentOfTemperature => write!(f, "a percentage of a temperature has no meaning"),
            Self::NegativeHalfWidth { text } => write!(f, "the half-width `{text}` is below zero"),
            Self::Backwards { low, high } => {
                write!(f, "the range runs backwards, from {low} to {high}")
            }
            Self::TooManyParts => write!(f, "there is more than one `±` or `..`"),
            Self::NotFinite { text } => write!(f, "`{text}` is too large"),
        }
    }
}

impl std::error::Error for QuantityError {}

/// Reads a quantity: `0.43 ± 0.03`, `2.30 ± 0.01 m`, `1.2 N m ± 40 %`, `-2 .. 5 °C`.
///
/// A pure number (`Dimension::Ratio`) may stand alone or be a percentage. The result is SI.
///
/// # Errors
/// A [`QuantityError`] that says what is wrong.
///
/// # Examples
/// ```
/// use crownwheel_files::quantity::{parse, SpreadKind};
/// use crownwheel_files::units::Dimension;
///
/// let wheelbase = parse("2.30 ± 0.01 m", Dimension::Length)?;
/// assert_eq!(wheelbase.nominal, 2.30);
/// assert_eq!(wheelbase.kind, SpreadKind::Normal { half_width_95: 0.01 });
/// # Ok::<(), crownwheel_files::quantity::QuantityError>(())
/// ```
pub fn parse(text: &str, dimension: Dimension) -> Result<Spread, QuantityError> {
    let plain = plain_marks(text);
    if plain.is_empty() {
        return Err(QuantityError::Empty);
    }
    if let Some((low, high)) = plain.split_once("..") {
        return range(low, high, dimension);
    }
    if let Some((nominal, half_width)) = plain.split_once('±') {
        return plus_minus(nominal, half_width, dimension);
    }
    let part = Part::read(&plain)?;
    let unit = part.unit_or(None, dimension)?;
    Ok(Spread::exact(finite(unit.to_si(part.value), text)?))
}

/// Reads a power limit: `7.4 kW`, or a voltage times a current as in `230 V x 10 A`, or three
/// phases as in `3 x 230 V x 16 A`. Watts.
///
/// # Errors
/// A [`QuantityError`] that says what is wrong.
pub fn parse_power_limit(text: &str) -> Result<f64, QuantityError> {
    let plain = plain_marks(text).replace('×', "x");
    let factors: Vec<&str> = plain.split('x').map(str::trim).collect();
    if factors.len() == 1 {
        return Ok(parse(text, Dimension::Power)?.nominal);
    }
    let (mut power_w, mut volts, mut amps) = (1.0, 0, 0);
    for factor in factors {
        let part = Part::read(factor)?;
        let unit = match units::find(part.unit) {
            Some(unit) => unit,
            None => part.unit_or(None, Dimension::Voltage)?,
        };
        match unit.dimension {
            Dimension::Voltage => volts += 1,
            Dimension::Current => amps += 1,
            Dimension::Ratio if part.unit.is_empty() => {}
            found => {
                return Err(QuantityError::WrongDimension { unit: part.unit.to_owned(), found });
            }
        }
        power_w *= unit.to_si(part.value);
    }
    if volts == 1 && amps == 1 {
        finite(power_w, text)
    } else {
        Err(QuantityError::NotANumber { text: text.to_owned() })
    }
}

/// Minus signs, blanks and `+/-` that look different but mean the same become one.
fn plain_marks(text: &str) -> String {
    let one_blank: String = text
        .chars()
        .map(|c| match c {
            '\u{2212}' => '-',
            c if c.is_whitespace() => ' ',
            c => c,
        })
        .collect();
    one_blank.replace("+/-", "±").replace("+-", "±").replace('…', "..").trim().to_owned()
}

/// A number and the text after it.
struct Part<'t> {
    value: f64,
    number: &'t str,
    unit: &'t str,
}

impl<'t> Part<'t> {
    fn read(text: &'t str) -> Result<Self, QuantityError> {
        let text = text.trim();
        if text.contains('±') || text.contains("..") {
            return Err(QuantityError::TooManyParts);
        }
        let (number, rest) = text.split_at(number_length(text));
        let unit = rest.trim();
        let Ok(value) = number.parse::<f64>() else {
            return Err(QuantityError::NotANumber { text: text.to_owned() });
        };
        if unit.starts_with([',', '\'']) && unit[1..].starts_with(|c: char| c.is_ascii_digit()) {
            return Err(comma(number, unit));
        }
        if unit.starts_with(|c: char| c.is_ascii_digit()) && !unit.starts_with("1/") {
            return Err(blank(number, unit));
        }
        finite(value, number)?;
        Ok(Self { value, number, unit })
    }

    /// The unit of this part, else `fallback`, else none for a pure number.
    fn unit_or(
        &self,
        fallback: Option<&'static Unit>,
        dimension: Dimension,
    ) -> Result<&'static Unit, QuantityError> {
        if self.unit.is_empty() && dimension != Dimension::Ratio {
            return fallback
                .ok_or_else(|| QuantityError::MissingUnit { number: self.number.to_owned() });
        }
        if self.unit.is_empty()
            && let Some(unit) = fallback
        {
            return Ok(unit);
        }
        match units::find_for(self.unit, dimension) {
            Some(unit) if unit.dimension == dimension => Ok(unit),
            Some(unit) => Err(QuantityError::WrongDimension {
                unit: self.unit.to_owned(),
                found: unit.dimension,
            }),
            None => Err(QuantityError::UnknownUnit {
                unit: self.unit.to_owned(),
                nearest: units::nearest(self.unit, dimension),
            }),
        }
    }
}

/// Bytes of the number that `text` starts with.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    // A blank after the sign is how some programs print a minus.
    at += digits(at);
    if bytes.get(at) == Some(&b'.') {
        at += 1 + digits(at + 1);
    }
    if matches!(bytes.get(at), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        let exponent = digits(at + 1 + sign);
        if exponent > 0 {
            at += 1 + sign + exponent;
        }
    }
    at
}

/// `1,180 kg`: both readings, so that the writer can choose.
fn comma(number: &str, rest: &str) -> QuantityError {
    let end = rest
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.' | '\'')))
        .unwrap_or(rest.len());
    let (tail, unit) = rest.split_at(end);
    let groups: Vec<&str> = tail[1..].split([',', '\'']).collect();
    let by_three = groups.iter().enumerate().all(|(i, group)| {
        let whole =
            if i + 1 == groups.len() { group.split('.').next().unwrap_or(group) } else { group };
        whole.len() == 3 && whole.bytes().all(|b| b.is_ascii_digit())
    });
    let thousands =
        (by_three && !number.contains('.')).then(|| format!("{number}{}", groups.concat()));
    let decimal = format!("{number}.{}", groups.concat().replace('.', ""));
    let decimal = decimal.trim_end_matches('0').trim_end_matches('.').to_owned();
    QuantityError::Comma { thousands, decimal, unit: unit.trim().to_owned() }
}

/// `1 180 kg`: the number without its blanks.
fn blank(number: &str, rest: &str) -> QuantityError {
    let end =
        rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ' '))).unwrap_or(rest.len());
    let (tail, unit) = rest.split_at(end);
    QuantityError::Blank {
        joined: format!("{number}{}", tail.replace(' ', "")),
        unit: unit.trim().to_owned(),
    }
}

fn range(low: &str, high: &str, dimension: Dimension) -> Result<Spread, QuantityError> {
    let (low, high) = (low.trim(), high.trim());
    let (from, to) = (Part::read(low)?, Part::read(high)?);
    let to_unit = to.unit_or(None, dimension)?;
    let from_unit = from.unit_or(Some(to_unit), dimension)?;
    let low_si = finite(from_unit.to_si(from.value), low)?;
    let high_si = finite(to_unit.to_si(to.value), high)?;
    if low_si > high_si {
        return Err(QuantityError::Backwards { low: low.to_owned(), high: high.to_owned() });
    }
    let nominal = low_si + 0.5 * (high_si - low_si);
    let kind = if low_si < high_si {
        SpreadKind::Uniform { low: low_si, high: high_si }
    } else {
        SpreadKind::Exact
    };
    Ok(Spread { nominal, kind })
}

fn plus_minus(
    nominal: &str,
    half_width: &str,
    dimension: Dimension,
) -> Result<Spread, QuantityError> {
    let (middle, half) = (Part::read(nominal)?, Part::read(half_width)?);
    if half.value < 0.0 {
        return Err(QuantityError::NegativeHalfWidth { text: half_width.trim().to_owned() });
    }
    // "0.43 ± 8 %" is a share of the value; "96 % ± 1 %" is one percentage point.
    let relative = half.unit == "%" && middle.unit != "%";
    let (value_si, half_si) = if relative {
        if dimension == Dimension::Temperature {
            return Err(QuantityError::PercentOfTemperature);
        }
        let value_si = middle.unit_or(None, dimension)?.to_si(middle.value);
        (value_si, value_si.abs() * half.value * 0.01)
    } else if half.unit.is_empty() {
        let unit = middle.unit_or(None, dimension)?;
        (unit.to_si(middle.value), unit.difference_to_si(half.value))
    } else {
        let half_unit = half.unit_or(None, dimension)?;
        let unit = middle.unit_or(Some(half_unit), dimension)?;
        (unit.to_si(middle.value), half_unit.difference_to_si(half.value))
    };
    let half_si = finite(half_si, half_width)?;
    let kind = if half_si > 0.0 {
        SpreadKind::Normal { half_width_95: half_si }
    } else {
        SpreadKind::Exact
    };
    Ok(Spread { nominal: finite(value_si, nominal)?, kind })
}

fn finite(value: f64, text: &str) -> Result<f64, QuantityError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite { text: text.trim().to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn normal(text: &str, dimension: Dimension, nominal: f64, half_width: f64) {
        let spread = parse(text, dimension).unwrap();
        let SpreadKind::Normal { half_width_95 } = spread.kind else {
            panic!("{text}: {spread:?}")
        };
        assert!((spread.nominal - nominal).abs() <= 1e-12 * nominal.abs(), "{text}: {spread:?}");
        assert!((half_width_95 - half_width).abs() <= 1e-12 * half_width, "{text}: {spread:?}");
    }

    #[test]
    fn plus_minus_in_every_spelling() {
        normal("0.43 ± 0.03", Dimension::Ratio, 0.43, 0.03);
        normal("0.43 +/- 0.03", Dimension::Ratio, 0.43, 0.03);
        normal("0.43±0.03", Dimension::Ratio, 0.43, 0.03);
        normal("0.43 ± 8 %", Dimension::Ratio, 0.43, 0.0344);
        normal("2.30 ± 0.01 m", Dimension::Length, 2.30, 0.01);
        normal("0.52 m ± 0.03 m", Dimension::Length, 0.52, 0.03);
        normal("0.52 m ± 30 mm", Dimension::Length, 0.52, 0.03);
        normal("0.52 m ± 0.03", Dimension::Length, 0.52, 0.03);
        normal("1.2 N m ± 40 %", Dimension::Torque, 1.2, 0.48);
        normal("96 % ± 1 %", Dimension::Ratio, 0.96, 0.01);
        normal("15 ± 2 °C", Dimension::Temperature, 288.15, 2.0);
        normal("59 ± 9 °F", Dimension::Temperature, 288.15, 5.0);
        normal("15 °C ± 2 K", Dimension::Temperature, 288.15, 2.0);
        normal("\u{2212}2\u{a0}±\u{a0}1 °C", Dimension::Temperature, 271.15, 1.0);
        normal("1 ± 15 %", Dimension::Ratio, 1.0, 0.15);
    }

    #[test]
    fn a_half_width_is_196_hundredths_of_a_standard_deviation() {
        let spread = parse("100 ± 19.6 kg", Dimension::Mass).unwrap();
        assert!((spread.standard_deviation() - 10.0).abs() < 1e-12);
        let range = parse("0 .. 12 kg", Dimension::Mass).unwrap();
        assert!((range.standard_deviation() - 12_f64.sqrt()).abs() < 1e-12);
        assert!(parse("5 ± 0 kg", Dimension::Mass).unwrap().is_exact());
    }

    #[test]
    fn ranges_take_their_middle_as_nominal() {
        let spread = parse("0.38 .. 0.46", Dimension::Ratio).unwrap();
        assert!((spread.nominal - 0.42).abs() < 1e-12);
        let cold = parse("-2 .. 5 °C", Dimension::Temperature).unwrap();
        assert_eq!(cold.kind, SpreadKind::Uniform { low: 271.15, high: 278.15 });
        let joined = parse("0.38..0.46", Dimension::Ratio).unwrap();
        assert_eq!(joined, spread);
        let mixed = parse("900 mm .. 1.1 m", Dimension::Length).unwrap();
        assert!((mixed.nominal - 1.0).abs() < 1e-12);
        assert!(parse("3 .. 3 m", Dimension::Length).unwrap().is_exact());
    }

    #[test]
    fn plain_quantities() {
        let si = |text: &str, dimension| parse(text, dimension).unwrap().nominal;
        assert!((si("148 kg", Dimension::Mass) - 148.0).abs() < 1e-12);
        assert!((si("148kg", Dimension::Mass) - 148.0).abs() < 1e-12);
        assert!((si("8 %", Dimension::Ratio) - 0.08).abs() < 1e-12);
        assert!((si("4.22", Dimension::Ratio) - 4.22).abs() < 1e-12);
        assert!((si("1e3 W", Dimension::Power) - 1e3).abs() < 1e-12);
        assert!((si("4 C", Dimension::ChargeRate) - 4.0).abs() < 1e-12);
        assert!((si("2000 K", Dimension::TemperatureCoefficient) - 2000.0).abs() < 1e-12);
        assert!((si("5 1/h", Dimension::ChargeRate) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn refusals_say_what_is_wrong() {
        let refused = |text: &str, dimension| parse(text, dimension).unwrap_err();
        assert_eq!(refused("", Dimension::Mass), QuantityError::Empty);
        assert_eq!(
            refused("148", Dimension::Mass),
            QuantityError::MissingUnit { number: "148".into() }
        );
        assert_eq!(
            refused("3 m", Dimension::Mass),
            QuantityError::WrongDimension { unit: "m".into(), found: Dimension::Length }
        );
        assert_eq!(
            refused("3 KG", Dimension::Mass),
            QuantityError::UnknownUnit { unit: "KG".into(), nearest: Some("kg") }
        );
        assert_eq!(
            refused("15 °C ± 8 %", Dimension::Temperature),
            QuantityError::PercentOfTemperature
        );
        assert_eq!(
            refused("5 .. 3 m", Dimension::Length),
            QuantityError::Backwards { low: "5".into(), high: "3 m".into() }
        );
        assert_eq!(
            refused("5 ± -3 m", Dimension::Length),
            QuantityError::NegativeHalfWidth { text: "-3 m".into() }
        );
        assert_eq!(refused("1 ± 2 ± 3 m", Dimension::Length), QuantityError::TooManyParts);
        assert_eq!(
            refused("1e999 kg", Dimension::Mass),
            QuantityError::NotFinite { text: "1e999".into() }
        );
        for text in ["heavy", "nan kg", "inf kg", "-", "± 3 kg", ".. 3 kg", "kg"] {
            assert!(
                matches!(refused(text, Dimension::Mass), QuantityError::NotANumber { .. }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_comma_is_refused_with_both_readings() {
        let comma = |text: &str| match parse(text, Dimension::Mass) {
            Err(QuantityError::Comma { thousands, decimal, unit }) => (thousands, decimal, unit),
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(comma("1,180 kg"), (Some("1180".into()), "1.18".into(), "kg".into()));
        assert_eq!(comma("1,5 kg"), (None, "1.5".into(), "kg".into()));
        assert_eq!(comma("1,180,000 kg").0, Some("1180000".into()));
        assert_eq!(comma("1'180 kg").0, Some("1180".into()));
        let blank = parse("1 180 kg", Dimension::Mass).unwrap_err();
        assert_eq!(blank, QuantityError::Blank { joined: "1180".into(), unit: "kg".into() });
    }

    #[test]
    fn power_limits_may_be_volts_times_amperes() {
        for (text, watts) in [
            ("7.4 kW", 7400.0),
            ("230 V x 10 A", 2300.0),
            ("230V × 10A", 2300.0),
            ("3 x 230 V x 16 A", 11_040.0),
        ] {
            assert!((parse_power_limit(text).unwrap() - watts).abs() < 1e-9, "{text}");
        }
        assert!(parse_power_limit("230 V").is_err());
        assert!(parse_power_limit("230 V x 10 V").is_err());
        assert!(parse_power_limit("230 V x 10 kg").is_err());
        assert!(parse_power_limit("230 x 10").is_err());
    }

    #[test]
    fn no_text_makes_it_panic() {
        let marks = [
            "±", "..", "1", "-", ",", "'", "e", " ", "°C", "kg", ".", "%", "\u{2212}", "…", "x",
            "²",
        ];
        for a in marks {
            for b in marks {
                for c in marks {
                    for d in marks {
                        let text = [a, b, c, d].concat();
                        let spread = parse(&text, Dimension::Mass);
                        assert!(
                            spread.is_err() || spread.is_ok_and(|s| s.nominal.is_finite()),
                            "{text}"
                        );
                        assert!(parse_power_limit(&text).is_err(), "{text}");
                    }
                }
            }
        }
    }
}
