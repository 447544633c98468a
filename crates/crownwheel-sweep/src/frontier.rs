//! Options that no other option beats in everything at once.

/// The non-dominated set of what was offered so far.
///
/// One option dominates another if it is no worse in every answer and better in one. Options that are
/// equal in all answers stay together. The set does not depend on the order of offers.
#[derive(Clone, Debug)]
pub struct Frontier<K> {
    more_is_better: Vec<bool>,
    members: Vec<(K, Vec<f64>)>,
}

impl<K: Ord + Copy> Frontier<K> {
    /// An empty set over as many answers as there are directions.
    #[must_use]
    pub fn new(more_is_better: Vec<bool>) -> Frontier<K> {
        Frontier { more_is_better, members: Vec::new() }
    }

    /// Offers an option with its answers, in the order of the directions. An answer that is not a
    /// number is worse than any.
    pub fn offer(&mut self, key: K, answers: &[f64]) {
        let better = |more: &bool, answer: &f64| match (answer.is_nan(), more) {
            (true, _) => f64::NEG_INFINITY,
            (false, true) => *answer,
            (false, false) => -answer,
        };
        let answers: Vec<f64> =
            self.more_is_better.iter().zip(answers).map(|(more, it)| better(more, it)).collect();
        if self.members.iter().any(|(_, member)| dominates(member, &answers)) {
            return;
        }
        self.members.retain(|(_, member)| !dominates(&answers, member));
        self.members.push((key, answers));
    }

    /// The members, in the order of their keys.
    #[must_use]
    pub fn members(&self) -> Vec<K> {
        let mut keys: Vec<K> = self.members.iter().map(|(key, _)| *key).collect();
        keys.sort();
        keys
    }
}

/// All answers are turned so that more is better.
fn dominates(one: &[f64], other: &[f64]) -> bool {
    one.iter().zip(other).all(|(a, b)| a >= b) && one.iter().zip(other).any(|(a, b)| a > b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::worlds::Worlds;
    use std::num::NonZeroUsize;

    #[test]
    fn range_against_price_by_hand() {
        let mut frontier = Frontier::new(vec![true, false]);
        let offers = [
            (0, [118.0, 3100.0]),
            (1, [104.0, 2790.0]),
            (2, [103.0, 2800.0]), // worse than 1 in both
            (3, [118.0, 3100.0]), // the same as 0
            (4, [f64::NAN, 2000.0]),
            (5, [f64::NAN, 2100.0]),
            (6, [118.0, 3101.0]),
        ];
        for (key, answers) in offers {
            frontier.offer(key, &answers);
        }
        assert_eq!(frontier.members(), [0, 1, 3, 4]);
    }

    #[test]
    fn it_is_the_set_that_the_definition_gives_in_any_order() {
        let worlds = Worlds::new(1, NonZeroUsize::new(400).unwrap(), 0);
        let columns = ["range", "price", "time"].map(|name| worlds.units(name));
        let point = |i: usize| [columns[0][i], columns[1][i], columns[2][i]];
        let beats = |a: [f64; 3], b: [f64; 3]| {
            a[0] >= b[0]
                && a[1] <= b[1]
                && a[2] <= b[2]
                && a.iter().zip(&b).any(|(a, b)| a.total_cmp(b).is_ne())
        };
        let right: Vec<usize> =
            (0..400).filter(|i| !(0..400).any(|j| beats(point(j), point(*i)))).collect();
        for order in [(0..400).collect::<Vec<_>>(), (0..400).rev().collect()] {
            let mut frontier = Frontier::new(vec![true, false, false]);
            for i in order {
                frontier.offer(i, &point(i));
            }
            assert_eq!(frontier.members(), right);
        }
        assert!(right.len() > 5 && right.len() < 200, "{}", right.len());
    }
}
