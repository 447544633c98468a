//! How well predictions hold.

use std::collections::BTreeMap;

use crownwheel_sweep::Weights;
use crownwheel_sweep::facts::{Fact, Facts};
use serde::Serialize;

use super::log::MeasuredTrip;
use super::predict::Modelled;
use crate::certification::rows::count;
use crate::score::{Pair, Predicted, Score, quantile};

/// Relative standard deviation of a measured energy of a trip: current clamps and volts of a car (engineering judgement).
const MEASURED_SD: f64 = 0.01;

/// Scores of some trips.
#[derive(Clone, Debug, Default, Serialize)]
pub struct TripScores {
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
    pub all: TripScores,
    /// By season.
    pub seasons: BTreeMap<&'static str, TripScores>,
    /// By mean speed, km/h.
    pub mean_speed: BTreeMap<&'static str, TripScores>,
}

/// Scores of predictions; nothing but zeros for none.
#[must_use]
pub fn scores(pairs: &[Pair]) -> TripScores {
    let Score {
        rows,
        median_error_pct,
        median_abs_error_pct,
        p90_abs_error_pct,
        coverage_10_90_pct,
    } = Score::of(pairs);
    let bands_pct: f64 = pairs.iter().map(Pair::band_pct).sum();
    TripScores {
        trips: rows,
        bias_pct: median_error_pct,
        median_abs_error_pct,
        p90_abs_error_pct,
        coverage_10_90_pct,
        mean_band_pct: bands_pct / count(rows.max(1)),
    }
}

/// What worlds say of a trip beside what was measured. `None`: they have no answer.
#[must_use]
pub fn pair(values: &[f64], weights: &Weights, trip: &MeasuredTrip) -> Option<Pair> {
    let predicted = Predicted::of(values, weights, 1.0)?;
    Some(Pair { predicted, measured: trip.use_wh_per_km })
}

/// Scores of trips, and by season and speed.
#[must_use]
pub fn split(trips: &[MeasuredTrip], pairs: &[Pair]) -> Split {
    let of = |fits: &dyn Fn(&MeasuredTrip) -> bool| {
        let some: Vec<Pair> =
            trips.iter().zip(pairs).filter(|(trip, _)| fits(trip)).map(|(_, pair)| *pair).collect();
        scores(&some)
    };
    let season = |name: &'static str| (name, of(&|trip| trip.name.starts_with(name)));
    let speed =
        |name, from: f64, to: f64| (name, of(&|trip| (from..to).contains(&trip.mean_kmh())));
    Split {
        all: scores(pairs),
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
pub fn after_two_facts(
    trips: &[MeasuredTrip],
    driven: &[Vec<f64>],
    modelled: &[Modelled],
) -> TripScores {
    let mut all: Vec<TripScores> = Vec::new();
    for first in 0..trips.len() {
        for second in 0..first {
            all.extend(after(trips, driven, modelled, [first, second]));
        }
    }
    let median = |of: fn(&TripScores) -> f64| quantile(all.iter().map(of).collect(), 0.5);
    TripScores {
        trips: all.first().map_or(0, |it| it.trips),
        bias_pct: median(|it| it.bias_pct),
        median_abs_error_pct: median(|it| it.median_abs_error_pct),
        p90_abs_error_pct: median(|it| it.p90_abs_error_pct),
        coverage_10_90_pct: median(|it| it.coverage_10_90_pct),
        mean_band_pct: median(|it| it.mean_band_pct),
    }
}

fn after(
    trips: &[MeasuredTrip],
    driven: &[Vec<f64>],
    modelled: &[Modelled],
    facts: [usize; 2],
) -> Option<TripScores> {
    let fact = |at: usize| Fact {
        name: trips[at].name.as_str().into(),
        measured: trips[at].use_wh_per_km,
        standard_deviation: MEASURED_SD * trips[at].use_wh_per_km,
    };
    let own = |at: usize| (modelled[at].trip_sd * trips[at].use_wh_per_km).powi(2);
    let covariance = vec![vec![own(facts[0]), 0.0], vec![0.0, own(facts[1])]];
    let known = Facts::new(facts.map(fact).to_vec(), &covariance).ok()?;
    let weighed = known.weigh(&facts.map(|at| modelled[at].values.clone())).ok()?;
    let others = (0..trips.len()).filter(|at| !facts.contains(at));
    let pairs: Option<Vec<Pair>> =
        others.map(|at| pair(&driven[at], &weighed.weights, &trips[at])).collect();
    Some(scores(&pairs?))
}
