//! Keys of the driveline: reduction or gearbox, axle, oil.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{Conductance, Ratio, ShaftSpeed, Time, Torque};

/// What a gear stage may be.
const GEARS: &[&str] = &["hypoid", "spiral bevel", "worm", "helical", "spur", "planetary", "belt"];
/// What the gears of a gearbox may be.
const GEARBOX_GEARS: &[&str] = &["helical", "spur", "planetary"];
const BY_KIND: &str = "by the kind of gear (engineering judgement)";

pub(super) const ROWS: &[KeyRow] = &[
    number(
        "driveline.reduction.ratio",
        "reduction between motor and propeller shaft: input speed over output speed",
        Ratio,
        from(0.05, 50.0, ""),
        "1.50",
    )
    .required()
    .knob(),
    row(
        "driveline.reduction.kind",
        "kind of gear of the reduction",
        KeyKind::Choice(GEARS),
        "\"helical\"",
    )
    .assumed("helical", "most reduction gears are helical"),
    number(
        "driveline.reduction.efficiency",
        "1 less the share of the entering power lost by load",
        Ratio,
        over(0.3, 1.0, ""),
        "\"0.98 ± 0.01\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.reduction.drag_torque",
        "drag torque at the input shaft without load, at drag_at and 80 °C oil",
        Torque,
        from(0.0, 100.0, "N m"),
        "\"0.4 N m ± 50 %\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.reduction.drag_at",
        "input shaft speed that the drag torque holds at",
        ShaftSpeed,
        over(0.0, 30_000.0, "rpm"),
        "\"3000 rpm\"",
    )
    .assumed("3000 rpm", "the speed that the assumed drag torques hold at"),
    number(
        "driveline.reduction.max_torque",
        "highest torque at the input shaft by its maker",
        Torque,
        over(0.0, 10_000.0, "N m"),
        "\"180 N m\"",
    ),
    number(
        "driveline.reduction.max_speed",
        "highest speed of the input shaft by its maker",
        ShaftSpeed,
        over(0.0, 60_000.0, "rpm"),
        "\"7000 rpm\"",
    ),
    row(
        "driveline.gearbox.gears",
        "ratios of the gearbox that stays in the car, from first gear to top",
        KeyKind::Ratios,
        "[3.64, 2.16, 1.48, 1.0]",
    )
    .required(),
    row(
        "driveline.gearbox.gear",
        "the gear that the car stays in, counted from 1, or the one that takes least from the pack",
        KeyKind::Gear,
        "\"best\"",
    )
    .required(),
    number(
        "driveline.gearbox.dwell",
        "with gear = \"best\": shortest time in a gear",
        Time,
        from(0.0, 60.0, "s"),
        "\"4 s\"",
    )
    .assumed("4 s ± 2 s", JUDGEMENT)
    .knob(),
    number(
        "driveline.gearbox.shift_time",
        "with gear = \"best\": time without drive while shifting at full throttle",
        Time,
        from(0.0, 5.0, "s"),
        "\"0.6 s\"",
    )
    .assumed("0.6 s ± 0.2 s", "engineering judgement: a brisk hand shift")
    .knob(),
    row(
        "driveline.gearbox.kind",
        "kind of gear of the gearbox",
        KeyKind::Choice(GEARBOX_GEARS),
        "\"helical\"",
    )
    .assumed("helical", "most gearboxes are helical"),
    number(
        "driveline.gearbox.efficiency",
        "1 less the share of the entering power lost by load",
        Ratio,
        over(0.3, 1.0, ""),
        "\"0.98 ± 0.01\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.gearbox.drag_torque",
        "drag torque at the input shaft without load, at drag_at and 80 °C oil",
        Torque,
        from(0.0, 100.0, "N m"),
        "\"0.4 N m ± 50 %\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.gearbox.drag_at",
        "input shaft speed that the drag torque holds at",
        ShaftSpeed,
        over(0.0, 30_000.0, "rpm"),
        "\"3000 rpm\"",
    )
    .assumed("3000 rpm", "the speed that the assumed drag torques hold at"),
    number(
        "driveline.gearbox.max_torque",
        "highest torque at the input shaft by its maker",
        Torque,
        over(0.0, 10_000.0, "N m"),
        "\"180 N m\"",
    ),
    number(
        "driveline.gearbox.max_speed",
        "highest speed of the input shaft by its maker",
        ShaftSpeed,
        over(0.0, 60_000.0, "rpm"),
        "\"7000 rpm\"",
    ),
    number(
        "driveline.axle.ratio",
        "final drive ratio: input speed over output speed",
        Ratio,
        from(0.05, 50.0, ""),
        "4.22",
    )
    .required()
    .knob(),
    row(
        "driveline.axle.kind",
        "kind of gear of the final drive",
        KeyKind::Choice(GEARS),
        "\"hypoid\"",
    )
    .assumed("hypoid", "most rear axles since 1950 are hypoid"),
    number(
        "driveline.axle.efficiency",
        "1 less the share of the entering power lost by load",
        Ratio,
        over(0.3, 1.0, ""),
        "\"0.96 ± 0.01\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.axle.drag_torque",
        "drag torque at the input shaft without load, at drag_at and 80 °C oil",
        Torque,
        from(0.0, 100.0, "N m"),
        "\"1.2 N m ± 40 %\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.axle.drag_at",
        "input shaft speed that the drag torque holds at",
        ShaftSpeed,
        over(0.0, 30_000.0, "rpm"),
        "\"3000 rpm\"",
    )
    .assumed("3000 rpm", "the speed that the assumed drag torques hold at"),
    number(
        "driveline.axle.max_torque",
        "highest torque at the input shaft by its maker",
        Torque,
        over(0.0, 10_000.0, "N m"),
        "\"180 N m\"",
    ),
    number(
        "driveline.axle.max_speed",
        "highest speed of the input shaft by its maker",
        ShaftSpeed,
        over(0.0, 60_000.0, "rpm"),
        "\"7000 rpm\"",
    ),
    number(
        "driveline.oil_viscosity_exponent",
        "exponent of oil viscosity in the drag torque",
        Ratio,
        from(0.0, 1.0, ""),
        "\"0.33 ± 0.1\"",
    )
    .assumed("0.33 ± 0.1", JUDGEMENT)
    .knob(),
    number(
        "driveline.oil_time_constant",
        "time constant of a casing's warming at 50 km/h",
        Time,
        from(1.0, 600.0, "min"),
        "\"25 min\"",
    )
    .assumed("25 min ± 5 min", "engineering judgement: 20 to 30 minutes")
    .knob(),
    number(
        "driveline.oil_conductance",
        "heat that each casing (reduction or gearbox, axle) gives off at 50 km/h for each kelvin above the air",
        Conductance,
        over(0.0, 1000.0, "W/K"),
        "\"10 W/K\"",
    )
    .assumed("10 W/K ± 40 %", JUDGEMENT)
    .knob(),
];
