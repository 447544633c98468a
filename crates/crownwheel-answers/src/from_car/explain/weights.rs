//! Mass and axle loads, part by part.

use crownwheel::spec::PartSpec;
use crownwheel::weights::{LoadCase, filled_boxes, loaded};

use super::{Subject, WorkedAnswer, sum, with};
use crate::{Topic, Unit};

/// An axle of the car.
#[derive(Clone, Copy)]
pub(super) enum Axle {
    Front,
    Rear,
}

/// What a mass depends on.
pub(super) const MASS_KEYS: [&str; 9] = [
    "corner_weights",
    "taken_out.*.mass",
    "put_in.*.mass",
    "pack.module_mass",
    "pack.modules_in_series",
    "pack.modules_in_parallel",
    "seat.*.mass",
    "seat.*.aboard",
    "luggage.mass",
];

/// What its share on each axle depends on besides.
pub(super) const PLACE_KEYS: [&str; 6] = [
    "car.wheelbase",
    "taken_out.*.behind_front_axle",
    "put_in.*.behind_front_axle",
    "pack.box",
    "seat.*.behind_front_axle",
    "luggage.behind_front_axle",
];

/// Keys that a load depends on: people and luggage count only where they are aboard.
fn keys(case: LoadCase, all: &[&'static str]) -> Vec<&'static str> {
    let counts = |key: &&'static str| match case {
        LoadCase::AsOnScales => *key == "corner_weights",
        LoadCase::ConvertedEmpty => !key.starts_with("seat") && !key.starts_with("luggage"),
        _ => true,
    };
    let gross = (case == LoadCase::AtGross).then_some("plate.gross");
    all.iter().copied().filter(counts).chain(gross).collect()
}

const COMPUTED: &str = "crownwheel::weights::loaded";

/// Everything that a load is made of: what it is, and each mass, kg, with its place behind the front
/// axle, m.
fn groups(subject: &Subject, case: LoadCase) -> Vec<(&'static str, Vec<(f64, f64)>)> {
    let (weights, pack) = (&subject.car.spec().weights, &subject.car.spec().pack);
    if case == LoadCase::AsOnScales {
        return Vec::new();
    }
    let at = |sign: f64, part: &PartSpec| (sign * part.mass_kg, part.place.behind_front_axle_m);
    let boxes = filled_boxes(pack);
    let mut all = vec![
        ("parts that are taken out", weights.taken_out.iter().map(|p| at(-1.0, p)).collect()),
        ("parts that are put in", weights.put_in.iter().map(|p| at(1.0, p)).collect()),
        (
            "battery modules, box by box",
            boxes
                .iter()
                .map(|it| {
                    (f64::from(it.modules) * pack.module_mass_kg, it.place.behind_front_axle_m)
                })
                .collect::<Vec<_>>(),
        ),
    ];
    if case != LoadCase::ConvertedEmpty {
        let every = case != LoadCase::DriverOnly;
        let aboard = weights.seats.iter().filter(|seat| seat.aboard || every);
        all.push(("people aboard", aboard.map(|seat| at(1.0, &seat.person)).collect()));
        let luggage_kg = loaded(weights, pack, case).luggage_kg;
        all.push(("luggage", vec![(luggage_kg, weights.luggage.place.behind_front_axle_m)]));
    }
    all
}

/// Mass in a loading case.
pub(super) fn mass(subject: &Subject, case: LoadCase) -> WorkedAnswer {
    let spec = subject.car.spec();
    let corners = spec.weights.corners;
    let total = loaded(&spec.weights, &spec.pack, case).corners.total_kg();
    let mut worked = WorkedAnswer::new(&format!("mass ({})", case.label()), total, Unit::Kg, 1)
        .depending_on(&keys(case, &MASS_KEYS));
    let scales = [
        corners.front_left_kg,
        corners.front_right_kg,
        corners.rear_left_kg,
        corners.rear_right_kg,
    ];
    worked.step(
        "what the scales read before the conversion",
        "m0 = FL + FR + RL + RR",
        format!("{} = {}", sum(&scales, 1), with(corners.total_kg(), "kg", 1)),
        "crownwheel::spec::CornersKg::total_kg",
    );
    let mut terms = vec![corners.total_kg()];
    for (what, parts) in groups(subject, case) {
        let masses: Vec<f64> = parts.iter().map(|(mass, _)| *mass).collect();
        let all: f64 = masses.iter().sum();
        let numbers = format!("{} = {}", sum(&masses, 1), with(all, "kg", 1));
        worked.step(what, "m = sum of the masses", numbers, COMPUTED);
        terms.push(all);
    }
    worked.step(
        "all together",
        "m = m0 + all of these",
        format!("{} = {}", sum(&terms, 1), with(total, "kg", 1)),
        COMPUTED,
    );
    worked.cautions.push(Topic::AxleLoads);
    worked
}

/// Load of an axle in a loading case.
pub(super) fn axle_load(subject: &Subject, axle: Axle, case: LoadCase) -> WorkedAnswer {
    let spec = subject.car.spec();
    let after = loaded(&spec.weights, &spec.pack, case).corners;
    let (corners, wheelbase_m) = (spec.weights.corners, spec.weights.wheelbase_m);
    let (word, load, start) = match axle {
        Axle::Front => ("front", after.front_axle_kg(), corners.front_axle_kg()),
        Axle::Rear => ("rear", after.rear_axle_kg(), corners.rear_axle_kg()),
    };
    let label = format!("load of the {} axle ({})", word, case.label());
    let mut worked = WorkedAnswer::new(&label, load, Unit::Kg, 1)
        .depending_on(&keys(case, &MASS_KEYS))
        .depending_on(&keys(case, &PLACE_KEYS));
    let (letters, left, right) = match axle {
        Axle::Front => ("A0 = FL + FR", corners.front_left_kg, corners.front_right_kg),
        Axle::Rear => ("A0 = RL + RR", corners.rear_left_kg, corners.rear_right_kg),
    };
    worked.step(
        "what the scales read before the conversion",
        letters,
        format!("{} = {}", sum(&[left, right], 1), with(start, "kg", 1)),
        "crownwheel::spec::CornersKg",
    );
    let formula = match axle {
        Axle::Front => "sum of m (1 - x / L): x behind the front axle, L the wheelbase",
        Axle::Rear => "sum of m x / L: x behind the front axle, L the wheelbase",
    };
    let mut terms = vec![start];
    for (what, parts) in groups(subject, case) {
        let share = |(mass_kg, place_m): &(f64, f64)| match axle {
            Axle::Front => mass_kg * (1.0 - place_m / wheelbase_m),
            Axle::Rear => mass_kg * place_m / wheelbase_m,
        };
        let shares: Vec<f64> = parts.iter().map(share).collect();
        let each: Vec<String> = parts
            .iter()
            .map(|(mass, place)| format!("{} at {}", with(*mass, "kg", 1), with(*place, "m", 2)))
            .collect();
        let all: f64 = shares.iter().sum();
        let numbers = format!(
            "L = {}; {}: {} = {}",
            with(wheelbase_m, "m", 3),
            each.join(", "),
            sum(&shares, 1),
            with(all, "kg", 1)
        );
        worked.step(what, formula, numbers, "crownwheel::weights::Stance::with_mass");
        terms.push(all);
    }
    worked.step(
        "all together",
        "A = A0 + all of these",
        format!("{} = {}", sum(&terms, 1), with(load, "kg", 1)),
        COMPUTED,
    );
    let plate = match axle {
        Axle::Front => spec.weights.plate.front_axle_kg,
        Axle::Rear => spec.weights.plate.rear_axle_kg,
    };
    if let Some(plate_kg) = plate {
        let left_kg = plate_kg - load;
        let units = subject.units;
        let side = if left_kg < 0.0 { "over" } else { "under" };
        worked.notes.push(format!(
            "The plate allows {}: the axle is {} {side} it.",
            units.text(plate_kg, Unit::Kg),
            units.text(left_kg.abs(), Unit::Kg)
        ));
    }
    worked.cautions.push(Topic::AxleLoads);
    worked
}
