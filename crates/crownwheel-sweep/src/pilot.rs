//! Ranges in many worlds from few that were driven to the end.
//!
//! The worlds of one option differ little. A few of them, the pilots, are driven to the end; every world is driven for
//! its first repeats over the cycle in longer legs, and the rest is estimated. How far the estimated range lies from
//! the driven one is nearly the same in all worlds: a straight line through the pilots takes it off. If the pilots
//! scatter about their line by more than [`MOST_SCATTER`], the cycle itself and more repeats are driven, and at last
//! every world to the end. So it is, too, where a pilot falls behind or does not end empty.

use crownwheel::cycle::Cycle;
use crownwheel::range::{
    Fidelity, MISSED_ALLOWED_FRAC, Prepared, RangeEnd, ShortRange, short_ranges,
};

/// Worlds that are driven to the end. Three batches.
pub const PILOTS: usize = 24;

/// Most that pilots may scatter about their line, relative standard deviation: it widens a band of
/// ± 6 % by less than a hundredth of itself.
pub const MOST_SCATTER: f64 = 0.005;

/// Share of the way that pilots may miss where the other worlds are taken to keep up: a fifth of what counts as keeping
/// up.
const MISSED_BY_PILOTS: f64 = 0.2 * MISSED_ALLOWED_FRAC;

/// Longest leg of the coarser cycle, s.
const LONGEST_LEG_S: f64 = 4.0;

/// What is tried, the quickest first.
const TRIED: [(Fidelity, Legs); 3] = [
    (Fidelity::First(1), Legs::Longer),
    (Fidelity::First(1), Legs::Own),
    (Fidelity::First(2), Legs::Own),
];

/// A cycle, and the same in longer legs.
#[derive(Clone, Debug)]
pub struct TwoWays {
    own: Cycle,
    longer: Cycle,
}

/// Which of the two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Legs {
    /// The cycle itself.
    Own,
    /// In longer legs.
    Longer,
}

impl TwoWays {
    /// Lays the longer legs.
    #[must_use]
    pub fn new(cycle: &Cycle) -> TwoWays {
        TwoWays { own: cycle.clone(), longer: cycle.coarser(LONGEST_LEG_S) }
    }

    /// The cycle itself.
    #[must_use]
    pub fn own(&self) -> &Cycle {
        &self.own
    }

    fn get(&self, legs: Legs) -> &Cycle {
        match legs {
            Legs::Own => &self.own,
            Legs::Longer => &self.longer,
        }
    }
}

/// How the ranges of an option's worlds are found on one cycle and day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// A part driven, and corrected.
    Corrected {
        /// What is driven.
        part: Fidelity,
        /// Over which cycle.
        legs: Legs,
        /// Of distance.
        distance: Line,
        /// Of use per distance.
        use_per_m: Line,
    },
    /// Every world is driven.
    Driven,
}

/// A factor that is a straight line in the relative deviation of the estimated distance from `centre`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    centre_m: f64,
    at_centre: f64,
    slope: f64,
    /// Relative standard deviation of the pilots about the line.
    scatter: f64,
}

impl Line {
    /// The least-squares line through factors `driven / estimated` against estimated distance.
    fn through(estimated_m: &[f64], factors: &[f64]) -> Line {
        let count = f64::from(u32::try_from(factors.len()).unwrap_or(u32::MAX));
        let mean = |values: &[f64]| values.iter().sum::<f64>() / count;
        let (centre_m, at_centre) = (mean(estimated_m), mean(factors));
        let x = |distance_m: f64| distance_m / centre_m - 1.0;
        let pairs = || estimated_m.iter().zip(factors);
        let xx: f64 = pairs().map(|(m, _)| x(*m).powi(2)).sum();
        let xy: f64 = pairs().map(|(m, factor)| x(*m) * (factor - at_centre)).sum();
        // Worlds that hardly differ have no slope.
        let slope = if xx > 1e-12 { xy / xx } else { 0.0 };
        let line = Line { centre_m, at_centre, slope, scatter: 0.0 };
        let rest: f64 = pairs().map(|(m, factor)| (factor - line.at(*m)).powi(2)).sum();
        Line { scatter: (rest / (count - 2.0).max(1.0)).sqrt() / at_centre, ..line }
    }

    fn at(&self, estimated_m: f64) -> f64 {
        self.at_centre + self.slope * (estimated_m / self.centre_m - 1.0)
    }
}

impl Way {
    /// The way that the pilots show, and their ranges as they were driven.
    #[must_use]
    pub fn of(pilots: &[Prepared<'_>], cycle: &TwoWays) -> (Way, Vec<ShortRange>) {
        let driven = short_ranges(pilots, cycle.own(), Fidelity::Every);
        let usual = |range: &ShortRange| {
            range.end == RangeEnd::Empty && range.missed.whole_frac <= MISSED_BY_PILOTS
        };
        if pilots.len() < PILOTS || !driven.iter().all(usual) {
            return (Way::Driven, driven);
        }
        for (part, legs) in TRIED {
            // Longer legs ask less: a car that falls behind must be seen to.
            if legs == Legs::Longer && driven.iter().any(|range| range.shortfall_s > 0.0) {
                continue;
            }
            let estimated = short_ranges(pilots, cycle.get(legs), part);
            let distances: Vec<f64> = estimated.iter().map(|range| range.distance_m).collect();
            let factors = |of: &dyn Fn(&ShortRange) -> f64| -> Vec<f64> {
                driven
                    .iter()
                    .zip(&estimated)
                    .map(|(driven, first)| of(driven) / of(first))
                    .collect()
            };
            let distance = Line::through(&distances, &factors(&|range| range.distance_m));
            let use_per_m =
                Line::through(&distances, &factors(&|range| range.use_j / range.distance_m));
            if distance.scatter <= MOST_SCATTER && use_per_m.scatter <= MOST_SCATTER {
                return (Way::Corrected { part, legs, distance, use_per_m }, driven);
            }
        }
        (Way::Driven, driven)
    }

    /// Ranges of other worlds of the same option.
    #[must_use]
    pub fn ranges(&self, worlds: &[Prepared<'_>], cycle: &TwoWays) -> Vec<ShortRange> {
        let (part, legs, distance, use_per_m) = match self {
            Way::Driven => return short_ranges(worlds, cycle.own(), Fidelity::Every),
            Way::Corrected { part, legs, distance, use_per_m } => (part, legs, distance, use_per_m),
        };
        let mut ranges = short_ranges(worlds, cycle.get(*legs), *part);
        for range in &mut ranges {
            let estimated_m = range.distance_m;
            let factor = distance.at(estimated_m);
            range.use_j *= factor * use_per_m.at(estimated_m);
            range.distance_m *= factor;
            range.distance_with_reserve_m *= factor;
            range.driven_keeps_up_m = range.distance_m;
        }
        ranges
    }

    /// Relative standard deviation of what correcting leaves.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        match self {
            Way::Corrected { distance, .. } => distance.scatter,
            Way::Driven => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_takes_off_what_is_a_line() {
        let estimated_m: Vec<f64> = (0..24).map(|i| 100_000.0 + 800.0 * f64::from(i)).collect();
        let factors: Vec<f64> = estimated_m.iter().map(|m| 0.98 + 1e-7 * m).collect();
        let line = Line::through(&estimated_m, &factors);
        assert!(line.scatter < 1e-12, "{line:?}");
        assert!((line.at(123_456.0) - (0.98 + 0.012_345_6)).abs() < 1e-12);
    }
}
