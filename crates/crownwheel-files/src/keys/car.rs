//! Keys of the car itself: geometry, weights, tyres, road load.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row, whole};
use crate::units::Dimension::{
    Area, Force, ForcePerSpeed, ForcePerSpeedSquared, Inertia, Length, Mass, Pressure, Ratio,
    Temperature,
};

pub(super) const ROWS: &[KeyRow] = &[
    row("car.name", "what the car is called", KeyKind::Text, "\"Dunlin 1100 saloon, 1967\"").required(),
    row("car.driven_axle", "the axle that the motor drives", KeyKind::Choice(&["front", "rear"]), "\"rear\"").required(),
    row("car.differential", "how the driven wheels share torque", KeyKind::Choice(&["open", "locked"]), "\"open\"")
        .assumed("open", "most cars have an open differential"),
    row("car.live_axle", "the driven axle is a live (beam) axle", KeyKind::Flag, "true")
        .derived("a driven rear axle of a classic car is taken as a live axle, a driven front axle is not"),
    number("car.wheelbase", "distance between the axles", Length, over(0.5, 6.0, "m"), "\"2.32 m\"").required().knob(),
    number("car.track", "distance between the wheels of an axle, both axles alike", Length, over(0.5, 3.0, "m"), "\"1.21 m\"").knob(),
    number("car.track_front", "distance between the front wheels", Length, over(0.5, 3.0, "m"), "\"1.23 m\"").knob(),
    number("car.track_rear", "distance between the rear wheels", Length, over(0.5, 3.0, "m"), "\"1.19 m\"").knob(),
    number("car.centre_of_gravity_height", "height of the centre of gravity of the car on the scales", Length, from(0.1, 2.0, "m"), "\"0.52 m ± 0.03 m\"")
        .assumed("0.54 m ± 0.06 m", "engineering judgement: usual range of saloons").knob(),
    number("car.front_roll_share", "share of the roll stiffness at the front axle", Ratio, from(0.0, 1.0, ""), "0.55").knob(),
    number("car.drag_coefficient", "drag coefficient, with frontal_area", Ratio, over(0.0, 2.0, ""), "\"0.43 ± 0.03\"").knob(),
    number("car.frontal_area", "frontal area, with drag_coefficient", Area, over(0.0, 20.0, "m2"), "\"1.66 m2 ± 0.05 m2\"").knob(),
    number("car.drag_area", "drag coefficient times frontal area, instead of the two", Area, over(0.0, 20.0, "m2"), "\"0.71 m2 ± 0.05 m2\"").knob(),
    number("car.brake_drag", "constant force of dragging brakes and wheel bearings", Force, from(0.0, 2000.0, "N"), "\"15 N ± 10 N\"")
        .assumed("15 N ± 10 N", JUDGEMENT).knob(),
    number("car.road_load.f0", "coast-down: constant part of the road load", Force, from(0.0, 10_000.0, "N"), "\"110 N\"").required().knob(),
    number("car.road_load.f1", "coast-down: part that grows with speed", ForcePerSpeed, from(-500.0, 500.0, "N/(m/s)"), "\"0.5 N/(m/s)\"").required().knob(),
    number("car.road_load.f2", "coast-down: part that grows with speed squared", ForcePerSpeedSquared, from(0.0, 50.0, "N/(m/s)^2"), "\"0.43 N/(m/s)^2\"").required().knob(),
    number("car.road_load.mass", "coast-down: mass of the car during the runs", Mass, over(100.0, 20_000.0, "kg"), "\"905 kg\"").required(),
    number("car.road_load.temperature", "coast-down: air temperature that the coefficients hold for", Temperature, from(-40.0, 60.0, "°C"), "\"20 °C\"")
        .assumed("20 °C", "reference air of coast-down standards"),
    number("car.road_load.pressure", "coast-down: air pressure that the coefficients hold for", Pressure, from(50.0, 110.0, "kPa"), "\"100 kPa\"")
        .assumed("100 kPa", "reference air of coast-down standards"),
    row("car.road_load.turning", "coast-down: what turned with the wheels", KeyKind::Words(&["axle", "gearbox", "motor"]), "[\"axle\", \"gearbox\"]").required(),
    number("corner_weights.front_left", "load under the front left wheel before the conversion", Mass, over(0.0, 5000.0, "kg"), "\"221.5 kg\"").required().knob(),
    number("corner_weights.front_right", "load under the front right wheel before the conversion", Mass, over(0.0, 5000.0, "kg"), "\"214.0 kg\"").required().knob(),
    number("corner_weights.rear_left", "load under the rear left wheel before the conversion", Mass, over(0.0, 5000.0, "kg"), "\"176.5 kg\"").required().knob(),
    number("corner_weights.rear_right", "load under the rear right wheel before the conversion", Mass, over(0.0, 5000.0, "kg"), "\"180.0 kg\"").required().knob(),
    number("taken_out.*.mass", "mass of a part that leaves the car", Mass, from(0.0, 5000.0, "kg"), "\"148 kg\"").required().knob(),
    number("taken_out.*.behind_front_axle", "where the part sat, behind the front axle (in front is negative)", Length, from(-5.0, 10.0, "m"), "\"0.12 m\"").required().knob(),
    number("taken_out.*.right_of_centre", "where the part sat, right of the centre line (left is negative)", Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line").knob(),
    number("taken_out.*.above_ground", "height of the part above the ground", Length, from(0.0, 3.0, "m"), "\"0.55 m\"").knob(),
    number("put_in.*.mass", "mass of a part that enters the car", Mass, from(0.0, 5000.0, "kg"), "\"71 kg\"").required().knob(),
    number("put_in.*.behind_front_axle", "where the part sits, behind the front axle (in front is negative)", Length, from(-5.0, 10.0, "m"), "\"0.55 m\"").required().knob(),
    number("put_in.*.right_of_centre", "where the part sits, right of the centre line (left is negative)", Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line").knob(),
    number("put_in.*.above_ground", "height of the part above the ground", Length, from(0.0, 3.0, "m"), "\"0.45 m\"").knob(),
    number("seat.*.mass", "mass of the person in this seat", Mass, from(0.0, 500.0, "kg"), "\"78 kg\"").required().knob(),
    number("seat.*.behind_front_axle", "where the person sits, behind the front axle", Length, from(-5.0, 10.0, "m"), "\"1.25 m\"").required().knob(),
    number("seat.*.right_of_centre", "where the person sits, right of the centre line (left is negative)", Length, from(-2.0, 2.0, "m"), "\"0.33 m\"")
        .assumed("0 m", "on the centre line").knob(),
    number("seat.*.above_ground", "height of the person's centre of mass above the ground", Length, from(0.0, 3.0, "m"), "\"0.65 m\"").knob(),
    row("seat.*.aboard", "the person counts while driving; others count only in the laden cases", KeyKind::Flag, "true")
        .derived("the first seat is the driver's and taken, the others are empty"),
    number("luggage.mass", "luggage aboard while driving", Mass, from(0.0, 2000.0, "kg"), "\"0 kg\"")
        .assumed("0 kg", "no luggage is named").knob(),
    number("luggage.behind_front_axle", "where luggage goes, behind the front axle", Length, from(-5.0, 10.0, "m"), "\"2.75 m\"")
        .derived("luggage is taken to lie over the rear axle").knob(),
    number("luggage.right_of_centre", "where luggage goes, right of the centre line (left is negative)", Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line").knob(),
    number("luggage.above_ground", "height of the luggage above the ground", Length, from(0.0, 3.0, "m"), "\"0.60 m\"").knob(),
    number("plate.gross", "gross mass on the plate", Mass, over(0.0, 20_000.0, "kg"), "\"1180 kg\""),
    number("plate.front_axle", "highest front axle load on the plate", Mass, over(0.0, 10_000.0, "kg"), "\"560 kg\""),
    number("plate.rear_axle", "highest rear axle load on the plate", Mass, over(0.0, 10_000.0, "kg"), "\"660 kg\""),
    row("tyres.size", "the mark on the side wall", KeyKind::TyreMark, "\"155/80 R13 79T\"").required(),
    number("tyres.rolling_resistance", "rolling resistance coefficient on a dry road at 20 °C", Ratio, over(0.0, 0.2, ""), "\"0.0115 ± 0.0015\"").knob(),
    row("tyres.label_class", "rolling resistance class of the EU label (2020/740), instead of the coefficient", KeyKind::Choice(&["A", "B", "C", "D", "E"]), "\"E\""),
    number("tyres.drum_to_road", "factor from the coefficient as given to the road", Ratio, from(0.5, 3.0, ""), "\"1.1 ± 0.15\"")
        .derived("1 for rolling_resistance, which holds on the road; 1.1 ± 0.15 for a label class, which holds on a smooth drum (engineering judgement)").knob(),
    number("tyres.rolled.turns", "turns of a driven wheel while the car was pushed", Ratio, over(0.0, 10_000.0, ""), "5").required(),
    number("tyres.rolled.distance", "distance that the car was pushed", Length, over(0.0, 100.0, "km"), "\"8.80 m\"").required(),
    number("tyres.revolutions_per_km", "turns of the wheel for a kilometre, the tyre maker's figure", Ratio, over(100.0, 2000.0, ""), "568"),
    number("tyres.wheel_inertia", "moment of inertia of one wheel with tyre and brake", Inertia, from(0.0, 50.0, "kg m2"), "\"0.62 kg m2\"")
        .assumed("0.65 kg m2 ± 30 %", "engineering judgement: 12 kg at four fifths of the rolling radius").knob(),
    number("tyres.grip.dry", "greatest tractive force over wheel load on a dry road", Ratio, from(0.01, 2.0, ""), "0.8")
        .assumed("0.8 ± 0.1", JUDGEMENT).knob(),
    number("tyres.grip.wet", "greatest tractive force over wheel load on a wet road", Ratio, from(0.01, 2.0, ""), "0.55")
        .assumed("0.55 ± 0.1", JUDGEMENT).knob(),
    number("tyres.grip.ice", "greatest tractive force over wheel load on ice", Ratio, from(0.01, 2.0, ""), "0.15")
        .assumed("0.15 ± 0.05", JUDGEMENT).knob(),
    whole("pack.box.*.room_for", "modules that fit into this box", 0.0, 1000.0, "5").required(),
    number("pack.box.*.behind_front_axle", "where the modules of this box sit, behind the front axle", Length, from(-5.0, 10.0, "m"), "\"0.02 m\"").required().knob(),
    number("pack.box.*.right_of_centre", "where the modules of this box sit, right of the centre line (left is negative)", Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line").knob(),
    number("pack.box.*.above_ground", "height of the modules of this box above the ground", Length, from(0.0, 3.0, "m"), "\"0.50 m\"").knob(),
];
