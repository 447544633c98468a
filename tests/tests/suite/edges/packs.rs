//! Packs tiny and huge, empty and full, and loads that are too much for them.

use std::sync::Arc;

use crownwheel::charger::Socket;
use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::pull::Throttle;
use crownwheel::range::RangeEnd;
use crownwheel::spec::{BoxSpec, CarSpec, DaySpec, LoadSide, LoadSpec};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use super::answers::{assert_answers, assert_finite, assert_plain_refusal, subject, to_the_end};
use crate::run::run;

fn town() -> Vec<Cycle> {
    vec![Cycle::builtin("udds").unwrap()]
}

fn with_capacity(factor: f64) -> CarSpec {
    let mut car = small_saloon();
    car.pack.cell_capacity_c *= factor;
    // The same power from less: the currents stay those of the saloon.
    car.pack.max_discharge_per_h /= factor;
    car.pack.max_charge_per_h /= factor;
    car
}

#[test]
fn tiny_and_huge_capacities() {
    let days = [mild_day(), winter_day()];
    for factor in [1e-5, 1e-2, 20.0] {
        assert_finite(&format!("{factor} of the capacity"), &with_capacity(factor), &days, &town());
    }
    // Range is proportional to capacity where nothing else changes: oil and pack are warm by then.
    let far_m =
        |factor: f64| to_the_end(&with_capacity(factor), &mild_day(), &town()[0]).distance_m;
    assert_close!(far_m(8.0) / far_m(4.0), 2.0, abs = 0.02, rel = 0.0);
    // A pack that lasts for ever ends the run as far, in good time.
    let end = to_the_end(&with_capacity(1e6), &mild_day(), &town()[0]);
    assert_eq!(end.end, RangeEnd::Far);
    assert_finite("far", &with_capacity(1e6), &[mild_day()], &town());
}

#[test]
fn one_cell_and_a_hundred_thousand() {
    let mut car = small_saloon();
    (car.pack.cells_in_series, car.pack.modules_in_series) = (1, 1);
    let error = Car::new(&car).expect_err("3.6 V are below the controller's window");
    assert_plain_refusal("one cell", &error);
    assert_eq!(error.key(), "inverter.voltage_window.from");
    car.inverter.min_voltage_v = 1.0;
    assert_finite("one cell", &car, &[mild_day()], &town());
    let mut many = small_saloon();
    (many.pack.cells_in_parallel, many.pack.module_mass_kg) = (100_000, 0.0);
    assert_finite("many cells", &many, &[mild_day()], &town());
    many.pack.modules_in_series = 100_000;
    assert_plain_refusal("many modules", &Car::new(&many).expect_err("over the window"));
    let mut weightless = small_saloon();
    weightless.pack.boxes =
        vec![BoxSpec { room_for: u32::MAX, ..weightless.pack.boxes[0].clone() }];
    (weightless.pack.module_mass_kg, weightless.pack.conductance_wpk) = (0.0, 0.0);
    assert_finite("no mass, no cooling", &weightless, &[mild_day()], &town());
}

#[test]
fn the_whole_of_the_cells_is_in_use() {
    let mut car = small_saloon();
    (car.pack.usable_from_frac, car.pack.usable_to_frac) = (0.0, 1.0);
    car.pack.cell_min_voltage_v = 2.5;
    car.inverter.min_voltage_v = 60.0;
    car.pack.reserve_frac = 0.95;
    assert_finite("0 to 100 %", &car, &[mild_day(), winter_day()], &town());
    let found = to_the_end(&car, &mild_day(), &town()[0]);
    assert!(found.distance_with_reserve_m < 0.2 * found.distance_m);
    let stored_j = car.pack.stored_j(0.0, 1.0);
    assert!(found.balance.sum.from_pack_j <= stored_j * (1.0 + 1e-3), "no more than was in it");
}

/// From empty and from full the pull is finite, and nothing comes from an empty pack.
#[test]
fn pull_at_no_charge_and_at_full() {
    let (car, day) = (Car::new(&small_saloon()).unwrap(), Day::new(&mild_day()).unwrap());
    for charge_frac in [0.0, 1e-9, 0.999_999, 1.0] {
        let throttle = Throttle::new(&car, &day, charge_frac);
        let rows = throttle.table();
        let finite = |row: &crownwheel::pull::PullRow| {
            row.pull_n.is_finite() && row.continuous_pull_n.is_finite()
        };
        assert!(rows.iter().all(finite), "{charge_frac}");
        let run = throttle.run(0.02);
        assert!(run.points.iter().all(|point| point.speed_mps.is_finite()), "{charge_frac}");
    }
    // At rest an empty cell has 2.5 V: 90 V, below the 108 V of the cells' window.
    let row = Throttle::new(&car, &day, 0.0).row(10.0).unwrap();
    assert!(row.pull_n < 1.0, "{row:?}");
}

/// A heater that asks for more than the pack can give: `E²/4R` is the end of what there is, and the
/// balance still closes.
#[test]
fn standing_loads_beyond_the_pack() {
    let mut car = small_saloon();
    car.pack.cell_resistance_ohm = 20e-3;
    let day = DaySpec { extra_load_w: 50e3, ..mild_day() };
    assert_finite("heater", &car, std::slice::from_ref(&day), &town());
    // Half the energy stays in the resistance, half reaches what is on.
    let found = to_the_end(&car, &day, &town()[0]);
    let sum = &found.balance.sum;
    assert_close!(sum.pack_j, sum.terminals_j, abs = 0.0, rel = 1e-9);
    let mut loaded = small_saloon();
    loaded.loads.push(LoadSpec {
        name: Arc::from("welder"),
        power_w: 1e6,
        side: LoadSide::Traction,
        duty_frac: 1.0,
        ..LoadSpec::default()
    });
    assert_finite("welder", &loaded, &[mild_day()], &town());
}

/// At rest exactly the standing loads are drawn: what is on, the converter's loss, and what motor and
/// inverter lose while they are on.
#[test]
fn a_minute_at_rest_takes_the_standing_loads() {
    let still = crate::run::trace(&[(0.0, 0.0), (60.0, 0.0), (61.0, 0.5)], 0.0);
    let mut at_rest_j = 0.0;
    crate::run::watch(&small_saloon(), &mild_day(), &still, Some(0.9), |driven| {
        if driven.leg.target_mps <= 0.0 {
            at_rest_j += driven.step.energy.terminals_j;
        }
    });
    // 180 W over 0.9; 60 W fixed in the motor, of which the inverter loses 3 % more; 60 W its own.
    let watts = 180.0 / 0.9 + 60.0 * 1.03 + 60.0;
    assert_close!(at_rest_j, 60.0 * watts, abs = 0.0, rel = 1e-12);
}

/// A pack that is left alone at rest for a day warms and cools to the air, and never past it.
#[test]
fn a_day_at_rest() {
    let day = DaySpec { pack_temperature_k: Some(253.15), ..mild_day() };
    let mut car = small_saloon();
    car.loads = Vec::new();
    car.motor.losses_scale = 0.05;
    car.inverter.fixed_loss_w = 0.0;
    let still = crate::run::trace(&[(0.0, 0.0), (86_400.0, 0.0), (86_401.0, 0.5)], 0.0);
    assert!((still.duration_s() - 86_401.0).abs() < 1e-6);
    let found = run(&car, &day, &still, None);
    assert!(found.end.pack_k > 287.0 && found.end.pack_k < 288.16, "{:?}", found.end);
    // 3 W for a day: 60 W of the motor at a twentieth, and 3 % of it in the inverter.
    let drawn_j = found.balance.sum.terminals_j;
    assert_close!(drawn_j, 3.0 * 1.03 * 86_400.0, abs = 0.0, rel = 0.01);
}

#[test]
fn charging_from_nothing_and_to_the_brim() {
    let (car, mild) = (Car::new(&small_saloon()).unwrap(), Day::new(&mild_day()).unwrap());
    let frozen = Day::new(&DaySpec { temperature_k: 233.15, ..mild_day() }).unwrap();
    for day in [&mild, &frozen] {
        for supply_w in [1e-3, 100.0, 2300.0, 1e9] {
            for (from, to) in [(0.0, 1.0), (0.0, 0.0), (1.0, 1.0), (0.96, 1.0), (0.5, 0.2)] {
                let charge = Socket::new(&car, day, supply_w).charge(from, to);
                let name = format!("{supply_w} W from {from} to {to}");
                // A hundred watts are less than what the charger always loses, 109 W.
                let never = supply_w < 109.0 && to > from;
                assert!(
                    charge.duration_s.is_finite() != never && charge.wall_j.is_finite(),
                    "{name}"
                );
                assert!(charge.duration_s >= 0.0 && charge.into_pack_j >= 0.0, "{name}");
                // What goes into the pack is at least what it then holds, and the wall gives more.
                let stored_j = car.spec().pack.stored_j(from, charge.end_charge_frac);
                assert!(charge.into_pack_j >= stored_j * (1.0 - 1e-6) - 1e-6, "{name}");
                assert!(charge.wall_j * 0.92 >= charge.into_pack_j * (1.0 - 1e-12), "{name}");
                let warmed = charge.warming_j > 0.0 || day.pack_temperature_k() > 278.0;
                assert!(warmed || never || to <= from, "{name}");
            }
        }
    }
    let nothing = vec![crownwheel_quantities::Supply { name: "dead".into(), limit_w: 0.0 }];
    let subject = subject(&small_saloon(), &[mild_day()]);
    assert_answers("a dead socket", &subject.unwrap(), &town(), &nothing);
}
