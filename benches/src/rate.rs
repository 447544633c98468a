//! Nanoseconds per step, of the model and of the bare kernel, measured in turn.

use std::hint::black_box;
use std::time::Instant;

use crownwheel::balance::Balance;
use crownwheel::cycle::Cycle;
use crownwheel::drive::{drive, start_state};
use crownwheel::ready::Ready;
use crownwheel::{Car, Day};

use crate::bare::BareCar;

/// Passes through the cycle in one timing: some milliseconds, far above the clock's grain.
const PASSES: u32 = 20;

/// Timings of each side; they alternate, so that a change of clock speed meets both.
const REPEATS: usize = 41;

/// Length of a leg of the cycles that are driven here, s.
const LEG_S: f64 = 1.0;

/// Nanoseconds per step, medians over all repeats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepRate {
    /// The full model, one car at a time.
    pub scalar_ns: f64,
    /// The bare kernel.
    pub bare_scalar_ns: f64,
}

/// Times both on the legs of one cycle with a sample every second.
#[must_use]
pub fn step_rate(car: &Car, day: &Day, cycle: &Cycle) -> StepRate {
    let ready = Ready::new(car, day);
    let bare = BareCar::small_saloon();
    let trace = speed_trace(cycle);
    let steps = f64::from(PASSES) * cycle.duration_s() / LEG_S;
    let mut scalar_ns = Vec::with_capacity(REPEATS);
    let mut bare_ns = Vec::with_capacity(REPEATS);
    for _ in 0..REPEATS {
        scalar_ns
            .push(nanoseconds(|| full_pass(black_box(&ready), car, day, black_box(cycle))) / steps);
        bare_ns.push(nanoseconds(|| bare.drive(0.9, black_box(&trace), black_box(LEG_S))) / steps);
    }
    StepRate { scalar_ns: median(scalar_ns), bare_scalar_ns: median(bare_ns) }
}

/// One pass of the full model with its energy balance: what it draws from the pack, J.
fn full_pass(ready: &Ready, car: &Car, day: &Day, cycle: &Cycle) -> f64 {
    let mut state = start_state(car, day, cycle);
    let mut balance = Balance::zero();
    let _ = drive(ready, cycle, &mut state, |driven| {
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
    fn both_sides_drive_the_whole_cycle() {
        let cycle = Cycle::builtin("wltc3b").unwrap();
        assert_eq!(speed_trace(&cycle).len(), 1801);
        let car = Car::new(&small_saloon()).unwrap();
        let day = Day::new(&mild_day()).unwrap();
        let kwh = full_pass(&Ready::new(&car, &day), &car, &day, &cycle) / 3.6e6;
        let bare_frac = 0.9 - BareCar::small_saloon().drive(0.9, &speed_trace(&cycle), LEG_S);
        let bare_kwh = bare_frac * 20.6;
        // Like arithmetic gives like energy: some 150 Wh/km over 23 km.
        assert!((2.5..4.5).contains(&kwh), "{kwh} kWh");
        assert!((2.5..4.5).contains(&bare_kwh), "{bare_kwh} kWh");
    }
}
