//! The worlds behind the bands of one car's answers.

use serde::Serialize;

use crate::Units;
use crate::sweep::{FactsAnswer, facts_sentences};

/// In how many worlds a car was run, and what measured facts did to them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorldDraw {
    /// Number of worlds.
    pub worlds: usize,
    /// What measured facts did to the worlds. `None`: there are none.
    pub facts: Option<FactsAnswer>,
}

impl WorldDraw {
    /// What the bands are, a sentence each.
    #[must_use]
    pub fn sentences(&self, units: Units) -> Vec<String> {
        let mut all = vec![format!(
            "Bands are from {} worlds, in which everything that is unsure, written or assumed, is drawn anew: one in ten lies below, one in ten above.",
            self.worlds
        )];
        if let Some(facts) = &self.facts {
            all.extend(facts_sentences(facts, self.worlds, units));
        }
        all
    }
}
