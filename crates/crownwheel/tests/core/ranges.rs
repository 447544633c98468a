//! Ranges side by side against the range of one car, and estimated ones against driven ones.

use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::knob::Knob;
use crownwheel::range::{CarOnDay, ShortRange, range, short_range, short_ranges};
use crownwheel::ready::Ready;
use crownwheel::spec::{CarSpec, DaySpec, FirstStage, GearboxSpec, Shifting, StageSpec, Wind};
use crownwheel::{Car, Day};

/// Numbers between 0 and 1 from a fixed seed (a linear congruential generator, Knuth's MMIX figures).
struct Draws(u64);

impl Draws {
    fn unit(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(self.0 >> 32).unwrap()) / 4_294_967_296.0
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// A car and a day that differ from the example in everything that moves range.
fn random_case(draws: &mut Draws) -> (CarSpec, DaySpec) {
    let mut spec = small_saloon();
    for (path, low, high) in [
        ("driveline.axle.ratio", 3.2, 4.6),
        ("driveline.axle.drag_torque", 0.2, 2.5),
        ("car.drag_coefficient", 0.3, 0.55),
        ("tyres.rolling_resistance", 0.008, 0.015),
        ("motor.losses_scale", 0.6, 1.6),
        ("pack.cell_resistance", 0.4e-3, 2.0e-3),
        ("pack.cell_capacity", 140_000.0, 500_000.0),
        ("pack.resistance_b", 1000.0, 3500.0),
        ("pack.max_charge", 0.3, 2.0),
        ("regen.share", 0.0, 0.9),
    ] {
        let value = draws.between(low, high);
        Knob::find(path, &spec).unwrap().set(&mut spec, value).unwrap();
    }
    let mut day = mild_day();
    day.temperature_k = draws.between(258.0, 308.0);
    day.extra_load_w = if draws.unit() < 0.4 { draws.between(0.0, 2500.0) } else { 0.0 };
    if draws.unit() < 0.5 {
        day.wind = Wind::AllRound { speed_mps: draws.between(0.0, 8.0), height_m: 10.0 };
    }
    (spec, day)
}

fn cases() -> Vec<(Car, Day)> {
    let mut draws = Draws(20_261_125);
    let mut found = Vec::new();
    while found.len() < 200 {
        let (spec, day) = random_case(&mut draws);
        if let (Ok(car), Ok(day)) = (Car::new(&spec), Day::new(&day)) {
            found.push((car, day));
        }
    }
    found
}

fn prepare<'a>(cases: &'a [(Car, Day)], ready: &'a [Ready]) -> Vec<CarOnDay<'a>> {
    cases.iter().zip(ready).map(|((car, day), ready)| CarOnDay { car, day, ready }).collect()
}

#[test]
fn every_repeat_side_by_side_is_the_reference() {
    let cases = cases();
    let ready: Vec<Ready> = cases.iter().map(|(car, day)| Ready::new(car, day)).collect();
    let prepared = &prepare(&cases, &ready)[..40];
    let cycle = Cycle::builtin("wltc3b").unwrap();
    for (case, short) in prepared.iter().zip(short_ranges(prepared, &cycle)) {
        let full = range(case.car, case.day, &cycle);
        assert_eq!(short.end, full.end);
        let close = |short: f64, full: f64| (short / full - 1.0).abs() < 1e-9;
        assert!(close(short.distance_m, full.distance_m), "{short:?} {}", full.distance_m);
        assert!(close(short.distance_with_reserve_m, full.distance_with_reserve_m), "{short:?}");
        assert!((short.end_charge_frac - full.end_charge_frac).abs() < 1e-9);
        assert!(close(short.keeps_up_m(), full.keeps_up_m()) && short.missed == full.missed);
    }
}

fn hold_side_by_side(cases: &[(Car, Day)], cycle: &str) {
    let cycle = Cycle::builtin(cycle).unwrap();
    let ready: Vec<Ready> = cases.iter().map(|(car, day)| Ready::new(car, day)).collect();
    let prepared = &prepare(cases, &ready)[..19];
    let bits = |short: &ShortRange| {
        [short.distance_m, short.distance_with_reserve_m, short.use_j, short.heat_used_max]
            .map(f64::to_bits)
    };
    for (case, together) in prepared.iter().zip(short_ranges(prepared, &cycle)) {
        assert_eq!(bits(&short_range(case, &cycle)), bits(&together));
    }
}

#[test]
fn side_by_side_gives_the_bits_of_one_alone() {
    hold_side_by_side(&cases(), "udds");
}

/// Each car with its own driver: weak cars shift at full throttle, and at other places than strong ones.
#[test]
fn cars_that_choose_gears_do_so_side_by_side_as_alone() {
    let gear = |ratio: f64| StageSpec {
        ratio,
        efficiency_frac: 0.97,
        drag_torque_nm: 0.6,
        drag_speed_radps: 300.0,
        max_torque_nm: None,
        max_speed_radps: None,
    };
    let gearbox = GearboxSpec {
        gears: [3.4, 2.0, 1.35, 1.0].map(gear).to_vec(),
        shifting: Shifting::LeastLoss { dwell_s: 4.0, shift_s: 1.3 },
    };
    let mut draws = Draws(7);
    let mut cases = Vec::new();
    while cases.len() < 19 {
        let (mut spec, day) = random_case(&mut draws);
        spec.driveline.first = FirstStage::Gearbox(gearbox.clone());
        let scale = draws.between(0.4, 1.0);
        Knob::find("motor.curve_scale", &spec).unwrap().set(&mut spec, scale).unwrap();
        if let (Ok(car), Ok(day)) = (Car::new(&spec), Day::new(&day)) {
            cases.push((car, day));
        }
    }
    hold_side_by_side(&cases, "us06");
}
