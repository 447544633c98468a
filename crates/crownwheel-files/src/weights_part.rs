//! What stands on the wheels: scale readings, springs, parts out and in, seats, luggage, the plate.

use std::sync::Arc;

use crownwheel::spec::{
    CornersKg, PartSpec, Place, PlateSpec, SeatSpec, SpringsSpec, TyreMark, WeightsSpec,
};
use crownwheel::tyre::static_loaded_radius_m;
use crownwheel::weights::AxleLift;

use crate::assemble::Assembler;
use crate::quantity::Spread;

/// Usual height of the centre of gravity of saloons (engineering judgement).
const HEIGHT: &str = "0.54 m ± 0.06 m";
/// How far an axle lift may be out (engineering judgement): springs give and fluids run.
const LIFT_BAND_M: f64 = 0.02;
/// How far the load before the lift may lie from the scales, relative: fuel and luggage.
const LEVEL_SLACK: f64 = 0.2;
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
            let height = lifted_height(a, wheelbase_m, corners, mark);
            let source =
                "by lifting an axle; springs and fluids add engineering judgement's 0.02 m";
            a.worked_out(key, height, "m", source)
        }
        _ => a.number_or(key, HEIGHT, "engineering judgement: usual range of saloons"),
    }
}

/// What was read while an axle was lifted.
struct Lifted {
    lift: AxleLift,
    raised: Spread,
    scales_kg: f64,
    /// Half-width of the band of the difference of both loads, kg.
    loads_band_kg: f64,
}

fn lifted_height(
    a: &mut Assembler<'_>,
    wheelbase_m: f64,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> Spread {
    let Lifted { lift, raised, scales_kg, loads_band_kg } = lifted(a, wheelbase_m, corners, mark);
    // What is missing or wrong is said already, and nothing sound comes of it.
    if !a.report.is_empty() || !lift_is_sound(a, &lift, scales_kg) {
        return Spread::exact(0.0);
    }
    let height_m = lift.centre_of_gravity_height_m(raised.nominal);
    if !HEIGHTS_M.contains(&height_m) {
        let what =
            format!("`axle_lift` puts the centre of gravity {height_m:.2} m above the ground");
        let [low, high] =
            [HEIGHTS_M.start(), HEIGHTS_M.end()].map(|height_m| lift.lower_axle_kg(*height_m));
        let allowed = format!("{low:.0} kg to {high:.0} kg with this lift");
        let hint = "the lower axle gains a little load when the other one is raised: check which \
            axle stayed on the scales, and both loads";
        a.refuse_value("axle_lift.raised_load", what, &allowed, hint);
    }
    let metre_per_kg = lift.centre_of_gravity_height_m(raised.nominal + 1.0) - height_m;
    Spread::normal(height_m, LIFT_BAND_M.hypot(metre_per_kg * loads_band_kg))
}

fn lifted(
    a: &mut Assembler<'_>,
    wheelbase_m: f64,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> Lifted {
    let lifted_m = a.number("axle_lift.raised_by");
    let front_is_lower = a.text("axle_lift.lower_axle") == "front";
    let scales_kg = if front_is_lower { corners.front_axle_kg() } else { corners.rear_axle_kg() };
    let level = if a.values.get("axle_lift.level_load").is_some() {
        a.spread("axle_lift.level_load")
    } else {
        let source = "that axle's load on the scales";
        a.worked_out("axle_lift.level_load", Spread::exact(scales_kg), "kg", source);
        Spread::exact(scales_kg)
    };
    let raised = a.spread("axle_lift.raised_load");
    let radius_m = mark.map_or(0.0, static_loaded_radius_m);
    let source = "by the tyre mark: half the rim and 83 % of the section (engineering judgement)";
    let loaded_radius_m = a.number_else("axle_lift.hub_radius", radius_m, "m", source);
    let total_kg = corners.total_kg();
    let lift =
        AxleLift { wheelbase_m, lifted_m, loaded_radius_m, total_kg, level_kg: level.nominal };
    let loads_band_kg = level.half_width_95().hypot(raised.half_width_95());
    Lifted { lift, raised, scales_kg, loads_band_kg }
}

/// The lift must be one of this car.
fn lift_is_sound(a: &mut Assembler<'_>, lift: &AxleLift, scales_kg: f64) -> bool {
    if lift.lifted_m >= lift.wheelbase_m {
        let what = "`axle_lift.raised_by` is more than the wheelbase: the car would stand on end";
        let allowed = format!("less than the wheelbase of {} m", lift.wheelbase_m);
        a.refuse_value("axle_lift.raised_by", what.to_owned(), &allowed, "0.5 m to 0.8 m is usual");
        return false;
    }
    if (lift.level_kg / scales_kg - 1.0).abs() > LEVEL_SLACK {
        let what = format!(
            "`axle_lift.level_load` is {:.1} kg, and that axle has {scales_kg:.1} kg on the scales",
            lift.level_kg
        );
        let allowed = "within 20 % of that axle's load on the scales";
        let hint = "lift the car as it was weighed; without level_load the scales are taken";
        a.refuse_value("axle_lift.level_load", what, allowed, hint);
        return false;
    }
    true
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

#[cfg(test)]
mod tests {
    use crate::bench::{assumed, changed, close, refused};

    const SCALES: &str = "[corner_weights]\nfront_left = \"221.5 kg\"\nfront_right = \"214.0 kg\"\n\
        rear_left = \"176.5 kg\"\nrear_right = \"180.0 kg\"\n";
    const TICKET: &str = "[weighbridge]\nfront_axle = \"435 kg ± 5 kg\"\nrear_axle = \"357 kg\"\n";
    const HEIGHT_LINE: &str = "centre_of_gravity_height = \"0.52 m ± 0.03 m\"\n";
    const LIFT: &str = "[axle_lift]\nraised_by = \"0.60 m\"\nlower_axle = \"front\"\n\
        raised_load = \"462 kg\"\n";

    #[test]
    fn a_weighbridge_splits_each_axle_evenly() {
        let build = changed(&[(SCALES, TICKET)]);
        let corners = build.car.weights.corners;
        assert!(close(corners.front_left_kg, 217.5) && close(corners.front_right_kg, 217.5));
        assert!(close(corners.rear_left_kg, 178.5) && close(corners.rear_right_kg, 178.5));
        let (value, band, source) = assumed(&build, "corner_weights.front_left").unwrap();
        assert_eq!((value.as_str(), band.as_str()), ("217.5 kg", "± 3.5355 kg"));
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
    fn lifting_an_axle_tells_the_height() {
        let lift = format!("{LIFT}level_load = \"436 kg\"\nhub_radius = \"0.28 m\"\n");
        let build = changed(&[(HEIGHT_LINE, ""), (SCALES, &format!("{SCALES}{lift}"))]);
        // 0.28 m + 26/792 of the wheelbase over the tangent of the lift.
        let tangent = 0.6 / (2.32_f64 * 2.32 - 0.36).sqrt();
        let height_m = 0.28 + 26.0 / 792.0 * 2.32 / tangent;
        assert!(close(build.car.weights.centre_of_gravity_height_m, height_m));
        let band_m = build.spreads["car.centre_of_gravity_height"].half_width_95();
        assert!(close(band_m, 0.02));
        // Without them the scales and the tyre mark are taken, and that is said.
        let short = changed(&[(HEIGHT_LINE, ""), (SCALES, &format!("{SCALES}{LIFT}"))]);
        assert_eq!(assumed(&short, "axle_lift.level_load").unwrap().0, "435.5 kg");
        assert!(assumed(&short, "axle_lift.hub_radius").is_some());
        // An unsure reading widens the band: 2 kg are 0.0219 m here.
        let unsure = LIFT.replace("462 kg", "462 kg ± 2 kg");
        let unsure = changed(&[(HEIGHT_LINE, ""), (SCALES, &format!("{SCALES}{unsure}"))]);
        let band_m = unsure.spreads["car.centre_of_gravity_height"].half_width_95();
        assert!(close(band_m, 0.02_f64.hypot(2.0 / 792.0 * 2.32 / tangent)));
    }

    #[test]
    fn lifts_that_cannot_be_are_refused() {
        for (from, to, word) in [
            ("462 kg", "400 kg", "puts the centre of gravity"),
            ("0.60 m", "2.4 m", "stand on end"),
            ("\"front\"\n", "\"front\"\nlevel_load = \"600 kg\"\n", "on the scales"),
            ("raised_by = \"0.60 m\"\n", "", "`axle_lift.raised_by` is missing"),
        ] {
            let lift = format!("{SCALES}{}", LIFT.replacen(from, to, 1));
            let report = refused(&[(HEIGHT_LINE, ""), (SCALES, &lift)]);
            assert!(report.contains(word) && report.contains("1 error"), "{report}");
        }
        let both = refused(&[(SCALES, &format!("{SCALES}{LIFT}"))]);
        assert!(both.contains("`axle_lift` cannot stand beside"), "{both}");
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
