//! What a first look leaves behind, in bounded memory: everything of a small sweep, the options that
//! matter of a large one.

use std::collections::{BTreeMap, BTreeSet};

use crownwheel_answers::OptionAnswer;

use crate::screening::KEPT_BEST;
use crate::sweep::{Brief, Looked, Plan};

/// Options of which everything is kept; of a larger sweep only those that go on are.
pub const MOST_SHOWN: u128 = 5000;

/// Options that a large sweep gathers before it drops those that cannot go on.
const DROP_AT: usize = 4096;

/// What a first look leaves behind.
#[derive(Clone, Debug)]
pub struct Gathered {
    all: bool,
    /// Options by their numbers: all, or those that may go on and the first that cannot be built.
    looked: BTreeMap<u128, Looked>,
    briefs: BTreeMap<u128, Brief>,
    drop_at: usize,
    count: u128,
    impossible: u128,
    first_impossible: Option<u128>,
    meet_all: u128,
    scatter: f64,
}

impl Gathered {
    /// Nothing yet.
    #[must_use]
    pub fn new(plan: &Plan<'_>) -> Gathered {
        Gathered {
            all: plan.space.len() <= MOST_SHOWN,
            looked: BTreeMap::new(),
            briefs: BTreeMap::new(),
            drop_at: DROP_AT,
            count: 0,
            impossible: 0,
            first_impossible: None,
            meet_all: 0,
            scatter: 0.0,
        }
    }

    /// Takes in an option.
    pub fn add(&mut self, plan: &Plan<'_>, looked: Looked) {
        self.count += 1;
        self.scatter = self.scatter.max(looked.scatter);
        if let Some(brief) = plan.brief(&looked) {
            self.meet_all += u128::from(brief.meets_all);
            self.briefs.insert(looked.index, brief);
            self.looked.insert(looked.index, looked);
            if !self.all && self.briefs.len() > self.drop_at {
                self.drop_hopeless(plan);
            }
        } else {
            self.impossible += 1;
            let first = self.first_impossible.is_none_or(|first| looked.index < first);
            if first && !self.all {
                self.first_impossible.and_then(|first| self.looked.remove(&first));
            }
            if first || self.all {
                self.first_impossible =
                    self.first_impossible.filter(|_| !first).or(Some(looked.index));
                self.looked.insert(looked.index, looked);
            }
        }
    }

    /// Drops what is left of the options that cannot go on, so that what is kept does not hang on the
    /// order in which options came.
    pub(crate) fn settle(&mut self, plan: &Plan<'_>) {
        if !self.all {
            self.drop_hopeless(plan);
        }
    }

    /// Drops what can neither be among the best, by money or by mass, nor be beaten by none.
    fn drop_hopeless(&mut self, plan: &Plan<'_>) {
        let briefs = self.briefs();
        let without_prices: Vec<Brief> =
            briefs.iter().map(|brief| Brief { price: None, ..brief.clone() }).collect();
        let priced: Vec<Brief> =
            briefs.iter().filter(|brief| brief.price.is_some()).cloned().collect();
        let best = plan.screening.map_or(KEPT_BEST, |rule| rule.best);
        let mut keep: BTreeSet<u128> = plan.non_dominated(&briefs).into_iter().collect();
        for ranked in [plan.ranked(&without_prices), plan.ranked(&priced)] {
            keep.extend(ranked.into_iter().take(best));
        }
        // One without a price is enough to say that money does not decide.
        keep.extend(briefs.iter().find(|brief| brief.price.is_none()).map(|brief| brief.index));
        self.briefs.retain(|index, _| keep.contains(index));
        self.looked.retain(|index, looked| keep.contains(index) || looked.answer.reason.is_some());
        self.drop_at = DROP_AT.max(2 * self.briefs.len());
    }

    /// What a decision needs of the options that are kept, in their order.
    #[must_use]
    pub fn briefs(&self) -> Vec<Brief> {
        self.briefs.values().cloned().collect()
    }

    /// The options that are kept, by their numbers.
    #[must_use]
    pub fn looked(&self) -> &BTreeMap<u128, Looked> {
        &self.looked
    }

    /// Whether every option is kept.
    #[must_use]
    pub fn keeps_all(&self) -> bool {
        self.all
    }

    /// How many options were looked at.
    #[must_use]
    pub fn count(&self) -> u128 {
        self.count
    }

    /// How many of them cannot be built.
    #[must_use]
    pub fn impossible(&self) -> u128 {
        self.impossible
    }

    /// How many meet all demands, as far as is known now.
    #[must_use]
    pub fn meet_all(&self) -> u128 {
        self.meet_all
    }

    /// How far corrected ranges scatter about driven ones, relative, the worst of all options.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.scatter
    }

    /// Puts what all worlds say in the place of the first look.
    pub(crate) fn replace(&mut self, plan: &Plan<'_>, looked: Looked) {
        self.scatter = self.scatter.max(looked.scatter);
        let Some(brief) = plan.brief(&looked) else { return };
        let met = |brief: &Brief| u128::from(brief.meets_all);
        self.meet_all += met(&brief);
        if let Some(before) = self.briefs.insert(looked.index, brief) {
            self.meet_all -= met(&before);
        }
        self.looked.insert(looked.index, looked);
    }

    /// The options that an answer shows.
    pub(crate) fn shown(&self, finished: &BTreeSet<u128>) -> Vec<OptionAnswer> {
        let shown = |index: &u128, looked: &Looked| {
            self.all || finished.contains(index) || looked.answer.reason.is_some()
        };
        let kept = self.looked.iter().filter(|(index, looked)| shown(index, looked));
        kept.map(|(_, looked)| looked.answer.clone()).collect()
    }
}
