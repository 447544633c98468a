//! Grip: the greatest force that the driven tyres can pass to the road.

use crate::spec::{Differential, DrivenAxle};

/// Geometry of a driven axle for the traction limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrivenAxleSpec {
    /// Which axle.
    pub axle: DrivenAxle,
    /// Differential.
    pub differential: Differential,
    /// A live axle takes the torque reaction of the propeller shaft.
    pub live_axle: bool,
    /// Static load of the driven axle on the level, N.
    pub static_load_n: f64,
    /// Height of the centre of gravity over wheelbase.
    pub height_over_wheelbase: f64,
    /// Rolling radius, m.
    pub rolling_radius_m: f64,
    /// Track of the driven axle, m.
    pub track_m: f64,
    /// Final-drive ratio.
    pub final_drive_ratio: f64,
    /// Share of the roll stiffness at the other axle, 0..1: it takes that much of the reaction.
    pub other_axle_roll_share: f64,
}

impl DrivenAxleSpec {
    /// Greatest driving force on the level, N, with load moving as the car accelerates.
    ///
    /// `F = μ W / (1 ∓ μ h/L + 2 μ r φ / (i t))`: minus for rear drive, plus for front drive. The
    /// last term stands only for an open differential on a live axle: the propeller shaft lifts
    /// one wheel by its torque `F r / i`, of which the other axle's share of the roll stiffness
    /// `φ` acts on the driven axle, and both wheels then pull only as hard as the lighter one.
    ///
    /// # Source
    /// Gillespie, Fundamentals of Vehicle Dynamics, chapter 2, traction-limited acceleration.
    ///
    /// `grip` at least 0.
    ///
    /// ```
    /// use crownwheel::grip::DrivenAxleSpec;
    /// use crownwheel::spec::{Differential, DrivenAxle};
    /// let axle = DrivenAxleSpec { axle: DrivenAxle::Rear, differential: Differential::Locked, live_axle: true,
    ///     static_load_n: 4_000.0, height_over_wheelbase: 0.25, rolling_radius_m: 0.28, track_m: 1.2,
    ///     final_drive_ratio: 4.0, other_axle_roll_share: 0.6 };
    /// // 0.8 · 4,000 N / (1 - 0.8 · 0.25).
    /// assert!((axle.drive_limit_n(0.8) - 4_000.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn drive_limit_n(&self, grip: f64) -> f64 {
        let denominator = 1.0 - self.load_gain(grip) + self.reaction(grip);
        if denominator <= 0.0 {
            // The nose would lift before the tyres slip.
            return self.static_load_n / self.height_over_wheelbase;
        }
        grip * self.static_load_n / denominator
    }

    /// Load that a driving force of 1 N brings to the driven axle times grip, positive for rear
    /// drive.
    fn load_gain(&self, grip: f64) -> f64 {
        let gain = grip * self.height_over_wheelbase;
        match self.axle {
            DrivenAxle::Rear => gain,
            DrivenAxle::Front => -gain,
        }
    }

    fn reaction(&self, grip: f64) -> f64 {
        if self.differential == Differential::Locked || !self.live_axle {
            return 0.0;
        }
        2.0 * grip * self.rolling_radius_m * self.other_axle_roll_share
            / (self.final_drive_ratio * self.track_m)
    }

    /// Change of the driven axle's load, N, per newton of braking force on the whole car.
    ///
    /// `± h / L`: a rear axle is unloaded. Statics.
    #[must_use]
    pub fn load_per_braking_n(&self) -> f64 {
        match self.axle {
            DrivenAxle::Rear => -self.height_over_wheelbase,
            DrivenAxle::Front => self.height_over_wheelbase,
        }
    }
}

/// Load that moves to the rear axle, N, at an acceleration: `m a h / L`.
///
/// Statics; masses at least 0, negative acceleration is braking.
///
/// ```
/// // 900 kg at 3 m/s², centre of gravity at 0.22 of the wheelbase.
/// assert!((crownwheel::grip::load_transfer_n(900.0, 3.0, 0.22) - 594.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn load_transfer_n(mass_kg: f64, accel_mps2: f64, height_over_wheelbase: f64) -> f64 {
    mass_kg * accel_mps2 * height_over_wheelbase
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axle(axle: DrivenAxle, differential: Differential) -> DrivenAxleSpec {
        DrivenAxleSpec {
            axle,
            differential,
            live_axle: true,
            static_load_n: 4000.0,
            height_over_wheelbase: 0.22,
            rolling_radius_m: 0.28,
            track_m: 1.2,
            final_drive_ratio: 4.0,
            other_axle_roll_share: 0.6,
        }
    }

    #[test]
    fn an_open_differential_pulls_less_than_a_locked_one() {
        let open = axle(DrivenAxle::Rear, Differential::Open).drive_limit_n(0.8);
        let locked = axle(DrivenAxle::Rear, Differential::Locked).drive_limit_n(0.8);
        assert!(open < locked);
        let front = axle(DrivenAxle::Front, Differential::Locked).drive_limit_n(0.8);
        assert!(front < 0.8 * 4000.0 && locked > 0.8 * 4000.0);
    }

    /// Moments about the tyres: a braking force `F` of the whole car at height `h` moves `F h / L` from
    /// the rear axle to the front axle.
    #[test]
    fn braking_moves_load_forward() {
        let rear = axle(DrivenAxle::Rear, Differential::Open).load_per_braking_n();
        let front = axle(DrivenAxle::Front, Differential::Open).load_per_braking_n();
        assert!((rear + 0.22).abs() < 1e-12 && (front - 0.22).abs() < 1e-12);
        // 1,000 kg slowing at 5 m/s² with h/L = 0.22.
        assert!((load_transfer_n(1000.0, -5.0, 0.22) - 1000.0 * 5.0 * rear).abs() < 1e-9);
    }

    #[test]
    fn a_very_high_car_lifts_its_nose_first() {
        let mut tall = axle(DrivenAxle::Rear, Differential::Locked);
        tall.height_over_wheelbase = 2.0;
        assert!((tall.drive_limit_n(0.9) - 2000.0).abs() < 1e-9);
    }
}
