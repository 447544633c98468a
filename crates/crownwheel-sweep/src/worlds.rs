//! Worlds: for every unsure input a number in (0, 1), the same for every option.
//!
//! The draws of one input are a Latin hypercube: of `count` equal strata each holds one draw. The
//! first `screened` worlds are a Latin hypercube of `screened` strata by themselves, so that a first
//! look at a few worlds is as even as the whole.
//!
//! An input's draws depend on the seed and on its name and on nothing else, so a new input does not
//! reshuffle the old ones.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::{Arc, Mutex, PoisonError};

use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};
use sha2::{Digest, Sha256};

use crate::weights::as_f64;

/// Worlds of the first look unless the sweep says otherwise.
pub const USUAL_SCREENED: usize = 200;

/// Draws of everything that is unsure.
#[derive(Debug)]
pub struct Worlds {
    seed: u64,
    count: usize,
    screened: usize,
    drives_all: bool,
    drawn: Mutex<BTreeMap<Arc<str>, Arc<[f64]>>>,
}

impl Worlds {
    /// `count` worlds, of which the first `screened` are even by themselves. `screened` may be
    /// anything: more than `count` means all, 0 means none. A sweep that leaves the first look out
    /// keeps the usual number here, so that its worlds stay the same.
    #[must_use]
    pub fn new(seed: u64, count: NonZeroUsize, screened: usize) -> Worlds {
        let count = count.get();
        Worlds {
            seed,
            count,
            screened: screened.min(count),
            drives_all: false,
            drawn: Mutex::default(),
        }
    }

    /// The same worlds with a range of each driven to its end, where a fit on few would do: what fits are held against.
    #[must_use]
    pub fn driving_all(self, drives_all: bool) -> Worlds {
        Worlds { drives_all, ..self }
    }

    /// Whether every range of every world is driven.
    #[must_use]
    pub fn drives_all(&self) -> bool {
        self.drives_all
    }

    /// The seed.
    #[must_use]
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// How many worlds.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// How many of them, from the first, are even by themselves.
    #[must_use]
    pub fn screened(&self) -> usize {
        self.screened
    }

    /// The draws of an input, one for each world, each inside (0, 1). They are made once and kept.
    #[must_use]
    pub fn units(&self, key: &str) -> Arc<[f64]> {
        let mut drawn = self.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(units) = drawn.get(key) {
            return Arc::clone(units);
        }
        let units: Arc<[f64]> = draw(&mut source(self.seed, key), self.count, self.screened).into();
        drawn.insert(Arc::from(key), Arc::clone(&units));
        units
    }
}

/// Random numbers that depend on the seed and the name alone. The hash makes the streams of any two
/// names unrelated, however alike the names.
fn source(seed: u64, key: &str) -> Pcg64 {
    let mut hash = Sha256::new();
    hash.update(seed.to_le_bytes());
    hash.update(key.as_bytes());
    Pcg64::from_seed(hash.finalize().into())
}

/// First one stratum for each world of the first look, then those that are left; both shuffled.
fn draw(random: &mut Pcg64, count: usize, screened: usize) -> Vec<f64> {
    let first = if screened == count { Vec::new() } else { first_strata(random, count, screened) };
    let mut taken = vec![false; count];
    for (stratum, _) in &first {
        taken[*stratum] = true;
    }
    let rest: Vec<usize> = (0..count).filter(|stratum| !taken[*stratum]).collect();
    let mut units: Vec<f64> = shuffled(random, first).into_iter().map(|(_, unit)| unit).collect();
    for stratum in shuffled(random, rest) {
        units.push((as_f64(stratum) + jitter(random)) / as_f64(count));
    }
    units
}

/// For each of `screened` coarse strata a draw, and the fine stratum that it lies in; no fine stratum
/// twice.
fn first_strata(random: &mut Pcg64, count: usize, screened: usize) -> Vec<(usize, f64)> {
    let mut strata: Vec<(usize, f64)> = Vec::with_capacity(screened);
    for place in 0..screened {
        // The fine strata that lie in this coarse one, whole or in part. One that lies across the
        // border may be taken from the left already. Something is always left, because a fine
        // stratum is no wider than a coarse one.
        let mut first = place * count / screened;
        if let Some((taken, _)) = strata.last() {
            first = first.max(taken + 1);
        }
        let last = ((place + 1) * count).div_ceil(screened) - 1;
        let coarse = Strip::of(place, screened);
        let left = Strip { from: coarse.from.max(Strip::of(first, count).from), ..coarse };
        let stratum = stratum_of(left.at(jitter(random)), count).clamp(first, last);
        let fine = Strip::of(stratum, count);
        let both = Strip { from: left.from.max(fine.from), to: left.to.min(fine.to) };
        strata.push((stratum, both.at(jitter(random))));
    }
    strata
}

/// Part of (0, 1).
#[derive(Clone, Copy)]
struct Strip {
    from: f64,
    to: f64,
}

impl Strip {
    /// One of `count` equal parts.
    fn of(place: usize, count: usize) -> Strip {
        let edge = |place: usize| as_f64(place) / as_f64(count);
        Strip { from: edge(place), to: edge(place + 1) }
    }

    fn at(self, share: f64) -> f64 {
        self.from + share * (self.to - self.from)
    }
}

/// A random order: by a random number each. Two equal numbers of 64 bits keep the order they had.
fn shuffled<T>(random: &mut Pcg64, items: Vec<T>) -> Vec<T> {
    let mut keyed: Vec<(u64, T)> =
        items.into_iter().map(|item| (random.next_u64(), item)).collect();
    keyed.sort_by_key(|(key, _)| *key);
    keyed.into_iter().map(|(_, item)| item).collect()
}

/// Evenly between 0 and 1, never at either: the middles of 2³² equal parts, so that a draw does not
/// fall on the edge of its stratum by rounding.
fn jitter(random: &mut Pcg64) -> f64 {
    (f64::from(random.next_u32()) + 0.5) / 4_294_967_296.0
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a draw in (0, 1) times a count"
)]
fn stratum_of(unit: f64, count: usize) -> usize {
    (unit * as_f64(count)) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worlds(seed: u64, count: usize, screened: usize) -> Worlds {
        Worlds::new(seed, NonZeroUsize::new(count).unwrap(), screened)
    }

    /// Each of as many strata as there are draws holds one.
    fn is_latin(units: &[f64]) -> bool {
        let mut strata: Vec<usize> =
            units.iter().map(|unit| stratum_of(*unit, units.len())).collect();
        strata.sort_unstable();
        strata.into_iter().eq(0..units.len())
    }

    #[test]
    fn each_stratum_of_the_whole_and_of_the_first_look_holds_one_draw() {
        for (count, screened) in [
            (2000, 200),
            (2000, 300),
            (2000, 1999),
            (2000, 1001),
            (2000, 7),
            (2000, 0),
            (2000, 2000),
            (300, 200),
            (201, 200),
            (100, 200),
            (7, 5),
            (2, 1),
            (1, 1),
            (1, 0),
        ] {
            for seed in 0..20 {
                let worlds = worlds(seed, count, screened);
                let units = worlds.units("car.drag_coefficient");
                assert_eq!(units.len(), count);
                assert!(units.iter().all(|unit| 0.0 < *unit && *unit < 1.0));
                assert!(is_latin(&units), "{count} {screened} seed {seed}");
                let first = &units[..worlds.screened()];
                assert!(is_latin(first), "the first {screened} of {count}, seed {seed}");
            }
        }
    }

    #[test]
    fn draws_depend_on_seed_and_name_only() {
        let one = worlds(1, 500, 50);
        let alone = one.units("tyres.rolling_resistance");
        let other = worlds(1, 500, 50);
        for new in ["a.new.key", "another", "tyres.rolling_resistanc"] {
            assert_ne!(other.units(new), alone, "{new}");
        }
        assert_eq!(other.units("tyres.rolling_resistance"), alone);
        assert_ne!(worlds(2, 500, 50).units("tyres.rolling_resistance"), alone);
        assert!(Arc::ptr_eq(&one.units("tyres.rolling_resistance"), &alone), "drawn once");
    }

    /// Kept numbers: a new version must not change the worlds of an old sweep unawares.
    #[test]
    fn the_same_seed_gives_the_same_worlds_for_ever() {
        let units = worlds(1, 10, 5).units("car.drag_coefficient");
        let shown: Vec<String> = units.iter().map(|unit| format!("{unit:.6}")).collect();
        assert_eq!(
            shown.join(" "),
            "0.570325 0.095986 0.871656 0.734868 0.264743 0.123184 0.340484 0.455880 0.671378 0.974158"
        );
    }

    /// Of independent inputs the correlation is 0 with standard deviation 1/√n; over many pairs of
    /// names the mean square of r √n must be near 1, and no pair far off.
    #[test]
    fn inputs_are_unrelated() {
        let count = 400;
        let worlds = worlds(5, count, 40);
        let names: Vec<String> = (0..40).map(|i| format!("put_in.part_{i}.mass")).collect();
        let mut squares = Vec::new();
        for (i, a) in names.iter().enumerate() {
            for b in &names[..i] {
                let (a, b) = (worlds.units(a), worlds.units(b));
                let covariance: f64 =
                    a.iter().zip(b.iter()).map(|(a, b)| (a - 0.5) * (b - 0.5)).sum();
                let r = 12.0 * covariance / as_f64(count);
                squares.push(r * r * as_f64(count));
            }
        }
        let mean = squares.iter().sum::<f64>() / as_f64(squares.len());
        let most = squares.iter().copied().fold(0.0, f64::max);
        // 780 pairs: the mean of as many squares of N(0, 1) is 1 ± 0.05.
        assert!((mean - 1.0).abs() < 0.2, "{mean}");
        assert!(most < 20.0, "{most}");
    }

    /// Why a Latin hypercube: the mean of an additive answer is far better known than from as many
    /// unrelated draws.
    #[test]
    fn the_mean_of_an_even_sample_is_nearly_exact() {
        let units = worlds(3, 2000, 200).units("a");
        let mean = units.iter().sum::<f64>() / 2000.0;
        // Jitter within strata of 1/2000 alone: sd 1/2000/√12/√2000.
        assert!((mean - 0.5).abs() < 5.0 / 2000.0 / 12_f64.sqrt() / 2000_f64.sqrt(), "{mean}");
    }
}
