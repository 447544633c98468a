//! Torque that a motor gives flat out: another phase current, a brushed motor, and what shaped the
//! falling part of its sheet.

use std::sync::Arc;

use crownwheel::limit::Limit;
use crownwheel::spec::{CarSpec, FallingPart, MotorCurve};
use crownwheel::step::Step;
use crownwheel_testkit::assert_close;

use crate::fixture::{Ideal, flat_cell, ideal, ideal_day};
use crate::run::{trace, watch};

const PEAK_NM: f64 = 150.0;
const CORNER_RADPS: f64 = 300.0;
const PEAK_W: f64 = PEAK_NM * CORNER_RADPS;

/// Torque of the sheet: flat up to the corner, then constant power.
fn sheet_nm(radps: f64) -> f64 {
    PEAK_NM.min(PEAK_W / radps)
}

/// A tonne without road load: a motor of 45 kW tested at 100 V, and 100 cells of `cell_v`.
fn car(cell_v: f64) -> CarSpec {
    let mut car = ideal(Ideal {
        mass_kg: 1000.0,
        turning_share: 0.0,
        road_load: [0.0; 3],
        efficiency_frac: 1.0,
        regen_share: 1.0,
    });
    let speed_radps: Vec<f64> = (0..=40).map(|i| f64::from(i) * 20.0).collect();
    let peak_torque_nm: Vec<f64> = speed_radps.iter().map(|radps| sheet_nm(*radps)).collect();
    car.motor.curve = Arc::new(MotorCurve {
        continuous_torque_nm: peak_torque_nm.clone(),
        speed_radps,
        peak_torque_nm,
    });
    car.motor.max_speed_radps = 800.0;
    car.motor.test_voltage_v = 100.0;
    car.pack.open_circuit = Arc::new(flat_cell(cell_v));
    car.pack.cell_min_voltage_v = 0.1;
    car.pack.cell_max_voltage_v = 4.2;
    car
}

/// Steps of driving flat out from rest for a while.
fn flat_out(car: &CarSpec) -> Vec<Step<f64>> {
    let mut steps = Vec::new();
    let cycle = trace(&[(0.0, 0.0), (1.0, 70.0), (40.0, 70.0)], 0.0).refined(4);
    watch(car, &ideal_day(), &cycle, Some(0.5), |driven| steps.push(*driven.step));
    steps
}

/// Asserts that every limited step gives `expected_nm` at its speed, voltage and current, on both
/// sides of the corner. What is left is the table between its nodes.
fn gives(car: &CarSpec, expected_nm: impl Fn(&Step<f64>) -> f64) {
    let steps = flat_out(car);
    let limited = |step: &&Step<f64>| Limit::from_code(step.limit) != Limit::MotorSpeed;
    let mut sides = [0, 0];
    for step in steps.iter().skip(4).filter(limited) {
        assert_ne!(Limit::from_code(step.limit), Limit::None, "{step:?}");
        sides[usize::from(step.motor_radps > 1.1 * CORNER_RADPS)] += 1;
        assert_close!(step.torque_nm, expected_nm(step), abs = 0.0, rel = 5e-3, "{step:?}");
    }
    assert!(sides[0] > 8 && sides[1] > 8, "both parts of the curve are met: {sides:?}");
}

#[test]
fn the_sheet_at_its_own_voltage_and_current() {
    gives(&car(1.0), |step| sheet_nm(step.motor_radps));
}

/// Less phase current: the flat part scales, the falling part stays.
#[test]
fn less_phase_current_scales_the_flat_part_alone() {
    let mut weak = car(1.0);
    weak.motor.phase_current_ratio = 0.6;
    gives(&weak, |step| sheet_nm(step.motor_radps).min(0.6 * PEAK_NM));
}

/// More phase current: the flat part rises until it meets the falling line, carried on upwards.
#[test]
fn more_phase_current_rises_until_it_meets_the_falling_line() {
    let mut strong = car(1.0);
    strong.motor.phase_current_ratio = 1.5;
    gives(&strong, |step| (1.5 * PEAK_NM).min(PEAK_W / step.motor_radps));
}

/// The falling part moves along the speed axis with the voltage.
#[test]
fn less_voltage_moves_the_falling_part() {
    for volts in [80.0, 125.0] {
        let k = volts / 100.0;
        gives(&car(volts / 100.0), |step| sheet_nm(step.motor_radps / k));
    }
}

/// A brushed motor: `k = (U - I R_a) / (U_test - I R_a)`. Below the test voltage the drop in the
/// armature costs it more than its share, at the test voltage nothing.
#[test]
fn a_brushed_motor_follows_the_voltage_less_its_drop() {
    let armature_ohm = 0.04;
    for volts in [80.0, 100.0] {
        let mut brushed = car(volts / 100.0);
        brushed.motor.armature_ohm = armature_ohm;
        gives(&brushed, |step| {
            let drop_v = step.current_a * armature_ohm;
            sheet_nm(step.motor_radps * (100.0 - drop_v) / (step.voltage_v - drop_v))
        });
    }
    let end_mps = |armature_ohm: f64, cell_v: f64| {
        let mut car = car(cell_v);
        car.motor.armature_ohm = armature_ohm;
        flat_out(&car).last().map_or(0.0, |step| step.state.speed_mps)
    };
    assert!(end_mps(0.04, 0.8) < end_mps(0.0, 0.8));
    assert_close!(end_mps(0.04, 1.0), end_mps(0.0, 1.0), abs = 0.0, rel = 1e-6);
}

/// A falling part that the battery's current shaped scales by power: `min(T_0, k T(n))`, and the
/// limit has that name.
#[test]
fn a_falling_part_by_battery_current_scales_by_power() {
    for volts in [80.0, 125.0] {
        let mut car = car(volts / 100.0);
        car.motor.falling_part = FallingPart::BatteryCurrent;
        let k = volts / 100.0;
        gives(&car, |step| PEAK_NM.min(k * sheet_nm(step.motor_radps)));
        let falls = |step: &&Step<f64>| step.torque_nm < 0.9 * PEAK_NM.min(k * PEAK_NM);
        let names: Vec<Limit> = flat_out(&car)
            .iter()
            .filter(falls)
            .map(|step| Limit::from_code(step.limit))
            .filter(|limit| *limit != Limit::MotorSpeed)
            .collect();
        assert!(names.len() > 8 && names.iter().all(|name| *name == Limit::BatteryCurrent));
    }
}
