//! Keys of regeneration, the 12 V side and charging.

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
        KeyKind::PowerLimit,
        key("supply.*.limit", "what a supply can give: a power, or a voltage times a current")
            .like("\"230 V x 10 A\"")
            .required(),
    )
    .after("charger.efficiency"),
];
