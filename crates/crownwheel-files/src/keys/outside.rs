//! Keys of hills, days and measured facts.

use crownwheel::keys::unit::{KM, KM_PER_H, ONE, WH_PER_KM};

use super::{KeyKind, KeyRow, key, number, row};

/// How a choice is found out.
pub(super) const BY_THE_DRIVER: &str = "say what is meant";

/// A text that people are shown in place of a name.
const fn title(path: &'static str, title: &'static str, example: &'static str) -> KeyRow {
    row(KeyKind::Text, key(path, title).like(example))
}

pub(super) const ROWS: &[KeyRow] = &[
    title("supply.*.title", "what people are shown as the supply's name", "\"Garage, 10 A\""),
    title("hill.*.title", "what people are shown as the hill's name", "\"Up to the pass\""),
    title("day.*.title", "what people are shown as the day's name", "\"A frosty morning\""),
    title("demand.*.title", "what people are shown as the demand's name", "\"To work and back\""),
    number(
        key("speedometer.final_drive", "final drive that the speedometer belonged to")
            .over(0.1, 50.0, ONE)
            .like("4.22")
            .required(),
    ),
    row(
        KeyKind::TyreMark,
        key("speedometer.tyre_size", "tyres that the speedometer belonged to")
            .like("\"155/80 R13 79T\"")
            .required(),
    ),
    row(
        KeyKind::Choice(&["propeller shaft", "wheel"]),
        key("speedometer.driven_from", "what drives the speedometer")
            .like("\"propeller shaft\"")
            .assumed("propeller shaft", "the gearbox's output drives most old speedometers")
            .advice("what the speedometer reads", "follow its cable"),
    ),
    number(
        key("speedometer.pulses_per_turn", "pulses of a sender for a turn of the drive")
            .over(0.0, 1000.0, ONE)
            .like("6"),
    ),
    number(
        key("hill.*.length", "length of the hill")
            .over(0.0, 500.0, KM)
            .like("\"5.2 km\"")
            .required(),
    ),
    number(
        key("hill.*.grade", "rise over run of the hill")
            .from(-0.6, 0.6, ONE)
            .like("\"8 %\"")
            .required(),
    ),
    number(
        key("hill.*.speed", "speed on the hill")
            .over(0.0, 250.0, KM_PER_H)
            .like("\"60 km/h\"")
            .required(),
    ),
    row(
        KeyKind::Choice(&["dry", "wet", "ice", "rough"]),
        key("day.*.road", "state of the road")
            .like("\"wet\"")
            .assumed("dry", "no state is named")
            .advice("rolling resistance and grip", BY_THE_DRIVER),
    )
    .after("day.*.wind_height"),
    row(
        KeyKind::Cycle,
        key("measured.*.cycle", "measured fact: the cycle that was driven")
            .like("\"moor-round.csv\"")
            .required(),
    )
    .after("day.*.extra_load"),
    row(
        KeyKind::Text,
        key("measured.*.day", "measured fact: the day it was driven on")
            .like("\"mild\"")
            .required(),
    ),
    number(
        key("measured.*.use", "measured fact: energy used at the pack for a distance")
            .over(0.0, 2000.0, WH_PER_KM)
            .like("\"141 Wh/km ± 5 %\""),
    )
    .unsure(),
    number(
        key(
            "measured.*.wall",
            "measured fact: energy from the wall that put back what a distance took, \
             instead of use",
        )
        .over(0.0, 3000.0, WH_PER_KM)
        .like("\"168 Wh/km ± 5 %\""),
    )
    .unsure(),
];
