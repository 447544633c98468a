//! Keys of what the car must do.

use crownwheel::keys::unit::{H, KG, KM, KM_PER_H, ONE, RPM, S};

use super::outside::BY_THE_DRIVER;
use super::{KeyKind, KeyRow, key, number, row};

/// Who is aboard, in the words of `crownwheel weigh`.
const CASES: &[&str] = &["converted, empty", "driver only", "every seat filled", "at gross"];
const FIRST_DAY: &str = "the first day of the build";

const WHICH_DAY: &str = "when the demand holds";

const fn day(path: &'static str, title: &'static str) -> KeyRow {
    let key = key(path, title).like("\"winter\"").derived(FIRST_DAY);
    row(KeyKind::Text, key.advice(WHICH_DAY, BY_THE_DRIVER))
}

const fn sure(path: &'static str, title: &'static str) -> KeyRow {
    number(key(path, title).over(0.0, 1.0, ONE).like("0.9"))
}

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::Cycle,
        key("demand.*.range.cycle", "demand on range: the cycle").like("\"udds\"").required(),
    ),
    row(
        KeyKind::Text,
        key("demand.*.range.day", "demand on range: the day")
            .like("\"winter\"")
            .required()
            .advice(WHICH_DAY, BY_THE_DRIVER),
    ),
    number(
        key("demand.*.range.at_least", "demand on range: the shortest that will do")
            .over(0.0, 5000.0, KM)
            .like("\"85 km\"")
            .required(),
    ),
    row(
        KeyKind::Flag,
        key(
            "demand.*.range.following",
            "demand on range: the car must keep up with the cycle so far; false: the \
             distance to empty counts",
        )
        .like("false"),
    ),
    sure("demand.*.range.sure", "demand on range: how sure it must be"),
    number(
        key("demand.*.cruise.speed", "demand on cruising: the speed")
            .over(0.0, 300.0, KM_PER_H)
            .like("\"112 km/h\"")
            .required(),
    ),
    number(
        key("demand.*.cruise.motor_speed_at_most", "demand on cruising: highest motor speed")
            .over(0.0, 60_000.0, RPM)
            .like("\"7000 rpm\""),
    ),
    number(
        key("demand.*.cruise.minutes_at_least", "demand on cruising: minutes without cut-back")
            .over(0.0, 1440.0, ONE)
            .like("30"),
    ),
    day("demand.*.cruise.day", "demand on cruising: the day"),
    sure("demand.*.cruise.sure", "demand on cruising: how sure it must be"),
    row(
        KeyKind::Text,
        key(
            "demand.*.hill.named",
            "demand on a hill: one of the [hill.NAME] tables, from foot to top at its speed",
        )
        .like("\"moor_bank\""),
    ),
    number(
        key("demand.*.hill.speed", "demand on a hill: the speed, without named")
            .over(0.0, 250.0, KM_PER_H)
            .like("\"60 km/h\""),
    ),
    number(
        key("demand.*.hill.at_least", "demand on a hill: the steepest grade held at that speed")
            .over(0.0, 0.6, ONE)
            .like("\"8 %\""),
    ),
    number(
        key(
            "demand.*.hill.minutes_at_least",
            "demand on a hill: minutes on that grade without cut-back",
        )
        .over(0.0, 1440.0, ONE)
        .like("5"),
    ),
    day("demand.*.hill.day", "demand on a hill: the day"),
    sure("demand.*.hill.sure", "demand on a hill: how sure it must be"),
    number(
        key("demand.*.start.at_least", "demand on starting: the steepest grade that it starts on")
            .over(0.0, 0.6, ONE)
            .like("\"20 %\"")
            .required(),
    ),
    day("demand.*.start.day", "demand on starting: the day"),
    sure("demand.*.start.sure", "demand on starting: how sure it must be"),
    number(
        key("demand.*.time.from", "demand on a time at full throttle: speed at its start")
            .from(0.0, 250.0, KM_PER_H)
            .like("\"0 km/h\""),
    ),
    number(
        key("demand.*.time.to", "demand on a time at full throttle: speed at its end")
            .over(0.0, 300.0, KM_PER_H)
            .like("\"80 km/h\"")
            .required(),
    ),
    number(
        key("demand.*.time.at_most", "demand on a time at full throttle: the longest that will do")
            .over(0.0, 600.0, S)
            .like("\"20 s\"")
            .required(),
    ),
    day("demand.*.time.day", "demand on a time at full throttle: the day"),
    sure("demand.*.time.sure", "demand on a time at full throttle: how sure it must be"),
    row(
        KeyKind::Choice(&["front", "rear"]),
        key("demand.*.axle_load.axle", "demand on an axle load: which axle")
            .like("\"rear\"")
            .required(),
    ),
    row(
        KeyKind::Choice(CASES),
        key("demand.*.axle_load.case", "demand on an axle load: who is aboard")
            .like("\"at gross\"")
            .assumed("every seat filled", "a car is built for its seats")
            .advice(WHICH_DAY, BY_THE_DRIVER),
    ),
    number(
        key("demand.*.axle_load.at_most", "demand on an axle load: the highest that will do")
            .over(0.0, 10_000.0, KG)
            .like("\"660 kg\"")
            .derived("what the plate says of that axle")
            .advice("when the demand holds", "the plate, or your own limit"),
    ),
    sure("demand.*.axle_load.sure", "demand on an axle load: how sure it must be"),
    row(
        KeyKind::Text,
        key("demand.*.charge_time.supply", "demand on charging: one of the [supply.NAME] tables")
            .like("\"garage\"")
            .required()
            .advice("when the demand holds", BY_THE_DRIVER),
    ),
    number(
        key("demand.*.charge_time.from", "demand on charging: state of charge at the start")
            .from(0.0, 1.0, ONE)
            .like("\"10 %\"")
            .derived("the floor of the usable part")
            .advice("when the demand holds", BY_THE_DRIVER),
    ),
    number(
        key("demand.*.charge_time.to", "demand on charging: state of charge at the end")
            .over(0.0, 1.0, ONE)
            .like("\"90 %\"")
            .derived("the top of the usable part")
            .advice("when the demand holds", BY_THE_DRIVER),
    ),
    number(
        key("demand.*.charge_time.at_most", "demand on charging: the longest that will do")
            .over(0.0, 240.0, H)
            .like("\"8 h\"")
            .required()
            .advice("when the demand holds", BY_THE_DRIVER),
    ),
    day("demand.*.charge_time.day", "demand on charging: the day"),
    number(
        key("demand.*.charge_time.sure", "demand on charging: how sure it must be")
            .over(0.0, 1.0, ONE)
            .like("0.9")
            .advice("when the demand holds", BY_THE_DRIVER),
    ),
    number(
        key(
            "demand.*.price.at_most",
            "demand on the price of a sweep's choices: the highest, in its currency",
        )
        .from(0.0, 1e9, ONE)
        .like("4000")
        .required(),
    ),
    sure("demand.*.price.sure", "demand on the price: how sure it must be"),
    row(
        KeyKind::Choice(CASES),
        key("demand.*.mass.case", "demand on mass: who is aboard")
            .like("\"driver only\"")
            .assumed("driver only", "as it is driven")
            .advice(WHICH_DAY, BY_THE_DRIVER),
    ),
    number(
        key("demand.*.mass.at_most", "demand on mass: the highest that will do")
            .over(0.0, 20_000.0, KG)
            .like("\"920 kg\"")
            .required(),
    ),
    sure("demand.*.mass.sure", "demand on mass: how sure it must be"),
];
