//! The answers of a report, each explained.

use crownwheel::name::Name;

use crownwheel_quantities::{Question, rows};

use super::{ExplainAsked, Subject};
use crate::LoadCase;

/// What a report shows of each load case, cycle, day (by their places), speed and supply.
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
    let on_first = |quantity| of(quantity).on_day(first);
    let mut all: Vec<Question> = Vec::new();
    for case in LoadCase::ALL {
        let of_case = [&rows::MASS, &rows::FRONT_AXLE, &rows::REAR_AXLE];
        all.extend(of_case.map(|quantity| of(quantity).loaded(case)));
    }
    for cycle in &asked.cycles {
        for quantity in [&rows::RANGE, &rows::USE] {
            let on = |day: &Name| of(quantity).on_cycle(cycle.name()).on_day(day);
            all.extend(days.iter().map(on));
        }
    }
    all.extend(
        rows::SPANS_KMH.map(|(from_kmh, to_kmh)| on_first(&rows::TIME).between(from_kmh, to_kmh)),
    );
    all.extend([&rows::TOP_SPEED, &rows::START_GRADE].map(on_first));
    for speed_kmh in speeds_kmh {
        all.extend([&rows::HOLD_GRADE, &rows::ROAD_LOAD].map(|it| on_first(it).at_kmh(*speed_kmh)));
        all.push(of(&rows::MOTOR_SPEED).at_kmh(*speed_kmh));
    }
    let pack = &subject.car.spec().pack;
    let (from_pct, to_pct) = (100.0 * pack.floor_frac(), 100.0 * pack.usable_to_frac);
    all.extend(asked.supplies.iter().map(|supply| {
        let hours = on_first(&rows::CHARGE_HOURS).at_supply(&supply.name);
        hours.from_pct(from_pct).to_pct(to_pct)
    }));
    all.extend(days.iter().map(|day| of(&rows::AIR_DENSITY).on_day(day)));
    all.extend([&rows::EFFECTIVE_MASS, &rows::ROLLING_RADIUS, &rows::OVERALL_RATIO].map(of));
    all.extend([&rows::DRAG_AREA, &rows::ROLLING_RESISTANCE].map(of));
    all.extend([&rows::PACK_ENERGY, &rows::PACK_FULL_VOLTAGE].map(of));
    all
}
