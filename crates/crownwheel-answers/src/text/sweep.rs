//! `sweep` for a terminal.

use std::collections::BTreeMap;

use crownwheel_quantities::rows;

use super::answers::{Tail, bullets, first_line, heading, measure, tail};
use super::layout::{grid_text, sentence};
use crate::sweep::{OptionAnswer, SweepAnswer, answers_grid, facts_sentences, percent};
use crate::unit::{MISSING, digits};
use crate::{Grid, LoadCase, Question, Unit};

/// Options of the ranking that a terminal shows.
const SHOWN_RANKED: usize = 10;

/// Differences and reasons that a terminal shows.
const SHOWN_LINES: usize = 8;

/// `sweep` for a terminal.
#[must_use]
pub fn sweep_text(answer: &SweepAnswer) -> String {
    let since = answer.since.iter().map(|since| sentence(since));
    let mut out: String = since.collect();
    out.push_str(&first_line(&answer.plain));
    if !answer.ranking.is_empty() {
        out.push_str(&grid_text(&answer.ranking_grid(SHOWN_RANKED)));
        if answer.ranked().take(SHOWN_RANKED).any(|option| !option.meets_all) {
            out.push_str("! less sure than asked\n");
        }
        let more = answer.ranking.len().saturating_sub(SHOWN_RANKED);
        if more > 0 {
            out.push_str(&format!("and {more} more\n"));
        }
    }
    if let Some(best) = answer.best().filter(|best| !best.answers.is_empty()) {
        heading(&mut out, &format!("What {} does", best.id));
        out.push_str(&grid_text(&answers_grid(&best.answers, answer.units)));
    }
    if !answer.trades.is_empty() {
        heading(&mut out, "What its choices give and take");
        let said = answer.trades.iter().map(|trade| format!("{}: {}", trade.choice, trade.text));
        let said: Vec<String> = said.take(SHOWN_LINES).collect();
        bullets(&mut out, said.iter().map(String::as_str));
    }
    head_to_head(&mut out, answer);
    measure(&mut out, &answer.measure_next, answer.units);
    let impossible = answer.impossible_grid(SHOWN_LINES);
    if !impossible.rows.is_empty() {
        heading(&mut out, "What cannot be built");
        out.push_str(&grid_text(&impossible));
    }
    out.push_str(&below(answer));
    out
}

fn head_to_head(out: &mut String, answer: &SweepAnswer) {
    if answer.head_to_head.is_empty() {
        return;
    }
    heading(out, "How often it is better in the same worlds");
    let row = |it: &crate::sweep::HeadToHead| {
        vec![
            crate::json::answer_name(&it.answer, answer.units),
            it.over.clone(),
            percent(it.probability),
        ]
    };
    out.push_str(&grid_text(&Grid {
        head: ["answer", "than", "probability"].map(str::to_owned).to_vec(),
        rows: answer.head_to_head.iter().take(SHOWN_LINES).map(row).collect(),
        right: vec![false, false, true],
    }));
}

/// The rules first, then what else is to be known.
fn below(answer: &SweepAnswer) -> String {
    let mut notes: Vec<String> = Vec::new();
    notes.extend((!answer.ranking_rule.is_empty()).then(|| answer.ranking_rule.clone()));
    notes.extend(answer.screening.clone());
    if let Some(facts) = &answer.facts {
        notes.extend(facts_sentences(facts, answer.worlds, answer.units));
    }
    notes.extend(answer.notes.iter().cloned());
    tail(&Tail {
        notes: &notes,
        assumed: &answer.assumed,
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    })
}

impl SweepAnswer {
    /// The best options: place, identity, price, mass, and the probability of each demand and of all
    /// together. A probability that is less than asked is marked with `!`.
    #[must_use]
    pub fn ranking_grid(&self, most: usize) -> Grid {
        let demands: Vec<String> = self.best().map_or_else(Vec::new, |best| {
            best.demands.iter().map(|met| met.name.to_string()).collect()
        });
        let mut head = vec!["place".to_owned(), "option".to_owned()];
        head.extend(self.currency.as_ref().map(|currency| format!("price, {currency}")));
        head.push(format!("mass, {}", self.units.symbol(Unit::Kg)));
        head.extend(demands.iter().cloned());
        if !demands.is_empty() {
            head.push("all demands".to_owned());
        }
        head.push("beaten by none".to_owned());
        let ranked = self.ranked().take(most).enumerate();
        Grid {
            right: (0..head.len()).map(|i| i != 1).collect(),
            rows: ranked.map(|(place, option)| self.ranking_row(place + 1, option)).collect(),
            head,
        }
    }

    fn ranking_row(&self, place: usize, option: &OptionAnswer) -> Vec<String> {
        let mass = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
        let missing = || MISSING.to_owned();
        let mut row = vec![place.to_string(), option.id.clone()];
        if self.currency.is_some() {
            row.push(option.price.map_or_else(missing, |price| digits(price, 0)));
        }
        row.push(option.answers.get(&mass).map_or_else(missing, |band| {
            band.digits(band.middle(), self.units, Unit::Kg, mass.decimals())
        }));
        row.extend(
            option.demands.iter().map(|met| {
                format!("{}{}", percent(met.probability), if met.met { "" } else { " !" })
            }),
        );
        if !option.demands.is_empty() {
            row.push(option.all_demands_probability.map_or_else(missing, percent));
        }
        row.push(if option.non_dominated == Some(true) { "yes" } else { "" }.to_owned());
        row
    }

    /// Reasons why options cannot be built, each with how many and the first of them; the most
    /// frequent first.
    #[must_use]
    pub fn impossible_grid(&self, most: usize) -> Grid {
        let mut reasons: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
        for option in &self.options {
            if let Some(reason) = &option.reason {
                reasons.entry(reason).or_insert((0, &option.id)).0 += 1;
            }
        }
        let mut reasons: Vec<_> = reasons.into_iter().collect();
        reasons.sort_by_key(|(_, (count, _))| std::cmp::Reverse(*count));
        let row = |(reason, (count, id)): (&str, (usize, &str))| {
            vec![count.to_string(), id.to_owned(), reason.to_owned()]
        };
        Grid {
            head: ["options", "for instance", "reason"].map(str::to_owned).to_vec(),
            rows: reasons.into_iter().take(most).map(row).collect(),
            right: vec![true, false, false],
        }
    }
}
