//! The step and the range as a whole: one source for any width, and limits that hold.

use crownwheel::balance::Balance;
use crownwheel::cycle::{BUILTIN_NAMES, Cycle, Grade, Samples};
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::knob::Knob;
use crownwheel::lane::Lanes;
use crownwheel::limit::{LIMITS, Limit};
use crownwheel::motor::{MotorTables, peak_torque_nm};
use crownwheel::pull::Throttle;
use crownwheel::range::{RangeEnd, range};
use crownwheel::ready::Ready;
use crownwheel::spec::{
    CarSpec, DaySpec, FirstStage, GearboxSpec, RatingSpec, Shifting, StageSpec,
};
use crownwheel::step::{State, Step, step};
use crownwheel::{Car, Day};

use crate::state_bits;

const WIDTH: usize = 16;

/// A different car for each lane: ratios, packs, losses, grip, heat, from mild to hopeless.
fn varied(lane: usize) -> (CarSpec, DaySpec) {
    let mut spec = small_saloon();
    let x = f64::from(u8::try_from(lane).unwrap());
    let mut set = |path: &str, value: f64| {
        Knob::find(path, &spec).unwrap().set(&mut spec, value).unwrap();
    };
    set("driveline.axle.ratio", 3.0 + 0.15 * x);
    set("car.drag_coefficient", 0.3 + 0.04 * x);
    set("motor.losses_scale", 0.8 + 0.05 * x);
    set("motor.curve_scale", 1.2 - 0.05 * x);
    set("pack.cell_resistance", 0.4e-3 + 0.2e-3 * x);
    set("inverter.max_battery_current", if lane % 2 == 0 { 420.0 - 20.0 * x } else { 900.0 });
    set("tyres.grip.dry", 0.9 - 0.05 * x);
    set("motor.peak_seconds", 10.0 + 10.0 * x);
    set("motor.phase_current_ratio", 0.9 + 0.02 * x);
    set("tyres.rolling_rise", 1e-5 * x);
    set("pack.max_charge", 0.2 + 0.2 * x);
    // Sheets taken at different voltages: the falling part begins early or late.
    set("motor.curve_voltage", 110.0 + 4.0 * x);
    spec.motor.armature_ohm = if lane % 5 == 4 { 0.01 } else { 0.0 };
    let corner_nm = spec.motor.curve_scale * spec.motor.curve.greatest_torque_nm();
    spec.motor.long_rating =
        (lane % 4 == 1).then_some(RatingSpec { torque_nm: 0.55 * corner_nm, seconds: 300.0 });
    let mut day = if lane % 3 == 2 { winter_day() } else { mild_day() };
    day.temperature_k += 2.0 * x - 10.0;
    (spec, day)
}

fn splat(states: &[State<f64>; WIDTH]) -> State<Lanes<WIDTH>> {
    State::each(|i| states[i])
}

fn bits(step: &Step<f64>, balance: &Balance<f64>) -> Vec<u64> {
    let rest = [
        step.distance_m,
        step.torque_nm,
        step.current_a,
        step.voltage_v,
        step.limit,
        balance.sum.from_pack_j,
        balance.sum.friction_j,
        balance.sum.driveline_j,
    ];
    state_bits(&step.state).into_iter().chain(rest.map(f64::to_bits)).collect()
}

fn lane_bits(step: &Step<Lanes<WIDTH>>, balance: &Balance<Lanes<WIDTH>>, i: usize) -> Vec<u64> {
    bits(&step.lane(i), &balance.lane(i))
}

fn hilly() -> Cycle {
    let samples = Samples::ByDistance {
        distance_m: vec![0.0, 150.0, 2000.0, 2200.0, 4000.0, 4200.0],
        speed_mps: vec![0.0, 20.0, 30.0, 15.0, 20.0, 0.0],
        stop_s: vec![3.0, 0.0, 0.0, 0.0, 0.0, 10.0],
        grade: Grade::Elevation(vec![0.0, 5.0, 150.0, 160.0, 20.0, 10.0]),
    };
    Cycle::new("hilly", &samples).unwrap()
}

#[test]
fn one_lane_of_many_gives_the_bits_of_the_scalar() {
    let cars: Vec<(Car, Day)> = (0..WIDTH)
        .map(|lane| {
            let (spec, day) = varied(lane);
            (Car::new(&spec).unwrap(), Day::new(&day).unwrap())
        })
        .collect();
    let ready: Vec<Ready> = cars.iter().map(|(car, day)| Ready::new(car, day)).collect();
    let side_by_side = Ready::side_by_side::<WIDTH>(std::array::from_fn(|i| &ready[i]));
    let mut seen = [0_u32; LIMITS.len()];
    for cycle in [Cycle::builtin("us06").unwrap(), hilly()] {
        let mut alone: [State<f64>; WIDTH] =
            std::array::from_fn(|i| start_state(&cars[i].0, &cars[i].1, &cycle));
        let mut together = splat(&alone);
        let mut balances = [Balance::<f64>::zero(); WIDTH];
        let mut balance = Balance::<Lanes<WIDTH>>::zero();
        for leg in cycle.legs() {
            let many = step(&side_by_side, leg, &together);
            balance.add(&many.energy, Lanes([1.0; WIDTH]));
            together = many.state;
            for i in 0..WIDTH {
                let one = step(&ready[i].view(), leg, &alone[i]);
                balances[i].add(&one.energy, 1.0);
                alone[i] = one.state;
                seen[Limit::from_code(one.limit).index()] += 1;
                assert_eq!(
                    lane_bits(&many, &balance, i),
                    bits(&one, &balances[i]),
                    "lane {i} of {} at {leg:?}",
                    cycle.name()
                );
            }
        }
    }
    // The comparison is worth little unless many different limits bind.
    for limit in [
        Limit::MotorTorque,
        Limit::SupplyVoltage,
        Limit::BatteryCurrent,
        Limit::Grip,
        Limit::Heat,
        Limit::ChargeCurrent,
        Limit::ColdPack,
        Limit::FullPack,
    ] {
        assert!(seen[limit.index()] > 0, "{} never binds", limit.name());
    }
}

#[test]
fn limits_hold_after_the_passes() {
    for lane in 0..WIDTH {
        let (spec, day) = varied(lane);
        let (car, day) = (Car::new(&spec).unwrap(), Day::new(&day).unwrap());
        let mut driver = Driver::new(&car, &day);
        let cycle = Cycle::builtin("us06").unwrap();
        let mut state = start_state(&car, &day, &cycle);
        let pack = &spec.pack;
        let lowest_v = pack.min_voltage_v(&spec.inverter);
        let greatest_nm = spec.motor.curve_scale
            * spec.motor.phase_current_ratio
            * spec.motor.curve.greatest_torque_nm();
        let tables = MotorTables::new(&spec.motor, false);
        let close = 1.0 + 1e-5;
        drive(&mut driver, &cycle, &mut state, |driven| {
            let step = driven.step;
            let name = Limit::from_code(step.limit).name();
            assert!(step.current_a <= pack.max_discharge_a() * close, "{name}: {step:?}");
            assert!(step.current_a >= -pack.max_charge_a() * close, "{name}: {step:?}");
            assert!(step.voltage_v >= lowest_v / close, "{name}: {step:?}");
            assert!(step.voltage_v <= pack.full_voltage_v() * close, "{name}: {step:?}");
            assert!(step.torque_nm.abs() <= greatest_nm * close, "{name}: {step:?}");
            let k = step.voltage_v / spec.motor.test_voltage_v;
            let able_nm = peak_torque_nm(&tables, spec.motor.falling_part, step.motor_radps, k);
            assert!(step.torque_nm.abs() <= able_nm * close, "{name}: {able_nm} N m, {step:?}");
            assert!(step.state.speed_mps <= car.speed_cap_mps() * close, "{name}: {step:?}");
            assert!(step.energy.friction_j >= -1e-6, "{name}: {step:?}");
            true
        });
    }
}

#[test]
fn the_balance_closes_for_every_cycle_and_car() {
    for name in BUILTIN_NAMES {
        let cycle = Cycle::builtin(name).unwrap();
        for lane in [0, 5, 11] {
            let (spec, day) = varied(lane);
            let run = range(&Car::new(&spec).unwrap(), &Day::new(&day).unwrap(), &cycle);
            let error = run.balance.imbalance_j().abs();
            assert!(error <= 1e-9 * run.balance.scale_j(), "{name} {lane}: {error} J");
        }
    }
}

#[test]
fn a_slope_too_steep_ends_the_run() {
    let samples = Samples::ByDistance {
        distance_m: vec![0.0, 100.0, 3000.0],
        speed_mps: vec![0.0, 15.0, 15.0],
        stop_s: vec![0.0; 3],
        grade: Grade::Elevation(vec![0.0, 0.0, 1800.0]),
    };
    let cycle = Cycle::new("wall", &samples).unwrap();
    let run = range(&Car::new(&small_saloon()).unwrap(), &Day::new(&mild_day()).unwrap(), &cycle);
    assert_eq!(run.end, RangeEnd::Stands);
    assert!(run.first.fell_behind && run.distance_m < 3000.0);
    assert!(run.balance.imbalance_j().abs() <= 1e-9 * run.balance.scale_j());
}

#[test]
fn a_route_that_only_falls_gives_back_what_it_takes() {
    let samples = Samples::ByDistance {
        distance_m: vec![0.0, 10_000.0],
        speed_mps: vec![15.0, 15.0],
        stop_s: vec![0.0; 2],
        grade: Grade::Elevation(vec![800.0, 0.0]),
    };
    let cycle = Cycle::new("descent", &samples).unwrap();
    let mut spec = small_saloon();
    spec.pack.usable_to_frac = 0.5;
    let run = range(&Car::new(&spec).unwrap(), &Day::new(&mild_day()).unwrap(), &cycle);
    assert_eq!(run.end, RangeEnd::GivesBack);
}

/// The saloon with a kept gearbox in place of its reduction.
pub(super) fn with_gearbox(shifting: Shifting) -> CarSpec {
    let mut spec = small_saloon();
    let FirstStage::Reduction(stage) = spec.driveline.first else { panic!("it has a reduction") };
    let gears = [3.6, 2.2, 1.4, 1.0].map(|ratio| StageSpec { ratio, ..stage }).to_vec();
    spec.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
    spec
}

#[test]
fn shift_time_costs_speed_at_full_throttle_and_the_balance_still_closes() {
    // Far more than the car can do: full throttle through all gears.
    let samples = Samples::ByTime {
        time_s: (0..=10).map(f64::from).collect(),
        speed_mps: (0..=10).map(|i| f64::from(i).min(1.0) * 36.0).collect(),
        grade: Grade::Flat,
    };
    let cycle = Cycle::new("floored", &samples).unwrap();
    let day = Day::new(&mild_day()).unwrap();
    let after = |shift_s: f64| {
        let spec = with_gearbox(Shifting::LeastLoss { dwell_s: 2.0, shift_s });
        let car = Car::new(&spec).unwrap();
        let mut driver = Driver::new(&car, &day);
        let mut state = start_state(&car, &day, &cycle);
        let mut balance = Balance::<f64>::zero();
        let mut gears = Vec::new();
        drive(&mut driver, &cycle, &mut state, |driven| {
            balance.add(&driven.step.energy, 1.0);
            if gears.last() != Some(&driven.gear) {
                gears.push(driven.gear);
            }
            true
        });
        assert!(balance.imbalance_j().abs() <= 1e-9 * balance.scale_j());
        (state.speed_mps, gears)
    };
    let (quick, gears) = after(0.0);
    let (slow, _) = after(0.8);
    assert!(gears.len() >= 3, "{gears:?}");
    assert!(slow < quick - 0.1, "{slow} {quick}");
}

#[test]
fn a_shift_that_ends_beside_the_end_of_a_step_makes_no_jump() {
    let day = Day::new(&mild_day()).unwrap();
    for (shift_s, step_s) in [(0.5, 0.02), (0.3, 0.1), (0.7, 0.05), (1.1, 0.02)] {
        let spec = with_gearbox(Shifting::LeastLoss { dwell_s: 2.0, shift_s });
        let car = Car::new(&spec).unwrap();
        let throttle = Throttle::new(&car, &day, 0.9);
        // No tyre here holds more than its own load.
        let (slowest_mps2, most_mps2) = (-2.0, 9.8);
        let points = throttle.run(step_s).points;
        assert!(points.iter().any(|point| point.gear > 1), "it shifts");
        for pair in points.windows(2) {
            let gain_mps = pair[1].speed_mps - pair[0].speed_mps;
            let duration_s = pair[1].time_s - pair[0].time_s;
            let fits = (slowest_mps2 * duration_s..most_mps2 * duration_s).contains(&gain_mps);
            assert!(fits, "shift {shift_s} s, step {step_s} s: {pair:?}");
        }
    }
}

/// A heater that asks for more than `E²/4R`: the pack gives that much, half of it to the terminals,
/// the heater gets what is left, and the balance closes.
#[test]
fn standing_loads_beyond_the_pack_get_what_is_left() {
    let mut spec = small_saloon();
    spec.pack.cell_resistance_ohm = 40e-3;
    let day = DaySpec { extra_load_w: 50e3, ..mild_day() };
    let (car, day) = (Car::new(&spec).unwrap(), Day::new(&day).unwrap());
    let run = range(&car, &day, &Cycle::builtin("udds").unwrap());
    let sum = &run.balance.sum;
    assert!(run.balance.imbalance_j().abs() < 1e-9 * run.balance.scale_j(), "{sum:?}");
    assert!((sum.pack_j / sum.terminals_j - 1.0).abs() < 1e-9, "{sum:?}");
    assert!(sum.ancillaries_j < 0.5 * 50e3 * run.duration_s, "{sum:?}");
}
