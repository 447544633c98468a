//! The numbers that a key allows.

use std::fmt;

use super::Unit;

/// The numbers that are allowed, in the unit in which they are written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lowest.
    pub low: f64,
    /// `low` itself is not allowed.
    pub above_low: bool,
    /// Highest.
    pub high: f64,
    /// Unit of both.
    pub unit: Unit,
}

impl Range {
    /// Both ends in SI.
    #[must_use]
    pub fn ends_si(&self) -> (f64, f64) {
        (self.unit.to_si(self.low), self.unit.to_si(self.high))
    }

    /// Whether an SI value lies within.
    ///
    /// ```
    /// use crownwheel::keys;
    /// let wheelbase = keys::find("car.wheelbase").and_then(|key| key.range).expect("a number");
    /// assert!(wheelbase.allows(2.3) && !wheelbase.allows(-2.3) && !wheelbase.allows(f64::NAN));
    /// ```
    #[must_use]
    pub fn allows(&self, si: f64) -> bool {
        let (low, high) = self.ends_si();
        // A limit in °C or km/h is rounded on its way to SI, and so is the value: let both meet.
        let slack = 1e-12 * low.abs().max(high.abs());
        let above = if self.above_low { si > low } else { si >= low - slack };
        above && si <= high + slack
    }
}

impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.unit.name;
        let space = if unit.is_empty() { "" } else { " " };
        let start = if self.above_low { "more than " } else { "" };
        let middle = if self.above_low { " and at most " } else { " to " };
        write!(f, "{start}{}{space}{unit}{middle}{}{space}{unit}", self.low, self.high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::unit::{CELSIUS, KG, ONE};

    fn over(low: f64, high: f64, unit: Unit) -> Range {
        Range { low, above_low: true, high, unit }
    }

    #[test]
    fn ranges_read_as_words() {
        let from = |low, high, unit| Range { above_low: false, ..over(low, high, unit) };
        assert_eq!(over(0.0, 5000.0, KG).to_string(), "more than 0 kg and at most 5000 kg");
        assert_eq!(from(-60.0, 60.0, CELSIUS).to_string(), "-60 °C to 60 °C");
        assert!(!over(0.0, 1.0, ONE).allows(0.0));
        assert!(from(0.0, 1.0, ONE).allows(0.0));
    }
}
