//! After the last row: what only the whole log can tell.

use super::ReadOptions;
use super::builder::Builder;
use super::electric;
use super::error::{LogError, LogProblem};
use super::ways::{self, Ways};
use crate::log::{Log, Quantity};
use crate::repairs::RepairKind;

/// A height of zero is none if a height beside it differs by this much, m, and by this much of the
/// way between.
const ZERO_OFF_M: f64 = 3.0;
/// Gradient of the same.
const ZERO_OFF_GRADE: f64 = 0.15;

pub(super) fn finish(mut builder: Builder, options: &ReadOptions) -> Result<Log, LogError> {
    builder.close();
    let rows_seen = builder.rows_seen;
    let unknown = builder.speed_without_unit.take();
    let stated_mps = builder.speed_unit_mps;
    let mut log = builder.log;
    let name = log.name.clone();
    let without = log.repairs.count(RepairKind::WithoutTime);
    let with = u64::try_from(log.len()).unwrap_or(u64::MAX);
    let refuse = |problem: LogProblem| Err(LogError::new(&log.name, 0, problem));
    if !options.as_route && log.column(Quantity::Latitude).is_some() && without > with {
        return refuse(LogProblem::NoTimes { without, with });
    }
    if log.len() < 2 {
        return refuse(LogProblem::NoRows { rows: rows_seen });
    }
    match unknown {
        Some((heading, line)) => find_speed_unit(&mut log, heading, line)?,
        None if options.speed_unit.is_some() || options.as_route => {}
        None => ways::correct_unit(&mut log, stated_mps)
            .map_err(|problem| LogError::new(&name, 0, problem))?,
    }
    charge_as_fraction(&mut log);
    electric::unswap(&mut log).map_err(|problem| LogError::new(&name, 0, problem))?;
    leave_out_impossible(&mut log);
    leave_out_zero_heights(&mut log);
    electric::move_late_amperes(&mut log);
    drop_empty_columns(&mut log);
    Ok(log)
}

/// The unit that makes the way by speed as long as the way between the fixes.
fn find_speed_unit(log: &mut Log, heading: String, line: usize) -> Result<(), LogError> {
    let found = Ways::of(log).and_then(Ways::unit);
    let Some((unit, text)) = found else {
        return Err(LogError::new(
            &log.name,
            line,
            LogProblem::NoUnit {
                heading,
                what: "speed",
                example: "speed_kmh, speed_mps, speed_mph or speed_kn",
                option: "--speed-unit km/h",
            },
        ));
    };
    if let Some(column) = &mut log.columns[Quantity::Speed.place()] {
        column.iter_mut().for_each(|value| *value *= unit.mps());
    }
    log.repairs.add(RepairKind::SpeedUnitFound, 1);
    log.notes.push(format!(
        "`{heading}` does not say its unit; the distance between the fixes fits {text}."
    ));
    Ok(())
}

/// A charge without a unit is in per cent if it is ever above one.
fn charge_as_fraction(log: &mut Log) {
    let Some(charge) = &mut log.columns[Quantity::Charge.place()] else { return };
    if charge.iter().any(|value| *value > 1.5) {
        charge.iter_mut().for_each(|value| *value *= 0.01);
    }
}

fn leave_out_impossible(log: &mut Log) {
    let mut count = 0;
    for quantity in Quantity::ALL {
        let allowed = match quantity {
            // A little below zero is noise; -1 is how receivers say that they do not know.
            Quantity::Speed => -0.5..=150.0,
            Quantity::Latitude => -90.0..=90.0,
            Quantity::Longitude => -180.0..=360.0,
            Quantity::Elevation => -500.0..=9000.0,
            Quantity::Grade => -1.0..=1.0,
            Quantity::Voltage => 0.0..=1500.0,
            Quantity::Current => -5000.0..=5000.0,
            Quantity::Charge => -0.05..=1.05,
            Quantity::Temperature => 200.0..=340.0,
            Quantity::Heater | Quantity::AirConditioning => -100.0..=30e3,
            Quantity::Distance => 0.0..=1e10,
        };
        let Some(column) = &mut log.columns[quantity.place()] else { continue };
        for value in column.iter_mut().filter(|value| !value.is_nan()) {
            if !allowed.contains(value) {
                *value = f64::NAN;
                count += 1;
            }
        }
    }
    log.repairs.add(RepairKind::ImpossibleValues, count);
}

/// Receivers write a height of zero until they know theirs.
fn leave_out_zero_heights(log: &mut Log) {
    let Some(height_m) = log.column(Quantity::Elevation) else { return };
    let zeros: Vec<usize> = (0..height_m.len()).filter(|i| height_m[*i] == 0.0).collect();
    let mut wrong: Vec<usize> = Vec::new();
    for run in zeros.chunk_by(|i, next| i + 1 == *next) {
        let (first, last) = (run[0], run[run.len() - 1]);
        let before = first.checked_sub(1).map(|beside| is_far_above(log, first, beside));
        let after = (last + 1 < log.len()).then(|| is_far_above(log, last, last + 1));
        let sides = [before, after];
        if sides.contains(&Some(true)) && !sides.contains(&Some(false)) {
            wrong.extend(run);
        }
    }
    if let Some(height_m) = &mut log.columns[Quantity::Elevation.place()] {
        wrong.iter().for_each(|i| height_m[*i] = f64::NAN);
    }
    log.repairs.add(RepairKind::ZeroHeights, u64::try_from(wrong.len()).unwrap_or(u64::MAX));
}

/// Whether the row beside a height of zero is further from it than a road can be.
fn is_far_above(log: &Log, zero: usize, beside: usize) -> bool {
    let height_m = log.column(Quantity::Elevation).map_or(f64::NAN, |all| all[beside].abs());
    let fastest_mps = log.speed_mps().map_or(0.0, |all| all[zero].max(all[beside]).max(0.0));
    let way_m = fastest_mps * (log.time_s[beside] - log.time_s[zero]).abs();
    // A height that is missing says nothing against it.
    height_m.is_nan() || height_m > ZERO_OFF_M + ZERO_OFF_GRADE * way_m
}

fn drop_empty_columns(log: &mut Log) {
    for column in &mut log.columns {
        if column.as_ref().is_some_and(|values| values.iter().all(|value| value.is_nan())) {
            *column = None;
        }
    }
}
