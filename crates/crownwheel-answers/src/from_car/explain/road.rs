//! Rolling radius, road load and motor speed.

use crownwheel::air::moist_air;
use crownwheel::constants::{KMH_PER_MPS, STANDARD_GRAVITY_MPS2};
use crownwheel::pull::Throttle;
use crownwheel::road_load::{all_round_m2ps2, along_road_m2ps2, wind_at_car_mps};
use crownwheel::spec::{DragSpec, RoadLoadSpec, RollingSpec, Wind};
use crownwheel::tyre::{
    CROSS_PLY_ROLLING_FACTOR, RADIAL_ROLLING_FACTOR, overall_diameter_m, rolling_factor,
};
use crownwheel::{Car, Day};

use super::weights::MASS_KEYS;
use super::{Subject, WorkedAnswer, sum, with};
use crate::from_car::rpm;
use crate::{Topic, Unit};

/// Rolling radius.
pub(super) fn rolling_radius(subject: &Subject) -> WorkedAnswer {
    let tyres = &subject.car.spec().tyres;
    let radius_m = subject.car.rolling_radius_m();
    let mut worked = WorkedAnswer::new("rolling radius", radius_m, Unit::M, 4).depending_on(&[
        "tyres.size",
        "tyres.rolled",
        "tyres.revolutions_per_km",
    ]);
    let computed = "crownwheel::tyre::rolling_radius_m";
    let result = with(radius_m, "m", 4);
    match tyres.rolling {
        RollingSpec::FromMark => {
            let mark = &tyres.mark;
            let diameter_m = overall_diameter_m(mark);
            worked.step(
                "diameter, from the size",
                "d = rim + 2 w a: w the section width, a the aspect ratio",
                format!(
                    "{} + 2 x {} x {} = {}",
                    with(mark.rim_diameter_m, "m", 4),
                    with(mark.section_width_m, "m", 3),
                    with(mark.aspect_frac, "", 2),
                    with(diameter_m, "m", 4)
                ),
                "crownwheel::tyre::overall_diameter_m",
            );
            let factor = if mark.radial { RADIAL_ROLLING_FACTOR } else { CROSS_PLY_ROLLING_FACTOR };
            worked.step(
                "radius that it rolls on",
                "r = f d / (2 pi): f the rolling factor of the construction",
                format!(
                    "{} x {} / 6.2832 = {result}",
                    with(factor, "", 2),
                    with(diameter_m, "m", 4)
                ),
                computed,
            );
            worked.notes.push(
                "Single tyres differ from this by about 1.5 %: a rolled distance in the build (tyres.rolled) is better."
                    .to_owned(),
            );
        }
        RollingSpec::Rolled { turns, distance_m } => worked.step(
            "radius, from a rolled distance",
            "r = s / (2 pi n): s the distance, n the turns",
            format!("{} / (6.2832 x {}) = {result}", with(distance_m, "m", 3), with(turns, "", 2)),
            computed,
        ),
        RollingSpec::RevolutionsPerKm(turns) => worked.step(
            "radius, from the maker's figure",
            "r = 1000 m / (2 pi n): n the turns in a kilometre",
            format!("1000 m / (6.2832 x {}) = {result}", with(turns, "", 1)),
            computed,
        ),
    }
    worked
}

/// Motor speed at a road speed in the usual gear.
pub(super) fn motor_speed(subject: &Subject, speed_kmh: f64) -> WorkedAnswer {
    let car = &subject.car;
    let speed_mps = speed_kmh / KMH_PER_MPS;
    let motor_rpm = rpm(speed_mps * car.motor_radps_per_mps());
    let label = format!("motor speed at {}", subject.units.text(speed_kmh, Unit::Kmh));
    let mut worked = WorkedAnswer::new(&label, motor_rpm, Unit::Rpm, 0).depending_on(&[
        "tyres.size",
        "tyres.rolled",
        "tyres.revolutions_per_km",
        "driveline.reduction.ratio",
        "driveline.gearbox",
        "driveline.axle.ratio",
    ]);
    overall_ratio(car, &mut worked);
    worked.step(
        "motor speed",
        "n = 60 v G / (2 pi r)",
        format!(
            "60 x {} x {} / (6.2832 x {}) = {}",
            with(speed_mps, "m/s", 3),
            with(car.overall_ratio(), "", 4),
            with(car.rolling_radius_m(), "m", 4),
            with(motor_rpm, "rpm", 0)
        ),
        "crownwheel::driveline::Gearing::motor_speed_radps",
    );
    let most_rpm = rpm(car.spec().motor.max_speed_radps);
    let over = if motor_rpm > most_rpm { "; this is over it" } else { "" };
    worked.notes.push(format!("The motor may turn {}{over}.", with(most_rpm, "rpm", 0)));
    worked
}

/// The step that works out the overall ratio.
pub(super) fn overall_ratio(car: &Car, worked: &mut WorkedAnswer) {
    let axle = car.spec().driveline.axle.ratio;
    let total = car.overall_ratio();
    worked.step(
        "overall ratio",
        "G = first stage x axle",
        format!("{} x {} = {}", with(total / axle, "", 3), with(axle, "", 3), with(total, "", 4)),
        "crownwheel::car::Car::overall_ratio",
    );
}

/// What holds the car back at a steady speed on the flat, with the drag area and the rolling
/// resistance on the way.
pub(super) fn road_load(subject: &Subject, speed_kmh: f64, day: usize) -> WorkedAnswer {
    let (car, place) = (&subject.car, day);
    let day = &subject.days[place];
    let throttle = Throttle::new(car, day, car.spec().pack.usable_to_frac);
    let speed_mps = speed_kmh / KMH_PER_MPS;
    let total_n = throttle.road_load_n(speed_mps, 0.0);
    let label = format!("road load at {}", subject.units.text(speed_kmh, Unit::Kmh));
    let name = format!("day.{}", day.name().key());
    let mut worked = WorkedAnswer::new(&label, total_n, Unit::N, 0)
        .on(place)
        .depending_on(&[
            "car.drag_rise_with_yaw",
            "car.brake_drag",
            "car.road_load",
            "tyres.speed_law",
            &name,
        ])
        .depending_on(&DRAG_KEYS)
        .depending_on(&ROLLING_KEYS)
        .depending_on(&MASS_KEYS);
    let parts = match car.spec().road_load {
        RoadLoadSpec::Terms { drag, brake_drag_n, drag_rise_at_10_deg_yaw } => {
            let air = air(&mut worked, car, day, drag, (speed_mps, drag_rise_at_10_deg_yaw));
            let rolling = rolling(&mut worked, car, day, speed_mps);
            vec![air, rolling, brake_drag_n]
        }
        RoadLoadSpec::Coefficients { .. } => coefficients(&mut worked, &throttle, speed_mps),
    };
    let formula = match car.spec().road_load {
        RoadLoadSpec::Terms { .. } => "F = F_air + F_rolling + brake drag",
        RoadLoadSpec::Coefficients { .. } => "F = f0 + f1 v + f2 v^2",
    };
    worked.step(
        "all together",
        formula,
        format!("{} = {}", sum(&parts, 1), with(total_n, "N", 1)),
        "crownwheel::step::road_load_n",
    );
    worked.notes.push(
        "Drag in the driveline, `explain range` shows it, is not in here but for what turned in a coast-down."
            .to_owned(),
    );
    worked.cautions.push(Topic::Brakes);
    worked
}

const DRAG_KEYS: [&str; 3] = ["car.drag_coefficient", "car.frontal_area", "car.drag_area"];

const ROLLING_KEYS: [&str; 3] =
    ["tyres.rolling_resistance", "tyres.label_class", "tyres.drum_to_road"];

/// Drag area. A car that is known by its coast-down has none of its own.
pub(super) fn drag_area(subject: &Subject) -> WorkedAnswer {
    let terms = match subject.car.spec().road_load {
        RoadLoadSpec::Terms { drag, .. } => Some(drag),
        RoadLoadSpec::Coefficients { .. } => None,
    };
    let area_m2 = terms.as_ref().map_or(f64::NAN, DragSpec::area_m2);
    let mut worked = WorkedAnswer::new("drag area", area_m2, Unit::M2, 4).depending_on(&DRAG_KEYS);
    match terms {
        Some(drag) => area_step(&mut worked, drag),
        None => by_coast_down(&mut worked),
    }
    worked
}

fn by_coast_down(worked: &mut WorkedAnswer) {
    worked.depends_on = vec!["car.road_load".to_owned()];
    worked.notes.push(
        "The build gives the road load as coast-down coefficients, which are not parted into air and rolling: `explain drag` has them."
            .to_owned(),
    );
}

/// Rolling resistance coefficient on the road.
pub(super) fn rolling_resistance(subject: &Subject) -> WorkedAnswer {
    let car = &subject.car;
    let terms = matches!(car.spec().road_load, RoadLoadSpec::Terms { .. });
    let coefficient = if terms { car.rolling_resistance() } else { f64::NAN };
    let label = "rolling resistance coefficient";
    let mut worked =
        WorkedAnswer::new(label, coefficient, Unit::None, 5).depending_on(&ROLLING_KEYS);
    if terms {
        coefficient_step(&mut worked, car)
    } else {
        by_coast_down(&mut worked)
    }
    worked
}

/// Motor speed over wheel speed.
pub(super) fn ratio(subject: &Subject) -> WorkedAnswer {
    let car = &subject.car;
    let mut worked = WorkedAnswer::new("overall ratio", car.overall_ratio(), Unit::None, 4)
        .depending_on(&["driveline.reduction.ratio", "driveline.gearbox", "driveline.axle.ratio"]);
    overall_ratio(car, &mut worked);
    worked
}

/// Density of the air of a day.
pub(super) fn air_density(subject: &Subject, day: usize) -> WorkedAnswer {
    let air = subject.days[day].air();
    let moist = moist_air(air);
    let name = format!("day.{}", subject.days[day].name().key());
    let keys = ["temperature", "altitude", "humidity"].map(|key| format!("{name}.{key}"));
    let mut worked = WorkedAnswer::new("density of the air", moist.density_kgpm3, Unit::Kgpm3, 4)
        .on(day)
        .depending_on(&keys.each_ref().map(String::as_str));
    worked.step(
        "density of moist air (CIPM-2007)",
        "rho = 0.00348374 p (1 - 0.378 x) / (Z T): x of its molecules are vapour, Z its compressibility",
        format!(
            "0.00348374 x {} x (1 - 0.378 x {}) / ({} x {}) = {}",
            with(air.pressure_pa, "Pa", 0),
            with(moist.vapour_frac, "", 5),
            with(moist.compressibility, "", 6),
            with(air.temperature_k, "K", 2),
            with(moist.density_kgpm3, "kg/m3", 4)
        ),
        "crownwheel::air::moist_air",
    );
    worked
}

/// The step for the drag area, where it is not given as such.
fn area_step(worked: &mut WorkedAnswer, drag: DragSpec) {
    let area = with(drag.area_m2(), "m2", 4);
    let (formula, numbers) = match drag {
        DragSpec::CoefficientAndArea { coefficient, frontal_area_m2 } => (
            "CdA = Cd A",
            format!("{} x {} = {area}", with(coefficient, "", 3), with(frontal_area_m2, "m2", 3)),
        ),
        DragSpec::Area(_) => ("CdA as given", area),
    };
    worked.step("drag area", formula, numbers, "crownwheel::spec::DragSpec::area_m2");
}

fn coefficient_step(worked: &mut WorkedAnswer, car: &Car) {
    let tyres = &car.spec().tyres;
    worked.step(
        "rolling coefficient, from the drum to the road",
        "C = C_drum x factor",
        format!(
            "{} x {} = {}",
            with(tyres.rolling_resistance, "", 5),
            with(tyres.drum_to_road, "", 2),
            with(car.rolling_resistance(), "", 5)
        ),
        "crownwheel::car::Car::rolling_resistance",
    );
}

/// Air drag, N.
fn air(
    worked: &mut WorkedAnswer,
    car: &Car,
    day: &Day,
    drag: DragSpec,
    (speed_mps, rise): (f64, f64),
) -> f64 {
    let area_m2 = car.drag_area_m2();
    area_step(worked, drag);
    let (formula, square, computed) = match day.spec().wind {
        Wind::Calm => (
            "F_air = rho CdA v^2 / 2",
            speed_mps * speed_mps,
            "crownwheel::road_load::AirStream::drag_n",
        ),
        Wind::AlongRoad { speed_mps: wind, height_m } => {
            let wind_mps = wind_at_car_mps(wind, height_m);
            worked.step(
                "wind at the height of the car",
                "w = share of the wind at the height that was given",
                format!("{} of {}", with(wind_mps, "m/s", 2), with(wind, "m/s", 2)),
                "crownwheel::road_load::wind_at_car_mps",
            );
            (
                "F_air = rho CdA (v + w) |v + w| / 2",
                along_road_m2ps2(speed_mps, wind_mps),
                "crownwheel::road_load::along_road_m2ps2",
            )
        }
        Wind::AllRound { speed_mps: wind, height_m } => {
            let wind_mps = wind_at_car_mps(wind, height_m);
            let square = all_round_m2ps2(speed_mps, wind_mps, rise);
            worked.step(
                "wind from all round at the height of the car",
                "q = mean over all headings of |u| u_along, with the drag that grows with yaw",
                format!(
                    "w = {} of {}; q = {}, calm it would be {}",
                    with(wind_mps, "m/s", 2),
                    with(wind, "m/s", 2),
                    with(square, "m2/s2", 1),
                    with(speed_mps * speed_mps, "m2/s2", 1)
                ),
                "crownwheel::road_load::all_round_m2ps2",
            );
            ("F_air = rho CdA q / 2", square, "crownwheel::road_load::all_round_m2ps2")
        }
    };
    let density = day.air_density_kgpm3();
    let force_n = 0.5 * density * area_m2 * square;
    worked.step(
        "air",
        formula,
        format!(
            "{} x {} x {} / 2 = {}",
            with(density, "kg/m3", 4),
            with(area_m2, "m2", 4),
            with(square, "m2/s2", 1),
            with(force_n, "N", 1)
        ),
        computed,
    );
    force_n
}

/// Rolling resistance, N.
fn rolling(worked: &mut WorkedAnswer, car: &Car, day: &Day, speed_mps: f64) -> f64 {
    let tyres = &car.spec().tyres;
    let weight_n = car.mass_kg() * STANDARD_GRAVITY_MPS2;
    let factor = rolling_factor(day.air().temperature_k, day.road());
    let rise = 1.0 + tyres.rolling_rise_per_mps2 * speed_mps * speed_mps;
    let force_n = weight_n * car.rolling_resistance() * factor * rise;
    coefficient_step(worked, car);
    worked.step(
        "rolling",
        "F_rolling = m g C k (1 + b v^2): k for temperature and surface of the road",
        format!(
            "{} x {} m/s2 x {} x {} x {} = {}",
            with(car.mass_kg(), "kg", 1),
            with(STANDARD_GRAVITY_MPS2, "", 5),
            with(car.rolling_resistance(), "", 5),
            with(factor, "", 4),
            with(rise, "", 4),
            with(force_n, "N", 1)
        ),
        "crownwheel::tyre::rolling_factor",
    );
    force_n
}

/// Coast-down coefficients, N: the constant, linear and square term at the speed.
fn coefficients(worked: &mut WorkedAnswer, throttle: &Throttle<'_>, speed_mps: f64) -> Vec<f64> {
    // The core carries the coefficients to the mass, air and road of the day: three of its forces tell
    // them.
    let at = |mps: f64| throttle.road_load_n(mps, 0.0);
    let step = 10.0;
    let (f0, one, two) = (at(0.0), at(step), at(2.0 * step));
    let f2 = (two - 2.0 * one + f0) / (2.0 * step * step);
    let f1 = (one - f0) / step - f2 * step;
    worked.step(
        "coefficients, carried to the mass, the air and the road of the day",
        "f0 with mass, temperature and road; f1 with temperature and road; f2 with the density of the air",
        format!(
            "f0 = {}, f1 = {}, f2 = {}",
            with(f0, "N", 2),
            with(f1, "N per m/s", 4),
            with(f2, "N per (m/s)2", 5)
        ),
        "crownwheel::ready::Ready::new",
    );
    vec![f0, f1 * speed_mps, at(speed_mps) - f0 - f1 * speed_mps]
}
