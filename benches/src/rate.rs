//! Nanoseconds per step, of the model, of the model with its driver, and of the bare kernel, measured
//! in turn.

use std::hint::black_box;
use std::time::Instant;

use crownwheel::balance::Balance;
use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::ready::Ready;
use crownwheel::step::{State, step};
use crownwheel::{Car, Day};

use crate::bare::BareCar;

/// Passes through the cycle in one timing: some milliseconds, far above the clock's grain.
const PASSES: u32 = 20;

/// Timings of each side; they alternate, so that a change of clock speed meets all.
const REPEATS: usize = 41;

/// Length of a leg of the cycles that are driven here, s.
const LEG_S: f64 = 1.0;

/// Nanoseconds per step, medians over all repeats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepRate {
    /// The full model, one car at a time.
    pub scalar_ns: f64,
    /// The same driven through a cycle by somebody who may change gear (in a car of one gear).
    pub driver_ns: f64,
    /// The bare kernel.
    pub bare_scalar_ns: f64,
}

/// Times all on the legs of one cycle with a sample every second.
#[must_use]
pub fn step_rate(car: &Car, day: &Day, cycle: &Cycle) -> StepRate {
    let ready = Ready::new(car, day);
    let mut driver = Driver::new(car, day);
    let bare = BareCar::small_saloon();
    let trace = speed_trace(cycle);
    let start = start_state(car, day, cycle);
    let steps = f64::from(PASSES) * cycle.duration_s() / LEG_S;
    let mut times = [const { Vec::new() }; 3];
    for _ in 0..REPEATS {
        times[0].push(nanoseconds(|| full_pass(black_box(&ready), start, black_box(cycle))));
        times[1].push(nanoseconds(|| driven_pass(black_box(&mut driver), start, black_box(cycle))));
        times[2].push(nanoseconds(|| bare.drive(0.9, black_box(&trace), black_box(LEG_S))));
    }
    let [scalar_ns, driver_ns, bare_scalar_ns] = times.map(|all| median(all) / steps);
    StepRate { scalar_ns, driver_ns, bare_scalar_ns }
}

/// One pass of the full model with its energy balance: what it draws from the pack, J.
fn full_pass(ready: &Ready, mut state: State<f64>, cycle: &Cycle) -> f64 {
    let view = ready.view();
    let mut balance = Balance::zero();
    for leg in cycle.legs() {
        let done = step(&view, leg, &state);
        state = done.state;
        balance.add(&done.energy, 1.0);
    }
    balance.sum.from_pack_j
}

/// The same pass with a driver.
fn driven_pass(driver: &mut Driver, mut state: State<f64>, cycle: &Cycle) -> f64 {
    let mut balance = Balance::zero();
    let _ = drive(driver, cycle, &mut state, |driven| {
        balance.add(&driven.step.energy, 1.0);
        true
    });
    balance.sum.from_pack_j
}

/// Speeds at the ends of the legs, m/s, the start first.
fn speed_trace(cycle: &Cycle) -> Vec<f64> {
    let ends = cycle.legs().iter().map(|leg| leg.target_mps);
    std::iter::once(cycle.start_mps()).chain(ends).collect()
}

fn nanoseconds(mut pass: impl FnMut() -> f64) -> f64 {
    let start = Instant::now();
    for _ in 0..PASSES {
        black_box(pass());
    }
    start.elapsed().as_secs_f64() * 1e9
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::example::{mild_day, small_saloon};

    #[test]
    fn the_median_is_the_middle_one() {
        assert_eq!(median(vec![9.0, 1.0, 2.0]).to_bits(), 2.0_f64.to_bits());
    }

    #[test]
    fn all_sides_drive_the_whole_cycle() {
        let cycle = Cycle::builtin("wltc3b").unwrap();
        assert_eq!(speed_trace(&cycle).len(), 1801);
        let car = Car::new(&small_saloon()).unwrap();
        let day = Day::new(&mild_day()).unwrap();
        let start = start_state(&car, &day, &cycle);
        let joules = full_pass(&Ready::new(&car, &day), start, &cycle);
        let bare_frac = 0.9 - BareCar::small_saloon().drive(0.9, &speed_trace(&cycle), LEG_S);
        let bare_kwh = bare_frac * 20.6;
        // Like arithmetic gives like energy: some 150 Wh/km over 23 km.
        assert!((2.5..4.5).contains(&(joules / 3.6e6)), "{joules} J");
        assert!((2.5..4.5).contains(&bare_kwh), "{bare_kwh} kWh");
        let driven = driven_pass(&mut Driver::new(&car, &day), start, &cycle);
        assert_eq!(driven.to_bits(), joules.to_bits());
    }
}
