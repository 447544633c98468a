//! The quantities that units measure.

/// What kind of quantity a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Dimension {
    /// A pure number, a fraction or a percentage. SI: 1.
    Ratio,
    /// Mass. SI: kg.
    Mass,
    /// Length. SI: m.
    Length,
    /// Area. SI: m².
    Area,
    /// Speed. SI: m/s.
    Speed,
    /// Shaft speed. SI: rad/s.
    ShaftSpeed,
    /// Time. SI: s.
    Time,
    /// Force. SI: N.
    Force,
    /// Force for a length, of springs. SI: N/m.
    Stiffness,
    /// Force that grows with speed. SI: N/(m/s).
    ForcePerSpeed,
    /// Force that grows with speed squared. SI: N/(m/s)².
    ForcePerSpeedSquared,
    /// Torque. SI: N m.
    Torque,
    /// Power. SI: W.
    Power,
    /// Energy. SI: J.
    Energy,
    /// Energy for a distance. SI: J/m.
    EnergyPerDistance,
    /// Electric current. SI: A.
    Current,
    /// Electric charge. SI: C (ampere-seconds).
    Charge,
    /// Voltage. SI: V.
    Voltage,
    /// Electric resistance. SI: Ω.
    Resistance,
    /// Pressure. SI: Pa.
    Pressure,
    /// Temperature. SI: K.
    Temperature,
    /// Moment of inertia. SI: kg m².
    Inertia,
    /// Current over capacity. Kept per hour, as the trade writes it: 1 C = 1/h.
    ChargeRate,
    /// Heat flow for a temperature difference. SI: W/K.
    Conductance,
    /// Heat for a temperature difference. SI: J/K.
    HeatCapacity,
    /// Heat for a mass and a temperature difference. SI: J/(kg K).
    SpecificHeat,
    /// A temperature as a coefficient, never a reading in °C. SI: K.
    TemperatureCoefficient,
    /// Loss that grows with torque squared. SI: W/(N m)².
    LossPerTorqueSquared,
    /// Loss that grows with shaft speed. SI: W/(rad/s).
    LossPerShaftSpeed,
    /// Loss that grows with shaft speed cubed. SI: W/(rad/s)³.
    LossPerShaftSpeedCubed,
}

impl Dimension {
    /// The quantity in words, with its article: `a mass`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Ratio => "a pure number",
            Self::Mass => "a mass",
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Speed => "a speed",
            Self::ShaftSpeed => "a shaft speed",
            Self::Time => "a time",
            Self::Force => "a force",
            Self::Stiffness => "a spring rate",
            Self::ForcePerSpeed => "a force for a speed",
            Self::ForcePerSpeedSquared => "a force for a speed squared",
            Self::Torque => "a torque",
            Self::Power => "a power",
            Self::Energy => "an energy",
            Self::EnergyPerDistance => "an energy for a distance",
            Self::Current => "a current",
            Self::Charge => "an electric charge",
            Self::Voltage => "a voltage",
            Self::Resistance => "a resistance",
            Self::Pressure => "a pressure",
            Self::Temperature => "a temperature",
            Self::Inertia => "a moment of inertia",
            Self::ChargeRate => "a current over capacity",
            Self::Conductance => "a heat flow for a temperature difference",
            Self::HeatCapacity => "a heat capacity",
            Self::SpecificHeat => "a specific heat",
            Self::TemperatureCoefficient => "a temperature coefficient",
            Self::LossPerTorqueSquared => "a loss for a torque squared",
            Self::LossPerShaftSpeed => "a loss for a shaft speed",
            Self::LossPerShaftSpeedCubed => "a loss for a shaft speed cubed",
        }
    }
}
