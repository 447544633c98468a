//! Which unsure input moves an answer: first-order shares from the worlds that were run anyway.
//!
//! The share of an input is the part of an answer's variance that would go if the input were known:
//! `S = Var(E[y | x]) / Var(y)`. `E[y | x]` is a straight line within each of up to [`BINS`] bins of
//! equal weight of `x`. A line has two numbers to fit in every bin, so noise alone makes the fit take
//! up `2B - 1` parts in `n` of the variance about the lines; that much is taken off:
//!
//! `S = (SSM - (2B - 1) MSW) / SST`, `MSW = SSW / (n - 2B)`,
//!
//! with `SSM` the squares of the lines about the mean, `SSW` those of the answers about the lines.
//! Where worlds count unequally the noise may depend on the weight (a weight is made from inputs), so
//! it is taken off world by world, from its own distance to the line: for equal weights that
//! comes to the same.
//!
//! After weighting by measured facts the inputs hang together, and shares need not add up to one.

use crate::weights::{Weights, as_f64};

/// Most bins of an input.
pub const BINS: usize = 20;

/// Worlds, at the least, that a bin must hold on average.
const WORLDS_PER_BIN: f64 = 20.0;

/// Replicates from which the error is taken: each leaves out another eighth of the worlds.
pub const REPLICATES: usize = 8;

/// A line that follows one point so closely tells nothing about that point's noise.
const FOLLOWED: f64 = 0.999;

/// Half-width of a 95 % band over the standard error from [`REPLICATES`] replicates: Student's t with
/// seven degrees of freedom at 0.975.
pub const T_95: f64 = 2.365;

/// Share of an input in the variance of an answer.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Share {
    /// The estimate. It is unbiased, so that of an input without effect it may be a little below 0.
    pub share: f64,
    /// Its standard error.
    pub standard_error: f64,
}

impl Share {
    /// Whether the input's effect can be told from none: the share is more than twice its error.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.share > 2.0 * self.standard_error
    }
}

/// An answer in all worlds, ready to be shared out.
#[derive(Clone, Debug)]
pub struct WorldAnswers<'a> {
    answers: &'a [f64],
    weights: &'a Weights,
}

impl<'a> WorldAnswers<'a> {
    /// An answer and the weights of the same worlds. Worlds in which the answer is not finite are
    /// left out.
    #[must_use]
    pub fn new(answers: &'a [f64], weights: &'a Weights) -> WorldAnswers<'a> {
        WorldAnswers { answers, weights }
    }

    /// The share of an input, given by its values in the same worlds (any increasing function of
    /// them does). `None`: the answer or the input does not vary, or too few worlds count.
    #[must_use]
    pub fn of(&self, input: &[f64]) -> Option<Share> {
        let points = self.points(input);
        let share = share(&points)?;
        let mut replicates = Vec::with_capacity(REPLICATES);
        for out in 0..REPLICATES {
            let kept: Vec<Point> =
                points.iter().filter(|point| point.world % REPLICATES != out).copied().collect();
            replicates.push(self::share(&kept)?);
        }
        Some(Share { share, standard_error: left_out_error(&replicates) })
    }

    /// Worlds that count, in the order of the input.
    fn points(&self, input: &[f64]) -> Vec<Point> {
        let mut points: Vec<Point> = self
            .answers
            .iter()
            .zip(self.weights.shares())
            .zip(input)
            .enumerate()
            .filter(|(_, ((y, weight), x))| y.is_finite() && **weight > 0.0 && x.is_finite())
            .map(|(world, ((y, weight), x))| Point { x: *x, y: *y, weight: *weight, world })
            .collect();
        // Equal inputs keep the order of the worlds.
        points.sort_by(|a, b| a.x.total_cmp(&b.x));
        points
    }
}

#[derive(Clone, Copy, Debug)]
struct Point {
    x: f64,
    y: f64,
    weight: f64,
    world: usize,
}

/// Standard error of an estimate from estimates that each leave out one of as many equal parts:
/// `√((g - 1)/g Σ (S_k - mean)²)`.
fn left_out_error(replicates: &[f64]) -> f64 {
    let count = as_f64(replicates.len());
    let mean = replicates.iter().sum::<f64>() / count;
    let squares: f64 = replicates.iter().map(|share| (share - mean).powi(2)).sum();
    ((count - 1.0) / count * squares).sqrt()
}

/// The estimate from points in the order of the input.
fn share(points: &[Point]) -> Option<f64> {
    let total: f64 = points.iter().map(|point| point.weight).sum();
    let square: f64 = points.iter().map(|point| (point.weight / total).powi(2)).sum();
    let bins = bins_for(1.0 / square)?;
    let (first, last) = (points.first()?, points.last()?);
    if first.x >= last.x {
        return None;
    }
    let origin = first.y;
    let mean = origin + points.iter().map(|p| p.weight * (p.y - origin)).sum::<f64>() / total;
    let about_mean: f64 =
        points.iter().map(|p| p.weight * (p.y - mean).powi(2)).sum::<f64>() / total;
    // What is left by rounding is no variance.
    if about_mean.sqrt() <= 1e-12 * mean.abs() {
        return None;
    }
    let mut fits = Fits::default();
    let (mut from, mut upto) = (0, 0.0);
    for bin in 1..=bins {
        let edge = total * as_f64(bin) / as_f64(bins);
        let mut to = from;
        while to < points.len() && (bin == bins || upto + 0.5 * points[to].weight < edge) {
            upto += points[to].weight;
            to += 1;
        }
        fits.add(&points[from..to], total);
        from = to;
    }
    Some((about_mean - fits.about_lines - fits.taken_up) / about_mean)
}

/// How many bins a number of worlds can fill. `None`: not even one.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 1 to 20")]
fn bins_for(worlds: f64) -> Option<usize> {
    let bins = (worlds / WORLDS_PER_BIN).min(as_f64(BINS));
    (bins >= 1.0).then_some(bins as usize)
}

/// Sums over the lines of all bins.
#[derive(Debug, Default)]
struct Fits {
    /// Weighted squares about the lines.
    about_lines: f64,
    /// Noise that the lines take up beyond what the mean takes up.
    taken_up: f64,
}

impl Fits {
    fn add(&mut self, points: &[Point], total: f64) {
        let share = |point: &Point| point.weight / total;
        let sum: f64 = points.iter().map(share).sum();
        if sum <= 0.0 {
            return;
        }
        let mean = |of: fn(&Point) -> f64| {
            points.iter().map(|point| share(point) * of(point)).sum::<f64>() / sum
        };
        let (x_mean, y_mean) = (mean(|point| point.x), mean(|point| point.y));
        let (mut xx, mut xy) = (0.0, 0.0);
        for point in points {
            let (x, y) = (point.x - x_mean, point.y - y_mean);
            xx += share(point) * x * x;
            xy += share(point) * x * y;
        }
        let slope = if xx > 0.0 { xy / xx } else { 0.0 };
        for point in points {
            let (weight, x, y) = (share(point), point.x - x_mean, point.y - y_mean);
            let off = y - slope * x;
            // How far the line follows this one point, 0..1.
            let follows = weight * (1.0 / sum + if xx > 0.0 { x * x / xx } else { 0.0 });
            self.about_lines += weight * off * off;
            if follows < FOLLOWED {
                // The point's own noise is larger than what is left beside a line that follows it.
                let noise = off * off / (1.0 - follows);
                self.taken_up += weight * (follows - weight) * noise;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worlds::Worlds;
    use crownwheel::spread::{Spread, SpreadKind};
    use std::f64::consts::PI;
    use std::num::NonZeroUsize;

    const EVERYWHERE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

    fn draws(seed: u64, count: usize, name: &str, spread: Spread) -> Vec<f64> {
        let worlds = Worlds::new(seed, NonZeroUsize::new(count).unwrap(), 200);
        worlds.units(name).iter().map(|unit| spread.at(*unit, EVERYWHERE)).collect()
    }

    /// Inputs `x1 x2 x3` in all worlds, and an answer of them.
    fn made(
        seed: u64,
        count: usize,
        spread: Spread,
        answer: impl Fn(f64, f64, f64) -> f64,
    ) -> ([Vec<f64>; 3], Vec<f64>) {
        let x = ["x1", "x2", "x3"].map(|name| draws(seed, count, name, spread));
        let y = (0..count).map(|world| answer(x[0][world], x[1][world], x[2][world])).collect();
        (x, y)
    }

    fn linear(seed: u64, count: usize) -> ([Vec<f64>; 3], Vec<f64>) {
        made(seed, count, Spread::normal(10.0, 1.96), |a, b, c| 118.0 + 4.0 * a - 2.0 * b + 0.5 * c)
    }

    /// Variances 16, 4, 0.25.
    const LINEAR: [f64; 3] = [16.0 / 20.25, 4.0 / 20.25, 0.25 / 20.25];

    fn ishigami(seed: u64, count: usize) -> ([Vec<f64>; 3], Vec<f64>) {
        let spread = Spread { nominal: 0.0, kind: SpreadKind::Uniform { low: -PI, high: PI } };
        made(seed, count, spread, |a, b, c| {
            libm::sin(a) + 7.0 * libm::sin(b).powi(2) + 0.1 * c.powi(4) * libm::sin(a)
        })
    }

    /// First-order shares of the Ishigami function with a = 7, b = 0.1, in closed form:
    /// V1 = (1 + b π⁴/5)²/2, V2 = a²/8, V3 = 0, V = V1 + V2 + 8 b² π⁸/225.
    fn ishigami_shares() -> [f64; 3] {
        let first = 0.5 * (1.0 + 0.1 * PI.powi(4) / 5.0).powi(2);
        let second = 49.0 / 8.0;
        let all = first + second + 8.0 * 0.01 * PI.powi(8) / 225.0;
        [first / all, second / all, 0.0]
    }

    const SEEDS: u64 = 200;

    /// What 200 sweeps of one input gave.
    #[derive(Debug)]
    struct Trials {
        /// How often the 95 % band held the truth, 0..1.
        held_frac: f64,
        /// Mean of estimate less truth.
        bias: f64,
        /// Root mean square of estimate less truth.
        spread: f64,
        /// Mean of the stated standard error.
        stated: f64,
    }

    fn trials(
        made: impl Fn(u64, usize) -> ([Vec<f64>; 3], Vec<f64>),
        right: [f64; 3],
        count: usize,
    ) -> [Trials; 3] {
        weighted_trials(made, |_| 1.0, right, count)
    }

    /// `weight` is a function of `x1`.
    fn weighted_trials(
        made: impl Fn(u64, usize) -> ([Vec<f64>; 3], Vec<f64>),
        weight: fn(f64) -> f64,
        right: [f64; 3],
        count: usize,
    ) -> [Trials; 3] {
        let runs: Vec<_> = (0..SEEDS).map(|seed| made(seed, count)).collect();
        [0, 1, 2].map(|input| {
            let share = |(x, y): &([Vec<f64>; 3], Vec<f64>)| {
                let raw: Vec<f64> = x[0].iter().map(|x| weight(*x)).collect();
                let weights = Weights::in_proportion(&raw).unwrap();
                WorldAnswers::new(y, &weights).of(&x[input]).unwrap()
            };
            let shares: Vec<Share> = runs.iter().map(share).collect();
            let mean = |of: &dyn Fn(&Share) -> f64| {
                shares.iter().map(of).sum::<f64>() / as_f64(shares.len())
            };
            let off = |share: &Share| share.share - right[input];
            let held = |share: &Share| off(share).abs() <= T_95 * share.standard_error;
            Trials {
                held_frac: mean(&|share| f64::from(held(share))),
                bias: mean(&off),
                spread: mean(&|share| off(share).powi(2)).sqrt(),
                stated: mean(&|share| share.standard_error),
            }
        })
    }

    fn check(trials: &[Trials; 3]) {
        for (input, t) in trials.iter().enumerate() {
            // 200 tries at 0.95 give 0.95 ± 0.015; a Latin hypercube only makes it better.
            assert!(t.held_frac >= 0.92, "x{}: {t:?}", input + 1);
            // Three standard errors of the mean of 200 tries.
            let allowed = 3.0 * t.spread / as_f64(200).sqrt();
            assert!(t.bias.abs() < allowed, "x{}: {t:?}", input + 1);
            // On the safe side, but not uselessly so.
            assert!(t.stated < 2.5 * t.spread, "x{}: {t:?}", input + 1);
        }
    }

    #[test]
    fn a_linear_model_is_shared_out_as_its_closed_form_says() {
        check(&trials(linear, LINEAR, 2000));
        check(&trials(linear, LINEAR, 200));
    }

    /// `S3` is 0 although `x3` counts together with `x1`.
    #[test]
    fn the_ishigami_function_is_shared_out_as_its_closed_form_says() {
        check(&trials(ishigami, ishigami_shares(), 2000));
        check(&trials(ishigami, ishigami_shares(), 500));
    }

    /// Taking off `(B - 1)` of the noise, right for flat bins, would leave one per cent to an input
    /// without effect at 2,000 worlds, because lines fit more noise than means do.
    #[test]
    fn an_input_without_effect_gets_nothing() {
        let made = |seed, count| made(seed, count, Spread::normal(0.0, 1.96), |a, b, _| a + b);
        let [_, _, none] = trials(made, [0.5, 0.5, 0.0], 2000);
        assert!(none.bias.abs() < 0.002, "{none:?}");
        assert!(none.spread < 0.01, "{none:?}");
    }

    /// Weighted so, the mean of x1 is half a standard deviation higher, and the inputs stay unrelated.
    /// (Weighted much harder, the sample has no worlds where the weight lies, and x1 itself varies
    /// less than it should.)
    #[test]
    fn weights_that_leave_the_inputs_unrelated_leave_the_shares_too() {
        check(&weighted_trials(linear, |x1| libm::exp(0.5 * x1), LINEAR, 2000));
    }

    #[test]
    fn what_does_not_vary_or_is_too_little_has_no_shares() {
        let weights = Weights::equal(100);
        let x: Vec<f64> = (0..100).map(f64::from).collect();
        assert_eq!(WorldAnswers::new(&[118.3; 100], &weights).of(&x), None);
        let few = Weights::equal(10);
        assert_eq!(WorldAnswers::new(&x[..10], &few).of(&x[..10]), None);
        // Worlds without an answer are left out.
        let mut y = x.clone();
        y[5] = f64::INFINITY;
        y[50] = f64::NAN;
        let all = WorldAnswers::new(&y, &weights).of(&x).unwrap();
        assert!((all.share - 1.0).abs() < 1e-9, "{all:?}");
        assert!(all.is_plain());
        assert_eq!(WorldAnswers::new(&y, &weights).of(&[1.0; 100]), None);
    }
}
