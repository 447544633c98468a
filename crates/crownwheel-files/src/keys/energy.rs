//! Keys of regeneration, the 12 V side and charging.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{Power, Ratio, Speed};

pub(super) const ROWS: &[KeyRow] = &[
    number(
        "regen.share",
        "share of the braking force that the motor takes, within its limits",
        Ratio,
        from(0.0, 1.0, ""),
        "0.6",
    )
    .assumed("0.5 ± 0.2", JUDGEMENT)
    .knob(),
    number(
        "regen.fade_out_below",
        "speed below which regeneration fades to nothing",
        Speed,
        over(0.0, 60.0, "km/h"),
        "\"8 km/h\"",
    )
    .assumed("8 km/h ± 3 km/h", JUDGEMENT)
    .knob(),
    number(
        "dcdc.efficiency",
        "power out over power in of the DC-DC converter",
        Ratio,
        over(0.3, 1.0, ""),
        "0.90",
    )
    .assumed("0.90 ± 0.03", JUDGEMENT)
    .knob(),
    number(
        "dcdc.max",
        "highest power out of the DC-DC converter",
        Power,
        over(0.0, 50.0, "kW"),
        "\"1.2 kW\"",
    )
    .knob(),
    number(
        "load.*.power",
        "power of a standing load while on",
        Power,
        from(0.0, 100.0, "kW"),
        "\"180 W\"",
    )
    .required()
    .knob(),
    row(
        "load.*.side",
        "where the load is connected",
        KeyKind::Choice(&["12 V", "traction"]),
        "\"12 V\"",
    )
    .assumed("12 V", "most loads of a car are"),
    number(
        "load.*.duty",
        "share of the time that the load is on",
        Ratio,
        from(0.0, 1.0, ""),
        "1.0",
    )
    .assumed("1", "always on")
    .knob(),
    number(
        "charger.power",
        "highest power of the on-board charger into the pack",
        Power,
        over(0.0, 1000.0, "kW"),
        "\"5.0 kW\"",
    )
    .assumed("3.3 kW", "a usual size; it does not change use or range")
    .knob(),
    number(
        "charger.efficiency",
        "power into the pack over power from the wall",
        Ratio,
        over(0.3, 1.0, ""),
        "0.92",
    )
    .assumed("0.90 ± 0.04", JUDGEMENT)
    .knob(),
    row(
        "supply.*.limit",
        "what a supply can give: a power, or a voltage times a current",
        KeyKind::PowerLimit,
        "\"230 V x 10 A\"",
    )
    .required(),
];
