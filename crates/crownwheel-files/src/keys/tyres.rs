//! Keys of the tyres.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{Inertia, Length, Ratio};

const DRUM_TO_ROAD: &str = "1 for rolling_resistance, which holds on the road; 1.1 ± 0.15 for a \
label class, which holds on a smooth drum (engineering judgement)";

/// Letters of both rules; which of them a rule has is looked up when the class is read.
const CLASSES: &[&str] = &["A", "B", "C", "D", "E", "F", "G"];

pub(super) const ROWS: &[KeyRow] = &[
    row("tyres.size", "the mark on the side wall", KeyKind::TyreMark, "\"155/80 R13 79T\"")
        .required(),
    number(
        "tyres.rolling_resistance",
        "rolling resistance coefficient on a dry road at 20 °C",
        Ratio,
        over(0.0, 0.2, ""),
        "\"0.0115 ± 0.0015\"",
    )
    .knob(),
    row(
        "tyres.label_class",
        "class of rolling resistance on the EU label",
        KeyKind::Choice(CLASSES),
        "\"E\"",
    ),
    row(
        "tyres.label_rule",
        "regulation of the EU label: 2020/740 for labels since May 2021, 1222/2009 before",
        KeyKind::Choice(&["2020/740", "1222/2009"]),
        "\"2020/740\"",
    )
    .assumed("2020/740", "the rule in force"),
    number(
        "tyres.drum_to_road",
        "factor from the coefficient as given to the road",
        Ratio,
        from(0.5, 3.0, ""),
        "\"1.1 ± 0.15\"",
    )
    .derived(DRUM_TO_ROAD)
    .knob(),
    row(
        "tyres.speed_law",
        "how rolling resistance goes with speed: not at all, or rising with its square",
        KeyKind::Choice(&["none", "rising"]),
        "\"rising\"",
    )
    .assumed("none", "taken as constant with speed"),
    number(
        "tyres.rolling_rise",
        "relative rise of rolling resistance for each (m/s) squared, instead of speed_law",
        Ratio,
        from(0.0, 0.01, ""),
        "\"4e-5 ± 50 %\"",
    )
    .knob(),
    number(
        "tyres.rolled.turns",
        "turns of a driven wheel while the car was pushed",
        Ratio,
        over(0.0, 10_000.0, ""),
        "5",
    )
    .required(),
    number(
        "tyres.rolled.distance",
        "distance that the car was pushed",
        Length,
        over(0.0, 100.0, "km"),
        "\"8.80 m\"",
    )
    .required()
    .knob(),
    number(
        "tyres.revolutions_per_km",
        "turns of the wheel for a kilometre, the tyre maker's figure",
        Ratio,
        over(100.0, 2000.0, ""),
        "568",
    )
    .knob(),
    number(
        "tyres.revolutions_per_mile",
        "turns of the wheel for a mile, the tyre maker's figure",
        Ratio,
        over(160.0, 3200.0, ""),
        "914",
    )
    .unsure(),
    number(
        "tyres.wheel_inertia",
        "moment of inertia of one wheel with tyre and brake",
        Inertia,
        from(0.0, 50.0, "kg m2"),
        "\"0.62 kg m2\"",
    )
    .assumed(
        "0.65 kg m2 ± 30 %",
        "engineering judgement: 12 kg at four fifths of the rolling radius",
    )
    .knob(),
    number(
        "tyres.grip.dry",
        "greatest tractive force over wheel load on a dry road",
        Ratio,
        from(0.01, 2.0, ""),
        "0.8",
    )
    .assumed("0.8 ± 0.1", JUDGEMENT)
    .knob(),
    number(
        "tyres.grip.wet",
        "greatest tractive force over wheel load on a wet road",
        Ratio,
        from(0.01, 2.0, ""),
        "0.55",
    )
    .assumed("0.55 ± 0.1", JUDGEMENT)
    .knob(),
    number(
        "tyres.grip.ice",
        "greatest tractive force over wheel load on ice",
        Ratio,
        from(0.01, 2.0, ""),
        "0.15",
    )
    .assumed("0.15 ± 0.05", JUDGEMENT)
    .knob(),
];
