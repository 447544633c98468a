//! What is printed: scores of all rows and of both halves, and the rows that are farthest off.

use serde::Serialize;

use super::predict::DrivenCar;
use super::rows::{Row, Test, Vehicle};
use crate::score::{Pair, Score};

/// Rows that are named.
const WORST: usize = 10;

/// Two rows of cars with the same road load and weight differ by more than this: no model that knows
/// only those can meet both, %.
const SISTERS_DIFFER_PCT: f64 = 8.0;

/// Both cycles of a car are off by amounts that differ by no more than this, %.
const ALIKE_WITHIN_PCT: f64 = 6.0;

/// A row with what was predicted for it.
#[derive(Clone, Debug)]
pub struct Outcome {
    row: Row,
    group: usize,
    in_set_half: bool,
    alone: Pair,
    /// Once the car's other cycle is known. `None`: it was not measured.
    after: Option<Pair>,
}

impl Outcome {
    /// Every row of a test.
    ///
    /// # Errors
    /// The worlds cannot be weighed by the other test.
    pub fn all(
        vehicle: &Vehicle,
        test: Test,
        other: Test,
        driven: &DrivenCar,
    ) -> Result<Vec<Outcome>, String> {
        let Some(alone) = driven.predicted(test) else { return Ok(Vec::new()) };
        let after = match vehicle.mean_wh_per_mi(other) {
            Some(known) => driven.after(test, other, known)?,
            None => None,
        };
        let outcome = |row: &Row| {
            let pair = |predicted| Pair { predicted, measured: row.energy_wh_per_mi };
            Outcome {
                row: row.clone(),
                group: vehicle.group,
                in_set_half: vehicle.is_of_set_half(),
                alone: pair(alone),
                after: after.map(pair),
            }
        };
        Ok(vehicle.of(test).map(outcome).collect())
    }

    fn is_like(&self, other: &Outcome) -> bool {
        self.group == other.group && self.row.etw_lb == other.row.etw_lb
    }
}

/// Scores of some rows.
#[derive(Clone, Debug, Serialize)]
pub struct Scores {
    all: Score,
    udds: Score,
    hwfet: Score,
    after_other_cycle: After,
}

/// Scores once the car's other cycle is known.
#[derive(Clone, Debug, Serialize)]
pub struct After {
    udds: Score,
    hwfet: Score,
}

/// Rows of one half of the cars.
#[derive(Clone, Debug, Serialize)]
pub struct Halves {
    /// The half that the generic powertrain was set from.
    set: Scores,
    /// The half that had no say.
    checked: Scores,
}

/// A row that is far off.
#[derive(Clone, Debug, Serialize)]
pub struct Far {
    record_id: String,
    test: &'static str,
    measured_wh_per_mi: f64,
    predicted_wh_per_mi: f64,
    error_pct: f64,
    reason: String,
}

/// Everything.
#[derive(Clone, Debug, Serialize)]
pub struct Report {
    #[serde(flatten)]
    scores: Scores,
    halves: Halves,
    worst: Vec<Far>,
}

impl Report {
    /// Sums up all rows.
    #[must_use]
    pub fn of(outcomes: &[Outcome]) -> Report {
        let half = |set: bool| Scores::of(outcomes.iter().filter(|it| it.in_set_half == set));
        let mut order: Vec<&Outcome> = outcomes.iter().collect();
        let size = |it: &Outcome| it.alone.error_pct().abs();
        order.sort_by(|a, b| {
            size(b).total_cmp(&size(a)).then(a.row.record_id.cmp(&b.row.record_id))
        });
        Report {
            scores: Scores::of(outcomes.iter()),
            halves: Halves { set: half(true), checked: half(false) },
            worst: order.into_iter().take(WORST).map(|it| far(it, outcomes)).collect(),
        }
    }

    /// What the scores of all rows miss of the bars, in words.
    #[must_use]
    pub fn missed(&self) -> Vec<String> {
        let Scores { all, udds, hwfet, after_other_cycle: after } = &self.scores;
        let bars = [
            ("all", all, 5.5),
            ("udds", udds, 6.3),
            ("hwfet", hwfet, 5.0),
            ("udds after the other cycle", &after.udds, 4.2),
            ("hwfet after the other cycle", &after.hwfet, 2.2),
        ];
        bars.iter().flat_map(|(name, score, bar)| missed(name, score, *bar)).collect()
    }
}

/// Least and most share of rows, %, that 10-90 % bands may hold.
const COVERAGE_PCT: std::ops::RangeInclusive<f64> = 75.0..=88.0;

fn missed(name: &str, score: &Score, bar_pct: f64) -> Vec<String> {
    let (error, coverage) = (score.median_abs_error_pct, score.coverage_10_90_pct);
    let mut missed = Vec::new();
    if error > bar_pct {
        missed.push(format!(
            "{name}: median absolute error {error:.2} %, at most {bar_pct} % wanted"
        ));
    }
    if !COVERAGE_PCT.contains(&coverage) {
        missed.push(format!("{name}: bands hold {coverage:.1} %, 75 to 88 % wanted"));
    }
    missed
}

impl Scores {
    fn of<'a>(outcomes: impl Iterator<Item = &'a Outcome> + Clone) -> Scores {
        let of = |test: Option<Test>, pair: &dyn Fn(&Outcome) -> Option<Pair>| {
            let wanted = |it: &&Outcome| test.is_none_or(|test| it.row.test == test);
            Score::of(&outcomes.clone().filter(wanted).filter_map(pair).collect::<Vec<Pair>>())
        };
        let alone = |it: &Outcome| Some(it.alone);
        let after = |it: &Outcome| it.after;
        Scores {
            all: of(None, &alone),
            udds: of(Some(Test::Urban), &alone),
            hwfet: of(Some(Test::Highway), &alone),
            after_other_cycle: After {
                udds: of(Some(Test::Urban), &after),
                hwfet: of(Some(Test::Highway), &after),
            },
        }
    }
}

fn far(it: &Outcome, all: &[Outcome]) -> Far {
    Far {
        record_id: it.row.record_id.clone(),
        test: if it.row.test == Test::Highway { "hwfet" } else { "udds" },
        measured_wh_per_mi: it.row.energy_wh_per_mi,
        predicted_wh_per_mi: it.alone.predicted.p50,
        error_pct: it.alone.error_pct(),
        reason: reason(it, all),
    }
}

/// What the file itself says about a row that is far off.
fn reason(it: &Outcome, all: &[Outcome]) -> String {
    let energy = it.row.energy_wh_per_mi;
    let differs_pct =
        |other: &&Outcome| (100.0 * (other.row.energy_wh_per_mi / energy - 1.0)).abs();
    let same_test = |other: &&Outcome| other.row.test == it.row.test && other.is_like(it);
    let sister =
        all.iter().filter(same_test).max_by(|a, b| differs_pct(a).total_cmp(&differs_pct(b)));
    if let Some(sister) = sister.filter(|other| differs_pct(other) > SISTERS_DIFFER_PCT) {
        return format!(
            "{}, with the same road load and weight, was measured at {} Wh/mile",
            sister.row.record_id, sister.row.energy_wh_per_mi
        );
    }
    let other_test = |other: &&Outcome| {
        other.row.vehicle_id == it.row.vehicle_id && other.row.test != it.row.test
    };
    let Some(other) = all.iter().find(other_test) else {
        return "not told: the car's other cycle was not measured".to_owned();
    };
    let (here, there) = (it.alone.error_pct(), other.alone.error_pct());
    if (here - there).abs() <= ALIKE_WITHIN_PCT {
        return format!(
            "the other cycle is off alike ({there:+.1} %): charging loss, standing loads, or a road load that is not the car's"
        );
    }
    let cause = match it.row.test {
        Test::Highway => "loss under steady load, or the road load at speed",
        _ => "braking that is taken back, standing loads, or the cold start",
    };
    format!("the other cycle is off otherwise ({there:+.1} %): {cause}")
}
