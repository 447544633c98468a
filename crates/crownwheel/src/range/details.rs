//! What a run of one car keeps beside its tally: the balance, the first pass, the motor, rolling loads.

use super::{FirstPass, Loads};
use crate::balance::Balance;
use crate::car::Car;
use crate::drive::DrivenLeg;
use crate::limit::Limit;

/// Motor figures of the whole run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct MotorUse {
    /// Root mean square of torque, N m.
    pub rms_torque_nm: f64,
    /// Highest mean speed of a step, rad/s.
    pub max_speed_radps: f64,
    /// Highest used share of heat. `None`: the sheet does not say what the motor stands.
    pub heat_used_max: Option<f64>,
}

/// Highest temperatures of the oil in a run, K.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct OilMax {
    /// In the reduction or gearbox; the air's where there is none.
    pub gearbox_k: f64,
    /// In the axle.
    pub axle_k: f64,
}

/// Details of a run up to now.
pub(super) struct Details {
    legs: usize,
    seen: usize,
    pub(super) first: FirstPass,
    pub(super) balance: Balance<f64>,
    torque_squared_s: f64,
    max_speed_radps: f64,
    pub(super) oil: OilMax,
    pub(super) loads: Loads,
}

impl Details {
    /// For a cycle of so many legs.
    pub(super) fn new(car: &Car, legs: usize) -> Details {
        Details {
            legs,
            seen: 0,
            first: FirstPass { gear_s: vec![0.0; car.gear_count()], ..FirstPass::default() },
            balance: Balance::zero(),
            torque_squared_s: 0.0,
            max_speed_radps: 0.0,
            oil: OilMax::default(),
            loads: Loads::new(),
        }
    }

    /// Takes in a leg, the share of it that counts.
    pub(super) fn leg(&mut self, driven: &DrivenLeg<'_>, share: f64) {
        let step = driven.step;
        let dt_s = step.duration_s * share;
        self.balance.add(&step.energy, share);
        self.torque_squared_s += step.torque_nm * step.torque_nm * dt_s;
        self.max_speed_radps = self.max_speed_radps.max(step.motor_radps);
        self.oil.gearbox_k = self.oil.gearbox_k.max(step.state.gearbox_oil_k);
        self.oil.axle_k = self.oil.axle_k.max(step.state.axle_oil_k);
        if dt_s > 0.0 {
            self.loads.push(step, dt_s);
        }
        if self.seen < self.legs {
            self.first_pass_leg(driven, dt_s, step.distance_m * share);
        }
        self.seen += 1;
    }

    fn first_pass_leg(&mut self, driven: &DrivenLeg<'_>, dt_s: f64, ds_m: f64) {
        let first = &mut self.first;
        first.distance_m += ds_m;
        first.duration_s += dt_s;
        first.binding_s[Limit::from_code(driven.step.limit).index()] += dt_s;
        if let Some(gear_s) = first.gear_s.get_mut(driven.gear) {
            *gear_s += dt_s;
        }
    }

    pub(super) fn motor(&self, duration_s: f64, heat_used_max: Option<f64>) -> MotorUse {
        MotorUse {
            rms_torque_nm: (self.torque_squared_s / duration_s).sqrt(),
            max_speed_radps: self.max_speed_radps,
            heat_used_max,
        }
    }
}
