//! Currents, torque and heats through a run, for their worst rolling values.

use crate::step::Step;
use crate::windows::Series;

/// Quantities whose worst rolling values are kept.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Loads {
    /// Battery current squared, A².
    pub current_squared: Series,
    /// Motor torque squared, (N m)².
    pub torque_squared: Series,
    /// Motor loss, W.
    pub motor_heat_w: Series,
    /// Inverter loss, W.
    pub inverter_heat_w: Series,
    /// Loss in pack and harness, W.
    pub pack_heat_w: Series,
}

impl Loads {
    /// Nothing yet.
    #[must_use]
    pub fn new() -> Loads {
        Loads {
            current_squared: Series::new(),
            torque_squared: Series::new(),
            motor_heat_w: Series::new(),
            inverter_heat_w: Series::new(),
            pack_heat_w: Series::new(),
        }
    }

    /// Adds a step that counts for `dt_s`, more than 0.
    ///
    /// ```
    /// use crownwheel::{cycle::Cycle, drive::{Driver, start_state}, range::Loads};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let (cycle, mut loads) = (Cycle::steady(20.0), Loads::new());
    /// let done = Driver::new(&car, &day).leg(&cycle.legs()[0], &start_state(&car, &day, &cycle));
    /// loads.push(&done, done.duration_s);
    /// let rms_a = loads.current_squared.worst_rms(1.0).expect("a second was driven");
    /// assert!((rms_a / done.current_a.abs() - 1.0).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    pub fn push(&mut self, step: &Step<f64>, dt_s: f64) {
        let watts = |joules: f64| joules / step.duration_s;
        self.current_squared.push(dt_s, step.current_a * step.current_a);
        self.torque_squared.push(dt_s, step.torque_nm * step.torque_nm);
        self.motor_heat_w.push(dt_s, watts(step.energy.motor_j));
        self.inverter_heat_w.push(dt_s, watts(step.energy.inverter_j));
        self.pack_heat_w.push(dt_s, watts(step.energy.pack_j));
    }
}

impl Default for Loads {
    fn default() -> Loads {
        Loads::new()
    }
}
