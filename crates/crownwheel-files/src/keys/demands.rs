//! Keys of what the car must do.

use super::{KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{Length, Mass, Ratio, ShaftSpeed, Speed, Time};

/// Who is aboard, in the words of `crownwheel weigh`.
const CASES: &[&str] = &["converted, empty", "driver only", "every seat filled", "at gross"];
const FIRST_DAY: &str = "the first day of the build";

pub(super) const ROWS: &[KeyRow] = &[
    row("demand.*.range.cycle", "demand on range: the cycle", KeyKind::Cycle, "\"udds\"")
        .required(),
    row("demand.*.range.day", "demand on range: the day", KeyKind::Text, "\"winter\"").required(),
    number(
        "demand.*.range.at_least",
        "demand on range: the shortest that will do",
        Length,
        over(0.0, 5000.0, "km"),
        "\"85 km\"",
    )
    .required(),
    row(
        "demand.*.range.following",
        "demand on range: the car must keep up with the cycle so far; false: the distance to empty counts",
        KeyKind::Flag,
        "false",
    ),
    number(
        "demand.*.range.sure",
        "demand on range: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    number(
        "demand.*.cruise.speed",
        "demand on cruising: the speed",
        Speed,
        over(0.0, 300.0, "km/h"),
        "\"112 km/h\"",
    )
    .required(),
    number(
        "demand.*.cruise.motor_speed_at_most",
        "demand on cruising: highest motor speed",
        ShaftSpeed,
        over(0.0, 60_000.0, "rpm"),
        "\"7000 rpm\"",
    ),
    number(
        "demand.*.cruise.minutes_at_least",
        "demand on cruising: minutes without cut-back",
        Ratio,
        over(0.0, 1440.0, ""),
        "30",
    ),
    row("demand.*.cruise.day", "demand on cruising: the day", KeyKind::Text, "\"winter\"")
        .derived(FIRST_DAY),
    number(
        "demand.*.cruise.sure",
        "demand on cruising: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    row(
        "demand.*.hill.named",
        "demand on a hill: one of the [hill.NAME] tables, from foot to top at its speed",
        KeyKind::Text,
        "\"moor_bank\"",
    ),
    number(
        "demand.*.hill.speed",
        "demand on a hill: the speed, without named",
        Speed,
        over(0.0, 250.0, "km/h"),
        "\"60 km/h\"",
    ),
    number(
        "demand.*.hill.at_least",
        "demand on a hill: the steepest grade held at that speed",
        Ratio,
        over(0.0, 0.6, ""),
        "\"8 %\"",
    ),
    number(
        "demand.*.hill.minutes_at_least",
        "demand on a hill: minutes on that grade without cut-back",
        Ratio,
        over(0.0, 1440.0, ""),
        "5",
    ),
    row("demand.*.hill.day", "demand on a hill: the day", KeyKind::Text, "\"winter\"")
        .derived(FIRST_DAY),
    number(
        "demand.*.hill.sure",
        "demand on a hill: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    number(
        "demand.*.start.at_least",
        "demand on starting: the steepest grade that it starts on",
        Ratio,
        over(0.0, 0.6, ""),
        "\"20 %\"",
    )
    .required(),
    row("demand.*.start.day", "demand on starting: the day", KeyKind::Text, "\"winter\"")
        .derived(FIRST_DAY),
    number(
        "demand.*.start.sure",
        "demand on starting: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    number(
        "demand.*.time.from",
        "demand on a time at full throttle: speed at its start",
        Speed,
        from(0.0, 250.0, "km/h"),
        "\"0 km/h\"",
    ),
    number(
        "demand.*.time.to",
        "demand on a time at full throttle: speed at its end",
        Speed,
        over(0.0, 300.0, "km/h"),
        "\"80 km/h\"",
    )
    .required(),
    number(
        "demand.*.time.at_most",
        "demand on a time at full throttle: the longest that will do",
        Time,
        over(0.0, 600.0, "s"),
        "\"20 s\"",
    )
    .required(),
    row(
        "demand.*.time.day",
        "demand on a time at full throttle: the day",
        KeyKind::Text,
        "\"winter\"",
    )
    .derived(FIRST_DAY),
    number(
        "demand.*.time.sure",
        "demand on a time at full throttle: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    row(
        "demand.*.axle_load.axle",
        "demand on an axle load: which axle",
        KeyKind::Choice(&["front", "rear"]),
        "\"rear\"",
    )
    .required(),
    row(
        "demand.*.axle_load.case",
        "demand on an axle load: who is aboard",
        KeyKind::Choice(CASES),
        "\"at gross\"",
    )
    .assumed("every seat filled", "a car is built for its seats"),
    number(
        "demand.*.axle_load.at_most",
        "demand on an axle load: the highest that will do",
        Mass,
        over(0.0, 10_000.0, "kg"),
        "\"660 kg\"",
    )
    .derived("what the plate says of that axle"),
    number(
        "demand.*.axle_load.sure",
        "demand on an axle load: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    row(
        "demand.*.charge_time.supply",
        "demand on charging: one of the [supply.NAME] tables",
        KeyKind::Text,
        "\"garage\"",
    )
    .required(),
    number(
        "demand.*.charge_time.from",
        "demand on charging: state of charge at the start",
        Ratio,
        from(0.0, 1.0, ""),
        "\"10 %\"",
    )
    .derived("the floor of the usable part"),
    number(
        "demand.*.charge_time.to",
        "demand on charging: state of charge at the end",
        Ratio,
        over(0.0, 1.0, ""),
        "\"90 %\"",
    )
    .derived("the top of the usable part"),
    number(
        "demand.*.charge_time.at_most",
        "demand on charging: the longest that will do",
        Time,
        over(0.0, 240.0, "h"),
        "\"8 h\"",
    )
    .required(),
    row("demand.*.charge_time.day", "demand on charging: the day", KeyKind::Text, "\"winter\"")
        .derived(FIRST_DAY),
    number(
        "demand.*.charge_time.sure",
        "demand on charging: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    number(
        "demand.*.price.at_most",
        "demand on the price of a sweep's choices: the highest, in its currency",
        Ratio,
        from(0.0, 1e9, ""),
        "4000",
    )
    .required(),
    number(
        "demand.*.price.sure",
        "demand on the price: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
    row(
        "demand.*.mass.case",
        "demand on mass: who is aboard",
        KeyKind::Choice(CASES),
        "\"driver only\"",
    )
    .assumed("driver only", "as it is driven"),
    number(
        "demand.*.mass.at_most",
        "demand on mass: the highest that will do",
        Mass,
        over(0.0, 20_000.0, "kg"),
        "\"920 kg\"",
    )
    .required(),
    number(
        "demand.*.mass.sure",
        "demand on mass: how sure it must be",
        Ratio,
        over(0.0, 1.0, ""),
        "0.9",
    ),
];
