//! A cycle in fewer, longer legs: quicker to drive, and nearly the same.

use super::{Cycle, Leg, Piece, Span};
use crate::road_load::Slope;

/// Longest leg at rest, s. Nothing changes there but heat and charge, slowly.
const LONGEST_REST_S: f64 = 60.0;

impl Cycle {
    /// The same cycle with neighbouring legs joined up to `longest_s`, and rests up to a minute. Speeds at
    /// the ends of the new legs, stops, lengths by distance and climbs stay as they are; what the speed does
    /// within a leg does not.
    ///
    /// For comparing many cars among themselves, with some that drove the cycle itself beside them: it asks
    /// for less acceleration where that changes sign within a leg.
    ///
    /// `longest_s` more than 0.
    ///
    /// ```
    /// // A minute in legs of 4 s.
    /// let cycle = crownwheel::cycle::Cycle::steady(20.0).coarser(4.0);
    /// assert_eq!(cycle.legs().len(), 15);
    /// assert!((cycle.distance_m() - 1_200.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn coarser(&self, longest_s: f64) -> Cycle {
        let mut pieces: Vec<Piece> = Vec::new();
        let mut open: Option<Open> = None;
        let mut speed_mps = self.start_mps;
        for leg in &self.legs {
            let next = Open::of(leg, speed_mps);
            speed_mps = leg.target_mps;
            open = match open {
                Some(so_far) if so_far.takes(&next, longest_s) => Some(so_far.and(&next)),
                Some(so_far) => {
                    pieces.push(so_far.piece());
                    Some(next)
                }
                None => Some(next),
            };
        }
        pieces.extend(open.map(|open| open.piece()));
        Cycle::from_pieces(&self.name, self.start_mps, &pieces)
    }
}

/// A leg that may still grow.
#[derive(Clone, Copy)]
struct Open {
    span: Span,
    duration_s: f64,
    length_m: f64,
    /// Height gained, m.
    climb_m: f64,
    sin: f64,
    from_mps: f64,
    to_mps: f64,
}

impl Open {
    fn of(leg: &Leg, from_mps: f64) -> Open {
        let mean_mps = 0.5 * (from_mps + leg.target_mps);
        let (duration_s, length_m) = match leg.span {
            Span::Time(dt_s) => (dt_s, mean_mps * dt_s),
            Span::Distance(ds_m) => (ds_m / mean_mps, ds_m),
        };
        Open {
            span: leg.span,
            duration_s,
            length_m,
            climb_m: length_m * leg.sin,
            sin: leg.sin,
            from_mps,
            to_mps: leg.target_mps,
        }
    }

    fn rests(&self) -> bool {
        self.from_mps <= 0.0 && self.to_mps <= 0.0
    }

    fn takes(&self, next: &Open, longest_s: f64) -> bool {
        let both_s = self.duration_s + next.duration_s;
        if self.rests() || next.rests() {
            return self.rests() && next.rests() && both_s <= LONGEST_REST_S;
        }
        let alike = matches!(
            (self.span, next.span),
            (Span::Time(_), Span::Time(_)) | (Span::Distance(_), Span::Distance(_))
        );
        // A car that stops between two legs stops.
        alike && self.to_mps > 0.0 && both_s <= longest_s * (1.0 + 1e-9)
    }

    fn and(self, next: &Open) -> Open {
        let length_m = self.length_m + next.length_m;
        let climb_m = self.climb_m + next.climb_m;
        Open {
            duration_s: self.duration_s + next.duration_s,
            length_m,
            climb_m,
            sin: if length_m > 0.0 { climb_m / length_m } else { next.sin },
            to_mps: next.to_mps,
            ..self
        }
    }

    fn piece(&self) -> Piece {
        let span = match self.span {
            Span::Time(_) => Span::Time(self.duration_s),
            Span::Distance(_) => Span::Distance(self.length_m),
        };
        // By distance the time follows from the speeds at the ends.
        let duration_s = match span {
            Span::Time(dt_s) => dt_s,
            Span::Distance(ds_m) => 2.0 * ds_m / (self.from_mps + self.to_mps),
        };
        Piece { span, duration_s, target_mps: self.to_mps, slope: Slope::from_sin(self.sin) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cycle::{BUILTIN_NAMES, Grade, Samples};

    #[test]
    fn ends_of_legs_are_those_of_the_cycle_and_its_length_nearly() {
        for name in BUILTIN_NAMES {
            let cycle = Cycle::builtin(name).expect(name);
            let coarse = cycle.coarser(4.0);
            assert!(coarse.legs().len() * 3 < cycle.legs().len() + 300, "{name}");
            assert!((coarse.duration_s() - cycle.duration_s()).abs() < 1e-6, "{name}");
            assert!((coarse.distance_m() / cycle.distance_m() - 1.0).abs() < 0.005, "{name}");
            let speeds: Vec<f64> = cycle.legs().iter().map(|leg| leg.target_mps).collect();
            let mut left = speeds.iter();
            for leg in coarse.legs() {
                let found = left.any(|speed| speed.total_cmp(&leg.target_mps).is_eq());
                assert!(found, "{name}: {} m/s in order", leg.target_mps);
            }
            assert_eq!(
                cycle.coarser(0.0).legs().iter().filter(|leg| leg.target_mps > 0.0).count(),
                cycle.legs().iter().filter(|leg| leg.target_mps > 0.0).count()
            );
        }
    }

    #[test]
    fn stops_lengths_and_climbs_stay() {
        let samples = Samples::ByDistance {
            distance_m: vec![0.0, 40.0, 100.0, 160.0, 200.0, 260.0],
            speed_mps: vec![0.0, 10.0, 12.0, 11.0, 0.0, 9.0],
            stop_s: vec![3.0, 0.0, 0.0, 0.0, 20.0, 0.0],
            grade: Grade::Elevation(vec![0.0, 2.0, 5.0, 4.0, 4.0, 6.0]),
        };
        let cycle = Cycle::new("hill", &samples).expect("a cycle");
        let coarse = cycle.coarser(5.0);
        assert!(coarse.legs().len() < cycle.legs().len() / 2);
        assert!((coarse.distance_m() - cycle.distance_m()).abs() < 1e-9);
        let stops = |cycle: &Cycle| -> f64 {
            let rest = cycle.legs().iter().filter(|leg| leg.target_mps <= 0.0);
            rest.map(|leg| if let Span::Time(dt_s) = leg.span { dt_s } else { 0.0 }).sum()
        };
        assert!((stops(&coarse) - 23.0).abs() < 1e-9 && (stops(&cycle) - 23.0).abs() < 1e-9);
        let gained = |cycle: &Cycle| -> f64 {
            let by_leg = cycle.legs().iter().map(|leg| match leg.span {
                Span::Distance(ds_m) => ds_m * leg.sin,
                Span::Time(_) => 0.0,
            });
            by_leg.sum()
        };
        assert!((gained(&coarse) - gained(&cycle)).abs() < 1e-9);
    }
}
