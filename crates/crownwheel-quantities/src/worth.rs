//! How many digits of a number are worth printing, from its standard error.
//!
//! The last digit printed counts at least half of the standard error: a finer one would be noise.
//! `118.34 ± 0.3` is printed as 118, `118.34 ± 0.08` as 118.3, `118.34 ± 4` as 120.

use crate::unit::{MISSING, digits};

/// Power of ten of the last digit that is worth printing: -1 for tenths, 1 for tens. `None`: the
/// standard error is 0 or not known, so it sets no limit.
#[must_use]
pub fn last_place(standard_error: f64) -> Option<i32> {
    let half = 0.5 * standard_error.abs();
    if !half.is_finite() || half <= 0.0 {
        return None;
    }
    // Written with no decimals in powers of ten, the exponent is that of the digit below; anything
    // on top of a power of ten needs the next one.
    let text = format!("{half:e}");
    let (mantissa, exponent) = text.split_once('e')?;
    let exponent: i32 = exponent.parse().ok()?;
    Some(if mantissa == "1" { exponent } else { exponent + 1 })
}

/// A value with the digits that are worth printing, the others rounded away.
#[must_use]
pub fn rounded(value: f64, standard_error: f64) -> f64 {
    let Some(place) = last_place(standard_error).filter(|_| value.is_finite()) else {
        return value;
    };
    match usize::try_from(-place) {
        // By way of text, so that what is left is the number that people write.
        Ok(decimals) => digits(value, decimals).parse().unwrap_or(value),
        Err(_) => {
            let unit = 10_f64.powi(place);
            (value / unit).round() * unit
        }
    }
}

/// The digits that are worth printing, at most `decimals` after the point.
#[must_use]
pub fn worth_digits(value: f64, standard_error: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return MISSING.to_owned();
    }
    let allowed = last_place(standard_error)
        .map_or(decimals, |place| usize::try_from(-place).unwrap_or(0).min(decimals));
    digits(rounded(value, standard_error), allowed)
}

/// A standard error itself is not worth more than two digits.
#[must_use]
pub fn two_digits(standard_error: f64) -> f64 {
    format!("{standard_error:.1e}").parse().unwrap_or(standard_error)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_digit_counts_at_least_half_of_the_error() {
        for (error, place) in [
            (0.3, 0),
            (0.08, -1),
            (0.2, -1),
            (0.21, 0),
            (2.0, 0),
            (2.1, 1),
            (1.9, 0),
            (20.0, 1),
            (0.002, -3),
            (4.0, 1),
        ] {
            assert_eq!(last_place(error), Some(place), "{error}");
            assert!(10_f64.powi(place) >= 0.5 * error * (1.0 - 1e-12), "{error}");
            assert!(10_f64.powi(place - 1) < 0.5 * error, "{error}");
        }
        assert_eq!(last_place(0.0), None);
        assert_eq!(last_place(f64::NAN), None);
    }

    #[test]
    fn values_are_rounded_to_what_people_would_write() {
        assert_eq!(rounded(118.34, 0.3).to_string(), "118");
        assert_eq!(rounded(118.34, 0.08).to_string(), "118.3");
        assert_eq!(rounded(118.34, 4.0).to_string(), "120");
        assert_eq!(rounded(-0.004, 0.02).to_string(), "0");
        assert_eq!(rounded(118.34, 0.0).to_string(), "118.34");
        assert_eq!(worth_digits(118.34, 4.0, 1), "120");
        assert_eq!(worth_digits(118.34, 0.001, 1), "118.3");
        assert_eq!(worth_digits(118.34, 0.3, 2), "118");
        assert_eq!(worth_digits(f64::INFINITY, 0.3, 2), "–");
    }
}
