//! The parts of the page that follow each move.

use crownwheel_answers::pull::HillLine;
use crownwheel_answers::sweep::{DemandMet, percent};
use crownwheel_answers::text::clean;
use crownwheel_answers::unit::{MISSING, digits};
use crownwheel_answers::{
    Band, Caution, CycleResult, Grid, LoadCase, PullAnswer, RangeAnswer, Rule, SteadyResult, Topic,
    Unit, Units, Warning, WeighCase,
};
use crownwheel_plot::inline::{self, Narrow, bound, list};
use crownwheel_quantities::Condition;
use maud::{Markup, html};

use crate::answers::{Answers, DemandAnswer};
use crate::change::{NumberFormat, word};
use crate::engine::BandedAnswers;

/// What is shown.
#[derive(Debug)]
pub(crate) struct View<'a> {
    pub(crate) now: Answers,
    /// Of the unmoved build.
    pub(crate) before: Answers,
    /// Something is set over the build.
    pub(crate) moved: bool,
    pub(crate) banded: Option<&'a BandedAnswers>,
    pub(crate) units: Units,
    pub(crate) speed_kmh: f64,
    pub(crate) worlds: usize,
}

/// Each part by the name of its place in the page.
pub(crate) fn parts(view: &View<'_>) -> Vec<(&'static str, Markup)> {
    vec![
        ("decision", decision(view)),
        ("said", said(view)),
        ("plain", plain(view)),
        ("demands", demands(view)),
        ("range", range(view)),
        ("speed", speed(view)),
        ("pull", pull(view)),
        ("hills", hills(view)),
        ("weights", weights(view)),
        ("build", build(view)),
    ]
}

impl View<'_> {
    pub(crate) fn range(&self) -> &RangeAnswer {
        self.banded.map_or(&self.now.range, |banded| &banded.range)
    }

    pub(crate) fn pull(&self) -> &PullAnswer {
        self.banded.map_or(&self.now.pull, |banded| &banded.pull)
    }

    /// A number, and by how much it differs from the unmoved build's.
    fn number(&self, unit: Unit, decimals: usize, now: f64, before: Option<f64>) -> String {
        let shown = NumberFormat { units: self.units, unit, decimals };
        shown.against(now, before.filter(|_| self.moved))
    }

    fn word(&self, now: &str, before: Option<&str>) -> String {
        word(now, before.filter(|_| self.moved))
    }

    fn speed_text(&self) -> String {
        self.units.text(self.speed_kmh, Unit::Kmh)
    }

    /// The same cycle and day of the unmoved build.
    fn result_before(&self, now: &CycleResult) -> Option<&CycleResult> {
        let results = &self.before.range.results;
        results.iter().find(|it| it.cycle == now.cycle && it.day == now.day)
    }

    fn steady_before(&self, now: &SteadyResult) -> Option<&SteadyResult> {
        self.before.steady.iter().find(|it| it.day == now.day)
    }

    fn range_of(&self, now: &CycleResult) -> String {
        let before = self.result_before(now).map(|it| it.keeps_up_km.nominal);
        let km = now.keeps_up_km.nominal;
        if km.is_finite() {
            self.number(Unit::Km, 0, km, before)
        } else {
            now.keeps_up_km.distance(self.units)
        }
    }

    fn steady_range(&self, now: &SteadyResult) -> String {
        if !now.held {
            return format!("not held: {}", now.limit);
        }
        let before = self.steady_before(now).filter(|it| it.held);
        let km = |it: &SteadyResult| it.keeps_up_km.nominal;
        self.number(Unit::Km, 0, km(now), before.map(km))
    }
}

/// The few numbers that decide.
fn decision(view: &View<'_>) -> Markup {
    let results = &view.range().results;
    let head = demanded_range(view).or_else(|| results.first());
    let steady = view.now.steady.iter().find(|it| it.day == view.pull().day);
    let driver = view.now.weigh.case(LoadCase::DriverOnly);
    let driver_before = view.before.weigh.case(LoadCase::DriverOnly).map(|case| case.mass_kg);
    let weigh = &view.now.weigh;
    let worst = weigh.overloads().into_iter().max_by(|a, b| a.over_kg.total_cmp(&b.over_kg));
    let (top, top_before) = (&view.pull().top_speed, &view.before.pull.top_speed);
    html! {
        dl {
            @if let Some(result) = head {
                div {
                    dt { "Range" }
                    dd {
                        strong { (bound(&view.range_of(result))) }
                        " on " (clean(&result.cycle)) " (" (clean(&result.day)) ")"
                        @if result.keeps_up_km.p50.is_some() {
                            "; in all worlds " (bound(&result.keeps_up_km.distance(view.units)))
                        }
                    }
                }
            }
            @if let Some(steady) = steady {
                div {
                    dt { "At " (bound(&view.speed_text())) }
                    dd { strong { (bound(&view.steady_range(steady))) } " (" (clean(&steady.day)) ")" }
                }
            }
            @if let Some(case) = driver {
                div {
                    dt { "Weight" }
                    dd {
                        strong { (bound(&view.number(Unit::Kg, 1, case.mass_kg, driver_before))) }
                        " with the driver"
                        @if let Some(worst) = &worst {
                            ", " span.alarm {
                                (worst.carrier) " "
                                (bound(&view.units.text(worst.over_kg, Unit::Kg)))
                                " over " (worst.limit) ", " (weigh.phrase(worst.case))
                            }
                        }
                    }
                }
            }
            div {
                dt { "Top speed" }
                dd {
                    strong { (bound(&view.number(Unit::Kmh, 0, top.kmh, Some(top_before.kmh)))) }
                    ", limit: " (view.word(&top.limit, Some(&top_before.limit)))
                }
            }
        }
        p.soft { (demands_line(view)) }
    }
}

/// The same in a sentence, to be read aloud.
fn said(view: &View<'_>) -> Markup {
    let head = demanded_range(view).or_else(|| view.range().results.first());
    let range = head.map(|it| format!("Range {} on {}, {}.", view.range_of(it), it.cycle, it.day));
    let mass = view.now.weigh.case(LoadCase::DriverOnly).map(|case| {
        let before = view.before.weigh.case(case.case).map(|case| case.mass_kg);
        format!("Weight {}.", view.number(Unit::Kg, 1, case.mass_kg, before))
    });
    let (top, before) = (&view.pull().top_speed, &view.before.pull.top_speed);
    let top = format!("Top speed {}.", view.number(Unit::Kmh, 0, top.kmh, Some(before.kmh)));
    let all: Vec<String> = [range, mass, Some(top)].into_iter().flatten().collect();
    html! { (clean(&all.join(" "))) }
}

/// The first range that is demanded.
fn demanded_range<'a>(view: &'a View<'_>) -> Option<&'a CycleResult> {
    let names = view.now.demands.iter().flat_map(DemandAnswer::parts);
    let mut ranges = names.into_iter().filter(|(limit, _)| limit.question.is_range());
    ranges.find_map(|(limit, _)| view.range().result_of(&limit.question))
}

fn demands_line(view: &View<'_>) -> String {
    let demands = &view.now.demands;
    if demands.is_empty() {
        return "The build demands nothing.".to_owned();
    }
    let (met, how) = match view.banded {
        Some(banded) => (banded.demands.iter().filter(|it| it.met).count(), ""),
        None => (demands.iter().filter(|it| it.holds()).count(), " at the nominal values"),
    };
    if met == demands.len() {
        return format!("Every demand is met{how}.");
    }
    format!("{met} of {} demands met{how}.", demands.len())
}

fn plain(view: &View<'_>) -> Markup {
    let lines = [&view.now.weigh.plain, &view.range().plain, &view.pull().plain];
    html! { @for line in lines { p { (bound(line)) } } }
}

fn demands(view: &View<'_>) -> Markup {
    let demands = &view.now.demands;
    if demands.is_empty() {
        return html! { p { "The build demands nothing; [demand.NAME] says what the car must do." } };
    }
    let rows = demands.iter().map(|it| {
        let name = &it.demand.name;
        let before = view.before.demands.iter().find(|old| old.demand.name == *name);
        let met =
            view.banded.and_then(|banded| banded.demands.iter().find(|met| *met.name == **name));
        vec![
            name.to_string(),
            it.parts().map(|(limit, _)| limit.text(view.units)).collect::<Vec<_>>().join("; "),
            it.parts()
                .enumerate()
                .map(|(i, part)| {
                    answer_text(view, part, before.and_then(|it| it.values.get(i)).copied())
                })
                .collect::<Vec<_>>()
                .join("; "),
            bound(&verdict(it, met)),
        ]
    });
    let head = ["demand", "wanted", "answer", "met"].map(str::to_owned).to_vec();
    let grid = Grid { head, rows: rows.collect(), right: vec![false; 4] };
    inline::table("What the car must do", &grid, Narrow::Stacked, Rule::Demands)
}

fn answer_text(view: &View<'_>, (limit, now): (&Condition, f64), before: Option<f64>) -> String {
    let name = &limit.question;
    if now.is_finite() {
        view.number(name.unit(), name.decimals(), now, before)
    } else if now.is_nan() {
        MISSING.to_owned()
    } else {
        name.shown(&Band::only(now), view.units)
    }
}

/// Whether a demand is met: in its share of the worlds once that is known.
fn verdict(demanded: &DemandAnswer, met: Option<&DemandMet>) -> String {
    let yes = |met: bool| if met { "met" } else { "missed" };
    match met {
        Some(met) => {
            let asked = match met.sure {
                Some(sure) => format!("asked {}", percent(sure)),
                None => "judged at the nominal values".to_owned(),
            };
            format!("{}: {} of the worlds, {asked}", yes(met.met), percent(met.probability))
        }
        None => format!("{} at the nominal values", yes(demanded.holds())),
    }
}

fn range(view: &View<'_>) -> Markup {
    let answer = view.range();
    let per_km = |now: f64, before: Option<f64>| view.number(Unit::WhPerKm, 0, now, before);
    let row = |result: &CycleResult| {
        let before = view.result_before(result);
        let worlds = result.keeps_up_km.p50.map(|_| result.keeps_up_km.distance(view.units));
        vec![
            result.cycle.clone(),
            result.day.to_string(),
            view.range_of(result),
            worlds.unwrap_or_else(|| MISSING.to_owned()),
            per_km(result.use_wh_per_km, before.map(|it| it.use_wh_per_km)),
        ]
    };
    let head = ["cycle", "day", "range", "in all worlds", "use"];
    let grid = Grid {
        head: head.map(str::to_owned).to_vec(),
        rows: answer.results.iter().map(row).collect(),
        right: vec![false, false, true, true, true],
    };
    let steady = |it: &SteadyResult| {
        let before = view.steady_before(it);
        vec![
            it.day.to_string(),
            view.steady_range(it),
            per_km(it.use_wh_per_km, before.map(|it| it.use_wh_per_km)),
            view.word(&it.limit, before.map(|it| it.limit.as_str())),
        ]
    };
    let steady = Grid {
        head: ["day", "range", "use", "limit on the way"].map(str::to_owned).to_vec(),
        rows: view.now.steady.iter().map(steady).collect(),
        right: vec![false, true, true, false],
    };
    let speed = view.speed_text();
    let title = match view.banded {
        Some(_) => "Range from full, and the middle of all worlds (8 in 10 of them)",
        None => "Range from full",
    };
    html! {
        (inline::table(title, &grid, Narrow::Tight, Rule::Range))
        (inline::table(&format!("At a steady {speed} on the flat"), &steady, Narrow::Tight, Rule::SteadyRange))
        @if view.banded.is_none() && view.worlds > 1 {
            p.soft { "Bands follow, from " (view.worlds) " worlds." }
        }
        (list(&answer.notes))
        (look_at(&answer.warnings))
        // Currents are not shown here.
        (cautions(answer.cautions.iter().filter(|it| it.topic != Topic::Currents)))
    }
}

/// What limits the car at the steady speed.
fn speed(view: &View<'_>) -> Markup {
    let speed = view.speed_text();
    let Some(now) = &view.now.at_speed else {
        let top = view.units.text(view.pull().top_speed.kmh, Unit::Kmh);
        return html! {
            p { strong { (bound(&speed)) " is faster than the motor may turn." } " Top speed is " (bound(&top)) ", limit: " (view.pull().top_speed.limit) "." }
        };
    };
    let before = view.before.at_speed.as_ref();
    let newton = |now: f64, before: Option<f64>| view.number(Unit::N, 0, now, before);
    let reserve = |line: &crownwheel_answers::pull::PullLine| line.pull_n - line.road_load_n;
    let long =
        |line: &crownwheel_answers::pull::PullLine| line.continuous_pull_n - line.road_load_n;
    let rows = [
        ("limit of the pull", view.word(&now.limit, before.map(|it| it.limit.as_str()))),
        (
            "motor speed",
            view.number(Unit::Rpm, 0, now.motor_speed_rpm, before.map(|it| it.motor_speed_rpm)),
        ),
        ("gear", view.word(&now.gear.to_string(), before.map(|it| it.gear.to_string()).as_deref())),
        ("pull", newton(now.pull_n, before.map(|it| it.pull_n))),
        ("road load on the flat", newton(now.road_load_n, before.map(|it| it.road_load_n))),
        ("reserve", newton(reserve(now), before.map(reserve))),
        ("reserve when hot", newton(long(now), before.map(long))),
    ];
    let grid = Grid {
        head: vec!["what".to_owned(), view.pull().day.to_string()],
        rows: rows.map(|(what, value)| vec![what.to_owned(), value]).to_vec(),
        right: vec![false, true],
    };
    let cannot = reserve(now) < 0.0;
    html! {
        (inline::table(&format!("At {speed}, from full charge"), &grid, Narrow::Tight, Rule::Pull))
        @if cannot { p.alarm { "The pull is less than the road load: this speed is not held." } }
    }
}

fn pull(view: &View<'_>) -> Markup {
    let answer = view.pull();
    let figure = inline::pull_figure(answer);
    html! {
        @match figure {
            Ok(figure) => (figure),
            Err(error) => p.alarm { (error.to_string()) },
        }
        (look_at(&answer.warnings))
        (cautions(&answer.cautions))
    }
}

fn hills(view: &View<'_>) -> Markup {
    let answer = view.pull();
    let row = |line: &HillLine| {
        let old = view.before.pull.hills.iter().chain(&view.before.pull.cruise);
        let before = old.into_iter().find(|old| old.hill == line.hill);
        let band = minutes_band(answer, line).map_or_else(String::new, |band| {
            format!("; in all worlds {}", band.number(view.units, Unit::None, 0))
        });
        let cold = minutes(
            view,
            (line.minutes_to_cut_back, &line.held),
            before.map(|old| (old.minutes_to_cut_back, old.held.as_str())),
        );
        let warm = minutes(
            view,
            (line.minutes_to_cut_back_warm, &line.held_warm),
            before.map(|old| (old.minutes_to_cut_back_warm, old.held_warm.as_str())),
        );
        vec![
            line.hill.to_string(),
            format!(
                "{} at {}, {} min",
                view.units.text(line.grade_pct, Unit::Pct),
                view.units.text(line.speed_kmh, Unit::Kmh),
                digits(line.minutes, 1)
            ),
            format!("{cold}{band}"),
            warm,
        ]
    };
    let head = ["hill", "what it takes", "from cold", "after 20 min on the flat"];
    let grid = Grid {
        head: head.map(str::to_owned).to_vec(),
        rows: answer.hills.iter().chain(&answer.cruise).map(row).collect(),
        right: vec![false; 4],
    };
    inline::table(
        &format!("Minutes until the motor cuts back ({})", answer.day),
        &grid,
        Narrow::Stacked,
        Rule::Hills,
    )
}

/// Minutes to cut-back against the unmoved build's, or how it ends.
fn minutes(
    view: &View<'_>,
    now: (Option<f64>, &str),
    before: Option<(Option<f64>, &str)>,
) -> String {
    let of = |minutes: Option<f64>, held: &str| match minutes {
        Some(minutes) => format!("{} min", digits(minutes, 1)),
        None => held.to_owned(),
    };
    match (now, before) {
        ((Some(minutes), _), Some((Some(before), _))) => {
            // Minutes have no unit of their own among answers.
            let shown = NumberFormat { units: view.units, unit: Unit::None, decimals: 1 };
            let change = shown.change(minutes, before).filter(|_| view.moved);
            format!(
                "{} min{}",
                digits(minutes, 1),
                change.map_or_else(String::new, |it| format!(", {it}"))
            )
        }
        ((minutes, held), before) => {
            let before = before.map(|(minutes, held)| of(minutes, held));
            view.word(&of(minutes, held), before.as_deref())
        }
    }
}

/// What worlds say of the minutes on a hill.
fn minutes_band<'a>(answer: &'a PullAnswer, line: &HillLine) -> Option<&'a Band> {
    let minutes = line.cut_back();
    answer.bands.iter().find(|(name, _)| name.is_like(&minutes)).map(|(_, band)| band)
}

/// Axle loads against the plate.
fn weights(view: &View<'_>) -> Markup {
    let weigh = &view.now.weigh;
    let row = |case: &WeighCase| {
        let before = view.before.weigh.case(case.case);
        let kg = |now: f64, before: Option<f64>| view.number(Unit::Kg, 1, now, before);
        vec![
            case.case.label().to_owned(),
            kg(case.front_axle_kg, before.map(|it| it.front_axle_kg)),
            left(view.units, case.front_plate_margin_kg),
            kg(case.rear_axle_kg, before.map(|it| it.rear_axle_kg)),
            left(view.units, case.rear_plate_margin_kg),
            kg(case.mass_kg, before.map(|it| it.mass_kg)),
        ]
    };
    let head = ["loaded", "front axle", "front plate", "rear axle", "rear plate", "whole car"];
    let grid = Grid {
        head: head.map(str::to_owned).to_vec(),
        rows: weigh.cases.iter().map(row).collect(),
        right: vec![false, true, true, true, true, true],
    };
    html! {
        (inline::table("Weight on each axle against its plate", &grid, Narrow::Stacked, Rule::Weights))
        (list(&weigh.notes))
        (look_at(&weigh.warnings))
        (cautions(&weigh.cautions))
    }
}

/// `12.0 kg left`, `16.0 kg over`.
fn left(units: Units, margin_kg: Option<f64>) -> String {
    match margin_kg {
        // As for overloads: at gross the mass equals its limit by construction.
        Some(kg) if kg < -0.01 => format!("{} over", units.text(-kg, Unit::Kg)),
        Some(kg) => format!("{} left", units.text(kg, Unit::Kg)),
        None => MISSING.to_owned(),
    }
}

/// What was understood; what belongs to weights stands there.
fn build(view: &View<'_>) -> Markup {
    let Answers { check, weigh, .. } = &view.now;
    let mut warnings = check.warnings.clone();
    warnings.retain(|warning| !weigh.warnings.contains(warning));
    html! {
        p { (bound(&check.plain)) }
        (look_at(&warnings))
    }
}

fn look_at(warnings: &[Warning]) -> Markup {
    let texts: Vec<String> = warnings.iter().map(|warning| warning.text.clone()).collect();
    html! {
        @if !texts.is_empty() { div.warn role="note" { strong { "Look at this" } (list(&texts)) } }
    }
}

fn cautions<'c>(cautions: impl IntoIterator<Item = &'c Caution>) -> Markup {
    html! {
        @for caution in cautions { (inline::caution(caution.topic)) }
    }
}
