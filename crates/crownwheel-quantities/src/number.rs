//! Numbers that are part of a name.

use std::fmt;
use std::hash::{Hash, Hasher};
use std::sync::Arc;

use crate::unit::digits;
use crate::{Unit, Units};

/// A speed, a grade or a state of charge that a question names. It is what it is written as: two are the
/// same when they read the same.
#[derive(Clone, Debug)]
pub struct Number {
    text: Arc<str>,
    in_mph: bool,
    value: f64,
}

impl Number {
    /// A number as people write it: `112`, `4.5`; what a conversion leaves behind the sixth decimal is
    /// not written.
    #[must_use]
    pub fn plain(value: f64) -> Number {
        Number { text: Arc::from(written(value)), in_mph: false, value }
    }

    /// Speeds, km/h, in the unit in which they are whole numbers, km/h before mph: 96.56064 km/h is
    /// 60 mph.
    #[must_use]
    pub fn speeds<const N: usize>(speeds_kmh: [f64; N]) -> [Number; N] {
        let whole = |value: f64| (value - value.round()).abs() < 1e-6;
        let mph = |kmh: f64| Units::Us.value(kmh, Unit::Kmh);
        let in_mph =
            !speeds_kmh.into_iter().all(whole) && speeds_kmh.into_iter().all(|it| whole(mph(it)));
        speeds_kmh.map(|kmh| {
            let text = written(if in_mph { mph(kmh) } else { kmh });
            Number { text: Arc::from(text), in_mph, value: kmh }
        })
    }

    /// The number: km/h for a speed, % for a grade or a state of charge.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }

    /// The digits.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// `kmh` or `mph`, as names of a speed say it.
    #[must_use]
    pub fn speed_word(&self) -> &'static str {
        if self.in_mph { "mph" } else { "kmh" }
    }

    /// `km/h` or `mph`, as people are shown it. The speeds at which questions are asked are names and
    /// stay as they are in all units.
    #[must_use]
    pub fn speed_symbol(&self) -> &'static str {
        let units = if self.in_mph { Units::Us } else { Units::Metric };
        units.symbol(Unit::Kmh)
    }
}

impl PartialEq for Number {
    fn eq(&self, other: &Number) -> bool {
        (&self.text, self.in_mph) == (&other.text, other.in_mph)
    }
}

impl Eq for Number {}

impl Hash for Number {
    fn hash<H: Hasher>(&self, state: &mut H) {
        (&self.text, self.in_mph).hash(state);
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

fn written(value: f64) -> String {
    let text = digits(value, 6);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speed_is_written_in_the_unit_in_which_it_is_whole() {
        let said = |kmh| Number::speeds([kmh]).map(|it| format!("{it} {}", it.speed_symbol()));
        assert_eq!(said(31.111_111_111_111_11 * 3.6), ["112 km/h"]);
        assert_eq!(said(112.654_08), ["70 mph"]);
        assert_eq!(said(60.5), ["60.5 km/h"]);
    }

    #[test]
    fn numbers_that_read_the_same_are_the_same() {
        assert_eq!(Number::plain(8.0), Number::plain(8.000_000_000_1));
        assert_ne!(Number::plain(8.0), Number::plain(8.01));
        assert_ne!(Number::speeds([60.0]), Number::speeds([60.0 * 1.609_344]));
    }
}
