//! The height of the centre of gravity: given, usual, or by lifting an axle.

use crownwheel::spec::{CornersKg, TyreMark};
use crownwheel::tyre::static_loaded_radius_m;
use crownwheel::usual;
use crownwheel::weights::AxleLift;

use crate::assemble::Assembler;
use crate::keys;
use crate::quantity::Spread;

/// How far an axle lift may be out (engineering judgement): springs give and fluids run.
const LIFT_BAND_M: f64 = 0.02;
/// How far the load before the lift may lie from the scales, relative: fuel and luggage.
const LEVEL_SLACK: f64 = 0.2;

/// Height of the centre of gravity: as given, by lifting an axle, or as is usual.
pub(crate) fn height_m(
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
        _ => a.usual(key, usual::CENTRE_OF_GRAVITY_HEIGHT),
    }
}

/// What was read while an axle was lifted.
struct LiftReading {
    lift: AxleLift,
    raised: Spread,
    scales_kg: f64,
    /// Half-width of the band of the difference of both loads, kg.
    loads_band_kg: f64,
    /// Half-width of the band of how far the axle was raised, m.
    lifted_band_m: f64,
    /// Half-width of the band of the radius of the hubs, m.
    radius_band_m: f64,
}

fn lifted_height(
    a: &mut Assembler<'_>,
    wheelbase_m: f64,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> Spread {
    let LiftReading { lift, raised, scales_kg, loads_band_kg, lifted_band_m, radius_band_m } =
        lifted(a, wheelbase_m, corners, mark);
    // What is missing or wrong is said already, and nothing sound comes of it.
    if !a.report.is_empty() || !lift_is_sound(a, &lift, scales_kg) {
        return Spread::exact(0.0);
    }
    let height_m = lift.centre_of_gravity_height_m(raised.nominal);
    let range = keys::find("car.centre_of_gravity_height").and_then(|row| row.range);
    if let Some(range) = range.filter(|range| !range.allows(height_m)) {
        let what =
            format!("`axle_lift` puts the centre of gravity {height_m:.2} m above the ground");
        let [low, high] =
            <[f64; 2]>::from(range.ends_si()).map(|height_m| lift.lower_axle_kg(height_m));
        let allowed = format!("{low:.0} kg to {high:.0} kg with this lift");
        let hint = "the lower axle gains a little load when the other one is raised: check which \
            axle stayed on the scales, and both loads";
        a.refuse_value("axle_lift.raised_load", what, &allowed, hint);
    }
    let loads_m =
        loads_band_kg * (lift.centre_of_gravity_height_m(raised.nominal + 1.0) - height_m);
    let moved = |lift: AxleLift| lift.centre_of_gravity_height_m(raised.nominal) - height_m;
    let lifted_m = moved(AxleLift { lifted_m: lift.lifted_m + lifted_band_m, ..lift });
    let radius_m =
        moved(AxleLift { loaded_radius_m: lift.loaded_radius_m + radius_band_m, ..lift });
    let band_m = libm::hypot(libm::hypot(libm::hypot(LIFT_BAND_M, loads_m), lifted_m), radius_m);
    Spread::normal(height_m, band_m)
}

fn lifted(
    a: &mut Assembler<'_>,
    wheelbase_m: f64,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> LiftReading {
    let raised_by = a.spread("axle_lift.raised_by");
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
    let hub_radius = if a.values.get("axle_lift.hub_radius").is_some() {
        a.spread("axle_lift.hub_radius")
    } else {
        a.worked_out("axle_lift.hub_radius", Spread::exact(radius_m), "m", source);
        Spread::exact(radius_m)
    };
    let (lifted_m, loaded_radius_m) = (raised_by.nominal, hub_radius.nominal);
    let total_kg = corners.total_kg();
    let lift =
        AxleLift { wheelbase_m, lifted_m, loaded_radius_m, total_kg, level_kg: level.nominal };
    let loads_band_kg = libm::hypot(level.half_width_95(), raised.half_width_95());
    let (lifted_band_m, radius_band_m) = (raised_by.half_width_95(), hub_radius.half_width_95());
    LiftReading { lift, raised, scales_kg, loads_band_kg, lifted_band_m, radius_band_m }
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

#[cfg(test)]
mod tests {
    use crate::bench::{assumed, changed, close, refused};

    const SCALES: &str = "[corner_weights]\nfront_left = \"221.5 kg\"\nfront_right = \"214.0 kg\"\n\
        rear_left = \"176.5 kg\"\nrear_right = \"180.0 kg\"\n";
    const HEIGHT_LINE: &str = "centre_of_gravity_height = \"0.52 m ± 0.03 m\"\n";
    const LIFT: &str = "[axle_lift]\nraised_by = \"0.60 m\"\nlower_axle = \"front\"\n\
        raised_load = \"462 kg\"\n";

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
        assert!(close(band_m, libm::hypot(0.02_f64, 2.0 / 792.0 * 2.32 / tangent)));
        // The hubs' radius is a part of the height, millimetre for millimetre but for the lift's.
        let hubs = format!("{LIFT}hub_radius = \"0.28 m ± 0.01 m\"\n");
        let unsure = changed(&[(HEIGHT_LINE, ""), (SCALES, &format!("{SCALES}{hubs}"))]);
        let band_m = unsure.spreads["car.centre_of_gravity_height"].half_width_95();
        assert!(close(band_m, libm::hypot(0.02_f64, 0.01)), "{band_m}");
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
}
