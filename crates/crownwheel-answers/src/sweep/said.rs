//! What a sweep found, in sentences made from its numbers.

use crownwheel_quantities::rows;

use super::{Amount, FEW_WORLDS, FactAgainst, FactsAnswer, OptionAnswer, SweepAnswer, Trade};
use crate::unit::digits;
use crate::{LoadCase, Question, Unit, Units};

/// A probability in whole per cent; never 0 or 100 unless nothing else was seen in any world.
#[must_use]
pub fn percent(probability: f64) -> String {
    let pct = 100.0 * probability;
    if pct > 0.0 && pct < 0.5 {
        "under 1 %".to_owned()
    } else if (99.5..100.0).contains(&pct) {
        "over 99 %".to_owned()
    } else {
        format!("{} %", digits(pct, 0))
    }
}

/// What the measured facts did, a sentence each.
#[must_use]
pub fn facts_sentences(facts: &FactsAnswer, worlds: usize, units: Units) -> Vec<String> {
    let left = digits(facts.effective_worlds, 0);
    let mut all = vec![format!(
        "The measured facts ({}) weigh the worlds; {left} of {worlds} are left in effect. Inputs now hang together, and their shares need not add up to one.",
        facts.used.join(", ")
    )];
    if let Some(exponent) = facts.tempered_by {
        all.push(format!(
            "The facts alone would leave too few worlds: they count with {} of their weight. Draw more worlds to use them in full.",
            digits(exponent, 2)
        ));
    } else if facts.effective_worlds < FEW_WORLDS {
        all.push("So few worlds make bands and probabilities coarse: draw more worlds.".to_owned());
    }
    all.extend(facts.contradictions.iter().map(|fact| contradiction(fact, units)));
    all
}

fn contradiction(fact: &FactAgainst, units: Units) -> String {
    let shown = |it: Amount| match Unit::of_symbol(it.unit) {
        Some(unit) => units.text(it.value, unit),
        None => format!("{} {}", digits(it.value, 1), it.unit),
    };
    format!(
        "The fact {} contradicts the build: {} was measured where the build says {}, {} joint standard deviations apart.",
        fact.fact,
        shown(fact.measured),
        shown(fact.predicted),
        digits(fact.distance_sd, 1)
    )
}

/// What a sweep decided when it was last run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DecisionBefore {
    /// Hash of what was read.
    pub inputs_hash: String,
    /// Identity of the best option. `None`: none could be built.
    pub best: Option<String>,
    /// How probable it was that it meets all demands. `None`: no demand was written.
    pub probability: Option<f64>,
}

impl SweepAnswer {
    /// The decision against that of last time, in a sentence.
    #[must_use]
    pub fn since_line(&self, before: &DecisionBefore) -> String {
        let sure = |id: &str, probability: Option<f64>| match probability {
            Some(probability) => format!("{id} ({})", percent(probability)),
            None => id.to_owned(),
        };
        let best = self.best();
        let now = best.map(|best| sure(&best.id, best.all_demands_probability));
        let then = before.best.as_ref().map(|id| sure(id, before.probability));
        let same_inputs = before.inputs_hash == self.provenance.inputs_hash;
        match (now, then) {
            (now, then) if now == then && same_inputs => {
                "Nothing has changed since last time.".to_owned()
            }
            (Some(now), Some(then)) if now == then => {
                format!("Since last time the inputs changed; the best option is still {now}.")
            }
            (Some(now), then) => format!(
                "Since last time: the best option {} → {now}.",
                then.unwrap_or_else(|| "none".to_owned())
            ),
            (None, Some(then)) => format!("Since last time: the best option {then} → none."),
            (None, None) => {
                "Since last time the inputs changed; still no option can be built.".to_owned()
            }
        }
    }

    /// Which option to take and why, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let Some(best) = self.best() else {
            return self.nothing_can_be_built();
        };
        let (id, cost) = (&best.id, self.cost(best));
        let all = percent(best.all_demands_probability.unwrap_or(f64::NAN));
        let (every, them) = match best.demands.len() {
            0 => {
                let of = self.counted();
                return format!("Of {of} {id} {cost}; no demand is written to judge them by.");
            }
            1 => ("the demand".to_owned(), "it"),
            2 => ("both demands".to_owned(), "them together"),
            count => (format!("all {count} demands"), "them together"),
        };
        let (of, rest) = (self.counted(), self.not_buildable());
        if !best.meets_all {
            return format!(
                "None of {of} meets {every} as surely as asked; the closest is {id}, which meets {them} with a probability of {all} and {cost}.{rest}"
            );
        }
        let others = match self.meets_all_count {
            1 => "it is the only one".to_owned(),
            count => format!("{count} do so"),
        };
        format!(
            "{id} meets {every} with a probability of {all} and {cost}; {others} of {of}.{rest}"
        )
    }

    /// `64 options`.
    fn counted(&self) -> String {
        match self.option_count {
            1 => "one option".to_owned(),
            count => format!("{count} options"),
        }
    }

    /// ` 8 of them cannot be built.`, empty if all can.
    fn not_buildable(&self) -> String {
        match self.impossible_count {
            0 => String::new(),
            1 => " One of them cannot be built.".to_owned(),
            count => format!(" {count} of them cannot be built."),
        }
    }

    /// `costs 2790 EUR`; without prices `weighs 905.3 kg with the driver`.
    fn cost(&self, option: &OptionAnswer) -> String {
        if let (Some(price), Some(currency)) = (option.price, &self.currency) {
            return format!("costs {} {currency}", digits(price, 0));
        }
        let mass = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
        match option.answers.get(&mass) {
            Some(band) => {
                format!("weighs {} with the driver", self.units.text(band.middle(), Unit::Kg))
            }
            None => "can be built".to_owned(),
        }
    }

    fn nothing_can_be_built(&self) -> String {
        let reason = self.options.iter().find_map(|option| option.reason.as_deref());
        match reason {
            Some(reason) => {
                format!("None of {} can be built; the first because {reason}.", self.counted())
            }
            None => "There is no option.".to_owned(),
        }
    }

    /// What the best option gains and gives up against each ranked option that differs from it in one
    /// choice, in the order of the ranking, over these answers.
    #[must_use]
    pub fn trades_of_best(&self, names: &[Question]) -> Vec<Trade> {
        let Some(best) = self.best() else { return Vec::new() };
        let trade = |other| trade(best, other, names, self.currency.as_deref(), self.units);
        self.ranked().skip(1).filter_map(trade).collect()
    }
}

/// The difference between two options in a sentence: `3.89 instead of 4.22 gives up 0.6 s to 100 km/h
/// and turns 524 rpm slower at 112 km/h.` `None`: they do not differ in just one choice.
#[must_use]
pub fn trade(
    option: &OptionAnswer,
    other: &OptionAnswer,
    names: &[Question],
    currency: Option<&str>,
    units: Units,
) -> Option<Trade> {
    let (choice, is, was) = one_difference(option, other)?;
    let mut said: Vec<String> = names
        .iter()
        .filter_map(|name| {
            let (chosen, other) = (option.answers.get(name)?, other.answers.get(name)?);
            name.difference(chosen.middle(), other.middle(), units)
        })
        .collect();
    said.extend(price_difference(option, other, currency));
    let what = match said.pop() {
        None => "changes none of the answers".to_owned(),
        Some(last) if said.is_empty() => last,
        Some(last) => format!("{} and {last}", said.join(", ")),
    };
    Some(Trade {
        id: option.id.clone(),
        instead_of: other.id.clone(),
        choice: choice.to_owned(),
        text: format!("{is} instead of {was} {what}."),
    })
}

/// Key or group, and what each has chosen.
fn one_difference<'a>(
    option: &'a OptionAnswer,
    other: &'a OptionAnswer,
) -> Option<(&'a str, &'a str, &'a str)> {
    let (these, those) = (&option.choices.0, &other.choices.0);
    let same_keys = these.len() == those.len() && these.iter().zip(those).all(|(a, b)| a.0 == b.0);
    let mut differing = these.iter().zip(those).filter(|(a, b)| a.1 != b.1);
    let (these, those) = differing.next()?;
    (same_keys && differing.next().is_none()).then_some((&*these.0, &*these.1, &*those.1))
}

fn price_difference(
    option: &OptionAnswer,
    other: &OptionAnswer,
    currency: Option<&str>,
) -> Option<String> {
    let by = option.price? - other.price?;
    let shown = digits(by.abs(), 0);
    let currency = currency?;
    let more = if by > 0.0 { "more" } else { "less" };
    (shown != "0").then(|| format!("costs {shown} {currency} {more}"))
}
