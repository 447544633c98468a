//! A kept gearbox: in one gear it is a reduction, and a driver who changes gear uses less.

use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::limit::Limit;
use crownwheel::pull::Throttle;
use crownwheel::spec::{CarSpec, FirstStage, GearboxSpec, Shifting, StageSpec};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use crate::run::{run, trace, watch};

/// Gears that all can follow the cycles below: the lowest reaches 29 m/s.
const CLOSE_RATIOS: [f64; 3] = [1.9, 1.35, 1.0];

/// Gears of a usual gearbox; first reaches 16 m/s.
const USUAL_RATIOS: [f64; 4] = [3.5, 2.1, 1.4, 1.0];

/// Cycles of less than 28 m/s.
const SLOW_CYCLES: [&str; 3] = ["udds", "hwfet", "wltc1"];

fn gear(ratio: f64) -> StageSpec {
    StageSpec {
        ratio,
        efficiency_frac: 0.97,
        drag_torque_nm: 0.6,
        drag_speed_radps: 300.0,
        max_torque_nm: None,
        max_speed_radps: None,
    }
}

/// The saloon with a gearbox instead of its reduction.
fn with_gearbox(ratios: &[f64], shifting: Shifting) -> CarSpec {
    let mut car = small_saloon();
    let gears = ratios.iter().map(|ratio| gear(*ratio)).collect();
    car.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
    car
}

fn shifted(ratios: &[f64], dwell_s: f64) -> CarSpec {
    with_gearbox(ratios, Shifting::LeastLoss { dwell_s, shift_s: 0.6 })
}

fn builtin(name: &str) -> Cycle {
    Cycle::builtin(name).unwrap()
}

fn net_j(car: &CarSpec, cycle: &Cycle) -> f64 {
    run(car, &mild_day(), cycle, None).balance.sum.from_pack_j
}

/// Seconds in each gear between two shifts, in order; the first and the last are cut by the cycle.
fn seconds_in_gears(car: &CarSpec, cycle: &Cycle) -> Vec<(usize, f64)> {
    let mut stays: Vec<(usize, f64)> = Vec::new();
    watch(car, &mild_day(), cycle, None, |driven| match stays.last_mut() {
        Some((gear, seconds)) if *gear == driven.gear => *seconds += driven.step.duration_s,
        _ => stays.push((driven.gear, driven.step.duration_s)),
    });
    stays
}

/// All numbers of a run as text that gives back every bit.
fn every_bit(car: &CarSpec, cycle: &Cycle) -> String {
    format!("{:?}", run(car, &winter_day(), cycle, None))
}

#[test]
fn a_fixed_gear_is_a_reduction_bit_for_bit() {
    for (number, ratio) in CLOSE_RATIOS.into_iter().enumerate() {
        let fixed = with_gearbox(&CLOSE_RATIOS, Shifting::Fixed(number));
        let mut reduced = small_saloon();
        reduced.driveline.first = FirstStage::Reduction(gear(ratio));
        for name in SLOW_CYCLES {
            let cycle = builtin(name);
            assert_eq!(every_bit(&fixed, &cycle), every_bit(&reduced, &cycle), "{name} {ratio}");
        }
    }
}

/// Nothing but the gear differs between the trials of a leg when the rotor weighs nothing, the oil
/// is always alike, and every leg may have its own gear: the sum of the least is the least.
#[test]
fn the_free_choice_of_gear_never_takes_more_than_a_fixed_gear() {
    let light = |mut car: CarSpec| {
        car.motor.rotor_inertia_kgm2 = 0.0;
        car.driveline.oil_viscosity_exponent = 0.0;
        car
    };
    for name in SLOW_CYCLES {
        let cycle = builtin(name);
        let chosen_j = net_j(&light(shifted(&CLOSE_RATIOS, 0.0)), &cycle);
        for number in 0..CLOSE_RATIOS.len() {
            let fixed = with_gearbox(&CLOSE_RATIOS, Shifting::Fixed(number));
            let fixed_j = net_j(&light(fixed), &cycle);
            // What is left is the pack, a little fuller and cooler from leg to leg.
            assert!(chosen_j <= fixed_j * (1.0 + 1e-5), "{name}: {chosen_j} J, {fixed_j} J");
        }
    }
}

/// With a rotor and a dwell the choice may be late; it stays within what the shifts cost.
#[test]
fn a_driver_with_a_dwell_takes_no_more_than_the_shifts_cost() {
    for name in SLOW_CYCLES {
        let cycle = builtin(name);
        let chosen_j = net_j(&shifted(&CLOSE_RATIOS, 4.0), &cycle);
        let fixed_j = (0..CLOSE_RATIOS.len())
            .map(|number| net_j(&with_gearbox(&CLOSE_RATIOS, Shifting::Fixed(number)), &cycle))
            .fold(f64::INFINITY, f64::min);
        assert!(chosen_j < fixed_j * 1.005, "{name}: {chosen_j} J against {fixed_j} J");
    }
}

#[test]
fn a_gear_is_kept_for_the_dwell() {
    for name in SLOW_CYCLES {
        let cycle = builtin(name);
        let mut counts = Vec::new();
        for dwell_s in [0.0, 4.0, 15.0] {
            let stays = seconds_in_gears(&shifted(&CLOSE_RATIOS, dwell_s), &cycle);
            for (gear, seconds) in &stays[1..stays.len() - 1] {
                assert!(*seconds >= dwell_s, "{name}: gear {gear} for {seconds} s");
            }
            counts.push(stays.len() - 1);
        }
        assert!(counts[0] > counts[1] && counts[1] > counts[2] && counts[2] > 0, "{counts:?}");
    }
}

/// Steady speeds, and flat out: the gears are gone through once.
#[test]
fn the_lever_does_not_hunt() {
    let car = shifted(&USUAL_RATIOS, 4.0);
    for speed_mps in [5.0, 10.0, 15.0, 20.0, 25.0, 30.0] {
        let cycle = trace(&[(0.0, 0.0), (60.0, speed_mps), (900.0, speed_mps)], 0.0);
        let stays = seconds_in_gears(&car, &cycle);
        assert!(stays.len() <= USUAL_RATIOS.len(), "at {speed_mps} m/s: {stays:?}");
    }
    let flat_out = trace(&[(0.0, 0.0), (1.0, 60.0), (60.0, 60.0)], 0.0);
    let stays = seconds_in_gears(&car, &flat_out);
    let gears: Vec<usize> = stays.iter().map(|stay| stay.0).collect();
    assert!(gears.is_sorted() && gears.len() >= 3, "{stays:?}");
}

/// Up to speed, down to rest, twice, with every gear in use.
fn hard_driving() -> Cycle {
    let points = [(0.0, 0.0), (15.0, 33.0), (40.0, 33.0), (48.0, 0.0), (55.0, 0.0)];
    let again = points.iter().map(|(t, v)| (t + 56.0, v * 0.7));
    trace(&points.iter().copied().chain(again).collect::<Vec<_>>(), 0.0)
}

#[test]
fn the_balance_closes_with_shifts_and_nothing_is_kept_as_speed() {
    let hard = hard_driving();
    for (name, cycle) in [("udds", builtin("udds")), ("us06", builtin("us06")), ("hard", hard)] {
        let car = shifted(&USUAL_RATIOS, 2.0);
        assert!(seconds_in_gears(&car, &cycle).len() > 4, "{name}: it shifts");
        let run = run(&car, &mild_day(), &cycle, None);
        let scale_j = run.balance.scale_j();
        assert_close!(run.balance.imbalance_j(), 0.0, abs = 1e-9 * scale_j, rel = 0.0, "{name}");
        assert_close!(run.end.speed_mps, 0.0, abs = 1e-9, rel = 0.0, "{name}");
        assert_close!(run.balance.sum.kinetic_j, 0.0, abs = 1e-9 * scale_j, rel = 0.0, "{name}");
    }
}

/// From rest to a steady speed: `½ m_e v²` in the gear that is in at the end, whatever was used
/// before.
#[test]
fn the_rotor_is_counted_in_the_gear_that_is_in() {
    let spec = shifted(&USUAL_RATIOS, 2.0);
    let cycle = trace(&[(0.0, 0.0), (20.0, 25.0), (60.0, 25.0)], 0.0);
    let mut last = 0;
    watch(&spec, &mild_day(), &cycle, None, |driven| last = driven.gear);
    let run = run(&spec, &mild_day(), &cycle, None);
    let effective_kg = Car::new(&spec).unwrap().effective_mass_in_kg(last);
    let exact_j = 0.5 * effective_kg * run.end.speed_mps.powi(2);
    assert_close!(run.balance.sum.kinetic_j, exact_j, abs = 0.0, rel = 1e-9, "gear {last}");
}

#[test]
fn the_motor_is_never_faster_than_it_may() {
    let spec = shifted(&USUAL_RATIOS, 4.0);
    let car = Car::new(&spec).unwrap();
    let highest_radps = spec.motor.max_speed_radps * (1.0 + 1e-9);
    for cycle in [hard_driving(), builtin("us06")] {
        watch(&spec, &mild_day(), &cycle, None, |driven| {
            let per_mps = car.overall_ratio_in(driven.gear) / car.rolling_radius_m();
            assert!(driven.step.motor_radps <= highest_radps, "{driven:?}");
            assert!(driven.step.state.speed_mps * per_mps <= highest_radps, "{driven:?}");
        });
    }
}

/// A hill that top gear cannot hold, and that the motor has the power for.
#[test]
fn a_hill_is_climbed_in_a_lower_gear() {
    let (speed_mps, grade_frac): (f64, f64) = (12.0, 0.32);
    let samples = Samples::ByTime {
        time_s: vec![0.0, 60.0, 61.0, 100.0],
        speed_mps: vec![speed_mps; 4],
        grade: Grade::Frac(vec![0.0, 0.0, grade_frac, grade_frac]),
    };
    let hill = Cycle::new("hill", &samples).unwrap();
    let top = with_gearbox(&USUAL_RATIOS, Shifting::Fixed(3));
    let car = Car::new(&top).unwrap();
    let pull_n = 165.0 * car.overall_ratio_in(3) / car.rolling_radius_m();
    let sin = grade_frac / (1.0 + grade_frac * grade_frac).sqrt();
    assert!(pull_n < car.mass_kg() * STANDARD_GRAVITY_MPS2 * sin, "top gear is too tall");
    assert!(run(&top, &mild_day(), &hill, None).end.speed_mps < 0.9 * speed_mps);

    let mut gears = Vec::new();
    let end = watch(&shifted(&USUAL_RATIOS, 4.0), &mild_day(), &hill, None, |driven| {
        gears.push(driven.gear);
    });
    assert_close!(end.speed_mps, speed_mps, abs = 1e-6, rel = 0.0);
    assert!(gears[99] < gears[50], "{gears:?}");
}

/// The torque that a maker allows a stage is for a warning: it limits no run.
#[test]
fn a_rated_torque_changes_no_run() {
    let unrated = shifted(&USUAL_RATIOS, 4.0);
    let mut rated = unrated.clone();
    rated.driveline.axle.max_torque_nm = Some(60.0);
    let cycle = builtin("udds");
    assert_eq!(every_bit(&rated, &cycle), every_bit(&unrated, &cycle));
}

/// The speed that a maker allows a stage ends a gear as the motor's speed does: by rpm of the gearbox's input.
#[test]
fn no_gear_is_used_beyond_its_rated_speed() {
    let mut rated = shifted(&USUAL_RATIOS, 4.0);
    let FirstStage::Gearbox(gearbox) = &mut rated.driveline.first else { panic!("it has one") };
    let limit_radps = 500.0;
    gearbox.gears.iter_mut().for_each(|gear| gear.max_speed_radps = Some(limit_radps));
    let car = Car::new(&rated).unwrap();
    let run = Throttle::new(&car, &Day::new(&mild_day()).unwrap(), 0.9).run(0.02);
    for point in &run.points[1..] {
        let radps = point.speed_mps * car.overall_ratio_in(point.gear) / car.rolling_radius_m();
        assert!(radps <= limit_radps * (1.0 + 1e-9), "{point:?}");
    }
    let last = run.points.last().unwrap();
    assert!(last.gear == 3 && last.limit == Limit::StageRating, "{last:?}");
}

/// The dwell does not hold a gear in which the car would fall behind.
#[test]
fn a_long_dwell_does_not_stop_a_car_from_pulling() {
    let cycle = trace(&[(0.0, 0.0), (14.0, 28.0), (60.0, 28.0)], 0.0);
    let stays = seconds_in_gears(&shifted(&USUAL_RATIOS, 60.0), &cycle);
    assert!(stays.len() > 2 && stays[1].1 < 60.0, "{stays:?}");
    let end = run(&shifted(&USUAL_RATIOS, 60.0), &mild_day(), &cycle, None).end;
    assert_close!(end.speed_mps, 28.0, abs = 1e-9, rel = 0.0);
}
