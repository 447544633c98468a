//! Keys of the car itself: geometry and road load.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{
    Area, Force, ForcePerSpeed, ForcePerSpeedSquared, Length, Mass, Power, Pressure, Ratio, Speed,
    Temperature,
};

const HEIGHT: &str = "0.54 m ± 0.06 m (engineering judgement: usual range of saloons), or from \
axle_lift";
const LIVE_AXLE: &str = "a driven rear axle of a classic car is taken as a live axle, a driven \
front axle is not";
pub(super) const ROWS: &[KeyRow] = &[
    row("car.name", "what the car is called", KeyKind::Text, "\"Dunlin 1100 saloon, 1967\"")
        .required(),
    row(
        "car.driven_axle",
        "the axle that the motor drives",
        KeyKind::Choice(&["front", "rear"]),
        "\"rear\"",
    )
    .required(),
    row(
        "car.differential",
        "how the driven wheels share torque",
        KeyKind::Choice(&["open", "locked"]),
        "\"open\"",
    )
    .assumed("open", "most cars have an open differential"),
    row("car.live_axle", "the driven axle is a live (beam) axle", KeyKind::Flag, "true")
        .derived(LIVE_AXLE),
    row(
        "car.power_steering",
        "the car had power steering, which the engine drove",
        KeyKind::Flag,
        "true",
    )
    .assumed("false", "few cars of the time had it"),
    number(
        "car.wheelbase",
        "distance between the axles",
        Length,
        over(0.5, 6.0, "m"),
        "\"2.32 m\"",
    )
    .required()
    .knob(),
    number(
        "car.track",
        "distance between the wheels of an axle, both axles alike",
        Length,
        over(0.5, 3.0, "m"),
        "\"1.21 m\"",
    )
    .knob(),
    number(
        "car.track_front",
        "distance between the front wheels",
        Length,
        over(0.5, 3.0, "m"),
        "\"1.23 m\"",
    )
    .knob(),
    number(
        "car.track_rear",
        "distance between the rear wheels",
        Length,
        over(0.5, 3.0, "m"),
        "\"1.19 m\"",
    )
    .knob(),
    number(
        "car.centre_of_gravity_height",
        "height of the centre of gravity of the car on the scales",
        Length,
        from(0.1, 2.0, "m"),
        "\"0.52 m ± 0.03 m\"",
    )
    .derived(HEIGHT)
    .knob(),
    number(
        "car.front_roll_share",
        "share of the roll stiffness at the front axle",
        Ratio,
        from(0.0, 1.0, ""),
        "0.55",
    )
    .knob(),
    number(
        "car.drag_coefficient",
        "drag coefficient, with frontal_area",
        Ratio,
        over(0.0, 2.0, ""),
        "\"0.43 ± 0.03\"",
    )
    .knob(),
    number(
        "car.frontal_area",
        "frontal area, with drag_coefficient",
        Area,
        over(0.0, 20.0, "m2"),
        "\"1.66 m2 ± 0.05 m2\"",
    )
    .knob(),
    number(
        "car.drag_area",
        "drag coefficient times frontal area, instead of the two",
        Area,
        over(0.0, 20.0, "m2"),
        "\"0.71 m2 ± 0.05 m2\"",
    )
    .knob(),
    number(
        "car.drag_area.from_top_speed",
        "drag area by what the car did in its day: its top speed on the flat",
        Speed,
        over(20.0, 400.0, "km/h"),
        "\"129 km/h\"",
    )
    .required(),
    number(
        "car.drag_area.at_power",
        "drag area by what the car did in its day: power of the engine at that speed",
        Power,
        over(0.0, 1000.0, "kW"),
        "\"43 kW\"",
    )
    .required(),
    number(
        "car.drag_area.driveline",
        "drag area by what the car did in its day: share of the power that reached the wheels",
        Ratio,
        over(0.5, 1.0, ""),
        "0.88",
    )
    .assumed("0.88", "engineering judgement: gearbox, axle and tyre slip together"),
    number(
        "car.drag_rise_with_yaw",
        "relative rise of the drag area with air from 10 degrees to the side",
        Ratio,
        from(0.0, 1.0, ""),
        "\"0.05 ± 0.05\"",
    )
    .assumed("0.05 ± 0.05", JUDGEMENT)
    .knob(),
    number(
        "car.brake_drag",
        "constant force of dragging brakes and wheel bearings",
        Force,
        from(0.0, 2000.0, "N"),
        "\"15 N ± 10 N\"",
    )
    .assumed("15 N ± 10 N", JUDGEMENT)
    .knob(),
    number(
        "car.road_load.f0",
        "coast-down: constant part of the road load",
        Force,
        from(0.0, 10_000.0, "N"),
        "\"110 N\"",
    )
    .required()
    .knob(),
    number(
        "car.road_load.f1",
        "coast-down: part that grows with speed",
        ForcePerSpeed,
        from(-500.0, 500.0, "N/(m/s)"),
        "\"0.5 N/(m/s)\"",
    )
    .required()
    .knob(),
    number(
        "car.road_load.f2",
        "coast-down: part that grows with speed squared",
        ForcePerSpeedSquared,
        from(0.0, 50.0, "N/(m/s)^2"),
        "\"0.43 N/(m/s)^2\"",
    )
    .required()
    .knob(),
    number(
        "car.road_load.mass",
        "coast-down: mass of the car during the runs",
        Mass,
        over(100.0, 20_000.0, "kg"),
        "\"905 kg\"",
    )
    .required(),
    number(
        "car.road_load.temperature",
        "coast-down: air temperature that the coefficients hold for",
        Temperature,
        from(-40.0, 60.0, "°C"),
        "\"20 °C\"",
    )
    .assumed("20 °C", "reference air of coast-down standards"),
    number(
        "car.road_load.pressure",
        "coast-down: air pressure that the coefficients hold for",
        Pressure,
        from(50.0, 110.0, "kPa"),
        "\"100 kPa\"",
    )
    .assumed("100 kPa", "reference air of coast-down standards"),
    row(
        "car.road_load.turning",
        "coast-down: what turned with the wheels",
        KeyKind::Words(&["axle", "gearbox", "motor"]),
        "[\"axle\", \"gearbox\"]",
    )
    .required(),
];
