//! Keys of what stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the
//! plate.

use super::{KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{Length, Mass, Ratio, Stiffness, Torque};

/// Words of every key for a place across the car.
pub(super) const RIGHT: &str = "where it is, right of the centre line (left is negative)";

pub(super) const ROWS: &[KeyRow] = &[
    number(
        "corner_weights.front_left",
        "load under the front left wheel before the conversion",
        Mass,
        over(0.0, 5000.0, "kg"),
        "\"221.5 kg\"",
    )
    .required()
    .knob(),
    number(
        "corner_weights.front_right",
        "load under the front right wheel before the conversion",
        Mass,
        over(0.0, 5000.0, "kg"),
        "\"214.0 kg\"",
    )
    .required()
    .knob(),
    number(
        "corner_weights.rear_left",
        "load under the rear left wheel before the conversion",
        Mass,
        over(0.0, 5000.0, "kg"),
        "\"176.5 kg\"",
    )
    .required()
    .knob(),
    number(
        "corner_weights.rear_right",
        "load under the rear right wheel before the conversion",
        Mass,
        over(0.0, 5000.0, "kg"),
        "\"180.0 kg\"",
    )
    .required()
    .knob(),
    number(
        "weighbridge.front_axle",
        "front axle load before the conversion, instead of corner_weights",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"435 kg\"",
    )
    .required()
    .unsure(),
    number(
        "weighbridge.rear_axle",
        "rear axle load before the conversion, instead of corner_weights",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"357 kg\"",
    )
    .required()
    .unsure(),
    number(
        "axle_lift.raised_by",
        "lifting an axle, for the height of the centre of gravity: how far its hubs were raised",
        Length,
        over(0.0, 3.0, "m"),
        "\"0.60 m\"",
    )
    .required()
    .unsure(),
    row(
        "axle_lift.lower_axle",
        "lifting an axle: the one that stayed on the scales",
        KeyKind::Choice(&["front", "rear"]),
        "\"front\"",
    )
    .required(),
    number(
        "axle_lift.level_load",
        "lifting an axle: load of the lower one with the car level",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"435.5 kg\"",
    )
    .derived("that axle's load on the scales")
    .unsure(),
    number(
        "axle_lift.raised_load",
        "lifting an axle: load of the lower one with the other one raised",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"462 kg\"",
    )
    .required()
    .unsure(),
    number(
        "axle_lift.hub_radius",
        "lifting an axle: height of the hubs above the ground",
        Length,
        over(0.1, 0.6, "m"),
        "\"0.27 m\"",
    )
    .derived("by the tyre mark: half the rim and 83 % of the section (engineering judgement)")
    .unsure(),
    number(
        "springs.front_wheel_rate",
        "spring rate at one front wheel",
        Stiffness,
        from(1.0, 1000.0, "N/mm"),
        "\"18 N/mm\"",
    )
    .required()
    .knob(),
    number(
        "springs.rear_wheel_rate",
        "spring rate at one rear wheel",
        Stiffness,
        from(1.0, 1000.0, "N/mm"),
        "\"20 N/mm\"",
    )
    .required()
    .knob(),
    number(
        "springs.front_unsprung",
        "mass of the front axle that does not ride on the springs",
        Mass,
        from(0.0, 1000.0, "kg"),
        "\"55 kg\"",
    )
    .assumed("55 kg ± 15 kg", "engineering judgement: wheels, hubs, brakes, half of the links")
    .knob(),
    number(
        "springs.rear_unsprung",
        "mass of the rear axle that does not ride on the springs",
        Mass,
        from(0.0, 1000.0, "kg"),
        "\"80 kg\"",
    )
    .assumed("80 kg ± 20 kg", "engineering judgement: a light live axle")
    .knob(),
    number(
        "original.peak_torque",
        "greatest torque of the engine that was taken out",
        Torque,
        over(0.0, 5000.0, "N m"),
        "\"82 N m\"",
    )
    .required(),
    number(
        "original.first_gear",
        "first gear of the gearbox behind the engine that was taken out",
        Ratio,
        over(0.1, 20.0, ""),
        "3.64",
    )
    .required(),
    number(
        "taken_out.*.mass",
        "mass of a part that leaves the car",
        Mass,
        from(0.0, 5000.0, "kg"),
        "\"148 kg\"",
    )
    .required()
    .knob(),
    number(
        "taken_out.*.behind_front_axle",
        "where the part sat, behind the front axle (in front is negative)",
        Length,
        from(-5.0, 10.0, "m"),
        "\"0.12 m\"",
    )
    .required()
    .knob(),
    number("taken_out.*.right_of_centre", RIGHT, Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line")
        .knob(),
    number(
        "taken_out.*.above_ground",
        "height of the part above the ground",
        Length,
        from(0.0, 3.0, "m"),
        "\"0.55 m\"",
    )
    .knob(),
    number(
        "put_in.*.mass",
        "mass of a part that enters the car",
        Mass,
        from(0.0, 5000.0, "kg"),
        "\"71 kg\"",
    )
    .required()
    .knob(),
    number(
        "put_in.*.behind_front_axle",
        "where the part sits, behind the front axle (in front is negative)",
        Length,
        from(-5.0, 10.0, "m"),
        "\"0.55 m\"",
    )
    .required()
    .knob(),
    number("put_in.*.right_of_centre", RIGHT, Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line")
        .knob(),
    number(
        "put_in.*.above_ground",
        "height of the part above the ground",
        Length,
        from(0.0, 3.0, "m"),
        "\"0.45 m\"",
    )
    .knob(),
    number(
        "seat.*.mass",
        "mass of the person in this seat",
        Mass,
        from(0.0, 500.0, "kg"),
        "\"78 kg\"",
    )
    .required()
    .knob(),
    number(
        "seat.*.behind_front_axle",
        "where the person sits, behind the front axle",
        Length,
        from(-5.0, 10.0, "m"),
        "\"1.25 m\"",
    )
    .required()
    .knob(),
    number("seat.*.right_of_centre", RIGHT, Length, from(-2.0, 2.0, "m"), "\"0.33 m\"")
        .assumed("0 m", "on the centre line")
        .knob(),
    number(
        "seat.*.above_ground",
        "height of the person's centre of mass above the ground",
        Length,
        from(0.0, 3.0, "m"),
        "\"0.65 m\"",
    )
    .knob(),
    row(
        "seat.*.aboard",
        "the person counts while driving; others count only in the laden cases",
        KeyKind::Flag,
        "true",
    )
    .derived("the first seat is the driver's and taken, the others are empty"),
    number(
        "luggage.mass",
        "luggage aboard while driving",
        Mass,
        from(0.0, 2000.0, "kg"),
        "\"0 kg\"",
    )
    .assumed("0 kg", "no luggage is named")
    .knob(),
    number(
        "luggage.behind_front_axle",
        "where luggage goes, behind the front axle",
        Length,
        from(-5.0, 10.0, "m"),
        "\"2.75 m\"",
    )
    .derived("luggage is taken to lie over the rear axle, ± 0.3 m (engineering judgement)")
    .knob(),
    number("luggage.right_of_centre", RIGHT, Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line")
        .knob(),
    number(
        "luggage.above_ground",
        "height of the luggage above the ground",
        Length,
        from(0.0, 3.0, "m"),
        "\"0.60 m\"",
    )
    .knob(),
    number(
        "plate.gross",
        "gross mass on the plate",
        Mass,
        over(0.0, 20_000.0, "kg"),
        "\"1180 kg\"",
    ),
    number(
        "plate.front_axle",
        "highest front axle load on the plate",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"560 kg\"",
    ),
    number(
        "plate.rear_axle",
        "highest rear axle load on the plate",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"660 kg\"",
    ),
];
