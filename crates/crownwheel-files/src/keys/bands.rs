//! Tests: which numbers may be unsure, and which knobs of the core carry it.

use super::*;
use crate::quantity;

/// Keys whose band goes into a number that is made from them.
const MAKE_ANOTHER: &[&str] = &[
    "weighbridge.front_axle",     // corner_weights
    "weighbridge.rear_axle",      // corner_weights
    "axle_lift.raised_by",        // car.centre_of_gravity_height
    "axle_lift.level_load",       // car.centre_of_gravity_height
    "axle_lift.raised_load",      // car.centre_of_gravity_height
    "axle_lift.hub_radius",       // car.centre_of_gravity_height
    "motor.phase_current",        // motor.phase_current_ratio
    "inverter.max_phase_current", // motor.phase_current_ratio
    "tyres.revolutions_per_mile", // tyres.revolutions_per_km
    "model.trip_scale",           // drawn anew for each trip
    "measured.*.use",             // a fact, which conditions the worlds
    "measured.*.wall",            // a fact, which conditions the worlds
];

#[test]
fn every_key_that_takes_a_band_carries_it_on() {
    let made: Vec<&str> = all().filter(|row| row.unsure).map(|row| row.path).collect();
    assert_eq!(made.len(), MAKE_ANOTHER.len());
    assert!(made.iter().all(|path| MAKE_ANOTHER.contains(path)), "{made:?}");
    assert!(all().all(|row| !(row.unsure && row.is_adjustable())));
}

/// Numbers that are assumed without a band, and why.
const SETTLED: &[&str] = &[
    "car.drag_area.driveline", // the band of the drag area that it makes holds it
    "car.road_load.temperature", // a reference, by definition
    "car.road_load.pressure",  // a reference, by definition
    "taken_out.*.right_of_centre", // sides cancel out in every answer but the corners
    "put_in.*.right_of_centre",
    "seat.*.right_of_centre",
    "luggage.mass", // a choice of the driver
    "luggage.right_of_centre",
    "driveline.reduction.drag_at", // belongs to the drag torque, which has the band
    "driveline.gearbox.drag_at",
    "driveline.axle.drag_at",
    "motor.phase_current_ratio", // a setting; motor.curve_scale has the band
    "motor.max_winding_temperature", // a class of a standard
    "pack.state_of_health",      // what was bought
    "pack.reserve",              // a choice
    "pack.box.*.right_of_centre",
    "load.*.duty",    // a choice; the power has the band
    "charger.power",  // what was bought; it changes no range
    "day.*.altitude", // the day is as it is described
    "day.*.wind_height",
    "day.*.extra_load",
];

#[test]
fn every_assumed_number_has_a_band_or_a_reason() {
    let mut without = Vec::new();
    for row in all() {
        if let (KeyKind::Number(dimension), Need::Assumed { text, .. }) = (row.kind, row.need)
            && quantity::parse(text, dimension).unwrap().is_exact()
        {
            without.push(row.path);
        }
    }
    assert_eq!(without, SETTLED);
}

#[test]
fn keys_and_knobs_of_the_core_are_the_same_numbers() {
    use crate::bench::changed;
    use crownwheel::knob::Knob;

    let drag = "drag_coefficient = \"0.43 ± 0.03\"\nfrontal_area = \"1.66 m2 ± 0.05 m2\"";
    let tyres = "rolling_resistance = \"0.0115 ± 0.0015\"";
    let map = "losses = \"motor-losses.csv\"";
    let road_load = "road_load = { f0 = \"110 N ± 5 %\", f1 = \"0 N/(km/h)\", \
        f2 = \"0.033 N/(km/h)^2\", mass = \"905 kg\", turning = [] }";
    for edits in [
        &[][..],
        &[
            (drag, road_load),
            (tyres, ""),
            (
                map,
                "losses = { copper = \"0.12 W/(N m)^2\", \
            iron = \"0.9 W/(rad/s)\", windage = \"4e-7 W/(rad/s)^3\", fixed = \"50 W\" }",
            ),
        ],
        &[
            (drag, "drag_area = { from_top_speed = \"129 km/h\", at_power = \"43 kW\" }"),
            (tyres, "label_class = \"C\"\nspeed_law = \"rising\""),
            (
                map,
                "losses = { best_efficiency = \"92 %\", at_speed = \"3500 rpm\", \
            at_torque = \"70 N m\" }",
            ),
            ("# rolled =", "rolled ="),
        ],
        &[
            ("# revolutions_per_km", "revolutions_per_km"),
            ("chemistry = \"nmc\"", "chemistry = \"nmc\"\nresistance_kind = \"1 kHz\""),
            (
                "[driveline.reduction]\nratio = 1.50\nefficiency = \"0.98 ± 0.01\"",
                "[driveline.gearbox]\ngears = [3.64, 1.0]\ngear = \"best\"\n\
            efficiency = \"0.97 ± 0.01\"",
            ),
        ],
    ] {
        let build = changed(edits);
        for (path, _) in Knob::all(&build.car) {
            assert!(
                find(&path).is_some_and(|row| row.is_adjustable()),
                "`{path}` is no adjustable key"
            );
        }
        let outside = |path: &str| path.starts_with("day.") || path.starts_with("measured.");
        for path in build.spreads.keys().filter(|path| !outside(path)) {
            assert!(Knob::find(path, &build.car).is_ok(), "`{path}` is no knob");
        }
    }
}
