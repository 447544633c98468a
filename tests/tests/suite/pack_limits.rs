//! The pack: cold, the weakest module, age, and how many modules there are.

use std::f64::consts::TAU;
use std::sync::Arc;

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::limit::Limit;
use crownwheel::pack::expected_greatest_normal;
use crownwheel::range::{RangeEnd, RangeRun, range};
use crownwheel::spec::{CarSpec, ColdCapacityTable, DaySpec, PackSpec};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use crate::run::{trace, watch};

fn day_at(celsius: f64) -> DaySpec {
    DaySpec { temperature_k: ZERO_CELSIUS_K + celsius, ..mild_day() }
}

fn to_empty(car: &CarSpec, day: &DaySpec) -> RangeRun {
    let (car, day) = (Car::new(car).unwrap(), Day::new(day).unwrap());
    range(&car, &day, &Cycle::builtin("udds").unwrap())
}

/// A sheet of usable capacity: 70 % at -20 °C, 85 % at 0 °C, all at 25 °C.
fn with_cold_sheet() -> CarSpec {
    let mut car = small_saloon();
    car.pack.resistance_b_k = 0.0;
    car.pack.cold_capacity = Some(Arc::new(ColdCapacityTable {
        temperature_k: [-20.0, 0.0, 25.0].map(|celsius| ZERO_CELSIUS_K + celsius).to_vec(),
        capacity_frac: vec![0.7, 0.85, 1.0],
    }));
    car
}

/// The floor is `max(usable part, 1 - c(T))`, and the run ends there.
#[test]
fn a_cold_capacity_sheet_raises_the_floor() {
    let car = with_cold_sheet();
    let floor_at = |celsius: f64| car.pack.floor_at_frac(ZERO_CELSIUS_K + celsius);
    let usable = car.pack.floor_frac();
    for (celsius, floor) in
        [(-40.0, 0.3), (-20.0, 0.3), (-10.0, 0.225), (0.0, 0.15), (25.0, usable), (40.0, usable)]
    {
        assert_close!(floor_at(celsius), floor, abs = 1e-12, rel = 0.0, "{celsius} °C");
    }
    let mut last_m = f64::INFINITY;
    for celsius in [20.0, 0.0, -10.0, -20.0] {
        let run = to_empty(&car, &day_at(celsius));
        assert_eq!(run.end, RangeEnd::Empty, "{celsius} °C");
        assert_close!(run.end_charge_frac, floor_at(celsius), abs = 1e-12, rel = 0.0, "{celsius}");
        assert!(run.distance_m < last_m, "{celsius} °C");
        last_m = run.distance_m;
    }
}

/// It is the pack that must be cold, not the air.
#[test]
fn a_pack_kept_warm_keeps_its_capacity() {
    let car = with_cold_sheet();
    let cold = day_at(-15.0);
    let warm = DaySpec { pack_temperature_k: Some(ZERO_CELSIUS_K + 25.0), ..cold.clone() };
    let (cold, warm) = (to_empty(&car, &cold), to_empty(&car, &warm));
    assert_close!(warm.end_charge_frac, car.pack.floor_frac(), abs = 1e-12, rel = 0.0);
    assert!(warm.distance_m > cold.distance_m);
}

/// The sheet already holds the resistance: cold acts through one of them, never both.
#[test]
fn cold_acts_through_capacity_or_resistance_but_never_both() {
    let mut both = with_cold_sheet();
    both.pack.resistance_b_k = 2000.0;
    assert_eq!(Car::new(&both).unwrap_err().key(), "pack.resistance_b");
    // With the sheet a cold pack resists as a warm one: only the floor tells them apart.
    let mut sheet = with_cold_sheet();
    sheet.driveline.oil_viscosity_exponent = 0.0;
    let pack_loss_j = |celsius: f64| {
        let day = DaySpec { pack_temperature_k: Some(ZERO_CELSIUS_K + celsius), ..day_at(10.0) };
        let mut losses_j = 0.0;
        let drive = Cycle::builtin("hwfet").unwrap();
        watch(&sheet, &day, &drive, Some(0.8), |driven| losses_j += driven.step.energy.pack_j);
        losses_j
    };
    assert_close!(pack_loss_j(10.0), pack_loss_j(30.0), abs = 0.0, rel = 1e-6);
}

/// Numbers that look random, the same every time: a counter, stirred.
struct Draws(u64);

impl Draws {
    /// Uniform between 0 and 1, never 0.
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let high = u32::try_from((z ^ (z >> 31)) >> 32).expect("32 bits");
        (f64::from(high) + 0.5) / 4_294_967_296.0
    }

    /// Two standard normal draws, by the polar angle and radius of Box and Muller.
    fn normals(&mut self) -> [f64; 2] {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        let angle = TAU * self.uniform();
        [radius * angle.cos(), radius * angle.sin()]
    }
}

/// Mean of the greatest of `n` over many packs.
fn greatest_by_draws(n: u32, packs: u32) -> f64 {
    let mut draws = Draws(1967);
    let mut sum = 0.0;
    for _ in 0..packs {
        let mut greatest = f64::NEG_INFINITY;
        for i in 0..n.div_ceil(2) {
            let [one, other] = draws.normals();
            greatest = greatest.max(one);
            if 2 * i + 1 < n {
                greatest = greatest.max(other);
            }
        }
        sum += greatest;
    }
    sum / f64::from(packs)
}

/// The expected greatest of N by 200,000 drawn packs. Three standard errors of their mean are 0.007
/// at worst (N = 1), and 0.002 are for counts between the rows of the table.
#[test]
fn the_weakest_module_is_the_expected_least_of_many() {
    for n in [1, 2, 5, 9, 12, 17, 36, 80] {
        let drawn = greatest_by_draws(n, 200_000);
        assert_close!(expected_greatest_normal(n), drawn, abs = 9e-3, rel = 0.0, "{n} modules");
    }
}

/// In series the weakest rules: capacity falls with spread and with the number of modules.
#[test]
fn module_spread_takes_capacity_away() {
    let pack = PackSpec { module_spread: 0.05, ..small_saloon().pack };
    assert_eq!(pack.modules_in_series, 9);
    assert_close!(pack.weakest_frac(), 1.0 - 0.05 * 1.485_01, abs = 1e-12, rel = 0.0);
    let even = PackSpec { module_spread: 0.0, ..pack.clone() };
    let ratio = pack.capacity_c() / even.capacity_c();
    assert_close!(ratio, pack.weakest_frac(), abs = 0.0, rel = 1e-12);
    let shorter = PackSpec { modules_in_series: 2, ..pack.clone() };
    assert!(shorter.weakest_frac() > pack.weakest_frac());
    // A car with it goes that much less far, but for what its resistance takes.
    let mut car = small_saloon();
    let whole_m = to_empty(&car, &mild_day()).distance_m;
    car.pack = pack;
    let spread_m = to_empty(&car, &mild_day()).distance_m;
    assert_close!(spread_m / whole_m, ratio, abs = 0.0, rel = 5e-3);
}

/// Below freezing nothing is charged: not a step raises the charge until the pack is warm.
#[test]
fn a_frozen_pack_is_not_charged() {
    let car = small_saloon();
    let day = DaySpec { pack_temperature_k: Some(ZERO_CELSIUS_K - 0.3), ..day_at(12.0) };
    let cycle = Cycle::builtin("udds").unwrap();
    let (mut frozen_s, mut named_s, mut warm_charge) = (0.0, 0.0, 0.0);
    watch(&car, &day, &cycle, Some(0.6), |driven| {
        let (before, step) = (driven.before, driven.step);
        let gained = step.state.charge_frac - before.charge_frac;
        if before.pack_k <= ZERO_CELSIUS_K {
            frozen_s += step.duration_s;
            assert!(gained <= 1e-12, "{driven:?}");
            // The motor may feed the loads, no more.
            assert!(step.energy.terminals_j >= -1e-3, "{driven:?}");
            if Limit::from_code(step.limit) == Limit::ColdPack {
                named_s += step.duration_s;
                assert!(step.energy.friction_j > 0.0, "the brakes do it: {driven:?}");
            }
        } else {
            warm_charge += gained.max(0.0);
        }
    });
    assert!(frozen_s > 100.0 && named_s > 10.0, "{frozen_s} s frozen, {named_s} s named");
    assert!(warm_charge > 0.0, "once warm it takes charge back");
}

/// Hard braking from 25 m/s: charging begins at freezing and is whole from 5 °C.
#[test]
fn charging_comes_back_over_five_kelvin() {
    let car = small_saloon();
    let into_pack_j = |celsius: f64| {
        let day = DaySpec { pack_temperature_k: Some(ZERO_CELSIUS_K + celsius), ..day_at(2.0) };
        let mut sum_j = 0.0;
        let cycle = trace(&[(0.0, 25.0), (20.0, 25.0), (28.0, 0.0)], 0.0);
        watch(&car, &day, &cycle, Some(0.6), |driven| {
            sum_j += (-driven.step.energy.terminals_j).max(0.0);
        });
        sum_j
    };
    let taken = [-10.0, 1.0, 3.0, 5.5, 15.0].map(into_pack_j);
    assert_close!(taken[0], 0.0, abs = 1.0, rel = 0.0);
    assert!(taken[..4].is_sorted() && taken[1] > 1e3, "{taken:?}");
    assert!(taken[3] > 1.1 * taken[2], "{taken:?}");
    // Warmer than that only the resistance is less.
    assert_close!(taken[3], taken[4], abs = 0.0, rel = 0.02);
}

#[test]
fn an_old_pack_goes_less_far_by_its_health() {
    let new = small_saloon();
    let mut old = new.clone();
    old.pack.state_of_health_frac = 0.8;
    assert_close!(old.pack.capacity_c(), 0.8 * new.pack.capacity_c(), abs = 0.0, rel = 1e-12);
    assert_close!(old.pack.energy_kwh(), 0.8 * new.pack.energy_kwh(), abs = 0.0, rel = 1e-12);
    let ratio = to_empty(&old, &mild_day()).distance_m / to_empty(&new, &mild_day()).distance_m;
    // Cold oil at the start weighs more on the shorter run.
    assert_close!(ratio, 0.8, abs = 0.0, rel = 0.01);
}

/// Twice the strings: twice the capacity and half the resistance; twice in series: twice the
/// voltage and the resistance. Mass and energy count modules.
#[test]
fn modules_in_series_and_in_parallel() {
    let pack = small_saloon().pack;
    let strings = PackSpec { modules_in_parallel: 2, ..pack.clone() };
    let longer = PackSpec { modules_in_series: 2 * pack.modules_in_series, ..pack.clone() };
    for (many, capacity, resistance, volts) in [(&strings, 2.0, 0.5, 1.0), (&longer, 1.0, 2.0, 2.0)]
    {
        let ratio = |f: fn(&PackSpec) -> f64| f(many) / f(&pack);
        assert_close!(ratio(PackSpec::capacity_c), capacity, abs = 0.0, rel = 1e-12);
        assert_close!(ratio(PackSpec::cells_resistance_ohm), resistance, abs = 0.0, rel = 1e-12);
        assert_close!(ratio(PackSpec::full_voltage_v), volts, abs = 0.0, rel = 1e-12);
        assert_close!(ratio(PackSpec::max_discharge_a), capacity, abs = 0.0, rel = 1e-12);
        assert_close!(ratio(PackSpec::energy_kwh), 2.0, abs = 0.0, rel = 1e-12);
        assert_close!(ratio(PackSpec::modules_kg), 2.0, abs = 0.0, rel = 1e-12);
    }
    // Without a harness twice the strings give twice the current into a short.
    let bare = PackSpec { harness_resistance_ohm: 0.0, ..pack };
    let bare_strings = PackSpec { harness_resistance_ohm: 0.0, ..strings };
    let ratio = bare_strings.short_circuit_a() / bare.short_circuit_a();
    assert_close!(ratio, 2.0, abs = 0.0, rel = 1e-12);
}
