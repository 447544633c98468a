//! A value and the band that the worlds give it.

use serde::Serialize;

use crownwheel::range::FAR_M;

use crate::unit::MISSING;
use crate::worth::worth_digits;
use crate::{Unit, Units};

/// What is said where the pack does not empty.
const DOES_NOT_EMPTY: &str = "does not empty";

/// A value, and its band once it is real.
///
/// `p10`, `p50` and `p90` keep all their digits in here; JSON, CSV and text print no more than the
/// standard error allows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Band {
    /// With every input at its nominal value.
    pub nominal: f64,
    /// One world in ten is below.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub p10: Option<f64>,
    /// Half of the worlds are below.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub p50: Option<f64>,
    /// Nine worlds in ten are below.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub p90: Option<f64>,
    /// Standard error of `p10`, `p50` and `p90`, the largest of the three.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standard_error: Option<f64>,
}

/// What the worlds say of an answer, in the unit of the answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deciles {
    /// One world in ten is below.
    pub p10: f64,
    /// Half of the worlds are below.
    pub p50: f64,
    /// Nine worlds in ten are below.
    pub p90: f64,
    /// Standard error, the largest of the three. `None`: not known.
    pub standard_error: Option<f64>,
}

impl Band {
    /// A value without a band.
    #[must_use]
    pub fn only(nominal: f64) -> Band {
        Band { nominal, ..Band::default() }
    }

    /// A value with what the worlds say.
    #[must_use]
    pub fn with(nominal: f64, deciles: Deciles) -> Band {
        Band {
            nominal,
            p10: Some(deciles.p10),
            p50: Some(deciles.p50),
            p90: Some(deciles.p90),
            standard_error: deciles.standard_error,
        }
    }

    /// The number to compare with another option's: the median, or the nominal value without a band.
    #[must_use]
    pub fn middle(&self) -> f64 {
        self.p50.unwrap_or(self.nominal)
    }

    /// `118 km (108 to 129)`: the middle and what lies between one world in ten and nine in ten; the
    /// nominal value alone without a band, the middle alone where nothing shows that is unsure.
    #[must_use]
    pub fn text(&self, units: Units, unit: Unit, decimals: usize) -> String {
        self.with_symbol(units, unit, decimals, units.symbol(unit))
    }

    /// The same without the unit, for a column that says it: `118 (108 to 129)`.
    #[must_use]
    pub fn number(&self, units: Units, unit: Unit, decimals: usize) -> String {
        self.with_symbol(units, unit, decimals, "")
    }

    /// The same with a symbol of its own behind the middle.
    #[must_use]
    pub fn with_symbol(&self, units: Units, unit: Unit, decimals: usize, symbol: &str) -> String {
        let space = if symbol.is_empty() { "" } else { " " };
        let (Some(p10), Some(p50), Some(p90)) = (self.p10, self.p50, self.p90) else {
            return format!("{}{space}{symbol}", units.digits(self.nominal, unit, decimals));
        };
        let shown = |value: f64| self.digits(value, units, unit, decimals);
        let (middle, low, high) = (shown(p50), shown(p10), shown(p90));
        if low == high {
            return format!("{middle}{space}{symbol}");
        }
        format!("{middle}{space}{symbol} ({low} to {high})")
    }

    /// A distance from full: `118 km (108 to 129)`; in words where the pack does not empty or lasts for more than
    /// anybody asks, a dash where there is none.
    #[must_use]
    pub fn distance(&self, units: Units) -> String {
        self.distance_with(units, units.symbol(Unit::Km))
    }

    /// The same without the unit.
    #[must_use]
    pub fn distance_number(&self, units: Units) -> String {
        self.distance_with(units, "")
    }

    fn distance_with(&self, units: Units, symbol: &str) -> String {
        let (far_km, middle) = (FAR_M / 1000.0, self.middle());
        let far = format!("more than {}", with_comma(&units.digits(far_km, Unit::Km, 0)));
        let space = if symbol.is_empty() { "" } else { " " };
        if middle.is_nan() {
            return MISSING.to_owned();
        } else if middle.is_infinite() {
            return DOES_NOT_EMPTY.to_owned();
        } else if middle >= far_km {
            return format!("{far}{space}{symbol}");
        }
        match (self.p10, self.p90.filter(|high| *high >= far_km)) {
            (Some(p10), Some(high)) => {
                let shown = |km: f64| self.digits(km, units, Unit::Km, 0);
                let high = if high.is_finite() { &far } else { "without end" };
                format!("{}{space}{symbol} ({} to {high})", shown(middle), shown(p10))
            }
            _ => self.with_symbol(units, Unit::Km, 0, symbol),
        }
    }

    /// A quantile in these units with the digits that it is worth, without its unit.
    #[must_use]
    pub fn digits(&self, quantile: f64, units: Units, unit: Unit, decimals: usize) -> String {
        let error = self.standard_error.map_or(0.0, |error| units.difference(error, unit));
        worth_digits(units.value(quantile, unit), error, decimals)
    }
}

/// `3000` as `3,000`.
fn with_comma(number: &str) -> String {
    let (thousands, last) = number.split_at(number.len().saturating_sub(3));
    format!("{thousands},{last}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band() -> Band {
        let deciles = Deciles { p10: 108.31, p50: 117.42, p90: 128.9, standard_error: Some(0.31) };
        Band::with(118.3, deciles)
    }

    #[test]
    fn a_band_is_read_as_a_sentence_says_it() {
        assert_eq!(band().text(Units::Metric, Unit::Km, 1), "117 km (108 to 129)");
        assert_eq!(band().text(Units::Us, Unit::Km, 1), "73.0 miles (67.3 to 80.1)");
        assert_eq!(Band::only(118.34).text(Units::Metric, Unit::Km, 1), "118.3 km");
        let sure = Deciles { p10: 6176.0, p50: 6176.0, p90: 6176.4, standard_error: Some(0.01) };
        assert_eq!(Band::with(6176.0, sure).text(Units::Metric, Unit::Rpm, 0), "6176 rpm");
        assert_eq!(Band::only(0.9).text(Units::Metric, Unit::None, 2), "0.90");
    }

    #[test]
    fn a_distance_without_an_end_is_said_in_words() {
        let band = |p10: f64, p50: f64, p90: f64| {
            Band::with(p50, Deciles { p10, p50, p90, standard_error: Some(0.3) })
        };
        let shown = |band: Band| band.distance(Units::Metric);
        assert_eq!(shown(band(108.3, 117.4, 128.9)), "117 km (108 to 129)");
        assert_eq!(shown(Band::only(3000.0)), "more than 3,000 km");
        assert_eq!(Band::only(3000.0).distance(Units::Us), "more than 1,864 miles");
        assert_eq!(shown(band(2000.0, 2500.0, 3000.0)), "2500 km (2000 to more than 3,000)");
        assert_eq!(shown(band(2000.0, 2500.0, f64::INFINITY)), "2500 km (2000 to without end)");
        assert_eq!(shown(Band::only(f64::INFINITY)), "does not empty");
        assert_eq!(shown(Band::only(f64::NAN)), MISSING);
    }
}
