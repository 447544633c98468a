//! The four levels of "equal". A test takes the tightest that its subject can keep; a wider
//! allowance needs a line saying why.
//!
//! | level | when | how |
//! |---|---|---|
//! | exact bits | determinism, table nodes, two widths of the same step | [`assert_same_bits!`](crate::assert_same_bits) |
//! | rounding | the same formula written twice | [`ROUNDING_REL`] |
//! | method | a number found by steps: the allowance follows from halving the step | [`order_by_halving`] |
//! | reference | a printed value: half of its last digit | [`half_of_last_digit`] |

/// Relative allowance for the same formula written twice: a few thousand units in the last place.
pub const ROUNDING_REL: f64 = 1e-12;

/// Order at which an error falls when the step is halved: `log2(error_coarse / error_fine)`.
///
/// 1 for a first-order method, 2 for a second-order one. Not finite if an error is zero; the
/// sign of the errors does not count.
#[must_use]
pub fn order_by_halving(error_coarse: f64, error_fine: f64) -> f64 {
    libm::log2((error_coarse / error_fine).abs())
}

/// Half of the last digit of a number as printed: 0.005 for `"12.30"`, 0.5 for `"84556"`.
///
/// The unit is that of the printed number; there must be no exponent.
#[must_use]
pub fn half_of_last_digit(printed: &str) -> f64 {
    let decimals = printed.trim().split_once('.').map_or(0, |(_, after)| after.len());
    (0..decimals).fold(0.5, |half, _| half / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    #[test]
    fn half_of_the_last_digit_counts_trailing_noughts() {
        assert_close!(half_of_last_digit("12.30"), 0.005, abs = 0.0, rel = ROUNDING_REL);
        assert_close!(half_of_last_digit("84556"), 0.5, abs = 0.0, rel = ROUNDING_REL);
        assert_close!(half_of_last_digit(" -0.1 "), 0.05, abs = 0.0, rel = ROUNDING_REL);
    }

    #[test]
    fn a_quarter_of_the_error_is_second_order() {
        assert_close!(order_by_halving(-4e-3, 1e-3), 2.0, abs = 0.0, rel = ROUNDING_REL);
    }
}
