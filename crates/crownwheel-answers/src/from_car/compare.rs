//! The answers of two cars side by side.

use crownwheel::name::Name;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel_quantities::{NamedCycle, Question, Questions, Supply, rows};

use super::Subject;
use crate::compare::AnswerMoved;
use crate::{LoadCase, Units};

/// Speeds on the steepest grade, km/h.
const HOLD_KMH: [f64; 3] = [50.0, 80.0, 112.0];

/// Speed of motor speed, km/h.
const CRUISE_KMH: f64 = 112.0;

/// Speed of road load, km/h.
const ROAD_LOAD_KMH: f64 = 80.0;

/// What two cars are compared in.
#[derive(Clone, Debug)]
pub struct CompareAsked {
    /// Cycles.
    pub cycles: Vec<Cycle>,
    /// Names of the days, the first is that of everything that names none.
    pub days: Vec<String>,
    /// States of charge between which is charged, the same for both cars.
    pub charge_frac: (f64, f64),
}

/// An answer of a car. `None`: the car has none, or does not come to it.
pub type Number = (Question, Option<f64>);

/// Everything that two cars are compared in, always the same list in the same order but for supplies,
/// which a build may have or not.
#[must_use]
pub fn numbers(subject: &Subject, supplies: &[Supply], asked: &CompareAsked) -> Vec<Number> {
    let day = |name: &String| subject.days.iter().find(|day| day.name() == name).cloned();
    let days: Vec<_> = asked.days.iter().filter_map(day).collect();
    let names: Vec<Name> = days.iter().map(|day| day.name().clone()).collect();
    let cycles: Vec<NamedCycle> = asked.cycles.iter().cloned().map(NamedCycle::from).collect();
    let list = compared(supplies, asked, &cycles, &names);
    let Ok(questions) = Questions::new(list, cycles, names, supplies.to_vec()) else {
        return Vec::new();
    };
    let known = |value: f64| Some(value).filter(|value| !value.is_nan());
    let values = questions.of_one(&subject.car, &days, None).into_iter().map(known);
    questions.list().iter().cloned().zip(values).collect()
}

fn compared(
    supplies: &[Supply],
    asked: &CompareAsked,
    cycles: &[NamedCycle],
    days: &[Name],
) -> Vec<Question> {
    let of = Question::of;
    let mut all = vec![
        of(&rows::MASS).loaded(LoadCase::ConvertedEmpty),
        of(&rows::MASS).loaded(LoadCase::DriverOnly),
        of(&rows::MASS).loaded(LoadCase::EverySeat),
    ];
    for case in [LoadCase::DriverOnly, LoadCase::AtGross] {
        all.extend([&rows::FRONT_AXLE, &rows::REAR_AXLE].map(|axle| of(axle).loaded(case)));
    }
    all.extend([&rows::EFFECTIVE_MASS, &rows::ROLLING_RADIUS, &rows::OVERALL_RATIO].map(of));
    all.extend([&rows::DRAG_AREA, &rows::PACK_ENERGY, &rows::PACK_FULL_VOLTAGE].map(of));
    all.push(of(&rows::MOTOR_SPEED).at_kmh(CRUISE_KMH));
    all.push(of(&rows::ROAD_LOAD).at_kmh(ROAD_LOAD_KMH));
    all.push(of(&rows::TOP_SPEED));
    all.extend(rows::SPANS_KMH.map(|(from_kmh, to_kmh)| of(&rows::TIME).between(from_kmh, to_kmh)));
    all.push(of(&rows::START_GRADE));
    all.extend(HOLD_KMH.map(|speed_kmh| of(&rows::HOLD_GRADE).at_kmh(speed_kmh)));
    let (from_pct, to_pct) = (100.0 * asked.charge_frac.0, 100.0 * asked.charge_frac.1);
    all.extend(supplies.iter().map(|supply| {
        let hours = of(&rows::CHARGE_HOURS).at_supply(&supply.name);
        hours.from_pct(from_pct).to_pct(to_pct)
    }));
    for cycle in cycles {
        for day in days {
            all.extend(
                [&rows::RANGE, &rows::USE]
                    .map(|quantity| of(quantity).on_cycle(Arc::clone(&cycle.name)).on_day(day)),
            );
        }
    }
    all
}

/// Each number of the first that the second has too, or of either, with what every input alone makes
/// of it.
#[must_use]
pub fn moves(
    first: &[Number],
    second: &[Number],
    alone: &[(String, Option<Vec<Number>>)],
    units: Units,
) -> Vec<AnswerMoved> {
    let value = |numbers: &[Number], question: &Question| {
        numbers.iter().find(|(known, _)| known == question).and_then(|(_, value)| *value)
    };
    let only_second =
        second.iter().filter(|(name, _)| first.iter().all(|(known, _)| known != name));
    let one = |(question, _): &Number| {
        let parts: Vec<(String, Option<Option<f64>>)> = alone
            .iter()
            .map(|(input, numbers)| {
                (input.clone(), numbers.as_ref().map(|numbers| value(numbers, question)))
            })
            .collect();
        let both = (value(first, question), value(second, question));
        AnswerMoved::new(question.clone(), both.0, both.1, &parts, units)
    };
    first.iter().chain(only_second).map(one).collect()
}
