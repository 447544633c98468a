//! Questions to a build, put together bit by bit.

use std::num::NonZeroUsize;

use super::loaded::{LoadedBuild, Named, USUAL_CYCLES, asked, days};
use super::{Answer, AskError, AskedWorlds, Build};
use crate::{ChargeAnswer, CheckAnswer, PullAnswer, RangeAnswer};

/// What all questions have alike: the build, the days that are named, and the worlds.
#[derive(Clone, Debug)]
struct Question {
    build: Build,
    days: Vec<String>,
    worlds: AskedWorlds,
}

impl Question {
    fn of(build: &Build) -> Question {
        Question { build: build.clone(), days: Vec::new(), worlds: AskedWorlds::default() }
    }

    fn loaded(&self) -> LoadedBuild {
        self.build.loaded()
    }

    fn said<T>(&self, answer: T) -> Answer<T> {
        Answer::new(answer, self.build.units)
    }

    /// Place of the one day, the first of the build where none is named.
    fn day(&self, loaded: &LoadedBuild) -> Result<usize, AskError> {
        Ok(days(&loaded.subject, &self.days)?[0])
    }
}

/// Worlds as people count them; 0 is 1, nominal values alone.
fn worlds(count: usize) -> AskedWorlds {
    NonZeroUsize::new(count.max(1)).into()
}

/// See [`Build::check`].
#[derive(Clone, Debug)]
pub struct CheckAsk(Question);

impl CheckAsk {
    pub(super) fn of(build: &Build) -> CheckAsk {
        CheckAsk(Question::of(build))
    }

    /// Worlds that tell what a line would narrow: 2,000 if this is not said, 1 for none.
    #[must_use]
    pub fn worlds(mut self, count: usize) -> Self {
        self.0.worlds = worlds(count);
        self
    }

    /// The answer.
    ///
    /// # Errors
    /// A cycle of a demand or fact cannot be read.
    pub fn answer(&self) -> Result<Answer<CheckAnswer>, AskError> {
        Ok(self.0.said(self.0.loaded().check(self.0.worlds)?))
    }
}

/// See [`Build::range`].
#[derive(Clone, Debug)]
pub struct RangeAsk {
    question: Question,
    cycles: Vec<String>,
}

impl RangeAsk {
    pub(super) fn of(build: &Build) -> RangeAsk {
        RangeAsk { question: Question::of(build), cycles: Vec::new() }
    }

    /// A built-in cycle or a cycle file, as often as wanted; without one the usual ones and the build's own.
    #[must_use]
    pub fn cycle(mut self, name: impl Into<String>) -> Self {
        self.cycles.push(name.into());
        self
    }

    /// A day of the build, as often as wanted; without one all.
    #[must_use]
    pub fn day(mut self, name: impl Into<String>) -> Self {
        self.question.days.push(name.into());
        self
    }

    /// Worlds that bands are drawn from: 2,000 if this is not said, 1 for nominal values alone.
    #[must_use]
    pub fn worlds(mut self, count: usize) -> Self {
        self.question.worlds = worlds(count);
        self
    }

    /// The answer.
    ///
    /// # Errors
    /// A cycle or day that there is not.
    pub fn answer(&self) -> Result<Answer<RangeAnswer>, AskError> {
        let mut loaded = self.question.loaded();
        let named = Named { cycles: &self.cycles, days: &self.question.days };
        let wanted = asked(&mut loaded, &named, &USUAL_CYCLES)?;
        Ok(self.question.said(loaded.range(&wanted, self.question.worlds)?))
    }
}

/// See [`Build::pull`].
#[derive(Clone, Debug)]
pub struct PullAsk(Question);

impl PullAsk {
    pub(super) fn of(build: &Build) -> PullAsk {
        PullAsk(Question::of(build))
    }

    /// A day of the build; without it the first.
    #[must_use]
    pub fn day(mut self, name: impl Into<String>) -> Self {
        self.0.days = vec![name.into()];
        self
    }

    /// Worlds that bands are drawn from: 2,000 if this is not said, 1 for nominal values alone.
    #[must_use]
    pub fn worlds(mut self, count: usize) -> Self {
        self.0.worlds = worlds(count);
        self
    }

    /// The answer.
    ///
    /// # Errors
    /// A day that there is not.
    pub fn answer(&self) -> Result<Answer<PullAnswer>, AskError> {
        let mut loaded = self.0.loaded();
        let day = self.0.day(&loaded)?;
        let mut answer = loaded.pull(day, self.0.worlds)?;
        let with = |setting: String| {
            let (key, value) = setting.split_once('=').unwrap_or((&setting, ""));
            Ok::<_, AskError>(self.0.build.set(key, value)?.loaded())
        };
        answer.ratios = loaded.gear_ratios(day, with)?;
        answer.notes.extend(crate::ratios::differences(&answer.ratios));
        Ok(self.0.said(answer))
    }
}

/// See [`Build::charge`].
#[derive(Clone, Debug)]
pub struct ChargeAsk {
    question: Question,
    from_frac: Option<f64>,
    to_frac: Option<f64>,
}

impl ChargeAsk {
    pub(super) fn of(build: &Build) -> ChargeAsk {
        ChargeAsk { question: Question::of(build), from_frac: None, to_frac: None }
    }

    /// A day of the build; without it the first.
    #[must_use]
    pub fn day(mut self, name: impl Into<String>) -> Self {
        self.question.days = vec![name.into()];
        self
    }

    /// State of charge at the start, 0 to 1; without it the end of the usable part.
    #[must_use]
    pub fn from(mut self, charge_frac: f64) -> Self {
        self.from_frac = Some(charge_frac);
        self
    }

    /// State of charge that is wanted, 0 to 1; without it the top of the usable part.
    #[must_use]
    pub fn to(mut self, charge_frac: f64) -> Self {
        self.to_frac = Some(charge_frac);
        self
    }

    /// Worlds that bands are drawn from: 2,000 if this is not said, 1 for nominal values alone.
    #[must_use]
    pub fn worlds(mut self, count: usize) -> Self {
        self.question.worlds = worlds(count);
        self
    }

    /// The answer.
    ///
    /// # Errors
    /// A day that there is not; states of charge that do not go up, or are none.
    pub fn answer(&self) -> Result<Answer<ChargeAnswer>, AskError> {
        let mut loaded = self.question.loaded();
        let day = self.question.day(&loaded)?;
        let (floor_frac, top_frac) = loaded.usable_frac();
        let from_frac = self.from_frac.unwrap_or(floor_frac);
        let to_frac = self.to_frac.unwrap_or(top_frac);
        if !(0.0 <= from_frac && from_frac < to_frac && to_frac <= 1.0) {
            return Err(AskError::asked(format!(
                "charging goes up, between 0 and 1: from {from_frac} to {to_frac} does not"
            )));
        }
        Ok(self.question.said(loaded.charge(day, (from_frac, to_frac), self.question.worlds)?))
    }
}
