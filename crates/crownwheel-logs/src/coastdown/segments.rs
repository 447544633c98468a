//! Stretches of a log in which the car slows.

use crate::log::{Log, Part, Quantity};

/// Speed below which readings are left out, m/s: receivers and bearings have their own laws there.
pub const LOWEST_MPS: f64 = 2.5;

/// Time over which speed is smoothed to find where a stretch begins and ends, s.
const SMOOTHED_OVER_S: f64 = 5.0;

/// Rise of the smoothed speed that ends a stretch, m/s.
const RISE_ENDS_MPS: f64 = 1.2;

/// Fall of speed below which a stretch is not worth a word, m/s.
const NOT_WORTH_A_WORD_MPS: f64 = 2.5;

/// Gap between readings that ends a stretch, s.
const GAP_ENDS_S: f64 = 8.0;

/// A stretch of readings in which speed falls.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// File.
    pub file: String,
    /// Name of the run, as the file has it, or its number among the file's.
    pub run: String,
    /// Whether the file names its runs, by a column or a part for each.
    pub is_named: bool,
    /// Line of the file where it starts.
    pub line: u32,
    /// Direction, as the file has it.
    pub direction: Option<String>,
    /// Fixes of the first and the last reading, degrees; `None` without them.
    pub fixes_deg: Option<[(f64, f64); 2]>,
    /// Times, s, rising; 0 at the first reading of the log.
    pub time_s: Vec<f64>,
    /// Speeds, m/s.
    pub speed_mps: Vec<f64>,
    /// Gradient at those times, rise over run; empty if the log has none.
    pub grade_frac: Vec<f64>,
    /// Height at those times, m; empty if the log has none, NaN where it is missing.
    pub elevation_m: Vec<f64>,
}

impl Stretch {
    /// The same with only some of its readings.
    #[must_use]
    pub fn only(&self, from: usize, to: usize) -> Stretch {
        let cut = |column: &Vec<f64>| column.get(from..to).map(<[f64]>::to_vec).unwrap_or_default();
        Stretch {
            time_s: cut(&self.time_s),
            speed_mps: cut(&self.speed_mps),
            grade_frac: cut(&self.grade_frac),
            elevation_m: cut(&self.elevation_m),
            ..self.clone()
        }
    }
}

/// Every stretch of a log in which speed falls, in order. `None`: the log has no speed.
#[must_use]
pub fn stretches(log: &Log) -> Option<Vec<Stretch>> {
    let speed = log.speed_mps()?;
    let is_named = log.parts.len() > 1 || log.parts.iter().any(|part| part.run.is_some());
    let mut found = Vec::new();
    for (number, part) in log.parts.iter().enumerate() {
        let before = found.len();
        for rows in whole_rows(log, part, speed) {
            let time_s: Vec<f64> = rows.iter().map(|row| log.time_s[*row]).collect();
            let speed_mps: Vec<f64> = rows.iter().map(|row| speed[*row]).collect();
            for (from, to) in falling(&time_s, &speed_mps) {
                found.push(stretch(log, part, &rows[from..to], is_named));
            }
        }
        name(&mut found[before..], part, number);
    }
    if !is_named {
        for (number, stretch) in found.iter_mut().enumerate() {
            stretch.run = (number + 1).to_string();
        }
    }
    Some(found)
}

/// Names the stretches of a part: by its run, with a letter if there are several.
fn name(stretches: &mut [Stretch], part: &Part, number: usize) {
    let several = stretches.len() > 1;
    for (stretch, letter) in stretches.iter_mut().zip('a'..='z') {
        let own = part.run.clone().unwrap_or_else(|| (number + 1).to_string());
        stretch.run = if several { format!("{own}{letter}") } else { own };
    }
}

/// Rows of a part that have a speed, split where readings are far apart.
fn whole_rows(log: &Log, part: &Part, speed: &[f64]) -> Vec<Vec<usize>> {
    let mut pieces: Vec<Vec<usize>> = Vec::new();
    for row in part.rows.clone().filter(|row| speed[*row].is_finite()) {
        match pieces.last_mut().filter(|piece| {
            piece.last().is_some_and(|last| {
                let apart = log.time_s[row] - log.time_s[*last];
                apart > 0.0 && apart <= GAP_ENDS_S
            })
        }) {
            Some(piece) => piece.push(row),
            None => pieces.push(vec![row]),
        }
    }
    pieces
}

fn stretch(log: &Log, part: &Part, rows: &[usize], is_named: bool) -> Stretch {
    let column = |quantity: Quantity| -> Vec<f64> {
        let values = log.column(quantity).unwrap_or(&[]);
        rows.iter().filter_map(|row| values.get(*row).copied()).collect()
    };
    let fix = |row: usize| {
        let (latitude, longitude) = log.fixes_deg()?;
        let fix = (latitude[row], longitude[row]);
        (fix.0.is_finite() && fix.1.is_finite()).then_some(fix)
    };
    let ends = rows.first().zip(rows.last()).and_then(|(a, b)| Some([fix(*a)?, fix(*b)?]));
    Stretch {
        file: log.name.clone(),
        run: String::new(),
        is_named,
        line: rows.first().map_or(0, |row| log.line[*row]),
        direction: part.direction.clone(),
        fixes_deg: ends,
        time_s: rows.iter().map(|row| log.time_s[*row]).collect(),
        speed_mps: column(Quantity::Speed),
        grade_frac: column(Quantity::Grade),
        elevation_m: column(Quantity::Elevation),
    }
}

/// Where speed falls: first and past-last places.
fn falling(time_s: &[f64], speed_mps: &[f64]) -> Vec<(usize, usize)> {
    let smooth = smoothed(time_s, speed_mps);
    let mut found = Vec::new();
    let (mut top, mut bottom) = (0, 0);
    for i in 0..smooth.len() {
        if smooth[i] > smooth[bottom] + RISE_ENDS_MPS {
            keep(&mut found, &smooth, time_s, (top, bottom));
            (top, bottom) = (i, i);
        } else if smooth[i] > smooth[top] {
            (top, bottom) = (i, i);
        } else if smooth[i] < smooth[bottom] {
            bottom = i;
        }
    }
    keep(&mut found, &smooth, time_s, (top, bottom));
    found
}

/// Keeps a fall from `top` to `bottom` that is worth a word.
///
/// Where the car was driven up to speed before, the first seconds after the top are left out: there
/// the clutch comes in. Below the lowest speed nothing is kept.
fn keep(
    found: &mut Vec<(usize, usize)>,
    smooth: &[f64],
    time_s: &[f64],
    (top, bottom): (usize, usize),
) {
    if smooth.is_empty() || smooth[top] - smooth[bottom] < NOT_WORTH_A_WORD_MPS {
        return;
    }
    let start_s = time_s.first().copied().unwrap_or(0.0);
    let began_with_it = time_s[top] - start_s < SMOOTHED_OVER_S;
    let from = if began_with_it {
        0
    } else {
        let after = time_s[top] + 0.5 * SMOOTHED_OVER_S;
        time_s.iter().position(|time| *time >= after).unwrap_or(top)
    };
    let mut to = bottom + 1;
    // The end of a log is smoothed over fewer readings; what belongs to the fall stays.
    if bottom + 1 < smooth.len() && time_s[smooth.len() - 1] - time_s[bottom] < SMOOTHED_OVER_S {
        to = smooth.len();
    }
    let slow = (from..to).find(|i| smooth[*i] < LOWEST_MPS);
    let to = slow.unwrap_or(to);
    if to > from + 1 {
        found.push((from, to));
    }
}

/// Mean of the readings within half of the smoothing time to both sides.
fn smoothed(time_s: &[f64], speed_mps: &[f64]) -> Vec<f64> {
    let half = 0.5 * SMOOTHED_OVER_S;
    let (mut from, mut to, mut sum) = (0, 0, 0.0);
    let mut out = Vec::with_capacity(time_s.len());
    for time in time_s {
        while to < time_s.len() && time_s[to] <= time + half {
            sum += speed_mps[to];
            to += 1;
        }
        while time_s[from] < time - half {
            sum -= speed_mps[from];
            from += 1;
        }
        out.push(sum / crate::least_squares::count(to - from));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::{ReadOptions, read_log_from};

    /// A log of speeds at every second.
    fn log(speeds_kmh: &[f64]) -> Log {
        let rows: Vec<String> =
            speeds_kmh.iter().enumerate().map(|(i, v)| format!("{i},{v}\n")).collect();
        let text = format!("time_s,speed_kmh\n{}", rows.concat());
        read_log_from("runs.csv", text.as_bytes(), &ReadOptions::default()).unwrap()
    }

    fn fall(from: f64, to: f64, seconds: u32) -> impl Iterator<Item = f64> {
        (0..seconds).map(move |i| from + (to - from) * f64::from(i) / f64::from(seconds))
    }

    #[test]
    fn one_fall_is_one_stretch_and_nothing_of_it_is_lost() {
        let speeds: Vec<f64> = fall(100.0, 20.0, 80).collect();
        let found = stretches(&log(&speeds)).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].time_s.len(), found[0].line), (80, 2));
    }

    #[test]
    fn drive_coast_drive_coast_are_two_runs_without_the_driving() {
        let mut speeds: Vec<f64> = fall(0.0, 100.0, 20).collect();
        speeds.extend(fall(100.0, 25.0, 90));
        speeds.extend(fall(25.0, 95.0, 20));
        speeds.extend(fall(95.0, 0.0, 100));
        let found = stretches(&log(&speeds)).unwrap();
        assert_eq!(found.iter().map(|s| s.run.as_str()).collect::<Vec<_>>(), ["1", "2"]);
        for (stretch, top) in found.iter().zip([20.0, 130.0]) {
            assert!(stretch.time_s[0] > top && stretch.time_s[0] < top + 6.0, "{stretch:?}");
        }
        let last = found[1].speed_mps.last().unwrap() * 3.6;
        assert!(last > 8.0 && last < 11.0, "{last}");
    }

    #[test]
    fn a_dip_of_the_road_does_not_end_a_run() {
        let mut speeds: Vec<f64> = fall(100.0, 60.0, 50).collect();
        speeds.extend(fall(60.0, 62.0, 6));
        speeds.extend(fall(62.0, 20.0, 60));
        assert_eq!(stretches(&log(&speeds)).unwrap().len(), 1);
    }

    #[test]
    fn a_log_that_only_speeds_up_has_no_run() {
        let speeds: Vec<f64> = fall(0.0, 100.0, 60).collect();
        assert_eq!(stretches(&log(&speeds)).unwrap(), []);
    }
}
