//! `report`: everything as one page.

mod kept;
mod since;

use std::path::{Path, PathBuf};

use clap::Args as ClapArgs;
use crownwheel::constants::METRE_PER_MILE;
use crownwheel_answers::from_car::{self, ExplainAsked, RangeRequest};
use crownwheel_answers::text::{clean, sentence};
use crownwheel_answers::{CompareAnswer, Units};
use crownwheel_files::sweep_file::is_sweep;
use crownwheel_files::{Build, BuildText};
use crownwheel_plot::ReportInput;
use rayon::prelude::*;

use super::explain::inputs;
use super::sweep::Sweep;
use crate::args::Range;
use crate::outcome::{Failure, Outcome, print, say, shown};
use crate::subject::{LoadedBuild, asked, of_build, open};
use crate::values::is_dash;
use crate::{results_folder, screen};
use crownwheel_answers::build::Bands;

#[derive(Debug, ClapArgs)]
pub(crate) struct Report {
    #[command(flatten)]
    pub(crate) range: Range,
    /// Draw every figure as PNG too
    #[arg(long)]
    pub(crate) png: bool,
}

/// Cycles of a report when none is named.
const REPORT_CYCLES: [&str; 5] = ["wltc3b", "udds", "hwfet", "us06", "nedc"];

/// Steady speeds of a report, km/h: enough for a curve, and the four that every answer has.
const REPORT_SPEEDS_KMH: [f64; 12] =
    [30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 112.0, 120.0, 130.0, 140.0];

/// The same in mph.
const REPORT_SPEEDS_MPH: [f64; 12] =
    [20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 70.0, 80.0, 90.0];

/// Folder of a report when none is named.
const USUAL_FOLDER: &str = "crownwheel-report";

pub(crate) fn run(report: &Report) -> Result<Outcome, Failure> {
    let common = &report.range.common;
    if !is_dash(&common.file) && is_sweep(&common.file) {
        return of_sweep(report);
    }
    let folder = common.output.out.clone().unwrap_or_else(|| PathBuf::from(USUAL_FOLDER));
    let text = open(&common.file, &common.set)?;
    let mut loaded = of_build(text.clone().build()?, common.output.units.into(), &common.set)?;
    let mut wanted = asked(&mut loaded, &report.range, &REPORT_CYCLES)?;
    wanted.steady_kmh = match loaded.subject.units {
        Units::Metric => REPORT_SPEEDS_KMH.to_vec(),
        Units::Us => REPORT_SPEEDS_MPH.map(|mph| mph * METRE_PER_MILE / 1000.0).to_vec(),
    };
    let bands = Bands::new(&mut loaded, report.range.asked_worlds())?;
    let mut demands = match &bands {
        Some(bands) => bands.judge_and_narrow(&mut loaded)?,
        None => None,
    };
    let subject = &loaded.subject;
    let first_day = &subject.days[wanted.days[0]];
    // The first cycle, and the build's own, which come last.
    let mut drawn = vec![0];
    if wanted.cycles.len() > 1 {
        drawn.push(wanted.cycles.len() - 1);
    }
    let day = wanted.days[0];
    let mut range = from_car::range(subject, &wanted);
    let mut pull = loaded.nominal_pull(day);
    let mut charge = loaded.nominal_charge(day, loaded.usable_frac());
    if let Some(bands) = &bands {
        bands.range(&wanted, &mut range)?;
        if let Some(demands) = &mut demands {
            demands.take_ranges(&range);
        }
        bands.pull(day, &mut pull)?;
        bands.charge(day, &loaded.build.supplies, &mut charge)?;
    }
    let asked = ExplainAsked {
        answer: String::new(),
        cycles: wanted.cycles.clone(),
        inputs: inputs(&loaded.build, subject.units),
    };
    let speeds_kmh: Vec<f64> = pull.shafts.iter().map(|shaft| shaft.speed_kmh).collect();
    let names = from_car::explained_in_report(subject, &asked, &wanted.days, &speeds_kmh);
    let explain = |question| from_car::explain_question(subject, &asked, &question);
    let explained = names.into_par_iter().map(explain).collect();
    let input = ReportInput {
        since: since_last_time(&folder, &text, &loaded, &wanted),
        check: from_car::check(subject),
        weigh: from_car::weigh(subject),
        range,
        pull: Some(pull),
        charge: Some(charge),
        demands,
        explained,
        inputs: asked.inputs,
        current_limits_a: current_limits_a(&loaded.build),
        traces: drawn
            .into_iter()
            .map(|i| from_car::cycle_trace(&subject.car, first_day, &wanted.cycles[i]))
            .collect(),
        motor_curves: from_car::motor_curves(&subject.car),
        png: report.png,
    };
    let mut files = crownwheel_plot::files(&input)
        .map_err(|error| Failure::Failed(format!("cannot draw the report: {error}")))?;
    files.extend(kept::files(&loaded, &wanted, &common.set)?);
    results_folder::write(&folder, &files, &input.check.provenance, common.output.force)?;
    if common.output.json {
        let json = files.iter().find(|(name, _)| name == "report.json");
        print(&json.map_or_else(String::new, |(_, bytes)| String::from_utf8_lossy(bytes).into()))?;
    } else {
        let page = folder.join("report.html");
        let since = input.since.iter().map(|since| &since.plain);
        let lines = since.chain([&input.weigh.plain, &input.range.plain]);
        let lines: String = screen::shown(|| lines.map(|line| sentence(line)).collect());
        print(&format!("{lines}The page is {}\n", shown(&page)))?;
    }
    Ok(Outcome::new(common.output.strict, input.warnings().len()))
}

/// What changed since the report that the folder holds. `None`: it holds none, or one that cannot be
/// compared with, and that is said.
fn since_last_time(
    folder: &Path,
    text: &BuildText,
    loaded: &LoadedBuild,
    wanted: &RangeRequest,
) -> Option<CompareAnswer> {
    let compared = kept::EarlierReport::read(folder).and_then(|before| {
        before.map(|before| since::since(&before, text, loaded, wanted)).transpose()
    });
    compared.unwrap_or_else(|why| {
        say(&clean(&format!("What changed since last time is not known: {why}.")));
        None
    })
}

/// The report of a sweep.
fn of_sweep(report: &Report) -> Result<Outcome, Failure> {
    let common = &report.range.common;
    if !report.range.cycle.is_empty() || !report.range.day.is_empty() {
        return Err(Failure::Usage(format!(
            "`{}` is a sweep, and says itself which cycles and days it drives: leave --cycle and --day out, or set them: --set 'days=[\"winter\"]'",
            shown(&common.file)
        )));
    }
    if report.range.worlds.is_some() {
        return Err(Failure::Usage(format!(
            "`{}` is a sweep, and says itself how many worlds it draws: leave --worlds out, or set it: --set worlds=500",
            shown(&common.file)
        )));
    }
    let folder = common.output.out.clone().unwrap_or_else(|| PathBuf::from(USUAL_FOLDER));
    let args = Sweep {
        file: common.file.clone(),
        set: common.set.clone(),
        yes: false,
        part: None,
        merge: None,
        resume: false,
        says_since: true,
        world: None,
        option: None,
        png: report.png,
        reference: report.range.reference,
        output: common.output.clone(),
    };
    super::sweep::report(&args, &folder)
}

/// Highest battery currents that the build states, with whose they are.
fn current_limits_a(build: &Build) -> Vec<(String, f64)> {
    vec![
        ("inverter".to_owned(), build.car.inverter.max_battery_current_a),
        ("cells".to_owned(), build.car.pack.max_discharge_a()),
    ]
}
