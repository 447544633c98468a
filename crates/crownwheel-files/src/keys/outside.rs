//! Keys of hills, days and measured facts.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{EnergyPerDistance, Length, Power, Ratio, Speed, Temperature};

pub(super) const ROWS: &[KeyRow] = &[
    number(
        "speedometer.final_drive",
        "final drive that the speedometer belonged to",
        Ratio,
        over(0.1, 50.0, ""),
        "4.22",
    )
    .required(),
    row(
        "speedometer.tyre_size",
        "tyres that the speedometer belonged to",
        KeyKind::TyreMark,
        "\"155/80 R13 79T\"",
    )
    .required(),
    row(
        "speedometer.driven_from",
        "what drives the speedometer",
        KeyKind::Choice(&["propeller shaft", "wheel"]),
        "\"propeller shaft\"",
    )
    .assumed("propeller shaft", "the gearbox's output drives most old speedometers"),
    number(
        "speedometer.pulses_per_turn",
        "pulses of a sender for a turn of the drive",
        Ratio,
        over(0.0, 1000.0, ""),
        "6",
    ),
    number("hill.*.length", "length of the hill", Length, over(0.0, 500.0, "km"), "\"5.2 km\"")
        .required(),
    number("hill.*.grade", "rise over run of the hill", Ratio, from(-0.6, 0.6, ""), "\"8 %\"")
        .required(),
    number("hill.*.speed", "speed on the hill", Speed, over(0.0, 250.0, "km/h"), "\"60 km/h\"")
        .required(),
    number(
        "day.*.temperature",
        "air temperature",
        Temperature,
        from(-40.0, 60.0, "°C"),
        "\"15 °C\"",
    )
    .required()
    .knob(),
    number(
        "day.*.pack_temperature",
        "temperature of the pack at the start, the air's if not given",
        Temperature,
        from(-40.0, 60.0, "°C"),
        "\"10 °C\"",
    )
    .knob(),
    number(
        "day.*.altitude",
        "height above sea level",
        Length,
        from(-500.0, 5000.0, "m"),
        "\"250 m\"",
    )
    .assumed("0 m", "sea level")
    .knob(),
    number("day.*.humidity", "relative humidity of the air", Ratio, from(0.0, 1.0, ""), "\"80 %\"")
        .assumed("0.5 ± 0.3", JUDGEMENT)
        .knob(),
    row(
        "day.*.wind",
        "wind: calm, or a speed from all round, headwind or tailwind",
        KeyKind::Wind,
        "\"5 m/s all round\"",
    )
    .assumed("calm", "no wind is named")
    .knob(),
    number(
        "day.*.wind_height",
        "height above ground that the wind speed holds at",
        Length,
        from(0.5, 200.0, "m"),
        "\"10 m\"",
    )
    .assumed("10 m", "the height of weather forecasts"),
    row(
        "day.*.road",
        "state of the road",
        KeyKind::Choice(&["dry", "wet", "ice", "rough"]),
        "\"wet\"",
    )
    .assumed("dry", "no state is named"),
    number(
        "day.*.extra_load",
        "load on the traction side on top of the standing loads, such as a heater",
        Power,
        from(0.0, 50.0, "kW"),
        "\"1.2 kW\"",
    )
    .assumed("0 W", "no heater is named")
    .knob(),
    row(
        "measured.*.cycle",
        "measured fact: the cycle that was driven",
        KeyKind::Cycle,
        "\"moor-round.csv\"",
    )
    .required(),
    row("measured.*.day", "measured fact: the day it was driven on", KeyKind::Text, "\"mild\"")
        .required(),
    number(
        "measured.*.use",
        "measured fact: energy used at the pack for a distance",
        EnergyPerDistance,
        over(0.0, 2000.0, "Wh/km"),
        "\"141 Wh/km ± 5 %\"",
    )
    .unsure(),
    number(
        "measured.*.wall",
        "measured fact: energy from the wall that put back what a distance took, instead of use",
        EnergyPerDistance,
        over(0.0, 3000.0, "Wh/km"),
        "\"168 Wh/km ± 5 %\"",
    )
    .unsure(),
];
