//! Volts and amperes of a log against each other and against the speed: columns that were swapped,
//! and amperes that lag.

use super::error::LogProblem;
use crate::log::{Log, Quantity};
use crate::repairs::RepairKind;
use crate::trip::line_at;

/// Share of the readings at each end that is left out of a spread.
const TAIL: f64 = 0.05;
/// A pack's volts keep within this share of their middle.
const VOLTS_WITHIN: f64 = 0.4;
/// Least volts of a pack.
const LEAST_V: f64 = 12.0;
/// Share of volts below zero from which they are something else.
const MOST_BELOW_ZERO: f64 = 0.05;
/// Fewest readings for any verdict.
const FEWEST: usize = 60;

/// Longest lag that is looked for, s.
const LONGEST_LAG_S: i32 = 30;
/// Shortest lag that is put right, s: a shorter one is in the logger's own averaging.
const SHORTEST_LAG_S: i32 = 2;
/// Longest usual step of a log whose lag can be seen, s.
const LONGEST_STEP_S: f64 = 3.0;
/// Shortest and longest time that is looked at, s.
const LOOKED_AT_S: std::ops::Range<f64> = 300.0..20_000.0;
/// Half the time over which acceleration is taken, s.
const HALF_S: f64 = 2.0;
/// Rolling and air of a usual car for each kilogram, m/s² and 1/m (engineer's judgement: 0.013 of its
/// weight, and a drag area of 0.75 m² on 1,150 kg).
const ROLLING_MPS2: f64 = 0.13;
/// See above.
const AIR_PER_M: f64 = 0.0004;
/// Least correlation of the electrical power with that of acceleration, at the best lag.
const LEAST_CORRELATION: f64 = 0.5;
/// How much better than without a lag it must be, and than at any lag that is not near.
const BETTER_BY: f64 = 0.15;
/// Lags this near to the best are the same peak, s.
const SAME_PEAK_S: i32 = 5;

/// Exchanges the columns if it is certain that each holds the other's readings: "amperes" that keep
/// near a pack's volts, and "volts" that do not.
///
/// # Errors
/// [`LogProblem::VoltsBelowZero`] if the volts are none and the amperes are none either.
pub(super) fn unswap(log: &mut Log) -> Result<(), LogProblem> {
    let (volts, amperes) = (Quantity::Voltage.place(), Quantity::Current.place());
    let like = |place: usize| log.columns[place].as_deref().and_then(are_like_volts);
    if like(volts) == Some(false) && like(amperes) == Some(true) {
        log.columns.swap(volts, amperes);
        log.repairs.add(RepairKind::VoltsAmperesSwapped, 1);
    }
    let below = log.columns[volts].as_deref().map_or(0.0, share_below_zero);
    if below > MOST_BELOW_ZERO { Err(LogProblem::VoltsBelowZero) } else { Ok(()) }
}

fn share_below_zero(values: &[f64]) -> f64 {
    let known: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    let below: Vec<f64> = known.iter().copied().filter(|value| *value < 0.0).collect();
    if known.len() < FEWEST { 0.0 } else { count(&below) / count(&known) }
}

/// Whether readings keep near their middle and above zero, as the volts of a pack do. `None`: there
/// are too few.
fn are_like_volts(values: &[f64]) -> Option<bool> {
    let mut known: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    if known.len() < FEWEST {
        return None;
    }
    known.sort_by(f64::total_cmp);
    let tail = known.iter().zip(1_u32..).filter(|(_, n)| f64::from(*n) < TAIL * count(&known));
    let tail = tail.count();
    let (low, middle, high) = (known[tail], known[known.len() / 2], known[known.len() - 1 - tail]);
    Some(low > 0.0 && middle > LEAST_V && high - low < VOLTS_WITHIN * middle)
}

fn count(values: &[f64]) -> f64 {
    f64::from(u32::try_from(values.len()).unwrap_or(u32::MAX))
}

/// Seconds by which the amperes come after the speed, from 2 to 30. `None`: none, or the evidence is
/// weak.
///
/// Electrical power is correlated with speed times acceleration at every lag; the best must be
/// strong, clearly better than no lag, and the only peak.
#[must_use]
pub fn current_lag_s(log: &Log) -> Option<f64> {
    let signals = Signals::of(log)?;
    let at = |lag_s: i32| signals.correlation(&signals.speeding_up, lag_s).abs();
    let all: Vec<(i32, f64)> =
        (-LONGEST_LAG_S..=LONGEST_LAG_S).map(|lag_s| (lag_s, at(lag_s))).collect();
    let (best_s, best) = *all.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let far = |lag_s: i32| (lag_s - best_s).abs() > SAME_PEAK_S || lag_s == 0;
    let others = all.iter().filter(|(lag_s, _)| far(*lag_s)).map(|(_, size)| *size);
    let clear = best >= LEAST_CORRELATION && best - others.fold(0.0, f64::max) >= BETTER_BY;
    let lag_s = signals.refined(best_s);
    (clear && lag_s >= SHORTEST_LAG_S).then(|| f64::from(lag_s))
}

/// Moves amperes that lag to the time of the speed, and the volts with them if they sag with the
/// amperes of their own row.
pub(super) fn move_late_amperes(log: &mut Log) {
    let Some(lag_s) = current_lag_s(log) else { return };
    let together = sag_with_own_row(log, lag_s);
    move_column(log, Quantity::Current, lag_s);
    if together {
        move_column(log, Quantity::Voltage, lag_s);
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "2 to 30 s")]
    log.repairs.add(RepairKind::AmperesLate, lag_s as u64);
    let what = if together { "volts and amperes" } else { "amperes" };
    log.notes.push(format!("The {what} come {lag_s:.0} s after the speed: they were moved."));
}

/// What is correlated, a value a second.
struct Signals {
    /// Electrical power, W.
    electric_w: Vec<f64>,
    /// Speed times acceleration, W for each kilogram.
    speeding_up: Vec<f64>,
    /// The same with what rolling and air take of a usual car.
    driving: Vec<f64>,
}

impl Signals {
    /// Of the longest part of a log that has speed, volts and amperes in fine steps.
    fn of(log: &Log) -> Option<Signals> {
        let rows =
            log.parts.iter().map(|part| part.rows.clone()).max_by_key(ExactSizeIterator::len)?;
        let column = |quantity: Quantity| log.column(quantity).map(|all| &all[rows.clone()]);
        let speed_mps = column(Quantity::Speed)?;
        let (volts, amperes) = (column(Quantity::Voltage)?, column(Quantity::Current)?);
        let power_w: Vec<f64> = volts.iter().zip(amperes).map(|(v, a)| v * a).collect();
        let times = &log.time_s[rows.clone()];
        let (speed, power) = (Line::of(times, speed_mps)?, Line::of(times, &power_w)?);
        let from_s = speed.times[0].max(power.times[0]);
        let lasts_s = (speed.last_s().min(power.last_s()) - from_s).min(LOOKED_AT_S.end);
        if lasts_s < LOOKED_AT_S.start {
            return None;
        }
        let seconds = || (0_u32..).map(f64::from).take_while(|s| *s <= lasts_s).map(|s| from_s + s);
        let square = |at_s: f64| speed.at(at_s).powi(2);
        let speeding_up: Vec<f64> = seconds()
            .map(|at_s| (square(at_s + HALF_S) - square(at_s - HALF_S)) / (4.0 * HALF_S))
            .collect();
        let resisted = |at_s: f64| speed.at(at_s) * (ROLLING_MPS2 + AIR_PER_M * square(at_s));
        let driving = seconds().zip(&speeding_up).map(|(at_s, power)| power + resisted(at_s));
        Some(Signals {
            electric_w: seconds().map(|at_s| power.at(at_s)).collect(),
            driving: driving.collect(),
            speeding_up,
        })
    }

    /// The lag near one that was found by speeding up alone: that comes before the power of keeping a
    /// speed, so that its own best lag is a little long.
    fn refined(&self, lag_s: i32) -> i32 {
        let size = |lag_s: i32| self.correlation(&self.driving, lag_s).abs();
        let near = lag_s - SAME_PEAK_S..=lag_s + SAME_PEAK_S;
        near.max_by(|a, b| size(*a).total_cmp(&size(*b))).unwrap_or(lag_s)
    }

    /// Correlation of the power that many seconds later with a signal now.
    fn correlation(&self, signal: &[f64], lag_s: i32) -> f64 {
        let shift = usize::try_from(lag_s.unsigned_abs()).unwrap_or_default();
        let (power, signal) = if lag_s >= 0 {
            (&self.electric_w[shift..], signal)
        } else {
            (&self.electric_w[..], &signal[shift..])
        };
        correlation(power.iter().copied().zip(signal.iter().copied()))
    }
}

/// Correlation of pairs of numbers; 0 if one does not vary.
fn correlation(pairs: impl Iterator<Item = (f64, f64)> + Clone) -> f64 {
    let known = pairs.filter(|(a, b)| a.is_finite() && b.is_finite());
    let (mut n, mut sums) = (0.0, (0.0, 0.0));
    for (a, b) in known.clone() {
        n += 1.0;
        sums = (sums.0 + a, sums.1 + b);
    }
    let (mean_a, mean_b) = (sums.0 / n, sums.1 / n);
    let (mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0);
    for (a, b) in known {
        let (a, b) = (a - mean_a, b - mean_b);
        (aa, bb, ab) = (aa + a * a, bb + b * b, ab + a * b);
    }
    let size = (aa * bb).sqrt();
    if size > 0.0 { ab / size } else { 0.0 }
}

/// Readings that are there, as a broken line.
struct Line {
    times: Vec<f64>,
    values: Vec<f64>,
}

impl Line {
    /// `None`: there are too few, or too far apart.
    fn of(times: &[f64], values: &[f64]) -> Option<Line> {
        let known = times.iter().zip(values).filter(|(_, value)| value.is_finite());
        let (times, values): (Vec<f64>, Vec<f64>) = known.unzip();
        let span_s = times.last()? - times[0];
        let fine = times.len() >= FEWEST && span_s < LONGEST_STEP_S * count(&times);
        fine.then_some(Line { times, values })
    }

    fn at(&self, at_s: f64) -> f64 {
        line_at(&self.times, &self.values, at_s)
    }

    fn last_s(&self) -> f64 {
        self.times.last().copied().unwrap_or_default()
    }
}

/// Whether the volts follow the amperes of their own row more than those of a lag later.
fn sag_with_own_row(log: &Log, lag_s: f64) -> bool {
    let (Some(volts), Some(amperes)) =
        (log.column(Quantity::Voltage), log.column(Quantity::Current))
    else {
        return false;
    };
    let moved = later(&log.time_s, amperes, lag_s);
    let with =
        |amperes: &[f64]| correlation(volts.iter().copied().zip(amperes.iter().copied())).abs();
    with(amperes) > with(&moved)
}

fn move_column(log: &mut Log, quantity: Quantity, lag_s: f64) {
    for rows in log.parts.iter().map(|part| part.rows.clone()) {
        let times = &log.time_s[rows.clone()];
        if let Some(column) = &mut log.columns[quantity.place()] {
            let moved = later(times, &column[rows.clone()], lag_s);
            column[rows].copy_from_slice(&moved);
        }
    }
}

/// Readings as they are some seconds later; NaN where neighbours are missing or the log has ended.
fn later(times: &[f64], values: &[f64], lag_s: f64) -> Vec<f64> {
    let at = |time_s: &f64| {
        let at_s = time_s + lag_s;
        let after = times.partition_point(|time| *time < at_s);
        match (after.checked_sub(1), times.get(after)) {
            (Some(before), Some(next)) => {
                let share = (at_s - times[before]) / (next - times[before]);
                values[before] + (values[after] - values[before]) * share
            }
            _ => f64::NAN,
        }
    };
    times.iter().map(at).collect()
}
