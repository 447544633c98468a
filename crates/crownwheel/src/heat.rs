//! Heat in the motor: one node, scaled so that 1 is what the motor may hold for ever.

use crate::motor::MotorTables;
use crate::spec::{MotorSpec, SpecError};
use crate::table::Table;

/// Used share of heat at which the controller begins to ease peak torque towards continuous.
/// Engineer's judgement: real controllers ease off rather than switch. At 1 the torque is
/// continuous.
pub const EASE_FROM: f64 = 0.95;

/// Least loss at continuous torque, W, that heat is compared with; keeps the ratio finite where a
/// sheet gives no loss.
const LEAST_LOSS_W: f64 = 1.0;

/// Time constant of a heating body from a short-time rating from cold, s.
///
/// `τ = t / ln(U / (U - 1))`, with `U` the loss at the short-time torque over the loss at the
/// continuous torque, more than 1.
///
/// # Source
/// Heating curve of a single body; rating from cold as duty type S2 of IEC 60034-1.
#[must_use]
pub fn time_constant_s(rated_seconds: f64, loss_ratio: f64) -> f64 {
    rated_seconds / (loss_ratio / (loss_ratio - 1.0)).ln()
}

/// Used share of heat after `seconds` at a constant loss ratio: `q + (u0 - q) e^(-t/τ)`.
#[must_use]
pub fn used_after(start: f64, loss_ratio: f64, seconds: f64, time_constant_s: f64) -> f64 {
    loss_ratio + (start - loss_ratio) * (-seconds / time_constant_s).exp()
}

/// The heat node of a motor.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorHeat {
    /// Time constant, s.
    pub time_constant_s: f64,
    /// Loss at peak over loss at continuous torque, at the corner speed.
    pub loss_ratio: f64,
    /// One over the loss at continuous torque, 1/W, against speed, rad/s.
    pub per_continuous_loss: Table,
}

impl MotorHeat {
    /// From the sheet: `None` if it gives no peak seconds.
    ///
    /// # Errors
    /// When the loss at peak torque is not above that at continuous torque: then the peak could be
    /// held for ever and the seconds contradict the curves.
    pub fn new(spec: &MotorSpec, tables: &MotorTables) -> Result<Option<MotorHeat>, SpecError> {
        let Some(seconds) = spec.peak_seconds else { return Ok(None) };
        let loss_w = |radps: f64, nm: f64| tables.loss_w.at(radps, nm) * spec.losses_scale;
        let corner_radps = spec.curve.corner_speed_radps();
        let continuous_w = loss_w(corner_radps, tables.continuous_nm.at(corner_radps));
        let loss_ratio = loss_w(corner_radps, tables.peak_nm.at(corner_radps)) / continuous_w;
        if loss_ratio.is_nan() || loss_ratio <= 1.0 {
            return Err(SpecError {
                key: "motor.peak_seconds".into(),
                value: seconds,
                unit: "s",
                allowed: format!(
                    "only with a peak torque that heats more than the continuous torque; at \
                     {:.0} rpm it heats {loss_ratio:.2} times as much",
                    corner_radps * 30.0 / std::f64::consts::PI
                ),
            });
        }
        let span = (0.0, spec.max_speed_radps);
        let per_continuous_loss = Table::sampled(span, 256, |radps| {
            1.0 / loss_w(radps, tables.continuous_nm.at(radps)).max(LEAST_LOSS_W)
        });
        let time_constant_s = time_constant_s(seconds, loss_ratio);
        Ok(Some(MotorHeat { time_constant_s, loss_ratio, per_continuous_loss }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_peak_seconds_end_at_one() {
        let tau = time_constant_s(60.0, 3.5);
        assert!((used_after(0.0, 3.5, 60.0, tau) - 1.0).abs() < 1e-12);
        // A minute at continuous torque from cold does not reach it.
        assert!(used_after(0.0, 1.0, 60.0, tau) < 0.3);
    }
}
