//! What stops the car from pulling (or braking by motor) harder at this moment.

/// A binding limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
#[non_exhaustive]
pub enum Limit {
    /// Nothing: the car does what the driver asks.
    None,
    /// The flat part of the motor's peak curve.
    MotorTorque,
    /// The falling part of the curve at this voltage, or the lowest permitted voltage.
    SupplyVoltage,
    /// Highest current from the battery, by the cells or the controller.
    BatteryCurrent,
    /// Highest motor speed.
    MotorSpeed,
    /// Tyre grip of the driven axle.
    Grip,
    /// Motor heat.
    Heat,
    /// Highest charging current.
    ChargeCurrent,
    /// The pack is full: highest voltage, or top of the usable part.
    FullPack,
    /// The pack is too cold to be charged.
    ColdPack,
    /// Highest speed that a gear stage is rated for.
    StageRating,
}

/// All limits, in the order of their codes.
pub const LIMITS: [Limit; 11] = [
    Limit::None,
    Limit::MotorTorque,
    Limit::SupplyVoltage,
    Limit::BatteryCurrent,
    Limit::MotorSpeed,
    Limit::Grip,
    Limit::Heat,
    Limit::ChargeCurrent,
    Limit::FullPack,
    Limit::ColdPack,
    Limit::StageRating,
];

impl Limit {
    /// Name as it is printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Limit::None => "none",
            Limit::MotorTorque => "motor torque",
            Limit::SupplyVoltage => "supply voltage",
            Limit::BatteryCurrent => "battery current",
            Limit::MotorSpeed => "motor speed",
            Limit::Grip => "grip",
            Limit::Heat => "heat",
            Limit::ChargeCurrent => "charge current",
            Limit::FullPack => "full pack",
            Limit::ColdPack => "cold pack",
            Limit::StageRating => "stage rating",
        }
    }

    /// Place in [`LIMITS`].
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }

    /// The step carries limits as numbers so that lanes can hold them.
    #[inline(always)]
    pub(crate) fn code(self) -> f64 {
        f64::from(self as u8)
    }

    /// The limit of a code that a step carries.
    ///
    /// A number that is no code gives [`Limit::None`].
    ///
    /// ```
    /// use crownwheel::limit::Limit;
    /// assert_eq!(Limit::from_code(5.0), Limit::Grip);
    /// assert_eq!(Limit::from_code(-3.0), Limit::None);
    /// ```
    #[must_use]
    pub fn from_code(code: f64) -> Limit {
        let found = LIMITS.iter().find(|limit| (limit.code() - code).abs() < 0.5);
        found.copied().unwrap_or(Limit::None)
    }
}

impl std::fmt::Display for Limit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_and_names_are_one_to_one() {
        for (i, limit) in LIMITS.into_iter().enumerate() {
            assert_eq!(Limit::from_code(limit.code()), limit);
            assert_eq!(limit.index(), i);
            assert_eq!(LIMITS.iter().filter(|l| l.name() == limit.name()).count(), 1);
        }
    }
}
