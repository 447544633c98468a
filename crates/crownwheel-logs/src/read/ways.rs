//! The way by speed against the way by fixes or by a counter: it tells the unit of the speed.

use super::error::LogProblem;
use super::units::SpeedUnit;
use crate::geodesy::Ellipsoid;
use crate::log::{Log, Quantity};
use crate::repairs::RepairKind;
use crate::trip::middle_step_s;

/// How far the two ways may differ for a unit to be recognised.
const SAME_WAY: f64 = 0.08;
/// Difference from which a unit that is stated is doubted.
const DOUBTFUL: f64 = 0.2;
/// Ratio of the two ways from which no unit of speed explains both.
const NOT_BOTH: f64 = 1.5;
/// A speed that is this small a part of the way is none; some receivers write zero.
const NO_SPEED: f64 = 0.02;
/// Way that is needed to recognise a unit, m.
const WAY_NEEDED_M: f64 = 200.0;
/// Shortest time over which both ways are compared, s: noise of fixes adds way to every step.
const SHORTEST_S: f64 = 10.0;
/// Longest step between rows that counts for that, s, and the same in usual steps.
const LONGEST_STEP_S: f64 = 60.0;
/// Usual steps of the same.
const LONGEST_STEPS: f64 = 2.0;
/// Shortest way of a comparison by fixes and by a counter, m; counters show tenths of a kilometre.
const SHORTEST_M: [f64; 2] = [20.0, 400.0];

/// Both ways along a log.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ways {
    by_speed_m: f64,
    by_way_m: f64,
    /// By speed over by way, in the middle of all comparisons.
    ratio: f64,
    way: &'static str,
}

impl Ways {
    /// Compares speed and fixes, else speed and counter. `None`: there is too little of either.
    pub(super) fn of(log: &Log) -> Option<Ways> {
        let earth = Ellipsoid::wgs84();
        let by_fixes = log.fixes_deg().and_then(|(lat, lon)| {
            let way = |i: usize, j: usize| earth.distance_m((lat[i], lon[i]), (lat[j], lon[j]));
            compared(log, way, SHORTEST_M[0], "fixes")
        });
        by_fixes.or_else(|| {
            let counter_m = log.column(Quantity::Distance).filter(|counter| rises(counter))?;
            let way = |i: usize, j: usize| counter_m[j] - counter_m[i];
            compared(log, way, SHORTEST_M[1], "distance")
        })
    }

    /// The unit that makes both ways one, for speeds as they were written.
    pub(super) fn unit(self) -> Option<(SpeedUnit, &'static str)> {
        let fits = |(unit, _): &(SpeedUnit, &str)| (self.ratio * unit.mps() - 1.0).abs() < SAME_WAY;
        SpeedUnit::ALL.into_iter().find(fits)
    }

    /// Where the speed has a unit: whether it is another one, and whether there is any.
    fn doubt(self, stated_mps: f64) -> Result<Option<(SpeedUnit, &'static str)>, LogProblem> {
        if self.ratio < NO_SPEED || (self.ratio - 1.0).abs() < DOUBTFUL {
            return Ok(None);
        }
        let as_written = Ways { ratio: self.ratio / stated_mps, ..self };
        let explained = (1.0 / NOT_BOTH..NOT_BOTH).contains(&self.ratio);
        match as_written.unit() {
            Some(unit) => Ok(Some(unit)),
            None if explained => Ok(None),
            None => Err(LogProblem::SpeedAgainstWay {
                by_speed_m: self.by_speed_m,
                by_way_m: self.by_way_m,
                way: self.way,
            }),
        }
    }
}

/// Takes the speed in the unit that fits the way, if the stated one (metres a second in one of it)
/// does not.
///
/// # Errors
/// [`LogProblem::SpeedAgainstWay`] if none does.
pub(super) fn correct_unit(log: &mut Log, stated_mps: f64) -> Result<(), LogProblem> {
    let Some(ways) = Ways::of(log) else { return Ok(()) };
    let Some((unit, text)) = ways.doubt(stated_mps)? else { return Ok(()) };
    if let Some(column) = &mut log.columns[Quantity::Speed.place()] {
        column.iter_mut().for_each(|value| *value *= unit.mps() / stated_mps);
    }
    log.repairs.add(RepairKind::SpeedUnitCorrected, 1);
    log.notes
        .push(format!("The speed was taken in {text}, which fits the way by its {}.", ways.way));
    Ok(())
}

/// A counter of the way never falls.
fn rises(counter_m: &[f64]) -> bool {
    let known: Vec<f64> = counter_m.iter().copied().filter(|value| !value.is_nan()).collect();
    known.windows(2).all(|pair| pair[1] >= pair[0])
}

/// Compares over stretches of some seconds and some way each.
fn compared(
    log: &Log,
    way: impl Fn(usize, usize) -> f64,
    shortest_m: f64,
    name: &'static str,
) -> Option<Ways> {
    let speed = log.speed_mps()?;
    let mut ways = Ways { by_speed_m: 0.0, by_way_m: 0.0, ratio: f64::NAN, way: name };
    let mut ratios = Vec::new();
    let longest_s = LONGEST_STEP_S.max(LONGEST_STEPS * middle_step_s(&log.time_s));
    for rows in log.parts.iter().map(|part| part.rows.clone()) {
        let (mut from, mut along_m) = (rows.start, 0.0);
        for i in rows.start + 1..rows.end {
            let dt_s = log.time_s[i] - log.time_s[i - 1];
            along_m += 0.5 * (speed[i - 1] + speed[i]) * dt_s;
            let way_m = way(from, i);
            if dt_s > longest_s || along_m.is_nan() || way(from, from).is_nan() {
                (from, along_m) = (i, 0.0);
            } else if log.time_s[i] - log.time_s[from] >= SHORTEST_S && way_m >= shortest_m {
                ratios.push(along_m / way_m);
                ways.by_speed_m += along_m;
                ways.by_way_m += way_m;
                (from, along_m) = (i, 0.0);
            }
        }
    }
    ratios.sort_by(f64::total_cmp);
    ways.ratio = *ratios.get(ratios.len() / 2)?;
    (ways.by_way_m > WAY_NEEDED_M).then_some(ways)
}
