//! A drive in columns over time, for a plot or a table of one's own.

use crate::balance::Energies;
use crate::car::Car;
use crate::cycle::Cycle;
use crate::day::Day;
use crate::drive::{Driver, drive, start_state};
use crate::limit::Limit;

/// A part of the energy balance of a leg.
type Row = (&'static str, fn(&Energies<f64>) -> f64);

/// What the energy out of the cells goes into.
const ROWS: [Row; 13] = [
    ("air", |e| e.air_j),
    ("rolling", |e| e.rolling_j),
    ("linear", |e| e.linear_j),
    ("climbing", |e| e.climbing_j),
    ("kinetic", |e| e.kinetic_j),
    ("brake_drag", |e| e.brake_drag_j),
    ("driveline", |e| e.driveline_j),
    ("motor", |e| e.motor_j),
    ("inverter", |e| e.inverter_j),
    ("dcdc", |e| e.dcdc_j),
    ("pack", |e| e.pack_j),
    ("ancillaries", |e| e.ancillaries_j),
    ("friction_brakes", |e| e.friction_j),
];

/// A drive in columns of equal length: a row for each step, with time and speed at its end.
///
/// ```
/// use crownwheel::{Car, Cycle, Day, example};
/// let trace = Car::new(&example::small_saloon())?.on(&Day::mild()).trace(&Cycle::udds());
/// let (last, motor) = (trace.time_s.len() - 1, trace.power_w("motor").expect("there is one"));
/// assert!((trace.time_s[last] - 1_369.0).abs() < 1e-6 && motor.len() == trace.time_s.len());
/// // All powers of a row are what leaves the cells.
/// let sum: f64 = trace.powers_w().map(|(_, watts)| watts[500]).sum();
/// assert!((sum - trace.from_pack_w[500]).abs() < 1e-3);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Trace {
    /// Time at the end of the step, s.
    pub time_s: Vec<f64>,
    /// Speed there, m/s.
    pub speed_mps: Vec<f64>,
    /// Way so far, m.
    pub distance_m: Vec<f64>,
    /// State of charge there, 0 to 1.
    pub charge_frac: Vec<f64>,
    /// Torque of the motor, N m.
    pub torque_nm: Vec<f64>,
    /// Speed of the motor, rad/s.
    pub motor_radps: Vec<f64>,
    /// Battery current, A, positive out of the pack.
    pub current_a: Vec<f64>,
    /// Voltage at the pack's terminals, V.
    pub voltage_v: Vec<f64>,
    /// Power out of the cells, W.
    pub from_pack_w: Vec<f64>,
    /// What bound the car.
    pub limit: Vec<Limit>,
    /// Gear, counted from 0.
    pub gear: Vec<usize>,
    powers_w: Vec<Vec<f64>>,
}

impl Trace {
    pub(crate) fn of(car: &Car, day: &Day, cycle: &Cycle) -> Trace {
        let mut trace = Trace { powers_w: vec![Vec::new(); ROWS.len()], ..Trace::default() };
        let (mut now_s, mut way_m) = (0.0, 0.0);
        let mut state = start_state(car, day, cycle);
        drive(&mut Driver::new(car, day), cycle, &mut state, |driven| {
            let step = driven.step;
            now_s += step.duration_s;
            way_m += step.distance_m;
            // A step without time has no power.
            let watts =
                |joules: f64| if step.duration_s > 0.0 { joules / step.duration_s } else { 0.0 };
            trace.time_s.push(now_s);
            trace.speed_mps.push(step.state.speed_mps);
            trace.distance_m.push(way_m);
            trace.charge_frac.push(step.state.charge_frac);
            trace.torque_nm.push(step.torque_nm);
            trace.motor_radps.push(step.motor_radps);
            trace.current_a.push(step.current_a);
            trace.voltage_v.push(step.voltage_v);
            trace.from_pack_w.push(watts(step.energy.from_pack_j));
            trace.limit.push(Limit::from_code(step.limit));
            trace.gear.push(driven.gear);
            for (column, (_, row)) in trace.powers_w.iter_mut().zip(ROWS) {
                column.push(watts(row(&step.energy)));
            }
            true
        });
        trace
    }

    /// Every power with its name, W: `air`, `rolling`, `linear` (of coast-down coefficients), `climbing`, `kinetic`,
    /// `brake_drag`, `driveline`, `motor`, `inverter`, `dcdc`, `pack`, `ancillaries`, `friction_brakes`. In each row they add
    /// up to [`Trace::from_pack_w`].
    pub fn powers_w(&self) -> impl Iterator<Item = (&'static str, &[f64])> {
        ROWS.iter().zip(&self.powers_w).map(|((name, _), column)| (*name, column.as_slice()))
    }

    /// One of them by name.
    #[must_use]
    pub fn power_w(&self, name: &str) -> Option<&[f64]> {
        self.powers_w().find(|(known, _)| *known == name).map(|(_, column)| column)
    }
}
