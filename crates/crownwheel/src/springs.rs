//! Springs: how far the car settles under a load, and how fast it rides.

use std::f64::consts::TAU;

use crate::constants::STANDARD_GRAVITY_MPS2;

/// Sag of an axle, m, for a change of its load: `Δm g / (2 k)`; positive is down.
///
/// # Units
/// `load_change_kg` of the whole axle; `wheel_rate_n_per_m` of one wheel, more than 0: the rate of
/// the spring carried to the wheel.
///
/// Source: Hooke's law, two springs.
///
/// ```
/// // 100 kg on two springs of 10 N/mm: 49 mm.
/// assert!((crownwheel::springs::sag_m(100.0, 10_000.0) - 0.049_033).abs() < 1e-6);
/// ```
#[must_use]
pub fn sag_m(load_change_kg: f64, wheel_rate_n_per_m: f64) -> f64 {
    load_change_kg * STANDARD_GRAVITY_MPS2 / (2.0 * wheel_rate_n_per_m)
}

/// Undamped ride frequency of an axle, Hz: `√(2 k / m_s) / 2π`.
///
/// # Units
/// `sprung_kg` of the whole axle, more than 0; `wheel_rate_n_per_m` of one wheel.
/// # Source
/// Gillespie, Fundamentals of Vehicle Dynamics, chapter 5, ride rate and undamped natural frequency
/// (the tyre taken as stiff).
///
/// ```
/// // √(2 · 17,000 / 340) = 10 rad/s.
/// let hertz = crownwheel::springs::ride_frequency_hz(340.0, 17_000.0);
/// assert!((hertz - 10.0 / std::f64::consts::TAU).abs() < 1e-12);
/// ```
#[must_use]
pub fn ride_frequency_hz(sprung_kg: f64, wheel_rate_n_per_m: f64) -> f64 {
    (2.0 * wheel_rate_n_per_m / sprung_kg).sqrt() / TAU
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sag_and_frequency_hang_together() {
        // A body that settles by s under its own weight rides at √(g/s)/2π: 1 Hz at 248.4 mm.
        let sag = sag_m(400.0, 8_000.0);
        let frequency = ride_frequency_hz(400.0, 8_000.0);
        let by_sag = (STANDARD_GRAVITY_MPS2 / sag).sqrt() / TAU;
        assert!((frequency - by_sag).abs() < 1e-12);
        assert!((sag - 0.245_166_25).abs() < 1e-12);
    }
}
