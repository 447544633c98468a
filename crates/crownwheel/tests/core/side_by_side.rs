//! Many cars side by side against each of them alone, on every instruction set of this machine.

use crownwheel::balance::Balance;
use crownwheel::batch::{LegView, Side, WIDTH, Watch, pass, plain_pass};
use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::drive::start_state;
use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::hold::{Climb, Climber, HoldTime};
use crownwheel::knob::Knob;
use crownwheel::lane::Lane;
use crownwheel::limit::{LIMITS, Limit};
use crownwheel::pull::Throttle;
use crownwheel::range::CarOnDay;
use crownwheel::ready::Ready;
use crownwheel::spec::{CarSpec, DaySpec, FallingPart, RatingSpec, Wind};
use crownwheel::step::State;
use crownwheel::trials::{climbs, full_throttles};
use crownwheel::{Car, Day};
use proptest::prelude::*;

use crate::state_bits;

/// A car and a day by numbers between 0 and 1, from mild to hopeless.
fn case(u: &[f64]) -> Option<(Car, Day)> {
    let mut spec: CarSpec = small_saloon();
    let between = |i: usize, low: f64, high: f64| low + (high - low) * u[i];
    for (i, (path, low, high)) in [
        ("driveline.axle.ratio", 2.8, 5.5),
        ("car.drag_coefficient", 0.3, 0.9),
        ("motor.losses_scale", 0.7, 1.8),
        ("motor.curve_scale", 0.4, 1.3),
        ("pack.cell_resistance", 0.4e-3, 4.0e-3),
        ("inverter.max_battery_current", 120.0, 700.0),
        ("tyres.grip.dry", 0.05, 0.9),
        ("motor.peak_seconds", 8.0, 120.0),
        ("motor.phase_current_ratio", 0.8, 1.2),
        ("tyres.rolling_rise", 0.0, 2e-4),
        ("pack.max_charge", 0.05, 2.0),
        ("motor.curve_voltage", 100.0, 160.0),
        ("regen.share", 0.0, 1.0),
    ]
    .into_iter()
    .enumerate()
    {
        Knob::find(path, &spec).ok()?.set(&mut spec, between(i, low, high)).ok()?;
    }
    let flags = (u[13] * 16.0).floor();
    let flag = |bit: f64| (flags / bit).floor() % 2.0 > 0.5;
    if flag(1.0) {
        spec.motor.falling_part = FallingPart::BatteryCurrent;
    }
    if flag(2.0) {
        spec.motor.armature_ohm = 0.01;
    }
    if flag(4.0) {
        let greatest_nm = spec.motor.curve_scale * spec.motor.curve.greatest_torque_nm();
        let torque_nm = 0.55 * greatest_nm;
        spec.motor.long_rating = Some(RatingSpec { torque_nm, seconds: 300.0 });
    }
    let mut day: DaySpec = if flag(8.0) { winter_day() } else { mild_day() };
    day.temperature_k = between(14, 255.0, 318.0);
    day.wind = if u[15] < 0.3 {
        Wind::Calm
    } else if u[15] < 0.6 {
        Wind::AlongRoad { speed_mps: between(16, -6.0, 6.0), height_m: 10.0 }
    } else {
        Wind::AllRound { speed_mps: between(16, 0.1, 8.0), height_m: 10.0 }
    };
    Some((Car::new(&spec).ok()?, Day::new(&day).ok()?))
}

/// Everything of a pass that could differ.
struct All<L> {
    balance: Balance<L>,
    seen: Vec<(State<L>, [L; 5])>,
}

impl<L: Lane> All<L> {
    fn new() -> Self {
        All { balance: Balance::zero(), seen: Vec::new() }
    }

    fn bits(&self, lane: usize) -> Vec<u64> {
        let mut bits = Vec::new();
        for (state, rest) in &self.seen {
            bits.extend(state_bits(&state.lane(lane)));
            bits.extend(rest.map(|number| number.lane(lane).to_bits()));
        }
        let Balance { sum, gross_out_j, gross_in_j } = self.balance.lane(lane);
        bits.extend(
            [sum.from_pack_j, sum.friction_j, sum.driveline_j, gross_out_j, gross_in_j]
                .map(f64::to_bits),
        );
        bits
    }
}

impl<L: Lane> Watch<L> for All<L> {
    #[inline(always)]
    fn leg(&mut self, seen: LegView<'_, L>) -> bool {
        let step = seen.step;
        self.balance.add_whole(&step.energy);
        let rest = [step.distance_m, step.torque_nm, step.current_a, step.voltage_v, step.limit];
        self.seen.push((step.state, rest));
        true
    }
}

/// A cycle of random speeds and grades, by time or by distance.
fn cycle(speeds: &[f64], by_distance: bool) -> Cycle {
    let count = speeds.len();
    let at = |i: usize| f64::from(u32::try_from(i).unwrap());
    let mut speed_mps: Vec<f64> = speeds.iter().map(|u| (40.0 * u - 4.0).max(0.0)).collect();
    speed_mps[0] = 0.0;
    let samples = if by_distance {
        for speed in &mut speed_mps[1..] {
            *speed = speed.max(1.0);
        }
        Samples::ByDistance {
            distance_m: (0..count).map(|i| at(i) * 180.0).collect(),
            speed_mps,
            stop_s: (0..count).map(|i| if i == 0 { 2.0 } else { 0.0 }).collect(),
            grade: Grade::Elevation((0..count).map(|i| 15.0 * libm::sin(at(i) * 0.7)).collect()),
        }
    } else {
        Samples::ByTime {
            time_s: (0..count).map(|i| at(i) * 3.0).collect(),
            speed_mps,
            grade: Grade::Frac((0..count).map(|i| 0.1 * libm::sin(at(i) * 0.7)).collect()),
        }
    };
    Cycle::new("random", &samples).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_lane_has_the_bits_of_the_car_alone(
        draws in prop::collection::vec(prop::collection::vec(0.0..1.0f64, 17), 3 * WIDTH),
        speeds in prop::collection::vec(0.0..1.0f64, 20..60),
        by_distance in any::<bool>(),
        charge in 0.02..1.0f64,
    ) {
        let cases: Vec<(Car, Day)> = draws.iter().filter_map(|u| case(u)).take(WIDTH).collect();
        prop_assume!(cases.len() == WIDTH);
        let cycle = cycle(&speeds, by_distance);
        let ready: Vec<Ready> = cases.iter().map(|(car, day)| Ready::new(car, day)).collect();
        let view = Ready::side_by_side::<WIDTH>(std::array::from_fn(|i| &ready[i]));
        let start = |i: usize| {
            let (car, day) = &cases[i];
            State { charge_frac: charge, ..start_state(car, day, &cycle) }
        };
        let state = State::<Side>::each(start);
        let (mut widest, mut plainest) = (All::new(), All::new());
        pass(&view, cycle.legs().iter(), state, &mut widest);
        plain_pass(&view, cycle.legs().iter(), state, &mut plainest);
        for (i, ready) in ready.iter().enumerate() {
            let mut alone = All::<f64>::new();
            pass(&ready.view(), cycle.legs().iter(), start(i), &mut alone);
            let bits = alone.bits(0);
            prop_assert_eq!(&bits, &widest.bits(i), "lane {} of the widest", i);
            prop_assert_eq!(&bits, &plainest.bits(i), "lane {} of the plainest", i);
        }
    }

    #[test]
    fn a_car_beside_another_is_the_same_car(
        one in prop::collection::vec(0.0..1.0f64, 17),
        other in prop::collection::vec(0.0..1.0f64, 17),
    ) {
        let (Some((one, _)), Some((other, day))) = (case(&one), case(&other)) else {
            return Err(TestCaseError::reject("no car"));
        };
        let beside = one.beside(other.spec()).unwrap();
        prop_assert_eq!(&beside, &other);
        prop_assert_eq!(Ready::new(&beside, &day), Ready::new(&other, &day));
    }
}

/// Cars of fixed numbers that meet every limit between them.
fn fixed_cases() -> Vec<(Car, Day)> {
    let unit = |i: u32, j: u32| (f64::from(i) * 0.618_034 + f64::from(j) * 0.414_214).fract();
    let draws = (0..40u32).map(|i| (0..17).map(|j| unit(i, j + i)).collect::<Vec<f64>>());
    draws.filter_map(|u| case(&u)).take(3 * WIDTH + 3).collect()
}

#[test]
fn the_fixed_cases_meet_every_limit() {
    let mut seen = [0_u32; LIMITS.len()];
    for (car, day) in &fixed_cases() {
        for (name, charge_frac) in [("us06", 0.5), ("us06", 1.0), ("udds", 0.1)] {
            let cycle = Cycle::builtin(name).unwrap();
            let mut all = All::<f64>::new();
            let state = State { charge_frac, ..start_state(car, day, &cycle) };
            pass(&Ready::new(car, day).view(), cycle.legs().iter(), state, &mut all);
            for (_, rest) in &all.seen {
                seen[Limit::from_code(rest[4]).index()] += 1;
            }
        }
    }
    // No stage of these cars is rated.
    for limit in LIMITS.into_iter().filter(|limit| *limit != Limit::StageRating) {
        assert!(seen[limit.index()] > 0, "{} never binds", limit.name());
    }
}

#[test]
fn full_throttle_side_by_side_is_full_throttle() {
    let cases = fixed_cases();
    let ready: Vec<Ready> = cases.iter().map(|(car, day)| Ready::new(car, day)).collect();
    let of = |((car, day), ready)| (CarOnDay { car, day, ready }, 0.6);
    let side: Vec<(CarOnDay<'_>, f64)> =
        cases.iter().map(|(car, day)| (car, day)).zip(&ready).map(of).collect();
    let mut never = 0;
    for asked_mps in [vec![20.0], vec![15.0, 25.0], vec![20.0, 150.0]] {
        let found = full_throttles(&side, 0.05, &asked_mps);
        for ((CarOnDay { car, day, .. }, charge_frac), found) in side.iter().zip(found) {
            let whole = Throttle::new(car, day, *charge_frac).run(0.05);
            assert!(found.points[..] == whole.points[..found.points.len()], "{asked_mps:?}");
            for speed_mps in &asked_mps {
                assert_eq!(found.time_to_s(*speed_mps), whole.time_to_s(*speed_mps));
                never += usize::from(whole.time_to_s(*speed_mps).is_none());
            }
        }
    }
    assert!(never > side.len(), "speeds that are not reached were asked, too");
}

#[test]
fn climbs_side_by_side_are_climbs() {
    let cases = fixed_cases();
    let ready: Vec<Ready> = cases.iter().map(|(car, day)| Ready::new(car, day)).collect();
    let of = |((car, day), ready)| (CarOnDay { car, day, ready }, 0.8);
    let side: Vec<(CarOnDay<'_>, f64)> =
        cases.iter().map(|(car, day)| (car, day)).zip(&ready).map(of).collect();
    let mut kinds = std::collections::BTreeSet::new();
    for grade_frac in [0.02, 0.08, 0.18] {
        let climb = Climb { speed_mps: 14.0, grade_frac };
        for ((CarOnDay { car, day, .. }, charge_frac), found) in
            side.iter().zip(climbs(&side, climb, (1800.0, 1.0)))
        {
            assert_eq!(found, Climber::new(car, day, *charge_frac).within(1800.0).cold(climb));
            kinds.insert(match found {
                HoldTime::Always => "always",
                HoldTime::CutBackAfter(_) => "cut back",
                HoldTime::EmptyAfter(_) => "empty",
                HoldTime::NotAtAll(_) => "not at all",
                HoldTime::HeatNotKnown => "not known",
            });
        }
    }
    assert!(kinds.len() >= 3, "{kinds:?}");
}
