//! The decision: the options in their order after the second look, and the best with its worlds.

use std::collections::{BTreeMap, BTreeSet};

use crate::result::OptionAnswer;

use crate::gathered::FirstLooks;
use crate::sweep::{Brief, OptionLook, OptionRun, Plan};

/// The best and those that it is held against: all of them are known in all worlds.
pub const HELD_AGAINST_EACH_OTHER: usize = 4;

/// The options in their order.
#[derive(Clone, Debug)]
pub struct Decision {
    gathered: FirstLooks,
    /// Options in all worlds, by their numbers.
    finished: BTreeMap<u128, OptionRun>,
    /// Numbers of the options, the best first.
    ranked: Vec<u128>,
    non_dominated: BTreeSet<u128>,
}

impl Decision {
    /// From the first look and the options that went on. The best few are run in all worlds if they did
    /// not go on: what went on may have turned out worse than what did not.
    #[must_use]
    pub fn new(
        plan: &Plan<'_>,
        mut gathered: FirstLooks,
        mut finished: Vec<OptionRun>,
    ) -> Decision {
        gathered.settle(plan);
        let mut decision = Decision {
            gathered,
            finished: BTreeMap::new(),
            ranked: Vec::new(),
            non_dominated: BTreeSet::new(),
        };
        loop {
            for one in finished {
                decision.gathered.replace(plan, one.looked.clone());
                decision.finished.insert(one.looked.index, one);
            }
            let briefs = decision.briefs(plan);
            decision.ranked = plan.ranked(&briefs);
            let best = decision.ranked.iter().take(HELD_AGAINST_EACH_OTHER);
            let missing: Vec<u128> =
                best.filter(|index| !decision.finished.contains_key(index)).copied().collect();
            // None is left out when it is run again: each was built once.
            finished = plan.finish(&missing, decision.gathered.looked(), &|| {});
            if finished.is_empty() {
                decision.non_dominated = plan.non_dominated(&briefs).into_iter().collect();
                return decision;
            }
        }
    }

    /// Options that are ranked: of a large sweep only those that went on, if any did.
    fn briefs(&self, plan: &Plan<'_>) -> Vec<Brief> {
        let mut briefs = self.gathered.briefs();
        if !self.gathered.keeps_all() && plan.looks_twice() {
            briefs.retain(|brief| self.finished.contains_key(&brief.index));
        }
        briefs
    }

    /// What the first look left, with what all worlds say in its place.
    #[must_use]
    pub fn gathered(&self) -> &FirstLooks {
        &self.gathered
    }

    /// Numbers of the options, the best first.
    #[must_use]
    pub fn ranked(&self) -> &[u128] {
        &self.ranked
    }

    /// The best options in all worlds, the best first.
    pub fn best(&self) -> impl Iterator<Item = &OptionRun> {
        self.ranked
            .iter()
            .take(HELD_AGAINST_EACH_OTHER)
            .filter_map(|index| self.finished.get(index))
    }

    /// The options that an answer shows, in their order, each with what is known of it now.
    #[must_use]
    pub fn shown(&self) -> Vec<OptionAnswer> {
        let ranked: BTreeSet<u128> = self.ranked.iter().copied().collect();
        self.gathered.shown(&ranked).map(|looked| self.known_of(looked)).collect()
    }

    /// What is known of an option that was looked at: in all worlds, if it went on, and whether no other
    /// beats it in everything, if it can be built.
    #[must_use]
    pub fn known_of(&self, looked: &OptionLook) -> OptionAnswer {
        let looked = self.finished.get(&looked.index).map_or(looked, |finished| &finished.looked);
        let mut answer = looked.answer.clone();
        if answer.reason.is_none() {
            answer.non_dominated = Some(self.non_dominated.contains(&looked.index));
        }
        answer
    }
}
