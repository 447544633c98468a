//! Top speed, times and grades.

use crownwheel::Car;
use crownwheel::constants::{KMH_PER_MPS, STANDARD_GRAVITY_MPS2};
use crownwheel::limit::Limit;
use crownwheel::pull::{FullThrottle, PullRow, THROTTLE_STEP_S, Throttle};
use crownwheel::road_load::Slope;

use super::road::overall_ratio;
use super::weights::{MASS_KEYS, PLACE_KEYS};
use super::{Subject, WorkedAnswer, sum, with};
use crate::from_car::{kmh, rpm};
use crate::{Topic, Unit};

const KEYS: [&str; 6] = ["car", "tyres", "driveline", "motor", "inverter", "pack"];

/// Rows of a run that are shown.
const SHOWN_ROWS: u32 = 6;

fn throttle(subject: &Subject, day: usize) -> Throttle<'_> {
    let car = &subject.car;
    Throttle::new(car, &subject.days[day], car.spec().pack.usable_to_frac)
}

fn hanging(subject: &Subject, worked: WorkedAnswer, day: usize) -> WorkedAnswer {
    let day_key = format!("day.{}", subject.days[day].name().key());
    worked
        .on(day)
        .depending_on(&MASS_KEYS)
        .depending_on(&PLACE_KEYS)
        .depending_on(&KEYS)
        .depending_on(&["load", "dcdc", &day_key])
}

fn pull_step(worked: &mut WorkedAnswer, car: &Car, row: &PullRow) {
    let (ratio, radius_m) = (car.overall_ratio_in(row.gear), car.rolling_radius_m());
    worked.step(
        &format!("greatest pull at {}", with(kmh(row.speed_mps), "km/h", 1)),
        "F = T G / r: T of the motor's torque what the stages leave",
        format!(
            "{} x {} / {} = {}; motor at {}, what limits it: {}",
            with(row.pull_n * radius_m / ratio, "N m", 2),
            with(ratio, "", 4),
            with(radius_m, "m", 4),
            with(row.pull_n, "N", 1),
            with(rpm(row.motor_radps), "rpm", 0),
            row.limit.name()
        ),
        "crownwheel::pull::Throttle::row",
    );
}

/// Top speed on the flat.
pub(super) fn top_speed(subject: &Subject, day: usize) -> WorkedAnswer {
    let car = &subject.car;
    let throttle = throttle(subject, day);
    let (speed_mps, limit) = throttle.top_speed();
    let worked = WorkedAnswer::new("top speed on the flat", kmh(speed_mps), Unit::Kmh, 1);
    let mut worked = hanging(subject, worked, day);
    overall_ratio(car, &mut worked);
    let cap_mps = throttle.top_by_motor_mps();
    let fastest =
        car.gears_in_use().map(|gear| car.overall_ratio_in(gear)).fold(f64::MAX, f64::min);
    worked.step(
        "highest speed that the motor may turn",
        "v = n_max 2 pi r / (60 G)",
        format!(
            "{} x 6.2832 x {} / (60 x {}) = {} = {}",
            with(rpm(car.spec().motor.max_speed_radps), "rpm", 0),
            with(car.rolling_radius_m(), "m", 4),
            with(fastest, "", 4),
            with(cap_mps, "m/s", 3),
            with(kmh(cap_mps), "km/h", 1)
        ),
        "crownwheel::pull::Throttle::top_by_motor_mps",
    );
    if let Some(row) = throttle.row(speed_mps) {
        pull_step(&mut worked, car, &row);
        worked.step(
            "road load at that speed",
            "R = air + rolling + brake drag (`explain drag`)",
            with(row.road_load_n, "N", 1),
            "crownwheel::pull::Throttle::road_load_n",
        );
    }
    let why = if matches!(limit, Limit::MotorSpeed | Limit::StageRating) {
        "the pull would suffice for more, and the motor may not turn faster"
    } else {
        "there the pull is just the road load"
    };
    worked.step(
        "top speed",
        "the lower of motor speed and the speed at which F = R",
        format!("{}: {why}", with(kmh(speed_mps), "km/h", 1)),
        "crownwheel::pull::Throttle::top_speed",
    );
    worked.notes.push("From full charge, the motor cold.".to_owned());
    worked
}

fn acceleration_step(worked: &mut WorkedAnswer, row: &PullRow) {
    worked.step(
        &format!("acceleration at {}", with(kmh(row.speed_mps), "km/h", 0)),
        "a = (F - R) / m_e",
        format!(
            "({} - {}) / {} = {}; what limits it: {}",
            with(row.pull_n, "N", 0),
            with(row.road_load_n, "N", 0),
            with(row.effective_mass_kg, "kg", 1),
            with(Throttle::acceleration_mps2(row), "m/s2", 3),
            row.limit.name()
        ),
        "crownwheel::pull::Throttle::acceleration_mps2",
    );
}

/// `2.13 + 2.20 = 4.33 s, in steps of 0.02 s`.
fn time_numbers(run: &FullThrottle, speeds_mps: &[f64], seconds: Option<f64>) -> String {
    let reached = |speed_mps: &f64| {
        if *speed_mps > 0.0 { run.time_to_s(*speed_mps) } else { Some(0.0) }
    };
    let times_s: Vec<f64> = speeds_mps.iter().map_while(reached).collect();
    let spans_s: Vec<f64> = times_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let total = seconds.map_or_else(|| "not reached".to_owned(), |time| with(time, "s", 2));
    format!("{} = {total}, in steps of {}", sum(&spans_s, 2), with(THROTTLE_STEP_S, "s", 2))
}

/// Time between two speeds at full throttle.
pub(super) fn time(subject: &Subject, (from_kmh, to_kmh): (f64, f64), day: usize) -> WorkedAnswer {
    let throttle = throttle(subject, day);
    let run = throttle.run(THROTTLE_STEP_S);
    let (from_mps, to_mps) = (from_kmh / KMH_PER_MPS, to_kmh / KMH_PER_MPS);
    let seconds =
        if from_kmh > 0.0 { run.time_between_s(from_mps, to_mps) } else { run.time_to_s(to_mps) };
    let units = subject.units;
    let label = format!(
        "time from {} to {} at full throttle",
        units.text(from_kmh, Unit::Kmh),
        units.text(to_kmh, Unit::Kmh)
    );
    let worked = WorkedAnswer::new(&label, seconds.unwrap_or(f64::NAN), Unit::S, 2);
    let mut worked = hanging(subject, worked, day);
    let speeds_mps: Vec<f64> = (0..SHOWN_ROWS)
        .map(|i| f64::from(i) / f64::from(SHOWN_ROWS - 1))
        .map(|share| from_mps + share * (to_mps - from_mps))
        .collect();
    for row in speeds_mps.iter().filter_map(|speed_mps| throttle.row(*speed_mps)) {
        acceleration_step(&mut worked, &row);
    }
    worked.step(
        "time",
        "t = integral of dv / a, stepped; here summed from each of these speeds to the next",
        time_numbers(&run, &speeds_mps, seconds),
        "crownwheel::pull::Throttle::run",
    );
    worked.notes.push(
        "From full charge, the motor cold, on the flat. While a gear is changed the car rolls without drive."
            .to_owned(),
    );
    worked
}

/// Steepest grade that is held at a speed; from standstill the one that the car starts on.
pub(super) fn grade(subject: &Subject, speed_kmh: f64, day: usize) -> WorkedAnswer {
    let car = &subject.car;
    let throttle = throttle(subject, day);
    let speed_mps = speed_kmh / KMH_PER_MPS;
    let row = throttle.row(speed_mps);
    let held = row.and_then(|row| throttle.grade_held(row.pull_n, speed_mps));
    let label = if speed_kmh > 0.0 {
        format!("steepest grade held at {}", subject.units.text(speed_kmh, Unit::Kmh))
    } else {
        "steepest grade that the car starts on".to_owned()
    };
    let worked =
        WorkedAnswer::new(&label, held.map_or(f64::NAN, |grade| 100.0 * grade), Unit::Pct, 1);
    let mut worked = hanging(subject, worked, day);
    if let Some(row) = &row {
        pull_step(&mut worked, car, row);
    } else {
        worked.notes.push("The motor may not turn so fast.".to_owned());
    }
    if let Some(grade) = held {
        let slope = Slope::from_grade(grade);
        let weight_n = car.mass_kg() * STANDARD_GRAVITY_MPS2;
        let climb_n = weight_n * slope.sin();
        let road_n = throttle.road_load_n(speed_mps, grade) - climb_n;
        worked.step(
            "grade on which all of the pull is used",
            "F = R(angle) + m g sin(angle), grade = tan(angle)",
            format!(
                "{} = {} with {} x {} m/s2 x sin({} deg): {}",
                with(road_n + climb_n, "N", 1),
                sum(&[road_n, climb_n], 1),
                with(car.mass_kg(), "kg", 1),
                with(STANDARD_GRAVITY_MPS2, "", 5),
                with(slope.angle_rad().to_degrees(), "", 2),
                with(100.0 * grade, "%", 1)
            ),
            "crownwheel::pull::Throttle::grade_held",
        );
    }
    worked.notes.push(
        "From full charge, the motor cold; at peak torque, which does not hold for long."
            .to_owned(),
    );
    worked.cautions.push(Topic::Brakes);
    worked
}
