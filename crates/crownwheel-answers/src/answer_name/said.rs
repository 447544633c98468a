//! How the difference of an answer between two options is said.

use super::{AnswerName, plain, span_text, speed_text};
use crate::unit::digits;
use crate::{Band, Units};

impl AnswerName {
    /// A limit on this answer: `rear axle, at gross at most 660.0 kg`, `112 km/h held`.
    #[must_use]
    pub fn limit_text(&self, at_least: bool, limit: f64, units: Units) -> String {
        match self {
            // A grade of nothing is the flat.
            AnswerName::HoldGrade { speed_kmh, .. } if at_least && limit <= 0.0 => {
                format!("{} held", speed_text(*speed_kmh))
            }
            _ => {
                let words = if at_least { "at least" } else { "at most" };
                format!("{} {words} {}", self.label(), self.shown(&Band::only(limit), units))
            }
        }
    }

    /// What changes when this answer goes from `other` to `chosen`, as the end of a sentence: `gives up
    /// 0.6 s to 100 km/h`. `None`: it is the same in the digits that are shown.
    #[must_use]
    pub fn difference(&self, chosen: f64, other: f64, units: Units) -> Option<String> {
        if chosen.is_nan() || other.is_nan() {
            return None;
        }
        match (chosen.is_finite(), other.is_finite()) {
            (true, true) => self.finite_difference(chosen - other, units),
            (false, false) => None,
            (chosen_is_finite, _) => self.one_never(chosen_is_finite, chosen),
        }
    }

    fn finite_difference(&self, by: f64, units: Units) -> Option<String> {
        let zero = units.value(0.0, self.unit());
        let shown = digits((units.value(by, self.unit()) - zero).abs(), self.decimals());
        if shown.chars().all(|c| c == '0' || c == '.') {
            return None;
        }
        let much = match units.symbol(self.unit()) {
            "" => shown,
            symbol => format!("{shown} {symbol}"),
        };
        let pick =
            |more: &str, less: &str| if by > 0.0 { more.to_owned() } else { less.to_owned() };
        let said = match self {
            AnswerName::Range { cycle, day } => {
                format!("goes {much} {} on {cycle} ({day})", pick("farther", "less far"))
            }
            AnswerName::KeepsUp { cycle, day } => {
                format!("keeps up {much} {} on {cycle} ({day})", pick("farther", "less far"))
            }
            AnswerName::RangeWithReserve { cycle, day } => {
                let way = pick("farther", "less far");
                format!("goes {much} {way} with the reserve kept back on {cycle} ({day})")
            }
            AnswerName::Use { cycle, day } => {
                format!("uses {much} {} on {cycle} ({day})", pick("more", "less"))
            }
            AnswerName::WallUse { cycle, day } => {
                format!("takes {much} {} from the wall on {cycle} ({day})", pick("more", "less"))
            }
            AnswerName::Shortfall { cycle, day } => {
                format!("falls {much} {} behind on {cycle} ({day})", pick("further", "less far"))
            }
            AnswerName::ChargeLeft { cycle, day, .. } => {
                format!("has {much} {} left behind {cycle} ({day})", pick("more", "less"))
            }
            AnswerName::CruiseMotorSpeed { speed_kmh } => {
                format!("turns {much} {} at {}", pick("faster", "slower"), speed_text(*speed_kmh))
            }
            AnswerName::CruiseMinutes { speed_kmh, .. } => {
                format!(
                    "holds {} {much} min {}",
                    speed_text(*speed_kmh),
                    pick("longer", "less long")
                )
            }
            AnswerName::HoldGrade { speed_kmh, .. } => {
                format!(
                    "climbs {much} {} at {}",
                    pick("steeper", "less steep"),
                    speed_text(*speed_kmh)
                )
            }
            AnswerName::HoldMinutes { speed_kmh, grade_pct, .. } => format!(
                "climbs {} % at {} {much} min {}",
                plain(*grade_pct),
                speed_text(*speed_kmh),
                pick("longer", "less long")
            ),
            AnswerName::StartGrade { .. } => {
                format!("starts on {much} {}", pick("steeper", "less steep"))
            }
            AnswerName::Time { from_kmh, to_kmh, .. } => {
                format!("{} {much} {}", pick("gives up", "gains"), span(*from_kmh, *to_kmh))
            }
            AnswerName::AxleLoad { axle, case } => {
                let (axle, case) = (axle.word(), case.label());
                if by > 0.0 {
                    format!("puts {much} more on the {axle} axle ({case})")
                } else {
                    format!("takes {much} off the {axle} axle ({case})")
                }
            }
            AnswerName::Mass { .. } => format!("weighs {much} {}", pick("more", "less")),
            AnswerName::ChargeHours { supply, .. } => {
                format!("charges {much} h {} at {supply}", pick("longer", "less long"))
            }
            AnswerName::Price => format!("costs {much} {}", pick("more", "less")),
        };
        Some(said)
    }

    /// One of the two never happens.
    fn one_never(&self, chosen_happens: bool, chosen: f64) -> Option<String> {
        match self {
            AnswerName::CruiseMinutes { speed_kmh, .. } => Some(if chosen_happens {
                format!("cuts back at {} after {} min", speed_text(*speed_kmh), digits(chosen, 0))
            } else {
                format!("holds {} without cut-back", speed_text(*speed_kmh))
            }),
            AnswerName::HoldMinutes { speed_kmh, grade_pct, .. } => {
                let hill = format!("{} % at {}", plain(*grade_pct), speed_text(*speed_kmh));
                Some(if chosen_happens {
                    format!("cuts back on {hill} after {} min", digits(chosen, 0))
                } else {
                    format!("climbs {hill} without cut-back")
                })
            }
            AnswerName::Time { to_kmh, .. } => Some(if chosen_happens {
                format!("reaches {}", speed_text(*to_kmh))
            } else {
                format!("does not reach {}", speed_text(*to_kmh))
            }),
            AnswerName::ChargeHours { supply, to_pct, .. } => {
                let verb = if chosen_happens { "charges" } else { "does not charge" };
                Some(format!("{verb} to {} % at {supply}", plain(*to_pct)))
            }
            _ => None,
        }
    }
}

/// `to 100 km/h`, `from 50 to 80 km/h`.
fn span(from_kmh: f64, to_kmh: f64) -> String {
    if from_kmh > 0.0 {
        format!("from {}", span_text(from_kmh, to_kmh))
    } else {
        format!("to {}", speed_text(to_kmh))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    #[test]
    fn limits_are_said() {
        let held = |day: Option<&str>| AnswerName::HoldGrade {
            speed_kmh: 112.0,
            day: day.map(std::sync::Arc::from),
        };
        let said =
            |name: AnswerName, at_least, limit| name.limit_text(at_least, limit, Units::Metric);
        assert_eq!(said(held(None), true, 0.0), "112 km/h held");
        assert_eq!(said(held(None), true, 4.0), "steepest grade at 112 km/h at least 4.0 %");
        assert_eq!(
            said(AnswerName::CruiseMotorSpeed { speed_kmh: 112.0 }, false, 7000.0),
            "motor speed at 112 km/h at most 7000 rpm"
        );
        let hours = AnswerName::ChargeHours {
            supply: std::sync::Arc::from("garage"),
            from_pct: 8.0,
            to_pct: 96.0,
            day: None,
        };
        assert_eq!(said(hours, false, 8.0), "hours to charge at garage, 8 to 96 % at most 8.0");
    }

    #[test]
    fn differences_are_said_in_the_words_of_the_trade() {
        let time = AnswerName::Time { from_kmh: 0.0, to_kmh: 100.0, day: None };
        let said = |name: &AnswerName, chosen, other| name.difference(chosen, other, Units::Metric);
        assert_eq!(said(&time, 18.3, 17.7).unwrap(), "gives up 0.6 s to 100 km/h");
        assert_eq!(said(&time, 17.7, 18.3).unwrap(), "gains 0.6 s to 100 km/h");
        assert_eq!(said(&time, 18.31, 18.30), None);
        assert_eq!(said(&time, f64::INFINITY, 18.3).unwrap(), "does not reach 100 km/h");
        assert_eq!(said(&time, f64::INFINITY, f64::INFINITY), None);
        assert_eq!(said(&time, f64::NAN, 18.3), None);
        let speed = AnswerName::CruiseMotorSpeed { speed_kmh: 112.0 };
        assert_eq!(said(&speed, 6176.0, 6700.0).unwrap(), "turns 524 rpm slower at 112 km/h");
        let range = AnswerName::Range { cycle: Arc::from("udds"), day: Arc::from("mild") };
        assert_eq!(said(&range, 118.0, 112.4).unwrap(), "goes 6 km farther on udds (mild)");
        assert_eq!(
            range.difference(112.0, 120.046_72, Units::Us).unwrap(),
            "goes 5 miles less far on udds (mild)"
        );
        let minutes = AnswerName::CruiseMinutes { speed_kmh: 112.0, day: None };
        assert_eq!(said(&minutes, f64::INFINITY, 9.0).unwrap(), "holds 112 km/h without cut-back");
        assert_eq!(
            said(&minutes, 9.0, f64::INFINITY).unwrap(),
            "cuts back at 112 km/h after 9 min"
        );
        let axle =
            AnswerName::AxleLoad { axle: super::super::Axle::Rear, case: crate::LoadCase::AtGross };
        assert_eq!(
            said(&axle, 650.0, 661.4).unwrap(),
            "takes 11.4 kg off the rear axle (at gross)"
        );
    }
}
