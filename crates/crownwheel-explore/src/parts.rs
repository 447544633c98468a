//! The parts of the page that follow each move.

use crownwheel_answers::sheet::{Body, Look, Part, Section, Sheet};
use crownwheel_answers::sweep::{DemandMet, percent};
use crownwheel_answers::text::clean;
use crownwheel_answers::unit::MISSING;
use crownwheel_answers::{
    Band, Caution, CycleResult, LoadCase, PullAnswer, RangeAnswer, SteadyResult, Table, Topic,
    Unit, Units, Warning,
};
use crownwheel_plot::inline::{self, bound, list};
use crownwheel_quantities::Condition;
use maud::{Markup, html};

use crate::answers::{Answers, DemandAnswer};
use crate::change::{NumberFormat, changed, word};
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

    /// The tables of a section with what changed in them.
    fn section(&self, anchor: &str, now: &Sheet, before: &Sheet) -> Markup {
        let parts = |sheet: &Sheet| -> Vec<(Table, Look)> {
            let of = sheet.sections.iter().filter(|section| section.anchor == anchor);
            let table = |part: &Part| match &part.body {
                Body::Table(table, look) => Some((table.clone(), *look)),
                Body::List(..) => None,
            };
            of.flat_map(Section::parts).filter_map(table).collect()
        };
        let before = parts(before);
        let old = |table: &Table| before.iter().find(|(old, _)| old.title == table.title);
        html! {
            @for (table, look) in parts(now) {
                @match old(&table) {
                    Some((old, _)) => (self.changed(&table, old, look)),
                    None => (inline::table(&table, look)),
                }
            }
        }
    }

    /// A table with what changed in it.
    fn changed(&self, now: &Table, before: &Table, look: Look) -> Markup {
        match self.moved {
            true => inline::table(&changed(now, before), look),
            false => inline::table(now, look),
        }
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
                        " on " (clean(&result.cycle)) " (" (clean(&format!("{}", result.day))) ")"
                        @if result.keeps_up_km.p50.is_some() {
                            "; in all worlds " (bound(&result.keeps_up_km.distance(view.units)))
                        }
                    }
                }
            }
            @if let Some(steady) = steady {
                div {
                    dt { "At " (bound(&view.speed_text())) }
                    dd { strong { (bound(&view.steady_range(steady))) } " (" (clean(&format!("{}", steady.day))) ")" }
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
        [
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
    let table = Table::of("", "What the car must do", view.units, rows)
        .words("demand", "demand", |[demand, ..]: &[String; 4]| demand.clone())
        .words("wanted", "wanted", |[_, wanted, ..]| wanted.clone())
        .words("answer", "answer", |[_, _, answer, _]| answer.clone())
        .words("met", "met", |[.., met]| met.clone())
        .table();
    inline::table(&table, Look::Rows)
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
    let (now, before) = (view.now.range.sheet(), view.before.range.sheet());
    let steady = |all: &[SteadyResult]| {
        let title = format!("At a steady {} on the flat", view.speed_text());
        Table::of("", title, view.units, all)
            .words("day", "day", |it| &it.day)
            .col("range", "range", Unit::Km, |it| match it.held {
                true => it.shown_range(view.units),
                false => it.not_held(),
            })
            .right()
            .col("use", "use", Unit::WhPerKm, |it| it.use_wh_per_km)
            .words("limit", "limit on the way", |it| it.limit.clone())
            .table()
    };
    let answer = view.range();
    html! {
        (view.section("range", &now, &before))
        (view.changed(&steady(&view.now.steady), &steady(&view.before.steady), Look::Tight))
        @match view.banded {
            Some(banded) => {
                h3 { "In all worlds: the middle, and where 8 in 10 of them lie" }
                (inline::table(&banded.range.short_table(), Look::Rows))
            }
            None => @if view.worlds > 1 {
                p.soft { "Bands follow, from " (view.worlds) " worlds." }
            },
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
    let title = format!("At {speed} on the {} day, from full charge", view.pull().day);
    let table = Table::facts(title, rows.map(|(what, value)| (what.to_owned(), value)));
    let cannot = reserve(now) < 0.0;
    html! {
        (inline::table(&table, Look::Tight))
        @if cannot { p.alarm { "The pull is less than the road load: this speed is not held." } }
    }
}

fn pull(view: &View<'_>) -> Markup {
    let answer = view.pull();
    html! {
        @match inline::pull_figure(answer) {
            Ok(figure) => (figure),
            Err(error) => p.alarm { (error.to_string()) },
        }
        (view.section("pull", &view.now.pull.sheet(), &view.before.pull.sheet()))
        (look_at(&answer.warnings))
        (cautions(&answer.cautions))
    }
}

fn hills(view: &View<'_>) -> Markup {
    let banded = view.banded.map(|banded| banded.pull.hills_with_bands());
    html! {
        (view.section("hills", &view.now.pull.sheet(), &view.before.pull.sheet()))
        @if let Some(banded) = banded {
            h3 { "In all worlds" }
            (inline::table(&banded.without_empty_columns(), Look::Rows))
        }
    }
}

/// Axle loads against the plate.
fn weights(view: &View<'_>) -> Markup {
    let weigh = &view.now.weigh;
    html! {
        (view.section("weights", &weigh.sheet(), &view.before.weigh.sheet()))
        (list(&weigh.notes))
        (look_at(&weigh.warnings))
        (cautions(&weigh.cautions))
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
        (view.section("build", &check.sheet(), &view.before.check.sheet()))
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
