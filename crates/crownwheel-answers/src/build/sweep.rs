//! A sweep of a build that is put together in code, watched, and stopped.

use std::fmt::Write as _;
use std::ops::ControlFlow;
use std::path::Path;

use crownwheel::unsure::USUAL_WORLDS;
use crownwheel_files::{Set, load_sweep_text};
use crownwheel_sweep::decision::Decision;
use crownwheel_sweep::gathered::FirstLooks;
use crownwheel_sweep::sweep::OptionRun;

use super::{Answer, AskError, Build, Job};
use crate::SweepAnswer;

/// How far a sweep is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Options done: looked at, and the best of them driven in all worlds.
    pub done: usize,
    /// All of them.
    pub total: usize,
}

/// See [`Build::sweep`].
#[derive(Clone, Debug)]
pub struct SweepAsk {
    build: Build,
    vary: Vec<(String, Vec<String>)>,
    cycles: Vec<String>,
    days: Vec<String>,
    worlds: usize,
    threads: Option<usize>,
}

impl SweepAsk {
    pub(super) fn of(build: &Build) -> SweepAsk {
        SweepAsk {
            build: build.clone(),
            vary: Vec::new(),
            cycles: Vec::new(),
            days: Vec::new(),
            worlds: USUAL_WORLDS,
            threads: None,
        }
    }

    /// A key with the values that it takes, written as in a build; all keys are crossed.
    #[must_use]
    pub fn vary<V: Into<String>>(
        mut self,
        key: impl Into<String>,
        values: impl IntoIterator<Item = V>,
    ) -> Self {
        self.vary.push((key.into(), values.into_iter().map(Into::into).collect()));
        self
    }

    /// A cycle that every option drives, as often as wanted.
    #[must_use]
    pub fn cycle(mut self, name: impl Into<String>) -> Self {
        self.cycles.push(name.into());
        self
    }

    /// A day of the build, as often as wanted; without one all.
    #[must_use]
    pub fn day(mut self, name: impl Into<String>) -> Self {
        self.days.push(name.into());
        self
    }

    /// Worlds that every option is tried in: 2,000 if this is not said, 1 for nominal values alone.
    #[must_use]
    pub fn worlds(mut self, count: usize) -> Self {
        self.worlds = count.max(1);
        self
    }

    /// Threads of its own to compute on; without it the program's.
    #[must_use]
    pub fn threads(mut self, count: usize) -> Self {
        self.threads = Some(count.max(1));
        self
    }

    /// Runs it; `watch` hears of every few options and may stop it.
    ///
    /// # Errors
    /// A key, value, cycle or day that there is not; [`AskErrorKind::Stopped`](super::AskErrorKind::Stopped) where `watch` broke
    /// off.
    pub fn run(
        &self,
        mut watch: impl FnMut(Progress) -> ControlFlow<()> + Send,
    ) -> Result<Answer<SweepAnswer>, AskError> {
        let Some(threads) = self.threads else { return self.watched(&mut watch) };
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        let pool = pool.map_err(|error| AskError::failed(error.to_string()))?;
        pool.install(|| self.watched(&mut watch))
    }

    fn watched(
        &self,
        watch: &mut dyn FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<Answer<SweepAnswer>, AskError> {
        let job = self.job()?;
        let plan = job.plan();
        let options = plan.space.len();
        let total = usize::try_from(options).unwrap_or(usize::MAX);
        let mut done = 0;
        let mut tell = |more: usize, of: usize| {
            done += more;
            match watch(Progress { done: done.min(of), total: of }) {
                ControlFlow::Continue(()) => Ok(()),
                ControlFlow::Break(()) => Err(AskError::stopped()),
            }
        };
        tell(0, total)?;
        let mut gathered = FirstLooks::new(&plan);
        job.look(0..options, &mut |block| {
            let count = block.len();
            block.into_iter().for_each(|looked| gathered.add(&plan, looked));
            tell(count, total)
        })?;
        let on = plan.go_on(&gathered.briefs());
        let all = total.saturating_add(on.len());
        let mut finished: Vec<OptionRun> = Vec::new();
        for some in on.chunks(AT_ONCE) {
            finished.extend(plan.finish(some, gathered.looked(), &|| {}));
            tell(some.len(), all)?;
        }
        let answer = job.answer(&Decision::new(&plan, gathered, finished));
        Ok(Answer::new(answer, self.build.units))
    }

    fn job(&self) -> Result<Job, AskError> {
        let build = &self.build.loaded.build;
        let file = &build.path;
        let folder = file.parent().unwrap_or(Path::new(""));
        // What is varied takes the place of what was set.
        let varied = |set: &Set| self.vary.iter().any(|(key, _)| *key == set.key);
        let sets = self.build.sets.iter().filter_map(|text| Set::parse(text));
        let sets: Vec<Set> = sets.filter(|set| !varied(set)).collect();
        let name = file.file_name().map_or_else(String::new, |it| it.to_string_lossy().into());
        let text = self.text(&name);
        let sweep = load_sweep_text(&folder.join("sweep"), text, &sets, build.provider.clone())?;
        Job::of(sweep, self.build.units, &self.build.sets, false)
    }

    /// The sweep as it would stand in a file.
    fn text(&self, build: &str) -> String {
        let list = |values: &[String]| {
            let quoted: Vec<String> = values.iter().map(|it| toml_text(it)).collect();
            format!("[{}]", quoted.join(", "))
        };
        let mut text =
            format!("format = 1\nbuild = {}\nworlds = {}\n", toml_text(build), self.worlds);
        for (key, values) in [("cycles", &self.cycles), ("days", &self.days)] {
            if !values.is_empty() {
                let _ = writeln!(text, "{key} = {}", list(values));
            }
        }
        text.push_str("[vary]\n");
        for (key, values) in &self.vary {
            let _ = writeln!(text, "{key} = {}", list(values));
        }
        text
    }
}

/// Options that are driven in all worlds before `watch` hears of them.
const AT_ONCE: usize = 4;

/// A text as TOML writes it, which takes the escapes of JSON.
fn toml_text(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}
