//! The answers of a report, each explained.

use crownwheel::name::Name;

use crownwheel_quantities::{Question, rows};

use super::{ExplainAsked, Subject};
use crate::LoadCase;

/// What a report shows of each load case, cycle, day (by their places) and speed.
#[must_use]
pub fn explained_in_report(
    subject: &Subject,
    asked: &ExplainAsked,
    days: &[usize],
    speeds_kmh: &[f64],
) -> Vec<Question> {
    let days: Vec<Name> = days.iter().map(|day| subject.days[*day].name().clone()).collect();
    let Some(first) = days.first() else { return Vec::new() };
    let of = Question::of;
    let mut all: Vec<Question> = Vec::new();
    for case in LoadCase::ALL {
        let of_case = [&rows::MASS, &rows::FRONT_AXLE, &rows::REAR_AXLE];
        all.extend(of_case.map(|quantity| of(quantity).loaded(case)));
    }
    for cycle in &asked.cycles {
        let on = |day: &Name| of(&rows::RANGE).on_cycle(cycle.name()).on_day(day);
        all.extend(days.iter().map(on));
    }
    for speed_kmh in speeds_kmh {
        all.push(of(&rows::ROAD_LOAD).on_day(first).at_kmh(*speed_kmh));
        all.push(of(&rows::MOTOR_SPEED).at_kmh(*speed_kmh));
    }
    all.extend(days.iter().map(|day| of(&rows::AIR_DENSITY).on_day(day)));
    all.extend([&rows::ROLLING_RADIUS, &rows::OVERALL_RATIO].map(of));
    all.extend([&rows::DRAG_AREA, &rows::ROLLING_RESISTANCE].map(of));
    all
}
