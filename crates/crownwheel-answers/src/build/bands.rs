//! Bands of one build's answers, from worlds in which everything that is unsure is drawn anew.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::Arc;

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::cycle::Cycle;
use crownwheel::name::Name;
use crownwheel::unsure::USUAL_WORLDS;
use crownwheel_quantities::{Demand, NamedCycle, Question, Supply, rows};
use crownwheel_sweep::course::Course;
use crownwheel_sweep::single::{SEED, Single, weigh_and_tell};
use crownwheel_sweep::worlds::USUAL_SCREENED;
use crownwheel_sweep::{DayModel, Model, Weights, Worlds};

use super::AskError;
use super::loaded::{LoadedBuild, demanded_cycles, each_once, open_cycles};
use crate::from_car::{self, RangeRequest};
use crate::from_sweep::{demands_answer, facts_not_used, model_error_note};
use crate::pull::HillLine;
use crate::sweep::{Answers, MeasureNext};
use crate::unit::digits;
use crate::{
    ChargeAnswer, CycleResult, DemandsAnswer, LineToAdd, PullAnswer, RangeAnswer, RouteResult,
    SteadyResult, Warning, WorldDraw,
};

/// Longest time to cut-back that is looked for, min; as long as the nominal answers look.
const LONGEST_MINUTES: f64 = 180.0;

/// Steps of a minute at a steady speed in the worlds: ranges move by less than a thousandth against the 60 of one car.
const STEADY_STEPS: u32 = 6;

/// The worlds that bands are drawn from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AskedWorlds {
    /// How many: 2,000 without a number, 1 for nominal values alone.
    pub count: Option<NonZeroUsize>,
    /// Each is driven to its end, in place of few and a fit on them.
    pub reference: bool,
}

impl From<Option<NonZeroUsize>> for AskedWorlds {
    fn from(count: Option<NonZeroUsize>) -> AskedWorlds {
        AskedWorlds { count, reference: false }
    }
}

/// A build in its worlds.
#[derive(Debug)]
pub struct Bands {
    model: Model,
    days: Vec<DayModel>,
    demands: Vec<Demand>,
    lines: BTreeMap<String, String>,
    worlds: Worlds,
    weights: Weights,
    drawn: WorldDraw,
    notes: Vec<String>,
    warnings: Vec<Warning>,
}

impl Bands {
    /// The worlds of a build, weighed by what was measured on it; what is read for that counts as input
    /// of the answers from then on. `None` where only nominal values are asked for.
    ///
    /// # Errors
    /// A cycle of a measured fact cannot be read, or asks what nothing gives.
    pub fn new(
        loaded: &mut LoadedBuild,
        AskedWorlds { count, reference }: AskedWorlds,
    ) -> Result<Option<Bands>, AskError> {
        let count = count.map_or(USUAL_WORLDS, NonZeroUsize::get);
        let Some(count) = NonZeroUsize::new(count).filter(|count| count.get() > 1) else {
            return Ok(None);
        };
        let lines = loaded.subject.lines_to_add.iter();
        let mut bands = Bands {
            model: loaded.build.model(),
            days: loaded.build.day_models(),
            demands: loaded.build.conditions(),
            lines: lines.map(|it| (it.key.clone(), it.line.clone())).collect(),
            worlds: Worlds::new(SEED, count, USUAL_SCREENED).driving_all(reference),
            weights: Weights::equal(count.get()),
            drawn: WorldDraw { worlds: count.get(), facts: None },
            notes: Vec::new(),
            warnings: Vec::new(),
        };
        bands.weigh(loaded)?;
        loaded.subject.provenance.seed = Some(SEED);
        bands.notes.extend(bands.drawn.sentences(loaded.subject.units));
        if bands.drawn.facts.is_some() {
            bands.notes.push(model_error_note());
        }
        Ok(Some(bands))
    }

    fn weigh(&mut self, loaded: &mut LoadedBuild) -> Result<(), AskError> {
        let facts = loaded.build.facts();
        if facts.is_empty() {
            return Ok(());
        }
        let files = each_once(loaded.build.measured.iter().map(|fact| &fact.cycle));
        let cycles = open_cycles(loaded, &files)?;
        let pairs: Vec<_> = facts.into_iter().map(|it| (it.question, it.fact)).collect();
        let names: Vec<Question> = pairs.iter().map(|(name, _)| name.clone()).collect();
        let days = self.days.clone();
        let course = course(names, &[], named_cycles(&cycles), days, Vec::new())?;
        match weigh_and_tell(&pairs, &course, &self.worlds, &self.model) {
            Ok((weights, told)) => {
                self.weights = weights;
                self.drawn.facts = Some(told);
            }
            Err(why) => self.warnings.push(facts_not_used(&why)),
        }
        Ok(())
    }

    fn single<'a>(&'a self, course: &'a Course) -> Result<Single<'a>, AskError> {
        Single::new(course, &self.worlds, &self.model, &self.weights)
            .map_err(|error| AskError::failed(error.to_string()))
    }

    /// Puts bands around use and range of every cycle, steady speed and day, takes the energy flow from the
    /// middle world, and says what to measure next.
    ///
    /// # Errors
    /// The car cannot be driven in a world.
    pub fn range(&self, asked: &RangeRequest, answer: &mut RangeAnswer) -> Result<(), AskError> {
        let days: Vec<DayModel> = asked.days.iter().map(|at| self.days[*at].clone()).collect();
        let own = named_cycles(&asked.cycles);
        let steady = |kmh: &f64| NamedCycle {
            name: Arc::from(steady_name(*kmh)),
            cycle: Cycle::steady_in_steps(kmh / KMH_PER_MPS, STEADY_STEPS),
        };
        let mut cycles = own.clone();
        cycles.extend(asked.steady_kmh.iter().map(steady));
        let mut names = range_names(&cycles, &days);
        names.extend(answer.routes.iter().map(RouteResult::name));
        let routes: Vec<Cycle> = asked.routes.iter().map(|it| it.route.clone()).collect();
        cycles.extend(named_cycles(&routes));
        let course = course(names, &[], cycles, days, Vec::new())?;
        let single = self.single(&course)?;
        for result in &mut answer.results {
            band_result(&single, result);
        }
        for (at, result) in answer.results.iter_mut().enumerate() {
            let cycle = &own[at / asked.days.len().max(1)];
            let used =
                Question::of(&rows::USE).on_cycle(Arc::clone(&cycle.name)).on_day(&result.day);
            result.middle = single.middle_world(&used).map(|(world, car, day)| {
                from_car::middle_world(&car, &day, &cycle.cycle, world + 1)
            });
        }
        for result in &mut answer.steady {
            band_steady(&single, result);
        }
        for result in &mut answer.routes {
            let around = single.band(&result.name(), result.charge_left_pct.nominal);
            result.charge_left_pct = around.unwrap_or(result.charge_left_pct);
        }
        let of_cycles: Vec<Question> =
            own.iter().flat_map(|cycle| answers_of(course.names(), &cycle.name)).collect();
        answer.measure_next =
            single.measure_next(&self.telling(&of_cycles, asked.days.len()), &self.lines);
        self.say(&mut answer.drawn, &mut answer.notes, &mut answer.warnings);
        answer.plain = answer.plain_line();
        Ok(())
    }

    /// How the car does by its demands, if it has any.
    ///
    /// # Errors
    /// A demand asks what nothing gives.
    pub fn judge(&self, loaded: &mut LoadedBuild) -> Result<Option<DemandsAnswer>, AskError> {
        let Some(course) = self.demanded(loaded)? else { return Ok(None) };
        let single = self.single(&course)?;
        Ok(demands_answer(&single, &self.demands, loaded.subject.units))
    }

    /// Says of each line that would narrow a demanded range by how much, and puts those first. How the
    /// car does by its demands, if it has any.
    ///
    /// # Errors
    /// A demand asks what nothing gives.
    pub fn judge_and_narrow(
        &self,
        loaded: &mut LoadedBuild,
    ) -> Result<Option<DemandsAnswer>, AskError> {
        let Some(course) = self.demanded(loaded)? else { return Ok(None) };
        let single = self.single(&course)?;
        self.say_what_narrows(loaded, &single);
        Ok(demands_answer(&single, &self.demands, loaded.subject.units))
    }

    /// A course for all that is demanded. `None`: nothing is.
    fn demanded(&self, loaded: &mut LoadedBuild) -> Result<Option<Course>, AskError> {
        if self.demands.is_empty() {
            return Ok(None);
        }
        let files = each_once(demanded_cycles(&loaded.build));
        let cycles = named_cycles(&open_cycles(loaded, &files)?);
        let (days, supplies) = (self.days.clone(), loaded.build.supplies.clone());
        course(Vec::new(), &self.demands, cycles, days, supplies).map(Some)
    }

    fn say_what_narrows(&self, loaded: &mut LoadedBuild, single: &Single<'_>) {
        let conditions = self.demands.iter().flat_map(|demand| &demand.conditions);
        let mut names: Vec<Question> = Vec::new();
        for name in conditions.map(|it| &it.question) {
            if name.is_range() && !names.contains(name) {
                names.push(name.clone());
            }
        }
        let mut said: Vec<(f64, LineToAdd)> = Vec::new();
        let next: Vec<(String, MeasureNext)> = names
            .iter()
            .flat_map(|name| {
                let next = single.measure_next(std::slice::from_ref(name), &self.lines);
                next.into_iter().map(|next| (name.title(), next))
            })
            .collect();
        for mut line in loaded.subject.lines_to_add.drain(..) {
            let of_line = next.iter().filter(|(_, next)| next.key == line.key);
            let most = of_line.max_by(|a, b| a.1.band_shrinks_pct.total_cmp(&b.1.band_shrinks_pct));
            if let Some((label, next)) = most {
                line.band_shrinks_pct = Some(next.band_shrinks_pct);
                let pct = digits(next.band_shrinks_pct, 0);
                line.why.push_str(&format!(
                    "; were it known, the band of the {label} would shrink by {pct} %"
                ));
            }
            said.push((most.map_or(0.0, |(_, next)| next.band_shrinks_pct), line));
        }
        // Those that tell nothing stay in their order.
        said.sort_by(|a, b| b.0.total_cmp(&a.0));
        loaded.subject.lines_to_add = said.into_iter().map(|(_, line)| line).collect();
    }

    /// The ranges that are demanded; where none is, those on the first cycle.
    fn telling(&self, names: &[Question], days: usize) -> Vec<Question> {
        let is_range = |name: &&Question| name.is_range();
        let demanded = |name: &Question| {
            self.demands.iter().flat_map(|demand| &demand.conditions).any(|it| it.question == *name)
        };
        let ranges: Vec<&Question> = names.iter().filter(is_range).collect();
        let wanted: Vec<Question> =
            ranges.iter().filter(|name| demanded(name)).map(|name| (*name).clone()).collect();
        if wanted.is_empty() {
            let keeps_up = |name: &&Question| name.is(&rows::KEEPS_UP);
            return ranges.into_iter().filter(keeps_up).take(days).cloned().collect();
        }
        wanted
    }

    /// Puts bands around times, grades and minutes to cut-back, on a day of the build.
    ///
    /// # Errors
    /// The car cannot be driven in a world.
    pub fn pull(&self, day: usize, answer: &mut PullAnswer) -> Result<(), AskError> {
        let nominal = self.of_pull(day, answer);
        answer.bands = self.bands_of(day, nominal, Vec::new())?;
        answer.plain = answer.plain_line();
        self.say(&mut answer.drawn, &mut answer.notes, &mut answer.warnings);
        Ok(())
    }

    /// Puts bands around the times that charging takes, on a day of the build.
    ///
    /// # Errors
    /// The car cannot be driven in a world.
    pub fn charge(
        &self,
        day: usize,
        supplies: &[Supply],
        answer: &mut ChargeAnswer,
    ) -> Result<(), AskError> {
        let hours = |line: &crate::charge::SupplyLine| {
            let name = Question::of(&rows::CHARGE_HOURS)
                .at_supply(&line.name)
                .from_pct(answer.from_pct)
                .to_pct(answer.to_pct)
                .on_day_if(self.said(day));
            (name, line.hours)
        };
        let nominal = answer.supplies.iter().map(hours).collect();
        answer.bands = self.bands_of(day, nominal, supplies.to_vec())?;
        answer.plain = answer.plain_line();
        self.say(&mut answer.drawn, &mut answer.notes, &mut answer.warnings);
        Ok(())
    }

    /// Says what was drawn, and what facts did to it.
    fn say(
        &self,
        drawn: &mut Option<WorldDraw>,
        notes: &mut Vec<String>,
        warnings: &mut Vec<Warning>,
    ) {
        *drawn = Some(self.drawn.clone());
        notes.extend_from_slice(&self.notes);
        warnings.extend_from_slice(&self.warnings);
    }

    fn bands_of(
        &self,
        day: usize,
        nominal: Vec<(Question, Option<f64>)>,
        supplies: Vec<Supply>,
    ) -> Result<Answers, AskError> {
        let names: Vec<Question> = nominal.iter().map(|(name, _)| name.clone()).collect();
        let days = vec![self.days[day].clone()];
        let mut course = course(names, &[], Vec::new(), days, supplies)?;
        course.questions = course.questions.looking_for(LONGEST_MINUTES);
        Ok(self.single(&course)?.bands(&nominal))
    }

    /// Answers of `pull` that worlds give, with what is known of their nominal values.
    fn of_pull(&self, place: usize, answer: &PullAnswer) -> Vec<(Question, Option<f64>)> {
        let day = || self.said(place);
        let times = &answer.times_s;
        let seconds =
            [times.kmh_0_50, times.kmh_0_100, times.mph_0_60, times.kmh_50_80, times.kmh_80_120];
        let mut all: Vec<(Question, Option<f64>)> = rows::SPANS_KMH
            .into_iter()
            .zip(seconds)
            .map(|((from_kmh, to_kmh), time)| {
                (Question::of(&rows::TIME).between(from_kmh, to_kmh).on_day_if(day()), time)
            })
            .collect();
        all.push((Question::of(&rows::START_GRADE).on_day_if(day()), answer.start_grade_pct));
        all.extend(answer.hold.iter().map(|line| {
            (
                Question::of(&rows::HOLD_GRADE).at_kmh(line.speed_kmh).on_day_if(day()),
                line.grade_pct,
            )
        }));
        // Where the motor does not cut back there is nothing to put a band around.
        let cut_back = |line: &&HillLine| line.minutes_to_cut_back.is_some();
        for line in answer.hills.iter().chain(&answer.cruise).filter(cut_back) {
            let question = line.cut_back().on_day_if(day());
            if !all.iter().any(|(known, _)| *known == question) {
                all.push((question, line.minutes_to_cut_back));
            }
        }
        all
    }

    /// A day as answers name it: the first one is not said.
    fn said(&self, day: usize) -> Option<Name> {
        (day > 0).then(|| self.days[day].day.name.clone())
    }
}

/// A steady speed as the cycle that it is.
fn steady_name(speed_kmh: f64) -> String {
    format!("steady {speed_kmh}")
}

/// Everything that is said of a cycle on a day, for all of them.
fn range_names(cycles: &[NamedCycle], days: &[DayModel]) -> Vec<Question> {
    let of = |cycle: &NamedCycle, day: &DayModel| {
        let (cycle, day) = (|| Arc::clone(&cycle.name), || day.day.name.clone());
        [
            Question::of(&rows::KEEPS_UP).on_cycle(cycle()).on_day(day()),
            Question::of(&rows::RANGE).on_cycle(cycle()).on_day(day()),
            Question::of(&rows::RANGE_WITH_RESERVE).on_cycle(cycle()).on_day(day()),
            Question::of(&rows::USE).on_cycle(cycle()).on_day(day()),
            Question::of(&rows::WALL_USE).on_cycle(cycle()).on_day(day()),
        ]
    };
    cycles.iter().flat_map(|cycle| days.iter().flat_map(move |day| of(cycle, day))).collect()
}

fn answers_of(names: &[Question], cycle: &str) -> Vec<Question> {
    let fits = |name: &&Question| name.cycle().is_some_and(|known| **known == *cycle);
    names.iter().filter(fits).cloned().collect()
}

fn band_result(single: &Single<'_>, result: &mut CycleResult) {
    let (cycle, day) = (Arc::from(result.cycle.as_str()), result.day.clone());
    let (cycle, day) = (|| Arc::clone(&cycle), || day.clone());
    let around = |name: Question, nominal: f64| single.band(&name, nominal);
    let range = Question::of(&rows::RANGE).on_cycle(cycle()).on_day(day());
    if let Some(band) = around(range, result.range_km.nominal) {
        result.range_km = band;
    }
    let keeps_up = Question::of(&rows::KEEPS_UP).on_cycle(cycle()).on_day(day());
    if let Some(band) = around(keeps_up, result.keeps_up_km.nominal) {
        result.keeps_up_km = band;
    }
    let reserve = Question::of(&rows::RANGE_WITH_RESERVE).on_cycle(cycle()).on_day(day());
    result.range_with_reserve_band_km = around(reserve, result.range_with_reserve_km);
    let used = Question::of(&rows::USE).on_cycle(cycle()).on_day(day());
    result.use_band_wh_per_km = around(used, result.use_wh_per_km);
    let wall = Question::of(&rows::WALL_USE).on_cycle(cycle()).on_day(day());
    result.wall_band_wh_per_km = around(wall, result.wall_wh_per_km);
}

fn band_steady(single: &Single<'_>, result: &mut SteadyResult) {
    let cycle: Arc<str> = Arc::from(steady_name(result.speed_kmh));
    let day = result.day.clone();
    let (cycle, day) = (|| Arc::clone(&cycle), || day.clone());
    let range = Question::of(&rows::RANGE).on_cycle(cycle()).on_day(day());
    if let Some(band) = single.band(&range, result.range_km.nominal) {
        result.range_km = band;
    }
    let keeps_up = Question::of(&rows::KEEPS_UP).on_cycle(cycle()).on_day(day());
    if let Some(band) = single.band(&keeps_up, result.keeps_up_km.nominal) {
        result.keeps_up_km = band;
    }
    let used = Question::of(&rows::USE).on_cycle(cycle()).on_day(day());
    result.use_band_wh_per_km = single.band(&used, result.use_wh_per_km);
}

/// Cycles by names of their own: of two files with the same name the second is `name (2)`.
fn named_cycles(cycles: &[Cycle]) -> Vec<NamedCycle> {
    let mut named: Vec<NamedCycle> = Vec::new();
    for cycle in cycles {
        let is_known = |name: &str| named.iter().any(|known| *known.name == *name);
        let mut name = cycle.name().to_owned();
        let mut number = 1;
        while is_known(&name) {
            number += 1;
            name = format!("{} ({number})", cycle.name());
        }
        named.push(NamedCycle { name: Arc::from(name), cycle: cycle.clone() });
    }
    named
}

fn course(
    names: Vec<Question>,
    demands: &[Demand],
    cycles: Vec<NamedCycle>,
    days: Vec<DayModel>,
    supplies: Vec<Supply>,
) -> Result<Course, AskError> {
    Course::new(names, demands, cycles, days, supplies)
        .map_err(|missing| AskError::failed(format!("nothing gives `{}`", missing.key)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cycles_of_the_same_name_are_told_apart() {
        let udds = Cycle::builtin("udds").unwrap();
        let named = named_cycles(&[udds.clone(), Cycle::builtin("nedc").unwrap(), udds]);
        let names: Vec<&str> = named.iter().map(|it| &*it.name).collect();
        assert_eq!(names, ["udds", "nedc", "udds (2)"]);
    }
}
