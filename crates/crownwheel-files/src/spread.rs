//! A number and how unsure it is.

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

#[cfg(test)]
mod tests {
    use super::*;

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
}
