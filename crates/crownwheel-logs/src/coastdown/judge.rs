//! Which stretches are coasting: braking and driving stand out against what all runs share.
//!
//! Over a few seconds the slope of the speed is far too rough for a fit, but good enough to see a
//! foot on a pedal. A straight line in speed squared is laid through the decelerations of all runs
//! so that single ones pull little at it; a window that lies far off is braking or driving.

use crownwheel::constants::KMH_PER_MPS;
use nalgebra::{DMatrix, DVector};

use super::directions::Way;
use super::segments::Stretch;
use crate::least_squares::{count, linear};

/// Least fall of speed of a run, m/s (20 km/h; engineer's judgement).
pub const LEAST_SPAN_MPS: f64 = 20.0 / KMH_PER_MPS;

/// Least length of a run, s.
pub const LEAST_SECONDS: f64 = 10.0;

/// Least number of readings of a run.
pub const LEAST_READINGS: usize = 8;

/// Length of a window, s, and the readings that it needs.
const WINDOW_S: f64 = 5.0;
const WINDOW_READINGS: usize = 5;

/// Distance from the line, m/s², that a foot on a pedal makes at least: 1.5 % of gradient.
const STANDS_OUT_MPS2: f64 = 0.15;
/// And over the usual scatter of windows.
const STANDS_OUT_SCATTERS: f64 = 4.5;

/// Deceleration, m/s², that no car coasts with: 1.2 times that of a van at 130 km/h.
const SURELY_BRAKING_MPS2: f64 = 1.3;

/// Deceleration, m/s², below which a car on the flat is being driven: a third of what the easiest
/// tyres do.
const NEARLY_STEADY_MPS2: f64 = 0.03;

/// Why a run is refused.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Refusal {
    /// The car was braked.
    Braking(OddWindow),
    /// The car was driven, or pushed.
    Driving(OddWindow),
    /// Speed falls too little.
    ShortSpan {
        /// Speed at the start, m/s.
        from_mps: f64,
        /// Speed at the end, m/s.
        to_mps: f64,
    },
    /// It is over too soon.
    TooShort {
        /// Its length, s.
        seconds: f64,
    },
    /// There are too few readings.
    TooFew {
        /// Readings.
        readings: usize,
    },
    /// Its readings lie much farther off the curve than those of the other runs.
    DoesNotFit {
        /// How far, standard deviation, m/s.
        off_mps: f64,
        /// How far those of the others lie, m/s.
        usual_mps: f64,
    },
    /// There are more runs than are looked at.
    TooMany,
    /// Other runs say their direction, this one does not.
    NoDirection,
    /// It goes in a third direction.
    ThirdDirection,
}

/// A window that stands out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OddWindow {
    /// Time since the start of the run, s.
    pub at_s: f64,
    /// Speed there, m/s.
    pub speed_mps: f64,
    /// Deceleration there, m/s².
    pub slows_mps2: f64,
    /// What coasting does there, m/s².
    pub coasts_mps2: f64,
}

/// A stretch and what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedStretch {
    /// The stretch, trimmed to what coasts.
    pub stretch: Stretch,
    /// Which way it went.
    pub way: Way,
    /// Seconds trimmed from its start and end because they were driven or braked.
    pub trimmed_s: f64,
    /// `None`: it is used.
    pub refusal: Option<Refusal>,
}

/// A few seconds of a stretch.
#[derive(Clone, Copy, Debug)]
struct Window {
    from: usize,
    to: usize,
    speed_mps: f64,
    slows_mps2: f64,
    way: f64,
}

/// Judges every stretch against all of them.
#[must_use]
pub fn judge(stretches: Vec<Stretch>, ways: &[Way]) -> Vec<JudgedStretch> {
    let windows: Vec<Vec<Window>> =
        stretches.iter().zip(ways).map(|(stretch, way)| windows(stretch, way.sign())).collect();
    let line = DecelerationLine::through(&windows.concat());
    let some_known = ways.iter().any(|way| *way != Way::Unknown);
    let one = |((stretch, way), windows): ((Stretch, &Way), &Vec<Window>)| {
        let cut = trimmed(stretch, windows, &line);
        let small = too_small(&cut.stretch);
        let refusal = match way {
            Way::Unknown if some_known => Some(Refusal::NoDirection),
            Way::Third => Some(Refusal::ThirdDirection),
            // What is left beside a pedal is too small because of the pedal.
            _ if small.is_some() => cut.at_end.or(small),
            _ => cut.inside,
        };
        let Cut { stretch, trimmed_s, .. } = cut;
        JudgedStretch { stretch, way: *way, trimmed_s, refusal }
    };
    stretches.into_iter().zip(ways).zip(&windows).map(one).collect()
}

/// Windows that overlap by half, the last one up to the last reading.
fn windows(stretch: &Stretch, way: f64) -> Vec<Window> {
    let (times, speeds) = (&stretch.time_s, &stretch.speed_mps);
    let is_whole = |from: usize, to: usize| {
        to - from >= WINDOW_READINGS && times[to - 1] - times[from] >= 0.8 * WINDOW_S
    };
    let mut found: Vec<Window> = Vec::new();
    let (mut from, mut to) = (0, 1);
    while to <= times.len() {
        if !is_whole(from, to) {
            to += 1;
            continue;
        }
        found.push(window(times, speeds, (from, to), way));
        from += (to - from).div_ceil(2);
    }
    if let Some(last) = (0..times.len()).rev().find(|from| is_whole(*from, times.len()))
        && found.last().is_some_and(|window| window.to < times.len())
    {
        found.push(window(times, speeds, (last, times.len()), way));
    }
    found
}

/// Deceleration of the readings from a place up to another, by a straight line.
fn window(times: &[f64], speeds: &[f64], (from, to): (usize, usize), way: f64) -> Window {
    let n = count(to - from);
    let (mean_s, speed_mps) =
        (times[from..to].iter().sum::<f64>() / n, speeds[from..to].iter().sum::<f64>() / n);
    let (mut along, mut squares) = (0.0, 0.0);
    for (time, speed) in times[from..to].iter().zip(&speeds[from..to]) {
        along += (time - mean_s) * (speed - speed_mps);
        squares += (time - mean_s) * (time - mean_s);
    }
    Window { from, to, speed_mps, slows_mps2: -along / squares, way }
}

/// Deceleration of coasting, as all runs together show it.
struct DecelerationLine {
    /// Constant, by speed squared, by direction, by direction times speed.
    terms: Option<[f64; 4]>,
    stands_out_mps2: f64,
}

impl DecelerationLine {
    /// Laid by weights that fall with the distance: first so that the sum of distances is least,
    /// then so that what lies far off does not count at all.
    fn through(windows: &[Window]) -> DecelerationLine {
        let may_coast = NEARLY_STEADY_MPS2..SURELY_BRAKING_MPS2;
        let usable: Vec<&Window> =
            windows.iter().filter(|w| may_coast.contains(&w.slows_mps2)).collect();
        let none = DecelerationLine { terms: None, stands_out_mps2: f64::INFINITY };
        let both = usable.iter().any(|w| w.way > 0.0) && usable.iter().any(|w| w.way < 0.0);
        let columns = if both { 4 } else { 2 };
        if usable.len() < 2 * columns {
            return none;
        }
        let mut weights = vec![1.0; usable.len()];
        let mut line = none;
        for round in 0..60 {
            let Some(terms) = weighted(&usable, &weights, columns) else { return line };
            let off: Vec<f64> =
                usable.iter().map(|w| (w.slows_mps2 - value(&terms, w)).abs()).collect();
            // Of a normal scatter half lies within 0.6745 standard deviations.
            let scatter = (median(&off) / 0.6745).max(1e-4);
            let stands_out_mps2 = STANDS_OUT_MPS2.max(STANDS_OUT_SCATTERS * scatter);
            line = DecelerationLine { terms: Some(terms), stands_out_mps2 };
            for (weight, off) in weights.iter_mut().zip(&off) {
                let share = off / (6.0 * scatter);
                *weight = if round < 30 {
                    1.0 / off.max(0.1 * scatter)
                } else {
                    (1.0 - share * share).max(0.0).powi(2)
                };
            }
        }
        line
    }

    /// What lies far off: how far, above 0 slower than coasting. `None`: it coasts, or there is
    /// nothing to compare with.
    fn stands_out(&self, window: &Window) -> Option<(f64, f64)> {
        let Some(terms) = &self.terms else {
            let brakes = window.slows_mps2 > SURELY_BRAKING_MPS2;
            return brakes.then_some((window.slows_mps2, 0.0));
        };
        let coasts_mps2 = value(terms, window);
        let off = window.slows_mps2 - coasts_mps2;
        (off.abs() > self.stands_out_mps2).then_some((off, coasts_mps2))
    }
}

fn row(window: &Window) -> [f64; 4] {
    let v = window.speed_mps;
    [1.0, v * v, window.way, window.way * v]
}

fn value(terms: &[f64; 4], window: &Window) -> f64 {
    row(window).iter().zip(terms).map(|(a, b)| a * b).sum()
}

fn weighted(windows: &[&Window], weights: &[f64], columns: usize) -> Option<[f64; 4]> {
    let model =
        DMatrix::from_fn(windows.len(), columns, |i, k| weights[i].sqrt() * row(windows[i])[k]);
    let slows = windows.iter().zip(weights).map(|(w, weight)| weight.sqrt() * w.slows_mps2);
    let fit = linear(&model, &DVector::from_iterator(windows.len(), slows)).ok()?;
    let mut terms = [0.0; 4];
    for (term, parameter) in terms.iter_mut().zip(&fit.parameters) {
        *term = *parameter;
    }
    Some(terms)
}

pub(super) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

/// A stretch without driven or braked ends.
struct Cut {
    stretch: Stretch,
    trimmed_s: f64,
    /// A pedal that was cut off.
    at_end: Option<Refusal>,
    /// A pedal that is left.
    inside: Option<Refusal>,
}

fn trimmed(stretch: Stretch, windows: &[Window], line: &DecelerationLine) -> Cut {
    let out: Vec<Option<(f64, f64)>> = windows.iter().map(|w| line.stands_out(w)).collect();
    let leading = out.iter().take_while(|o| o.is_some()).count();
    let trailing = out.iter().rev().take_while(|o| o.is_some()).count();
    // The window after the one that overlaps a pedal is the first without any of it.
    let first = if leading > 0 { leading + 1 } else { 0 };
    let last = windows.len().saturating_sub(if trailing > 0 { trailing + 1 } else { 0 });
    // The place that is told is the one that stands out most.
    let pedal = |range: std::ops::Range<usize>| {
        let found = range.filter_map(|i| Some((&windows[i], out[i]?)));
        let worst = found.max_by(|(_, a), (_, b)| a.0.abs().total_cmp(&b.0.abs()));
        worst.map(|(window, off)| refusal(&stretch, window, off))
    };
    let any = pedal(0..windows.len());
    if last <= first {
        return Cut { stretch, trimmed_s: 0.0, at_end: any, inside: any };
    }
    let inside = pedal(first..last);
    if leading + trailing == 0 {
        return Cut { stretch, trimmed_s: 0.0, at_end: None, inside };
    }
    let from = if leading > 0 { windows[first].from } else { 0 };
    let to = if trailing > 0 { windows[last - 1].to } else { stretch.time_s.len() };
    let length = |s: &Stretch| s.time_s.last().unwrap_or(&0.0) - s.time_s.first().unwrap_or(&0.0);
    let kept = stretch.only(from, to);
    Cut { trimmed_s: length(&stretch) - length(&kept), stretch: kept, at_end: any, inside }
}

fn refusal(stretch: &Stretch, window: &Window, (off, coasts_mps2): (f64, f64)) -> Refusal {
    let place = OddWindow {
        at_s: stretch.time_s[window.from] - stretch.time_s[0],
        speed_mps: window.speed_mps,
        slows_mps2: window.slows_mps2,
        coasts_mps2,
    };
    if off > 0.0 { Refusal::Braking(place) } else { Refusal::Driving(place) }
}

fn too_small(stretch: &Stretch) -> Option<Refusal> {
    let readings = stretch.time_s.len();
    let seconds = stretch.time_s.last()? - stretch.time_s.first()?;
    let (from_mps, to_mps) = ends_mps(stretch);
    if readings < LEAST_READINGS {
        Some(Refusal::TooFew { readings })
    } else if seconds < LEAST_SECONDS {
        Some(Refusal::TooShort { seconds })
    } else if from_mps - to_mps < LEAST_SPAN_MPS {
        Some(Refusal::ShortSpan { from_mps, to_mps })
    } else {
        None
    }
}

/// Speeds at the start and the end, m/s, each the mean of three readings.
#[must_use]
pub fn ends_mps(stretch: &Stretch) -> (f64, f64) {
    let speeds = &stretch.speed_mps;
    let few = speeds.len().clamp(1, 3);
    let mean = |part: &[f64]| part.iter().sum::<f64>() / count(part.len().max(1));
    (mean(&speeds[..few.min(speeds.len())]), mean(&speeds[speeds.len().saturating_sub(few)..]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A run at every second: slows by 0.12 + 0.0005 v², and what a pedal adds.
    fn run(pedal_mps2: impl Fn(f64, f64) -> f64) -> Stretch {
        let (mut v, mut t) = (30.0_f64, 0.0_f64);
        let (mut time_s, mut speed_mps) = (Vec::new(), Vec::new());
        while v > 6.0 && t < 300.0 {
            time_s.push(t);
            // A little unevenness that no line takes away.
            speed_mps.push(v + 0.05 * libm::sin(1.7 * t));
            v -= 0.12 + 0.0005 * v * v + pedal_mps2(t, v);
            t += 1.0;
        }
        Stretch {
            file: "a.csv".to_owned(),
            run: "1".to_owned(),
            is_named: true,
            line: 2,
            direction: None,
            fixes_deg: None,
            time_s,
            speed_mps,
            grade_frac: Vec::new(),
            elevation_m: Vec::new(),
        }
    }

    fn judged(runs: Vec<Stretch>) -> Vec<JudgedStretch> {
        let ways = vec![Way::Unknown; runs.len()];
        judge(runs, &ways)
    }

    #[test]
    fn clean_runs_are_used_whole() {
        let whole = run(|_, _| 0.0);
        for judged in judged(vec![whole.clone(), whole.clone(), whole.clone()]) {
            assert_eq!((judged.refusal, judged.stretch.time_s.len()), (None, whole.time_s.len()));
        }
    }

    #[test]
    fn a_dab_of_the_brake_is_refused_with_its_place() {
        let clean = || run(|_, _| 0.0);
        let braked = run(|t, _| if (30.0..34.0).contains(&t) { 0.8 } else { 0.0 });
        let judged = judged(vec![clean(), braked, clean()]);
        assert_eq!((judged[0].refusal, judged[2].refusal), (None, None));
        let Some(Refusal::Braking(place)) = judged[1].refusal else {
            panic!("{:?}", judged[1].refusal)
        };
        assert!((25.0..35.0).contains(&place.at_s) && place.slows_mps2 > place.coasts_mps2 + 0.3);
    }

    #[test]
    fn a_dab_of_the_throttle_is_refused_too() {
        let driven = run(|t, _| if (30.0..36.0).contains(&t) { -0.6 } else { 0.0 });
        let judged = judged(vec![run(|_, _| 0.0), driven]);
        assert!(matches!(judged[1].refusal, Some(Refusal::Driving(_))), "{:?}", judged[1].refusal);
    }

    #[test]
    fn braking_at_the_end_and_driving_at_the_start_are_trimmed() {
        let ends = run(|t, v| {
            if v < 12.0 {
                0.9
            } else if t < 8.0 {
                -0.5
            } else {
                0.0
            }
        });
        let judged = judged(vec![run(|_, _| 0.0), ends, run(|_, _| 0.0)]);
        assert_eq!(judged[1].refusal, None);
        assert!(judged[1].trimmed_s > 10.0, "{}", judged[1].trimmed_s);
        let (first, last) = (judged[1].stretch.time_s[0], judged[1].stretch.speed_mps.last());
        assert!(first >= 8.0 && *last.unwrap() > 11.0, "{first} {last:?}");
    }

    #[test]
    fn a_second_of_braking_at_the_very_end_is_trimmed() {
        let whole = run(|_, _| 0.0);
        let mut ends = whole.clone();
        let n = ends.time_s.len();
        for (i, speed) in ends.speed_mps[n - 2..].iter_mut().enumerate() {
            *speed -= 2.2 * (count(i) + 1.0);
        }
        let judged = judged(vec![whole.clone(), ends, whole]);
        assert_eq!(judged[1].refusal, None);
        let kept = judged[1].stretch.time_s.len();
        assert!(kept <= n - 2 && kept > n - 15, "{kept} of {n}");
    }

    #[test]
    fn a_run_that_brakes_all_the_way_is_refused() {
        let judged = judged(vec![run(|_, _| 0.0), run(|_, _| 0.0), run(|_, _| 2.0)]);
        assert!(matches!(judged[2].refusal, Some(Refusal::Braking(_))), "{:?}", judged[2].refusal);
    }

    #[test]
    fn small_runs_are_refused_by_what_they_lack() {
        let whole = run(|_, _| 0.0);
        let refusal = |from, to| judged(vec![whole.only(from, to)])[0].refusal;
        assert_eq!(refusal(0, 6), Some(Refusal::TooFew { readings: 6 }));
        assert_eq!(refusal(0, 10), Some(Refusal::TooShort { seconds: 9.0 }));
        assert!(matches!(refusal(40, 60), Some(Refusal::ShortSpan { .. })));
    }

    #[test]
    fn a_run_without_the_direction_that_others_have_is_refused() {
        let runs = vec![run(|_, _| 0.0), run(|_, _| 0.0), run(|_, _| 0.0)];
        let judged = judge(runs, &[Way::First, Way::Unknown, Way::Third]);
        let reasons: Vec<_> = judged.iter().map(|j| j.refusal).collect();
        assert_eq!(reasons, [None, Some(Refusal::NoDirection), Some(Refusal::ThirdDirection)]);
    }
}
