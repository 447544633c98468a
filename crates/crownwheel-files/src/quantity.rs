//! Numbers as people write them: a value, its unit, and how unsure it is.

mod error;
mod part;

pub use crownwheel::spread::{SD_PER_HALF_WIDTH, Spread, SpreadKind};
pub use error::QuantityError;
use part::{Part, finite};

use crate::units::{self, Dimension};

/// What ends a number that has no band, where numbers alone have one.
pub(crate) const EXACTLY: &str = " exactly";

/// Reads a quantity: `0.43 ± 0.03`, `2.30 ± 0.01 m`, `1.2 N m ± 40 %`, `-2 .. 5 °C`.
///
/// A pure number (`Dimension::Ratio`) may stand alone or be a percentage; `0.6 exactly` is a number without a band. The
/// result is SI.
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
    let part = Part::read(plain.strip_suffix(EXACTLY).unwrap_or(&plain))?;
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

/// Reads a voltage that a turning motor induces, `24 V at 1000 rpm`. Volts per rad/s.
///
/// # Errors
/// A [`QuantityError`] that says what is wrong.
pub fn parse_voltage_at_speed(text: &str) -> Result<f64, QuantityError> {
    let plain = plain_marks(text);
    let Some((voltage, speed)) = plain.split_once(" at ") else {
        return Err(QuantityError::NotAtSpeed { text: plain });
    };
    let voltage = parse(voltage, Dimension::Voltage)?;
    let speed = parse(speed, Dimension::ShaftSpeed)?;
    let both_sound = voltage.is_exact() && speed.is_exact() && voltage.nominal > 0.0;
    if !both_sound || speed.nominal <= 0.0 {
        return Err(QuantityError::NotAtSpeed { text: plain });
    }
    finite(voltage.nominal / speed.nominal, text)
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
        // Half a width is a difference: it scales, and the zero of its scale does not count.
        normal("15 °C ± 9 °F", Dimension::Temperature, 288.15, 5.0);
        normal("59 °F ± 5 °C", Dimension::Temperature, 288.15, 5.0);
        normal("15 °C ± 2 K", Dimension::Temperature, 288.15, 2.0);
        normal("\u{2212}2\u{a0}±\u{a0}1 °C", Dimension::Temperature, 271.15, 1.0);
        normal("1 ± 15 %", Dimension::Ratio, 1.0, 0.15);
    }

    #[test]
    fn a_half_width_of_nothing_is_exact() {
        assert!(parse("5 ± 0 kg", Dimension::Mass).unwrap().is_exact());
    }

    #[test]
    fn ranges_take_their_middle_as_nominal() {
        let spread = parse("0.38 .. 0.46", Dimension::Ratio).unwrap();
        assert!((spread.nominal - 0.42).abs() < 1e-12);
        let cold = parse("-2 .. 5 °C", Dimension::Temperature).unwrap();
        assert_eq!(cold.kind, SpreadKind::Uniform { low: 271.15, high: 278.15 });
        let fahrenheit = parse("28.4 .. 41 °F", Dimension::Temperature).unwrap();
        let SpreadKind::Uniform { low, high } = fahrenheit.kind else { panic!("{fahrenheit:?}") };
        assert!((low - 271.15).abs() < 1e-9 && (high - 278.15).abs() < 1e-9);
        let joined = parse("0.38..0.46", Dimension::Ratio).unwrap();
        assert_eq!(joined, spread);
        let mixed = parse("900 mm .. 1.1 m", Dimension::Length).unwrap();
        assert!((mixed.nominal - 1.0).abs() < 1e-12);
        assert!(parse("3 .. 3 m", Dimension::Length).unwrap().is_exact());
    }

    #[test]
    fn a_voltage_at_a_speed_is_their_quotient() {
        let back_emf = parse_voltage_at_speed("24 V at 1000 rpm").unwrap();
        assert!((back_emf - 0.229_183_118_05).abs() < 1e-10);
        assert!(parse_voltage_at_speed("24 V").is_err());
        assert!(parse_voltage_at_speed("24 V at 1000 rpm ± 3 %").is_err());
        assert!(parse_voltage_at_speed("0 V at 1000 rpm").is_err());
    }

    #[test]
    fn us_units_in_every_place() {
        for (text, dimension, si) in [
            ("1746 lb", Dimension::Mass, 791.972_278_02),
            ("1746 lbs", Dimension::Mass, 791.972_278_02),
            ("53 mi", Dimension::Length, 85_295.232),
            ("53 miles", Dimension::Length, 85_295.232),
            ("7.61 ft", Dimension::Length, 2.319_528),
            ("20.5 in", Dimension::Length, 0.5207),
            ("17.9 ft2", Dimension::Area, 1.662_964_416),
            ("17.9 sq ft", Dimension::Area, 1.662_964_416),
            ("70 mph", Dimension::Speed, 31.2928),
            ("28 °F", Dimension::Temperature, 270.927_777_777_777_8),
            ("25 lbf", Dimension::Force, 111.205_540_381_512_5),
            ("120 lbf ft", Dimension::Torque, 162.698_153_799_768_05),
            ("120 ft-lb", Dimension::Torque, 162.698_153_799_768_05),
            ("120 lbf·ft", Dimension::Torque, 162.698_153_799_768_05),
            ("100 lbf/in", Dimension::Stiffness, 17_512.683_524_647_64),
            ("14.5 psi", Dimension::Pressure, 99_973.980_750_941_23),
            ("58 hp", Dimension::Power, 43_250.592_551_771_67),
            ("227 Wh/mile", Dimension::EnergyPerDistance, 507.784_538_296_349),
        ] {
            let given = parse(text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"));
            let off = (given.nominal - si).abs() / si;
            assert!(off < 1e-12, "{text}: {} against {si}", given.nominal);
        }
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
        for several in ["3.6,3.9 kg", "1,2,3 kg", "3,7.5 kg"] {
            let error = parse(several, Dimension::Mass).unwrap_err();
            assert_eq!(error, QuantityError::Several, "{several}");
        }
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
