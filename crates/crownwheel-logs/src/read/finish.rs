//! After the last row: what only the whole log can tell.

use super::ReadOptions;
use super::builder::Builder;
use super::error::{LogError, LogProblem};
use super::units::SpeedUnit;
use crate::geodesy::Ellipsoid;
use crate::log::{Log, Quantity};
use crate::repairs::RepairKind;

/// How far the way by speed may differ from the way by fixes for a unit to be recognised.
const SAME_WAY: f64 = 0.08;
/// Way that is needed to recognise a unit, m.
const WAY_NEEDED_M: f64 = 200.0;
/// Longest step between rows that counts for that, s.
const LONGEST_STEP_S: f64 = 10.0;

pub(super) fn finish(mut builder: Builder, options: &ReadOptions) -> Result<Log, LogError> {
    builder.close();
    let rows_seen = builder.rows_seen;
    let unknown = builder.speed_without_unit.take();
    let mut log = builder.log;
    let without = log.repairs.count(RepairKind::WithoutTime);
    let with = u64::try_from(log.len()).unwrap_or(u64::MAX);
    let refuse = |problem: LogProblem| Err(LogError::new(&log.name, 0, problem));
    if !options.as_route && log.column(Quantity::Latitude).is_some() && without > with {
        return refuse(LogProblem::NoTimes { without, with });
    }
    if log.len() < 2 {
        return refuse(LogProblem::NoRows { rows: rows_seen });
    }
    if let Some((heading, line)) = unknown {
        find_speed_unit(&mut log, heading, line)?;
    }
    charge_as_fraction(&mut log);
    leave_out_impossible(&mut log);
    drop_empty_columns(&mut log);
    Ok(log)
}

/// The unit that makes the way by speed as long as the way between the fixes.
fn find_speed_unit(log: &mut Log, heading: String, line: usize) -> Result<(), LogError> {
    let found = ratio_of_ways(log).and_then(|ratio| {
        SpeedUnit::ALL.into_iter().find(|(unit, _)| (ratio * unit.mps() - 1.0).abs() < SAME_WAY)
    });
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

/// Sum of speed times time over the way between fixes, in the unknown unit times s/m.
fn ratio_of_ways(log: &Log) -> Option<f64> {
    let speed = log.speed_mps()?;
    let (lat, lon) = log.fixes_deg()?;
    let earth = Ellipsoid::wgs84();
    let (mut by_speed, mut by_fixes_m) = (0.0, 0.0);
    for rows in log.parts.iter().map(|part| part.rows.clone()) {
        for i in rows.start + 1..rows.end {
            let dt_s = log.time_s[i] - log.time_s[i - 1];
            let way_m = earth.distance_m((lat[i - 1], lon[i - 1]), (lat[i], lon[i]));
            let along = 0.5 * (speed[i - 1] + speed[i]) * dt_s;
            if dt_s > LONGEST_STEP_S || !way_m.is_finite() || !along.is_finite() {
                continue;
            }
            by_speed += along;
            by_fixes_m += way_m;
        }
    }
    (by_fixes_m > WAY_NEEDED_M).then(|| by_speed / by_fixes_m)
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

fn drop_empty_columns(log: &mut Log) {
    for column in &mut log.columns {
        if column.as_ref().is_some_and(|values| values.iter().all(|value| value.is_nan())) {
            *column = None;
        }
    }
}
