//! What stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the plate.

use std::sync::Arc;

use crownwheel::spec::{
    CornersKg, PartSpec, Place, PlateSpec, SeatSpec, SpringsSpec, TyreMark, WeightsSpec,
};

use crate::assemble::{Assembler, rounded};
use crate::lift_part::height_m;
use crate::quantity::Spread;

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
        springs: springs(a, &corners),
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
    let front = half_axle(a.spread("weighbridge.front_axle"));
    let rear = half_axle(a.spread("weighbridge.rear_axle"));
    let source = "half of the axle's load on the weighbridge: left and right taken as equal";
    let mut corner = |name: &str, half: Spread| {
        a.worked_out(&format!("corner_weights.{name}"), half, "kg", source)
    };
    let corners = CornersKg {
        front_left_kg: corner("front_left", front),
        front_right_kg: corner("front_right", front),
        rear_left_kg: corner("rear_left", rear),
        rear_right_kg: corner("rear_right", rear),
    };
    a.notes.push("the weighbridge knows no left and right: each axle is split evenly".to_owned());
    corners
}

/// Load under one of two wheels. The bands of both together make the band of the axle.
fn half_axle(axle: Spread) -> Spread {
    Spread::normal(0.5 * axle.nominal, axle.half_width_95() / std::f64::consts::SQRT_2)
}

fn springs(a: &mut Assembler<'_>, corners: &CornersKg) -> Option<SpringsSpec> {
    if !a.values.has_table("springs") {
        return None;
    }
    let springs = SpringsSpec {
        front_wheel_rate_n_per_m: a.number("springs.front_wheel_rate"),
        rear_wheel_rate_n_per_m: a.number("springs.rear_wheel_rate"),
        front_unsprung_kg: a.number("springs.front_unsprung"),
        rear_unsprung_kg: a.number("springs.rear_unsprung"),
    };
    for (axle, unsprung_kg, load_kg) in [
        ("front", springs.front_unsprung_kg, corners.front_axle_kg()),
        ("rear", springs.rear_unsprung_kg, corners.rear_axle_kg()),
    ] {
        let key = format!("springs.{axle}_unsprung");
        // A load that is missing is said already.
        if unsprung_kg >= load_kg && load_kg > 0.0 {
            let what = format!("`{key}` is {unsprung_kg:.1} kg: nothing is left for the springs");
            let allowed = format!("less than the {load_kg:.1} kg that the {axle} axle stands with");
            let hint = "wheels, hubs, brakes and half of the links: a tenth of the car is usual";
            a.refuse_value(&key, what, &allowed, hint);
        }
    }
    Some(springs)
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
            let key = match (front, rear) {
                (Some(_), _) => "car.track_rear",
                (None, Some(_)) => "car.track_front",
                (None, None) => "car.track",
            };
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
    // A wheelbase in inches leaves a tail.
    let over_axle = format!("{} m ± 0.3 m", rounded(wheelbase_m, 4));
    let behind_front_axle_m = a.number_or(
        "luggage.behind_front_axle",
        &over_axle,
        "luggage is taken to lie over the rear axle (engineering judgement)",
    );
    let place = Place {
        behind_front_axle_m,
        right_of_centre_m: a.number("luggage.right_of_centre"),
        above_ground_m: a.optional("luggage.above_ground"),
    };
    PartSpec { name: "luggage".into(), mass_kg, place }
}

#[cfg(test)]
mod tests {
    use crate::bench::{assumed, changed, close, refused};

    const SCALES: &str = "[corner_weights]\nfront_left = \"221.5 kg\"\nfront_right = \"214.0 kg\"\n\
        rear_left = \"176.5 kg\"\nrear_right = \"180.0 kg\"\n";
    const TICKET: &str = "[weighbridge]\nfront_axle = \"435 kg ± 5 kg\"\nrear_axle = \"357 kg\"\n";

    #[test]
    fn a_weighbridge_splits_each_axle_evenly() {
        let build = changed(&[(SCALES, TICKET)]);
        let corners = build.car.weights.corners;
        assert!(close(corners.front_left_kg, 217.5) && close(corners.front_right_kg, 217.5));
        assert!(close(corners.rear_left_kg, 178.5) && close(corners.rear_right_kg, 178.5));
        let (value, band, source) = assumed(&build, "corner_weights.front_left").unwrap();
        assert_eq!((value.as_str(), band.as_str()), ("217.5 kg", "± 3.54 kg"));
        assert!(source.contains("left and right"));
        // Both wheels together have the band of the axle.
        let band_kg = build.spreads["corner_weights.front_right"].half_width_95();
        assert!(close(band_kg * std::f64::consts::SQRT_2, 5.0));
        assert!(!build.spreads.contains_key("corner_weights.rear_left"));
        assert!(build.notes.iter().any(|note| note.contains("weighbridge")));
    }

    #[test]
    fn scales_and_a_weighbridge_are_too_much_and_neither_is_too_little() {
        let both = refused(&[(SCALES, &format!("{SCALES}{TICKET}"))]);
        assert!(both.contains("`weighbridge` cannot stand beside `corner_weights`"), "{both}");
        let neither = refused(&[(SCALES, "")]);
        assert!(neither.contains("[weighbridge] with front_axle and rear_axle"), "{neither}");
        assert!(neither.contains("1 error"), "{neither}");
        let misspelt = refused(&[(SCALES, &TICKET.replace("weighbridge", "weighbrige"))]);
        assert!(misspelt.contains("`weighbridge`") && misspelt.contains("1 error"), "{misspelt}");
    }

    #[test]
    fn springs_need_both_rates_and_assume_the_rest() {
        let springs =
            "[springs]\nfront_wheel_rate = \"18 N/mm\"\nrear_wheel_rate = \"100 lbf/in\"\n";
        let build = changed(&[("[plate]", &format!("{springs}[plate]"))]);
        let springs = build.car.weights.springs.unwrap();
        assert!(close(springs.front_wheel_rate_n_per_m, 18_000.0));
        assert!(close(springs.rear_wheel_rate_n_per_m, 17_512.683_524_647_64));
        assert!(assumed(&build, "springs.front_unsprung").is_some());
        let one = refused(&[("[plate]", "[springs]\nfront_wheel_rate = \"18 N/mm\"\n[plate]")]);
        assert!(one.contains("`springs.rear_wheel_rate` is missing"), "{one}");
        assert!(changed(&[]).car.weights.springs.is_none());
    }

    #[test]
    fn power_steering_is_assumed_away() {
        let build = changed(&[]);
        assert!(!build.car.weights.power_steering);
        assert_eq!(assumed(&build, "car.power_steering").unwrap().0, "false");
        let with = changed(&[("live_axle = true", "live_axle = true\npower_steering = true")]);
        assert!(with.car.weights.power_steering);
        assert!(assumed(&with, "car.power_steering").is_none());
    }
}
