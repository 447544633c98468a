//! One cycle second by second, and the motor's curves at the pack's voltages.

use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::motor::{MotorTables, peak_torque_nm};
use crownwheel::{Car, Day};

use super::{kmh, rpm};
use crate::{CycleTrace, MotorCurve};

/// Points on a drawn motor curve.
const CURVE_POINTS: u32 = 100;

/// A cycle driven once from full charge.
#[must_use]
pub fn cycle_trace(car: &Car, day: &Day, cycle: &Cycle) -> CycleTrace {
    let mut driver = Driver::new(car, day);
    let mut state = start_state(car, day, cycle);
    let mut trace = CycleTrace {
        cycle: cycle.name().to_owned(),
        day: day.name().clone(),
        ..CycleTrace::default()
    };
    let mut height_m = 0.0;
    let mut heights_m = Vec::with_capacity(cycle.legs().len());
    let (mut time_s, mut distance_m) = (0.0, 0.0);
    drive(&mut driver, cycle, &mut state, |driven| {
        let step = driven.step;
        time_s += step.duration_s;
        distance_m += step.distance_m;
        height_m += step.distance_m * driven.leg.sin;
        heights_m.push(height_m);
        trace.time_s.push(time_s);
        trace.distance_km.push(distance_m / 1000.0);
        trace.target_kmh.push(kmh(driven.leg.target_mps));
        trace.speed_kmh.push(kmh(step.state.speed_mps));
        trace.battery_power_kw.push(step.energy.terminals_j / step.duration_s / 1000.0);
        trace.charge_pct.push(100.0 * step.state.charge_frac);
        trace.motor_torque_nm.push(step.torque_nm);
        trace.motor_speed_rpm.push(rpm(step.motor_radps));
        true
    });
    let hilly = heights_m.iter().any(|height: &f64| height.abs() > 1e-9);
    trace.elevation_m = hilly.then_some(heights_m);
    trace
}

/// Torque curves at the sheet's voltage and at the pack's lowest, highest voltage first.
#[must_use]
pub fn motor_curves(car: &Car) -> Vec<MotorCurve> {
    let spec = car.spec();
    let lowest_v = spec.pack.min_voltage_v(&spec.inverter);
    let tables = MotorTables::new(&spec.motor, false);
    let curve = |name: &str, voltage_v: f64| {
        let k = voltage_v / spec.motor.test_voltage_v;
        let speeds: Vec<f64> = (0..=CURVE_POINTS)
            .map(|i| spec.motor.max_speed_radps * f64::from(i) / f64::from(CURVE_POINTS))
            .collect();
        let peak = |radps: &f64| peak_torque_nm(&tables, spec.motor.falling_part, *radps, k);
        MotorCurve {
            name: name.to_owned(),
            voltage_v,
            speed_rpm: speeds.iter().map(|radps| rpm(*radps)).collect(),
            peak_torque_nm: speeds.iter().map(peak).collect(),
            continuous_torque_nm: speeds
                .iter()
                .map(|radps| tables.continuous_nm.at(*radps).min(peak(radps)))
                .collect(),
        }
    };
    let mut curves = vec![
        curve("as on the sheet", spec.motor.test_voltage_v),
        curve("at the lowest voltage", lowest_v),
    ];
    curves.sort_by(|a, b| b.voltage_v.total_cmp(&a.voltage_v));
    curves
}
