//! Coast-down coefficients: carried from their own mass and weather, and nothing counted twice; and
//! drag area from the top speed of the day.

use crownwheel::air::density_kgpm3;
use crownwheel::balance::Energies;
use crownwheel::constants::{SEA_LEVEL_PRESSURE_PA, STANDARD_GRAVITY_MPS2, ZERO_CELSIUS_K};
use crownwheel::driveline::cold_oil_factor;
use crownwheel::example::small_saloon;
use crownwheel::road_load::{TopSpeed, drag_area_from_top_speed_m2};
use crownwheel::spec::{
    CarSpec, DaySpec, DragSpec, FirstStage, RoadLoadSpec, RoadSurface, TurningParts,
};
use crownwheel::tyre::rolling_factor;
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use crate::fixture::ideal_day;
use crate::run::{run, trace};

const SECONDS: f64 = 600.0;
const SPEED_MPS: f64 = 20.0;

/// The saloon with coefficients that hold for its own mass, 20 °C and sea level, on tyres as warm as the air.
fn coasted(coefficients: [f64; 3], turning: TurningParts) -> CarSpec {
    let mut car = small_saloon();
    car.tyres.temperature_rise_k = 0.0;
    let mass_kg = Car::new(&car).unwrap().mass_kg();
    let [f0_n, f1_n_per_mps, f2_n_per_mps2] = coefficients;
    car.road_load = RoadLoadSpec::Coefficients {
        f0_n,
        f1_n_per_mps,
        f2_n_per_mps2,
        mass_kg,
        temperature_k: ideal_day().temperature_k,
        pressure_pa: SEA_LEVEL_PRESSURE_PA,
        turning,
        road_factor: 1.0,
    };
    car
}

/// Energies of ten minutes at a steady speed.
fn steady(car: &CarSpec, day: &DaySpec, speed_mps: f64) -> Energies<f64> {
    run(car, day, &trace(&[(0.0, speed_mps), (SECONDS, speed_mps)], 0.0), None).balance.sum
}

const COEFFICIENTS: [f64; 3] = [120.0, 1.2, 0.42];

#[test]
fn at_their_own_mass_and_weather_they_hold_as_they_are() {
    let sum = steady(&coasted(COEFFICIENTS, TurningParts::default()), &ideal_day(), SPEED_MPS);
    let distance_m = SPEED_MPS * SECONDS;
    assert_close!(sum.rolling_j, 120.0 * distance_m, abs = 0.0, rel = 1e-9);
    assert_close!(sum.linear_j, 1.2 * SPEED_MPS * distance_m, abs = 0.0, rel = 1e-9);
    assert_close!(sum.air_j, 0.42 * SPEED_MPS.powi(2) * distance_m, abs = 0.0, rel = 1e-9);
    assert_close!(sum.brake_drag_j, 0.0, abs = 0.0, rel = 0.0);
}

/// Thin air: the square part falls with density, the others stay.
#[test]
fn density_scales_the_square_part_alone() {
    let car = coasted(COEFFICIENTS, TurningParts::default());
    let (low, high_day) = (ideal_day(), DaySpec { altitude_m: 1600.0, ..ideal_day() });
    let (at_sea, high) = (steady(&car, &low, SPEED_MPS), steady(&car, &high_day, SPEED_MPS));
    let density = |day: &DaySpec| Day::new(day).unwrap().air_density_kgpm3();
    let ratio = density(&high_day) / density(&low);
    assert!(ratio < 0.85);
    assert_close!(high.air_j / at_sea.air_j, ratio, abs = 0.0, rel = 1e-9);
    assert_close!(high.rolling_j, at_sea.rolling_j, abs = 0.0, rel = 1e-9);
    assert_close!(high.linear_j, at_sea.linear_j, abs = 0.0, rel = 1e-9);
}

#[test]
fn mass_scales_the_constant_part_alone() {
    let car = coasted(COEFFICIENTS, TurningParts::default());
    let mut laden = car.clone();
    laden.weights.luggage.mass_kg += 150.0;
    let mass_kg = |car: &CarSpec| Car::new(car).unwrap().mass_kg();
    let ratio = mass_kg(&laden) / mass_kg(&car);
    let (empty, full) =
        (steady(&car, &ideal_day(), SPEED_MPS), steady(&laden, &ideal_day(), SPEED_MPS));
    assert!(ratio > 1.1);
    assert_close!(full.rolling_j / empty.rolling_j, ratio, abs = 0.0, rel = 1e-9);
    assert_close!(full.linear_j, empty.linear_j, abs = 0.0, rel = 1e-9);
    assert_close!(full.air_j, empty.air_j, abs = 0.0, rel = 1e-9);
}

/// Cold tyres: the constant and the linear part by `1 + 0.0086 (20 °C - T)`, the square part by the
/// air's density.
#[test]
fn temperature_scales_the_parts_of_the_tyres() {
    let car = coasted(COEFFICIENTS, TurningParts::default());
    let cold_day = DaySpec { temperature_k: ZERO_CELSIUS_K, ..ideal_day() };
    let (mild, cold) = (steady(&car, &ideal_day(), SPEED_MPS), steady(&car, &cold_day, SPEED_MPS));
    let tyres = 1.0 + 0.0086 * 20.0;
    assert_close!(cold.rolling_j / mild.rolling_j, tyres, abs = 0.0, rel = 1e-9);
    assert_close!(cold.linear_j / mild.linear_j, tyres, abs = 0.0, rel = 1e-9);
    let density = |day: &DaySpec| Day::new(day).unwrap().air_density_kgpm3();
    let air = density(&cold_day) / density(&ideal_day());
    assert_close!(cold.air_j / mild.air_j, air, abs = 0.0, rel = 1e-9);
}

/// Coefficients taken on a cold day and used on it are what they are.
#[test]
fn a_cold_coast_down_holds_on_its_own_day() {
    let mut car = coasted(COEFFICIENTS, TurningParts::default());
    let cold_k = ZERO_CELSIUS_K + 3.0;
    if let RoadLoadSpec::Coefficients { temperature_k, .. } = &mut car.road_load {
        *temperature_k = cold_k;
    }
    let day = DaySpec { temperature_k: cold_k, ..ideal_day() };
    let sum = steady(&car, &day, SPEED_MPS);
    let distance_m = SPEED_MPS * SECONDS;
    assert_close!(sum.rolling_j, 120.0 * distance_m, abs = 0.0, rel = 1e-9);
    assert_close!(sum.air_j, 0.42 * SPEED_MPS.powi(2) * distance_m, abs = 0.0, rel = 1e-9);
}

/// The saloon with terms, its oil always alike: what follows is about forces.
fn in_terms() -> CarSpec {
    let mut car = small_saloon();
    car.tyres.temperature_rise_k = 0.0;
    car.driveline.oil_viscosity_exponent = 0.0;
    car
}

/// Force of the terms at the tyre on the ideal day, as coefficients: constant, linear, square.
fn terms_as_coefficients(car: &CarSpec) -> [f64; 3] {
    let day = Day::new(&ideal_day()).unwrap();
    let car = Car::new(car).unwrap();
    let rolling_n = car.mass_kg() * STANDARD_GRAVITY_MPS2 * car.rolling_resistance();
    assert_close!(
        rolling_factor(day.air().temperature_k, RoadSurface::Dry),
        1.0,
        abs = 1e-12,
        rel = 0.0
    );
    [rolling_n + 15.0, 0.0, 0.5 * day.air_density_kgpm3() * car.drag_area_m2()]
}

/// Drag of axle and reduction without load, felt at the tyre, as a constant and a linear part:
/// `T (0.5 + 0.5 ω/ω_ref)` at each input shaft, by its ratio to the wheel.
fn driveline_drag(car: &CarSpec) -> [f64; 2] {
    let radius_m = Car::new(car).unwrap().rolling_radius_m();
    let FirstStage::Reduction(reduction) = car.driveline.first else { panic!("a reduction") };
    let axle = car.driveline.axle;
    let mut sum = [0.0, 0.0];
    for (stage, to_wheel) in [(axle, axle.ratio), (reduction, axle.ratio * reduction.ratio)] {
        let half_n = 0.5 * stage.drag_torque_nm * to_wheel / radius_m;
        sum[0] += half_n;
        sum[1] += half_n * to_wheel / radius_m / stage.drag_speed_radps;
    }
    sum
}

/// With nothing turning the coefficients are the terms, and every energy is the same.
#[test]
fn terms_and_their_coefficients_use_the_same() {
    let terms = in_terms();
    let mut coasted = coasted(terms_as_coefficients(&terms), TurningParts::default());
    coasted.driveline.oil_viscosity_exponent = 0.0;
    for speed_mps in [8.0, 16.0, 25.0] {
        let (one, other) =
            (steady(&terms, &ideal_day(), speed_mps), steady(&coasted, &ideal_day(), speed_mps));
        assert_close!(one.from_pack_j, other.from_pack_j, abs = 0.0, rel = 1e-9, "{speed_mps}");
    }
}

/// A coast-down in neutral carries the drag of axle and reduction in its coefficients. Told so, the
/// model uses the same as in terms, to 1 % (drag met as load passes the efficiencies); not told, it
/// counts the drag twice, and that is seen.
#[test]
fn what_was_turning_is_not_counted_twice() {
    let terms = in_terms();
    let ([f0, _, f2], [constant_n, linear]) =
        (terms_as_coefficients(&terms), driveline_drag(&terms));
    let with = |turning| {
        let mut car = coasted([f0 + constant_n, linear, f2], turning);
        car.driveline.oil_viscosity_exponent = 0.0;
        car
    };
    let told = with(TurningParts { axle: true, gearbox: true, motor: false });
    let not_told = with(TurningParts::default());
    for speed_mps in [8.0, 16.0, 25.0] {
        let used_j = |car: &CarSpec| steady(car, &ideal_day(), speed_mps).from_pack_j;
        assert_close!(used_j(&told), used_j(&terms), abs = 0.0, rel = 0.01, "{speed_mps} m/s");
        assert!(used_j(&not_told) > 1.03 * used_j(&terms), "{speed_mps} m/s");
    }
}

/// Losses that grow with load stay, whatever turned.
#[test]
fn load_losses_stay() {
    let turning = TurningParts { axle: true, gearbox: true, motor: true };
    let sum = steady(&coasted(COEFFICIENTS, turning), &ideal_day(), SPEED_MPS);
    let wheel_j = sum.rolling_j + sum.linear_j + sum.air_j;
    // The saloon's stages, 0.96 and 0.98, and nothing else in the driveline.
    let exact_j = wheel_j * (1.0 / (0.96 * 0.98) - 1.0);
    assert_close!(sum.driveline_j, exact_j, abs = 0.0, rel = 1e-9);
    assert!(sum.motor_j > 0.0);
    assert_close!(cold_oil_factor(ZERO_CELSIUS_K + 80.0, 0.33), 1.0, abs = 1e-12, rel = 0.0);
}

/// The inverse: a car with that drag area takes, at that speed, just the power that reached its
/// wheels.
#[test]
fn drag_area_from_top_speed_takes_the_power_at_that_speed() {
    let mut spec = small_saloon();
    spec.tyres.temperature_rise_k = 0.0;
    let car = Car::new(&spec).unwrap();
    let day = Day::new(&ideal_day()).unwrap();
    let top = TopSpeed {
        speed_mps: 129.0 / 3.6,
        power_w: 43e3,
        driveline_frac: 0.88,
        mass_kg: car.mass_kg(),
        rolling_resistance: car.rolling_resistance(),
        density_kgpm3: day.air_density_kgpm3(),
    };
    let area_m2 = drag_area_from_top_speed_m2(&top).unwrap();
    spec.road_load = RoadLoadSpec::Terms {
        drag: DragSpec::Area(area_m2),
        brake_drag_n: 0.0,
        drag_rise_at_10_deg_yaw: 0.0,
    };
    let sum =
        run(&spec, &ideal_day(), &trace(&[(0.0, top.speed_mps), (2.0, top.speed_mps)], 0.0), None);
    let distance_m = sum.distance_m;
    let wheel_w = (sum.balance.sum.air_j + sum.balance.sum.rolling_j) / distance_m * top.speed_mps;
    assert_close!(wheel_w, 43e3 * 0.88, abs = 0.0, rel = 1e-6);
    assert!(density_kgpm3(day.air()) > 1.19);
    // Tyres that take more than there is leave nothing for the air.
    assert_eq!(drag_area_from_top_speed_m2(&TopSpeed { rolling_resistance: 0.2, ..top }), None);
}
