//! The trip in blocks: what left the pack in each and what came back.

use crownwheel::constants::KMH_PER_MPS;

use super::Activity;
use super::drive::Drive;
use super::error::{AuditError, LEAST_J, SHORTEST_M, SHORTEST_S};
use super::model::DriveRun;
use crate::trip::Trip;

/// Shortest and longest block, s.
const BLOCK_S: (f64, f64) = (30.0, 120.0);
/// Blocks that are aimed at.
const BLOCKS: f64 = 80.0;
/// Error of a smoothed height, m (engineer's judgement): it moves energy from block to block.
const HEIGHT_ERROR_M: f64 = 1.0;
/// Weight of a metre of height, N: a tonne; the size of all errors is found later.
const WEIGHT_N: f64 = 9806.65;
/// Share of the energy moved that is an error beyond that (engineer's judgement).
const ENERGY_ERROR: f64 = 0.04;
/// Part of the error of height below which an energy says nothing.
const LITTLE: f64 = 0.1;
/// Accelerating or slowing down, m/s².
const CHANGING_MPS2: f64 = 0.25;
/// Slow and fast driving are parted here, m/s (60 km/h).
const FAST_MPS: f64 = 60.0 / KMH_PER_MPS;
/// Points of the course that are kept.
const COURSE_POINTS: usize = 2000;

/// Blocks of equal time. An observation is the energy out of the pack in a block, or back into it
/// (negative); first all outs, then all backs.
#[derive(Clone, Debug)]
pub(super) struct Blocks {
    /// Block of each step; `None`: without readings.
    block: Vec<Option<usize>>,
    count: usize,
    /// Measured observations, J.
    pub(super) measured: Vec<f64>,
    /// Error of each observation before its size is found, J.
    pub(super) error_j: Vec<f64>,
    /// Observations with any energy to speak of: nothing comes back in many blocks.
    pub(super) telling: usize,
}

impl Blocks {
    pub(super) fn of(trip: &Trip, drive: &Drive, run: &DriveRun) -> Result<Blocks, AuditError> {
        let seconds: f64 = drive.step_s.iter().sum();
        let length_s = (seconds / BLOCKS).clamp(BLOCK_S.0, BLOCK_S.1);
        let mut block = vec![None; drive.has.len()];
        let (mut in_block_s, mut count) = (0.0, 0_usize);
        for i in (0..drive.has.len()).filter(|i| drive.has[*i]) {
            block[i] = Some(count);
            in_block_s += drive.step_s[i];
            if in_block_s >= length_s {
                in_block_s = 0.0;
                count += 1;
            }
        }
        // A last block that is not full belongs to the one before.
        for place in block.iter_mut().flatten() {
            *place = (*place).min(count.saturating_sub(1));
        }
        let mut blocks = Blocks {
            block,
            count: count.max(1),
            measured: Vec::new(),
            error_j: Vec::new(),
            telling: 0,
        };
        blocks.measured = blocks.observations(&drive.energy_j);
        let out_j: f64 = blocks.measured[..blocks.count].iter().sum();
        let distance_m: f64 = drive.way_m.iter().sum();
        if distance_m < SHORTEST_M || seconds < SHORTEST_S || out_j < LEAST_J {
            return Err(AuditError::TooShort {
                file: trip.name.clone(),
                distance_m,
                seconds,
                out_j,
            });
        }
        let predicted = blocks.observations(&run.energy_j);
        let floor_j =
            HEIGHT_ERROR_M * WEIGHT_N * if trip.elevation_m.is_some() { 1.0 } else { 4.0 };
        let says = |(measured, predicted): (&f64, &f64)| {
            measured.abs().max(predicted.abs()) > LITTLE * floor_j
        };
        blocks.telling = blocks.measured.iter().zip(&predicted).filter(|pair| says(*pair)).count();
        blocks.error_j = blocks
            .measured
            .iter()
            .zip(&predicted)
            .map(|(measured, predicted)| {
                libm::hypot(floor_j, ENERGY_ERROR * measured.abs().max(predicted.abs()))
            })
            .collect();
        Ok(blocks)
    }

    /// Observations of the model.
    pub(super) fn predicted(&self, run: &DriveRun) -> Vec<f64> {
        self.observations(&run.energy_j)
    }

    fn observations(&self, energy_j: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; 2 * self.count];
        for (block, energy) in self.block.iter().zip(energy_j) {
            if let Some(block) = block {
                let back = if *energy < 0.0 { self.count } else { 0 };
                all[back + block] += energy;
            }
        }
        all
    }

    /// Sum of all observations: net energy, J.
    pub(super) fn net(&self, observations: &[f64]) -> f64 {
        observations.iter().sum()
    }

    /// What came back, J, negative.
    pub(super) fn back(&self, observations: &[f64]) -> f64 {
        observations[self.count..].iter().sum()
    }

    /// The observations of what came back, 0 for what left.
    pub(super) fn only_back(&self, observations: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; self.count];
        all.extend_from_slice(&observations[self.count..]);
        all
    }

    /// Sum of a column of steps over all blocks.
    pub(super) fn sum(&self, column: &[f64]) -> f64 {
        self.block
            .iter()
            .zip(column)
            .filter(|(block, _)| block.is_some())
            .map(|(_, value)| value)
            .sum()
    }

    /// Blocks.
    pub(super) fn count(&self) -> usize {
        self.count
    }
}

/// Energies by what the car was doing.
pub(super) fn doings(trip: &Trip, drive: &Drive, run: &DriveRun) -> Vec<Activity> {
    let kinds =
        ["standing", "steady, below 60 km/h", "steady, faster", "speeding up", "slowing down"];
    let mut all: Vec<Activity> = kinds
        .into_iter()
        .map(|what| Activity { what, seconds: 0.0, measured_j: 0.0, predicted_j: 0.0 })
        .collect();
    for i in (1..drive.has.len()).filter(|i| drive.has[*i]) {
        let (from, to) = (trip.speed_mps[i - 1], trip.speed_mps[i]);
        let change = (to - from) / drive.step_s[i];
        let speed = f64::midpoint(from, to);
        let kind = if speed < 1e-6 {
            0
        } else if change > CHANGING_MPS2 {
            3
        } else if change < -CHANGING_MPS2 {
            4
        } else if speed < FAST_MPS {
            1
        } else {
            2
        };
        all[kind].seconds += drive.step_s[i];
        all[kind].measured_j += drive.energy_j[i];
        all[kind].predicted_j += run.energy_j[i];
    }
    all.retain(|doing| doing.seconds > 0.0);
    all
}

/// Measured and predicted energy so far along the way.
pub(super) fn course(trip: &Trip, drive: &Drive, run: &DriveRun) -> Vec<(f64, f64, f64)> {
    let rows = trip.time_s.len();
    let step = rows.div_ceil(COURSE_POINTS).max(1);
    let (mut measured_j, mut predicted_j) = (0.0, 0.0);
    let mut all = Vec::new();
    for i in 0..rows {
        if drive.has[i] {
            measured_j += drive.energy_j[i];
            predicted_j += run.energy_j[i];
        }
        if i.is_multiple_of(step) || i + 1 == rows {
            all.push((trip.distance_m[i], measured_j, predicted_j));
        }
    }
    all
}
