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
/// Error of the mean power of a standing car, W (engineer's judgement): offsets, a pump that comes and goes.
const STANDING_ERROR_W: f64 = 20.0;
/// Standing for less than this says nothing, s.
const STOOD_S: f64 = 5.0;
/// Slower than this is standing, m/s.
const STANDS_MPS: f64 = 1e-6;
/// Moments around movement that do not count as standing, s.
const AROUND_S: f64 = 3.0;
/// Speed over which what the model leaves out may change by as much as it is, m/s (engineer's judgement).
const TILT_MPS: f64 = 15.0;
/// Part of the error of height below which an energy says nothing.
const LITTLE: f64 = 0.1;
/// Accelerating or slowing down, m/s².
const CHANGING_MPS2: f64 = 0.25;
/// Slow and fast driving are parted here, m/s (60 km/h).
const FAST_MPS: f64 = 60.0 / KMH_PER_MPS;
/// Points of the course that are kept.
const COURSE_POINTS: usize = 2000;

/// Blocks of equal time. An observation is the energy out of the pack in a block, or back into it (negative), while the car
/// moves: first all outs, then all backs. The last is the energy of all the time that it stands.
#[derive(Clone, Debug)]
pub(super) struct Blocks {
    /// What each step belongs to; `None`: without readings.
    place: Vec<Option<Place>>,
    count: usize,
    /// Mean speed of each block, m/s.
    speed_mps: Vec<f64>,
    /// Measured observations, J.
    pub(super) measured: Vec<f64>,
    /// Error of each observation, J; of moving ones before its size is found.
    error_j: Vec<f64>,
    /// Moving observations with any energy to speak of: nothing comes back in many blocks.
    pub(super) telling: usize,
}

/// What a step belongs to.
#[derive(Clone, Copy, Debug)]
enum Place {
    Standing,
    Block(usize),
}

impl Blocks {
    pub(super) fn of(trip: &Trip, drive: &Drive, run: &DriveRun) -> Result<Blocks, AuditError> {
        let seconds: f64 = drive.step_s.iter().sum();
        let stands = standing(trip);
        let (place, count) = places(drive, &stands);
        let mut blocks = Blocks {
            place,
            count,
            speed_mps: Vec::new(),
            measured: Vec::new(),
            error_j: Vec::new(),
            telling: 0,
        };
        let [way_m, block_s] = [&drive.way_m, &drive.step_s].map(|it| blocks.observations(it));
        blocks.speed_mps =
            way_m.iter().zip(&block_s).take(count).map(|(way, time)| way / time.max(1.0)).collect();
        blocks.measured = blocks.observations(&drive.energy_j);
        let out_j: f64 = blocks.measured[..count].iter().sum();
        let distance_m: f64 = drive.way_m.iter().sum();
        if distance_m < SHORTEST_M || seconds < SHORTEST_S || out_j < LEAST_J {
            return Err(AuditError::TooShort {
                file: trip.name.clone(),
                distance_m,
                seconds,
                out_j,
            });
        }
        let predicted = blocks.predicted(run);
        let floor_j =
            HEIGHT_ERROR_M * WEIGHT_N * if trip.elevation_m.is_some() { 1.0 } else { 4.0 };
        let largest = |(measured, predicted): (&f64, &f64)| measured.abs().max(predicted.abs());
        let sizes: Vec<f64> = blocks.measured.iter().zip(&predicted).map(largest).collect();
        blocks.error_j =
            sizes.iter().map(|size| libm::hypot(floor_j, ENERGY_ERROR * size)).collect();
        blocks.telling = sizes[..2 * count].iter().filter(|size| **size > LITTLE * floor_j).count();
        let stood_s: f64 =
            drive.step_s.iter().zip(&stands).filter(|(_, stands)| **stands).map(|(s, _)| s).sum();
        // Seconds that hardly stand say nothing.
        blocks.error_j[2 * count] =
            if stood_s < STOOD_S { f64::INFINITY } else { STANDING_ERROR_W * stood_s };
        Ok(blocks)
    }

    /// Error of an observation, J: `size` is that of the moving ones.
    pub(super) fn error(&self, row: usize, size: f64) -> f64 {
        self.error_j[row] * if row < 2 * self.count { size } else { 1.0 }
    }

    /// Observations of the model.
    pub(super) fn predicted(&self, run: &DriveRun) -> Vec<f64> {
        self.observations(&run.energy_j)
    }

    /// Change of the observations, and of the resistance, ohm, for a whole step, from runs at a part of one to either side; where
    /// one of them cannot be, from the other and the run between. `None`: neither can.
    pub(super) fn change(
        &self,
        at: impl Fn(f64) -> Option<DriveRun>,
        middle: &DriveRun,
        step: f64,
    ) -> Option<(Vec<f64>, f64)> {
        let (up, down) = (at(step), at(-step));
        let width = match (&up, &down) {
            (None, None) => return None,
            (Some(_), Some(_)) => 2.0 * step,
            _ => step,
        };
        let (up, down) = (up.as_ref().unwrap_or(middle), down.as_ref().unwrap_or(middle));
        let (high, low) = (self.predicted(up), self.predicted(down));
        let values = high.iter().zip(&low).map(|(high, low)| (high - low) / width).collect();
        Some((values, (up.resistance_ohm() - down.resistance_ohm()) / width))
    }

    /// Change of the observations when all that drives takes `share` more net: spread over the blocks as energy leaves.
    pub(super) fn scaled(&self, run: &DriveRun, share: f64) -> Vec<f64> {
        let driving: Vec<f64> =
            run.energy_j.iter().zip(&run.aside_j).map(|(all, aside)| all - aside).collect();
        let mut moved = self.observations(&driving);
        let net_j: f64 = moved[..2 * self.count].iter().sum();
        moved[self.count..].fill(0.0);
        let out_j: f64 = moved.iter().sum();
        moved.iter_mut().for_each(|value| *value *= share * net_j / out_j.max(1.0));
        moved
    }

    /// Changes of the moving observations, more of them in fast blocks and less in slow ones, the same in all.
    pub(super) fn tilted(&self, changes: &[f64]) -> Vec<f64> {
        let weight: f64 = changes[..self.count].iter().sum();
        let of = |block: usize| self.speed_mps[block % self.count];
        let mean_mps: f64 =
            (0..self.count).map(|block| changes[block] * of(block)).sum::<f64>() / weight;
        let one = |(row, change): (usize, &f64)| match row {
            row if row < 2 * self.count && mean_mps.is_finite() => {
                change * (of(row) - mean_mps) / TILT_MPS
            }
            _ => 0.0,
        };
        changes.iter().enumerate().map(one).collect()
    }

    fn observations(&self, energy_j: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; 2 * self.count + 1];
        for (place, energy) in self.place.iter().zip(energy_j) {
            match place {
                Some(Place::Block(block)) if *energy < 0.0 => all[self.count + block] += energy,
                Some(Place::Block(block)) => all[*block] += energy,
                Some(Place::Standing) => all[2 * self.count] += energy,
                None => {}
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
        observations[self.count..2 * self.count].iter().sum()
    }

    /// The observations of what came back, 0 for all others.
    pub(super) fn only_back(&self, observations: &[f64]) -> Vec<f64> {
        let is_back = |row: usize| (self.count..2 * self.count).contains(&row);
        let one = |(row, value): (usize, &f64)| if is_back(row) { *value } else { 0.0 };
        observations.iter().enumerate().map(one).collect()
    }

    /// Sum of a column of steps over all that was compared.
    pub(super) fn sum(&self, column: &[f64]) -> f64 {
        let compared = self.place.iter().zip(column).filter(|(place, _)| place.is_some());
        compared.map(|(_, value)| value).sum()
    }

    /// Blocks.
    pub(super) fn count(&self) -> usize {
        self.count
    }
}

/// Steps in which the car stands, and stood and will stand for a moment: amperes come late and a hill is held.
fn standing(trip: &Trip) -> Vec<bool> {
    let moves: Vec<f64> = trip
        .time_s
        .iter()
        .zip(&trip.speed_mps)
        .filter(|(_, speed)| **speed >= STANDS_MPS)
        .map(|(time, _)| *time)
        .collect();
    let apart = |time_s: f64| {
        let next = moves.partition_point(|at| *at < time_s);
        let near = |at: Option<&f64>| at.is_some_and(|at| (at - time_s).abs() < AROUND_S);
        !near(moves.get(next)) && !near(next.checked_sub(1).and_then(|before| moves.get(before)))
    };
    let rows: Vec<bool> = trip.time_s.iter().map(|time_s| apart(*time_s)).collect();
    (0..rows.len()).map(|i| i > 0 && rows[i - 1] && rows[i]).collect()
}

/// Parts the moving steps with readings into blocks; what is left at the end belongs to the last.
fn places(drive: &Drive, stands: &[bool]) -> (Vec<Option<Place>>, usize) {
    let moves = |i: &usize| drive.has[*i] && !stands[*i];
    let seconds: f64 = (0..drive.has.len()).filter(moves).map(|i| drive.step_s[i]).sum();
    let length_s = (seconds / BLOCKS).clamp(BLOCK_S.0, BLOCK_S.1);
    let last = whole(seconds / length_s).saturating_sub(1);
    let mut so_far_s = 0.0;
    let one = |i: usize| {
        if !drive.has[i] {
            return None;
        }
        if stands[i] {
            return Some(Place::Standing);
        }
        let block = whole(so_far_s / length_s).min(last);
        so_far_s += drive.step_s[i];
        Some(Place::Block(block))
    };
    ((0..drive.has.len()).map(one).collect(), last + 1)
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred")]
fn whole(value: f64) -> usize {
    value.max(0.0) as usize
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
        let kind = if speed < STANDS_MPS {
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
