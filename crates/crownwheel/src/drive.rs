//! Driving a cycle once, leg after leg.

use crate::car::Car;
use crate::cycle::{Cycle, Leg, Span};
use crate::day::Day;
use crate::ready::Ready;
use crate::step::{State, Step, step};

/// Speed below target from which the car does not follow, m/s (2 km/h).
pub const FOLLOWING_SLACK_MPS: f64 = 2.0 / 3.6;

/// State of a full car at the start of a cycle on a day: everything cold, heat unused.
#[must_use]
pub fn start_state(car: &Car, day: &Day, cycle: &Cycle) -> State<f64> {
    State {
        speed_mps: cycle.start_mps().min(car.speed_cap_mps()),
        charge_frac: car.spec().pack.usable_to_frac,
        heat_used: 0.0,
        oil_k: day.air().temperature_k,
        pack_k: day.pack_temperature_k(),
    }
}

/// One leg driven, as a watcher sees it.
#[derive(Clone, Copy, Debug)]
pub struct Driven<'a> {
    /// The leg.
    pub leg: &'a Leg,
    /// Its place in the cycle.
    pub index: usize,
    /// State before it.
    pub before: &'a State<f64>,
    /// What happened.
    pub step: &'a Step<f64>,
}

/// How a pass through the cycle ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pass {
    /// At the end of the cycle.
    Finished,
    /// The watcher stopped it.
    Stopped,
    /// By distance: the car came to rest on a slope that it cannot climb.
    Stuck,
}

/// Drives a cycle once from `state`, which is left at the end of the run. `watch` sees every leg
/// and ends the run by returning `false`.
pub fn drive(
    ready: &Ready,
    cycle: &Cycle,
    state: &mut State<f64>,
    mut watch: impl FnMut(Driven<'_>) -> bool,
) -> Pass {
    let view = ready.view();
    for (index, leg) in cycle.legs().iter().enumerate() {
        let before = *state;
        let done = step(&view, leg, &before);
        *state = done.state;
        if !watch(Driven { leg, index, before: &before, step: &done }) {
            return Pass::Stopped;
        }
        if falls_short_of_distance(leg, &done) {
            return Pass::Stuck;
        }
    }
    Pass::Finished
}

/// By distance, a leg whose length was not covered: the car stood still on it. Its force is
/// greatest at rest, so it cannot start again either.
fn falls_short_of_distance(leg: &Leg, done: &Step<f64>) -> bool {
    match leg.span {
        Span::Time(_) => false,
        Span::Distance(ds_m) => done.distance_m < ds_m * (1.0 - 1e-9),
    }
}
