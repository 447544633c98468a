//! What stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the plate.

use std::sync::Arc;

use crownwheel::spec::{
    CornersKg, PartSpec, Place, PlateSpec, SeatSpec, SpringsSpec, TyreMark, WeightsSpec,
};
use crownwheel::tyre::static_loaded_radius_m;
use crownwheel::weights::AxleLift;

use crate::assemble::Assembler;

/// Usual height of the centre of gravity of saloons (engineering judgement).
const HEIGHT: &str = "0.54 m ± 0.06 m";
/// How far an axle lift may be out (engineering judgement): springs give and fluids run.
const LIFT_BAND: &str = "0.02 m";
/// Heights that a car may have, m.
const HEIGHTS_M: std::ops::RangeInclusive<f64> = 0.1..=2.0;

pub(crate) fn weights(a: &mut Assembler<'_>, mark: Option<&TyreMark>) -> WeightsSpec {
    let wheelbase_m = a.number("car.wheelbase");
    let (track_front_m, track_rear_m) = tracks(a);
    let corners = corners(a);
    WeightsSpec {
        wheelbase_m,
        track_front_m,
        track_rear_m,
        centre_of_gravity_height_m: height_m(a, wheelbase_m, &corners, mark),
        corners,
        front_roll_share: a.optional("car.front_roll_share"),
        springs: springs(a),
        power_steering: a.flag("car.power_steering"),
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

/// Loads under the wheels: by four scales, or by a weighbridge that knows the axles only.
fn corners(a: &mut Assembler<'_>) -> CornersKg {
    match a.one_of(&["corner_weights", "weighbridge"]) {
        Some("weighbridge") => weighbridge(a),
        Some(_) => CornersKg {
            front_left_kg: a.number("corner_weights.front_left"),
            front_right_kg: a.number("corner_weights.front_right"),
            rear_left_kg: a.number("corner_weights.rear_left"),
            rear_right_kg: a.number("corner_weights.rear_right"),
        },
        None if a.values.was_refused("weighbridge") => CornersKg::default(),
        None => {
            let hint = "write [corner_weights] with front_left, front_right, rear_left and \
                rear_right, or [weighbridge] with front_axle and rear_axle";
            a.missing_table("corner_weights", "nothing says what the car weighs", hint);
            CornersKg::default()
        }
    }
}

/// Each axle split evenly: a weighbridge does not tell left from right.
fn weighbridge(a: &mut Assembler<'_>) -> CornersKg {
    let front_kg = 0.5 * a.number("weighbridge.front_axle");
    let rear_kg = 0.5 * a.number("weighbridge.rear_axle");
    for (corner, half_kg) in [
        ("front_left", front_kg),
        ("front_right", front_kg),
        ("rear_left", rear_kg),
        ("rear_right", rear_kg),
    ] {
        let (pattern, text) = (format!("corner_weights.{corner}"), shown(half_kg, "kg"));
        let source = "half of the axle's load on the weighbridge: left and right taken as equal";
        a.assume(&pattern, &text, source);
    }
    a.notes.push("the weighbridge knows no left and right: each axle is split evenly".to_owned());
    CornersKg {
        front_left_kg: front_kg,
        front_right_kg: front_kg,
        rear_left_kg: rear_kg,
        rear_right_kg: rear_kg,
    }
}

/// Height of the centre of gravity: as given, by lifting an axle, or as is usual.
fn height_m(
    a: &mut Assembler<'_>,
    wheelbase_m: f64,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> f64 {
    let key = "car.centre_of_gravity_height";
    match a.one_of(&[key, "axle_lift"]) {
        Some("axle_lift") => {
            let height_m = lifted_height_m(a, wheelbase_m, corners, mark);
            let text = format!("{} ± {LIFT_BAND}", shown(height_m, "m"));
            let source = "by lifting an axle; the band is engineering judgement";
            a.worked_out(key, height_m, &text, source);
            height_m
        }
        _ => a.number_or(key, HEIGHT, "engineering judgement: usual range of saloons"),
    }
}

fn lifted_height_m(
    a: &mut Assembler<'_>,
    wheelbase_m: f64,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> f64 {
    let lifted_m = a.number("axle_lift.raised_by");
    let front_is_lower = a.text("axle_lift.lower_axle") == "front";
    let scales_kg = if front_is_lower { corners.front_axle_kg() } else { corners.rear_axle_kg() };
    let source = "that axle's load on the scales";
    let level_kg = a.number_or("axle_lift.level_load", &shown(scales_kg, "kg"), source);
    let raised_kg = a.number("axle_lift.raised_load");
    let radius_m = mark.map_or(0.0, static_loaded_radius_m);
    let source = "by the tyre mark: half the rim and 83 % of the section (engineering judgement)";
    let loaded_radius_m = a.number_or("axle_lift.hub_radius", &shown(radius_m, "m"), source);
    if !a.report.is_empty() {
        // What is missing or wrong is said already, and nothing sound comes of it.
        return 0.0;
    }
    if lifted_m >= wheelbase_m {
        let what = "`axle_lift.raised_by` is more than the wheelbase: that lift stands on end";
        let allowed = format!("less than the wheelbase of {wheelbase_m} m");
        a.refuse_value("axle_lift.raised_by", what.to_owned(), &allowed, "0.5 m to 0.8 m is usual");
        return 0.0;
    }
    let total_kg = corners.total_kg();
    let lift = AxleLift { wheelbase_m, lifted_m, loaded_radius_m, total_kg, level_kg };
    let height_m = lift.centre_of_gravity_height_m(raised_kg);
    if !HEIGHTS_M.contains(&height_m) {
        let what =
            format!("`axle_lift` gives a centre of gravity {height_m:.2} m above the ground");
        let [low, high] =
            [HEIGHTS_M.start(), HEIGHTS_M.end()].map(|height_m| lift.lower_axle_kg(*height_m));
        let allowed = format!("{low:.0} kg to {high:.0} kg with this lift");
        let hint = "the lower axle gains a little load when the other one is raised: check which \
            axle stayed on the scales, and both loads";
        a.refuse_value("axle_lift.raised_load", what, &allowed, hint);
    }
    height_m
}

fn springs(a: &mut Assembler<'_>) -> Option<SpringsSpec> {
    a.values.has_table("springs").then(|| SpringsSpec {
        front_wheel_rate_n_per_m: a.number("springs.front_wheel_rate"),
        rear_wheel_rate_n_per_m: a.number("springs.rear_wheel_rate"),
        front_unsprung_kg: a.number("springs.front_unsprung"),
        rear_unsprung_kg: a.number("springs.rear_unsprung"),
    })
}

/// A number as it would be written in a build, without the tail that reckoning leaves.
fn shown(value: f64, unit: &str) -> String {
    let short: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    format!("{short} {unit}")
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
