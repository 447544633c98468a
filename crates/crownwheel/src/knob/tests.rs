//! Tests: knobs find themselves, set what they get, and are missing where a car lacks the number.

use super::*;
use crate::example::{mild_day, small_saloon};
use crate::spec::{FirstStage, GearboxSpec, Shifting, StageSpec, Wind};

#[test]
fn every_knob_finds_itself_and_sets_what_it_gets() {
    let mut spec = small_saloon();
    let all = Knob::all(&spec);
    assert!(all.len() > 60);
    for (path, knob) in all {
        assert_eq!(Knob::find(&path, &spec), Ok(knob), "{path}");
        let value = knob.get(&spec).unwrap();
        knob.set(&mut spec, value + 1.0).unwrap();
        assert_eq!(knob.get(&spec), Some(value + 1.0), "{path}");
        knob.set(&mut spec, value).unwrap();
    }
    assert_eq!(spec, small_saloon());
}

#[test]
fn one_key_of_a_gearbox_sets_all_gears() {
    let mut spec = small_saloon();
    assert!(Knob::find("driveline.gearbox.efficiency", &spec).is_err());
    let gear = StageSpec { ratio: 3.6, ..spec.driveline.axle };
    let shifting = Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.6 };
    let gears = vec![gear, StageSpec { ratio: 2.1, ..gear }];
    spec.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
    for (path, wanted) in
        [("driveline.gearbox.efficiency", 0.93), ("driveline.gearbox.drag_torque", 0.7)]
    {
        let knob = Knob::find(path, &spec).unwrap();
        knob.set(&mut spec, wanted).unwrap();
        assert_eq!(knob.get(&spec), Some(wanted));
    }
    let gears = (0..2).map(|gear| *spec.driveline.first.stage(gear).unwrap());
    for (gear, ratio) in gears.zip([3.6, 2.1]) {
        assert_eq!(gear, StageSpec { ratio, efficiency_frac: 0.93, drag_torque_nm: 0.7, ..gear });
    }
    let shift = Knob::find("driveline.gearbox.shift_time", &spec).unwrap();
    assert_eq!(shift.get(&spec), Some(0.6));
}

#[test]
fn one_track_is_both_while_they_are_alike() {
    let mut spec = small_saloon();
    let track = Knob::find("car.track", &spec).unwrap();
    track.set(&mut spec, 1.25).unwrap();
    for path in ["car.track", "car.track_front", "car.track_rear"] {
        assert_eq!(Knob::find(path, &spec).unwrap().get(&spec), Some(1.25), "{path}");
    }
    spec.weights.track_rear_m = 1.3;
    assert!(Knob::find("car.track", &spec).is_err());
    assert!(track.set(&mut spec, 1.2).is_err());
}

#[test]
fn what_is_left_open_is_no_knob_and_what_is_given_is() {
    let mut spec = small_saloon();
    let path = format!("put_in.{}.above_ground", spec.weights.put_in[0].name);
    spec.weights.put_in[0].place.above_ground_m = None;
    assert!(Knob::find(&path, &spec).is_err());
    spec.weights.put_in[0].place.above_ground_m = Some(0.4);
    let knob = Knob::find(&path, &spec).unwrap();
    knob.set(&mut spec, 0.5).unwrap();
    assert_eq!(spec.weights.put_in[0].place.above_ground_m, Some(0.5));
    assert!(Knob::find("motor.armature_resistance", &spec).is_err());
    spec.motor.armature_ohm = 0.012;
    assert!(Knob::find("motor.armature_resistance", &spec).is_ok());
}

#[test]
fn what_a_car_does_not_have_is_no_knob_of_it() {
    let spec = small_saloon();
    assert!(Knob::find("car.drag_area", &spec).is_err());
    assert!(Knob::find("put_in.sail.mass", &spec).is_err());
    assert!(Knob::find("car.colour", &spec).is_err());
    let knob = Knob::find("pack.modules_in_series", &spec).unwrap();
    assert!(knob.set(&mut small_saloon(), 8.5).is_err());
}

fn day_knobs() -> impl Iterator<Item = &'static Key> {
    keys::all().filter(|key| matches!(key.bind, Bind::Day(_)) && key.is_adjustable())
}

#[test]
fn every_number_of_a_day_is_found_and_set() {
    let wind = Wind::AllRound { speed_mps: 5.0, height_m: 10.0 };
    let mut day = DaySpec { pack_temperature_k: Some(280.0), wind, ..mild_day() };
    for key in day_knobs() {
        let path = key.named(&day.name);
        let knob = DayKnob::find(&path, &day).unwrap();
        assert_eq!(knob.key().path, key.path);
        let value = knob.get(&day).unwrap();
        knob.set(&mut day, value + 1.0).unwrap();
        assert_eq!(knob.get(&day), Some(value + 1.0), "{path}");
    }
    assert_eq!(day_knobs().count(), 6);
    assert_eq!(day.wind, Wind::AllRound { speed_mps: 6.0, height_m: 10.0 });
}

#[test]
fn a_calm_day_has_no_wind_to_set_and_another_day_is_another() {
    let whole = DaySpec {
        wind: Wind::AllRound { speed_mps: 5.0, height_m: 10.0 },
        pack_temperature_k: Some(280.0),
        ..mild_day()
    };
    let mut bare = DaySpec { wind: Wind::Calm, pack_temperature_k: None, ..mild_day() };
    for field in ["wind", "pack_temperature"] {
        let path = format!("day.{}.{field}", bare.name);
        assert!(DayKnob::find(&path, &bare).is_err());
        let knob = DayKnob::find(&path, &whole).unwrap();
        assert!(knob.set(&mut bare, 1.0).is_err());
    }
    assert!(DayKnob::find("day.some_other_day.temperature", &whole).is_err());
    assert!(DayKnob::find("temperature", &whole).is_err());
}

#[test]
fn a_slip_is_said_with_what_was_meant() {
    let spec = small_saloon();
    let nearest = |path: &str| Knob::find(path, &spec).unwrap_err().nearest;
    assert_eq!(nearest("put_in.motor.mas").as_deref(), Some("put_in.motor.mass"));
    assert_eq!(nearest("car.drag_area"), None, "it is a key, of another car");
}
