//! Keys of the driveline: reduction or gearbox, axle, oil.

use crownwheel::usual::GEAR_KINDS;

use super::{KeyKind, KeyRow, key, row};

/// What a gear stage may be.
const GEARS: &[&str] = &GEAR_KINDS;
/// What the gears of a gearbox may be.
const GEARBOX_GEARS: &[&str] = &["helical", "spur", "planetary"];

const CASING: &str = "the maker's sheet, the tag or the workshop manual says it";

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::Choice(GEARS),
        key("driveline.reduction.kind", "kind of gear of the reduction")
            .like("\"helical\"")
            .assumed("helical", "most reduction gears are helical")
            .advice("which efficiency and drag are assumed", CASING),
    )
    .after("driveline.reduction.ratio"),
    row(
        KeyKind::Ratios,
        key(
            "driveline.gearbox.gears",
            "ratios of the gearbox that stays in the car, from first gear to top",
        )
        .like("[3.64, 2.16, 1.48, 1.0]")
        .required(),
    )
    .after("driveline.reduction.max_speed"),
    row(
        KeyKind::Gear,
        key(
            "driveline.gearbox.gear",
            "the gear that the car stays in, counted from 1, or the one that takes least \
             from the pack",
        )
        .like("\"best\"")
        .required(),
    ),
    row(
        KeyKind::Choice(GEARBOX_GEARS),
        key("driveline.gearbox.kind", "kind of gear of the gearbox")
            .like("\"helical\"")
            .assumed("helical", "most gearboxes are helical")
            .advice("which efficiency and drag are assumed", CASING),
    )
    .after("driveline.gearbox.shift_time"),
    row(
        KeyKind::Choice(GEARS),
        key("driveline.axle.kind", "kind of gear of the final drive")
            .like("\"hypoid\"")
            .assumed("hypoid", "most rear axles since 1950 are hypoid")
            .advice("which efficiency and drag are assumed", CASING),
    )
    .after("driveline.axle.ratio"),
];
