//! The predicted side: the model drives the same trip.

use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, FOLLOWING_SLACK_MPS, drive, start_state};
use crownwheel::spec::{CarSpec, DaySpec, SpecError};
use crownwheel::step::State;
use crownwheel::{Car, Day};

/// How the trip is driven, whatever the car.
#[derive(Debug)]
pub(super) struct Model<'a> {
    pub(super) cycle: Cycle,
    /// Times of the rows of the trip, s.
    pub(super) time_s: &'a [f64],
    pub(super) start_charge_frac: f64,
    /// Energy of heater and air conditioning over each row, J, where the log has it.
    pub(super) cabin_j: Option<&'a [f64]>,
}

/// One drive of the trip. Columns are as long as the trip and belong to the step that ends there.
#[derive(Clone, Debug)]
pub(super) struct DriveRun {
    /// Energy at the terminals, J.
    pub(super) energy_j: Vec<f64>,
    /// The part of it that does not drive: standing loads and the cabin, J.
    pub(super) aside_j: Vec<f64>,
    /// Energy lost in pack and harness, J.
    lost_j: f64,
    /// Sum of current squared over time, A² s.
    square_a2s: f64,
    /// Time behind the log's speed, s.
    pub(super) behind_s: f64,
}

impl Model<'_> {
    /// Drives the trip with a car on a day.
    pub(super) fn run(&self, spec: &CarSpec, day: &DaySpec) -> Result<DriveRun, SpecError> {
        let (car, day) = (Car::new(spec)?, Day::new(day)?);
        let last_row = self.time_s.len().saturating_sub(1);
        let mut state: State<f64> = start_state(&car, &day, &self.cycle);
        state.charge_frac = self.start_charge_frac;
        let cabin_j = self.cabin_j.map_or_else(|| vec![0.0; self.time_s.len()], <[f64]>::to_vec);
        let mut run = DriveRun {
            energy_j: cabin_j.clone(),
            aside_j: cabin_j,
            lost_j: 0.0,
            square_a2s: 0.0,
            behind_s: 0.0,
        };
        let (mut now_s, mut row) = (0.0, 1);
        drive(&mut Driver::new(&car, &day), &self.cycle, &mut state, |driven| {
            let step = driven.step;
            now_s += step.duration_s;
            // Legs are parts of rows: the row that a leg belongs to ends with it or after it.
            while row < last_row && self.time_s[row] < now_s - 1e-6 {
                row += 1;
            }
            run.energy_j[row] += step.energy.terminals_j;
            run.aside_j[row] += step.energy.ancillaries_j + step.energy.dcdc_j;
            run.lost_j += step.energy.pack_j;
            run.square_a2s += step.current_a * step.current_a * step.duration_s;
            if step.state.speed_mps < driven.leg.target_mps - FOLLOWING_SLACK_MPS {
                run.behind_s += step.duration_s;
            }
            true
        });
        Ok(run)
    }
}

impl DriveRun {
    /// Resistance of pack and harness over the run, ohm.
    pub(super) fn resistance_ohm(&self) -> f64 {
        if self.square_a2s > 0.0 { self.lost_j / self.square_a2s } else { 0.0 }
    }
}
