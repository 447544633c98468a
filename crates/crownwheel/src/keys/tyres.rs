//! Keys of the tyres.

use super::bind::at;
use super::car::COAST_DOWN;
use super::unit::{K, KG_M2, KM, ONE};
use super::{JUDGEMENT, Key, key};
use crate::spec::RollingSpec::{RevolutionsPerKm, Rolled};

const DRUM_TO_ROAD: &str = "1 for rolling_resistance, which holds on the road; 1.08 ± 0.08 for a \
label class, which holds on a smooth drum (engineering judgement)";

pub(super) const ROWS: &[Key] = &[
    key(
        "tyres.rolling_resistance",
        "rolling resistance coefficient on a dry road at 20 °C, tyres warm",
    )
    .over(0.0, 0.2, ONE)
    .code(0.0, 0.2)
    .like("\"0.0115 ± 0.0015\"")
    .advice("range at every speed, most in town", COAST_DOWN)
    .of_car(|car| at(&mut car.tyres.rolling_resistance)),
    key("tyres.drum_to_road", "factor from the coefficient as given to the road")
        .from(0.5, 3.0, ONE)
        .like("\"1.1 ± 0.15\"")
        .derived(DRUM_TO_ROAD)
        .advice("range at every speed, most in town", COAST_DOWN)
        .of_car(|car| at(&mut car.tyres.drum_to_road)),
    key(
        "tyres.rolling_rise",
        "relative rise of rolling resistance for each (m/s) squared, instead of speed_law",
    )
    .from(0.0, 0.01, ONE)
    .like("\"4e-5 ± 50 %\"")
    .advice(
        "rolling resistance at high speed, most of cross-ply tyres",
        "coast down from high speed; `crownwheel coastdown` finds the part that grows \
         with speed",
    )
    .of_car(|car| at(&mut car.tyres.rolling_rise_per_mps2)),
    key("tyres.temperature_rise", "what a tyre warms by above the air at 80 km/h")
        .from(0.0, 80.0, K)
        .like("\"22 K\"")
        .assumed("22 K ± 8 K", JUDGEMENT)
        .advice(
            "range on cold days and on short trips: cold tyres roll harder",
            "an infrared thermometer at the tread behind half an hour at 80 km/h, less the air",
        )
        .of_car(|car| at(&mut car.tyres.temperature_rise_k)),
    key("tyres.rolled.turns", "turns of a driven wheel while the car was pushed")
        .over(0.0, 10_000.0, ONE)
        .or_more()
        .like("5")
        .required()
        .fixed()
        .of_car(|car| match &mut car.tyres.rolling {
            Rolled { turns, .. } => at(turns),
            _ => None,
        }),
    key("tyres.rolled.distance", "distance that the car was pushed")
        .over(0.0, 100.0, KM)
        .or_more()
        .like("\"8.80 m\"")
        .required()
        .of_car(|car| match &mut car.tyres.rolling {
            Rolled { distance_m, .. } => at(distance_m),
            _ => None,
        }),
    key("tyres.revolutions_per_km", "turns of the wheel for a kilometre, the tyre maker's figure")
        .over(100.0, 2000.0, ONE)
        .code(100.0, 2000.0)
        .like("568")
        .of_car(|car| match &mut car.tyres.rolling {
            RevolutionsPerKm(turns) => at(turns),
            _ => None,
        }),
    key("tyres.wheel_inertia", "moment of inertia of one wheel with tyre and brake")
        .from(0.0, 50.0, KG_M2)
        .code(0.0, 100.0)
        .like("\"0.62 kg m2\"")
        .assumed(
            "0.65 kg m2 ± 30 %",
            "engineering judgement: 12 kg at four fifths of the rolling radius",
        )
        .advice(
            "times at full throttle, a little",
            "weigh a wheel with its tyre: its mass times the square of four fifths of the \
             rolling radius is close",
        )
        .of_car(|car| at(&mut car.tyres.wheel_inertia_kgm2)),
    key("tyres.grip.dry", "greatest tractive force over wheel load on a dry road")
        .from(0.01, 2.0, ONE)
        .like("0.8")
        .assumed("0.8 ± 0.1", JUDGEMENT)
        .advice(
            "starts, steep hills and braking by the motor, where wheels slip",
            "hardly to be measured with safety: leave it, its band is in the answers",
        )
        .of_car(|car| at(&mut car.tyres.grip_dry)),
    key("tyres.grip.wet", "greatest tractive force over wheel load on a wet road")
        .from(0.01, 2.0, ONE)
        .like("0.55")
        .assumed("0.55 ± 0.1", JUDGEMENT)
        .advice(
            "starts, steep hills and braking by the motor, where wheels slip",
            "hardly to be measured with safety: leave it, its band is in the answers",
        )
        .of_car(|car| at(&mut car.tyres.grip_wet)),
    key("tyres.grip.ice", "greatest tractive force over wheel load on ice")
        .from(0.01, 2.0, ONE)
        .like("0.15")
        .assumed("0.15 ± 0.05", JUDGEMENT)
        .advice(
            "starts, steep hills and braking by the motor, where wheels slip",
            "hardly to be measured with safety: leave it, its band is in the answers",
        )
        .of_car(|car| at(&mut car.tyres.grip_ice)),
];
