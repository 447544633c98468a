//! The answers of two cars side by side.

use crownwheel::charger::Socket;
use crownwheel::constants::METRE_PER_MILE;
use crownwheel::cycle::Cycle;
use crownwheel::pull::{FullThrottle, THROTTLE_STEP_S, Throttle};
use crownwheel::range::range;
use crownwheel::spec::RoadLoadSpec;
use crownwheel::{Car, Day};

use super::{Subject, Supply, kmh, rpm, weigh, wh_per_km};
use crate::compare::{AnswerMoved, Compared};
use crate::{AnswerName, Axle, LoadCase, Units};

/// Times at full throttle that are compared, km/h.
const TIMES_KMH: [(f64, f64); 5] =
    [(0.0, 50.0), (0.0, 100.0), (0.0, 60.0 * METRE_PER_MILE / 1000.0), (50.0, 80.0), (80.0, 120.0)];

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

/// A number of a car. `None`: the car has none, or does not come to it.
pub type Number = (Compared, Option<f64>);

/// Everything that two cars are compared in, always the same list in the same order but for supplies,
/// which a build may have or not.
#[must_use]
pub fn numbers(subject: &Subject, supplies: &[Supply], asked: &CompareAsked) -> Vec<Number> {
    let car = &subject.car;
    let mut all = weights(subject);
    all.extend(plain(car));
    let Some(day) = asked.days.first().and_then(|name| find_day(subject, name)) else {
        return all;
    };
    all.extend(pulling(car, day));
    all.extend(supplies.iter().map(|supply| charging(car, day, supply, asked.charge_frac)));
    for cycle in &asked.cycles {
        for name in &asked.days {
            all.extend(driving(subject, cycle, name));
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
    let value = |numbers: &[Number], compared: &Compared| {
        numbers.iter().find(|(known, _)| known == compared).and_then(|(_, value)| *value)
    };
    let only_second =
        second.iter().filter(|(name, _)| first.iter().all(|(known, _)| known != name));
    let one = |(compared, _): &Number| {
        let parts: Vec<(String, Option<Option<f64>>)> = alone
            .iter()
            .map(|(input, numbers)| {
                (input.clone(), numbers.as_ref().map(|numbers| value(numbers, compared)))
            })
            .collect();
        let both = (value(first, compared), value(second, compared));
        AnswerMoved::new(compared.clone(), both.0, both.1, &parts, units)
    };
    first.iter().chain(only_second).map(one).collect()
}

fn find_day<'a>(subject: &'a Subject, name: &str) -> Option<&'a Day> {
    subject.days.iter().find(|day| day.name() == name)
}

fn answer(name: AnswerName, value: Option<f64>) -> Number {
    (Compared::Answer(name), value)
}

fn weights(subject: &Subject) -> Vec<Number> {
    let weighed = weigh(subject);
    let of = |case: LoadCase| weighed.cases.iter().find(|it| it.case == case);
    let mut all = Vec::new();
    for case in [LoadCase::ConvertedEmpty, LoadCase::DriverOnly, LoadCase::EverySeat] {
        let mass = of(case).map(|it| it.mass_kg);
        all.push(answer(AnswerName::Mass { case }, mass));
    }
    for case in [LoadCase::DriverOnly, LoadCase::AtGross] {
        for axle in [Axle::Front, Axle::Rear] {
            let load = of(case).map(|it| match axle {
                Axle::Front => it.front_axle_kg,
                Axle::Rear => it.rear_axle_kg,
            });
            all.push(answer(AnswerName::AxleLoad { axle, case }, load));
        }
    }
    all
}

fn plain(car: &Car) -> Vec<Number> {
    let pack = &car.spec().pack;
    let terms = matches!(car.spec().road_load, RoadLoadSpec::Terms { .. });
    let motor_rpm = rpm(CRUISE_KMH / 3.6 * car.motor_radps_per_mps());
    vec![
        (Compared::EffectiveMass, Some(car.effective_mass_kg())),
        (Compared::RollingRadius, Some(car.rolling_radius_m())),
        (Compared::OverallRatio, Some(car.overall_ratio())),
        (Compared::DragArea, terms.then(|| car.drag_area_m2())),
        (Compared::PackEnergy, Some(pack.energy_kwh())),
        (Compared::PackFullVoltage, Some(pack.full_voltage_v())),
        answer(AnswerName::CruiseMotorSpeed { speed_kmh: CRUISE_KMH }, Some(motor_rpm)),
    ]
}

fn pulling(car: &Car, day: &Day) -> Vec<Number> {
    let throttle = Throttle::new(car, day, car.spec().pack.usable_to_frac);
    let run = throttle.run(THROTTLE_STEP_S);
    let mut all = vec![
        (Compared::RoadLoad, Some(throttle.road_load_n(ROAD_LOAD_KMH / 3.6, 0.0))),
        (Compared::TopSpeed, Some(kmh(throttle.top_speed().0))),
    ];
    all.extend(TIMES_KMH.map(|(from_kmh, to_kmh)| {
        let name = AnswerName::Time { from_kmh, to_kmh, day: None };
        // What is not reached takes for ever, so that it can be told.
        answer(name, Some(time_s(&run, from_kmh, to_kmh).unwrap_or(f64::INFINITY)))
    }));
    let held = |speed_mps: f64| {
        let row = throttle.row(speed_mps)?;
        Some(100.0 * throttle.grade_held(row.pull_n, speed_mps)?)
    };
    all.push(answer(AnswerName::StartGrade { day: None }, held(0.0)));
    all.extend(HOLD_KMH.map(|speed_kmh| {
        answer(AnswerName::HoldGrade { speed_kmh, day: None }, held(speed_kmh / 3.6))
    }));
    all
}

fn time_s(run: &FullThrottle, from_kmh: f64, to_kmh: f64) -> Option<f64> {
    if from_kmh > 0.0 {
        run.time_between_s(from_kmh / 3.6, to_kmh / 3.6)
    } else {
        run.time_to_s(to_kmh / 3.6)
    }
}

fn charging(car: &Car, day: &Day, supply: &Supply, (from_frac, to_frac): (f64, f64)) -> Number {
    let done = Socket::new(car, day, supply.limit_w).charge(from_frac, to_frac);
    let hours = Some(done.duration_s / 3600.0).filter(|hours| *hours > 0.0);
    let name = AnswerName::ChargeHours {
        supply: supply.name.clone(),
        from_pct: (100.0 * from_frac).round(),
        to_pct: (100.0 * to_frac).round(),
        day: None,
    };
    answer(name, Some(hours.unwrap_or(f64::INFINITY)))
}

fn driving(subject: &Subject, cycle: &Cycle, day: &str) -> [Number; 2] {
    let done = find_day(subject, day).map(|day| range(&subject.car, day, cycle));
    let use_wh =
        |run: &crownwheel::range::RangeRun| wh_per_km(run.balance.sum.terminals_j, run.distance_m);
    let (cycle, day) = (cycle.name().into(), std::sync::Arc::from(day));
    [
        answer(
            AnswerName::Range {
                cycle: std::sync::Arc::clone(&cycle),
                day: std::sync::Arc::clone(&day),
            },
            done.as_ref().map(|run| run.distance_m / 1000.0),
        ),
        // A car that does not move has no use for a distance.
        answer(
            AnswerName::Use { cycle, day },
            done.as_ref().filter(|run| run.distance_m > 0.0).map(use_wh),
        ),
    ]
}
