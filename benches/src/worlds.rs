//! Bands from few driven worlds against bands from worlds that were all driven: how far off, at what cost.

use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::Arc;

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::cycle::Cycle;
use crownwheel_quantities::{NamedCycle, Question, rows};
use crownwheel_sweep::conditioning::predicted;
use crownwheel_sweep::course::Course;
use crownwheel_sweep::quantile::Sample;
use crownwheel_sweep::{DayModel, Weights, Worlds};

use crate::machine::processor_seconds;

/// Builds of the demo folder.
pub const DEMOS: [&str; 3] = ["wren", "dunlin", "godwit"];

/// Cycles that are compared.
const CYCLES: [&str; 5] = ["wltc3b", "udds", "hwfet", "us06", "nedc"];

/// Steady speeds that are compared, km/h.
const SPEEDS_KMH: [f64; 4] = [50.0, 80.0, 100.0, 112.0];

/// What a demo's bands cost, and how far they lie off.
#[derive(Clone, Debug)]
pub struct Compared {
    /// Processor seconds of the fit, and of driving all.
    pub seconds: [f64; 2],
    /// By answer and quantile, how far it lies off over the width of the driven band; the worst first.
    pub off: Vec<(f64, String)>,
}

fn names(cycles: &[NamedCycle], days: &[DayModel]) -> Vec<Question> {
    let rows = [&rows::RANGE, &rows::RANGE_WITH_RESERVE, &rows::KEEPS_UP, &rows::USE];
    let of = |cycle: &NamedCycle, day: &DayModel| {
        rows.map(|row| {
            Question::of(row).on_cycle(Arc::clone(&cycle.name)).on_day(day.day.name.clone())
        })
    };
    cycles.iter().flat_map(|cycle| days.iter().flat_map(move |day| of(cycle, day))).collect()
}

/// Asks a demo for its ranges in this many worlds, both ways.
///
/// # Errors
/// What is wrong with the demo, as text.
pub fn compare(demo: &str, count: NonZeroUsize) -> Result<Compared, String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo").join(demo);
    let build = crownwheel_files::load(&path.join("build.toml"), &[])
        .map_err(|report| report.render(false))?;
    let builtin = CYCLES.iter().filter_map(|name| Cycle::builtin(name).ok()).map(NamedCycle::from);
    let steady = SPEEDS_KMH.map(|kmh| NamedCycle {
        name: Arc::from(format!("steady {kmh}")),
        cycle: Cycle::steady(kmh / KMH_PER_MPS),
    });
    let (cycles, days): (Vec<_>, _) = (builtin.chain(steady).collect(), build.day_models());
    let names = names(&cycles, &days);
    let course =
        Course::new(names, &[], cycles, days, Vec::new()).map_err(|missing| missing.to_string())?;
    let values = |all: bool| {
        let worlds = Worlds::new(1, count, 200).driving_all(all);
        let before = processor_seconds();
        let values = predicted(&course, &worlds, &build.model()).map_err(|it| it.to_string())?;
        Ok::<_, String>((values, processor_seconds() - before))
    };
    let ((fitted, fast), (driven, slow)) = (values(false)?, values(true)?);
    let mut off = Vec::new();
    for ((fitted, driven), question) in fitted.iter().zip(&driven).zip(course.names().iter()) {
        off.extend(
            apart(fitted, driven)
                .into_iter()
                .flatten()
                .map(|(share, off)| (off, format!("p{:.0} of {}", 100.0 * share, question.key()))),
        );
    }
    off.sort_by(|a, b| b.0.total_cmp(&a.0));
    Ok(Compared { seconds: [fast, slow], off })
}

/// How far quantiles lie from those of driven worlds, over the width of their band. `None`: there is none.
fn apart(fitted: &[f64], driven: &[f64]) -> Option<[(f64, f64); 3]> {
    let weights = Weights::equal(driven.len());
    let (fitted, driven) = (Sample::new(fitted, &weights)?, Sample::new(driven, &weights)?);
    let width = driven.value(0.9) - driven.value(0.1);
    let off = |share: f64| (share, (fitted.value(share) - driven.value(share)).abs() / width);
    (width > 0.0).then(|| [0.1, 0.5, 0.9].map(off))
}
