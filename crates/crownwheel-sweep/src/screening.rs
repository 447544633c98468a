//! A first look at all options in few worlds, then the full number for those that matter.

use std::collections::BTreeSet;

use crate::worlds::USUAL_SCREENED;

/// Options that are kept by their place in the ranking.
pub const KEPT_BEST: usize = 30;

/// The rule of the first look. An option that met all demands in none of 200 worlds does so in fewer than
/// 1.5 of 100 (19 to 1, the rule of three), so it takes no place
/// among them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Screening {
    /// Worlds of the first look.
    pub first_worlds: usize,
    /// How many of the best go on.
    pub best: usize,
}

impl Default for Screening {
    fn default() -> Self {
        Screening { first_worlds: USUAL_SCREENED, best: KEPT_BEST }
    }
}

impl Screening {
    /// Whether a first look leaves anything out: there are more options than go on in any case, and
    /// more worlds than it takes.
    #[must_use]
    pub fn leaves_out(&self, options: u128, worlds: usize) -> bool {
        options > self.best as u128 && worlds > self.first_worlds
    }

    /// Which options go on: the first of the ranking and the non-dominated ones, in order of their
    /// numbers.
    #[must_use]
    pub fn go_on<K: Ord + Copy>(&self, ranking: &[K], non_dominated: &[K]) -> BTreeSet<K> {
        ranking.iter().take(self.best).chain(non_dominated).copied().collect()
    }

    /// The rule in a sentence.
    #[must_use]
    pub fn sentence(&self, worlds: usize) -> String {
        format!(
            "All options were run in the first {} worlds; of those that met every demand in any of them (of all, if none did) the best {} and those that no other beats in everything went on to {worlds}.",
            self.first_worlds, self.best
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_and_the_non_dominated_go_on() {
        let rule = Screening { first_worlds: 200, best: 2 };
        let on = rule.go_on(&[5, 3, 9, 1], &[9, 3]);
        assert_eq!(on.into_iter().collect::<Vec<_>>(), [3, 5, 9]);
        assert!(rule.leaves_out(3, 201) && !rule.leaves_out(2, 2000) && !rule.leaves_out(99, 200));
        assert_eq!(
            Screening::default().sentence(2000),
            "All options were run in the first 200 worlds; of those that met every demand in any of them (of all, if none did) the best 30 and those that no other beats in everything went on to 2000."
        );
    }
}
