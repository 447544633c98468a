//! Where in a repeat of a cycle a pack empties.
//!
//! A pack does not empty evenly along a cycle: it empties on climbs and in bursts, and never where charge comes back. So
//! the distance of a run steps with what the car takes, and the number of repeats that its charge lasts for does not.
//! That number is fitted; this maps it to a distance and back along one repeat of the nominal car.

use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, start_state};
use crownwheel::step::State;
use crownwheel::{Car, Day};

/// One repeat of the nominal car: the share of its charge that is gone for good by a distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeat {
    distance_m: f64,
    /// Distance, m, and the most that was taken by there, over what a repeat takes; both never fall.
    taken: Vec<(f64, f64)>,
    /// What the repeat before had taken at its peak and given back by its end, over what a repeat takes.
    gone: f64,
}

impl Repeat {
    /// Drives a cycle at half charge, once to warm up and once to look.
    #[must_use]
    pub fn of(car: &Car, day: &Day, cycle: &Cycle) -> Repeat {
        let mut driver = Driver::new(car, day);
        let pack = &car.spec().pack;
        let half = 0.5 * (car.floor_frac(day) + pack.usable_to_frac);
        let mut state = start_state(car, day, cycle);
        let (mut at_m, mut taken) = (0.0, 0.0);
        let mut points = Vec::new();
        for looks in [false, true] {
            for leg in cycle.legs() {
                let before = State { charge_frac: half, ..state };
                let done = driver.leg(leg, &before);
                state = done.state;
                if looks {
                    at_m += done.distance_m;
                    taken += half - state.charge_frac;
                    points.push((at_m, taken));
                }
            }
        }
        Repeat::along(points)
    }

    /// From distances and what was taken by there.
    fn along(points: Vec<(f64, f64)>) -> Repeat {
        let &(distance_m, whole) = points.last().unwrap_or(&(0.0, 0.0));
        if distance_m <= 0.0 || whole <= 0.0 {
            // Nobody asks where such a pack empties; any line does.
            let distance_m = distance_m.max(1.0);
            return Repeat { distance_m, taken: vec![(0.0, 0.0), (distance_m, 1.0)], gone: 0.0 };
        }
        let mut most = 0.0_f64;
        let highest = |(at_m, taken): (f64, f64)| {
            most = most.max(taken / whole);
            (at_m, most)
        };
        let start = std::iter::once((0.0, 0.0));
        let taken: Vec<(f64, f64)> = start.chain(points).map(highest).collect();
        Repeat { distance_m, taken, gone: most - 1.0 }
    }

    /// Repeats that the charge of a run to this distance would have lasted for.
    #[must_use]
    pub fn repeats(&self, distance_m: f64) -> f64 {
        let whole = (distance_m / self.distance_m).floor();
        let gone = if whole > 0.0 { self.gone } else { 0.0 };
        whole + between(&self.taken, distance_m - whole * self.distance_m).max(gone)
    }

    /// The distance at which the charge of so many repeats is gone.
    #[must_use]
    pub fn distance_m(&self, repeats: f64) -> f64 {
        let whole = ((repeats - self.gone).ceil() - 1.0).max(0.0);
        let at = self.taken.partition_point(|point| point.1 < repeats - whole).max(1);
        let (before, after) = (self.taken[at - 1], self.taken[at.min(self.taken.len() - 1)]);
        let rise = after.1 - before.1;
        let share = if rise > 0.0 { (repeats - whole - before.1) / rise } else { 0.0 };
        whole * self.distance_m + before.0 + share * (after.0 - before.0)
    }
}

/// The second of points that rise in both, at a first.
fn between(points: &[(f64, f64)], x: f64) -> f64 {
    let at = points.partition_point(|point| point.0 < x).clamp(1, points.len() - 1);
    let ((x0, y0), (x1, y1)) = (points[at - 1], points[at]);
    let share = if x1 > x0 { (x - x0) / (x1 - x0) } else { 1.0 };
    y0 + share.clamp(0.0, 1.0) * (y1 - y0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Up a hill for 1 km, down it for 1 km, which gives half back: a repeat takes 1 of 2 at its top.
    fn hill() -> Repeat {
        Repeat::along(vec![(500.0, 1.0), (1_000.0, 2.0), (1_500.0, 1.5), (2_000.0, 1.0)])
    }

    #[test]
    fn a_pack_empties_uphill_and_beyond_the_top_of_the_hill_before() {
        for (repeats, distance_m) in [(0.5, 250.0), (2.0, 1_000.0), (2.5, 2_750.0), (3.0, 3_000.0)]
        {
            assert!((hill().distance_m(repeats) - distance_m).abs() < 1e-9, "{repeats}");
            assert!((hill().repeats(distance_m) - repeats).abs() < 1e-12, "{distance_m}");
        }
    }

    #[test]
    fn there_and_back() {
        for tenth in 1..60 {
            let distance_m = 100.0 * f64::from(tenth);
            let repeats = hill().repeats(distance_m);
            let back_m = hill().distance_m(repeats);
            assert!(back_m <= distance_m + 1e-9, "{distance_m}: {back_m}");
            assert!((hill().repeats(back_m) - repeats).abs() < 1e-9, "{distance_m}: {back_m}");
        }
        let even = Repeat::along(vec![(500.0, 1.0), (1_000.0, 2.0)]);
        for distance_m in [10.0, 999.0, 1_000.0, 12_345.0] {
            assert!((even.distance_m(even.repeats(distance_m)) - distance_m).abs() < 1e-9);
            assert!((even.repeats(distance_m) - distance_m / 1_000.0).abs() < 1e-12);
        }
    }
}
