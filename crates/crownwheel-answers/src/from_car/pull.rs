//! Tractive effort, times, hills and speeds, from the model.

use crownwheel::constants::{KMH_PER_MPS, METRE_PER_MILE};
use crownwheel::gauges::shaft_speeds;
use crownwheel::hold::{Climb, Climber, thirty_minute_power_w, thirty_minute_speed_mps};
use crownwheel::overrun::{axle_loads_braking_kg, lock_deceleration_mps2, overrun};
use crownwheel::pull::{FullThrottle, PullRow, QUARTER_MILE_M, THROTTLE_STEP_S, Throttle};
use crownwheel::road_load::WIND_AT_CAR_HEIGHT_M;
use crownwheel::spec::{DaySpec, FirstStage, GearboxSpec, RoadSurface, Shifting, Wind};
use crownwheel::weights::{LoadCase, loaded};
use crownwheel::{Car, Day};

use super::{Subject, concerns, kmh, rpm};
use crate::hills::{Hill, cruise, minutes, words};
use crate::pull::{
    BrakingLoads, HillLine, HoldLine, OverRevLine, OverrunLine, PullAnswer, PullAtCharge, PullLine,
    RunPoint, ShaftLine, ThirtyMinutes, Times, TopSpeed,
};
use crate::{Caution, Topic, Warning};

/// Steady speeds on hills, km/h.
const HOLD_KMH: [f64; 5] = [30.0, 50.0, 80.0, 100.0, 112.0];

/// Speeds of shaft speeds, km/h; the last is 70 mph.
const SHAFT_KMH: [f64; 6] = [50.0, 80.0, 100.0, 112.0, 120.0, 70.0 * METRE_PER_MILE / 1000.0];

/// What stands in place of the overrun table.
const NEVER_BRAKES: &str = "The motor does not brake: regen.share is 0.";
/// Speeds of the overrun table, km/h.
const OVERRUN_KMH: [f64; 7] = [10.0, 20.0, 30.0, 50.0, 80.0, 100.0, 120.0];

/// Nearly empty: this share of the usable part above its floor.
const NEARLY_EMPTY: f64 = 0.05;

/// Share of the steepest grade on which the time to cut-back is computed, so that it is held at all.
const JUST_HELD: f64 = 0.99;

/// Everything about pulling, on a day of the subject's list, from full charge.
#[must_use]
pub fn pull(subject: &Subject, day: usize, hills: &[Hill]) -> PullAnswer {
    let car = &subject.car;
    let day = &subject.days[day];
    let pack = &car.spec().pack;
    let (full, floor) = (pack.usable_to_frac, car.floor_frac(day));
    let throttle = Throttle::new(car, day, full);
    let table = throttle.table();
    let run = throttle.run(THROTTLE_STEP_S);
    let time = |speed_kmh: f64| run.time_to_s(speed_kmh / KMH_PER_MPS);
    let between = |from: f64, to: f64| run.time_between_s(from / KMH_PER_MPS, to / KMH_PER_MPS);
    let climber = Climber::new(car, day, full);
    let at = |charge_frac: f64| PullAtCharge {
        charge_pct: 100.0 * charge_frac,
        table: lines(&Throttle::new(car, day, charge_frac)),
    };
    let top = throttle.top_speed();
    let mut answer = PullAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        car: car.spec().name.clone(),
        day: day.name().clone(),
        charge_pct: 100.0 * full,
        table: lines(&throttle),
        at_less_charge: vec![at(0.5 * (full + floor)), at(floor + NEARLY_EMPTY * (full - floor))],
        times_s: Times {
            kmh_0_50: time(50.0),
            kmh_0_100: time(100.0),
            mph_0_60: time(60.0 * METRE_PER_MILE / 1000.0),
            kmh_50_80: between(50.0, 80.0),
            kmh_80_120: between(80.0, 120.0),
            quarter_mile: run.at_distance(QUARTER_MILE_M).map(|(seconds, _)| seconds),
        },
        kmh_0_100_half_step_s: throttle.run(0.5 * THROTTLE_STEP_S).time_to_s(100.0 / KMH_PER_MPS),
        run: run_points(&run),
        quarter_mile_speed_kmh: run.at_distance(QUARTER_MILE_M).map(|(_, speed)| kmh(speed)),
        shift_s: shift_s(car),
        top_speed: top_speed(top),
        top_speed_into_10_mps: into_headwind(car, day, full),
        start_grade_pct: table
            .first()
            .and_then(|row| throttle.grade_held(row.pull_n, 0.0))
            .map(|grade| 100.0 * grade),
        hold: HOLD_KMH.iter().map(|speed| hold(&throttle, &climber, *speed)).collect(),
        hills: hills.iter().map(|hill| HillLine::of((car, day), full, hill)).collect(),
        cruise: vec![HillLine::of((car, day), full, &cruise())],
        thirty_minutes: ThirtyMinutes {
            power_kw: thirty_minute_power_w(car).map(|watts| watts / 1000.0),
            speed_kmh: thirty_minute_speed_mps(&climber, top.0).map(kmh),
        },
        overrun: overrun_lines(car, day),
        braking: braking(car),
        over_rev: (0..car.gear_count())
            .map(|gear| OverRevLine { gear: gear + 1, speed_kmh: kmh(car.speed_cap_in_mps(gear)) })
            .collect(),
        shafts: shafts(car),
        notes: if brakes(car) { Vec::new() } else { vec![NEVER_BRAKES.to_owned()] },
        assumed: subject.assumed.clone(),
        warnings: Vec::new(),
        cautions: vec![Caution::about(Topic::FullThrottle), Caution::about(Topic::Brakes)],
        ..PullAnswer::default()
    };
    answer.warnings = concerns(subject);
    answer.warnings.extend(warnings(car, &answer));
    answer.plain = answer.plain_line();
    answer
}

/// Pull at one speed on a day of the subject's list, from full charge. `None`: the motor may not turn
/// so fast.
#[must_use]
pub fn pull_at(subject: &Subject, day: usize, speed_kmh: f64) -> Option<PullLine> {
    let car = &subject.car;
    let throttle = Throttle::new(car, &subject.days[day], car.spec().pack.usable_to_frac);
    throttle.row(speed_kmh / KMH_PER_MPS).map(|row| line(&throttle, &row))
}

fn lines(throttle: &Throttle<'_>) -> Vec<PullLine> {
    throttle.table().iter().map(|row| line(throttle, row)).collect()
}

fn line(throttle: &Throttle<'_>, row: &PullRow) -> PullLine {
    let on = |grade: f64| throttle.road_load_n(row.speed_mps, grade);
    PullLine {
        speed_kmh: kmh(row.speed_mps),
        motor_speed_rpm: rpm(row.motor_radps),
        gear: row.gear + 1,
        effective_mass_kg: row.effective_mass_kg,
        pull_n: row.pull_n,
        continuous_pull_n: row.continuous_pull_n,
        road_load_n: row.road_load_n,
        road_load_5_pct_n: on(0.05),
        road_load_10_pct_n: on(0.10),
        road_load_20_pct_n: on(0.20),
        limit: row.limit.name().to_owned(),
    }
}

/// Every fifth point, and the last.
fn run_points(run: &FullThrottle) -> Vec<RunPoint> {
    let last = run.points.len() - 1;
    let kept = run.points.iter().enumerate().filter(|(i, _)| i % 5 == 0 || *i == last);
    kept.map(|(_, point)| RunPoint {
        time_s: point.time_s,
        distance_m: point.distance_m,
        speed_kmh: kmh(point.speed_mps),
        gear: point.gear + 1,
        limit: point.limit.name().to_owned(),
    })
    .collect()
}

fn shift_s(car: &Car) -> Option<f64> {
    match &car.spec().driveline.first {
        FirstStage::Gearbox(GearboxSpec {
            shifting: Shifting::LeastLoss { shift_s, .. }, ..
        }) => Some(*shift_s),
        _ => None,
    }
}

fn top_speed((speed_mps, limit): (f64, crownwheel::limit::Limit)) -> TopSpeed {
    TopSpeed { kmh: kmh(speed_mps), limit: limit.name().to_owned() }
}

/// Top speed into 10 m/s at the car, whatever the wind of the day.
fn into_headwind(car: &Car, day: &Day, charge_frac: f64) -> TopSpeed {
    let wind = Wind::AlongRoad { speed_mps: 10.0, height_m: WIND_AT_CAR_HEIGHT_M };
    match Day::new(&DaySpec { wind, ..day.spec().clone() }) {
        Ok(windy) => top_speed(Throttle::new(car, &windy, charge_frac).top_speed()),
        Err(_) => TopSpeed::default(),
    }
}

fn hold(throttle: &Throttle<'_>, climber: &Climber<'_>, speed_kmh: f64) -> HoldLine {
    let speed_mps = speed_kmh / KMH_PER_MPS;
    let row = throttle.row(speed_mps);
    let grade = row.and_then(|row| throttle.grade_held(row.pull_n, speed_mps));
    let continuous = row.and_then(|row| throttle.grade_held(row.continuous_pull_n, speed_mps));
    let climb = grade.map(|grade| Climb { speed_mps, grade_frac: JUST_HELD * grade });
    let cold = climb.map(|climb| climber.cold(climb));
    HoldLine {
        speed_kmh,
        grade_pct: grade.map(|grade| 100.0 * grade),
        continuous_grade_pct: continuous.map(|grade| 100.0 * grade),
        minutes_to_cut_back: cold.and_then(minutes),
        minutes_to_cut_back_warm: climb.map(|climb| climber.warm(climb)).and_then(minutes),
        held: cold.map_or_else(|| "not held on the flat".to_owned(), words),
        limit: row.map_or("motor speed", |row| row.limit.name()).to_owned(),
    }
}

/// None of a car whose motor never brakes.
fn overrun_lines(car: &Car, day: &Day) -> Vec<OverrunLine> {
    if !brakes(car) {
        return Vec::new();
    }
    let pack = &car.spec().pack;
    let charges = [pack.usable_to_frac, 0.5 * (pack.usable_to_frac + pack.floor_frac())];
    let top_mps = car.speed_cap_mps();
    let speeds = OVERRUN_KMH.iter().filter(|speed| **speed / KMH_PER_MPS <= top_mps);
    let line = |charge_frac: f64, speed_kmh: f64| {
        let row = overrun(car, day, charge_frac, speed_kmh / KMH_PER_MPS);
        OverrunLine {
            speed_kmh,
            charge_pct: 100.0 * charge_frac,
            braking_n: row.braking_n,
            deceleration_mps2: row.deceleration_mps2,
            limit: row.limit.name().to_owned(),
        }
    };
    speeds.flat_map(|speed| charges.map(|charge| line(charge, *speed))).collect()
}

/// Whether the motor is asked to brake at all.
fn brakes(car: &Car) -> bool {
    car.spec().regen.share > 0.0
}

fn braking(car: &Car) -> BrakingLoads {
    let spec = car.spec();
    let at_half_g = |case: LoadCase| {
        let load = loaded(&spec.weights, &spec.pack, case);
        let lever = load.centre_of_gravity_height_m / spec.weights.wheelbase_m;
        let half_g = 0.5 * crownwheel::constants::STANDARD_GRAVITY_MPS2;
        axle_loads_braking_kg(&load.corners, lever, half_g)
    };
    let (before, after) = (at_half_g(LoadCase::AsOnScales), at_half_g(LoadCase::ConvertedEmpty));
    BrakingLoads {
        lock_in_the_wet_mps2: lock_deceleration_mps2(car, RoadSurface::Wet),
        front_at_half_g_before_kg: before.0,
        rear_at_half_g_before_kg: before.1,
        front_at_half_g_after_kg: after.0,
        rear_at_half_g_after_kg: after.1,
    }
}

fn shafts(car: &Car) -> Vec<ShaftLine> {
    let line = |gear: usize, speed_kmh: f64| {
        let speeds = shaft_speeds(car, speed_kmh / KMH_PER_MPS, gear);
        ShaftLine {
            speed_kmh,
            gear: gear + 1,
            motor_speed_rpm: rpm(speeds.motor_radps),
            propeller_shaft_rpm: rpm(speeds.propeller_shaft_radps),
            over_speed: speeds.motor_radps > car.spec().motor.max_speed_radps * (1.0 + 1e-9),
        }
    };
    (0..car.gear_count())
        .flat_map(|gear| SHAFT_KMH.iter().map(move |speed| (gear, *speed)))
        .map(|(gear, speed)| line(gear, speed))
        .collect()
}

fn warnings(car: &Car, answer: &PullAnswer) -> Vec<Warning> {
    let mut all = Vec::new();
    let mut warn = |code: &str, text: String| all.push(Warning { code: code.to_owned(), text });
    if answer.start_grade_pct.is_none() {
        warn("does_not_start", "The car does not start even on the flat.".to_owned());
    }
    for hill in answer.hills.iter().filter(|hill| hill.held.starts_with("not held")) {
        warn(
            "hill_not_held",
            format!(
                "{} ({:.1} %) is not climbed at {:.0} km/h: {}.",
                hill.hill, hill.grade_pct, hill.speed_kmh, hill.held
            ),
        );
    }
    if car.spec().motor.peak_seconds.is_none() {
        warn(
            "heat_not_known",
            "Heat: not known, give motor.peak_seconds from the motor's sheet.".to_owned(),
        );
    }
    all
}
