//! What a first look leaves behind, in bounded memory: everything of a small sweep, the options that
//! matter of a large one.

use std::collections::{BTreeMap, BTreeSet};

use crate::screening::KEPT_BEST;
use crate::sweep::{Brief, OptionLook, Plan};

/// Options of which everything is kept; of a larger sweep only those that go on are.
pub const MOST_SHOWN: u128 = 5000;

/// Options that a large sweep gathers before it drops those that cannot go on.
const DROP_AT: usize = 4096;

/// What a first look leaves behind.
#[derive(Clone, Debug)]
pub struct FirstLooks {
    all: bool,
    /// Options by their numbers: all, or those that may go on and the first that cannot be built.
    looked: BTreeMap<u128, OptionLook>,
    briefs: BTreeMap<u128, Brief>,
    drop_at: usize,
    count: u128,
    impossible: u128,
    first_impossible: Option<u128>,
    meet_all: u128,
    scatter: f64,
}

impl FirstLooks {
    /// Nothing yet.
    #[must_use]
    pub fn new(plan: &Plan<'_>) -> FirstLooks {
        FirstLooks {
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
    pub fn add(&mut self, plan: &Plan<'_>, looked: OptionLook) {
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
            if first {
                let before = self.first_impossible.replace(looked.index);
                if let (Some(before), false) = (before, self.all) {
                    self.looked.remove(&before);
                }
            }
            if first || self.all {
                self.looked.insert(looked.index, looked);
            }
        }
    }

    /// Drops what is left of the options that cannot go on, so that what is kept does not depend on the
    /// order in which options came.
    pub(crate) fn settle(&mut self, plan: &Plan<'_>) {
        if !self.all {
            self.drop_hopeless(plan);
        }
    }

    /// Drops what can neither be among the best, by money or by mass, nor be beaten by none.
    fn drop_hopeless(&mut self, plan: &Plan<'_>) {
        let briefs = self.briefs();
        let best = plan.screening.map_or(KEPT_BEST, |rule| rule.best);
        let mut keep: BTreeSet<u128> = plan.non_dominated(&briefs).into_iter().collect();
        let mut keep_best = |some: Vec<Brief>| {
            keep.extend(plan.ranked(&some).into_iter().take(best));
        };
        // Whether money decides is known at the end only, and so is whether any option has a chance.
        for chance in [0.0, f64::MIN_POSITIVE] {
            let with_chance = || briefs.iter().filter(|brief| brief.all_frac >= chance);
            keep_best(with_chance().map(|it| Brief { price: None, ..it.clone() }).collect());
            keep_best(with_chance().filter(|it| it.price.is_some()).cloned().collect());
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
    pub fn looked(&self) -> &BTreeMap<u128, OptionLook> {
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
    pub(crate) fn replace(&mut self, plan: &Plan<'_>, looked: OptionLook) {
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
    pub(crate) fn shown(&self, ranked: &BTreeSet<u128>) -> impl Iterator<Item = &OptionLook> {
        self.looked.values().filter(|looked| {
            self.all || ranked.contains(&looked.index) || looked.answer.reason.is_some()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel_quantities::{Question, rows};
    use std::num::NonZeroUsize;
    use std::sync::Arc;

    use crate::result::OptionAnswer;
    use crate::result::{Answers, Choices};
    use crownwheel::example;
    use crownwheel::knob::Knob;
    use crownwheel::weights::LoadCase;
    use crownwheel_quantities::Band;

    use crate::course::Course;
    use crate::sweep::SharedReference;
    use crate::{AxisValue, Base, DayModel, Model, Space, SweptNumber, Weights, Worlds};
    use crownwheel::spread::Spread;

    /// So many options, none of which is ever run.
    fn space(count: usize) -> Space {
        let car = example::small_saloon();
        let key = "tyres.rolling_resistance";
        let knob = Knob::find(key, &car).unwrap();
        let value = AxisValue { label: Arc::from(""), spread: Spread::exact(0.01), price: None };
        let physical = (0.0, 1.0);
        let axis = SweptNumber { key: Arc::from(key), knob, physical, values: vec![value; count] };
        let model = Ok(Model { car, unsure: Vec::new() });
        Space {
            bases: vec![Base { choices: Vec::new(), model }],
            axes: vec![axis],
            module_price: None,
        }
    }

    /// An option with numbers that look random: one in five cannot be built, few meet all demands.
    fn option(names: &Arc<[Question]>, index: u128) -> OptionLook {
        let number = f64::from(u32::try_from(index).unwrap());
        let noise = |k: f64| libm::sin(number * k).abs();
        let id = format!("x={index:06}");
        if index % 5 == 3 {
            let answer = OptionAnswer::impossible(id, Choices::default(), "too much".to_owned());
            return OptionLook::told(index, answer, 0.0);
        }
        let bands = vec![Band::only(900.0 + 50.0 * noise(1.7)), Band::only(3000.0 * noise(2.3))];
        let all = noise(0.37);
        let answer = OptionAnswer {
            id,
            answers: Answers::new(Arc::clone(names), bands),
            all_demands_probability: Some(all),
            meets_all: all > 0.999,
            price: (index != 7777).then(|| 3000.0 * noise(2.3)),
            worlds: 1,
            ..OptionAnswer::default()
        };
        OptionLook::told(index, answer, 0.0)
    }

    /// What is kept of many options is little, and it is what the whole list would have given, in
    /// whatever order they come.
    #[test]
    fn of_many_options_those_that_matter_are_kept() {
        let count = 20_000;
        let space = space(count);
        let driver = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
        let day = DayModel { day: example::mild_day(), unsure: Vec::new() };
        let names = vec![driver, Question::of(&rows::PRICE)];
        let course = Course::new(names, &[], Vec::new(), vec![day], Vec::new()).unwrap();
        let worlds = Worlds::new(1, NonZeroUsize::MIN, 0);
        let weights = Weights::equal(1);
        let plan = Plan {
            space: &space,
            course: &course,
            worlds: &worlds,
            demands: &[],
            weights: &weights,
            screening: None,
            compared: vec![0, 1],
            reference: SharedReference::default(),
        };
        let indices: Vec<u128> = (0..count as u128).collect();
        let all: Vec<Brief> = indices
            .iter()
            .filter_map(|index| plan.brief(&option(course.names(), *index)))
            .collect();
        let (best, front) = (plan.ranked(&all), plan.non_dominated(&all));
        let forth: Vec<u128> = indices.clone();
        let back: Vec<u128> = indices.iter().rev().copied().collect();
        let mut kept = Vec::new();
        for order in [forth, back] {
            let mut gathered = FirstLooks::new(&plan);
            for index in order {
                gathered.add(&plan, option(course.names(), index));
                assert!(gathered.looked().len() <= 2 * DROP_AT + 1);
            }
            gathered.settle(&plan);
            assert_eq!((gathered.count(), gathered.impossible()), (20_000, 4_000));
            assert_eq!(gathered.meet_all(), all.iter().filter(|it| it.meets_all).count() as u128);
            let briefs = gathered.briefs();
            assert_eq!(plan.ranked(&briefs)[..KEPT_BEST], best[..KEPT_BEST]);
            assert_eq!(plan.non_dominated(&briefs), front);
            assert_eq!(
                gathered.shown(&BTreeSet::new()).count(),
                1,
                "the first that cannot be built"
            );
            kept.push(gathered.looked().keys().copied().collect::<Vec<_>>());
        }
        assert_eq!(kept[0], kept[1]);
        assert!(kept[0].contains(&3) && kept[0].len() < 200, "{}", kept[0].len());
    }
}
