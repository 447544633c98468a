//! Tests: the rows hold together.

use std::collections::BTreeSet;

use super::*;
use crate::example::{small_saloon, winter_day};
use crate::spec::{
    CabinSpec, DragSpec, FirstStage, GearboxSpec, MotorLossSpec, OriginalSpec, PackHeaterSpec,
    RatingSpec, RoadLoadSpec, RollingSpec, Shifting, ShortTrips, SpringsSpec, TurningParts,
};

#[test]
fn every_path_stands_once_and_has_words_a_range_and_an_example() {
    let mut seen = BTreeSet::new();
    for key in all() {
        assert!(seen.insert(key.path), "{}", key.path);
        assert!(key.title.len() > 5 && !key.example.is_empty(), "{}", key.path);
        let (low, high) = key.range.unwrap().ends_si();
        assert!(low < high && low.is_finite() && high.is_finite(), "{}", key.path);
    }
    assert!(seen.len() > 130, "{}", seen.len());
}

#[test]
fn code_may_say_what_a_build_may() {
    for key in all() {
        let (range, borne) = (key.range.unwrap(), key.borne().unwrap());
        let (low, high) = range.ends_si();
        let (lowest, highest) = borne.ends_si();
        assert!(lowest <= low && high <= highest, "{}", key.path);
        assert!(range.above_low || borne.allows(low), "{}", key.path);
    }
}

#[test]
fn what_may_be_assumed_has_a_source_and_advice() {
    for key in all() {
        match key.need {
            Need::Assumed { source, .. } => assert!(!source.is_empty(), "{}", key.path),
            Need::Derived { .. } => {}
            Need::Required | Need::Optional => continue,
        }
        let advice = key.advice.unwrap_or_else(|| panic!("{} has no advice", key.path));
        assert!(advice.matters.len() > 10 && advice.find_out.len() > 10, "{}", key.path);
    }
}

/// Cars that have, together, every number that a car can have.
fn cars() -> [CarSpec; 3] {
    let mut with_all = small_saloon();
    with_all.weights.springs = Some(SpringsSpec::default());
    with_all.original = Some(OriginalSpec { peak_torque_nm: 82.0, first_gear_ratio: 3.6 });
    with_all.road_load = RoadLoadSpec::Terms {
        drag: DragSpec::Area(0.7),
        brake_drag_n: 15.0,
        drag_rise_at_10_deg_yaw: 0.05,
    };
    with_all.loads[0].only_below_k = Some(278.15);
    with_all.cabin = Some(CabinSpec {
        set_k: 293.15,
        conductance_wpk: 80.0,
        heat_capacity_jpk: 60e3,
        max_w: 3e3,
        performance: 1.0,
    });
    with_all.pack.heater = Some(PackHeaterSpec { power_w: 600.0, only_below_k: 278.15 });
    with_all.tyres.rolling = RollingSpec::Rolled { turns: 5.0, distance_m: 8.8 };
    with_all.motor.armature_ohm = 0.012;
    with_all.motor.long_rating = Some(RatingSpec { torque_nm: 90.0, seconds: 1800.0 });
    with_all.motor.losses = MotorLossSpec::BestPoint {
        efficiency_frac: 0.92,
        speed_radps: 366.0,
        torque_nm: 70.0,
        light_load_share: 0.2,
    };
    let mut other = small_saloon();
    other.road_load = RoadLoadSpec::Coefficients {
        f0_n: 110.0,
        f1_n_per_mps: 0.5,
        f2_n_per_mps2: 0.43,
        mass_kg: 905.0,
        temperature_k: 293.15,
        pressure_pa: 1e5,
        turning: TurningParts::default(),
        road_factor: 1.0,
    };
    other.tyres.rolling = RollingSpec::RevolutionsPerKm(568.0);
    other.motor.losses = MotorLossSpec::Polynomial {
        copper_w_per_nm2: 0.12,
        iron_w_per_radps: 0.9,
        windage_w_per_radps3: 4e-7,
        fixed_w: 50.0,
    };
    let gears = vec![other.driveline.axle; 2];
    let shifting = Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.6 };
    other.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
    [small_saloon(), with_all, other]
}

#[test]
fn every_key_binds_and_reads_back_what_was_written() {
    let mut unbound: BTreeSet<&str> = all().map(|key| key.path).collect();
    for mut car in cars() {
        for key in all() {
            for place in key.places(&car) {
                let Some(number) = key.in_car(&mut car, place) else { continue };
                number.write(3.0).unwrap();
                assert_eq!(key.in_car(&mut car, place).unwrap().get(), Some(3.0), "{}", key.path);
                unbound.remove(key.path);
            }
        }
    }
    let mut day = winter_day();
    day.short_trips = Some(ShortTrips { length_m: 12e3, pause_s: 7_200.0 });
    for key in all() {
        if let Some(place) = key.in_day(&mut day) {
            place.write(3.0).unwrap();
            assert_eq!(key.in_day(&mut day).unwrap().get(), Some(3.0), "{}", key.path);
            unbound.remove(key.path);
        }
    }
    assert_eq!(unbound, BTreeSet::new());
}

/// No two keys write the same number, but where one says so.
#[test]
fn every_key_has_a_place_of_its_own() {
    for car in cars() {
        let mut written = car.clone();
        let own = || all().filter(|key| !key.repeats);
        let mut value = 1.0;
        let mut wanted = Vec::new();
        for key in own() {
            for place in key.places(&car) {
                let Some(number) = key.in_car(&mut written, place) else { continue };
                value += 1.0;
                number.write(value).unwrap();
                wanted.push((key, place, value));
            }
        }
        for (key, place, value) in wanted {
            let found = key.in_car(&mut written, place).unwrap().get();
            assert_eq!(found, Some(value), "{}", key.path);
        }
    }
}

#[test]
fn names_of_the_writer_stand_for_stars() {
    assert_eq!(find("taken_out.engine.mass").unwrap().path, "taken_out.*.mass");
    assert_eq!(find("motor.max_speed").unwrap().title, "highest permitted motor speed");
    assert!(find("motor").is_none());
}
