//! Keys of the tyres.

use crownwheel::keys::unit::ONE;

use super::{KeyKind, KeyRow, key, number, row};

/// Letters of both rules; which of them a rule has is looked up when the class is read.
const CLASSES: &[&str] = &["A", "B", "C", "D", "E", "F", "G"];

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::TyreMark,
        key("tyres.size", "the mark on the side wall")
            .like("\"155/80 R13 79T\"")
            .required()
            .advice(
                "rolling radius: motor speed, pull, what the speedometer reads",
                "push the car some turns of a wheel, measure the way, and write it as [tyres] \
                 rolled",
            ),
    ),
    row(
        KeyKind::Choice(CLASSES),
        key("tyres.label_class", "class of rolling resistance on the EU label").like("\"E\""),
    )
    .after("tyres.rolling_resistance"),
    row(
        KeyKind::Choice(&["2020/740", "1222/2009"]),
        key(
            "tyres.label_rule",
            "regulation of the EU label: 2020/740 for labels since May 2021, 1222/2009 before",
        )
        .like("\"2020/740\"")
        .assumed("2020/740", "the rule in force")
        .advice(
            "which rolling resistance a class stands for",
            "a label with a QR code follows 2020/740",
        ),
    ),
    row(
        KeyKind::Choice(&["none", "rising"]),
        key(
            "tyres.speed_law",
            "how rolling resistance goes with speed: not at all, or rising with its square",
        )
        .like("\"rising\"")
        .assumed("none", "taken as constant with speed")
        .advice(
            "rolling resistance at high speed, most of cross-ply tyres",
            "coast down from high speed; `crownwheel coastdown` finds the part that grows \
             with speed",
        ),
    )
    .after("tyres.drum_to_road"),
    number(
        key("tyres.revolutions_per_mile", "turns of the wheel for a mile, the tyre maker's figure")
            .over(160.0, 3200.0, ONE)
            .like("914"),
    )
    .unsure()
    .after("tyres.revolutions_per_km"),
];
