//! Keys of a day.

use super::bind::at;
use super::unit::{CELSIUS, H, KM, KW, M, M_PER_S, ONE};
use super::{JUDGEMENT, Key, key};
use crate::spec::{DaySpec, Wind};

/// Speed of the wind and the height that it holds at; a calm day has neither.
fn wind(day: &mut DaySpec) -> Option<(&mut f64, &mut f64)> {
    match &mut day.wind {
        Wind::Calm => None,
        Wind::AlongRoad { speed_mps, height_m } | Wind::AllRound { speed_mps, height_m } => {
            Some((speed_mps, height_m))
        }
    }
}

pub(super) const ROWS: &[Key] = &[
    key("day.*.temperature", "air temperature")
        .from(-40.0, 60.0, CELSIUS)
        .code(-60.0, 70.0)
        .like("\"15 °C\"")
        .required()
        .advice("air density, cold pack and oil", "a weather report")
        .of_day(|day| at(&mut day.temperature_k)),
    key("day.*.pack_temperature", "temperature of the pack at the start, the air's if not given")
        .from(-40.0, 60.0, CELSIUS)
        .code(-60.0, 70.0)
        .like("\"10 °C\"")
        .of_day(|day| at(&mut day.pack_temperature_k)),
    key("day.*.altitude", "height above sea level")
        .from(-500.0, 5000.0, M)
        .code(-500.0, 6000.0)
        .like("\"250 m\"")
        .assumed("0 m", "sea level")
        .advice("air density, so drag", "a map, or a phone")
        .of_day(|day| at(&mut day.altitude_m)),
    key("day.*.humidity", "relative humidity of the air")
        .from(0.0, 1.0, ONE)
        .like("\"80 %\"")
        .assumed("0.5 ± 0.3", JUDGEMENT)
        .advice("air density, hardly", "a weather report")
        .of_day(|day| at(&mut day.humidity_frac)),
    key("day.*.wind", "wind: calm, or a speed from all round, headwind or tailwind")
        .from(-40.0, 40.0, M_PER_S)
        .like("\"5 m/s all round\"")
        .assumed("calm", "no wind is named")
        .advice("range, most at high speed", "a weather report")
        .of_day(|day| at(wind(day)?.0)),
    key("day.*.wind_height", "height above ground that the wind speed holds at")
        .from(0.5, 200.0, M)
        .like("\"10 m\"")
        .assumed("10 m", "the height of weather forecasts")
        .advice(
            "what the wind is at the height of the car",
            "the height that the report holds for; forecasts are for 10 m",
        )
        .fixed()
        .of_day(|day| at(wind(day)?.1)),
    key(
        "day.*.extra_load",
        "load on the traction side on top of the standing loads, such as a heater",
    )
    .from(0.0, 50.0, KW)
    .like("\"1.2 kW\"")
    .assumed("0 W", "no heater is named")
    .advice(
        "range in winter: the heater",
        "the heater's plate, times the share of the drive that it is on",
    )
    .of_day(|day| at(&mut day.extra_load_w)),
    key("day.*.trip_length", "way after which the car is parked and cools, at the next standstill")
        .over(0.0, 1000.0, KM)
        .like("\"12 km\"")
        .fixed()
        .of_day(|day| at(&mut day.short_trips.as_mut()?.length_m)),
    key("day.*.pause", "how long it is parked")
        .from(0.0, 1000.0, H)
        .like("\"2 h\"")
        .fixed()
        .of_day(|day| at(&mut day.short_trips.as_mut()?.pause_s)),
];
