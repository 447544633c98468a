//! Why a run was refused, and what the data cannot tell apart, in words.

use crownwheel::constants::KMH_PER_MPS;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{Unit, Units};

use super::MOST_RUNS;
use super::judge::{LEAST_READINGS, LEAST_SECONDS, LEAST_SPAN_MPS, OddWindow, Refusal};
use crate::fit::RoadLoadFit;

/// Correlation beyond which two coefficients stand for each other.
const STANDS_FOR_THE_OTHER: f64 = 0.95;

/// Short name and sentence of a refusal.
pub(super) fn refused(refusal: &Refusal, units: Units) -> (&'static str, String) {
    let speed = |mps: f64| units.text(KMH_PER_MPS * mps, Unit::Kmh);
    let place = |place: &OddWindow| {
        format!(
            "{} s after its start, at {}: it slows by {} m/s², coasting would by {}",
            digits(place.at_s, 0),
            speed(place.speed_mps),
            digits(place.slows_mps2, 2),
            digits(place.coasts_mps2, 2)
        )
    };
    match refusal {
        Refusal::Braking(at) => ("braking", format!("braked {}", place(at))),
        Refusal::Driving(at) => ("driving", format!("driven or pushed {}", place(at))),
        Refusal::ShortSpan { from_mps, to_mps } => (
            "short_speed_span",
            format!(
                "speed falls only from {} to {}; a run needs a fall of {}",
                speed(*from_mps),
                speed(*to_mps),
                speed(LEAST_SPAN_MPS)
            ),
        ),
        Refusal::TooShort { seconds } => (
            "too_short",
            format!("{} s long; a run needs {} s", digits(*seconds, 1), digits(LEAST_SECONDS, 0)),
        ),
        Refusal::TooFew { readings } => (
            "too_few_readings",
            format!("it has {readings} readings of speed; a run needs {LEAST_READINGS}"),
        ),
        Refusal::DoesNotFit { off_mps, usual_mps } => (
            "does_not_fit",
            format!(
                "its readings lie {} off the curve of all runs, those of the others {}",
                units.text_to(KMH_PER_MPS * off_mps, Unit::Kmh, 2),
                units.text_to(KMH_PER_MPS * usual_mps, Unit::Kmh, 2)
            ),
        ),
        Refusal::TooMany => (
            "too_many_runs",
            format!("the first {MOST_RUNS} runs are enough; give fewer logs to use this one"),
        ),
        Refusal::NoDirection => {
            ("no_direction", "it does not say its direction, the other runs do".to_owned())
        }
        Refusal::ThirdDirection => (
            "third_direction",
            "it goes in a third direction; runs go one way and back on the same road".to_owned(),
        ),
    }
}

/// What the fits cannot tell apart.
pub(super) fn not_told_apart(
    free: &RoadLoadFit,
    tied: &RoadLoadFit,
    both_ways: bool,
    weight_n: f64,
    units: Units,
) -> Vec<String> {
    let mut lines = Vec::new();
    let pairs = [(0, 1), (0, 2), (1, 2)];
    let close: Vec<String> = pairs
        .into_iter()
        .filter(|(i, j)| free.correlation(*i, *j).abs() > STANDS_FOR_THE_OTHER)
        .map(|(i, j)| format!("f{i} and f{j} ({})", digits(free.correlation(i, j), 2)))
        .collect();
    if !close.is_empty() {
        lines.push(format!(
            "The errors of {} go together: more of one with less of the other fits as well. The force \
             between the lowest and the highest speed is known far better than each of them.",
            close.join(", ")
        ));
    }
    let f1 = free.coefficients.f1_n_per_mps;
    if f1.abs() <= free.band_factor() * free.se(1) {
        lines.push(
            "f1 cannot be told from 0: the fit with f1 tied to 0 says as much with less."
                .to_owned(),
        );
    } else {
        lines.push(format!(
            "f1 is not 0 within its band; the fit with f1 tied to 0 puts its part into drag area and \
             rolling resistance (drag area for f2 of the free fit: {}).",
            units.text(drag_area_m2(free), Unit::M2)
        ));
    }
    if !both_ways {
        lines.push(format!(
            "Runs one way: 0.1 % of gradient is {} of f0, and wind along the road passes for f1.",
            units.text_to(0.001 * weight_n, Unit::N, 1)
        ));
    }
    let constant = tied.coefficients.f0_n;
    lines.push(format!(
        "Tyres, wheel bearings, dragging brakes and whatever turned with the wheels are one force, {} \
         at rest: coasting does not tell which. All of it scales with the mass that was given.",
        units.text(constant, Unit::N)
    ));
    lines
}

/// Drag area that a fit's square part implies, m².
pub(super) fn drag_area_m2(fit: &RoadLoadFit) -> f64 {
    let density = crownwheel::air::density_kgpm3(super::conditions::reference_air());
    crownwheel::coastdown::drag_area_m2(fit.coefficients.f2_n_per_mps2, density)
}
