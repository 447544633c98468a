//! What stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the plate.

use std::sync::Arc;

use crownwheel::spec::{CarSpec, CornersKg, PartSpec, SeatSpec, SpringsSpec, TyreMark};

use crate::assemble::{Assembler, rounded};
use crate::lift_part::height_m;
use crate::quantity::Spread;

pub(crate) fn weights(a: &mut Assembler<'_>, car: &mut CarSpec, mark: Option<&TyreMark>) {
    a.fill(car, "car.wheelbase");
    tracks(a, car);
    corners(a, car);
    car.weights.centre_of_gravity_height_m =
        height_m(a, car.weights.wheelbase_m, &car.weights.corners, mark);
    a.fill(car, "car.front_roll_share");
    springs(a, car);
    car.weights.power_steering = a.flag("car.power_steering");
    car.weights.taken_out = parts(a, "taken_out");
    a.fill(car, "taken_out");
    car.weights.put_in = parts(a, "put_in");
    a.fill(car, "put_in");
    seats(a, car);
    luggage(a, car);
    a.fill(car, "plate");
}

/// Loads under the wheels: by four scales, or by a weighbridge that knows the axles only.
fn corners(a: &mut Assembler<'_>, car: &mut CarSpec) {
    match a.one_of(&["corner_weights", "weighbridge"]) {
        Some("weighbridge") => car.weights.corners = weighbridge(a),
        Some(table) => a.fill(car, table),
        None if a.values.was_refused("weighbridge") => {}
        None => {
            let hint = "write [corner_weights] with front_left, front_right, rear_left and \
                rear_right, or [weighbridge] with front_axle and rear_axle";
            a.missing_table("corner_weights", "nothing says what the car weighs", hint);
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

fn springs(a: &mut Assembler<'_>, car: &mut CarSpec) {
    if !a.values.has_table("springs") {
        return;
    }
    car.weights.springs = Some(SpringsSpec::default());
    a.fill(car, "springs");
    let springs = car.weights.springs.unwrap_or_default();
    let corners = &car.weights.corners;
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
}

/// Parts of which only the names are known.
fn parts(a: &Assembler<'_>, table: &str) -> Vec<PartSpec> {
    a.values.names(table).into_iter().map(part).collect()
}

fn part(name: String) -> PartSpec {
    PartSpec { name: name.into(), ..PartSpec::default() }
}

/// Both tracks: `track` for both axles, or each by its own key.
fn tracks(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let [both, front, rear] = ["car.track", "car.track_front", "car.track_rear"].map(|key| {
        a.fill(car, key);
        a.values.get(key).is_some()
    });
    let missing = match (both, front, rear) {
        (true, false, false) | (false, true, true) => return,
        (true, _, _) => {
            let own = if front { "car.track_front" } else { "car.track_rear" };
            return a.conflict("car.track", own);
        }
        (false, true, false) => "car.track_rear",
        (false, false, true) => "car.track_front",
        (false, false, false) => "car.track",
    };
    let hint = "write track = \"1.21 m\" in [car], or track_front and track_rear";
    a.missing_table(missing, "the distance between the wheels of an axle", hint);
}

fn seats(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let seat = |person| SeatSpec { person, aboard: false };
    car.weights.seats = parts(a, "seat").into_iter().map(seat).collect();
    a.fill(car, "seat");
    for (place, seat) in car.weights.seats.iter_mut().enumerate() {
        seat.aboard = a.flag_or(&format!("seat.{}.aboard", seat.person.name), place == 0);
    }
}

fn luggage(a: &mut Assembler<'_>, car: &mut CarSpec) {
    car.weights.luggage.name = Arc::from("luggage");
    a.fill(car, "luggage.mass");
    // A wheelbase in inches leaves a tail.
    let over_axle = format!("{} m ± 0.3 m", rounded(car.weights.wheelbase_m, 4));
    car.weights.luggage.place.behind_front_axle_m = a.number_or(
        "luggage.behind_front_axle",
        &over_axle,
        "luggage is taken to lie over the rear axle (engineering judgement)",
    );
    a.fill(car, "luggage");
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
