//! From the decision to the answer that people and programs read.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel_answers::sweep::{
    DemandLimit, FactAgainst, FactsAnswer, HeadToHead, JudgedBy, MeasureNext, Named, Quantity,
};
use crownwheel_answers::unit::digits;
use crownwheel_answers::{
    AnswerName, Assumed, Caution, OptionAnswer, Provenance, SweepAnswer, Topic, Units, Warning,
};
use rayon::prelude::*;

use crate::conditioning::MODEL_ERROR_FRAC;
use crate::course::Course;
use crate::decision::Decision;
use crate::demand::{Bound, Demand};
use crate::facts::{Conditioned, Verdict};
use crate::model::Model;
use crate::pilot::PILOTS;
use crate::ranking::{BY_MASS, BY_MONEY, beats};
use crate::run::Values;
use crate::shares::{Share, Shared};
use crate::sweep::Plan;
use crate::weights::Weights;
use crate::worlds::Worlds;

/// Inputs that are named for an answer.
pub const MOST_INPUTS: usize = 5;

/// A smaller share is not worth a measurement.
const LEAST_SHARE: f64 = 0.01;

/// A car that is no farther behind at the end of a cycle follows it, s.
const FOLLOWS_WITHIN_S: f64 = 1.0;

/// What an answer says beside the numbers of the plan.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units of the answer.
    pub units: Units,
    /// Name of the car.
    pub car: String,
    /// Names of the cycles that every option drives.
    pub cycles: Vec<String>,
    /// Names of their days.
    pub days: Vec<String>,
    /// Currency of all prices.
    pub currency: Option<String>,
    /// Lines that would put an assumed input into the build, by its key.
    pub lines: BTreeMap<String, String>,
    /// What the measured facts did.
    pub facts: Option<FactsAnswer>,
    /// What else to know.
    pub notes: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
}

/// The answer of a sweep.
#[must_use]
pub fn answer(plan: &Plan<'_>, decision: &Decision, told: Told) -> SweepAnswer {
    let gathered = decision.gathered();
    let by_money = gathered.briefs().iter().all(|brief| brief.price.is_some());
    let id = |index: &u128| gathered.looked().get(index).map(|looked| looked.answer.id.clone());
    let mut notes = notes(plan, decision);
    notes.extend(told.notes);
    let names = &plan.course.names;
    let options = decision.shown();
    let mut warnings = told.warnings;
    warnings.extend(names.iter().filter_map(|name| none_follows(name, &options)));
    let mut answer = SweepAnswer {
        provenance: told.provenance,
        units: told.units,
        car: told.car,
        cycles: told.cycles,
        days: told.days,
        worlds: plan.worlds.count(),
        screening: plan
            .screening
            .filter(|_| plan.looks_twice())
            .map(|rule| rule.sentence(plan.worlds.count())),
        currency: told.currency,
        option_count: whole(gathered.count()),
        impossible_count: whole(gathered.impossible()),
        meets_all_count: whole(gathered.meet_all()),
        judged_by: names.iter().map(JudgedBy::of).collect(),
        demand_limits: limits(plan.demands),
        options,
        ranking: decision.ranked().iter().filter_map(id).collect(),
        ranking_rule: if by_money { BY_MONEY } else { BY_MASS }.to_owned(),
        non_dominated_over: plan.compared.iter().map(|at| Named::of(&names[*at])).collect(),
        head_to_head: head_to_head(plan, decision),
        measure_next: measure_next_of_best(plan, decision, &told.lines),
        facts: told.facts,
        notes,
        assumed: told.assumed,
        warnings,
        cautions: [Topic::AxleLoads, Topic::HighVoltage].map(Caution::about).to_vec(),
        ..SweepAnswer::default()
    };
    answer.trades = answer.trades_of_best(&telling(plan.course, plan.demands, Telling::Trades));
    answer.plain = answer.plain_line();
    answer
}

/// A cycle on which every option that can be built falls behind.
fn none_follows(name: &AnswerName, options: &[OptionAnswer]) -> Option<Warning> {
    let AnswerName::Shortfall { cycle, day } = name else { return None };
    let behind_s = options.iter().filter_map(|option| Some(option.answers.get(name)?.nominal));
    let least_s = behind_s.reduce(f64::min).filter(|least_s| *least_s > FOLLOWS_WITHIN_S)?;
    Some(Warning {
        code: "no_option_follows".to_owned(),
        text: format!(
            "No option keeps up with {cycle} on the {day} day: the best falls {} s behind in one cycle from full.",
            digits(least_s, 0)
        ),
    })
}

fn whole(count: u128) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
}

fn notes(plan: &Plan<'_>, decision: &Decision) -> Vec<String> {
    let mut notes = Vec::new();
    let worlds = plan.worlds.count();
    if worlds == 1 {
        notes.push(
            "Every option was run at its nominal values only: a probability of 100 % or 0 % says no more than that it meets a demand or not.".to_owned(),
        );
    }
    let scatter = decision.gathered().scatter();
    if scatter > 0.0 {
        notes.push(format!(
            "{} worlds of an option or more are driven to the end; in the others its range is said by a fit on what is unsure, which misses by {} % at most (root mean square of worlds left out).",
            PILOTS[0],
            digits(100.0 * scatter, 2)
        ));
    }
    if !decision.gathered().keeps_all() {
        notes.push(format!(
            "The options named here are those that came far; options.csv, which --out writes, has all {}.",
            decision.gathered().count()
        ));
    }
    notes
}

/// The limits of the demands, in their order.
#[must_use]
pub fn limits(demands: &[Demand]) -> Vec<DemandLimit> {
    let of = |demand: &Demand| -> Vec<DemandLimit> {
        let one = |it: &crate::demand::Condition| {
            let (at_least, limit) = match it.bound {
                Bound::AtLeast(limit) => (true, limit),
                Bound::AtMost(limit) => (false, limit),
            };
            DemandLimit::new(&demand.name, &it.answer, at_least, limit)
        };
        demand.conditions.iter().map(one).collect()
    };
    demands.iter().flat_map(of).collect()
}

/// What answers are picked for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Telling {
    /// To say what a choice gives and takes.
    Trades,
    /// To ask what moves them.
    Causes,
}

/// The answers that tell most: the ranges that are demanded (all, where none is), the times, and of
/// trades the motor speed.
fn telling(course: &Course, demands: &[Demand], what: Telling) -> Vec<AnswerName> {
    let demanded = |name: &AnswerName| {
        demands.iter().flat_map(|demand| &demand.conditions).any(|it| it.answer == *name)
    };
    let is_range = |name: &&AnswerName| name.is_range();
    let some_demanded = course.names.iter().filter(is_range).any(demanded);
    let tells = |name: &&AnswerName| match name {
        AnswerName::KeepsUp { .. } => !some_demanded || demanded(name),
        AnswerName::Range { .. } => demanded(name),
        AnswerName::Time { .. } => true,
        AnswerName::CruiseMotorSpeed { .. } => what == Telling::Trades,
        _ => false,
    };
    course.names.iter().filter(tells).cloned().collect()
}

/// The best option against the next, in every answer that options are compared by and that the worlds
/// move.
fn head_to_head(plan: &Plan<'_>, decision: &Decision) -> Vec<HeadToHead> {
    let mut finished = decision.best();
    let Some(best) = finished.next() else { return Vec::new() };
    if plan.worlds.count() == 1 {
        return Vec::new();
    }
    let names = &plan.course.names;
    let places: Vec<usize> = telling(plan.course, plan.demands, Telling::Causes)
        .iter()
        .filter_map(|name| plan.course.place(name))
        .collect();
    finished
        .flat_map(|other| places.iter().map(move |place| (other, *place)))
        .map(|(other, place)| {
            let (name, weights) = (&names[place], plan.weights);
            let more = name.more_is_better();
            let share = beats(&best.values[place], &other.values[place], more, weights);
            HeadToHead {
                id: best.looked.answer.id.clone(),
                over: other.looked.answer.id.clone(),
                answer: name.key(),
                probability: share.value,
                standard_error: share.standard_error,
            }
        })
        .collect()
}

fn measure_next_of_best(
    plan: &Plan<'_>,
    decision: &Decision,
    lines: &BTreeMap<String, String>,
) -> Vec<MeasureNext> {
    let Some(best) = decision.best().next() else { return Vec::new() };
    let option = plan.space.unchecked(best.looked.index);
    let Some(Ok(model)) = option.map(|option| option.model) else { return Vec::new() };
    let names = telling(plan.course, plan.demands, Telling::Causes);
    let run = Ran { course: plan.course, worlds: plan.worlds, model: &model, values: &best.values };
    measure_next(&run, &names, plan.weights, lines)
}

/// A car in all worlds.
#[derive(Clone, Copy, Debug)]
pub struct Ran<'a> {
    /// What it was asked.
    pub course: &'a Course,
    /// The worlds.
    pub worlds: &'a Worlds,
    /// The car.
    pub model: &'a Model,
    /// Its answers over the worlds, in the order of the course's names.
    pub values: &'a Values,
}

/// Inputs that are worth measuring because they move these answers, at most [`MOST_INPUTS`] for each,
/// the largest share first. `lines` holds lines to write, by the key of the input.
#[must_use]
pub fn measure_next(
    run: &Ran<'_>,
    names: &[AnswerName],
    weights: &Weights,
    lines: &BTreeMap<String, String>,
) -> Vec<MeasureNext> {
    let of_car = run.model.unsure.iter().map(|unsure| Arc::clone(&unsure.key));
    let of_days = run.course.days.iter().flat_map(|day| &day.unsure);
    let keys: Vec<Arc<str>> = of_car.chain(of_days.map(|unsure| Arc::clone(&unsure.key))).collect();
    let of = |name: &AnswerName| -> Vec<MeasureNext> {
        let place = run.course.place(name);
        let Some(values) = place.and_then(|place| run.values.get(place)) else { return Vec::new() };
        let shared = Shared::new(values, weights);
        let shares: Vec<(&str, Share)> = keys
            .par_iter()
            .filter_map(|key| Some((&**key, shared.of(&run.worlds.units(key))?)))
            .collect();
        let mut shares: Vec<(&str, Share)> = shares
            .into_iter()
            .filter(|(_, share)| share.is_plain() && share.share >= LEAST_SHARE)
            .collect();
        shares.sort_by(|a, b| b.1.share.total_cmp(&a.1.share).then(a.0.cmp(b.0)));
        shares
            .into_iter()
            .take(MOST_INPUTS)
            .map(|(key, it)| {
                MeasureNext::new(name, key, (it.share, it.standard_error), lines.get(key).cloned())
            })
            .collect()
    };
    names.iter().flat_map(of).collect()
}

/// What measured facts did to the worlds, for people.
#[must_use]
pub fn facts_answer(used: Vec<(AnswerName, String)>, conditioned: &Conditioned) -> FactsAnswer {
    let unit_of = |fact: &str| {
        let found = used.iter().find(|(_, name)| name == fact);
        found.map_or("", |(answer, _)| Units::Metric.symbol(answer.unit()))
    };
    let against = |it: &crate::facts::Contradiction| {
        let unit = unit_of(&it.fact.name);
        FactAgainst {
            fact: it.fact.name.to_string(),
            measured: Quantity { value: it.fact.measured, unit },
            predicted: Quantity { value: it.predicted, unit },
            distance_sd: it.distance_sd,
        }
    };
    let tempered_by = match conditioned.verdict {
        Verdict::Tempered { exponent, .. } => Some(exponent),
        Verdict::Enough | Verdict::Few => None,
    };
    let contradictions = conditioned.contradictions.iter().map(against).collect();
    FactsAnswer {
        effective_worlds: conditioned.weights.effective(),
        tempered_by,
        contradictions,
        used: used.into_iter().map(|(_, name)| name).collect(),
    }
}

/// What is taken for the model's own error where facts weigh the worlds, in a sentence.
#[must_use]
pub fn model_error_note() -> String {
    format!(
        "Against measured facts the model's own error is taken as {} % of what was measured (standard deviation, assumed).",
        digits(100.0 * MODEL_ERROR_FRAC, 0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::num::NonZeroUsize;

    use crownwheel::example;
    use crownwheel::knob::Knob;

    use crate::facts::Fact;
    use crate::facts::Facts;
    use crate::{DayModel, Unsure};
    use crownwheel::spread::Spread;

    fn unsure(key: &str) -> Unsure {
        let knob = Knob::find(key, &example::small_saloon()).unwrap();
        let (spread, physical) = (Spread::normal(1.0, 0.1), (0.0, 2.0));
        Unsure { key: Arc::from(key), knob, spread, physical }
    }

    /// Mass is `2 u1 + u2 + 0 u3` of three even draws: shares 4/5, 1/5 and none.
    #[test]
    fn the_inputs_that_move_an_answer_are_named_in_order() {
        let (most, some) = ("tyres.rolling_resistance", "car.drag_coefficient");
        let unsure = ["motor.curve_scale", some, most].map(unsure).to_vec();
        let model = Model { car: example::small_saloon(), unsure };
        let day = DayModel { day: example::mild_day(), unsure: Vec::new() };
        let mass = AnswerName::Mass { case: crownwheel_answers::LoadCase::DriverOnly };
        let course = Course::new(vec![mass.clone()], &[], Vec::new(), vec![day], Vec::new());
        let course = course.unwrap();
        let worlds = Worlds::new(1, NonZeroUsize::new(2000).unwrap(), 200);
        let (u1, u2) = (worlds.units(most), worlds.units(some));
        let values = vec![u1.iter().zip(u2.iter()).map(|(a, b)| 2.0 * a + b).collect()];
        let run = Ran { course: &course, worlds: &worlds, model: &model, values: &values };
        let lines = BTreeMap::from([(some.to_owned(), format!("{some} = \"0.42\""))]);
        let next = measure_next(&run, &[mass, AnswerName::Price], &Weights::equal(2000), &lines);
        let keys: Vec<&str> = next.iter().map(|it| it.key.as_str()).collect();
        assert_eq!(keys, [most, some]);
        for (found, right) in next.iter().zip([0.8, 0.2]) {
            let off = (found.share - right).abs();
            assert!(off < 3.0 * found.standard_error && off < 0.03, "{found:?}");
        }
        // 1 - √(1 - 0.8) = 55 %.
        assert!((next[0].band_shrinks_pct - 55.3).abs() < 3.0, "{:?}", next[0]);
        assert_eq!(next[0].line, None);
        assert_eq!(next[1].line.as_deref(), Some("car.drag_coefficient = \"0.42\""));
    }

    #[test]
    fn what_facts_did_is_told_with_their_unit() {
        let use_of = AnswerName::Use { cycle: Arc::from("round"), day: Arc::from("mild") };
        let fact = Fact { name: Arc::from("may"), measured: 180.0, standard_deviation: 2.0 };
        let facts = Facts::new(vec![fact], &[vec![0.0]]).unwrap();
        let predicted: Vec<f64> = (0..500).map(|i| 140.0 + 0.01 * f64::from(i)).collect();
        let conditioned = facts.weigh(&[predicted]).unwrap();
        let answer = facts_answer(vec![(use_of, "may".to_owned())], &conditioned);
        assert_eq!(answer.used, ["may"]);
        let against = &answer.contradictions[0];
        assert_eq!((against.fact.as_str(), against.measured.unit), ("may", "Wh/km"));
        assert!((against.predicted.value - 142.495).abs() < 1e-9 && against.distance_sd > 3.0);
        assert!(answer.tempered_by.is_some_and(|exponent| exponent < 1.0));
    }
}
