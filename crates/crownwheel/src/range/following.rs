//! How far a car keeps up with what a cycle asks.

/// Share of the whole range that a car may have missed and still count as keeping up.
pub const MISSED_ALLOWED_FRAC: f64 = 0.005;

/// Distance that a car gains for each metre that it misses, by driving slower: taken off what it keeps up, so that a
/// weaker car never keeps up farther. In drawn cars (`smooth.rs` in the tests of the whole program) few gain more.
const SAVED_PER_MISSED: f64 = 7.0;

/// What was missed of the way that was asked for, as shares of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Shortfall {
    /// On the first repeat, from full.
    pub when_full_frac: f64,
    /// Over the whole range.
    pub whole_frac: f64,
}

/// Distance and missed distance at a place of a run, m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct RepeatEnd {
    pub(super) distance_m: f64,
    pub(super) missed_m: f64,
}

impl RepeatEnd {
    fn missed_frac(self) -> f64 {
        let asked_m = self.distance_m + self.missed_m;
        if asked_m > 0.0 { self.missed_m / asked_m } else { 0.0 }
    }
}

/// The ends of the whole repeats of a run, and how far it fell behind up to each.
///
/// Missed is asked less driven, without slack, summed from full; between the ends of repeats it is a
/// straight line, and the last part-repeat goes on at the rate of the whole one before it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct KeepUp {
    /// The start and the ends of whole repeats.
    ends: Vec<RepeatEnd>,
}

impl KeepUp {
    pub(super) fn new() -> KeepUp {
        KeepUp { ends: vec![RepeatEnd::default()] }
    }

    /// A whole repeat has ended. What is missed never falls: a car that ends a repeat faster than the next
    /// one begins gains nothing by that.
    pub(super) fn push(&mut self, end: RepeatEnd) {
        let missed_m = end.missed_m.max(self.last().missed_m);
        self.ends.push(RepeatEnd { missed_m, ..end });
    }

    pub(super) fn last(&self) -> RepeatEnd {
        self.ends.last().copied().unwrap_or_default()
    }

    /// The last whole repeat. `None`: there was none.
    fn last_repeat(&self) -> Option<(RepeatEnd, RepeatEnd)> {
        match self.ends.as_slice() {
            [.., from, to] => Some((*from, *to)),
            _ => None,
        }
    }

    /// Missed per distance in the last whole repeat, or in the part that was driven if there is none.
    pub(super) fn last_rate(&self, part: RepeatEnd) -> f64 {
        let (from, to) = self.last_repeat().unwrap_or((RepeatEnd::default(), part));
        let driven_m = to.distance_m - from.distance_m;
        if driven_m > 0.0 { (to.missed_m - from.missed_m).max(0.0) / driven_m } else { 0.0 }
    }

    /// How far the car keeps up, m, in a run of `range_m` that ended at `part`, and what it missed.
    pub(super) fn over(&self, range_m: f64, part: RepeatEnd) -> (f64, Shortfall) {
        let rate = self.last_rate(part);
        let last = self.last();
        let end = RepeatEnd {
            distance_m: range_m,
            missed_m: last.missed_m + rate * (range_m - last.distance_m).max(0.0),
        };
        let first = self.ends.get(1).copied().unwrap_or(part);
        let missed =
            Shortfall { when_full_frac: first.missed_frac(), whole_frac: end.missed_frac() };
        (self.keeps_up_m(end), missed)
    }

    /// Where the missed distance reaches its allowed share of the whole range; where it stays below, the range less what
    /// missing saved.
    fn keeps_up_m(&self, end: RepeatEnd) -> f64 {
        let allowed_m = MISSED_ALLOWED_FRAC * end.distance_m;
        let honest_m = end.distance_m - SAVED_PER_MISSED * end.missed_m.min(allowed_m);
        self.reaches_m(end, allowed_m).min(honest_m)
    }

    fn reaches_m(&self, end: RepeatEnd, allowed_m: f64) -> f64 {
        let places = self.ends.iter().skip(1).chain(std::iter::once(&end));
        let mut before = RepeatEnd::default();
        for place in places {
            if place.missed_m > allowed_m {
                let share = (allowed_m - before.missed_m) / (place.missed_m - before.missed_m);
                return before.distance_m + share * (place.distance_m - before.distance_m);
            }
            before = *place;
        }
        end.distance_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn following(ends: &[(f64, f64)]) -> KeepUp {
        let mut found = KeepUp::new();
        for (distance_m, missed_m) in ends {
            found.push(RepeatEnd { distance_m: *distance_m, missed_m: *missed_m });
        }
        found
    }

    #[test]
    fn a_car_that_misses_nothing_keeps_up_to_the_end() {
        let (keeps_up_m, missed) =
            following(&[(10e3, 0.0), (20e3, 0.0)]).over(25e3, RepeatEnd::default());
        assert!((keeps_up_m - 25e3).abs() < 1e-9 && missed == Shortfall::default());
    }

    #[test]
    fn it_keeps_up_until_half_a_per_cent_of_the_whole_range_is_missed() {
        // 100 m in each 10 km: half a per cent of 40 km, 200 m, after 20 km.
        let steady = following(&[(10e3, 100.0), (20e3, 200.0), (30e3, 300.0)]);
        let part = RepeatEnd { distance_m: 40e3, missed_m: 310.0 };
        let (keeps_up_m, missed) = steady.over(40e3, part);
        assert!((keeps_up_m - 20e3).abs() < 1e-6, "{keeps_up_m}");
        // The last part-repeat goes on at the rate of the whole one before it.
        assert!((missed.whole_frac - 400.0 / 40_400.0).abs() < 1e-12);
        assert!((missed.when_full_frac - 100.0 / 10_100.0).abs() < 1e-12);
    }

    #[test]
    fn a_range_within_the_first_repeat_counts_at_its_own_rate() {
        let part = RepeatEnd { distance_m: 4e3, missed_m: 40.0 };
        let (keeps_up_m, _) = following(&[]).over(4e3, part);
        // 20 m of 4 km, at 10 m a kilometre.
        assert!((keeps_up_m - 2e3).abs() < 1e-9, "{keeps_up_m}");
    }

    #[test]
    fn missed_distance_never_falls() {
        let gained = following(&[(10e3, 30.0), (20e3, 10.0)]);
        assert!((gained.last().missed_m - 30.0).abs() < 1e-12);
        assert!(gained.last_rate(RepeatEnd::default()).abs() < 1e-12);
    }
}
