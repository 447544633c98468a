//! What must hold for any car: proportions that physics gives, limits that are kept, a balance that
//! closes. Cases are drawn from a fixed seed, so a failure comes again.

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::limit::Limit;
use crownwheel::range::{RangeRun, range};
use crownwheel::spec::{CarSpec, DaySpec, DragSpec, RoadLoadSpec, Wind};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;
use proptest::prelude::*;
use proptest::test_runner::{RngAlgorithm, RngSeed, TestRunner};

use crate::run::{Run, run, trace};

/// Slack of a comparison of two energies or ranges that may be equal, relative.
const ROUNDING: f64 = 1e-9;

/// Checks a property on cars drawn from [`any_draw`].
fn for_any_case(cases: u32, property: impl Fn(&Case)) {
    let config = ProptestConfig {
        cases,
        failure_persistence: None,
        rng_algorithm: RngAlgorithm::ChaCha,
        rng_seed: RngSeed::Fixed(1967),
        ..ProptestConfig::default()
    };
    let found = TestRunner::new(config).run(&any_draw(), |draw| {
        property(&Case::of(&draw));
        Ok(())
    });
    if let Err(why) = found {
        panic!("{why}");
    }
}

/// What is drawn: saloons that differ in load, drag, tyres, gears, losses, pack and weather.
#[derive(Clone, Debug)]
struct Draw {
    /// Luggage, kg; drag area, m²; rolling resistance; brake drag, N.
    body: (f64, f64, f64, f64),
    /// Axle ratio; efficiency; drag torque, N m; share of regeneration.
    driveline: (f64, f64, f64, f64),
    /// Factor on motor losses; cell resistance, Ω; state of health.
    electric: (f64, f64, f64),
    /// Air temperature, °C; altitude, m; extra load, W.
    weather: (f64, f64, f64),
    cycle: &'static str,
    /// Factor on whatever the property varies.
    more: f64,
}

fn any_draw() -> impl Strategy<Value = Draw> {
    let body = (0.0..250.0, 0.5..0.9, 0.008..0.016, 0.0..40.0);
    let driveline = (3.7..4.3, 0.92..0.99, 0.0..2.5, 0.0..1.0);
    let electric = (0.5..1.5, 0.4e-3..1.6e-3, 0.7..1.0);
    let weather = (-10.0..35.0, 0.0..1500.0, 0.0..2000.0);
    let cycle = prop_oneof![Just("udds"), Just("nedc"), Just("wltc1"), Just("hwfet")];
    (body, driveline, electric, weather, cycle, 1.01..1.5).prop_map(
        |(body, driveline, electric, weather, cycle, more)| Draw {
            body,
            driveline,
            electric,
            weather,
            cycle,
            more,
        },
    )
}

/// A car, a day, a cycle, and how much more of something.
#[derive(Clone)]
struct Case {
    car: CarSpec,
    day: DaySpec,
    cycle: &'static str,
    /// Factor on whatever the property varies, 1.01 to 1.5.
    more: f64,
}

impl Case {
    fn of(draw: &Draw) -> Case {
        let mut car = small_saloon();
        car.weights.luggage.mass_kg = draw.body.0;
        let drag = DragSpec::Area(draw.body.1);
        car.road_load =
            RoadLoadSpec::Terms { drag, brake_drag_n: draw.body.3, drag_rise_at_10_deg_yaw: 0.05 };
        car.tyres.rolling_resistance = draw.body.2;
        car.driveline.axle.ratio = draw.driveline.0;
        car.driveline.axle.efficiency_frac = draw.driveline.1;
        car.driveline.axle.drag_torque_nm = draw.driveline.2;
        car.regen.share = draw.driveline.3;
        car.motor.losses_scale = draw.electric.0;
        car.pack.cell_resistance_ohm = draw.electric.1;
        car.pack.state_of_health_frac = draw.electric.2;
        let day = DaySpec {
            temperature_k: ZERO_CELSIUS_K + draw.weather.0,
            altitude_m: draw.weather.1,
            extra_load_w: draw.weather.2,
            ..mild_day()
        };
        Case { car, day, cycle: draw.cycle, more: draw.more }
    }

    fn cycle(&self) -> Cycle {
        Cycle::builtin(self.cycle).unwrap()
    }

    fn once(&self) -> Run {
        run(&self.car, &self.day, &self.cycle(), None)
    }

    fn to_empty(&self) -> RangeRun {
        let (car, day) = (Car::new(&self.car).unwrap(), Day::new(&self.day).unwrap());
        range(&car, &day, &self.cycle())
    }

    /// The same case with another car.
    fn with_car(&self, change: impl Fn(&mut CarSpec)) -> Case {
        let mut case = self.clone();
        change(&mut case.car);
        case
    }

    /// The same case on another day.
    fn with_day(&self, change: impl Fn(&mut DaySpec)) -> Case {
        let mut case = self.clone();
        change(&mut case.day);
        case
    }
}

/// Net energy from the pack, J.
fn net_j(run: &Run) -> f64 {
    run.balance.sum.from_pack_j
}

/// Asserts that `more` takes at least as much from the pack as `less` on the same trace.
fn takes_no_less(less: &Case, more: &Case) {
    let (less_j, more_j) = (net_j(&less.once()), net_j(&more.once()));
    assert!(more_j >= less_j * (1.0 - ROUNDING), "{more_j} J against {less_j} J");
}

/// Asserts that `worse` goes no farther than `better`.
fn goes_no_farther(worse: &Case, better: &Case) {
    let (worse_m, better_m) = (worse.to_empty().distance_m, better.to_empty().distance_m);
    assert!(worse_m <= better_m * (1.0 + ROUNDING), "{worse_m} m against {better_m} m");
}

#[test]
fn more_mass_never_uses_less_on_the_flat() {
    for_any_case(64, |case| {
        let added_kg = 100.0 * (case.more - 1.0);
        takes_no_less(case, &case.with_car(|car| car.weights.luggage.mass_kg += added_kg));
    });
}

#[test]
fn more_drag_area_never_uses_less() {
    for_any_case(64, |case| {
        let larger = case.with_car(|car| {
            if let RoadLoadSpec::Terms { drag, .. } = &mut car.road_load {
                *drag = DragSpec::Area(drag.area_m2() * case.more);
            }
        });
        takes_no_less(case, &larger);
    });
}

#[test]
fn worse_tyres_never_use_less() {
    for_any_case(64, |case| {
        takes_no_less(case, &case.with_car(|car| car.tyres.rolling_resistance *= case.more));
    });
}

#[test]
fn dragging_brakes_never_use_less() {
    for_any_case(32, |case| {
        let dragging = case.with_car(|car| {
            if let RoadLoadSpec::Terms { brake_drag_n, .. } = &mut car.road_load {
                *brake_drag_n += 20.0 * case.more;
            }
        });
        takes_no_less(case, &dragging);
    });
}

#[test]
fn a_better_driveline_never_uses_more() {
    for_any_case(64, |case| {
        let better = case.with_car(|car| {
            let axle = &mut car.driveline.axle;
            axle.efficiency_frac = 1.0 - (1.0 - axle.efficiency_frac) / case.more;
            axle.drag_torque_nm /= case.more;
        });
        takes_no_less(&better, case);
    });
}

#[test]
fn a_lossier_motor_never_uses_less() {
    for_any_case(64, |case| {
        takes_no_less(case, &case.with_car(|car| car.motor.losses_scale *= case.more));
    });
}

#[test]
fn more_regeneration_never_uses_more() {
    for_any_case(64, |case| {
        let more = case.with_car(|car| car.regen.share = 1.0 - (1.0 - car.regen.share) / case.more);
        takes_no_less(&more, case);
    });
}

#[test]
fn wind_from_all_round_never_uses_less_than_calm() {
    for_any_case(32, |case| {
        let speed_mps = 8.0 * (case.more - 1.0);
        let windy = case.with_day(|day| day.wind = Wind::AllRound { speed_mps, height_m: 10.0 });
        takes_no_less(case, &windy);
    });
}

#[test]
fn a_headwind_never_uses_less_and_a_tailwind_never_more() {
    for_any_case(32, |case| {
        let wind = |speed_mps| {
            case.with_day(|day| day.wind = Wind::AlongRoad { speed_mps, height_m: 2.0 })
        };
        let speed_mps = 6.0 * (case.more - 1.0);
        takes_no_less(case, &wind(speed_mps));
        takes_no_less(&wind(-speed_mps), case);
    });
}

#[test]
fn a_bigger_pack_never_goes_less_far_at_the_same_mass() {
    for_any_case(32, |case| {
        goes_no_farther(case, &case.with_car(|car| car.pack.cell_capacity_c *= case.more));
    });
}

#[test]
fn more_standing_load_never_goes_farther() {
    for_any_case(32, |case| {
        goes_no_farther(&case.with_day(|day| day.extra_load_w += 1000.0 * (case.more - 1.0)), case);
    });
}

/// Colder: thicker oil, stiffer tyres, denser air, more resistance. Nothing gets better.
#[test]
fn colder_never_goes_farther() {
    for_any_case(48, |case| {
        goes_no_farther(&case.with_day(|day| day.temperature_k -= 20.0 * (case.more - 1.0)), case);
    });
}

/// Flat out from rest: less grip, less speed at every second.
#[test]
fn less_grip_never_pulls_more() {
    let flat_out = trace(&[(0.0, 0.0), (1.0, 40.0), (30.0, 40.0)], 0.0);
    for_any_case(64, |case| {
        let grippy = case.with_car(|car| car.tyres.grip_dry = 0.25 * case.more);
        let slippery = case.with_car(|car| car.tyres.grip_dry = 0.25);
        let (fast, slow) = (speeds_mps(&grippy, &flat_out), speeds_mps(&slippery, &flat_out));
        for (second, (fast, slow)) in fast.iter().zip(&slow).enumerate() {
            assert!(slow <= &(fast * (1.0 + ROUNDING)), "{slow} > {fast} m/s at {second} s");
        }
    });
}

/// Road speed at the end of each leg, m/s.
fn speeds_mps(case: &Case, cycle: &Cycle) -> Vec<f64> {
    let (car, day) = (Car::new(&case.car).unwrap(), Day::new(&case.day).unwrap());
    let mut state = start_state(&car, &day, cycle);
    let mut speeds_mps = Vec::new();
    let _ = drive(&mut Driver::new(&car, &day), cycle, &mut state, |driven| {
        speeds_mps.push(driven.step.state.speed_mps);
        true
    });
    speeds_mps
}

#[test]
fn the_balance_closes_for_any_car() {
    for_any_case(64, |case| {
        let found = case.to_empty();
        let (missing_j, scale_j) = (found.balance.imbalance_j(), found.balance.scale_j());
        assert_close!(missing_j, 0.0, abs = 1e-9 * scale_j, rel = 0.0);
    });
}

/// Nothing that can only be lost is gained, and what left the pack is what the charge fell by.
#[test]
fn losses_are_never_negative() {
    for_any_case(64, |case| {
        let sum = case.once().balance.sum;
        for (name, joules) in [
            ("air", sum.air_j),
            ("rolling", sum.rolling_j),
            ("brake drag", sum.brake_drag_j),
            ("driveline", sum.driveline_j),
            ("motor", sum.motor_j),
            ("inverter", sum.inverter_j),
            ("dcdc", sum.dcdc_j),
            ("pack", sum.pack_j),
            ("ancillaries", sum.ancillaries_j),
            ("friction brakes", sum.friction_j),
        ] {
            assert!(joules >= 0.0, "{name}: {joules} J");
        }
        assert!(sum.taken_back_j <= sum.braking_offer_j, "{sum:?}");
    });
}

/// How far a limit may be passed, relative: what the passes of a step leave where the driver asks for
/// many times what there is.
const LIMIT_SLACK: f64 = 1e-5;

/// Flat out, then hard on the brakes, twice: no step leaves the limits of motor, pack and inverter.
#[test]
fn no_step_leaves_the_limits() {
    let hard = trace(
        &[
            (0.0, 0.0),
            (1.0, 38.0),
            (40.0, 38.0),
            (45.0, 0.0),
            (50.0, 0.0),
            (60.0, 38.0),
            (70.0, 5.0),
        ],
        0.0,
    );
    for_any_case(96, |case| {
        let weak = case.with_car(|car| {
            // A range of small controllers and packs, so that every electric limit has its turn.
            car.inverter.max_battery_current_a = 420.0 / (case.more * case.more);
            car.pack.max_charge_per_h = 2.0 - case.more;
        });
        let (car, day) = (Car::new(&weak.car).unwrap(), Day::new(&weak.day).unwrap());
        let mut state = start_state(&car, &day, &hard);
        state.charge_frac = 0.2 + 0.5 * (case.more - 1.0);
        let _ = drive(&mut Driver::new(&car, &day), &hard, &mut state, |driven| {
            within_limits(&weak.car, driven.step);
            true
        });
    });
}

fn within_limits(car: &CarSpec, step: &crownwheel::step::Step<f64>) {
    let more = 1.0 + LIMIT_SLACK;
    let limit = Limit::from_code(step.limit);
    let greatest_nm = car.motor.curve.greatest_torque_nm();
    assert!(step.torque_nm.abs() <= greatest_nm * more, "{step:?}");
    let power_w = step.torque_nm.abs() * step.motor_radps;
    let sheet_w = 50e3 * (step.voltage_v / car.motor.test_voltage_v).max(1.0);
    assert!(power_w <= sheet_w * 1.02, "{power_w} W at {} V, {limit:?}", step.voltage_v);
    assert!(step.current_a <= car.pack.max_discharge_a() * more, "{step:?}");
    assert!(-step.current_a <= car.pack.max_charge_a() * more, "{step:?}");
    assert!(step.voltage_v >= car.pack.min_voltage_v(&car.inverter) / more, "{step:?}");
    assert!(step.voltage_v <= car.pack.max_voltage_v(&car.inverter) * more, "{step:?}");
    assert!(step.motor_radps <= car.motor.max_speed_radps * more, "{step:?}");
    let state = &step.state;
    assert!((0.0..=1.0).contains(&state.charge_frac), "{step:?}");
    assert!(state.heat_used <= 1.05, "{step:?}");
}

/// The voltage sags, and the falling part of the motor's curve with it.
#[test]
fn an_empty_pack_pulls_no_more_than_a_full_one() {
    let flat_out = trace(&[(0.0, 0.0), (1.0, 40.0), (20.0, 40.0)], 0.0);
    for_any_case(32, |case| {
        let end_mps = |charge| run(&case.car, &case.day, &flat_out, Some(charge)).end.speed_mps;
        let (empty_mps, full_mps) = (end_mps(0.12), end_mps(0.9));
        assert!(empty_mps < full_mps, "{empty_mps} against {full_mps} m/s");
    });
}
