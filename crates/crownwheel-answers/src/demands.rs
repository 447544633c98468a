//! What the car must do, and how surely it does it.

use serde::Serialize;

use crate::sweep::{Answers, DemandLimit, DemandMet, percent};
use crate::{Band, Question, RangeAnswer, Units};

/// How one car does by its demands.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct DemandsAnswer {
    /// Units that the answer is shown in.
    pub units: Units,
    /// The answer in one sentence.
    pub plain: String,
    /// How the car does by each demand, in the order of the build.
    pub demands: Vec<DemandMet>,
    /// The limits that the demands set on answers.
    pub demand_limits: Vec<DemandLimit>,
    /// The answers that they are set on.
    pub answers: Answers,
    /// The share of worlds that meets all demands at once, 0..1.
    pub all_demands_probability: f64,
    /// Standard error of `all_demands_probability`.
    pub all_demands_standard_error: f64,
    /// In how many worlds it was asked.
    pub worlds: usize,
}

/// `93 % (asked 90 %)`, `31 % (asked 80 %, missed)`.
#[must_use]
pub fn met_text(met: &DemandMet) -> String {
    let asked = match met.sure {
        Some(sure) => format!("asked {}", percent(sure)),
        None => "judged at the nominal values".to_owned(),
    };
    let missed = if met.met { "" } else { ", missed" };
    format!("{} ({asked}{missed})", percent(met.probability))
}

/// Demands with how surely they are met: `moor_round 93 % (asked 90 %), cruise ...`.
#[must_use]
pub fn listed(demands: &[DemandMet]) -> String {
    let one = |met: &DemandMet| format!("{} {}", met.name, met_text(met));
    demands.iter().map(one).collect::<Vec<_>>().join(", ")
}

impl DemandsAnswer {
    /// Whether each demand is met as surely as asked.
    #[must_use]
    pub fn meets_all(&self) -> bool {
        self.demands.iter().all(|met| met.met)
    }

    /// Which demands are met and which are not, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let (all, missed) =
            (self.demands.len(), self.demands.iter().filter(|met| !met.met).count());
        let how = match (all, missed) {
            (1, 0) => "The demand is met".to_owned(),
            (1, _) => "The demand is not met as surely as asked".to_owned(),
            (2, 0) => "Both demands are met".to_owned(),
            (_, 0) => format!("All {all} demands are met"),
            (_, 1) => format!("One of {all} demands is not met as surely as asked"),
            _ => format!("{missed} of {all} demands are not met as surely as asked"),
        };
        format!("{how}: {}.", listed(&self.demands))
    }

    /// The same ranges as `range` gives: there every repeat of the cycle was driven.
    pub fn take_ranges(&mut self, range: &RangeAnswer) {
        let driven = |name: &Question| range.distance_of(name);
        let band = |(name, band): (&Question, &Band)| match driven(name) {
            Some(known) => Band { nominal: known.nominal, ..*band },
            None => *band,
        };
        let bands = self.answers.iter().map(band).collect();
        self.answers = Answers::new(self.answers.names(), bands);
    }

    /// The answer that a limit is set on.
    pub(crate) fn name_of(&self, limit: &DemandLimit) -> Option<Question> {
        self.answers.names().iter().find(|name| name.key() == limit.answer).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn met(name: &str, met: bool) -> DemandMet {
        DemandMet {
            name: name.into(),
            probability: if met { 0.93 } else { 0.31 },
            standard_error: 0.01,
            sure: met.then_some(0.9),
            met,
        }
    }

    #[test]
    fn the_verdict_is_said_for_any_number_of_demands() {
        let said = |all: &[bool]| {
            let demands = all.iter().map(|it| met("far", *it)).collect();
            DemandsAnswer { demands, ..DemandsAnswer::default() }.plain_line()
        };
        let far = "far 93 % (asked 90 %)";
        let not = "far 31 % (judged at the nominal values, missed)";
        assert_eq!(said(&[true]), format!("The demand is met: {far}."));
        assert_eq!(said(&[true, true]), format!("Both demands are met: {far}, {far}."));
        assert_eq!(
            said(&[true, false]),
            format!("One of 2 demands is not met as surely as asked: {far}, {not}.")
        );
        assert!(said(&[false, false, true]).starts_with("2 of 3 demands are not met"));
        assert!(said(&[true, true, true]).starts_with("All 3 demands are met: "));
        assert!(said(&[false]).starts_with("The demand is not met"));
    }
}
