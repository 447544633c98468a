//! Every number of a car and of a day that a build file can say: what it is, what is allowed, what
//! is assumed without it, what it matters for, and where it stands in [`CarSpec`] or [`DaySpec`].
//!
//! One row a key, in the file of its subject. Reading, the range of every check, the knobs of sweeps,
//! the hints for misspelt keys, the list of assumed values and the reference come from the row. A `*`
//! in a path stands for a name that the writer chooses.
//!
//! # What a range holds for
//! A range is what a build may say, and where the draws of worlds are cut ([`Key::ends_si`]), so that no
//! world leaves it. A description in code may go beyond what is plausible to write, where the row says how
//! far the formulas bear it ([`Key::in_code`]): a car without drag, an inverter without a limit. Ends at
//! which the physics ends, 0 of a mass or 1 of an efficiency, are ends of both. What is refused of a car
//! or a day is what lies outside of [`Key::in_code`], or of the range if the row says no more.
//!
//! ```
//! use crownwheel::keys;
//! let key = keys::find("put_in.charger.mass").expect("every part has one");
//! assert_eq!(key.path, "put_in.*.mass");
//! assert_eq!(key.allowed(), "0 kg to 5000 kg");
//! assert_eq!(keys::nearest("motor.maxspeed").as_deref(), Some("motor.max_speed"));
//! ```

mod bind;
mod car;
mod day;
mod dimension;
mod driveline;
mod energy;
mod model;
mod motor;
mod pack;
pub mod paths;
mod range;
mod tyres;
pub mod unit;
mod weights;

pub use bind::{Bind, Binding, List};
pub use dimension::Dimension;
pub use driveline::GEAR_RATIOS;
pub use range::Range;
pub use unit::Unit;

use crate::spec::{CarSpec, DaySpec};
use crate::spread::{Spread, SpreadKind};

/// Whether a key must be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Need {
    /// It must be there (if its table is).
    Required,
    /// Without it, nothing is assumed.
    Optional,
    /// Without it this value is assumed, and the answer says so.
    Assumed {
        /// The value as it would be written in a build.
        text: &'static str,
        /// Where the value is from.
        source: &'static str,
    },
    /// Without it a value is worked out as `rule` says, and the answer says so.
    Derived {
        /// The rule in words.
        rule: &'static str,
    },
}

/// What a key matters for, and how to find its value out. How to measure is common practice of the
/// trade; nothing of it is a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Advice {
    /// Which answers depend on it, in a few words.
    pub matters: &'static str,
    /// How to find it out.
    pub find_out: &'static str,
}

/// One key of a build.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Path, `taken_out.*.mass`.
    pub path: &'static str,
    /// What it is, in words.
    pub title: &'static str,
    /// The numbers that are allowed; `None` for what is no number.
    pub range: Option<Range>,
    /// Whether it must be there.
    pub need: Need,
    /// How to write its value, as in TOML.
    pub example: &'static str,
    /// What it matters for and how it is found out; there is some on all that may be assumed.
    pub advice: Option<Advice>,
    /// It is a whole number.
    pub whole: bool,
    /// A fact on paper or a choice: it is never unsure, and no sweep varies it.
    pub fixed: bool,
    /// How far a description in code may go, where that is farther than what a build may say.
    pub in_code: Option<Range>,
    /// It writes what other keys write one by one, and those are checked.
    pub repeats: bool,
    /// Half-width (19 to 1) of a number that is written without a band, as a part of its distance to the nearer end of what is
    /// allowed: at an end it is exact. `None`: a bare number is exact.
    pub bare_band: Option<f64>,
    /// Where it stands.
    pub bind: Bind,
}

impl Key {
    /// Last part of the path.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.path.rsplit('.').next().unwrap_or(self.path)
    }

    /// What is allowed, in words; empty for what is no number.
    #[must_use]
    pub fn allowed(&self) -> String {
        self.range.map_or_else(String::new, |range| range.to_string())
    }

    /// Both ends of what is allowed, in SI; infinite where there is no range. Draws of worlds are cut here.
    #[must_use]
    pub fn ends_si(&self) -> (f64, f64) {
        self.range.map_or((f64::NEG_INFINITY, f64::INFINITY), |range| range.ends_si())
    }

    /// What a car or a day may have of it.
    #[must_use]
    pub fn borne(&self) -> Option<Range> {
        self.in_code.or(self.range)
    }

    /// Whether it is an adjustable number: it may be unsure, and sweeps may vary it.
    #[must_use]
    pub fn is_adjustable(&self) -> bool {
        !self.fixed && !matches!(self.bind, Bind::Nothing)
    }

    /// The path with a name in the place of `*`.
    #[must_use]
    pub fn named(&self, name: &str) -> String {
        self.path.replacen('*', name, 1)
    }

    /// Allows `low` to `high`.
    #[must_use]
    pub const fn from(self, low: f64, high: f64, unit: Unit) -> Self {
        self.within(Range { low, above_low: false, high, unit })
    }

    /// Allows more than `low` and at most `high`.
    #[must_use]
    pub const fn over(self, low: f64, high: f64, unit: Unit) -> Self {
        self.within(Range { low, above_low: true, high, unit })
    }

    const fn within(mut self, range: Range) -> Self {
        self.range = Some(range);
        self
    }

    /// Allows whole numbers from `low` to `high`.
    #[must_use]
    pub const fn count(mut self, low: f64, high: f64) -> Self {
        self.whole = true;
        self.from(low, high, unit::ONE)
    }

    /// Says how its value is written, as in TOML.
    #[must_use]
    pub const fn like(mut self, example: &'static str) -> Self {
        self.example = example;
        self
    }

    /// It must be there.
    #[must_use]
    pub const fn required(mut self) -> Self {
        self.need = Need::Required;
        self
    }

    /// Without it this is assumed.
    #[must_use]
    pub const fn assumed(mut self, text: &'static str, source: &'static str) -> Self {
        self.need = Need::Assumed { text, source };
        self
    }

    /// Without it a value is worked out by this rule.
    #[must_use]
    pub const fn derived(mut self, rule: &'static str) -> Self {
        self.need = Need::Derived { rule };
        self
    }

    /// What it matters for, and how to find it out.
    #[must_use]
    pub const fn advice(mut self, matters: &'static str, find_out: &'static str) -> Self {
        self.advice = Some(Advice { matters, find_out });
        self
    }

    /// A number without a band has one all the same, see [`Key::bare_band`].
    const fn bare(mut self, part: f64) -> Self {
        self.bare_band = Some(part);
        self
    }

    /// The band of a number that is written without one. `None`: it is exact.
    #[must_use]
    pub fn bare_spread(&self, value: f64) -> Option<Spread> {
        let (low, high) = self.range?.ends_si();
        let half_width_95 = self.bare_band? * (value - low).min(high - value);
        let kind = SpreadKind::Normal { half_width_95 };
        (half_width_95 > 0.0).then_some(Spread { nominal: value, kind })
    }

    /// It is never unsure, and no sweep varies it: a fact on paper or a choice.
    #[must_use]
    pub const fn fixed(mut self) -> Self {
        self.fixed = true;
        self
    }

    /// A description in code may hold `low` to `high`, in the unit of the range.
    const fn code(self, low: f64, high: f64) -> Self {
        self.beyond(low, false, high)
    }

    /// A description in code may hold more than `low` and at most `high`.
    const fn code_over(self, low: f64, high: f64) -> Self {
        self.beyond(low, true, high)
    }

    /// A description in code may hold any more.
    const fn or_more(self) -> Self {
        match self.range {
            Some(range) => self.beyond(range.low, range.above_low, f64::INFINITY),
            None => self,
        }
    }

    const fn beyond(mut self, low: f64, above_low: bool, high: f64) -> Self {
        if let Some(range) = self.range {
            self.in_code = Some(Range { low, above_low, high, unit: range.unit });
        }
        self
    }

    /// It writes what other keys write one by one.
    const fn repeats(mut self) -> Self {
        self.repeats = true;
        self
    }

    /// Where it stands in a car.
    const fn of_car(mut self, place: fn(&mut CarSpec) -> Option<Binding<'_>>) -> Self {
        self.bind = Bind::Car(place);
        self
    }

    /// Where it stands in each part of a list.
    const fn of_each(
        mut self,
        list: List,
        place: fn(&mut CarSpec, usize) -> Option<Binding<'_>>,
    ) -> Self {
        self.bind = Bind::Each(list, place);
        self
    }

    /// Where it stands in a day.
    const fn of_day(mut self, place: fn(&mut DaySpec) -> Option<Binding<'_>>) -> Self {
        self.bind = Bind::Day(place);
        self
    }
}

/// A key of which only path and words are said.
#[must_use]
pub const fn key(path: &'static str, title: &'static str) -> Key {
    Key {
        path,
        title,
        range: None,
        need: Need::Optional,
        example: "",
        advice: None,
        whole: false,
        fixed: false,
        in_code: None,
        repeats: false,
        bare_band: None,
        bind: Bind::Nothing,
    }
}

/// The keys by subject, in the order of the reference.
#[must_use]
pub const fn subjects() -> &'static [&'static [Key]] {
    &[
        car::ROWS,
        weights::ROWS,
        tyres::ROWS,
        driveline::ROWS,
        motor::ROWS,
        pack::ROWS,
        energy::ROWS,
        day::ROWS,
        model::ROWS,
    ]
}

/// Every number of a car and of a day.
pub fn all() -> impl Iterator<Item = &'static Key> {
    subjects().iter().copied().flatten()
}

/// The key of a path, `taken_out.engine.mass`.
#[must_use]
pub fn find(path: &str) -> Option<&'static Key> {
    all().find(|key| paths::matches(key.path, path))
}

/// The key that looks most like a path that is none, with the writer's names put in.
#[must_use]
pub fn nearest(path: &str) -> Option<String> {
    paths::nearest_of(all().map(|key| key.path), path)
}

/// Named once: the source of every default that no publication settles.
pub const JUDGEMENT: &str = "engineering judgement";

#[cfg(test)]
mod tests;
