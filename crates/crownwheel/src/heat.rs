//! Heat in the motor: one node, scaled so that 1 is what the motor may hold for ever.

use crate::day::Day;
use crate::motor::MotorTables;
use crate::spec::{MotorSpec, RatingSpec, SpecError, SpecErrorKind};

/// Time constant of a heating body from a short-time rating from cold, s.
///
/// `τ = t / ln(U / (U - 1))`, with `U` the loss at the short-time torque over the loss at the
/// continuous torque, more than 1.
///
/// # Source
/// Heating curve of a single body; rating from cold as duty type S2 of IEC 60034-1.
///
/// ```
/// // Twice the loss for 60 s: 60 / ln 2.
/// assert!((crownwheel::heat::time_constant_s(60.0, 2.0) - 86.561_7).abs() < 1e-4);
/// ```
#[must_use]
pub fn time_constant_s(rated_seconds: f64, loss_ratio: f64) -> f64 {
    rated_seconds / libm::log(loss_ratio / (loss_ratio - 1.0))
}

/// A body that is heated: a loss that stays, and the time that it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heating {
    /// Loss over that at continuous torque, at least 0.
    pub loss_ratio: f64,
    /// Time constant, s, more than 0.
    pub time_constant_s: f64,
}

impl Heating {
    /// Used share of heat, that was `start`, after `seconds`: `q + (u0 - q) e^(-t/τ)`.
    ///
    /// # Source
    /// Heating curve of a single body.
    ///
    /// ```
    /// use crownwheel::heat::Heating;
    /// // From cold at twice the loss, half of the way to 2 is made when e^(-t/τ) is a half.
    /// let twice = Heating { loss_ratio: 2.0, time_constant_s: 100.0 };
    /// assert!((twice.used_after(0.0, 100.0 * 2f64.ln()) - 1.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn used_after(&self, start: f64, seconds: f64) -> f64 {
        let Heating { loss_ratio, time_constant_s } = *self;
        loss_ratio + (start - loss_ratio) * libm::exp(-seconds / time_constant_s)
    }
}

/// The heat node of a motor.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct MotorHeat {
    /// Time constant, s.
    pub time_constant_s: f64,
    /// Time constant of the long rating, s. `None`: no such rating.
    pub long_time_constant_s: Option<f64>,
    /// Loss at continuous torque over the loss that the short node may hold for ever: 1 with one
    /// rating; with a long rating the short one is the controller's, which holds the long rating's
    /// torque.
    pub short_share: f64,
    /// Loss at peak over loss at continuous torque, at the corner speed.
    pub loss_ratio: f64,
}

impl MotorHeat {
    /// From the sheet: `None` if it gives no peak seconds.
    ///
    /// # Errors
    /// When the loss at peak torque is not above that at continuous torque: then the peak could be
    /// held for ever and the seconds contradict the curves.
    ///
    /// `τ = t / ln(U / (U - 1))` at the corner speed, see [`time_constant_s`].
    ///
    /// ```
    /// use crownwheel::{heat::MotorHeat, motor::MotorTables};
    /// let mut spec = crownwheel::example::small_saloon().motor;
    /// spec.losses = crownwheel::spec::MotorLossSpec::Polynomial { copper_w_per_nm2: 0.2,
    ///     iron_w_per_radps: 0.0, windage_w_per_radps3: 0.0, fixed_w: 0.0 };
    /// // 165 N m against 75 N m, squared.
    /// let heat = MotorHeat::new(&spec, &MotorTables::new(&spec, false))?.expect("it gives seconds");
    /// assert!((heat.loss_ratio - 4.84).abs() < 1e-6);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    pub fn new(spec: &MotorSpec, tables: &MotorTables) -> Result<Option<MotorHeat>, SpecError> {
        let Some(seconds) = spec.peak_seconds else { return Ok(None) };
        let loss_w = |radps: f64, nm: f64| tables.loss.at(radps, nm) * spec.losses_scale;
        let corner_radps = spec.curve.corner_speed_radps();
        let continuous_w = loss_w(corner_radps, tables.continuous_nm.at(corner_radps));
        let peak_w = loss_w(corner_radps, tables.peak_nm.at(corner_radps));
        let loss_ratio = peak_w / continuous_w;
        if loss_ratio.is_nan() || loss_ratio <= 1.0 {
            return Err(SpecError {
                kind: SpecErrorKind::Together,
                key: "motor.peak_seconds".into(),
                value: seconds,
                unit: "s",
                allowed: format!(
                    "left out, unless the peak torque heats more than the continuous torque; at \
                     {:.0} rpm it heats {loss_ratio:.2} times as much",
                    corner_radps * 30.0 / std::f64::consts::PI
                ),
            });
        }
        let (long_time_constant_s, short_share) = match spec.long_rating {
            None => (None, 1.0),
            Some(rating) => {
                let ratio = loss_w(corner_radps, rating.torque_nm) / continuous_w;
                (Some(long_time_constant_s(&rating, ratio)?), 1.0 / ratio)
            }
        };
        let short_ratio = loss_ratio * short_share;
        if short_ratio <= 1.0 {
            return Err(SpecError {
                kind: SpecErrorKind::Together,
                key: "motor.long_rating.torque".into(),
                value: spec.long_rating.map_or(0.0, |rating| rating.torque_nm),
                unit: "N m",
                allowed: "a torque that heats less than the peak torque".into(),
            });
        }
        let time_constant_s = time_constant_s(seconds, short_ratio);
        Ok(Some(MotorHeat { time_constant_s, long_time_constant_s, short_share, loss_ratio }))
    }
}

fn long_time_constant_s(rating: &RatingSpec, loss_ratio: f64) -> Result<f64, SpecError> {
    if loss_ratio > 1.0 {
        return Ok(time_constant_s(rating.seconds, loss_ratio));
    }
    Err(SpecError {
        kind: SpecErrorKind::Together,
        key: "motor.long_rating.torque".into(),
        value: rating.torque_nm,
        unit: "N m",
        allowed: "a torque that heats more than the continuous torque".into(),
    })
}

/// Air temperature up to which ratings hold, K (IEC 60034-1: 40 °C).
const RATED_AIR_K: f64 = 313.15;

/// Height up to which ratings hold, m (IEC 60034-1: 1,000 m).
const RATED_ALTITUDE_M: f64 = 1000.0;

/// Temperature rise lost per metre above that (IEC 60034-1: 1 % for 100 m).
const RISE_LOST_PER_M: f64 = 1e-4;

/// Share of the usual continuous heat that the motor may lose on a day: 1 up to 40 °C and 1,000 m,
/// `(θ_max - θ_air) / (θ_max - 40 °C)` above, less 1 % for every 100 m. No bonus for cold.
///
/// # Source
/// IEC 60034-1, operating conditions and limits of temperature rise.
///
/// ```
/// use crownwheel::{Day, example, spec::DaySpec};
/// // Winding to 155 °C, air of 63 °C, 1,000 m: (155 - 63) / (155 - 40).
/// let day = DaySpec { temperature_k: 336.15, altitude_m: 1_000.0, ..example::mild_day() };
/// let share = crownwheel::heat::derating(&example::small_saloon().motor, &Day::new(&day)?);
/// assert!((share - 0.8).abs() < 1e-9);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn derating(motor: &MotorSpec, day: &Day) -> f64 {
    let hot = (motor.max_winding_k - day.air().temperature_k) / (motor.max_winding_k - RATED_AIR_K);
    let above_m = (day.spec().altitude_m - RATED_ALTITUDE_M).max(0.0);
    let high = 1.0 - RISE_LOST_PER_M * above_m;
    (hot.min(1.0) * high).max(0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_peak_seconds_end_at_one() {
        let tau = time_constant_s(60.0, 3.5);
        assert!(
            (Heating { loss_ratio: 3.5, time_constant_s: tau }.used_after(0.0, 60.0) - 1.0).abs()
                < 1e-12
        );
        // A minute at continuous torque from cold does not reach it.
        assert!(Heating { loss_ratio: 1.0, time_constant_s: tau }.used_after(0.0, 60.0) < 0.3);
    }
}
