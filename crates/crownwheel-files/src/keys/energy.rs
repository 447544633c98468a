//! Keys of regeneration, the 12 V side and charging.

use super::outside::BY_THE_DRIVER;
use super::{KeyKind, KeyRow, key, row};

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::Choice(&["12 V", "traction"]),
        key("load.*.side", "where the load is connected")
            .like("\"12 V\"")
            .assumed("12 V", "most loads of a car are")
            .advice("whether the DC-DC converter's loss is added", "follow the wire"),
    )
    .after("load.*.power"),
    row(
        KeyKind::Words(&[]),
        key("load.*.days", "names of the days that a standing load is on").like("[\"winter\"]"),
    )
    .after("load.*.duty"),
    row(
        KeyKind::Choice(&["resistance", "heat pump", "none"]),
        key("cabin.kind", "what heats the cabin")
            .like("\"resistance\"")
            .assumed("resistance", "an electric heater in place of the engine's heat")
            .advice("range in winter: the heater", BY_THE_DRIVER),
    )
    .after("load.*.only_below"),
    row(
        KeyKind::PowerLimit,
        key("supply.*.limit", "what a supply can give: a power, or a voltage times a current")
            .like("\"230 V x 10 A\"")
            .required(),
    )
    .after("charger.efficiency"),
];
