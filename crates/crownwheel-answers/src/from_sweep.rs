//! From what a sweep found to the answer that people and programs read.

use crownwheel::name::Name;
use std::collections::BTreeMap;

use crownwheel_quantities::{Demand, Question, rows};
use crownwheel_sweep::conditioning::NoWeights;
use crownwheel_sweep::course::Course;
use crownwheel_sweep::decision::Decision;
use crownwheel_sweep::measure_next::{CarWorlds, measure_next};
use crownwheel_sweep::pilot::PILOTS;
use crownwheel_sweep::ranking::{BY_MASS, BY_MONEY, beats};
use crownwheel_sweep::result::limits;
use crownwheel_sweep::single::Single;
use crownwheel_sweep::sweep::Plan;

use crate::sweep::{AnswerName, FactsAnswer, HeadToHead, JudgedBy, MeasureNext};
use crate::unit::digits;
use crate::{
    Assumption, Caution, DemandsAnswer, OptionAnswer, Provenance, SweepAnswer, Topic, Units,
    Warning,
};

/// A car that is no farther behind at the end of a cycle follows it, s.
const FOLLOWS_WITHIN_S: f64 = 1.0;

/// What an answer says beside the numbers of the plan.
#[derive(Clone, Debug, Default)]
pub struct SweepContext {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units of the answer.
    pub units: Units,
    /// Name of the car.
    pub car: Name,
    /// Names of the cycles that every option drives.
    pub cycles: Vec<String>,
    /// Names of their days.
    pub days: Vec<Name>,
    /// Currency of all prices.
    pub currency: Option<String>,
    /// Lines that would put an assumed input into the build, by its key.
    pub lines: BTreeMap<String, String>,
    /// What the measured facts did.
    pub facts: Option<FactsAnswer>,
    /// What else to know.
    pub notes: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
}

/// The answer of a sweep.
#[must_use]
pub fn answer(plan: &Plan<'_>, decision: &Decision, told: SweepContext) -> SweepAnswer {
    let gathered = decision.gathered();
    let by_money = gathered.briefs().iter().all(|brief| brief.price.is_some());
    let id = |index: &u128| gathered.looked().get(index).map(|looked| looked.answer.id.clone());
    let mut notes = notes(plan, decision);
    notes.extend(told.notes);
    let names = plan.course.names();
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
        non_dominated_over: plan.compared.iter().map(|at| AnswerName::of(&names[*at])).collect(),
        head_to_head: head_to_head(plan, decision),
        measure_next: measure_next_of_best(plan, decision, &told.lines),
        facts: told.facts,
        notes,
        assumed: told.assumed,
        warnings,
        cautions: [Topic::AxleLoads, Topic::HighVoltage].map(Caution::about).to_vec(),
        ..SweepAnswer::default()
    };
    answer.trades = answer.trades_of_best(&telling(plan.course, plan.demands, Purpose::Trades));
    answer.plain = answer.plain_line();
    answer
}

/// A cycle on which every option that can be built falls behind.
fn none_follows(name: &Question, options: &[OptionAnswer]) -> Option<Warning> {
    let (cycle, day) = (name.cycle()?, name.day()?);
    if !name.is(&rows::SHORTFALL) {
        return None;
    }
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

/// What answers are picked for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Purpose {
    /// To say what a choice gives and takes.
    Trades,
    /// To ask what moves them.
    Causes,
}

/// The answers that tell most: the ranges that are demanded (all, where none is), the times, and of
/// trades the motor speed.
fn telling(course: &Course, demands: &[Demand], what: Purpose) -> Vec<Question> {
    let demanded = |name: &Question| {
        demands.iter().flat_map(|demand| &demand.conditions).any(|it| it.question == *name)
    };
    let is_range = |name: &&Question| name.is_range();
    let some_demanded = course.names().iter().filter(is_range).any(demanded);
    let tells = |it: &&Question| {
        (it.is(&rows::KEEPS_UP) && !some_demanded)
            || (it.is_range() && demanded(it))
            || it.is(&rows::TIME)
            || (it.is(&rows::MOTOR_SPEED) && what == Purpose::Trades)
    };
    course.names().iter().filter(tells).cloned().collect()
}

/// The best option against the next, in every answer that options are compared by and that the worlds
/// move.
fn head_to_head(plan: &Plan<'_>, decision: &Decision) -> Vec<HeadToHead> {
    let mut finished = decision.best();
    let Some(best) = finished.next() else { return Vec::new() };
    if plan.worlds.count() == 1 {
        return Vec::new();
    }
    let names = plan.course.names();
    let places: Vec<usize> = telling(plan.course, plan.demands, Purpose::Causes)
        .iter()
        .filter_map(|name| plan.course.place(name))
        .collect();
    finished
        .flat_map(|other| places.iter().map(move |place| (other, *place)))
        .map(|(other, place)| {
            let (name, weights) = (&names[place], plan.weights);
            let more = name.quantity().more_is_better;
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
    let names = telling(plan.course, plan.demands, Purpose::Causes);
    let run =
        CarWorlds { course: plan.course, worlds: plan.worlds, model: &model, values: &best.values };
    measure_next(&run, &names, plan.weights, lines)
}

/// What is taken for the model's own error where facts weigh the worlds, in a sentence.
#[must_use]
pub fn model_error_note() -> String {
    "A measured trip is held against what the build says of trips like it: one trip differs from the next by model.trip_scale, which no fact narrows."
        .to_owned()
}

/// How a car does by these demands; the course must ask what they are set on. Without a demand there is
/// nothing to say.
#[must_use]
pub fn demands_answer(
    single: &Single<'_>,
    demands: &[Demand],
    units: Units,
) -> Option<DemandsAnswer> {
    let judged = single.judge(demands);
    let mut answer = DemandsAnswer {
        units,
        plain: String::new(),
        demands: judged.shown(demands),
        demand_limits: limits(demands),
        answers: single.bands_of(demands),
        all_demands_probability: judged.all.value,
        all_demands_standard_error: judged.all.standard_error,
        worlds: single.worlds(),
    };
    answer.plain = answer.plain_line();
    (!demands.is_empty()).then_some(answer)
}

/// What is said where measured facts could not weigh the worlds, which then count alike.
#[must_use]
pub fn facts_not_used(why: &NoWeights) -> Warning {
    Warning {
        code: "facts_not_used".to_owned(),
        text: format!("The measured facts were not used: {why}."),
    }
}
