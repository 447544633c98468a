//! A quantity as a sum of a few inputs, from worlds that were driven.
//!
//! The worlds of one car differ little, so a quantity of theirs is close to a sum of straight lines and parabolas in the
//! inputs. Which inputs, is chosen one by one: each time the one that takes off most of what is left (forward selection
//! with orthogonal columns). How many, is told by worlds that a fit has not seen: in eight parts each is left out in
//! turn, chosen and fitted without, and predicted; the count that predicts best is taken, and its error is the error that
//! is stated.
//!
//! # Source
//! Forward selection and cross-validation: Hastie, Tibshirani, Friedman, The Elements of Statistical Learning, ch. 3.3
//! and 7.10 (from memory).

use crate::weights::as_f64;

/// Parts that are left out in turn.
const FOLDS: usize = 8;

/// Worlds for each term, at least.
const WORLDS_A_TERM: usize = 5;

/// What is left of a column that others say already, relative: no term of its own.
const NOTHING_LEFT: f64 = 1e-9;

/// A straight line or a parabola in an input.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Term {
    input: usize,
    square: bool,
    factor: f64,
}

/// A quantity as a sum of terms.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    constant: f64,
    terms: Vec<Term>,
    /// Root mean square error of worlds that were left out.
    error: f64,
    /// Standard deviation of the quantity.
    deviation: f64,
    /// What each world that was left out lay off.
    left: Vec<f64>,
}

/// Inputs of worlds: for each input a list over the worlds, in standard deviations from the middle.
pub type Inputs = Vec<Vec<f64>>;

impl Fit {
    /// The fit of a quantity of the first worlds of these inputs, of which each is a list over the worlds; at least one
    /// world.
    #[must_use]
    pub fn new(inputs: &[&[f64]], quantity: &[f64]) -> Fit {
        let all: Vec<usize> = (0..quantity.len()).collect();
        let most = quantity.len() / WORLDS_A_TERM;
        let mut left = vec![vec![0.0; quantity.len()]; most + 1];
        for fold in 0..FOLDS {
            let (seen, unseen): (Vec<usize>, Vec<usize>) =
                all.iter().partition(|world| **world % FOLDS != fold);
            let mut path = Path::new(inputs, quantity, &seen, &unseen);
            for (count, left) in left.iter_mut().enumerate() {
                if count > 0 {
                    path.step();
                }
                for (world, rest) in unseen.iter().zip(&path.left_unseen) {
                    left[*world] = *rest;
                }
            }
        }
        let squared: Vec<f64> = left.iter().map(|left| dot(left, left)).collect();
        let count = (0..squared.len()).min_by(|a, b| squared[*a].total_cmp(&squared[*b]));
        let count = count.unwrap_or_default();
        let mut path = Path::new(inputs, quantity, &all, &[]);
        let worlds = as_f64(quantity.len());
        let root_mean_square = |values: &[f64]| (dot(values, values) / worlds).sqrt();
        let (error, deviation) =
            (root_mean_square(&left[count]), root_mean_square(&path.left_seen));
        (0..count).for_each(|_| path.step());
        let (constant, terms) = path.sum();
        Fit { constant, terms, error, deviation, left: left.swap_remove(count) }
    }

    /// The quantity of one world.
    #[must_use]
    pub fn at(&self, inputs: &[&[f64]], world: usize) -> f64 {
        let of = |term: &Term| term.factor * column(inputs[term.input][world], term.square);
        self.constant + self.terms.iter().map(of).sum::<f64>()
    }

    /// What one of the worlds that were left out lay off, one after the other: added to a fit that tells little, it gives a
    /// band that is as wide as it should be.
    #[must_use]
    pub fn left(&self, world: usize) -> f64 {
        self.left[world % self.left.len()]
    }

    /// Root mean square error of worlds that were left out.
    #[must_use]
    pub fn error(&self) -> f64 {
        self.error
    }

    /// The same where inputs are off themselves: `off` is the error of each.
    #[must_use]
    pub fn error_where(&self, off: impl Fn(usize) -> f64) -> f64 {
        let lines = self.terms.iter().filter(|term| !term.square);
        let of_inputs = lines.map(|term| (term.factor * off(term.input)).powi(2)).sum::<f64>();
        libm::sqrt(self.error * self.error + of_inputs)
    }

    /// Standard deviation of the quantity.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        self.deviation
    }
}

/// Inputs as a fit takes them.
#[must_use]
pub fn lists(inputs: &Inputs) -> Vec<&[f64]> {
    inputs.iter().map(Vec::as_slice).collect()
}

/// The same of the first worlds.
#[must_use]
pub fn first_lists(inputs: &Inputs, worlds: usize) -> Vec<&[f64]> {
    inputs.iter().map(|input| &input[..worlds]).collect()
}

fn column(input: f64, square: bool) -> f64 {
    if square { input * input - 1.0 } else { input }
}

/// A candidate for the next term.
struct TermCandidate {
    input: usize,
    square: bool,
    /// What is left of the column in the seen and in the unseen worlds, once what the terms say is taken off.
    seen: Vec<f64>,
    unseen: Vec<f64>,
    /// Length of the column in the seen worlds before anything was taken off.
    length: f64,
    /// What was taken off: of the constant, then of each term.
    taken: Vec<f64>,
}

/// A chosen column of length 1, orthogonal to all before it.
struct FitTerm {
    input: usize,
    square: bool,
    /// What it is made of: see [`TermCandidate::taken`], then its own length.
    taken: Vec<f64>,
    /// Share of the quantity.
    share: f64,
}

/// Forward selection, term by term.
struct Path {
    candidates: Vec<TermCandidate>,
    chosen: Vec<FitTerm>,
    mean: f64,
    left_seen: Vec<f64>,
    left_unseen: Vec<f64>,
}

impl Path {
    fn new(inputs: &[&[f64]], quantity: &[f64], seen: &[usize], unseen: &[usize]) -> Path {
        let of = |worlds: &[usize]| worlds.iter().map(|at| quantity[*at]).collect::<Vec<f64>>();
        let (mut left_seen, mut left_unseen) = (of(seen), of(unseen));
        let mean = left_seen.iter().sum::<f64>() / as_f64(seen.len().max(1));
        left_seen.iter_mut().chain(&mut left_unseen).for_each(|value| *value -= mean);
        let candidate = |(input, square): (usize, bool)| {
            let of = |worlds: &[usize]| -> Vec<f64> {
                worlds.iter().map(|at| column(inputs[input][*at], square)).collect()
            };
            let (mut seen, mut unseen) = (of(seen), of(unseen));
            let middle = seen.iter().sum::<f64>() / as_f64(seen.len().max(1));
            seen.iter_mut().chain(&mut unseen).for_each(|value| *value -= middle);
            let length = dot(&seen, &seen).sqrt();
            TermCandidate { input, square, seen, unseen, length, taken: vec![middle] }
        };
        let lines = (0..inputs.len()).map(|input| (input, false));
        let parabolas = (0..inputs.len()).map(|input| (input, true));
        let candidates = lines.chain(parabolas).map(candidate).collect();
        Path { candidates, chosen: Vec::new(), mean, left_seen, left_unseen }
    }

    /// Chooses one more term; none if nothing is left to choose.
    fn step(&mut self) {
        let worth = |candidate: &TermCandidate| {
            let length = dot(&candidate.seen, &candidate.seen).sqrt();
            // A parabola only of an input that is in already.
            let known = !candidate.square
                || self.chosen.iter().any(|it| it.input == candidate.input && !it.square);
            if !known || length <= NOTHING_LEFT * candidate.length || length <= 0.0 {
                return 0.0;
            }
            (dot(&candidate.seen, &self.left_seen) / length).abs()
        };
        let worths: Vec<f64> = self.candidates.iter().map(worth).collect();
        let best =
            (0..worths.len()).max_by(|a, b| worths[*a].total_cmp(&worths[*b]).then(b.cmp(a)));
        let Some(best) = best.filter(|best| worths[*best] > 0.0) else { return };
        let TermCandidate { input, square, mut seen, mut unseen, mut taken, .. } =
            self.candidates.remove(best);
        let length = dot(&seen, &seen).sqrt();
        seen.iter_mut().chain(&mut unseen).for_each(|value| *value /= length);
        taken.push(length);
        let share = dot(&seen, &self.left_seen);
        take(&mut self.left_seen, &seen, share);
        take(&mut self.left_unseen, &unseen, share);
        for candidate in &mut self.candidates {
            let part = dot(&seen, &candidate.seen);
            take(&mut candidate.seen, &seen, part);
            take(&mut candidate.unseen, &unseen, part);
            candidate.taken.push(part);
        }
        self.chosen.push(FitTerm { input, square, taken, share });
    }

    /// The constant and the terms in the inputs themselves: the triangle of what was taken off, solved from its end.
    fn sum(&self) -> (f64, Vec<Term>) {
        let count = self.chosen.len();
        let mut factors = vec![0.0; count];
        for row in (0..count).rev() {
            let later = (row + 1..count).map(|at| self.chosen[at].taken[row + 1] * factors[at]);
            let rest = self.chosen[row].share - later.sum::<f64>();
            factors[row] = rest / self.chosen[row].taken[row + 1];
        }
        let middles = self.chosen.iter().zip(&factors).map(|(it, factor)| it.taken[0] * factor);
        let constant = self.mean - middles.sum::<f64>();
        let term = |(it, factor): (&FitTerm, &f64)| Term {
            input: it.input,
            square: it.square,
            factor: *factor,
        };
        (constant, self.chosen.iter().zip(&factors).map(term).collect())
    }
}

fn take(from: &mut [f64], column: &[f64], much: f64) {
    for (value, part) in from.iter_mut().zip(column) {
        *value -= much * part;
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worlds::Worlds;
    use std::num::NonZeroUsize;

    /// A hundred inputs from -1.7 to 1.7.
    fn inputs(worlds: usize) -> Inputs {
        let drawn = Worlds::new(1, NonZeroUsize::new(worlds).unwrap(), 0);
        let of = |at: usize| {
            drawn.units(&format!("input {at}")).iter().map(|u| 3.46 * (u - 0.5)).collect()
        };
        (0..100).map(of).collect()
    }

    #[test]
    fn a_sum_of_few_inputs_among_many_is_found() {
        let inputs = inputs(2000);
        let truth = |at: usize| {
            let x = |input: usize| inputs[input][at];
            5.0 + 0.03 * x(3) - 0.02 * x(40) + 0.01 * x(77) + 0.004 * (x(3) * x(3) - 1.0)
        };
        let driven: Vec<f64> = (0..64).map(truth).collect();
        let fit = Fit::new(&lists(&inputs), &driven);
        assert!(fit.error() < 1e-9 && (fit.deviation() - 0.037).abs() < 0.01, "{fit:?}");
        for world in 64..2000 {
            assert!((fit.at(&lists(&inputs), world) - truth(world)).abs() < 1e-9);
        }
    }

    #[test]
    fn the_stated_error_is_that_of_worlds_that_were_not_driven() {
        let inputs = inputs(2000);
        // What no term can say: a product, and a saw.
        let truth = |at: usize| {
            let x = |input: usize| inputs[input][at];
            0.03 * x(3) - 0.02 * x(40) + 0.01 * x(5) * x(9) + 0.005 * libm::sin(7.0 * x(1))
        };
        let driven: Vec<f64> = (0..64).map(truth).collect();
        let fit = Fit::new(&lists(&inputs), &driven);
        let off = |world: usize| (fit.at(&lists(&inputs), world) - truth(world)).powi(2);
        let error = ((64..2000).map(off).sum::<f64>() / 1936.0).sqrt();
        assert!((0.7..1.5).contains(&(fit.error() / error)), "{} {error}", fit.error());
    }

    #[test]
    fn a_quantity_that_is_the_same_everywhere_has_no_error() {
        let fit = Fit::new(&lists(&inputs(64)), &[2.5; 64]);
        assert_eq!((fit.error(), fit.deviation()), (0.0, 0.0));
        assert!((fit.at(&lists(&inputs(64)), 7) - 2.5).abs() < 1e-15);
    }
}
