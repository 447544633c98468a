//! Keys of what stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the
//! plate.

use crownwheel::keys::unit::{KG, M};

use super::{KeyKind, KeyRow, key, number, row};

pub(super) const ROWS: &[KeyRow] = &[
    number(
        key(
            "weighbridge.front_axle",
            "front axle load before the conversion, instead of corner_weights",
        )
        .over(0.0, 10_000.0, KG)
        .like("\"435 kg\"")
        .required(),
    )
    .unsure()
    .after("corner_weights.rear_right"),
    number(
        key(
            "weighbridge.rear_axle",
            "rear axle load before the conversion, instead of corner_weights",
        )
        .over(0.0, 10_000.0, KG)
        .like("\"357 kg\"")
        .required(),
    )
    .unsure(),
    number(
        key(
            "axle_lift.raised_by",
            "lifting an axle, for the height of the centre of gravity: how far its hubs \
             were raised",
        )
        .over(0.0, 3.0, M)
        .like("\"0.60 m\"")
        .required(),
    )
    .unsure(),
    row(
        KeyKind::Choice(&["front", "rear"]),
        key("axle_lift.lower_axle", "lifting an axle: the one that stayed on the scales")
            .like("\"front\"")
            .required(),
    ),
    number(
        key("axle_lift.level_load", "lifting an axle: load of the lower one with the car level")
            .over(0.0, 10_000.0, KG)
            .like("\"435.5 kg\"")
            .derived("that axle's load on the scales")
            .advice(
                "height of the centre of gravity",
                "read the scale with the car level, just before it is lifted",
            ),
    )
    .unsure(),
    number(
        key(
            "axle_lift.raised_load",
            "lifting an axle: load of the lower one with the other one raised",
        )
        .over(0.0, 10_000.0, KG)
        .like("\"462 kg\"")
        .required(),
    )
    .unsure(),
    number(
        key("axle_lift.hub_radius", "lifting an axle: height of the hubs above the ground")
            .over(0.1, 0.6, M)
            .like("\"0.27 m\"")
            .derived(
                "by the tyre mark: half the rim and 83 % of the section (engineering judgement)",
            )
            .advice(
                "height of the centre of gravity, a little",
                "measure from the ground to the middle of a hub",
            ),
    )
    .unsure(),
    row(
        KeyKind::Flag,
        key(
            "seat.*.aboard",
            "the person counts while driving; others count only in the laden cases",
        )
        .like("true")
        .derived("the first seat is the driver's and taken, the others are empty")
        .advice("mass in every drive", "say who rides on the trips that you mean"),
    )
    .after("seat.*.above_ground"),
];
