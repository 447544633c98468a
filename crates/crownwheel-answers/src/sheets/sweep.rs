//! `sweep`: the decision, and every option.

use crownwheel::name::Name;
use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel_quantities::rows;

use super::shared::band_columns;
use super::{assumed_table, measure_table, warnings_table};
use crate::sheet::{Look, Mark, Section, Sheet, sentences};
use crate::sweep::{Answers, DemandMet, OptionAnswer, SweepAnswer, facts_sentences, percent};
use crate::{Band, Cell, LoadCase, Question, Rule, Table, Unit, Units, json};

/// Options of the ranking that people are shown.
const SHOWN_RANKED: usize = 12;

/// Differences and reasons that people are shown.
const SHOWN_LINES: usize = 12;

/// The table of options, a column for everything that can be told of one. It makes rows one by one,
/// so that a large sweep need not hold them.
#[derive(Clone, Debug)]
pub struct OptionTable {
    choices: Vec<Arc<str>>,
    names: Arc<[Question]>,
    demands: Vec<Name>,
    units: Units,
}

impl OptionTable {
    /// For options with these choices, answers and demands, shown in these units.
    #[must_use]
    pub fn new(
        choices: Vec<Arc<str>>,
        names: Arc<[Question]>,
        demands: Vec<Name>,
        units: Units,
    ) -> OptionTable {
        OptionTable { choices, names, demands, units }
    }

    /// The table of these options.
    #[must_use]
    pub fn of<'a>(&self, options: impl Iterator<Item = &'a OptionAnswer>) -> Table {
        let mut all = Table::of("sweep-options", "Options", self.units, options).words(
            "id",
            "option",
            |it| it.id.as_str(),
        );
        for of in &self.choices {
            all = all.words(format!("choices.{of}"), of.to_string(), |it| {
                let made = it.choices.0.iter().find(|(known, _)| known == of);
                made.map(|(_, is)| is.to_string())
            });
        }
        all = all
            .words("price", "price", |it| it.price)
            .to(0)
            .words("worlds", "worlds", |it| it.worlds)
            .to(0)
            .words("all_demands_probability", "all demands", |it| it.all_demands_probability)
            .to(2)
            .words("meets_all", "meets all demands", |it| it.meets_all)
            .words("non_dominated", "beaten by none", |it| it.non_dominated);
        for demand in &self.demands {
            let met =
                |it: &OptionAnswer| it.demands.iter().find(|met| met.name == *demand).cloned();
            all = all
                .words(format!("demands.{}.probability", demand.key()), demand.to_string(), |it| {
                    met(it).map(|met| met.probability)
                })
                .to(2);
        }
        for name in self.names.iter() {
            let key = format!("answers.{}", name.key());
            let none = Band::only(f64::NAN);
            all = all
                .band([&format!("{key}.nominal"), &key, &name.title()], name.unit(), |it| {
                    it.answers.get(name).copied().unwrap_or(none)
                })
                .to(name.decimals());
        }
        all.words("reason", "why it cannot be built", |it| it.reason.as_deref()).table()
    }
}

/// Answers with their bands, for people.
fn answers_table(title: String, answers: &Answers, units: Units) -> Table {
    Table::of("", title, units, answers.iter())
        .words("answer", "answer", |(name, _)| name.title())
        .words("band", "middle (8 in 10 chance)", |(name, band)| name.shown(band, units))
        .table()
}

impl SweepAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let mut decision = Section::new("decision", "Decision")
            .drawn(&["sweep-heat"])
            .by(&[Rule::Demands, Rule::Bands])
            .file(self.ranking_table())
            .shown(Look::Rows, self.short_ranking_table());
        if let Some(best) = self.best().filter(|best| !best.answers.is_empty()) {
            let chosen = Table::of("", "What the best option chooses", self.units, &best.choices.0)
                .words("choice", "choice", |(of, _)| of.to_string())
                .words("value", "value", |(_, is)| is.to_string());
            let does = answers_table(format!("What {} does", best.id), &best.answers, self.units);
            decision = decision.shown(Look::Tight, chosen.table()).shown(Look::Tight, does);
        }
        let trades = self.trades.iter().map(|trade| format!("{}: {}", trade.choice, trade.text));
        let trades: Vec<String> = trades.take(SHOWN_LINES).collect();
        let trades = Section::new("trades", "What the choices give and take")
            .by(&[Rule::HeadToHead])
            .list("What its choices give and take", Mark::Dash, sentences(&trades))
            .shown(Look::Rows, self.head_to_head_table());
        let measure = Section::new("measure", "What to measure next")
            .drawn(&["sweep-measure-next"])
            .by(&[Rule::MeasureNext])
            .table(Look::Rows, self.measure_table());
        let compared = Section::new("compared", "All options compared")
            .drawn(&["sweep-answers", "sweep-modules", "sweep-front"])
            .by(&[Rule::Range])
            .file(self.options_table())
            .file(self.answers_table())
            .file(self.demands_table());
        let impossible = Section::new("impossible", "What cannot be built")
            .shown(Look::Rows, self.impossible_table());
        let sources = Section::new("sources", "Assumed, and where from")
            .table(Look::Rows, assumed_table(&self.assumed))
            .file(warnings_table(&self.warnings));
        let sections = vec![decision, trades, measure, compared, impossible, sources];
        let mut sheet = Sheet::new(&self.plain, &self.all_notes(), &self.provenance, sections)
            .warning(&self.warnings, &self.cautions);
        sheet.said.splice(0..0, self.since.clone());
        sheet
    }

    /// The rules first, then what else is to be known.
    fn all_notes(&self) -> Vec<String> {
        let over: Vec<String> =
            self.non_dominated_over.iter().map(|name| self.label_of(&name.answer)).collect();
        let beaten = (!over.is_empty()).then(|| {
            format!(
                "An option is beaten by none if no other is at least as good in all of {} and better in one.",
                over.join(", ")
            )
        });
        let rule = Some(self.ranking_rule.clone()).filter(|rule| !rule.is_empty());
        let facts = self.facts.iter().flat_map(|it| facts_sentences(it, self.worlds, self.units));
        let first = rule.into_iter().chain(self.screening.clone()).chain(facts);
        first.chain(beaten).chain(self.notes.iter().cloned()).collect()
    }

    /// An answer by its name for people.
    #[must_use]
    pub fn label_of(&self, key: &str) -> String {
        let known = self.options.iter().find(|option| option.reason.is_none());
        let mut names = known.iter().flat_map(|option| option.answers.iter());
        let name = names.find(|(name, _)| name.key() == key);
        name.map_or_else(|| json::answer_name(key, self.units), |(name, _)| name.title())
    }

    /// A row for each option, a column for each choice, demand and answer.
    #[must_use]
    pub fn options_table(&self) -> Table {
        let some = || self.options.iter().find(|option| option.reason.is_none());
        let choices = self.options.first().map_or_else(Vec::new, |option| {
            option.choices.0.iter().map(|(of, _)| Arc::clone(of)).collect()
        });
        let names = some().map_or_else(|| Arc::from([]), |option| option.answers.names());
        let demands = some().map_or_else(Vec::new, |option| {
            option.demands.iter().map(|met| met.name.clone()).collect()
        });
        OptionTable::new(choices, names, demands, self.units).of(self.options.iter())
    }

    /// A row for each option and answer.
    #[must_use]
    pub fn answers_table(&self) -> Table {
        let all = self.options.iter().flat_map(|it| it.answers.iter().map(move |pair| (it, pair)));
        let start = Table::of("sweep-answers", "Answers of each option", self.units, all).words(
            "id",
            "option",
            |(it, _)| it.id.as_str(),
        );
        band_columns(start, self.units, |(_, pair)| *pair).table()
    }

    /// A row for each option and demand.
    #[must_use]
    pub fn demands_table(&self) -> Table {
        let all = self.options.iter().flat_map(|it| it.demands.iter().map(move |met| (it, met)));
        let title = "Demands and how surely each option meets them";
        Table::of("sweep-demands", title, self.units, all)
            .words("id", "option", |(it, _)| it.id.as_str())
            .words("name", "demand", |(_, met)| &met.name)
            .words("probability", "probability", |(_, met)| met.probability)
            .to(2)
            .words("standard_error", "standard error", |(_, met)| met.standard_error)
            .to(3)
            .words("sure", "asked", |(_, met)| met.sure)
            .to(2)
            .words("met", "met", |(_, met)| met.met)
            .table()
    }

    /// A row for each ranked option with its place.
    #[must_use]
    pub fn ranking_table(&self) -> Table {
        Table::of("sweep-ranking", "Ranking", self.units, self.ranking.iter().enumerate())
            .words("place", "place", |(place, _)| place + 1)
            .to(0)
            .words("id", "option", |(_, id)| id.as_str())
            .table()
    }

    /// The best options: place, identity, price, mass, and the probability of each demand and of all
    /// together. A probability that is less than asked is marked with `!`.
    fn short_ranking_table(&self) -> Table {
        let shown = || self.ranked().take(SHOWN_RANKED);
        let marked = shown().any(|option| !option.meets_all);
        let mark = if marked { " (! less sure than asked)" } else { "" };
        let more = match self.ranking.len().saturating_sub(SHOWN_RANKED) {
            0 => String::new(),
            more => format!(", and {more} more"),
        };
        let mass = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
        let currency = self.currency.clone().unwrap_or_default();
        let title = format!("The best options{more}{mark}");
        let mut all = Table::of("", title, self.units, shown().enumerate())
            .words("place", "place", |(place, _)| place + 1)
            .to(0)
            .words("option", "option", |(_, it)| it.id.as_str())
            .words("price", format!("price, {currency}"), |(_, it)| it.price)
            .to(0)
            .only_if(self.currency.is_some())
            .col("mass", "mass", Unit::Kg, |(_, it)| {
                let band = it.answers.get(&mass)?;
                Some(band.digits(band.middle(), self.units, Unit::Kg, mass.decimals()))
            })
            .right();
        let demands: &[DemandMet] = self.best().map_or(&[], |best| &best.demands);
        for demand in demands {
            let met = |it: &OptionAnswer| {
                let met = it.demands.iter().find(|met| met.name == demand.name)?;
                Some(format!("{}{}", percent(met.probability), if met.met { "" } else { " !" }))
            };
            all = all.words("", demand.name.to_string(), |(_, it)| met(it)).right();
        }
        all.words("all", "all demands", |(_, it)| it.all_demands_probability.map(percent))
            .right()
            .only_if(!demands.is_empty())
            .words("beaten", "beaten by none", |(_, it)| it.non_dominated.filter(|it| *it))
            .right()
            .table()
    }

    fn head_to_head_table(&self) -> Table {
        let title = "How often the best option is better in the same worlds";
        Table::of("", title, self.units, self.head_to_head.iter().take(SHOWN_LINES))
            .words("than", "than", |it| it.over.as_str())
            .words("answer", "answer", |it| self.label_of(&it.answer))
            .words("probability", "probability", |it| percent(it.probability))
            .right()
            .table()
    }

    /// A row for each input that is worth measuring.
    #[must_use]
    pub fn measure_table(&self) -> Table {
        measure_table(&self.measure_next, self.units)
    }

    /// Reasons why options cannot be built, each with how many and the first of them; the most
    /// frequent first.
    fn impossible_table(&self) -> Table {
        let mut reasons: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
        for option in &self.options {
            if let Some(reason) = &option.reason {
                reasons.entry(reason).or_insert((0, &option.id)).0 += 1;
            }
        }
        let mut reasons: Vec<_> = reasons.into_iter().collect();
        reasons.sort_by_key(|(_, (count, _))| std::cmp::Reverse(*count));
        let title = "Reasons, the most frequent first";
        Table::of("", title, self.units, reasons.into_iter().take(SHOWN_LINES))
            .words("options", "options", |(_, (count, _))| *count)
            .to(0)
            .words("id", "for instance", |(_, (_, id))| *id)
            .words("reason", "reason", |(reason, _)| Cell::from(*reason))
            .table()
    }
}
