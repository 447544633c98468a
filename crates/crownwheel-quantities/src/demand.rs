//! What a car must do, and what was measured on it: limits on its answers, and numbers beside them.

use crownwheel::name::Name;
use std::sync::Arc;

use crate::{Band, Question, Units, rows};

/// Something that the car must do: all of its conditions at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Name as written in the build.
    pub name: Name,
    /// What must hold; at least one.
    pub conditions: Vec<Condition>,
    /// How sure it must be, 0..1. `None`: it must hold at the nominal values.
    pub sure_frac: Option<f64>,
}

/// A limit on one answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    /// The answer.
    pub question: Question,
    /// Its limit, in the metric unit of the answer.
    pub bound: Bound,
}

/// A limit; the limit itself will do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// No less than this.
    AtLeast(f64),
    /// No more than this.
    AtMost(f64),
}

/// One measured number.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// Name as written in the build.
    pub name: Arc<str>,
    /// What was measured, in the unit of the answer that predicts it.
    pub measured: f64,
    /// Standard deviation of the measurement in the same unit: half-width of its 95 % band over 1.96.
    pub standard_deviation: f64,
}

impl Bound {
    /// Whether a value keeps the limit. What is not known does not.
    #[must_use]
    pub fn holds(self, value: f64) -> bool {
        match self {
            Bound::AtLeast(limit) => value >= limit,
            Bound::AtMost(limit) => value <= limit,
        }
    }

    /// The limit.
    #[must_use]
    pub fn limit(self) -> f64 {
        match self {
            Bound::AtLeast(limit) | Bound::AtMost(limit) => limit,
        }
    }
}

impl Condition {
    /// In words: `rear axle, at gross at most 660.0 kg`, `112 km/h held`.
    #[must_use]
    pub fn text(&self, units: Units) -> String {
        let Condition { question, bound } = self;
        let words = match bound {
            // A grade of nothing is the flat.
            Bound::AtLeast(limit) if question.is(&rows::HOLD_GRADE) && *limit <= 0.0 => {
                return format!("{} held", question.speed_text());
            }
            Bound::AtLeast(_) => "at least",
            Bound::AtMost(_) => "at most",
        };
        format!(
            "{} {words} {}",
            question.title(),
            question.shown(&Band::only(bound.limit()), units)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_said() {
        let said = |question: Question, bound| Condition { question, bound }.text(Units::Metric);
        let held = || Question::of(&rows::HOLD_GRADE).at_kmh(112.0);
        assert_eq!(said(held(), Bound::AtLeast(0.0)), "112 km/h held");
        assert_eq!(said(held(), Bound::AtLeast(4.0)), "steepest grade at 112 km/h at least 4.0 %");
        assert_eq!(
            said(Question::of(&rows::MOTOR_SPEED).at_kmh(112.0), Bound::AtMost(7000.0)),
            "motor speed at 112 km/h at most 7000 rpm"
        );
        let hours =
            Question::of(&rows::CHARGE_HOURS).at_supply("garage").from_pct(8.0).to_pct(96.0);
        assert_eq!(
            said(hours, Bound::AtMost(8.0)),
            "hours to charge at garage, 8 to 96 % at most 8.0"
        );
    }
}
