//! Which option to take: a fixed rule.
//!
//! First come the options that meet all demands: those for the least money, where every option has a
//! price, else those with the least mass. Then the others, the closest first: the largest share of
//! worlds that meets all demands. Options that cannot be built are not ranked. Ties go by mass where
//! money was compared, and at last by identity, so that the order never depends on the list.

use std::cmp::Ordering;

use crate::demand::Probability;
use crate::weights::Weights;

/// The rule in a sentence, with money.
pub const BY_MONEY: &str = "Ranked are the options that meet all demands, the least money first; then the others, the largest probability of meeting all demands first.";

/// The rule in a sentence, where there are no prices.
pub const BY_MASS: &str = "Ranked are the options that meet all demands, the least mass first; then the others, the largest probability of meeting all demands first.";

/// An option that can be built, as the rule sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate<'a> {
    /// Identity.
    pub id: &'a str,
    /// Whether it meets every demand as surely as asked.
    pub meets_all: bool,
    /// The share of worlds that meets all demands at once, 0..1.
    pub all_frac: f64,
    /// What it costs. `None`: not known.
    pub price: Option<f64>,
    /// Its mass with the driver, kg.
    pub mass_kg: f64,
}

/// Whether money decides: every candidate has a price.
#[must_use]
pub fn money_decides(candidates: &[Candidate<'_>]) -> bool {
    !candidates.is_empty() && candidates.iter().all(|candidate| candidate.price.is_some())
}

/// Places of the candidates in `candidates`, the best first.
#[must_use]
pub fn ranking(candidates: &[Candidate<'_>]) -> Vec<usize> {
    let money = money_decides(candidates);
    let mut places: Vec<usize> = (0..candidates.len()).collect();
    places.sort_by(|a, b| before(&candidates[*a], &candidates[*b], money));
    places
}

fn before(a: &Candidate<'_>, b: &Candidate<'_>, money: bool) -> Ordering {
    let by_demands = b.meets_all.cmp(&a.meets_all);
    let by_all = if a.meets_all { Ordering::Equal } else { b.all_frac.total_cmp(&a.all_frac) };
    let by_money = match (money, a.price, b.price) {
        (true, Some(a), Some(b)) if a.is_finite() && b.is_finite() => a.total_cmp(&b),
        _ => Ordering::Equal,
    };
    by_demands
        .then(by_all)
        .then(by_money)
        .then(a.mass_kg.total_cmp(&b.mass_kg))
        .then_with(|| a.id.cmp(b.id))
}

/// Answers that lie closer together than this, relative, are equal: fits of two options that hardly differ lie so far apart.
const TIE: f64 = 5e-4;

/// The probability that one option's answer is better than another's in the same world; worlds in
/// which they lie within a twentieth of a per cent count half. A number is better than none.
#[must_use]
pub fn beats(one: &[f64], other: &[f64], more_is_better: bool, weights: &Weights) -> Probability {
    let score = |world: usize| {
        let pair = one.get(world).zip(other.get(world));
        let (a, b) = pair.map_or((f64::NAN, f64::NAN), |(a, b)| (*a, *b));
        match (a.is_nan(), b.is_nan()) {
            (true, true) => 0.5,
            (true, false) => 0.0,
            (false, true) => 1.0,
            (false, false) if is_tie(a, b) => 0.5,
            (false, false) => match a.partial_cmp(&b) {
                Some(Ordering::Greater) => f64::from(more_is_better),
                Some(Ordering::Less) => f64::from(!more_is_better),
                _ => 0.5,
            },
        }
    };
    Probability::of_scores(score, weights)
}

fn is_tie(a: f64, b: f64) -> bool {
    a.is_finite() && b.is_finite() && (a - b).abs() <= TIE * a.abs().max(b.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn candidate(id: &str, meets: bool, all: f64, price: Option<f64>, mass: f64) -> Candidate<'_> {
        Candidate { id, meets_all: meets, all_frac: all, price, mass_kg: mass }
    }

    fn order<'a>(candidates: &[Candidate<'a>]) -> Vec<&'a str> {
        ranking(candidates).into_iter().map(|place| candidates[place].id).collect()
    }

    #[test]
    fn money_then_mass_among_those_that_meet_all_then_the_closest() {
        let all = [
            candidate("far off", false, 0.2, Some(100.0), 800.0),
            candidate("dear", true, 0.99, Some(3000.0), 880.0),
            candidate("heavy", true, 0.91, Some(2700.0), 930.0),
            candidate("light", true, 0.90, Some(2700.0), 900.0),
            candidate("close b", false, 0.8, Some(2500.0), 900.0),
            candidate("close a", false, 0.8, Some(2500.0), 900.0),
        ];
        assert_eq!(order(&all), ["light", "heavy", "dear", "close a", "close b", "far off"]);
        let reversed: Vec<_> = all.into_iter().rev().collect();
        assert_eq!(order(&reversed), order(&all));
    }

    #[test]
    fn without_all_prices_mass_decides() {
        let all = [
            candidate("cheap", true, 0.9, Some(1.0), 900.0),
            candidate("light", true, 0.9, None, 890.0),
        ];
        assert!(!money_decides(&all) && !money_decides(&[]));
        assert_eq!(order(&all), ["light", "cheap"]);
    }

    #[test]
    fn one_beats_another_in_the_same_worlds() {
        let weights = Weights::equal(4);
        let (a, b) = ([5.0, 5.0, 5.0, f64::NAN], [4.0, 5.0, 6.0, 1.0]);
        assert!((beats(&a, &b, true, &weights).value - 0.375).abs() < 1e-12);
        assert!((beats(&b, &a, true, &weights).value - 0.625).abs() < 1e-12);
        assert!((beats(&a, &b, false, &weights).value - 0.375).abs() < 1e-12);
        assert!((beats(&a, &a, false, &weights).value - 0.5).abs() < 1e-12);
        let (near, never) = ([5.002, 4.998, 5.002, f64::INFINITY], [5.0, 5.0, 5.0, 7.0]);
        assert!((beats(&near, &never, true, &weights).value - 0.625).abs() < 1e-12);
    }
}
