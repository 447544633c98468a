//! One quantity: its name, how it is said, what it needs and how it is read.

use crownwheel::charger::Charge;
use crownwheel::hold::HoldTime;
use crownwheel::pull::{FullThrottle, Throttle};
use crownwheel::range::{CarOnDay, ShortRange};
use crownwheel::{Car, Day};

use crate::{Question, Unit};

/// A quantity that a car can be asked for. The rows stand in [`crate::rows`].
///
/// Its texts are patterns: `{cycle}`, `{day}`, `{supply}`, `{case}`, `{speed}`, `{span}`, `{grade}`,
/// `{from}` and `{to}` stand for the arguments; what stands in `[` and `]` is left out where its argument
/// is not given.
#[derive(Debug)]
pub struct Quantity {
    /// Name in JSON and CSV: the quantity with its unit, then what it is of, with dots between.
    pub key: &'static str,
    /// Other words by which a person may ask for it.
    pub words: &'static [&'static str],
    /// Name for people, without a unit.
    pub title: &'static str,
    /// Unit of the number; times in minutes and hours, and money, have none and say so in the name.
    pub unit: Unit,
    /// Decimals that are worth showing, whatever the standard error allows.
    pub decimals: usize,
    /// More of it is better.
    pub more_is_better: bool,
    /// What is said of a choice that raises it and of one that lowers it by `{much}`, as the end of a
    /// sentence: `goes {much} farther on {cycle} ({day})`.
    pub changes: Option<[&'static str; 2]>,
    /// What is said where it has no end.
    pub endless: Option<Endless>,
    /// Speed at which it is asked for where nobody says one, km/h.
    pub usual_kmh: f64,
    /// The runs that it needs, and how it is read from them.
    pub reading: Reading,
}

/// What is said of a quantity that may be infinite.
#[derive(Clone, Copy, Debug)]
pub struct Endless {
    /// Instead of the number: `not reached`.
    pub shown: &'static str,
    /// Of a choice where it comes to a number, of `{much}`, against one where it does not.
    pub comes: &'static str,
    /// The other way round.
    pub stays: &'static str,
}

/// The run that a quantity needs, and how it is read from it. What is not a number is not known.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Reading {
    /// The car as it stands.
    Car(fn(&Car, &Question) -> f64),
    /// A day.
    Day(fn(&Day) -> f64),
    /// The car on its day with a full pack, at one moment.
    Moment(fn(&Throttle<'_>, &Question) -> f64),
    /// Full throttle from rest on the flat, with a full pack.
    Throttle(fn(&FullThrottle, &Question) -> f64),
    /// A climb at a steady speed, with a full pack and a cold motor.
    Climb(fn(HoldTime) -> f64),
    /// A cycle, driven over and over from full to empty.
    Range(fn(&CarOnDay<'_>, &ShortRange) -> f64),
    /// A route driven once.
    Once(fn(&ShortRange) -> f64),
    /// Charging at a supply.
    Charge(fn(&Charge, &Question) -> f64),
    /// Nothing of the car: what the choices of an option cost.
    Price,
}

impl Quantity {
    /// A row; what most rows do not have is added by the functions below.
    pub(crate) const fn row(
        key: &'static str,
        title: &'static str,
        (unit, decimals): (Unit, usize),
        reading: Reading,
    ) -> Quantity {
        Quantity {
            key,
            words: &[],
            title,
            unit,
            decimals,
            more_is_better: false,
            changes: None,
            endless: None,
            usual_kmh: 0.0,
            reading,
        }
    }

    pub(crate) const fn asked_as(mut self, words: &'static [&'static str]) -> Quantity {
        self.words = words;
        self
    }

    pub(crate) const fn usually_at(mut self, usual_kmh: f64) -> Quantity {
        self.usual_kmh = usual_kmh;
        self
    }

    pub(crate) const fn more_is_better(mut self) -> Quantity {
        self.more_is_better = true;
        self
    }

    pub(crate) const fn said(mut self, rises: &'static str, falls: &'static str) -> Quantity {
        self.changes = Some([rises, falls]);
        self
    }

    pub(crate) const fn endless(
        mut self,
        shown: &'static str,
        comes: &'static str,
        stays: &'static str,
    ) -> Quantity {
        self.endless = Some(Endless { shown, comes, stays });
        self
    }

    /// The first part of its key: `range_km`.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.key.split(['.', '[']).next().unwrap_or(self.key)
    }

    /// Whether it is asked for with this argument: `takes("day")`.
    #[must_use]
    pub fn takes(&self, argument: &str) -> bool {
        self.key.contains(&format!("{{{argument}}}"))
    }

    /// Whether it is a distance from full.
    #[must_use]
    pub fn is_distance(&self) -> bool {
        matches!(self.reading, Reading::Range(_)) && self.unit == Unit::Km
    }
}

impl PartialEq for Quantity {
    fn eq(&self, other: &Quantity) -> bool {
        self.key == other.key
    }
}

impl Eq for Quantity {}

/// Fills a pattern. `None` of an argument leaves out the part in brackets around it; outside of brackets
/// nothing is written for it.
pub(crate) fn fill(pattern: &str, argument: impl Fn(&str) -> Option<String> + Copy) -> String {
    let mut out = String::new();
    let mut rest = pattern;
    while let Some(at) = rest.find(['[', '{']) {
        out.push_str(&rest[..at]);
        let (open, tail) = rest[at..].split_at(1);
        let close = if open == "[" { ']' } else { '}' };
        let (inside, behind) = tail.split_once(close).unwrap_or((tail, ""));
        if open == "{" {
            out.push_str(&argument(inside).unwrap_or_default());
        } else if names(inside).all(|name| argument(name).is_some()) {
            out.push_str(&fill(inside, argument));
        }
        rest = behind;
    }
    out.push_str(rest);
    out
}

/// The arguments that a pattern names.
fn names(pattern: &str) -> impl Iterator<Item = &str> {
    pattern.split('{').skip(1).filter_map(|part| part.split_once('}')).map(|(name, _)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_leave_out_what_is_not_given() {
        let none = |_: &str| None;
        let day = |name: &str| (name == "day").then(|| "winter".to_owned());
        assert_eq!(fill("start_grade_pct[.{day}]", none), "start_grade_pct");
        assert_eq!(fill("start_grade_pct[.{day}]", day), "start_grade_pct.winter");
        assert_eq!(fill("use on {cycle} ({day}), often", day), "use on  (winter), often");
    }
}
