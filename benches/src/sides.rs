//! Passes through the cycle that are compared: the full model by one car and by several side by
//! side, with its energy balance.

use crownwheel::balance::Balance;
use crownwheel::batch::{LegView, Side, WIDTH, Watch, pass};
use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive};
use crownwheel::lane::Lane;
use crownwheel::ready::{Ready, View};
use crownwheel::step::{State, step};

/// What is kept of a pass.
#[derive(Clone, Copy, Debug)]
pub struct Sums<L> {
    /// Where the energy went.
    pub balance: Balance<L>,
    /// Distance driven, m.
    pub distance_m: L,
}

impl<L: Lane> Sums<L> {
    fn zero() -> Self {
        Sums { balance: Balance::zero(), distance_m: L::splat(0.0) }
    }
}

impl<L: Lane> Watch<L> for Sums<L> {
    #[inline(always)]
    fn leg(&mut self, seen: LegView<'_, L>) -> bool {
        self.balance.add_whole(&seen.step.energy);
        self.distance_m = self.distance_m + seen.step.distance_m;
        true
    }
}

/// One pass by one car, without dispatch: what a person waits for who drives one car.
#[must_use]
pub fn scalar_pass(view: &View<'_, f64>, start: State<f64>, cycle: &Cycle) -> Sums<f64> {
    let mut sums = Sums::zero();
    let mut state = start;
    for leg in cycle.legs() {
        let done = step(view, leg, &state);
        let _ = sums.leg(LegView { leg, before: &state, step: &done });
        state = done.state;
    }
    sums
}

/// The same by somebody who may change gear.
#[must_use]
pub fn driven_pass(driver: &mut Driver, start: State<f64>, cycle: &Cycle) -> f64 {
    let mut state = start;
    let mut balance = Balance::zero();
    let _ = drive(driver, cycle, &mut state, |driven| {
        balance.add(&driven.step.energy, 1.0);
        true
    });
    balance.sum.from_pack_j
}

/// One pass by as many cars as stand side by side.
#[must_use]
pub fn batch_pass(cars: [&Ready; WIDTH], start: State<f64>, cycle: &Cycle) -> Sums<Side> {
    let view = Ready::side_by_side(cars);
    let mut sums = Sums::zero();
    let _ = pass(&view, cycle.legs().iter(), State::each(|_| start), &mut sums);
    sums
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::Demo;
    use crownwheel::drive::start_state;

    #[test]
    fn all_sides_of_the_full_model_give_the_same_bits() {
        let demo = Demo::load().unwrap();
        let start = start_state(&demo.car, &demo.day, &demo.cycle);
        let ready = Ready::new(&demo.car, &demo.day);
        let alone = scalar_pass(&ready.view(), start, &demo.cycle);
        let joules = alone.balance.sum.from_pack_j;
        // Like arithmetic gives like energy: some 150 Wh/km over 23 km.
        assert!((2.5..4.5).contains(&(joules / 3.6e6)), "{joules} J");
        assert!((alone.distance_m / demo.cycle.distance_m() - 1.0).abs() < 1e-3);
        let driven = driven_pass(&mut Driver::new(&demo.car, &demo.day), start, &demo.cycle);
        assert_eq!(driven.to_bits(), joules.to_bits());
        let other = demo.option(7).unwrap();
        let cars = std::array::from_fn(|i| if i == 5 { &ready } else { &other });
        let batch = batch_pass(cars, start, &demo.cycle);
        assert_eq!(batch.balance.sum.from_pack_j.lane(5).to_bits(), joules.to_bits());
        assert_ne!(batch.balance.sum.from_pack_j.lane(4).to_bits(), joules.to_bits());
    }
}
