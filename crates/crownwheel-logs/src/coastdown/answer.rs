//! From logs to the answer.

use crownwheel::air::density_kgpm3;
use crownwheel::coastdown::{self, PROCEDURE_PRESSURE_PA};
use crownwheel::constants::KMH_PER_MPS;
use crownwheel::constants::{
    METRE_PER_MILE, ROAD_REFERENCE_TEMPERATURE_K, STANDARD_GRAVITY_MPS2, ZERO_CELSIUS_K,
};
use crownwheel::road_load::Slope;
use crownwheel_answers::caution::Topic;
use crownwheel_answers::coastdown::{
    CoastDownAnswer, Correlation, ForceLine, HoldsFor, RefusedRun, RunCurve, RunLine, TiedFit,
};
use crownwheel_answers::unit::digits;
use crownwheel_answers::{Caution, Unit, Units, Warning};

use super::MOST_RUNS;
use super::conditions::{
    Conditions, Wind, both_ways, has_gradients, has_heights, reference_air, slope_by_heights,
};
use super::directions::{Way, ways};
use super::judge::{JudgedStretch, Refusal, ends_mps, judge, median};
use super::segments::{Stretch, stretches};
use super::words::{drag_area_m2, not_told_apart, refused};
use crate::fit::{Belief, RoadLoadFit, Run, fit};
use crate::least_squares::{FitError, count};
use crate::log::Log;

/// Fall over all runs below which there is a warning, m/s (50 km/h; engineer's judgement).
const WIDE_SPAN_MPS: f64 = 50.0 / KMH_PER_MPS;

/// Runs below which their scatter is hardly seen (engineer's judgement).
const ENOUGH_RUNS: usize = 4;

/// Wind that is worth waiting for a calmer day, m/s (engineer's judgement).
const WINDY_MPS: f64 = 3.0;

/// Road load from the runs in logs.
///
/// Runs that cannot bear a fit are listed with the reason; if none is left the answer has no
/// numbers.
#[must_use]
pub fn coast_down(logs: &[Log], conditions: &Conditions) -> CoastDownAnswer {
    let mut answer = CoastDownAnswer {
        provenance: conditions.provenance.clone(),
        units: conditions.units,
        holds_for: HoldsFor {
            mass_kg: conditions.mass_kg.value,
            effective_mass_kg: conditions.effective_mass_kg(),
            temperature_degc: ROAD_REFERENCE_TEMPERATURE_K - ZERO_CELSIUS_K,
            pressure_kpa: PROCEDURE_PRESSURE_PA / 1e3,
        },
        assumed: conditions.assumed.clone(),
        cautions: vec![Caution::about(Topic::Coasting)],
        ..CoastDownAnswer::default()
    };
    let used = used_runs(logs, conditions.units, &mut answer);
    if !used.is_empty()
        && let Err(error) = fitted(used, conditions, &mut answer)
    {
        warn(&mut answer, "no_fit", format!("The runs do not bear a fit: {error}."));
    }
    answer.plain = answer.plain_line();
    answer
}

/// The runs that bear a fit; what was refused, trimmed or left out goes into the answer.
fn used_runs(logs: &[Log], units: Units, answer: &mut CoastDownAnswer) -> Vec<JudgedStretch> {
    let mut all: Vec<Stretch> = Vec::new();
    for log in logs {
        answer.notes.extend(log.notes.iter().map(|note| format!("{}: {note}", log.name)));
        match stretches(log) {
            Some(found) => all.extend(found),
            None => warn(
                answer,
                "no_speed",
                format!(
                    "{} has no column of speed, and speed worked out of fixes is too rough: let the \
                     phone or logger write the receiver's own speed.",
                    log.name
                ),
            ),
        }
    }
    let ways = ways(&all);
    let (mut used, mut passed_over, mut trimmed) = (Vec::new(), 0_usize, 0_usize);
    for judged in judge(all, &ways) {
        match &judged.refusal {
            None if used.len() >= MOST_RUNS => refuse(answer, &judged, &Refusal::TooMany, units),
            None => {
                trimmed += usize::from(judged.trimmed_s > 0.0);
                used.push(judged);
            }
            // In a log of a whole drive, every stop is a fall of speed; only named runs are missed.
            Some(_) if !judged.stretch.is_named && is_no_run(&judged) => passed_over += 1,
            Some(refusal) => refuse(answer, &judged, refusal, units),
        }
    }
    if trimmed > 0 {
        answer.notes.push(format!(
            "{trimmed} of the runs used had driven or braked ends; these were left out."
        ));
    }
    if passed_over > 0 {
        answer.notes.push(format!(
            "{passed_over} other falls of speed, braking or slow driving, were not taken for runs."
        ));
    }
    used
}

fn refuse(answer: &mut CoastDownAnswer, run: &JudgedStretch, refusal: &Refusal, units: Units) {
    let (code, reason) = refused(refusal, units);
    answer.refused.push(RefusedRun {
        file: run.stretch.file.clone(),
        run: run.stretch.run.clone(),
        line: run.stretch.line,
        code,
        reason,
    });
}

/// A fall that nobody would call a run: short, or braked from its start.
fn is_no_run(judged: &JudgedStretch) -> bool {
    use Refusal::{Braking, Driving, ShortSpan, TooFew, TooShort};
    match judged.refusal {
        Some(TooFew { .. } | TooShort { .. } | ShortSpan { .. }) => true,
        Some(Braking(place) | Driving(place)) => place.at_s < 10.0,
        _ => false,
    }
}

/// A run lies off the curve if it does so by this many times what is usual (engineer's judgement).
const OFF_THE_CURVE: f64 = 2.5;

fn fitted(
    mut used: Vec<JudgedStretch>,
    conditions: &Conditions,
    answer: &mut CoastDownAnswer,
) -> Result<(), FitError> {
    let runs_of = |used: &[JudgedStretch]| -> Vec<Run> {
        let both = both_ways(used);
        used.iter().map(|run| run_of(run, both)).collect()
    };
    let mut runs = runs_of(&used);
    let mut free = fit(&runs, conditions.question(&used, Belief::Open))?;
    while let Some((place, refusal)) = worst(&runs, &free) {
        let run = used.remove(place);
        refuse(answer, &run, &refusal, conditions.units);
        runs = runs_of(&used);
        free = fit(&runs, conditions.question(&used, Belief::Open))?;
    }
    let used = &used;
    let both = both_ways(used);
    let tied = fit(&runs, conditions.question(used, Belief::Exactly(0.0)))?;
    let (free, tied) = (with_shared(free, conditions), with_shared(tied, conditions));
    answer.runs_used = used.len();
    coefficients(answer, &free, &tied);
    let weight_n = conditions.mass_kg.value * STANDARD_GRAVITY_MPS2;
    answer.cannot_tell_apart = not_told_apart(&free, &tied, both, weight_n, conditions.units);
    answer.forces = forces(used, &free, &tied, conditions.units);
    lines(answer, used, &runs, &free);
    warnings(answer, used, conditions, &free);
    Ok(())
}

/// The run that lies farthest off the curve, if it is off it at all; with two runs nobody can say
/// which.
fn worst(runs: &[Run], fit: &RoadLoadFit) -> Option<(usize, Refusal)> {
    let off: Vec<f64> =
        runs.iter().zip(&fit.runs).map(|(run, fitted)| off_mps(run, &fitted.speed_mps)).collect();
    let usual_mps = median(&off);
    let (place, off_mps) = off.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let is_off = runs.len() > 2 && off_mps > OFF_THE_CURVE * usual_mps;
    is_off.then_some((place, Refusal::DoesNotFit { off_mps, usual_mps }))
}

/// Standard deviation of a run's readings about its curve, m/s.
fn off_mps(run: &Run, fitted_mps: &[f64]) -> f64 {
    let squares = run.speed_mps.iter().zip(fitted_mps).map(|(a, b)| (a - b).powi(2));
    (squares.sum::<f64>() / count(run.time_s.len().max(1))).sqrt()
}

/// A run for the fit. Heights count only where the gradient cannot be seen by going both ways.
fn run_of(judged: &JudgedStretch, both: bool) -> Run {
    let stretch = &judged.stretch;
    let one = std::slice::from_ref(judged);
    let slope_sin = if has_gradients(one) {
        stretch.grade_frac.iter().map(|grade| Slope::from_grade(*grade).sin()).collect()
    } else {
        match slope_by_heights(judged) {
            Some(sin) if !both => vec![sin; stretch.time_s.len()],
            _ => Vec::new(),
        }
    };
    let start_s = stretch.time_s.first().copied().unwrap_or(0.0);
    Run {
        time_s: stretch.time_s.iter().map(|time| time - start_s).collect(),
        speed_mps: stretch.speed_mps.clone(),
        direction: judged.way.sign(),
        slope_sin,
    }
}

/// The fit with the errors that all runs share.
fn with_shared(mut fit: RoadLoadFit, conditions: &Conditions) -> RoadLoadFit {
    for shift in conditions.shared_errors(&fit.coefficients) {
        for (row, a) in fit.covariance.iter_mut().zip(shift) {
            for (covariance, b) in row.iter_mut().zip(shift) {
                *covariance += a * b;
            }
        }
    }
    fit
}

fn coefficients(answer: &mut CoastDownAnswer, free: &RoadLoadFit, tied: &RoadLoadFit) {
    let load = free.coefficients;
    (answer.f0_n, answer.f0_n_se) = (Some(load.f0_n), Some(free.se(0)));
    (answer.f1_n_per_mps, answer.f1_n_per_mps_se) = (Some(load.f1_n_per_mps), Some(free.se(1)));
    (answer.f2_n_per_mps2, answer.f2_n_per_mps2_se) = (Some(load.f2_n_per_mps2), Some(free.se(2)));
    answer.band_over_se = Some(free.band_factor());
    answer.correlation = Some(Correlation {
        f0_f1: free.correlation(0, 1),
        f0_f2: free.correlation(0, 2),
        f1_f2: free.correlation(1, 2),
    });
    answer.tied = Some(TiedFit {
        f0_n: tied.coefficients.f0_n,
        f0_n_se: tied.se(0),
        f2_n_per_mps2: tied.coefficients.f2_n_per_mps2,
        f2_n_per_mps2_se: tied.se(2),
        f0_f2: tied.correlation(0, 2),
        band_over_se: tied.band_factor(),
    });
    answer.drag_area_m2 = Some(drag_area_m2(tied));
    answer.drag_area_m2_se =
        Some(coastdown::drag_area_m2(tied.se(2), density_kgpm3(reference_air())));
    let mass_kg = answer.holds_for.mass_kg;
    answer.rolling_resistance =
        Some(coastdown::rolling_resistance(tied.coefficients.f0_n, mass_kg));
    answer.rolling_resistance_se = Some(coastdown::rolling_resistance(tied.se(0), mass_kg));
    // A sine and a grade are the same to a part in ten thousand on any road to coast on.
    answer.gradient_pct = Some(100.0 * free.slope_sin.value);
    answer.gradient_pct_se = Some(100.0 * free.slope_sin.se);
    answer.headwind_kmh = Some(KMH_PER_MPS * free.headwind_mps.value);
    answer.headwind_kmh_se = Some(KMH_PER_MPS * free.headwind_mps.se);
    answer.residual_sd_kmh = Some(KMH_PER_MPS * free.residual_sd_mps);
    answer.noise_memory_s = (free.noise.memory_ratio > 0.05).then_some(free.noise.memory_s);
    answer.run_scatter_n = free.scatter.force_sd_n;
}

/// Lowest and highest speed of all runs, m/s.
fn span_mps(used: &[JudgedStretch]) -> (f64, f64) {
    used.iter().map(|run| ends_mps(&run.stretch)).fold((f64::INFINITY, 0.0), |span, ends| {
        (f64::min(span.0, ends.1), f64::max(span.1, ends.0))
    })
}

/// Road load at every ten km/h or mph that the runs cover.
fn forces(
    used: &[JudgedStretch],
    free: &RoadLoadFit,
    tied: &RoadLoadFit,
    units: Units,
) -> Vec<ForceLine> {
    let ten_mps = match units {
        Units::Metric => 10.0 / KMH_PER_MPS,
        Units::Us => 10.0 * METRE_PER_MILE / 3600.0,
    };
    let (low, high) = span_mps(used);
    let mut lines = Vec::new();
    let mut tens = (low / ten_mps).ceil().max(1.0);
    while tens * ten_mps <= high && lines.len() < 40 {
        let speed_mps = tens * ten_mps;
        let force_n = free.coefficients.force_n(speed_mps);
        let half_n = free.band_factor() * free.force_se_n(speed_mps);
        lines.push(ForceLine {
            speed_kmh: KMH_PER_MPS * speed_mps,
            force_n,
            low_n: force_n - half_n,
            high_n: force_n + half_n,
            tied_n: tied.coefficients.force_n(speed_mps),
        });
        tens += 1.0;
    }
    lines
}

fn lines(answer: &mut CoastDownAnswer, used: &[JudgedStretch], runs: &[Run], free: &RoadLoadFit) {
    let kmh = |speeds: &[f64]| speeds.iter().map(|mps| KMH_PER_MPS * mps).collect::<Vec<f64>>();
    let several_files = used.iter().any(|run| run.stretch.file != used[0].stretch.file);
    for ((judged, run), fitted) in used.iter().zip(runs).zip(&free.runs) {
        let stretch = &judged.stretch;
        let (from_mps, to_mps) = ends_mps(stretch);
        answer.runs.push(RunLine {
            file: stretch.file.clone(),
            run: stretch.run.clone(),
            direction: stretch.direction.clone().or_else(|| by_fixes(judged.way)),
            line: stretch.line,
            seconds: run.time_s.last().copied().unwrap_or(0.0),
            from_kmh: KMH_PER_MPS * from_mps,
            to_kmh: KMH_PER_MPS * to_mps,
            readings: run.time_s.len(),
            residual_sd_kmh: KMH_PER_MPS * off_mps(run, &fitted.speed_mps),
        });
        let name = if several_files {
            format!("{} {}", stretch.file, stretch.run)
        } else {
            stretch.run.clone()
        };
        answer.curves.push(RunCurve {
            name,
            first_direction: judged.way != Way::Other,
            time_s: run.time_s.clone(),
            speed_kmh: kmh(&run.speed_mps),
            fitted_kmh: kmh(&fitted.speed_mps),
        });
    }
}

/// Direction of a run that only its fixes tell.
fn by_fixes(way: Way) -> Option<String> {
    match way {
        Way::First => Some("first, by its fixes".to_owned()),
        Way::Other => Some("other, by its fixes".to_owned()),
        _ => None,
    }
}

fn warn(answer: &mut CoastDownAnswer, code: &str, text: String) {
    answer.warnings.push(Warning { code: code.to_owned(), text });
}

fn warnings(
    answer: &mut CoastDownAnswer,
    used: &[JudgedStretch],
    conditions: &Conditions,
    free: &RoadLoadFit,
) {
    let units = conditions.units;
    if !both_ways(used) {
        one_way(answer, used, conditions);
    } else if let Some(by_heights) = mean_slope_by_heights(used) {
        answer.notes.push(format!(
            "By the heights in the logs the gradient is {}, by the runs both ways {}; the runs are \
             believed.",
            units.text_to(100.0 * by_heights, Unit::Pct, 2),
            units.text_to(100.0 * free.slope_sin.value, Unit::Pct, 2)
        ));
    }
    let (low, high) = span_mps(used);
    let speed = |mps: f64| units.text(KMH_PER_MPS * mps, Unit::Kmh);
    if high - low < WIDE_SPAN_MPS {
        warn(
            answer,
            "short_speed_span",
            format!(
                "The runs cover only {} to {}: outside these speeds the result is a guess. Runs \
                 that fall by {} and more tell air from rolling.",
                speed(low),
                speed(high),
                speed(WIDE_SPAN_MPS)
            ),
        );
    }
    if used.len() < ENOUGH_RUNS {
        warn(
            answer,
            "few_runs",
            format!(
                "Fewer than {ENOUGH_RUNS} runs ({}) hardly show by how much runs differ; make more, \
                 half of them each way.",
                used.len()
            ),
        );
    }
    if let Some(force_n) = free.scatter.force_sd_n {
        warn(
            answer,
            "runs_differ",
            format!(
                "The runs differ by a force of about ± {} beyond the noise within them: gusts, \
                 traffic, another line on the road, oil and tyres still warming. The bands are wider \
                 for it.",
                units.text_to(2.0 * force_n, Unit::N, 1)
            ),
        );
    }
    if free.headwind_mps.value.abs() > WINDY_MPS {
        warn(
            answer,
            "windy",
            format!(
                "Wind of {} along the road: on a calmer day the bands are narrower and gusts do less.",
                speed(free.headwind_mps.value.abs())
            ),
        );
    }
    let load = free.coefficients;
    if load.f0_n <= 0.0 || load.f2_n_per_mps2 <= 0.0 {
        warn(
            answer,
            "not_physical",
            "f0 or f2 came out below zero: look at the mass, the directions and the gradient."
                .to_owned(),
        );
    }
}

fn one_way(answer: &mut CoastDownAnswer, used: &[JudgedStretch], conditions: &Conditions) {
    let units = conditions.units;
    let unknown = used.iter().all(|run| run.way == Way::Unknown);
    let how = if unknown {
        "Nothing says which way each run went; add a column `direction` with two words."
    } else {
        "All runs went the same way; go back on the same road too."
    };
    warn(answer, "one_direction", format!("{how} Gradient and wind do not cancel out."));
    if conditions.grade_frac.is_none() && !has_gradients(used) {
        let (sd, from) = if has_heights(used) {
            (super::conditions::GRADIENT_BY_HEIGHTS_SD, "taken from the heights in the logs")
        } else {
            (super::conditions::GRADIENT_SD, "not known and taken as flat")
        };
        warn(
            answer,
            "gradient_unknown",
            format!(
                "The gradient is {from}, ± {}: the bands hold it. Give --grade, or runs both ways.",
                units.text_to(196.0 * sd, Unit::Pct, 1)
            ),
        );
    }
    if conditions.wind == Wind::NotKnown {
        warn(
            answer,
            "wind_unknown",
            format!(
                "The wind is not known and taken as calm, ± {} m/s along the road: the bands hold \
                 it. Give --wind, or runs both ways.",
                digits(1.96 * super::conditions::WIND_SD_MPS, 1)
            ),
        );
    }
}

fn mean_slope_by_heights(used: &[JudgedStretch]) -> Option<f64> {
    let slopes: Option<Vec<f64>> =
        used.iter().map(|run| Some(run.way.sign() * slope_by_heights(run)?)).collect();
    let slopes = slopes?;
    Some(slopes.iter().sum::<f64>() / count(slopes.len()))
}
