//! Physical constants and conventional reference values, each with its source.
//!
//! Choices of an engineer (default drag, default grip) are not constants; they live with the key
//! that they belong to.

/// Standard acceleration of free fall. Exact by definition (3rd CGPM, 1901).
pub const STANDARD_GRAVITY_MPS2: f64 = 9.806_65;

/// 0 °C in kelvin. Exact by definition (ISO 80000-5).
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// Sea-level pressure of the standard atmosphere. Exact by definition (ISO 2533:1975, table 1).
pub const SEA_LEVEL_PRESSURE_PA: f64 = 101_325.0;

/// Sea-level temperature of the standard atmosphere. Exact by definition (ISO 2533:1975, table 1).
pub const SEA_LEVEL_TEMPERATURE_K: f64 = 288.15;

/// Fall of temperature with geopotential height below 11 km. Exact by definition (ISO 2533:1975).
pub const LAPSE_RATE_KPM: f64 = 0.006_5;

/// Specific gas constant of dry air of the standard atmosphere, `8314.32 / 28.9644`
/// (US Standard Atmosphere 1976, table 2; ISO 2533 prints 287.05287).
pub const STANDARD_AIR_GAS_CONSTANT_JPKGK: f64 = 8_314.32 / 28.964_4;

/// Specific gas constant of dry air that 40 CFR 1037.528 prescribes.
pub const CFR_AIR_GAS_CONSTANT_JPKGK: f64 = 287.058;

/// Earth radius of the standard atmosphere, for geometric to geopotential height (ISO 2533:1975).
pub const ATMOSPHERE_EARTH_RADIUS_M: f64 = 6_356_766.0;

/// Highest geopotential height of the troposphere formula, m (ISO 2533:1975).
pub const TROPOSPHERE_TOP_M: f64 = 11_000.0;

/// Joules in a watt-hour. Exact.
pub const JOULE_PER_WH: f64 = 3_600.0;

/// Temperature at which battery capacity and resistance are stated, K (25 °C, IEC 62660-1 room
/// temperature).
pub const CELL_REFERENCE_TEMPERATURE_K: f64 = 298.15;

/// Oil temperature at which drag torque is stated, K (80 °C, our convention for build files).
pub const OIL_REFERENCE_TEMPERATURE_K: f64 = 353.15;

/// Road temperature at which rolling resistance on the road is stated, K (20 °C, the reference of
/// road-load tests in UN GTR 15 Annex 4 and 40 CFR 1066).
pub const ROAD_REFERENCE_TEMPERATURE_K: f64 = 293.15;

/// Energy of a US gallon of petrol for efficiency labels, Wh (40 CFR 600.002; from memory, the
/// clause was not opened).
pub const PETROL_GALLON_WH: f64 = 33_705.0;

/// Metres in an international mile. Exact (international yard and pound agreement, 1959).
pub const METRE_PER_MILE: f64 = 1_609.344;

/// Metres in an inch. Exact (international yard and pound agreement, 1959).
pub const METRE_PER_INCH: f64 = 0.025_4;

/// Kilometres an hour in a metre a second. Exact.
pub const KMH_PER_MPS: f64 = 3.6;

/// Turns a minute in a radian a second. Exact, but for the rounding of π.
pub const RPM_PER_RADPS: f64 = 30.0 / std::f64::consts::PI;

/// Joules a metre in a watt-hour a kilometre. Exact.
pub const JPM_PER_WH_PER_KM: f64 = 3.6;
