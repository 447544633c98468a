//! The car of a build: weights, tyres, road load; the rest is put together in its own files.

use std::sync::Arc;

use crownwheel::spec::{
    CarSpec, CornersKg, DragSpec, PartSpec, Place, PlateSpec, RoadLoadSpec, RollingSpec, SeatSpec,
    Turning, TyreMark, TyresSpec, WeightsSpec,
};
use crownwheel::tyre_label::{LabelRule, TyreClass, label_range};

use crate::assemble::Assembler;
use crate::quantity::{Spread, SpreadKind};
use crate::values::Value;
use crate::{drive_part, pack_part};

/// Newton per kilonewton: labels give the coefficient in N/kN.
const PER_KILO: f64 = 1e-3;
/// From a label's drum value to the road (engineering judgement): asphalt costs more than a drum.
const DRUM_TO_ROAD: &str = "1.1 ± 0.15";

/// The whole car; `None` if a table could not be read.
pub(crate) fn car(a: &mut Assembler<'_>) -> Option<CarSpec> {
    let name = a.text("car.name").into();
    let weights = weights(a);
    let road_load = road_load(a);
    let tyres = tyres(a, matches!(road_load, RoadLoadSpec::Coefficients { .. }));
    let driveline = drive_part::driveline(a);
    let motor = drive_part::motor(a);
    let inverter = drive_part::inverter(a);
    let pack = pack_part::pack(a);
    let regen = drive_part::regen(a);
    let dcdc = pack_part::dcdc(a);
    let loads = pack_part::loads(a);
    let charger = pack_part::charger(a);
    Some(CarSpec {
        name,
        weights,
        original: None,
        tyres: tyres?,
        road_load,
        driveline,
        motor: motor?,
        inverter,
        pack: pack?,
        regen,
        dcdc,
        loads,
        charger,
    })
}

/// Place of a part whose keys stand below `path`.
pub(crate) fn place(a: &mut Assembler<'_>, path: &str) -> Place {
    Place {
        behind_front_axle_m: a.number(&format!("{path}.behind_front_axle")),
        right_of_centre_m: a.number(&format!("{path}.right_of_centre")),
        above_ground_m: a.optional(&format!("{path}.above_ground")),
    }
}

fn part(a: &mut Assembler<'_>, table: &str, name: &str) -> PartSpec {
    let path = format!("{table}.{name}");
    let mass_kg = a.number(&format!("{path}.mass"));
    PartSpec { name: Arc::from(name), mass_kg, place: place(a, &path) }
}

fn parts(a: &mut Assembler<'_>, table: &str) -> Vec<PartSpec> {
    a.values.names(table).iter().map(|name| part(a, table, name)).collect()
}

fn weights(a: &mut Assembler<'_>) -> WeightsSpec {
    let wheelbase_m = a.number("car.wheelbase");
    let (track_front_m, track_rear_m) = tracks(a);
    WeightsSpec {
        wheelbase_m,
        track_front_m,
        track_rear_m,
        centre_of_gravity_height_m: a.number("car.centre_of_gravity_height"),
        corners: CornersKg {
            front_left_kg: a.number("corner_weights.front_left"),
            front_right_kg: a.number("corner_weights.front_right"),
            rear_left_kg: a.number("corner_weights.rear_left"),
            rear_right_kg: a.number("corner_weights.rear_right"),
        },
        front_roll_share: a.optional("car.front_roll_share"),
        springs: None,
        power_steering: false,
        taken_out: parts(a, "taken_out"),
        put_in: parts(a, "put_in"),
        seats: seats(a),
        luggage: luggage(a, wheelbase_m),
        plate: PlateSpec {
            gross_kg: a.optional("plate.gross"),
            front_axle_kg: a.optional("plate.front_axle"),
            rear_axle_kg: a.optional("plate.rear_axle"),
        },
    }
}

/// Both tracks: `track` for both axles, or each by its own key.
fn tracks(a: &mut Assembler<'_>) -> (f64, f64) {
    let both = a.optional("car.track");
    let front = a.optional("car.track_front");
    let rear = a.optional("car.track_rear");
    match (both, front, rear) {
        (Some(track), None, None) => (track, track),
        (Some(_), _, _) => {
            a.conflict(
                "car.track",
                if front.is_some() { "car.track_front" } else { "car.track_rear" },
            );
            (0.0, 0.0)
        }
        (None, Some(front), Some(rear)) => (front, rear),
        (None, front, _) => {
            let key = if front.is_some() { "car.track_rear" } else { "car.track" };
            a.missing_table(
                key,
                "the distance between the wheels of an axle",
                "write track = \"1.21 m\" in [car], or track_front and track_rear",
            );
            (0.0, 0.0)
        }
    }
}

fn seats(a: &mut Assembler<'_>) -> Vec<SeatSpec> {
    let mut seats = Vec::new();
    for name in a.values.names("seat") {
        let person = part(a, "seat", &name);
        let aboard = a.flag_or(&format!("seat.{name}.aboard"), seats.is_empty());
        seats.push(SeatSpec { person, aboard });
    }
    seats
}

fn luggage(a: &mut Assembler<'_>, wheelbase_m: f64) -> PartSpec {
    let mass_kg = a.number("luggage.mass");
    let over_axle = format!("{wheelbase_m} m");
    let behind_front_axle_m = a.number_or(
        "luggage.behind_front_axle",
        &over_axle,
        "luggage is taken to lie over the rear axle",
    );
    let place = Place {
        behind_front_axle_m,
        right_of_centre_m: a.number("luggage.right_of_centre"),
        above_ground_m: a.optional("luggage.above_ground"),
    };
    PartSpec { name: "luggage".into(), mass_kg, place }
}

fn road_load(a: &mut Assembler<'_>) -> RoadLoadSpec {
    match a.one_of(&["car.road_load", "car.drag_area", "car.drag_coefficient"]) {
        Some("car.road_load") => coast_down(a),
        given => {
            let drag = drag(a, given);
            RoadLoadSpec::Terms {
                drag,
                brake_drag_n: a.number("car.brake_drag"),
                drag_rise_at_10_deg_yaw: 0.05,
            }
        }
    }
}

fn drag(a: &mut Assembler<'_>, given: Option<&str>) -> DragSpec {
    if given == Some("car.drag_area") {
        if a.values.get("car.frontal_area").is_some() {
            a.conflict("car.drag_area", "car.frontal_area");
        }
        return DragSpec::Area(a.number("car.drag_area"));
    }
    // Neither key is required by itself; together they are, if the other ways are not taken.
    let coefficient = a.optional("car.drag_coefficient");
    let frontal_area_m2 = a.optional("car.frontal_area");
    let hint = "write drag_coefficient and frontal_area in [car], or drag_area, or road_load";
    if coefficient.is_none() {
        a.missing_table(
            "car.drag_coefficient",
            "nothing says how the air holds the car back",
            hint,
        );
    } else if frontal_area_m2.is_none() {
        a.missing_table("car.frontal_area", "it belongs to the drag coefficient", hint);
    }
    DragSpec::CoefficientAndArea {
        coefficient: coefficient.unwrap_or_default(),
        frontal_area_m2: frontal_area_m2.unwrap_or_default(),
    }
}

fn coast_down(a: &mut Assembler<'_>) -> RoadLoadSpec {
    let turned = match a.value("car.road_load.turning") {
        Some(Value::Words(words)) => words,
        _ => Vec::new(),
    };
    let has = |word: &str| turned.iter().any(|turned| turned == word);
    RoadLoadSpec::Coefficients {
        f0_n: a.number("car.road_load.f0"),
        f1_n_per_mps: a.number("car.road_load.f1"),
        f2_n_per_mps2: a.number("car.road_load.f2"),
        mass_kg: a.number("car.road_load.mass"),
        temperature_k: a.number("car.road_load.temperature"),
        pressure_pa: a.number("car.road_load.pressure"),
        turning: Turning { axle: has("axle"), gearbox: has("gearbox"), motor: has("motor") },
    }
}

fn tyres(a: &mut Assembler<'_>, coast_down: bool) -> Option<TyresSpec> {
    let mark = mark(a);
    let rolling = rolling(a);
    let (rolling_resistance, drum_to_road) = rolling_resistance(a, coast_down);
    let wheel_inertia_kgm2 = a.number("tyres.wheel_inertia");
    let grip_dry = a.number("tyres.grip.dry");
    let grip_wet = a.number("tyres.grip.wet");
    let grip_ice = a.number("tyres.grip.ice");
    Some(TyresSpec {
        mark: mark?,
        rolling,
        rolling_resistance,
        drum_to_road,
        rolling_rise_per_mps2: 0.0,
        wheel_inertia_kgm2,
        grip_dry,
        grip_wet,
        grip_ice,
    })
}

fn mark(a: &mut Assembler<'_>) -> Option<TyreMark> {
    match a.value("tyres.size")? {
        Value::Mark(mark) => Some(mark),
        _ => None,
    }
}

fn rolling(a: &mut Assembler<'_>) -> RollingSpec {
    match a.one_of(&["tyres.rolled", "tyres.revolutions_per_km"]) {
        Some("tyres.rolled") => RollingSpec::Rolled {
            turns: a.number("tyres.rolled.turns"),
            distance_m: a.number("tyres.rolled.distance"),
        },
        Some(key) => RollingSpec::RevolutionsPerKm(a.number(key)),
        None => RollingSpec::FromMark,
    }
}

/// Coefficient as given, and the factor from it to the road.
fn rolling_resistance(a: &mut Assembler<'_>, coast_down: bool) -> (f64, f64) {
    match a.one_of(&["tyres.rolling_resistance", "tyres.label_class"]) {
        Some("tyres.label_class") => {
            let coefficient = label(a);
            let source = "a label class holds on a smooth drum (engineering judgement)";
            (coefficient, a.number_or("tyres.drum_to_road", DRUM_TO_ROAD, source))
        }
        Some(key) => (a.number(key), a.optional("tyres.drum_to_road").unwrap_or(1.0)),
        // Coast-down coefficients hold the rolling resistance already.
        None if coast_down => (0.0, 1.0),
        None => {
            let hint =
                "write rolling_resistance = \"0.0115 ± 0.0015\" in [tyres], or label_class = \"E\"";
            a.missing_table(
                "tyres.rolling_resistance",
                "nothing says how the tyres hold the car back",
                hint,
            );
            (0.0, 1.0)
        }
    }
}

/// The middle of a label class; the whole class is its spread.
fn label(a: &mut Assembler<'_>) -> f64 {
    let letter = a.text("tyres.label_class").chars().next().unwrap_or(' ');
    let Some((low, high)) = label_range(LabelRule::From2021, TyreClass::C1, letter) else {
        return 0.0;
    };
    let (low, high) = (low * PER_KILO, high * PER_KILO);
    let nominal = 0.5 * (low + high);
    let text = format!("{nominal:.5} .. {low:.4} to {high:.4}");
    let source =
        format!("middle of EU label class {letter} (2020/740); open ends by engineering judgement");
    a.assume("tyres.rolling_resistance", &text, &source);
    a.keep("tyres.rolling_resistance", Spread { nominal, kind: SpreadKind::Uniform { low, high } })
}
