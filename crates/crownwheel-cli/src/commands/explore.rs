//! `explore`: a page with sliders, served to this machine alone.

use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::sync::Arc;

use clap::Args as ClapArgs;
use crownwheel_answers::text::clean;
use crownwheel_answers::{RangeAnswer, Units, from_car};
use crownwheel_explore::{BandedAnswers, Engine, EngineRefusal, Reading, Server};

use super::pull::list_of;
use crate::args::UnitsArg;
use crate::outcome::{Failure, Outcome, print, quoted, say, typed};
use crate::subject::{
    LoadedBuild, USUAL_CYCLES, demanded_cycles, each_once, of_build, open_cycles, own_cycles,
    parse_sets, trip, typed as typed_cycle,
};
use crate::values::parse_port;
use crate::values::parse_worlds;
use crownwheel_answers::build::Bands;

#[derive(Debug, ClapArgs)]
pub(crate) struct Explore {
    /// The build, or a folder with a build.toml in it
    #[arg(default_value = "build.toml")]
    pub(crate) file: PathBuf,
    /// Put a value over the build's, as often as you like; several numbers are offered to pick from:
    /// driveline.axle.ratio=3.70,3.89,4.22
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    /// Units of the answers
    #[arg(long, value_name = "UNITS", value_enum, default_value_t = UnitsArg::Metric)]
    pub(crate) units: UnitsArg,
    /// Port of 127.0.0.1; without it any that is free
    #[arg(long, value_name = "N", value_parser = parse_port, default_value = "0", allow_hyphen_values = true)]
    pub(crate) port: u16,
    /// Worlds that bands are drawn from; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, default_value = "200", allow_hyphen_values = true)]
    pub(crate) worlds: NonZeroUsize,
}

pub(crate) fn run(explore: &Explore) -> Result<Outcome, Failure> {
    let (offered, set): (Vec<&String>, Vec<&String>) =
        explore.set.iter().partition(|set| list_of(set).is_some());
    let lists = offered.into_iter().filter_map(|set| list_of(set));
    let bench = Bench {
        file: explore.file.clone(),
        set: set.into_iter().cloned().collect(),
        units: explore.units.into(),
        worlds: explore.worlds,
    };
    // What is wrong now is told as by every other command, with its colours.
    bench.load(&[])?;
    let lists = lists.map(|list| (list.key, list.values)).collect();
    let failed = |error: crownwheel_explore::ServeError| Failure::Failed(error.to_string());
    let server = Server::new(Arc::new(bench), explore.port, lists).map_err(failed)?;
    let stopper = server.stopper();
    ctrlc::set_handler(move || stopper.stop())
        .map_err(|error| Failure::Failed(format!("cannot watch for Ctrl-C: {error}")))?;
    print(&format!("Open {} in a browser. Ctrl-C closes it.\n", server.address()))?;
    server.run().map_err(failed)?;
    say("closed.");
    Ok(Outcome::Answered)
}

/// The build of the command line.
struct Bench {
    file: PathBuf,
    /// Set on the command line: below what the page sets.
    set: Vec<String>,
    units: Units,
    worlds: NonZeroUsize,
}

impl Bench {
    fn all(&self, sets: &[String]) -> Vec<String> {
        self.set.iter().chain(sets).cloned().collect()
    }

    fn load(&self, sets: &[String]) -> Result<(LoadedBuild, from_car::RangeRequest), Failure> {
        let sets = self.all(sets);
        let build = crownwheel_files::load(&self.file, &parse_sets(&sets)?)?;
        let mut loaded = of_build(build, self.units, &sets)?;
        let own = own_cycles(&loaded.build);
        let usual: Vec<_> = USUAL_CYCLES.iter().map(|name| typed_cycle(name)).collect();
        let all = usual.iter().chain(&own).chain(demanded_cycles(&loaded.build));
        let wanted = each_once(all);
        let cycles = open_cycles(&mut loaded, &wanted)?;
        let days = (0..loaded.subject.days.len()).collect();
        let trips = wanted.iter().map(|cycle| trip(&loaded.build, cycle, false)).collect();
        Ok((
            loaded,
            from_car::RangeRequest { cycles, trips, days, ..from_car::RangeRequest::default() },
        ))
    }

    fn banded(
        &self,
        sets: &[String],
        day: usize,
        wanted: &dyn Fn() -> bool,
    ) -> Result<Option<BandedAnswers>, Failure> {
        let (mut loaded, asked) = self.load(sets)?;
        let Some(bands) = Bands::new(&mut loaded, Some(self.worlds).into())? else {
            return Ok(None);
        };
        if !wanted() {
            return Ok(None);
        }
        let Some(range) = ranges(&loaded, &asked, &bands, wanted)? else { return Ok(None) };
        let mut pull = loaded.nominal_pull(day);
        bands.pull(day, &mut pull)?;
        if !wanted() {
            return Ok(None);
        }
        let demands = bands.judge(&mut loaded)?.map_or_else(Vec::new, |it| it.demands);
        Ok(Some(BandedAnswers { range, pull, demands }))
    }
}

impl Engine for Bench {
    fn read(&self, sets: &[String]) -> Result<Reading, EngineRefusal> {
        let (loaded, asked) = self.load(sets).map_err(refused)?;
        let hills = loaded.hills();
        let files = loaded.inputs.into_iter().map(|input| input.path).collect();
        Ok(Reading { files, hills, asked, build: loaded.build, subject: loaded.subject })
    }

    fn bands(
        &self,
        sets: &[String],
        day: usize,
        wanted: &dyn Fn() -> bool,
    ) -> Result<Option<BandedAnswers>, EngineRefusal> {
        self.banded(sets, day, wanted).map_err(refused)
    }

    fn command(&self, sets: &[String]) -> String {
        let mut words = vec!["crownwheel range".to_owned(), typed(&self.file)];
        for set in self.all(sets) {
            words.push(format!("--set {}", quoted(&clean(&set))));
        }
        if self.units == Units::Us {
            words.push("--units us".to_owned());
        }
        words.join(" ")
    }

    fn worlds(&self) -> usize {
        self.worlds.get()
    }
}

/// Ranges with bands, cycle by cycle, so that a later move need not wait for all of them.
fn ranges(
    loaded: &LoadedBuild,
    asked: &from_car::RangeRequest,
    bands: &Bands,
    wanted: &dyn Fn() -> bool,
) -> Result<Option<RangeAnswer>, Failure> {
    let mut whole = from_car::range_alone(&loaded.subject, asked);
    whole.results.clear();
    for (cycle, trip) in asked.cycles.iter().zip(&asked.trips) {
        if !wanted() {
            return Ok(None);
        }
        let (cycles, trips) = (vec![cycle.clone()], vec![trip.clone()]);
        let one = from_car::RangeRequest { cycles, trips, ..asked.clone() };
        let mut answer = from_car::range_alone(&loaded.subject, &one);
        bands.range(&one, &mut answer)?;
        whole.results.extend(answer.results);
        whole.drawn = answer.drawn;
        // What is said of the worlds stands behind what is said of the runs, the same every time.
        whole.notes = answer.notes;
        let new = answer.warnings.into_iter().filter(|it| it.code == "facts_not_used");
        if !whole.warnings.iter().any(|it| it.code == "facts_not_used") {
            whole.warnings.extend(new);
        }
    }
    whole.plain = whole.plain_line();
    Ok(Some(whole))
}

/// A failure as the page tells it.
fn refused(failure: Failure) -> EngineRefusal {
    match failure {
        Failure::Input(report) => EngineRefusal::from(&report),
        Failure::Usage(text) | Failure::Failed(text) => EngineRefusal::of("", text),
        Failure::ReaderLeft => EngineRefusal::default(),
    }
}
