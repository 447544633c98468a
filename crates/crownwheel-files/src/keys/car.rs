//! Keys of the car itself: geometry and road load.

use crownwheel::keys::unit::{KM_PER_H, KW, ONE};

use super::{KeyKind, KeyRow, key, number, row};

const LIVE_AXLE: &str = "a driven rear axle of a classic car is taken as a live axle, a driven front \
axle is not";

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::Text,
        key("car.name", "what the car is called").like("\"Dunlin 1100 saloon, 1967\"").required(),
    ),
    row(
        KeyKind::Text,
        key("car.title", "what people are shown as the car's name").like("\"Aunt Vera's saloon\""),
    ),
    row(
        KeyKind::Choice(&["front", "rear"]),
        key("car.driven_axle", "the axle that the motor drives").like("\"rear\"").required(),
    ),
    row(
        KeyKind::Choice(&["open", "locked"]),
        key("car.differential", "how the driven wheels share torque")
            .like("\"open\"")
            .assumed("open", "most cars have an open differential")
            .advice(
                "starting where one wheel slips first",
                "driven wheels in the air, turn one by hand: if the other turns backwards it \
                 is open",
            ),
    ),
    row(
        KeyKind::Flag,
        key("car.live_axle", "the driven axle is a live (beam) axle")
            .like("true")
            .derived(LIVE_AXLE)
            .advice(
                "which driven wheel the motor's torque takes load off",
                "look below: a beam from wheel to wheel is a live axle",
            ),
    ),
    row(
        KeyKind::Flag,
        key("car.power_steering", "the car had power steering, which the engine drove")
            .like("true")
            .assumed("false", "few cars of the time had it")
            .advice(
                "a warning: without the engine its pump stands still",
                "look for a pump on the engine's belt",
            ),
    ),
    number(
        key(
            "car.drag_area.from_top_speed",
            "drag area by what the car did in its day: its top speed on the flat",
        )
        .over(20.0, 400.0, KM_PER_H)
        .like("\"129 km/h\"")
        .required(),
    )
    .after("car.drag_area"),
    number(
        key(
            "car.drag_area.at_power",
            "drag area by what the car did in its day: power of the engine at that speed",
        )
        .over(0.0, 1000.0, KW)
        .like("\"43 kW\"")
        .required(),
    ),
    number(
        key(
            "car.drag_area.driveline",
            "drag area by what the car did in its day: share of the power that reached the \
             wheels",
        )
        .over(0.5, 1.0, ONE)
        .like("0.88")
        .assumed("0.88", "engineering judgement: gearbox, axle and tyre slip together")
        .advice(
            "the drag area, where it is worked out from top speed and power",
            "coast down on a quiet, level road and give the log to `crownwheel coastdown`",
        ),
    ),
    row(
        KeyKind::Words(&["axle", "gearbox", "motor"]),
        key("car.road_load.turning", "coast-down: what turned with the wheels")
            .like("[\"axle\", \"gearbox\"]")
            .required(),
    )
    .after("car.road_load.pressure"),
    row(
        KeyKind::Choice(&["rollers", "track", "road"]),
        key("car.road_load.measured_on", "coast-down: what the car ran on").like("\"rollers\""),
    ),
];
