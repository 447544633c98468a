//! Driving a cycle once and adding up what tests ask for.

use crownwheel::balance::Balance;
use crownwheel::car::Car;
use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::day::Day;
use crownwheel::drive::{DrivenLeg, Driver, Pass, drive, start_state};
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::step::State;

/// What one pass through a cycle came to.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    /// Energies.
    pub(crate) balance: Balance<f64>,
    /// State at the end.
    pub(crate) end: State<f64>,
    /// Metres driven.
    pub(crate) distance_m: f64,
    /// Seconds taken.
    pub(crate) duration_s: f64,
    /// Energy at the terminals in the steps that took energy, J.
    pub(crate) taken_j: f64,
    /// Energy at the terminals in the steps that gave energy back, J, negative.
    pub(crate) given_back_j: f64,
}

/// Drives `cycle` once, from full unless `charge_frac` says otherwise.
pub(crate) fn run(car: &CarSpec, day: &DaySpec, cycle: &Cycle, charge_frac: Option<f64>) -> Run {
    let mut balance = Balance::zero();
    let (mut distance_m, mut duration_s, mut taken_j, mut given_back_j) = (0.0, 0.0, 0.0, 0.0);
    let end = watch(car, day, cycle, charge_frac, |driven| {
        let step = driven.step;
        balance.add(&step.energy, 1.0);
        distance_m += step.distance_m;
        duration_s += step.duration_s;
        taken_j += step.energy.terminals_j.max(0.0);
        given_back_j += step.energy.terminals_j.min(0.0);
    });
    Run { balance, end, distance_m, duration_s, taken_j, given_back_j }
}

/// Drives `cycle` once and shows every leg; returns the state at the end.
pub(crate) fn watch(
    car: &CarSpec,
    day: &DaySpec,
    cycle: &Cycle,
    charge_frac: Option<f64>,
    mut see: impl FnMut(DrivenLeg<'_>),
) -> State<f64> {
    let (car, day) = (Car::new(car).unwrap(), Day::new(day).unwrap());
    let mut state = start_state(&car, &day, cycle);
    if let Some(charge_frac) = charge_frac {
        state.charge_frac = charge_frac;
    }
    let pass = drive(&mut Driver::new(&car, &day), cycle, &mut state, |driven| {
        see(driven);
        true
    });
    assert_eq!(pass, Pass::Finished);
    state
}

/// Straight lines between points `(s, m/s)`, on a road of one slope, as a cycle of one-second legs.
pub(crate) fn trace(points: &[(f64, f64)], sin: f64) -> Cycle {
    let grade_frac = sin / (1.0 - sin * sin).sqrt();
    let samples = Samples::ByTime {
        time_s: points.iter().map(|point| point.0).collect(),
        speed_mps: points.iter().map(|point| point.1).collect(),
        grade: Grade::Frac(vec![grade_frac; points.len()]),
    };
    Cycle::new("trace", &samples).unwrap()
}
