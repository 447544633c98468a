//! Ratios side by side: the same row for every gear or every final drive, and what parts them.

use crate::pull::{PullAnswer, RatioLine};
use crate::unit::digits;
use crate::{Table, Unit, Units};

/// Speed at which motor speeds are compared, km/h.
const CRUISE_KMH: f64 = 112.0;

impl RatioLine {
    /// The row of an answer about a car that cruises in a gear, counted from 1, with an overall ratio.
    #[must_use]
    pub fn of(name: String, gear: usize, overall_ratio: f64, answer: &PullAnswer) -> RatioLine {
        let at_80 = answer.hold.iter().find(|line| (line.speed_kmh - 80.0).abs() < 1e-9);
        let cruise = answer
            .shafts
            .iter()
            .find(|line| line.gear == gear && (line.speed_kmh - CRUISE_KMH).abs() < 1e-9);
        RatioLine {
            name,
            overall_ratio,
            launch_pull_n: answer.table.first().map_or(f64::NAN, |line| line.pull_n),
            start_grade_pct: answer.start_grade_pct,
            kmh_0_50_s: answer.times_s.kmh_0_50,
            kmh_0_100_s: answer.times_s.kmh_0_100,
            top_speed: answer.top_speed.clone(),
            grade_at_80_kmh_pct: at_80.and_then(|line| line.grade_pct),
            motor_at_112_kmh_rpm: cruise.map_or(f64::NAN, |line| line.motor_speed_rpm),
            over_speed_at_112_kmh: cruise.is_some_and(|line| line.over_speed),
        }
    }
}

/// What each ratio gives up and gains against the first, in plain words made from the numbers.
#[must_use]
pub fn differences(lines: &[RatioLine]) -> Vec<String> {
    let Some((first, others)) = lines.split_first() else { return Vec::new() };
    others.iter().map(|other| difference(first, other)).collect()
}

fn difference(first: &RatioLine, other: &RatioLine) -> String {
    let mut parts = Vec::new();
    match (first.kmh_0_100_s, other.kmh_0_100_s) {
        (Some(a), Some(b)) if b > a => {
            parts.push(format!("gives up {} s to 100 km/h", digits(b - a, 1)));
        }
        (Some(a), Some(b)) => parts.push(format!("gains {} s to 100 km/h", digits(a - b, 1))),
        (Some(_), None) => parts.push("does not reach 100 km/h".to_owned()),
        (None, Some(_)) => parts.push("reaches 100 km/h".to_owned()),
        (None, None) => {}
    }
    if let (Some(a), Some(b)) = (first.start_grade_pct, other.start_grade_pct) {
        parts.push(format!("starts on {} % instead of {} %", digits(b, 0), digits(a, 0)));
    }
    let turns = other.motor_at_112_kmh_rpm - first.motor_at_112_kmh_rpm;
    let way = if turns < 0.0 { "slower" } else { "faster" };
    parts.push(format!("turns {} rpm {way} at 112 km/h", digits(turns.abs(), 0)));
    if other.over_speed_at_112_kmh {
        parts.push("which is more than the motor may turn".to_owned());
    }
    parts.push(format!(
        "reaches {} km/h instead of {} km/h",
        digits(other.top_speed.kmh, 0),
        digits(first.top_speed.kmh, 0)
    ));
    format!("{} instead of {}: {}.", other.name, first.name, parts.join(", "))
}

/// The rows as a table.
#[must_use]
pub fn ratio_table(lines: &[RatioLine], units: Units) -> Table {
    Table::of("pull-ratios", "Ratios side by side", units, lines)
        .words("name", "ratio", |it| it.name.as_str())
        .words("overall_ratio", "overall", |it| it.overall_ratio)
        .to(2)
        .col("launch_pull_n", "launch", Unit::N, |it| it.launch_pull_n)
        .col("start_grade_pct", "start on", Unit::Pct, |it| it.start_grade_pct)
        .to(0)
        .col("kmh_0_50_s", "0-50 km/h", Unit::S, |it| it.kmh_0_50_s)
        .to(1)
        .col("kmh_0_100_s", "0-100 km/h", Unit::S, |it| it.kmh_0_100_s)
        .to(1)
        .words("top_speed.kmh", "top speed, km/h", |it| it.top_speed.kmh)
        .to(0)
        .words("top_speed.limit", "limit", |it| it.top_speed.limit.as_str())
        .col("grade_at_80_kmh_pct", "grade at 80 km/h", Unit::Pct, |it| it.grade_at_80_kmh_pct)
        .col("motor_at_112_kmh_rpm", "motor at 112 km/h", Unit::Rpm, |it| it.motor_at_112_kmh_rpm)
        .words("over_speed_at_112_kmh", "too fast", |it| it.over_speed_at_112_kmh)
        .table()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pull::TopSpeed;

    fn line(name: &str, seconds: f64, motor_rpm: f64) -> RatioLine {
        RatioLine {
            name: name.to_owned(),
            overall_ratio: 6.0,
            launch_pull_n: 3000.0,
            start_grade_pct: Some(30.0),
            kmh_0_50_s: Some(5.0),
            kmh_0_100_s: Some(seconds),
            top_speed: TopSpeed { kmh: 130.0, limit: "motor speed".to_owned() },
            grade_at_80_kmh_pct: Some(9.0),
            motor_at_112_kmh_rpm: motor_rpm,
            over_speed_at_112_kmh: false,
        }
    }

    #[test]
    fn the_difference_is_said_from_the_numbers() {
        let said = differences(&[line("4.22", 14.0, 6700.0), line("3.89", 14.6, 6176.0)]);
        assert_eq!(said.len(), 1);
        assert!(
            said[0].starts_with("3.89 instead of 4.22: gives up 0.6 s to 100 km/h"),
            "{}",
            said[0]
        );
        assert!(said[0].contains("turns 524 rpm slower at 112 km/h"), "{}", said[0]);
    }
}
