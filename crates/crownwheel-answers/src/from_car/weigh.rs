//! Corner weights in the five cases.

use crownwheel::Car;
use crownwheel::spec::PlateSpec;
use crownwheel::tyre::load_capacity_kg;
use crownwheel::weights::{LoadCase, Stance, loaded};

use super::{Subject, brakes, springs, warning};
use crate::plain::Overload;
use crate::{Caution, Topic, Unit, Warning, WeighAnswer, WeighCase, WeighLimits};

/// Corner weights before and after, against plate and tyres.
#[must_use]
pub fn weigh(subject: &Subject) -> WeighAnswer {
    let spec = subject.car.spec();
    let limits = limits(&subject.car);
    let cases: Vec<WeighCase> =
        LoadCase::ALL.into_iter().map(|case| weigh_case(&subject.car, case, &limits)).collect();
    let mut answer = WeighAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        car: spec.name.clone(),
        seats: u32::try_from(spec.weights.seats.len()).unwrap_or(u32::MAX),
        cases,
        limits,
        notes: vec![WeighAnswer::VOID_NOTE.to_owned()],
        assumed: subject.assumed.iter().filter(|a| bears_weight(&a.key)).cloned().collect(),
        cautions: vec![Caution::about(Topic::AxleLoads), Caution::about(Topic::Brakes)],
        ..WeighAnswer::default()
    };
    answer.notes.extend(answer.payload_sentence());
    answer.notes.extend(gross_note(subject));
    answer.warnings = overload_warnings(&answer);
    answer.warnings.extend(brakes::warnings(&spec.weights, &answer));
    answer.plain = answer.plain_line();
    answer
}

/// Whether a key of a build has a part in corner weights.
fn bears_weight(key: &str) -> bool {
    const TABLES: [&str; 8] = [
        "corner_weights",
        "taken_out",
        "put_in",
        "seat",
        "luggage",
        "plate",
        "pack.box",
        "car.centre_of_gravity_height",
    ];
    let own = [
        "car.springs",
        "springs",
        "car.track",
        "car.front_roll_share",
        "pack.module_mass",
        "tyres.size",
    ];
    TABLES.iter().chain(&own).any(|start| key.starts_with(start))
}

/// A warning for each load over a limit.
fn overload_warnings(answer: &WeighAnswer) -> Vec<Warning> {
    answer.overloads().iter().map(|over| overload_warning(answer, over)).collect()
}

fn overload_warning(answer: &WeighAnswer, over: &Overload) -> Warning {
    warning("over_limit", answer.overload_sentence(over))
}

/// A warning for each limit that some load is over, in its worst case.
pub(super) fn worst_overloads(subject: &Subject) -> Vec<Warning> {
    let answer = weigh(subject);
    let mut worst: Vec<Overload> = Vec::new();
    for over in answer.overloads() {
        match worst.iter_mut().find(|it| (it.carrier, it.limit) == (over.carrier, over.limit)) {
            Some(known) if known.over_kg >= over.over_kg => {}
            Some(known) => *known = over,
            None => worst.push(over),
        }
    }
    worst.iter().map(|over| overload_warning(&answer, over)).collect()
}

/// How much luggage brings the car to gross mass.
fn gross_note(subject: &Subject) -> Option<String> {
    let (spec, units) = (subject.car.spec(), subject.units);
    let Some(gross_kg) = spec.weights.plate.gross_kg else {
        return Some(
            "No gross mass is given, so the case at gross is that of every seat filled.".to_owned(),
        );
    };
    let at_gross = loaded(&spec.weights, &spec.pack, LoadCase::AtGross);
    let left_kg = at_gross.luggage_kg;
    Some(if at_gross.corners.total_kg() > gross_kg + 0.01 {
        format!(
            "With every seat filled the car is already over its gross mass of {}, without any luggage.",
            units.text_to(gross_kg, Unit::Kg, 0)
        )
    } else {
        format!(
            "At gross mass there are {} of luggage aboard.",
            units.text_to(left_kg, Unit::Kg, 0)
        )
    })
}

fn limits(car: &Car) -> WeighLimits {
    let PlateSpec { gross_kg, front_axle_kg, rear_axle_kg } = car.spec().weights.plate;
    let load_index = car.spec().tyres.mark.load_index;
    WeighLimits {
        gross_kg,
        front_axle_kg,
        rear_axle_kg,
        one_tyre_kg: load_index.and_then(load_capacity_kg),
        load_index,
    }
}

fn weigh_case(car: &Car, case: LoadCase, limits: &WeighLimits) -> WeighCase {
    let spec = car.spec();
    let load = loaded(&spec.weights, &spec.pack, case);
    let corners = &load.corners;
    let (front_kg, rear_kg, mass_kg) =
        (corners.front_axle_kg(), corners.rear_axle_kg(), corners.total_kg());
    let springs = springs::axles(&spec.weights, corners);
    let axle_tyres_kg = limits.one_tyre_kg.map(|one| 2.0 * one);
    let under = |limit: Option<f64>, load_kg: f64| limit.map(|limit_kg| limit_kg - load_kg);
    let gross_margin_kg = under(limits.gross_kg, mass_kg);
    let payload_left = |plate: Option<f64>, load_kg: f64| {
        let margins = [under(plate, load_kg), under(axle_tyres_kg, load_kg), gross_margin_kg];
        margins.into_iter().flatten().min_by(f64::total_cmp).map(|left| left.max(0.0))
    };
    WeighCase {
        case,
        front_left_kg: corners.front_left_kg,
        front_right_kg: corners.front_right_kg,
        rear_left_kg: corners.rear_left_kg,
        rear_right_kg: corners.rear_right_kg,
        front_axle_kg: front_kg,
        rear_axle_kg: rear_kg,
        mass_kg,
        front_pct: 100.0 * corners.front_frac(),
        cross_weight_pct: 100.0 * corners.cross_weight_frac(),
        warp_kg: corners.warp_kg(),
        front_plate_margin_kg: under(limits.front_axle_kg, front_kg),
        rear_plate_margin_kg: under(limits.rear_axle_kg, rear_kg),
        gross_margin_kg,
        front_tyre_margin_kg: under(axle_tyres_kg, front_kg),
        rear_tyre_margin_kg: under(axle_tyres_kg, rear_kg),
        front_payload_left_kg: payload_left(limits.front_axle_kg, front_kg),
        rear_payload_left_kg: payload_left(limits.rear_axle_kg, rear_kg),
        front_sag_mm: springs.as_ref().map(|axles| axles.front.sag_mm),
        rear_sag_mm: springs.as_ref().map(|axles| axles.rear.sag_mm),
        front_ride_hz: springs.as_ref().and_then(|axles| axles.front.ride_hz),
        rear_ride_hz: springs.as_ref().and_then(|axles| axles.rear.ride_hz),
        centre_behind_front_axle_m: corners.centre_behind_front_axle_m(spec.weights.wheelbase_m),
        centre_right_of_centre_m: corners.centre_right_m(Stance::of(&spec.weights).tracks),
        centre_height_m: load.centre_of_gravity_height_m,
    }
}
