//! A car stepped from outside does what the same car does in a cycle, and what it is told.

use crownwheel::cycle::{Cycle, Span};
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::spec::Shifting;
use crownwheel::{Car, Command, Day, Limit, Plant, Road, Start, example};

fn plant(charge_frac: f64, speed_mps: f64) -> Plant {
    let on = Car::new(&example::small_saloon()).unwrap().on(&Day::mild());
    on.plant(Start::at_charge(charge_frac).rolling(speed_mps)).unwrap()
}

/// Fed with a cycle leg by leg it takes what the first repeat takes, to the last bit.
#[test]
fn a_cycle_fed_from_outside_is_the_cycle() {
    for spec in [
        example::small_saloon(),
        super::model::with_gearbox(Shifting::LeastLoss { dwell_s: 2.0, shift_s: 0.5 }),
    ] {
        let (car, day, cycle) = (Car::new(&spec).unwrap(), Day::mild(), Cycle::udds());
        let (mut state, mut terminals_j, mut way_m) = (start_state(&car, &day, &cycle), 0.0, 0.0);
        drive(&mut Driver::new(&car, &day), &cycle, &mut state, |driven| {
            terminals_j += driven.step.energy.terminals_j;
            way_m += driven.step.distance_m;
            true
        });
        let full = Start::at_charge(car.spec().pack.usable_to_frac);
        let mut plant = car.on(&day).plant(full).unwrap();
        let (mut fed_j, mut fed_m) = (0.0, 0.0);
        for leg in cycle.legs() {
            let Span::Time(step_s) = leg.span else { panic!("by time") };
            let done = plant.step(step_s, Command::Speed(leg.target_mps), Road::flat()).unwrap();
            fed_j += done.terminals_j;
            fed_m += done.distance_m;
        }
        assert_eq!((fed_j, fed_m), (terminals_j, way_m));
        assert_eq!(plant.state(), &state);
    }
}

#[test]
fn commands_give_what_they_say() {
    let start = plant(0.8, 15.0);
    let step = |command| start.clone().step(0.1, command, Road::flat()).unwrap();
    for wanted_nm in [-30.0, 0.0, 40.0] {
        let done = step(Command::MotorTorque(wanted_nm));
        assert!((done.torque_nm - wanted_nm).abs() < 1e-6, "{wanted_nm}: {}", done.torque_nm);
        assert!(done.friction_brakes_j.abs() < 1e-6);
    }
    for wanted_w in [-5e3, 0.0, 12e3] {
        let done = step(Command::Power(wanted_w));
        assert!((done.terminals_j / 0.1 - wanted_w).abs() < 1e-3, "{wanted_w}");
    }
    let full = step(Command::Accelerator(1.0));
    let half = step(Command::Accelerator(0.5));
    assert!((half.torque_nm - 0.5 * full.torque_nm).abs() < 1e-6);
    assert_ne!(full.limit(), Limit::None);
    // 2 kN at the wheels slow 908.6 kg and what turns by a little more than 2 m/s², beside air and tyres.
    let mut braked = start.clone();
    braked.step(0.1, Command::Brake(2_000.0), Road::flat()).unwrap();
    let slowed_mps2 = (15.0 - braked.state().speed_mps) / 0.1;
    assert!((2.1..2.7).contains(&slowed_mps2), "{slowed_mps2}");
}

/// Grip of 0.8 slows by no more than 0.8 g and what the road takes.
#[test]
fn no_braking_is_harder_than_grip() {
    let mut hard = plant(0.8, 20.0);
    let done = hard.step(0.1, Command::Speed(0.0), Road::flat()).unwrap();
    let slowed_mps2 = (20.0 - hard.state().speed_mps) / 0.1;
    assert!((6.0..8.5).contains(&slowed_mps2), "{slowed_mps2}");
    assert_eq!(done.limit(), Limit::Grip);
    let mut brake = plant(0.8, 20.0);
    brake.step(0.1, Command::Brake(1e9), Road::flat()).unwrap();
    assert!((brake.state().speed_mps - hard.state().speed_mps).abs() < 1e-9);
}

#[test]
fn the_road_and_what_the_model_does_not_have() {
    let start = plant(0.8, 20.0);
    let used_j = |road: Road| {
        let mut plant = start.clone();
        (0..50)
            .map(|_| plant.step(0.2, Command::Speed(20.0), road).unwrap().terminals_j)
            .sum::<f64>()
    };
    let flat_j = used_j(Road::flat());
    assert!((used_j(Road::flat().extra_power(500.0)) - flat_j - 5_000.0).abs() < 20.0);
    let force_j = used_j(Road::flat().extra_force(100.0)) - flat_j;
    assert!((20_000.0..28_000.0).contains(&force_j), "100 N over 200 m and losses: {force_j}");
    assert!(used_j(Road::flat().wind(5.0)) > flat_j + 20_000.0);
    assert!(used_j(Road::grade(-0.08)) < 0.0 && used_j(Road::grade(0.05)) > 2.0 * flat_j);
    // The road of one step is not that of the next.
    let mut plant = start.clone();
    plant.step(0.2, Command::Speed(20.0), Road::flat().extra_power(9_000.0)).unwrap();
    let after = plant.step(0.2, Command::Speed(20.0), Road::flat()).unwrap();
    assert!((after.terminals_j - flat_j / 50.0).abs() < 10.0);
}

#[test]
fn a_long_step_is_its_parts() {
    let (mut long, mut short) = (plant(0.8, 10.0), plant(0.8, 10.0));
    let whole = long.step(4.0, Command::Speed(14.0), Road::flat()).unwrap();
    let parts: f64 = [11.0, 12.0, 13.0, 14.0]
        .map(|to_mps| short.step(1.0, Command::Speed(to_mps), Road::flat()).unwrap().terminals_j)
        .iter()
        .sum();
    assert_eq!(long.state(), short.state());
    assert!((whole.terminals_j - parts).abs() < 1e-9 * parts);
}

#[test]
fn poison_is_an_error_and_moves_nothing() {
    let mut plant = plant(0.8, 20.0);
    let before = *plant.state();
    let speed = Command::Speed(20.0);
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -1.0] {
        assert!(plant.step(bad, speed, Road::flat()).is_err(), "{bad}");
    }
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        for command in [Command::Speed(bad), Command::Accelerator(bad), Command::Brake(bad)] {
            assert!(plant.step(0.1, command, Road::flat()).is_err(), "{command:?}");
        }
    }
    for bad in [f64::NAN, f64::INFINITY] {
        for command in [Command::MotorTorque(bad), Command::Power(bad)] {
            assert!(plant.step(0.1, command, Road::flat()).is_err(), "{command:?}");
        }
        for road in [
            Road::grade(bad),
            Road::flat().wind(bad),
            Road::flat().extra_force(bad),
            Road::flat().extra_power(bad),
        ] {
            assert!(plant.step(0.1, speed, road).is_err(), "{road:?}");
        }
    }
    assert_eq!(plant.state(), &before);
    let on = Car::new(&example::small_saloon()).unwrap().on(&Day::mild());
    for charge_frac in [f64::NAN, -0.1, 1.1] {
        assert!(on.plant(Start::at_charge(charge_frac)).is_err());
    }
    let said = plant.step(0.1, Command::Speed(-3.0), Road::flat()).unwrap_err().to_string();
    assert_eq!(said, "the speed must be 0 to 100 m/s, not -3");
}
