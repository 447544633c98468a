//! What the old gauges read after the conversion, and how fast shafts turn.

use std::f64::consts::TAU;

use crate::car::Car;

/// What drives the speedometer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum SpeedometerDrive {
    /// The gearbox's output or the propeller shaft: before the final drive.
    PropellerShaft,
    /// A wheel, or the final drive's output.
    Wheel,
}

/// Final drive and tyre that a speedometer belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct FinalDrive {
    /// Final-drive ratio.
    pub final_drive_ratio: f64,
    /// Rolling radius of the tyre, m.
    pub rolling_radius_m: f64,
}

/// Turns per metre that drive a speedometer.
///
/// `1 / 2πr`, times the final drive on the propeller shaft; both more than 0. Geometry.
///
/// ```
/// use crownwheel::gauges::{FinalDrive, SpeedometerDrive, speedometer_turns_per_m};
/// let gearing = FinalDrive { final_drive_ratio: 4.0, rolling_radius_m: 1.0 / std::f64::consts::TAU };
/// let turns = speedometer_turns_per_m(gearing, SpeedometerDrive::PropellerShaft);
/// assert!((turns - 4.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn speedometer_turns_per_m(gearing: FinalDrive, drive: SpeedometerDrive) -> f64 {
    let wheel = 1.0 / (TAU * gearing.rolling_radius_m);
    match drive {
        SpeedometerDrive::PropellerShaft => wheel * gearing.final_drive_ratio,
        SpeedometerDrive::Wheel => wheel,
    }
}

/// Reading of a speedometer over true speed, after its gearing was changed; 1.05 reads 5 % too much.
///
/// It is the quotient of the turns per metre after and before.
///
/// ```
/// use crownwheel::gauges::{FinalDrive, SpeedometerDrive, speedometer_ratio};
/// let before = FinalDrive { final_drive_ratio: 4.22, rolling_radius_m: 0.28 };
/// let after = FinalDrive { final_drive_ratio: 3.89, ..before };
/// let ratio = speedometer_ratio(before, after, SpeedometerDrive::PropellerShaft);
/// assert!((ratio - 3.89 / 4.22).abs() < 1e-12);
/// ```
#[must_use]
pub fn speedometer_ratio(before: FinalDrive, after: FinalDrive, drive: SpeedometerDrive) -> f64 {
    speedometer_turns_per_m(after, drive) / speedometer_turns_per_m(before, drive)
}

/// Pulses per kilometre of a sender that gives `pulses_per_turn` on the shaft that drives the
/// speedometer.
///
/// Geometry, see [`speedometer_turns_per_m`].
///
/// ```
/// use crownwheel::gauges::{FinalDrive, SpeedometerDrive, pulses_per_km};
/// let gearing = FinalDrive { final_drive_ratio: 4.0, rolling_radius_m: 1.0 / std::f64::consts::TAU };
/// assert!((pulses_per_km(gearing, SpeedometerDrive::Wheel, 6.0) - 6_000.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn pulses_per_km(gearing: FinalDrive, drive: SpeedometerDrive, pulses_per_turn: f64) -> f64 {
    1000.0 * pulses_per_turn * speedometer_turns_per_m(gearing, drive)
}

/// Shaft speeds at a road speed in a gear.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct ShaftSpeeds {
    /// Motor, rad/s.
    pub motor_radps: f64,
    /// Propeller shaft (input of the final drive), rad/s.
    pub propeller_shaft_radps: f64,
    /// Wheels, rad/s.
    pub wheel_radps: f64,
}

/// Shaft speeds of a car at a road speed, m/s, in a gear counted from 0.
///
/// `ω = v / r` at the wheels, times the ratios. Geometry.
///
/// ```
/// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
/// let speeds = crownwheel::gauges::shaft_speeds(&car, 20.0, 0);
/// assert!((speeds.propeller_shaft_radps - 20.0 / car.rolling_radius_m() * 4.22).abs() < 1e-9);
/// assert!((speeds.motor_radps / speeds.propeller_shaft_radps - 1.5).abs() < 1e-12);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn shaft_speeds(car: &Car, speed_mps: f64, gear: usize) -> ShaftSpeeds {
    let wheel_radps = speed_mps / car.rolling_radius_m();
    ShaftSpeeds {
        motor_radps: wheel_radps * car.overall_ratio_in(gear),
        propeller_shaft_radps: wheel_radps * car.spec().driveline.axle.ratio,
        wheel_radps,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::small_saloon;
    use crate::spec::SpecError;

    #[test]
    fn a_larger_wheel_reads_too_little() {
        let before = FinalDrive { final_drive_ratio: 4.22, rolling_radius_m: 0.28 };
        let after = FinalDrive { rolling_radius_m: 0.294, ..before };
        for drive in [SpeedometerDrive::PropellerShaft, SpeedometerDrive::Wheel] {
            assert!((speedometer_ratio(before, after, drive) - 1.0 / 1.05).abs() < 1e-12);
        }
        let longer = FinalDrive { final_drive_ratio: 3.7, ..before };
        let by_wheel = speedometer_ratio(before, longer, SpeedometerDrive::Wheel);
        assert!((by_wheel - 1.0).abs() < 1e-12);
    }

    #[test]
    fn pulses_follow_the_turns() {
        let gearing = FinalDrive { final_drive_ratio: 4.0, rolling_radius_m: 1.0 / TAU };
        let pulses = pulses_per_km(gearing, SpeedometerDrive::PropellerShaft, 6.0);
        assert!((pulses - 24_000.0).abs() < 1e-9);
    }

    #[test]
    fn at_112_km_h_the_saloon_s_motor_turns_at_6700_rpm() -> Result<(), SpecError> {
        let car = Car::new(&small_saloon())?;
        let speeds = shaft_speeds(&car, 112.0 / 3.6, 0);
        let rpm = speeds.motor_radps * 60.0 / TAU;
        assert!((rpm - 6700.0).abs() < 10.0, "{rpm}");
        assert!((speeds.motor_radps / speeds.propeller_shaft_radps - 1.5).abs() < 1e-12);
        Ok(())
    }
}
