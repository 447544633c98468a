//! A number and how unsure it is.

use crate::normal::{quantile, share_below};

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

    /// Half the width of the band that holds 19 times out of 20, in the unit of `nominal`; of a range
    /// it is that of the normal distribution that spreads alike.
    #[must_use]
    pub fn half_width_95(&self) -> f64 {
        SD_PER_HALF_WIDTH * self.standard_deviation()
    }

    /// A normal spread from half the width of its 95 % band; exact if that is nothing.
    #[must_use]
    pub fn normal(nominal: f64, half_width_95: f64) -> Self {
        let kind = if half_width_95 > 0.0 {
            SpreadKind::Normal { half_width_95 }
        } else {
            SpreadKind::Exact
        };
        Self { nominal, kind }
    }

    /// Standard deviation before anything is cut, in the unit of `nominal`.
    #[must_use]
    pub fn standard_deviation(&self) -> f64 {
        match self.kind {
            SpreadKind::Exact => 0.0,
            SpreadKind::Normal { half_width_95 } => half_width_95 / SD_PER_HALF_WIDTH,
            // Variance of a uniform distribution: width squared over twelve.
            SpreadKind::Uniform { low, high } => (high - low) / 12_f64.sqrt(),
        }
    }

    /// The value at a place `unit` in (0, 1) of the distribution: 0.5 is the median, 0.1 has one
    /// value in ten below it. The distribution is cut at `physical` (lowest, highest).
    ///
    /// To map many units through one spread, see [`Spread::within`].
    ///
    /// ```
    /// use crownwheel::spread::Spread;
    ///
    /// let share = Spread::normal(0.6, 0.196); // standard deviation 0.1
    /// let everywhere = (f64::NEG_INFINITY, f64::INFINITY);
    /// assert!((share.at(0.841_344_746, everywhere) - 0.7).abs() < 1e-9);
    /// assert!(share.at(0.999_99, (0.0, 1.0)) < 1.0);
    /// ```
    #[must_use]
    pub fn at(&self, unit: f64, physical: (f64, f64)) -> f64 {
        self.within(physical).at(unit)
    }

    /// The spread cut at what is physical (lowest, highest; infinite where there is no limit).
    #[must_use]
    pub fn within(&self, physical: (f64, f64)) -> Cut {
        let (lowest, highest) = physical;
        let map = match self.kind {
            SpreadKind::Exact => Map::Exact(self.nominal),
            SpreadKind::Uniform { low, high } => {
                let from = low.max(lowest);
                uniform_or_exact(from, high.min(highest), self.nominal)
            }
            SpreadKind::Normal { half_width_95 } => {
                let sd = half_width_95 / SD_PER_HALF_WIDTH;
                normal_or_exact(self.nominal, sd, physical)
            }
        };
        Cut { map, lowest, highest }
    }
}

/// A spread cut at what is physical, ready to be drawn from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    map: Map,
    lowest: f64,
    highest: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Map {
    Exact(f64),
    Uniform {
        from: f64,
        width: f64,
    },
    /// `mean + side · sd · Φ⁻¹(below + unit · width)`.
    Normal {
        mean: f64,
        signed_sd: f64,
        below: f64,
        width: f64,
    },
}

impl Cut {
    /// The value at a place in (0, 1) of the distribution; never outside of the limits.
    #[must_use]
    pub fn at(&self, unit: f64) -> f64 {
        let value = match self.map {
            Map::Exact(value) => value,
            Map::Uniform { from, width } => from + unit * width,
            Map::Normal { mean, signed_sd, below, width } => {
                let unit = if signed_sd < 0.0 { 1.0 - unit } else { unit };
                mean + signed_sd * quantile(below + unit * width)
            }
        };
        // Rounding, and a nominal value outside of the limits, must not leave what is physical.
        value.max(self.lowest).min(self.highest)
    }
}

fn uniform_or_exact(from: f64, to: f64, nominal: f64) -> Map {
    if to > from { Map::Uniform { from, width: to - from } } else { Map::Exact(nominal) }
}

/// The part of a normal distribution between the limits, renormalised. If so little of it is left
/// that nothing can be told about its shape, the nominal value.
fn normal_or_exact(mean: f64, sd: f64, (lowest, highest): (f64, f64)) -> Map {
    let (low, high) = ((lowest - mean) / sd, (highest - mean) / sd);
    // The lower tail keeps its digits where the upper one rounds to 1, so that the part is seen
    // from the side on which it lies.
    let (low, high, signed_sd) = if low > 0.0 { (-high, -low, -sd) } else { (low, high, sd) };
    let (below, upto) = (share_below(low), share_below(high));
    let width = upto - below;
    if width > 0.0 { Map::Normal { mean, signed_sd, below, width } } else { Map::Exact(mean) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EVERYWHERE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

    #[test]
    fn a_half_width_is_196_hundredths_of_a_standard_deviation() {
        let normal = Spread { nominal: 100.0, kind: SpreadKind::Normal { half_width_95: 19.6 } };
        assert!((normal.standard_deviation() - 10.0).abs() < 1e-12);
        let range = Spread { nominal: 6.0, kind: SpreadKind::Uniform { low: 0.0, high: 12.0 } };
        assert!((range.standard_deviation() - 12_f64.sqrt()).abs() < 1e-12);
        assert!(Spread::exact(5.0).is_exact() && !normal.is_exact());
        assert!((normal.half_width_95() - 19.6).abs() < 1e-12);
        assert!((range.half_width_95() - 1.96 * 12_f64.sqrt()).abs() < 1e-12);
        assert_eq!(Spread::normal(100.0, 19.6), normal);
        assert!(Spread::normal(1.0, 0.0).is_exact());
    }

    #[test]
    fn a_uniform_spread_is_cut_and_stretched() {
        let range = Spread { nominal: 0.5, kind: SpreadKind::Uniform { low: -1.0, high: 2.0 } };
        assert!((range.at(0.25, EVERYWHERE) - -0.25).abs() < 1e-15);
        assert!((range.at(0.25, (0.0, 1.0)) - 0.25).abs() < 1e-15);
        assert!((range.at(0.25, (3.0, 4.0)) - 3.0).abs() < 1e-15, "all of it is cut off");
    }

    #[test]
    fn a_cut_normal_has_the_right_shares() {
        // Of N(0, 1) cut at (0, 1), half lies below Φ⁻¹((Φ(0) + Φ(1)) / 2), by tables 0.4418.
        let unit = Spread::normal(0.0, 1.96);
        assert!((unit.at(0.5, (0.0, 1.0)) - 0.4418).abs() < 5e-5);
        // Seen from the other side it is the same.
        assert!((unit.at(0.5, (-1.0, 0.0)) + 0.4418).abs() < 5e-5);
        assert!((unit.at(0.2, (0.0, 1.0)) + unit.at(0.8, (-1.0, 0.0))).abs() < 1e-12);
    }

    #[test]
    fn far_tails_stay_inside_and_in_order() {
        let unit = Spread::normal(0.0, 1.96);
        for limits in [(6.0, 7.0), (-7.0, -6.0), (12.0, 40.0), (-40.0, -12.0), (60.0, 61.0)] {
            let cut = unit.within(limits);
            let values: Vec<f64> = (1..100).map(|i| cut.at(f64::from(i) / 100.0)).collect();
            assert!(values.iter().all(|x| limits.0 <= *x && *x <= limits.1), "{limits:?}");
            assert!(values.windows(2).all(|pair| pair[0] <= pair[1]), "{limits:?} {values:?}");
        }
        // Beyond 12 sd the tail is nearly exponential: P(x > a + t) / P(x > a) = exp(-a t - t²/2).
        let median = unit.at(0.5, (12.0, f64::INFINITY));
        assert!((median - 12.0 - 0.057).abs() < 1e-3, "{median}");
    }

    #[test]
    fn exact_stays_exact() {
        assert!((Spread::exact(3.5).at(0.99, (0.0, 10.0)) - 3.5).abs() < f64::EPSILON);
    }
}
