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
        let room = |end: f64| 1e-12 * end.abs();
        let above = if self.above_low { si > low } else { si >= low - room(low) };
        above && si <= high + room(high) && si.is_finite()
    }
}

impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.unit.name;
        let space = if unit.is_empty() { "" } else { " " };
        match (self.low.is_finite(), self.high.is_finite(), self.above_low) {
            (true, true, _) => {}
            (true, false, true) => return write!(f, "more than {}{space}{unit}", self.low),
            (true, false, false) => return write!(f, "{}{space}{unit} or more", self.low),
            (false, ..) => return write!(f, "a finite number"),
        }
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
        assert_eq!(over(0.0, f64::INFINITY, KG).to_string(), "more than 0 kg");
        assert_eq!(from(0.0, f64::INFINITY, KG).to_string(), "0 kg or more");
        assert!(!from(0.0, f64::INFINITY, KG).allows(f64::INFINITY));
        assert_eq!(from(f64::NEG_INFINITY, f64::INFINITY, KG).to_string(), "a finite number");
    }
}
