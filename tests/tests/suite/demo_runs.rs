//! The demos over every cycle and day: the energy balance closes, halving the step changes next to
//! nothing, and the figures of the stories hold.

use crownwheel::cycle::Cycle;
use crownwheel::range::{RangeEnd, range};
use crownwheel::spec::{CarSpec, FirstStage, Shifting};
use crownwheel::weights::{LoadCase, loaded};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use crate::demo::{DEMOS, DUNLIN, Demo, GODWIT, WREN};
use crate::run::run;

/// Share of the gross energy that may be missing from a balance.
const CLOSED_REL: f64 = 1e-9;

#[test]
fn the_balance_closes_on_every_cycle_and_day() {
    for demo in DEMOS {
        let build = demo.build();
        let car = Car::new(&build.car).unwrap();
        assert!(build.days.len() >= 2, "{demo:?} has its days");
        for day in &build.days {
            let day = Day::new(day).unwrap();
            for cycle in demo.cycles() {
                let found = range(&car, &day, &cycle);
                let (missing_j, scale_j) = (found.balance.imbalance_j(), found.balance.scale_j());
                let name = format!("{demo:?}: {} on a {} day", cycle.name(), day.name());
                assert!(scale_j > 5e6, "{name}: {scale_j} J");
                assert_close!(missing_j, 0.0, abs = CLOSED_REL * scale_j, rel = 0.0, "{name}");
            }
        }
    }
}

/// Kinetic energy is the change of `½ m v²`: nothing from rest to rest.
#[test]
fn from_rest_to_rest_nothing_is_kept_as_speed() {
    for demo in DEMOS {
        let build = demo.build();
        for cycle in demo.cycles() {
            let run = run(&build.car, &build.days[0], &cycle, None);
            let scale_j = run.balance.scale_j();
            assert_close!(run.end.speed_mps, 0.0, abs = 1e-9, rel = 0.0, "{}", cycle.name());
            let kinetic_j = run.balance.sum.kinetic_j;
            assert_close!(kinetic_j, 0.0, abs = CLOSED_REL * scale_j, rel = 0.0, "{demo:?}");
        }
    }
}

/// Asserts that legs of half the length change net energy by no more than `rel`, on every day and
/// on every cycle but those that are left out.
fn halving_moves_less_than(rel: f64, demo: Demo, car: &CarSpec, left_out: &[&str]) {
    for day in &demo.build().days {
        let cycles = demo.cycles();
        for cycle in cycles.iter().filter(|cycle| !left_out.contains(&cycle.name())) {
            let net_j = |parts| run(car, day, &cycle.refined(parts), None).balance.sum.from_pack_j;
            let name = format!("{demo:?}: {} on a {} day", cycle.name(), day.name);
            assert_close!(net_j(1), net_j(2), abs = 0.0, rel = rel, "{name}");
        }
    }
}

#[test]
fn halving_the_step_moves_net_energy_by_less_than_a_thousandth() {
    halving_moves_less_than(1e-3, DUNLIN, &DUNLIN.build().car, &[]);
    // The Wren and the van fall far behind on us06 (by a quarter): then the moment at which they do counts, not the step.
    halving_moves_less_than(1e-3, WREN, &WREN.build().car, &["us06"]);
    halving_moves_less_than(1e-3, GODWIT, &shifted(Shifting::Fixed(2)), &["us06"]);
}

/// With a choice of gear on every leg, shorter legs choose at other moments: up to 3 in a thousand.
#[test]
fn halving_the_step_moves_the_choice_of_gear_by_little() {
    let van = shifted(Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.0 });
    halving_moves_less_than(3e-3, GODWIT, &van, &["us06"]);
}

/// The van, its gearbox driven in another way.
fn shifted(shifting: Shifting) -> CarSpec {
    let mut car = GODWIT.build().car;
    let FirstStage::Gearbox(gearbox) = &mut car.driveline.first else { panic!("a gearbox") };
    gearbox.shifting = shifting;
    car
}

/// Drag on a calm day does not depend on the car's machinery: `½ ρ C_dA ∫ v³ dt`, which is exact
/// for straight pieces of speed: `∫ v³ dt = dt (a² + b²)(a + b) / 4`.
#[test]
fn air_work_is_the_integral_over_the_cycle() {
    let build = DUNLIN.build();
    let (car, day) = (Car::new(&build.car).unwrap(), Day::new(&build.days[0]).unwrap());
    // Cycles that the car can follow all the way, with legs of one second.
    for name in ["udds", "hwfet", "nedc", "wltc1"] {
        let cycle = Cycle::builtin(name).unwrap();
        let mut speed_mps = cycle.start_mps();
        let mut cubes = 0.0;
        for leg in cycle.legs() {
            let (a, b) = (speed_mps, leg.target_mps);
            cubes += (a * a + b * b) * (a + b) / 4.0;
            speed_mps = b;
        }
        let exact_j = 0.5 * day.air_density_kgpm3() * car.drag_area_m2() * cubes;
        let found_j = run(&build.car, &build.days[0], &cycle, None).balance.sum.air_j;
        assert_close!(found_j, exact_j, abs = 0.0, rel = 1e-9, "{name}");
    }
}

#[test]
fn the_demo_follows_the_town_cycle() {
    let build = DUNLIN.build();
    let car = Car::new(&build.car).unwrap();
    for day in &build.days {
        let found = range(&car, &Day::new(day).unwrap(), &Cycle::builtin("udds").unwrap());
        assert_close!(found.first.shortfall_s, 0.0, abs = 0.0, rel = 0.0, "{}", day.name);
        assert_eq!(found.end, RangeEnd::Empty);
    }
}

/// Four up and loaded to gross the rear axle is over its plate by about 16 kg; nowhere else.
#[test]
fn the_rear_axle_is_over_its_plate_at_gross() {
    let build = DUNLIN.build();
    let plate = build.car.weights.plate;
    let (front_kg, rear_kg) = (plate.front_axle_kg.unwrap(), plate.rear_axle_kg.unwrap());
    for case in LoadCase::ALL {
        let corners = loaded(&build.car.weights, &build.car.pack, case).corners;
        assert!(corners.front_axle_kg() < front_kg, "{case:?}");
        if case == LoadCase::AtGross {
            assert_close!(corners.rear_axle_kg() - rear_kg, 16.0, abs = 2.0, rel = 0.0);
            assert_close!(corners.total_kg(), plate.gross_kg.unwrap(), abs = 1e-9, rel = 0.0);
        } else {
            assert!(corners.rear_axle_kg() < rear_kg, "{case:?}");
        }
    }
}

/// The round ends where it began: 46 km, back at the same height, never faster than 80 km/h.
#[test]
fn the_moorland_round_is_a_round() {
    let cycle = DUNLIN.own_cycles().remove(0);
    assert_close!(cycle.distance_m(), 46_000.0, abs = 1e-6, rel = 0.0);
    assert_close!(cycle.top_speed_mps() * 3.6, 80.0, abs = 1e-9, rel = 0.0);
    let build = DUNLIN.build();
    let run = run(&build.car, &build.days[0], &cycle, None);
    let climbed_j = run.balance.sum.climbing_j;
    assert_close!(climbed_j, 0.0, abs = 1e-6 * run.balance.scale_j(), rel = 0.0);
    assert_close!(cycle.climb_m(), 927.6, abs = 0.1, rel = 0.0);
}
