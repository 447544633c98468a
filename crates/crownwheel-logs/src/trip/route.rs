//! A log without times: a route, driven at a speed that is given.

use crownwheel::constants::KMH_PER_MPS;

use super::error::TripError;
use super::profile::{self, Profile};
use super::{Trip, stem};
use crate::geodesy::Ellipsoid;
use crate::log::{Log, Quantity};
use crate::repairs::RepairKind;

/// Speeds that a route may be driven at, m/s (5 to 250 km/h).
const SPEEDS_MPS: std::ops::RangeInclusive<f64> = 5.0 / 3.6..=250.0 / KMH_PER_MPS;
/// Starting and stopping, m/s².
const START_MPS2: f64 = 1.0;
/// Shortest distance between rows, m.
const ROW_M: f64 = 10.0;
/// Most rows; on a longer way they are further apart.
const MOST_ROWS: f64 = 1e5;

/// Makes a trip of a route: from rest, at one speed, to rest.
///
/// # Errors
/// [`TripError`] if there are no fixes, no way, or the speed is none for a car.
pub fn route(log: &Log, speed_mps: f64) -> Result<Trip, TripError> {
    if !SPEEDS_MPS.contains(&speed_mps) {
        return Err(TripError::SpeedOutOfRange { speed_mps });
    }
    let Some((lat, lon)) = log.fixes_deg() else {
        return Err(TripError::NoFixes { file: log.name.clone() });
    };
    let mut repairs = log.repairs.clone();
    let earth = Ellipsoid::wgs84();
    let mut way_m = vec![0.0];
    let mut rows = Vec::new();
    let mut last: Option<(f64, f64)> = None;
    for i in 0..log.len() {
        let fix = (lat[i], lon[i]);
        if fix.0.is_nan() || fix.1.is_nan() {
            continue;
        }
        if let (Some(from), Some(before)) = (last, way_m.last().copied()) {
            way_m.push(before + earth.distance_m(from, fix));
        }
        rows.push(i);
        last = Some(fix);
    }
    let length_m = way_m.last().copied().unwrap_or_default();
    if length_m < super::SHORTEST_TRIP_M {
        return Err(TripError::TooShort { file: log.name.clone(), distance_m: length_m });
    }
    let height_m = log
        .column(Quantity::Elevation)
        .map(|all| rows.iter().map(|row| all[*row]).collect::<Vec<f64>>());
    let profile = Profile::of(&way_m, height_m.as_deref(), &mut repairs);
    let distance_m = places(length_m, speed_mps);
    let speeds = distance_m.iter().map(|way| speed_at(*way, length_m, speed_mps));
    let speed_mps_column: Vec<f64> = speeds.collect();
    let mut notes = log.notes.clone();
    notes.push(format!(
        "The log has no times that were used: it is a route, driven at {:.0} km/h from rest to rest, as asked for.",
        speed_mps * KMH_PER_MPS
    ));
    repairs.add(RepairKind::Gaps, u64::try_from(log.parts.len() - 1).unwrap_or(u64::MAX));
    Ok(Trip {
        name: stem(&log.name),
        time_s: times(&distance_m, &speed_mps_column),
        speed_mps: speed_mps_column,
        elevation_m: profile
            .as_ref()
            .map(|profile| distance_m.iter().map(|way| profile.at(*way)).collect()),
        distance_m,
        climb_raw_m: height_m.as_deref().map(profile::climb_m).filter(|_| profile.is_some()),
        climb_m: profile.as_ref().map(Profile::climb_m),
        repairs,
        notes,
        noise_mps: 0.0,
        is_route: true,
        track: None,
    })
}

/// Speed on the way, m/s: the square of speed is a straight line while starting and stopping.
fn speed_at(way_m: f64, length_m: f64, speed_mps: f64) -> f64 {
    let near_m = way_m.min(length_m - way_m).max(0.0);
    (2.0 * START_MPS2 * near_m).sqrt().min(speed_mps)
}

/// Even distances, and the ends of starting and of stopping.
fn places(length_m: f64, speed_mps: f64) -> Vec<f64> {
    let change_m = (0.5 * speed_mps * speed_mps / START_MPS2).min(0.5 * length_m);
    let mut all = vec![0.0, change_m, length_m - change_m, length_m];
    let spacing_m = ROW_M.max(length_m / MOST_ROWS);
    let mut way_m = spacing_m;
    while way_m < length_m {
        all.push(way_m);
        way_m += spacing_m;
    }
    all.sort_by(f64::total_cmp);
    all.dedup_by(|next, before| *next - *before < 0.1);
    if let Some(last) = all.last_mut() {
        *last = length_m;
    }
    all
}

/// Times along the way: with `v²` straight in distance, `dt = 2 ds / (v1 + v2)`.
fn times(distance_m: &[f64], speed_mps: &[f64]) -> Vec<f64> {
    let mut time_s = vec![0.0];
    let mut sum_s = 0.0;
    for i in 1..distance_m.len() {
        sum_s += 2.0 * (distance_m[i] - distance_m[i - 1]) / (speed_mps[i - 1] + speed_mps[i]);
        time_s.push(sum_s);
    }
    time_s
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_route_takes_the_time_that_its_speed_says() {
        let (length_m, speed_mps) = (10_000.0, 20.0);
        let distance_m = places(length_m, speed_mps);
        let speeds: Vec<f64> =
            distance_m.iter().map(|way| speed_at(*way, length_m, speed_mps)).collect();
        let time_s = times(&distance_m, &speeds);
        // 20 s up, 20 s down over 200 m each, 9,600 m at 20 m/s.
        assert!((time_s.last().unwrap() - 520.0).abs() < 1e-6);
        assert!(distance_m.windows(2).all(|pair| pair[0] < pair[1]));
    }
}
