//! A trip as an answer.

use crownwheel::constants::KMH_PER_MPS;
use crownwheel_answers::trip::TripPoint;
use crownwheel_answers::{Provenance, RepairLine, TripAnswer, Units, Warning};

use super::Trip;
use crate::repairs::Repairs;

/// Points that a figure and a table hold.
const MOST_POINTS: usize = 20_000;

/// Noise of the speed that smoothing cannot quite take out, m/s: in tests it adds some 5 % to the use.
const NOISY_MPS: f64 = 0.5;

/// Share of the points that were spikes from which the log is doubtful.
const MANY_SPIKES: f64 = 0.02;

/// The answer of `trip`.
#[must_use]
pub fn trip_answer(trip: &Trip, log: &str, provenance: Provenance, units: Units) -> TripAnswer {
    let rows = trip.time_s.len();
    let step = rows.div_ceil(MOST_POINTS).max(1);
    let kept = (0..rows).filter(|i| i.is_multiple_of(step) || i + 1 == rows);
    let standing = (1..rows).filter(|i| trip.speed_mps[*i] + trip.speed_mps[i - 1] < 1e-9);
    let standing_s = standing.map(|i| trip.time_s[i] - trip.time_s[i - 1]).sum();
    let mut answer = TripAnswer {
        provenance,
        units,
        log: log.to_owned(),
        distance_km: trip.length_m() / 1000.0,
        duration_s: trip.duration_s(),
        standing_s,
        mean_speed_kmh: KMH_PER_MPS * trip.length_m() / trip.duration_s(),
        top_speed_kmh: KMH_PER_MPS * trip.speed_mps.iter().copied().fold(0.0, f64::max),
        climb_m: trip.climb_m,
        climb_raw_m: trip.climb_raw_m,
        is_route: trip.is_route,
        repairs: repair_lines(&trip.repairs),
        points: kept
            .map(|i| TripPoint {
                time_s: trip.time_s[i],
                distance_km: trip.distance_m[i] / 1000.0,
                speed_kmh: KMH_PER_MPS * trip.speed_mps[i],
                elevation_m: trip.elevation_m.as_ref().map(|height_m| height_m[i]),
            })
            .collect(),
        notes: trip.notes.clone(),
        warnings: warnings(trip),
        ..TripAnswer::default()
    };
    answer.plain = answer.plain_line();
    answer
}

/// Repairs as an answer has them.
#[must_use]
pub fn repair_lines(repairs: &Repairs) -> Vec<RepairLine> {
    let line = |repair: crate::Repair| RepairLine {
        kind: repair.kind.name().to_owned(),
        count: repair.count,
        what: repair.kind.words().to_owned(),
    };
    repairs.iter().map(line).collect()
}

fn warnings(trip: &Trip) -> Vec<Warning> {
    use crate::RepairKind::{HardChanges, PartsLeftOut, PositionSpikes, SpeedSpikes, SteepGrades};
    let mut all = Vec::new();
    let mut warn = |code: &str, text: String| all.push(Warning { code: code.to_owned(), text });
    let count = |kind| trip.repairs.count(kind);
    let spikes = count(PositionSpikes) + count(SpeedSpikes);
    let rows = u32::try_from(trip.time_s.len()).unwrap_or(u32::MAX);
    if spikes.to_string().parse::<f64>().unwrap_or(0.0) > MANY_SPIKES * f64::from(rows) {
        warn(
            "many_spikes",
            format!(
                "{spikes} speeds or fixes jump away from their neighbours: the log is doubtful."
            ),
        );
    }
    if count(HardChanges) > 0 {
        warn(
            "hard_changes",
            "Some changes of speed are harder than a car's, more than 4.5 m/s²: no speed was left higher than the speeds around it allow, and the way is as it was.".to_owned(),
        );
    }
    if trip.noise_mps > NOISY_MPS {
        warn(
            "noisy_speed",
            format!(
                "From second to second the speed is noisy by {:.1} km/h. It was smoothed, but use computed for this trip may be some 5 % too high; a log with the receiver's own speed is better than its fixes.",
                KMH_PER_MPS * trip.noise_mps
            ),
        );
    }
    if count(PartsLeftOut) > 0 {
        warn(
            "parts_left_out",
            "The clock starts again inside the log. Only the longest part was used; cut the file to use another.".to_owned(),
        );
    }
    if count(SteepGrades) > 0 {
        warn(
            "steep_grades",
            "Some heights make gradients that no road has: look at the heights of the log."
                .to_owned(),
        );
    }
    all
}
