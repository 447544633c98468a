//! Cars as light, heavy, slippery and lossless as may be described.

use crownwheel::Car;
use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::range::RangeEnd;
use crownwheel::spec::{
    CarSpec, CornersKg, Differential, DragSpec, DrivenAxle, FirstStage, GearboxSpec, MotorLossSpec,
    PartSpec, RoadLoadSpec, Shifting, StageSpec, TurningParts,
};
use crownwheel_testkit::assert_close;

use super::answers::{assert_finite, assert_plain_refusal, to_the_end};

fn town() -> Vec<Cycle> {
    vec![Cycle::builtin("udds").unwrap()]
}

/// The saloon on other scales, with nothing taken out or put in and a pack of some weight.
fn of_mass(mass_kg: f64, module_kg: f64, driver_kg: f64) -> CarSpec {
    let mut car = small_saloon();
    let quarter_kg = mass_kg / 4.0;
    car.weights.corners = CornersKg {
        front_left_kg: quarter_kg,
        front_right_kg: quarter_kg,
        rear_left_kg: quarter_kg,
        rear_right_kg: quarter_kg,
    };
    car.weights.taken_out = Vec::new();
    car.weights.put_in = Vec::new();
    car.weights.seats[0].person.mass_kg = driver_kg;
    car.pack.module_mass_kg = module_kg;
    car
}

fn terms(area_m2: f64, brake_drag_n: f64) -> RoadLoadSpec {
    let drag = DragSpec::Area(area_m2);
    RoadLoadSpec::Terms { drag, brake_drag_n, drag_rise_at_10_deg_yaw: 0.0 }
}

#[test]
fn fifty_kilograms_and_sixty_tonnes() {
    // Tyres that carry 25 kg must not be asked to push a saloon's body through the air.
    let light = CarSpec { road_load: terms(0.1, 1.0), ..of_mass(48.0, 0.0, 2.0) };
    let mut heavy = of_mass(60e3, 11.4, 78.0);
    assert_finite("does not even roll", &heavy, &[mild_day()], &town());
    heavy.driveline.axle.ratio = 20.0;
    assert_finite("light", &light, &[mild_day(), winter_day()], &town());
    assert_finite("heavy", &heavy, &[mild_day(), winter_day()], &town());
    // Tyres as warm as the air, whatever the speed.
    let [light, heavy] = [light, heavy].map(|mut car| {
        car.tyres.temperature_rise_k = 0.0;
        to_the_end(&car, &mild_day(), &town()[0])
    });
    assert!(heavy.first.fell_behind && !light.first.fell_behind);
    assert!(heavy.distance_m < 0.3 * light.distance_m);
    // Rolling resistance for a metre is proportional to mass.
    let per_m = |run: &crownwheel::range::RangeRun| run.balance.sum.rolling_j / run.distance_m;
    let masses = (60e3 + 9.0 * 11.4 + 78.0) / 50.0;
    assert_close!(per_m(&heavy) / per_m(&light), masses, abs = 0.0, rel = 1e-9);
}

/// Without air, tyres, brakes and losses only the standing loads and the pack's resistance are left.
#[test]
fn nothing_holds_the_car_back() {
    let mut car = small_saloon();
    car.road_load = terms(0.0, 0.0);
    car.tyres.rolling_resistance = 0.0;
    assert_finite("no drag area, no rolling", &car, &[mild_day(), winter_day()], &town());
    lossless(&mut car);
    assert_finite("nothing", &car, &[mild_day()], &town());
    let found = to_the_end(&car, &mild_day(), &town()[0]);
    let sum = &found.balance.sum;
    let driving_j = sum.air_j + sum.rolling_j + sum.brake_drag_j + sum.driveline_j + sum.motor_j;
    assert_close!(driving_j, 0.0, abs = 1e-9 * found.balance.scale_j(), rel = 0.0);
    assert_close!(sum.friction_j, 0.0, abs = 1e-6 * found.balance.scale_j(), rel = 0.0);
    // 180 W behind a converter of 0.9: 200 W for as long as the run lasts.
    let standing_j = sum.ancillaries_j + sum.dcdc_j;
    assert_close!(standing_j, 200.0 * found.duration_s, abs = 0.0, rel = 1e-9);
    let left_j = sum.from_pack_j - standing_j - sum.pack_j - sum.kinetic_j;
    assert_close!(left_j, 0.0, abs = 1e-6 * sum.from_pack_j, rel = 0.0);
}

/// No losses from the pack to the wheels, all braking regained, cells that take any current.
fn lossless(car: &mut CarSpec) {
    car.motor.losses = MotorLossSpec::Polynomial {
        copper_w_per_nm2: 0.0,
        iron_w_per_radps: 0.0,
        windage_w_per_radps3: 0.0,
        fixed_w: 0.0,
    };
    car.motor.peak_seconds = None;
    (car.inverter.fixed_loss_w, car.inverter.loss_share) = (0.0, 0.0);
    car.driveline.axle.efficiency_frac = 1.0;
    car.driveline.axle.drag_torque_nm = 0.0;
    if let FirstStage::Reduction(stage) = &mut car.driveline.first {
        (stage.efficiency_frac, stage.drag_torque_nm) = (1.0, 0.0);
    }
    car.regen.share = 1.0;
    car.regen.fade_out_below_mps = 1e-9;
    car.pack.max_charge_per_h = 100.0;
    // A full pack takes nothing back: begin below the top of the cells.
    car.pack.usable_to_frac = 0.8;
    car.pack.cell_resistance_ohm = 1e-6;
}

#[test]
fn losses_without_end() {
    let mut car = small_saloon();
    car.motor.losses_scale = 20.0;
    car.inverter.loss_share = 0.5;
    car.driveline.axle.efficiency_frac = 0.01;
    car.tyres.rolling_resistance = 0.2;
    assert_finite("losses", &car, &[mild_day()], &town());
    let mut stiff = small_saloon();
    stiff.road_load = terms(30.0, 50e3);
    assert_finite("brakes that do not let go", &stiff, &[mild_day()], &town());
    let found = to_the_end(&stiff, &mild_day(), &town()[0]);
    assert_close!(found.distance_m, 0.0, abs = 1e-6, rel = 0.0);
}

#[test]
fn ratios_grip_and_wheels_at_their_ends() {
    let mut cars: Vec<(&str, CarSpec)> = Vec::new();
    for (name, ratio) in [("low", 50.0), ("tall", 0.05)] {
        let mut car = small_saloon();
        car.driveline.axle.ratio = ratio;
        cars.push((name, car));
    }
    for (name, grip) in [("ice everywhere", 0.01), ("glue", 2.0)] {
        let mut car = small_saloon();
        car.tyres.grip_dry = grip;
        cars.push((name, car));
    }
    let mut wheels = small_saloon();
    wheels.tyres.wheel_inertia_kgm2 = 100.0;
    wheels.motor.rotor_inertia_kgm2 = 50.0;
    cars.push(("flywheels", wheels));
    let mut weightless = small_saloon();
    weightless.tyres.wheel_inertia_kgm2 = 0.0;
    weightless.motor.rotor_inertia_kgm2 = 0.0;
    cars.push(("no turning mass", weightless));
    let mut front = small_saloon();
    front.driveline.driven_axle = DrivenAxle::Front;
    front.driveline.differential = Differential::Locked;
    front.weights.centre_of_gravity_height_m = 3.0;
    cars.push(("tall front drive", front));
    let mut tall = small_saloon();
    tall.weights.centre_of_gravity_height_m = 3.0;
    tall.tyres.grip_dry = 2.0;
    cars.push(("lifts its nose", tall));
    for (name, car) in cars {
        assert_finite(name, &car, &[mild_day()], &town());
    }
}

/// A motor that can do nothing at all, and one that could pull a train.
#[test]
fn motors_at_their_ends() {
    let mut weak = small_saloon();
    weak.motor.curve_scale = 0.1;
    let mut strong = small_saloon();
    strong.motor.curve_scale = 10.0;
    strong.inverter.max_battery_current_a = 1e9;
    strong.pack.max_discharge_per_h = 1e6;
    let mut starved = small_saloon();
    starved.inverter.max_battery_current_a = 1e-3;
    for (name, car) in [("weak", weak), ("strong", strong), ("starved", starved)] {
        assert_finite(name, &car, &[mild_day(), winter_day()], &town());
        let found = to_the_end(&car, &mild_day(), &town()[0]);
        assert!(found.end != RangeEnd::Far, "{name}: {:?}", found.end);
    }
}

/// A gearbox of one gear, and one of twelve that is shifted all the time or hardly ever.
#[test]
fn gearboxes_at_their_ends() {
    let FirstStage::Reduction(stage) = small_saloon().driveline.first else { panic!("it has one") };
    let geared = |ratios: &[f64], shifting: Shifting| {
        let gears = ratios.iter().map(|ratio| StageSpec { ratio: *ratio, ..stage }).collect();
        let mut car = small_saloon();
        car.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
        car
    };
    let dozen = [8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.7, 1.4, 1.2, 1.0, 0.8];
    let by_loss = |dwell_s: f64, shift_s: f64| Shifting::LeastLoss { dwell_s, shift_s };
    let cases = [
        ("one gear", geared(&[1.5], by_loss(0.0, 5.0))),
        ("one gear, fixed", geared(&[1.5], Shifting::Fixed(0))),
        ("always shifting", geared(&dozen, by_loss(0.0, 5.0))),
        ("in no time", geared(&dozen, by_loss(0.0, 0.0))),
        ("hardly ever", geared(&dozen, by_loss(60.0, 0.5))),
    ];
    for (name, car) in cases {
        assert_finite(name, &car, &[mild_day()], &town());
    }
}

/// Coast-down coefficients as a poor fit gives them: nothing, or a part that pushes.
#[test]
fn coefficients_that_push() {
    for [f0_n, f1_n_per_mps, f2_n_per_mps2] in
        [[0.0; 3], [150.0, -5.0, 0.5], [-100.0, 0.0, 0.0], [0.0, 0.0, -0.5], [0.0, 0.0, 1e3]]
    {
        let mut car = small_saloon();
        car.road_load = RoadLoadSpec::Coefficients {
            f0_n,
            f1_n_per_mps,
            f2_n_per_mps2,
            mass_kg: 900.0,
            temperature_k: 293.15,
            pressure_pa: 101_325.0,
            turning: TurningParts::default(),
            road_factor: 1.0,
        };
        let name = format!("{f0_n} {f1_n_per_mps} {f2_n_per_mps2}");
        assert_finite(&name, &car, &[mild_day()], &town());
    }
}

fn part(name: &str, mass_kg: f64) -> PartSpec {
    PartSpec { name: name.into(), mass_kg, ..small_saloon().weights.luggage }
}

#[test]
fn what_no_car_can_be_is_refused_by_name() {
    let change = |key: &'static str, change: &dyn Fn(&mut CarSpec)| {
        let mut car = small_saloon();
        change(&mut car);
        let error = Car::new(&car).expect_err(key);
        assert_plain_refusal(key, &error);
        assert!(error.key().starts_with(key), "{key}: {error}");
    };
    change("corner_weights.front_left", &|car| car.weights.corners.front_left_kg = 0.0);
    change("corner_weights.rear_right", &|car| car.weights.corners.rear_right_kg = f64::NAN);
    change("taken_out", &|car| car.weights.taken_out.push(part("all", 5000.0)));
    change("put_in", &|car| car.weights.put_in.push(part("hole", -1.0)));
    change("car.wheelbase", &|car| car.weights.wheelbase_m = 0.0);
    change("car.drag_area", &|car| car.road_load = terms(-0.1, 0.0));
    change("car.brake_drag", &|car| car.road_load = terms(0.6, f64::INFINITY));
    change("tyres.rolling_resistance", &|car| car.tyres.rolling_resistance = -1e-9);
    change("tyres.grip.dry", &|car| car.tyres.grip_dry = 0.0);
    change("driveline.axle.ratio", &|car| car.driveline.axle.ratio = 0.0);
    change("driveline.axle.efficiency", &|car| car.driveline.axle.efficiency_frac = 0.0);
    change("motor.losses_scale", &|car| car.motor.losses_scale = 0.0);
    change("motor.max_speed", &|car| car.motor.max_speed_radps = 0.0);
    change("motor.peak_seconds", &|car| {
        car.motor.losses = MotorLossSpec::Polynomial {
            copper_w_per_nm2: 0.0,
            iron_w_per_radps: 0.0,
            windage_w_per_radps3: 0.0,
            fixed_w: 0.0,
        };
    });
    change("regen.share", &|car| car.regen.share = 1.1);
    change("charger.power", &|car| car.charger.power_w = 0.0);
}
