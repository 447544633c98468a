//! A question as a person types it: `range.winter`, `axle_load.rear.at_gross`, `drag.112_kmh`.

use crownwheel::name::Name;
use std::fmt;
use std::sync::Arc;

use crownwheel::constants::METRE_PER_MILE;
use crownwheel::weights::LoadCase;

use crate::{Quantity, Question, rows};

/// What a question may name. Of each the first stands where it names none.
#[derive(Clone, Debug)]
pub struct Names<'a> {
    /// The quantities that may be asked for.
    pub quantities: &'a [&'static Quantity],
    /// Names of the cycles.
    pub cycles: Vec<Arc<str>>,
    /// Names of the days.
    pub days: Vec<Name>,
    /// Names of the supplies.
    pub supplies: Vec<Name>,
    /// States of charge between which is charged, %.
    pub charge_pct: (f64, f64),
}

/// A name that asks for nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct NotAsked {
    /// The whole name.
    pub name: String,
    /// The part that is wrong.
    pub part: String,
    /// What is wrong with it.
    pub why: &'static str,
    /// What may stand there. Empty: nothing.
    pub known: Vec<String>,
    /// The one of them that looks most like it, if any does.
    pub nearest: Option<String>,
}

impl fmt::Display for NotAsked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let NotAsked { name, part, why, known, nearest } = self;
        write!(f, "`{name}`: `{part}` {why}")?;
        if let Some(nearest) = nearest {
            write!(f, "; did you mean `{nearest}`?")?;
        }
        if known.is_empty() {
            Ok(())
        } else {
            write!(f, "\nWhat may stand there: {}", known.join(", "))
        }
    }
}

impl std::error::Error for NotAsked {}

impl Quantity {
    /// The word by which a person asks for it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        self.words.first().copied().unwrap_or_else(|| self.name())
    }

    /// The same with what may stand behind it: `range[.CYCLE][.DAY]`.
    #[must_use]
    pub fn usage(&self) -> String {
        let arguments = ["case", "speed", "span", "supply", "cycle", "day"];
        let behind = |name: &&&str| self.takes(name);
        let usage = |name: &str| match name {
            "span" => "[.0_100]".to_owned(),
            name => format!("[.{}]", name.to_uppercase()),
        };
        let all: String = arguments.iter().filter(behind).map(|name| usage(name)).collect();
        format!("{}{all}", self.word())
    }
}

/// The name that is written so.
fn find<T: AsRef<str> + Clone>(names: &[T], part: &str) -> Option<T> {
    names.iter().find(|name| name.as_ref() == part).cloned()
}

impl Question {
    /// Reads a question.
    ///
    /// # Errors
    /// The name asks for no quantity of `names`, or of something that is not there.
    ///
    /// ```
    /// use crownwheel_quantities::{Names, Question, rows};
    /// let names = Names {
    ///     quantities: &[&rows::RANGE],
    ///     cycles: vec!["udds".into(), "nedc".into()],
    ///     days: vec!["mild".into(), "winter".into()],
    ///     supplies: Vec::new(),
    ///     charge_pct: (10.0, 90.0),
    /// };
    /// assert_eq!(Question::read("range.winter", &names)?.key(), "range_km.udds.winter");
    /// assert!(Question::read("range.wintre", &names).is_err());
    /// # Ok::<(), crownwheel_quantities::NotAsked>(())
    /// ```
    pub fn read(text: &str, names: &Names<'_>) -> Result<Question, NotAsked> {
        let refused = |part: &str, why, known: Vec<String>| NotAsked {
            name: text.to_owned(),
            part: part.to_owned(),
            why,
            nearest: nearest(part, &known),
            known,
        };
        let (word, rest) = split(text.trim());
        let row = rows::find(word).filter(|row| names.quantities.contains(row));
        let Some(row) = row else {
            let begins = |it: &&str| it.split('.').next() == Some(word) && it.contains('.');
            let words = || names.quantities.iter().flat_map(|row| row.words).copied();
            let longer: Vec<String> = words().filter(begins).map(str::to_owned).collect();
            return Err(if longer.is_empty() {
                let all = names.quantities.iter().map(|row| row.usage()).collect();
                refused(word, "cannot be explained", all)
            } else {
                refused(word, "does not say which axle", longer)
            });
        };
        let mut said = Question::of(row);
        // Names of days, cycles and supplies have no dots; a cycle's file may be given with its ending.
        for part in rest.split('.').filter(|part| !part.is_empty() && *part != "csv") {
            said = said.take(part, names).map_err(|known| {
                let why = if known.is_empty() {
                    "says nothing here: leave it out"
                } else {
                    "says nothing here"
                };
                refused(part, why, known)
            })?;
        }
        said.with_usual(names).map_err(|why| refused(word, why, Vec::new()))
    }

    /// Takes one part of a name. Otherwise what may stand there.
    fn take(self, part: &str, names: &Names<'_>) -> Result<Question, Vec<String>> {
        let takes = |argument: &str| self.quantity().takes(argument);
        if takes("day")
            && self.day().is_none()
            && let Some(day) = find(&names.days, part)
        {
            return Ok(self.on_day(day));
        }
        if takes("cycle")
            && self.cycle().is_none()
            && let Some(cycle) = find(&names.cycles, part)
        {
            return Ok(self.on_cycle(cycle));
        }
        if takes("supply")
            && self.supply().is_none()
            && let Some(it) = find(&names.supplies, part)
        {
            return Ok(self.at_supply(it));
        }
        let case = LoadCase::ALL.into_iter().find(|case| case.key() == part);
        if takes("case")
            && !self.has_case()
            && let Some(case) = case
        {
            return Ok(self.loaded(case));
        }
        if takes("speed")
            && !self.has_speed()
            && let Some(kmh) = speed(part)
        {
            return Ok(self.at_kmh(kmh));
        }
        if takes("span")
            && !self.has_speed()
            && let Some((from_kmh, to_kmh)) = span(part)
        {
            return Ok(self.between(from_kmh, to_kmh));
        }
        Err(self.known(names))
    }

    /// What was not said, as it usually is.
    fn with_usual(self, names: &Names<'_>) -> Result<Question, &'static str> {
        let takes = |argument: &str| self.quantity().takes(argument);
        let (usual_kmh, mut all) = (self.quantity().usual_kmh, self.clone());
        if takes("case") && !self.has_case() {
            all = all.loaded(LoadCase::DriverOnly);
        }
        if takes("speed") && !self.has_speed() {
            all = all.at_kmh(usual_kmh);
        }
        if takes("span") && !self.has_speed() {
            all = all.between(0.0, usual_kmh);
        }
        if takes("from") {
            all = all.from_pct(names.charge_pct.0);
        }
        if takes("to") {
            all = all.to_pct(names.charge_pct.1);
        }
        if takes("supply") && self.supply().is_none() {
            let first = names.supplies.first().ok_or("needs a supply, and the build has none")?;
            all = all.at_supply(first);
        }
        if takes("cycle") && self.cycle().is_none() {
            let first = names.cycles.first().ok_or("needs a cycle, and there is none")?;
            all = all.on_cycle(Arc::clone(first));
        }
        if takes("day") && self.day().is_none() {
            let first = names.days.first().ok_or("needs a day, and there is none")?;
            all = all.on_day(first);
        }
        Ok(all)
    }

    /// What may stand behind its word.
    fn known(&self, names: &Names<'_>) -> Vec<String> {
        let takes = |argument: &str| self.quantity().takes(argument);
        let mut all: Vec<String> = Vec::new();
        if takes("case") {
            all.extend(LoadCase::ALL.map(|case| case.key().to_owned()));
        }
        if takes("cycle") {
            all.extend(names.cycles.iter().map(|name| name.to_string()));
        }
        for (argument, list) in [("supply", &names.supplies), ("day", &names.days)] {
            if takes(argument) {
                all.extend(list.iter().map(|name| name.key().to_owned()));
            }
        }
        if takes("speed") {
            all.push("a speed such as 80_kmh".to_owned());
        }
        if takes("span") {
            all.push("two speeds such as 0_100".to_owned());
        }
        all
    }
}

/// The word of a quantity, which may have a dot in it, and what follows.
fn split(text: &str) -> (&str, &str) {
    let dots: Vec<usize> = text.match_indices('.').map(|(at, _)| at).collect();
    let second = dots.get(1).copied().unwrap_or(text.len());
    let (two, behind) = text.split_at(second);
    if dots.is_empty() || rows::find(two).is_some() {
        return (two, behind);
    }
    text.split_at(dots[0])
}

/// Least likeness, 0 to 1, of a name that may have been meant.
const LIKE: f64 = 0.6;

/// The known name most like a part; of a pattern such as `range[.CYCLE]` the word counts.
fn nearest(part: &str, known: &[String]) -> Option<String> {
    let words = known.iter().map(|name| name.split(['[', '.']).next().unwrap_or(name));
    let like = |word: &str| crownwheel::alike::likeness(part, word);
    words
        .map(|word| (like(word), word))
        .filter(|(likeness, word)| *likeness >= LIKE && *word != part)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word.to_owned())
}

/// Km/h in a mph.
const KMH_PER_MPH: f64 = METRE_PER_MILE / 1000.0;

/// Highest speed that is asked for, km/h.
const FASTEST_KMH: f64 = 400.0;

/// `112_kmh`, `70_mph`, `112`.
fn speed(part: &str) -> Option<f64> {
    let (number, factor) = match part.strip_suffix("_mph") {
        Some(number) => (number, KMH_PER_MPH),
        None => (part.strip_suffix("_kmh").unwrap_or(part), 1.0),
    };
    let speed: f64 = number.parse().ok()?;
    (speed.is_finite() && (0.0..=FASTEST_KMH).contains(&speed)).then_some(speed * factor)
}

/// `0_100`, `kmh_0_100`, `mph_0_60`.
fn span(part: &str) -> Option<(f64, f64)> {
    let (numbers, factor) = match part.strip_prefix("mph_") {
        Some(numbers) => (numbers, KMH_PER_MPH),
        None => (part.strip_prefix("kmh_").unwrap_or(part), 1.0),
    };
    let (from, to) = numbers.split_once('_')?;
    let (from, to): (f64, f64) = (from.parse().ok()?, to.parse().ok()?);
    let fits = from >= 0.0 && from < to && to <= FASTEST_KMH;
    fits.then_some((from * factor, to * factor))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: Option<f64>, b: f64) -> bool {
        a.is_some_and(|a| (a - b).abs() < 1e-9)
    }

    fn read(text: &str) -> Result<Question, NotAsked> {
        let names = Names {
            quantities: &rows::ALL,
            cycles: vec!["udds".into(), "moor-round".into()],
            days: vec!["mild".into(), "winter".into()],
            supplies: vec!["garage".into()],
            charge_pct: (10.0, 90.0),
        };
        Question::read(text, &names)
    }

    #[test]
    fn speeds_are_read_with_and_without_a_unit() {
        assert!(close(speed("112_kmh"), 112.0) && close(speed("80"), 80.0));
        assert!(close(speed("70_mph"), 112.654_08));
        for wrong in ["fast", "-5", "1e9", "NaN", ""] {
            assert_eq!(speed(wrong), None, "{wrong}");
        }
        assert!(span("kmh_0_100").is_some() && span("80_120").is_some());
        assert!(close(span("mph_0_60").map(|span| span.1), 96.560_64));
        for wrong in ["100_0", "0", "a_b", "0_1e9", "NaN_5"] {
            assert_eq!(span(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn names_are_read_in_any_order_and_what_is_not_said_is_usual() {
        for (text, key) in [
            ("range", "range_km.udds.mild"),
            ("range.winter.moor-round.csv", "range_km.moor-round.winter"),
            ("axle_load.rear.at_gross", "rear_axle_kg.at_gross"),
            ("front_axle_kg", "front_axle_kg.driver_only"),
            ("weight", "mass_kg.driver_only"),
            ("drag.70_mph", "road_load_n.70_mph.mild"),
            ("time.50_80.winter", "times_s.kmh_50_80.winter"),
            ("charge_hours", "charge_hours.garage.10_to_90_pct.mild"),
            ("motor_speed", "cruise_motor_speed_rpm.112_kmh"),
        ] {
            assert_eq!(read(text).unwrap().key(), key, "{text}");
        }
    }

    #[test]
    fn what_cannot_be_asked_is_said_with_what_can() {
        let why = |text: &str| read(text).unwrap_err().to_string();
        assert!(why("rnage").contains("did you mean `range`?"), "{}", why("rnage"));
        assert!(why("axle_load").contains("does not say which axle"), "{}", why("axle_load"));
        assert!(why("range.wintr").contains("did you mean `winter`?"), "{}", why("range.wintr"));
        assert!(why("drag_area.mild").contains("leave it out"), "{}", why("drag_area.mild"));
    }

    #[test]
    fn every_row_is_offered_with_what_may_stand_behind_it() {
        for row in rows::ALL {
            assert!(read(row.word()).is_ok(), "{}", row.word());
        }
        assert_eq!(rows::RANGE.usage(), "range[.CYCLE][.DAY]");
        assert_eq!(rows::TIME.usage(), "time[.0_100][.DAY]");
        assert_eq!(rows::REAR_AXLE.usage(), "axle_load.rear[.CASE]");
    }
}
