//! Keys of what stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the
//! plate.

use super::bind::at;
use super::unit::{KG, M, N_M, N_PER_MM, ONE};
use super::{Key, List, key};

const ACROSS: &str = "left and right corner weights; axle loads do not change";
const TO_THE_MIDDLE: &str =
    "measure from the centre line of the car to the middle of it, left is negative";
const SPRUNG: &str = "how far the car rises or sinks on its springs";
const SPRUNG_HOW: &str = "weigh wheels, hubs and brakes with half of the links when they are off; a \
live axle counts whole";

/// Load under a wheel.
const fn corner(path: &'static str, title: &'static str) -> Key {
    let row = key(path, title).over(0.0, 5000.0, KG).or_more().required();
    row.advice(ACROSS, "weigh each wheel on a pad of its own, and write [corner_weights]")
}

/// Where something is along the car.
pub(super) const fn along(path: &'static str, title: &'static str) -> Key {
    key(path, title).from(-5.0, 10.0, M).code(-5.0, 15.0).required()
}

/// Where something is across the car.
pub(super) const fn across(path: &'static str) -> Key {
    key(path, "where it is, right of the centre line (left is negative)")
        .from(-2.0, 2.0, M)
        .code(-3.0, 3.0)
        .assumed("0 m", "on the centre line")
        .advice(ACROSS, TO_THE_MIDDLE)
}

/// How high something is.
pub(super) const fn above(path: &'static str, title: &'static str) -> Key {
    key(path, title).from(0.0, 3.0, M).code(0.0, 4.0)
}

pub(super) const ROWS: &[Key] = &[
    corner("corner_weights.front_left", "load under the front left wheel before the conversion")
        .like("\"221.5 kg\"")
        .of_car(|car| at(&mut car.weights.corners.front_left_kg)),
    corner("corner_weights.front_right", "load under the front right wheel before the conversion")
        .like("\"214.0 kg\"")
        .of_car(|car| at(&mut car.weights.corners.front_right_kg)),
    corner("corner_weights.rear_left", "load under the rear left wheel before the conversion")
        .like("\"176.5 kg\"")
        .of_car(|car| at(&mut car.weights.corners.rear_left_kg)),
    corner("corner_weights.rear_right", "load under the rear right wheel before the conversion")
        .like("\"180.0 kg\"")
        .of_car(|car| at(&mut car.weights.corners.rear_right_kg)),
    key("springs.front_wheel_rate", "spring rate at one front wheel")
        .from(1.0, 1000.0, N_PER_MM)
        .like("\"18 N/mm\"")
        .required()
        .of_car(|car| at(&mut car.weights.springs.as_mut()?.front_wheel_rate_n_per_m)),
    key("springs.rear_wheel_rate", "spring rate at one rear wheel")
        .from(1.0, 1000.0, N_PER_MM)
        .like("\"20 N/mm\"")
        .required()
        .of_car(|car| at(&mut car.weights.springs.as_mut()?.rear_wheel_rate_n_per_m)),
    key("springs.front_unsprung", "mass of the front axle that does not ride on the springs")
        .from(0.0, 1000.0, KG)
        .like("\"55 kg\"")
        .assumed("55 kg ± 15 kg", "engineering judgement: wheels, hubs, brakes, half of the links")
        .advice(SPRUNG, SPRUNG_HOW)
        .of_car(|car| at(&mut car.weights.springs.as_mut()?.front_unsprung_kg)),
    key("springs.rear_unsprung", "mass of the rear axle that does not ride on the springs")
        .from(0.0, 1000.0, KG)
        .like("\"80 kg\"")
        .assumed("80 kg ± 20 kg", "engineering judgement: a light live axle")
        .advice(SPRUNG, SPRUNG_HOW)
        .of_car(|car| at(&mut car.weights.springs.as_mut()?.rear_unsprung_kg)),
    key("original.peak_torque", "greatest torque of the engine that was taken out")
        .over(0.0, 5000.0, N_M)
        .or_more()
        .like("\"82 N m\"")
        .required()
        .fixed()
        .of_car(|car| at(&mut car.original.as_mut()?.peak_torque_nm)),
    key("original.first_gear", "first gear of the gearbox behind the engine that was taken out")
        .over(0.1, 20.0, ONE)
        .code_over(0.0, f64::INFINITY)
        .like("3.64")
        .required()
        .fixed()
        .of_car(|car| at(&mut car.original.as_mut()?.first_gear_ratio)),
    key("taken_out.*.mass", "mass of a part that leaves the car")
        .from(0.0, 5000.0, KG)
        .or_more()
        .like("\"148 kg\"")
        .required()
        .of_each(List::TakenOut, |car, i| at(&mut car.weights.taken_out.get_mut(i)?.mass_kg)),
    along(
        "taken_out.*.behind_front_axle",
        "where the part sat, behind the front axle (in front is negative)",
    )
    .like("\"0.12 m\"")
    .of_each(List::TakenOut, |car, i| {
        at(&mut car.weights.taken_out.get_mut(i)?.place.behind_front_axle_m)
    }),
    across("taken_out.*.right_of_centre").like("\"0 m\"").of_each(List::TakenOut, |car, i| {
        at(&mut car.weights.taken_out.get_mut(i)?.place.right_of_centre_m)
    }),
    above("taken_out.*.above_ground", "height of the part above the ground")
        .like("\"0.55 m\"")
        .of_each(List::TakenOut, |car, i| {
            at(&mut car.weights.taken_out.get_mut(i)?.place.above_ground_m)
        }),
    key("put_in.*.mass", "mass of a part that enters the car")
        .from(0.0, 5000.0, KG)
        .or_more()
        .like("\"71 kg\"")
        .required()
        .of_each(List::PutIn, |car, i| at(&mut car.weights.put_in.get_mut(i)?.mass_kg)),
    along(
        "put_in.*.behind_front_axle",
        "where the part sits, behind the front axle (in front is negative)",
    )
    .like("\"0.55 m\"")
    .of_each(List::PutIn, |car, i| {
        at(&mut car.weights.put_in.get_mut(i)?.place.behind_front_axle_m)
    }),
    across("put_in.*.right_of_centre").like("\"0 m\"").of_each(List::PutIn, |car, i| {
        at(&mut car.weights.put_in.get_mut(i)?.place.right_of_centre_m)
    }),
    above("put_in.*.above_ground", "height of the part above the ground")
        .like("\"0.45 m\"")
        .of_each(List::PutIn, |car, i| {
            at(&mut car.weights.put_in.get_mut(i)?.place.above_ground_m)
        }),
    key("seat.*.mass", "mass of the person in this seat")
        .from(0.0, 500.0, KG)
        .or_more()
        .like("\"78 kg\"")
        .required()
        .of_each(List::Seats, |car, i| at(&mut car.weights.seats.get_mut(i)?.person.mass_kg)),
    along("seat.*.behind_front_axle", "where the person sits, behind the front axle")
        .like("\"1.25 m\"")
        .of_each(List::Seats, |car, i| {
            at(&mut car.weights.seats.get_mut(i)?.person.place.behind_front_axle_m)
        }),
    across("seat.*.right_of_centre").like("\"0.33 m\"").of_each(List::Seats, |car, i| {
        at(&mut car.weights.seats.get_mut(i)?.person.place.right_of_centre_m)
    }),
    above("seat.*.above_ground", "height of the person's centre of mass above the ground")
        .like("\"0.65 m\"")
        .of_each(List::Seats, |car, i| {
            at(&mut car.weights.seats.get_mut(i)?.person.place.above_ground_m)
        }),
    key("luggage.mass", "luggage aboard while driving")
        .from(0.0, 2000.0, KG)
        .or_more()
        .like("\"0 kg\"")
        .assumed("0 kg", "no luggage is named")
        .advice(
            "mass in every drive",
            "weigh what is always aboard: tools, cables, the spare wheel",
        )
        .of_car(|car| at(&mut car.weights.luggage.mass_kg)),
    key("luggage.behind_front_axle", "where luggage goes, behind the front axle")
        .from(-5.0, 10.0, M)
        .like("\"2.75 m\"")
        .derived("luggage is taken to lie over the rear axle, ± 0.3 m (engineering judgement)")
        .advice(
            "axle loads at gross mass",
            "measure from the front axle to the middle of the boot's floor",
        )
        .of_car(|car| at(&mut car.weights.luggage.place.behind_front_axle_m)),
    across("luggage.right_of_centre")
        .like("\"0 m\"")
        .of_car(|car| at(&mut car.weights.luggage.place.right_of_centre_m)),
    above("luggage.above_ground", "height of the luggage above the ground")
        .like("\"0.60 m\"")
        .of_car(|car| at(&mut car.weights.luggage.place.above_ground_m)),
    key("plate.gross", "gross mass on the plate")
        .over(0.0, 20_000.0, KG)
        .or_more()
        .like("\"1180 kg\"")
        .fixed()
        .of_car(|car| at(&mut car.weights.plate.gross_kg)),
    key("plate.front_axle", "highest front axle load on the plate")
        .over(0.0, 10_000.0, KG)
        .or_more()
        .like("\"560 kg\"")
        .fixed()
        .of_car(|car| at(&mut car.weights.plate.front_axle_kg)),
    key("plate.rear_axle", "highest rear axle load on the plate")
        .over(0.0, 10_000.0, KG)
        .or_more()
        .like("\"660 kg\"")
        .fixed()
        .of_car(|car| at(&mut car.weights.plate.rear_axle_kg)),
];
