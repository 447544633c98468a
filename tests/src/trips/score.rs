//! How well predictions hold.

use std::collections::BTreeMap;

use crownwheel_sweep::Weights;
use crownwheel_sweep::facts::{Fact, Facts};
use crownwheel_sweep::quantile::Sample;
use serde::Serialize;

use super::log::Measured;
use super::predict::Predicted;

/// Relative standard deviation of a measured energy of a trip: current clamps and volts of a car (engineering judgement).
const MEASURED_SD: f64 = 0.01;

/// Scores of some trips.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Scores {
    /// How many.
    pub trips: usize,
    /// Median of (predicted - measured) / measured, %.
    pub bias_pct: f64,
    /// Median of its size, %.
    pub median_abs_error_pct: f64,
    /// Nine in ten are below, %.
    pub p90_abs_error_pct: f64,
    /// Share of the trips that lie in their 10-90 % band, %.
    pub coverage_10_90_pct: f64,
    /// Mean of (p90 - p10) / p50, %.
    pub mean_band_pct: f64,
}

/// Scores of all trips, and of the trips of a season or a speed.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Split {
    /// All.
    #[serde(flatten)]
    pub all: Scores,
    /// By season.
    pub seasons: BTreeMap<&'static str, Scores>,
    /// By mean speed, km/h.
    pub mean_speed: BTreeMap<&'static str, Scores>,
}

/// A prediction beside what was measured.
#[derive(Clone, Copy, Debug)]
pub struct Held {
    error: f64,
    inside: bool,
    band: f64,
}

impl Held {
    /// `None`: the worlds have no answer.
    #[must_use]
    pub fn of(values: &[f64], weights: &Weights, measured: f64) -> Option<Held> {
        let sample = Sample::new(values, weights)?;
        let [p10, p50, p90] = [0.1, 0.5, 0.9].map(|p| sample.value(p));
        Some(Held {
            error: p50 / measured - 1.0,
            inside: p10 <= measured && measured <= p90,
            band: (p90 - p10) / p50,
        })
    }
}

/// Scores of predictions.
#[must_use]
pub fn scores(held: &[Held]) -> Scores {
    if held.is_empty() {
        return Scores::default();
    }
    let pct = |of: &dyn Fn(&Held) -> f64, p: f64| -> f64 {
        let values: Vec<f64> = held.iter().map(of).collect();
        let weights = Weights::equal(values.len());
        Sample::new(&values, &weights).map_or(f64::NAN, |it| 100.0 * it.value(p))
    };
    let mean =
        |of: &dyn Fn(&Held) -> f64| 100.0 * held.iter().map(of).sum::<f64>() / count(held.len());
    Scores {
        trips: held.len(),
        bias_pct: pct(&|it| it.error, 0.5),
        median_abs_error_pct: pct(&|it| it.error.abs(), 0.5),
        p90_abs_error_pct: pct(&|it| it.error.abs(), 0.9),
        coverage_10_90_pct: mean(&|it| f64::from(u8::from(it.inside))),
        mean_band_pct: mean(&|it| it.band),
    }
}

#[allow(clippy::cast_precision_loss, reason = "counts of trips")]
fn count(trips: usize) -> f64 {
    trips as f64
}

/// Scores of trips, and by season and speed.
#[must_use]
pub fn split(trips: &[Measured], held: &[Held]) -> Split {
    let of = |fits: &dyn Fn(&Measured) -> bool| {
        let some: Vec<Held> =
            trips.iter().zip(held).filter(|(trip, _)| fits(trip)).map(|(_, held)| *held).collect();
        scores(&some)
    };
    let season = |name: &'static str| (name, of(&|trip| trip.name.starts_with(name)));
    let speed =
        |name, from: f64, to: f64| (name, of(&|trip| (from..to).contains(&trip.mean_kmh())));
    Split {
        all: scores(held),
        seasons: ["summer", "winter"].map(season).into(),
        mean_speed: [
            speed("under_30", 0.0, 30.0),
            speed("to_52", 30.0, 52.0),
            speed("over_52", 52.0, f64::INFINITY),
        ]
        .into(),
    }
}

/// Each pair of trips taken as facts, the others scored: medians over all pairs.
#[must_use]
pub fn after_two_facts(trips: &[Measured], predicted: &[Predicted]) -> Scores {
    let mut all: Vec<Scores> = Vec::new();
    for first in 0..trips.len() {
        for second in 0..first {
            all.extend(after(trips, predicted, [first, second]));
        }
    }
    let median = |of: fn(&Scores) -> f64| -> f64 {
        let values: Vec<f64> = all.iter().map(of).collect();
        let sample = Sample::new(&values, &Weights::equal(values.len()));
        sample.map_or(f64::NAN, |it| it.value(0.5))
    };
    Scores {
        trips: all.first().map_or(0, |it| it.trips),
        bias_pct: median(|it| it.bias_pct),
        median_abs_error_pct: median(|it| it.median_abs_error_pct),
        p90_abs_error_pct: median(|it| it.p90_abs_error_pct),
        coverage_10_90_pct: median(|it| it.coverage_10_90_pct),
        mean_band_pct: median(|it| it.mean_band_pct),
    }
}

fn after(trips: &[Measured], predicted: &[Predicted], facts: [usize; 2]) -> Option<Scores> {
    let fact = |at: usize| Fact {
        name: trips[at].name.as_str().into(),
        measured: trips[at].use_wh_per_km,
        standard_deviation: MEASURED_SD * trips[at].use_wh_per_km,
    };
    let own = |at: usize| (predicted[at].trip_sd * trips[at].use_wh_per_km).powi(2);
    let covariance = vec![vec![own(facts[0]), 0.0], vec![0.0, own(facts[1])]];
    let known = Facts::new(facts.map(fact).to_vec(), &covariance).ok()?;
    let weighed = known.weigh(&facts.map(|at| predicted[at].modelled.clone())).ok()?;
    let others = (0..trips.len()).filter(|at| !facts.contains(at));
    let held: Option<Vec<Held>> = others
        .map(|at| Held::of(&predicted[at].driven, &weighed.weights, trips[at].use_wh_per_km))
        .collect();
    Some(scores(&held?))
}
