//! Wind, height, and the state of the road.

use std::f64::consts::TAU;

use crownwheel::balance::Energies;
use crownwheel::example::small_saloon;
use crownwheel::road_load::{all_round_m2ps2, wind_at_car_mps, yaw_factor};
use crownwheel::spec::{CarSpec, DaySpec, RoadLoadSpec, RoadSurface, Wind};
use crownwheel::tyre::{ROUGH_ROLLING_FACTOR, WET_ROLLING_FACTOR};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use crate::fixture::ideal_day;
use crate::run::{run, trace};

const SECONDS: f64 = 300.0;

/// Energies of five minutes at a steady speed, and the metres.
fn steady(car: &CarSpec, day: &DaySpec, speed_mps: f64) -> (Energies<f64>, f64) {
    let run = run(car, day, &trace(&[(0.0, speed_mps), (SECONDS, speed_mps)], 0.0), None);
    (run.balance.sum, run.distance_m)
}

fn with_wind(wind: Wind) -> DaySpec {
    DaySpec { wind, ..ideal_day() }
}

/// Rise of drag area at 10° of yaw, of the saloon.
const RISE: f64 = 0.05;

/// Mean over headings, written out with many more of them than the library takes.
fn by_many_headings(speed_mps: f64, wind_mps: f64, rise: f64) -> f64 {
    let count = 40_000;
    let mut sum = 0.0;
    for i in 0..count {
        let angle = TAU * (f64::from(i) + 0.5) / f64::from(count);
        let (along, across) = (speed_mps + wind_mps * angle.cos(), wind_mps * angle.sin());
        let yaw = across.atan2(along).abs().min(20f64.to_radians());
        let factor = 1.0 + rise * (yaw.sin() / 10f64.to_radians().sin()).powi(2);
        sum += along.hypot(across) * along * factor;
    }
    sum / f64::from(count)
}

#[test]
fn wind_from_all_round_is_the_mean_over_headings() {
    for (speed_mps, wind_mps) in [(8.0, 5.0), (15.0, 4.0), (25.0, 3.0), (25.0, 8.0)] {
        for rise in [0.0, RISE, 0.12] {
            let exact = by_many_headings(speed_mps, wind_mps, rise);
            let found = all_round_m2ps2(speed_mps, wind_mps, rise);
            // 72 headings against 40,000; the corner at 20° of yaw is what they miss.
            assert_close!(found, exact, abs = 0.0, rel = 2e-3, "{speed_mps} {wind_mps} {rise}");
        }
    }
}

#[test]
fn drag_area_rises_with_yaw_and_then_no_more() {
    assert_close!(yaw_factor(RISE, 0.0), 1.0, abs = 0.0, rel = 0.0);
    assert_close!(yaw_factor(RISE, 10f64.to_radians()), 1.0 + RISE, abs = 1e-12, rel = 0.0);
    assert_close!(yaw_factor(RISE, -0.1), yaw_factor(RISE, 0.1), abs = 0.0, rel = 0.0);
    let held = yaw_factor(RISE, 20f64.to_radians());
    assert_close!(yaw_factor(RISE, 1.0), held, abs = 1e-12, rel = 0.0);
}

/// A whole car in the wind: its work against the air is `½ ρ C_dA` times that mean, and yaw adds to
/// it.
#[test]
fn the_car_feels_the_mean_with_yaw() {
    let saloon = small_saloon();
    let mut slab_sided = saloon.clone();
    let mut slippery = saloon.clone();
    for (car, rise) in [(&mut slab_sided, 0.12), (&mut slippery, 0.0)] {
        if let RoadLoadSpec::Terms { drag_rise_at_10_deg_yaw, .. } = &mut car.road_load {
            *drag_rise_at_10_deg_yaw = rise;
        }
    }
    let windy = with_wind(Wind::AllRound { speed_mps: 6.0, height_m: 0.75 });
    let density = Day::new(&windy).unwrap().air_density_kgpm3();
    let half_area = 0.5 * density * Car::new(&saloon).unwrap().drag_area_m2();
    for speed_mps in [12.0, 22.0] {
        let mut last_j = steady(&saloon, &ideal_day(), speed_mps).0.air_j;
        for (car, rise) in [(&slippery, 0.0), (&saloon, RISE), (&slab_sided, 0.12)] {
            let (sum, distance_m) = steady(car, &windy, speed_mps);
            let exact_j = half_area * by_many_headings(speed_mps, 6.0, rise) * distance_m;
            assert_close!(sum.air_j, exact_j, abs = 0.0, rel = 2e-3, "{speed_mps} {rise}");
            assert!(sum.air_j > last_j);
            last_j = sum.air_j;
        }
    }
}

/// Over open land 10 m/s in the forecast, for 10 m height, are `ln 25 / ln 333` of it at the car.
#[test]
fn a_forecast_counts_at_the_height_of_the_car() {
    let car = small_saloon();
    let air_j = |wind| steady(&car, &with_wind(wind), 20.0).0.air_j;
    let forecast = air_j(Wind::AlongRoad { speed_mps: 10.0, height_m: 10.0 });
    let at_car_mps = 10.0 * 25_f64.ln() / (10.0_f64 / 0.03).ln();
    let at_car = air_j(Wind::AlongRoad { speed_mps: at_car_mps, height_m: 0.75 });
    assert_close!(forecast, at_car, abs = 0.0, rel = 1e-9);
    let forecast = air_j(Wind::AllRound { speed_mps: 10.0, height_m: 10.0 });
    let at_car = air_j(Wind::AllRound { speed_mps: at_car_mps, height_m: 0.75 });
    assert_close!(forecast, at_car, abs = 0.0, rel = 1e-9);
    // The higher the mast, the less of its wind is at the car.
    assert!(wind_at_car_mps(10.0, 4.0) > wind_at_car_mps(10.0, 8.0));
    assert!(wind_at_car_mps(10.0, 50.0) < wind_at_car_mps(10.0, 10.0));
}

/// `(v + w)|v + w|`: a tailwind that is faster than the car pushes it.
#[test]
fn a_tailwind_faster_than_the_car_pushes() {
    let tail = with_wind(Wind::AlongRoad { speed_mps: -12.0, height_m: 0.75 });
    let (sum, distance_m) = steady(&small_saloon(), &tail, 5.0);
    let car = Car::new(&small_saloon()).unwrap();
    let density = Day::new(&tail).unwrap().air_density_kgpm3();
    let exact_j = -0.5 * density * car.drag_area_m2() * 49.0 * distance_m;
    assert_close!(sum.air_j, exact_j, abs = 0.0, rel = 1e-2);
}

/// Up high there is less air and less drag; tyres do not care.
#[test]
fn altitude_thins_the_air() {
    let car = small_saloon();
    let (sea, _) = steady(&car, &ideal_day(), 25.0);
    let mut last_j = sea.air_j;
    for altitude_m in [500.0, 1500.0, 3000.0] {
        let day = DaySpec { altitude_m, ..ideal_day() };
        let (high, _) = steady(&car, &day, 25.0);
        let density = |day: &DaySpec| Day::new(day).unwrap().air_density_kgpm3();
        let ratio = density(&day) / density(&ideal_day());
        assert_close!(high.air_j / sea.air_j, ratio, abs = 0.0, rel = 1e-9);
        assert_close!(high.rolling_j, sea.rolling_j, abs = 0.0, rel = 1e-9);
        assert!(high.air_j < last_j && high.from_pack_j < sea.from_pack_j);
        last_j = high.air_j;
    }
}

#[test]
fn wet_and_rough_roads_use_more() {
    let car = small_saloon();
    let on = |road| steady(&car, &DaySpec { road, ..ideal_day() }, 15.0).0;
    let dry = on(RoadSurface::Dry);
    let surfaces =
        [(RoadSurface::Wet, WET_ROLLING_FACTOR), (RoadSurface::Rough, ROUGH_ROLLING_FACTOR)];
    for (road, factor) in surfaces {
        let sum = on(road);
        assert_close!(sum.rolling_j / dry.rolling_j, factor, abs = 0.0, rel = 1e-9, "{road:?}");
        assert_close!(sum.air_j, dry.air_j, abs = 0.0, rel = 1e-9, "{road:?}");
        assert!(sum.from_pack_j > 1.02 * dry.from_pack_j, "{road:?}");
    }
    let grip = |road| Car::new(&car).unwrap().grip(road);
    assert!(grip(RoadSurface::Rough) < grip(RoadSurface::Dry));
    assert!(grip(RoadSurface::Ice) < grip(RoadSurface::Wet));
}

/// `m g C (1 + rise v²)`, and the factors of drum and road.
#[test]
fn rolling_resistance_rises_with_the_square_of_speed() {
    let mut car = small_saloon();
    car.tyres.rolling_rise_per_mps2 = 2.0e-4;
    car.tyres.temperature_rise_k = 0.0;
    car.tyres.drum_to_road = 1.1;
    let built = Car::new(&car).unwrap();
    let at_rest_n = built.mass_kg() * crownwheel::constants::STANDARD_GRAVITY_MPS2 * 0.0115 * 1.1;
    for speed_mps in [5.0, 15.0, 30.0] {
        let (sum, distance_m) = steady(&car, &ideal_day(), speed_mps);
        let exact_j = at_rest_n * (1.0 + 2.0e-4 * speed_mps * speed_mps) * distance_m;
        assert_close!(sum.rolling_j, exact_j, abs = 0.0, rel = 1e-9, "{speed_mps} m/s");
    }
    // Speeding up evenly, work is the integral of the force over the way: ∫ (1 + r v²) v dv / a.
    let gained = run(&car, &ideal_day(), &trace(&[(0.0, 0.0), (20.0, 20.0)], 0.0), None);
    let exact_j = at_rest_n * (200.0 + 2.0e-4 * 20f64.powi(4) / 4.0);
    assert_close!(gained.balance.sum.rolling_j, exact_j, abs = 0.0, rel = 1e-9);
}
