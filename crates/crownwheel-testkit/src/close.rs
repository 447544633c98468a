//! The strict comparison behind `assert_close!`.

/// Says why two floats are not close, or `None` when they are.
///
/// They are close if `|actual - expected| <= abs` or `|actual - expected| <= rel * |expected|`.
/// A value that is not finite is close to nothing, not even to itself, and neither is anything
/// under an allowance that is negative or not finite. Units are the caller's; `rel` is a fraction.
#[must_use]
pub fn difference_too_large(actual: f64, expected: f64, abs: f64, rel: f64) -> Option<String> {
    if !actual.is_finite() || !expected.is_finite() {
        return Some(format!("not finite: actual {actual:?}, expected {expected:?}"));
    }
    if !(abs.is_finite() && rel.is_finite() && abs >= 0.0 && rel >= 0.0) {
        return Some(format!("not an allowance: abs {abs:?}, rel {rel:?}"));
    }
    let difference = actual - expected;
    let from_rel = rel * expected.abs();
    if difference.abs() <= abs || difference.abs() <= from_rel {
        return None;
    }
    Some(format!(
        "actual {actual:?}, expected {expected:?}: they differ by {difference:e}, \
         allowed is {abs:e} (abs) or {from_rel:e} (rel {rel:e})"
    ))
}

/// Panics unless `actual` is within `abs` or within `rel * |expected|` of `expected`.
///
/// Both allowances must be named, so that nobody has to guess which one was meant; 0 switches one
/// off. NaN and infinities never pass. More words for the message may follow.
///
/// ```
/// use crownwheel_testkit::assert_close;
/// assert_close!(1.2251, 1.225, abs = 0.0005, rel = 0.0);
/// assert_close!(-2.0, -2.0 - 1e-13, abs = 0.0, rel = 1e-12, "at {} °C", 15);
/// ```
#[macro_export]
macro_rules! assert_close {
    ($actual:expr, $expected:expr, abs = $abs:expr, rel = $rel:expr $(,)?) => {
        if let Some(why) = $crate::difference_too_large($actual, $expected, $abs, $rel) {
            ::std::panic!("{}: {why}", ::std::stringify!($actual));
        }
    };
    ($actual:expr, $expected:expr, abs = $abs:expr, rel = $rel:expr, $($words:tt)+) => {
        if let Some(why) = $crate::difference_too_large($actual, $expected, $abs, $rel) {
            ::std::panic!("{} ({}): {why}", ::std::stringify!($actual), ::std::format!($($words)+));
        }
    };
}

/// Panics unless two floats have the same bits (so `0.0` is not `-0.0`).
///
/// ```
/// crownwheel_testkit::assert_same_bits!(0.1 + 0.2, 0.30000000000000004);
/// ```
#[macro_export]
macro_rules! assert_same_bits {
    ($actual:expr, $expected:expr $(,)?) => {{
        let (actual, expected): (f64, f64) = ($actual, $expected);
        ::std::assert!(
            actual.to_bits() == expected.to_bits(),
            "{}: the bits of {actual:?} are not those of {expected:?}",
            ::std::stringify!($actual)
        );
    }};
}

#[cfg(test)]
mod tests {
    use super::difference_too_large;

    fn close(actual: f64, expected: f64, abs: f64, rel: f64) -> bool {
        difference_too_large(actual, expected, abs, rel).is_none()
    }

    #[test]
    fn either_allowance_is_enough() {
        assert!(close(1.01, 1.0, 0.02, 0.0));
        assert!(close(101.0, 100.0, 0.0, 0.02));
        assert!(!close(1.03, 1.0, 0.02, 0.02));
    }

    #[test]
    fn the_allowance_itself_is_inside() {
        assert!(close(1.5, 1.0, 0.5, 0.0));
        assert!(close(150.0, 100.0, 0.0, 0.5));
        assert!(!close(1.0_f64.next_up(), 1.0, 0.0, 0.0));
    }

    #[test]
    fn the_sign_counts() {
        assert!(!close(-3.0, 3.0, 0.1, 0.1));
        assert!(!close(3.0, -3.0, 0.1, 0.1));
    }

    #[test]
    fn a_negative_expected_value_has_a_positive_allowance() {
        assert!(close(-101.0, -100.0, 0.0, 0.02));
        assert!(close(-99.0, -100.0, 0.0, 0.02));
        assert!(!close(-97.0, -100.0, 0.0, 0.02));
    }

    #[test]
    fn the_relative_part_looks_at_the_expected_value_only() {
        assert!(!close(150.0, 100.0, 0.0, 0.4));
        assert!(close(100.0, 150.0, 0.0, 0.4));
    }

    #[test]
    fn what_is_not_finite_never_passes() {
        for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(!close(odd, odd, 1.0, 1.0));
            assert!(!close(odd, 1.0, f64::MAX, 1.0));
            assert!(!close(1.0, odd, f64::MAX, 1.0));
            assert!(!close(1.0, 1.0, odd, 0.0));
            assert!(!close(1.0, 1.0, 0.0, odd));
        }
    }

    #[test]
    fn a_negative_allowance_is_refused() {
        assert!(!close(1.0, 1.0, -1.0, 0.0));
        assert!(!close(1.0, 1.0, 0.0, -1.0));
    }

    #[test]
    fn the_message_shows_difference_and_allowance() {
        let why = difference_too_large(1.5, 1.0, 0.25, 0.125).unwrap();
        for part in ["actual 1.5", "expected 1.0", "5e-1", "2.5e-1", "1.25e-1"] {
            assert!(why.contains(part), "{part} is not in: {why}");
        }
    }

    #[test]
    #[should_panic(expected = "2.0 (wheel 3): actual 2.0, expected 1.0")]
    fn the_macro_panics_with_the_given_words() {
        assert_close!(2.0, 1.0, abs = 0.1, rel = 0.1, "wheel {}", 3);
    }

    #[test]
    #[should_panic(expected = "not finite")]
    fn the_macro_refuses_nan() {
        assert_close!(f64::NAN, f64::NAN, abs = 1.0, rel = 1.0);
    }

    #[test]
    #[should_panic(expected = "are not those of")]
    fn minus_nought_has_other_bits() {
        assert_same_bits!(0.0, -0.0);
    }
}
