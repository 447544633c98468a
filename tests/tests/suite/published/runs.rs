//! Whole runs with printed energies: the full model, made ideal but for what the example counts.

use crownwheel::constants::STANDARD_GRAVITY_MPS2;
use crownwheel_testkit::Table;
use crownwheel_testkit::checks::expected;

use crate::fixture::{Ideal, ideal, ideal_day};
use crate::run::{Run, run, trace};

pub(crate) const CHECKED: &[&str] = &["RL-14", "RL-15", "RL-16", "RL-17"];

const MPS_PER_KMH: f64 = 1.0 / 3.6;
const JOULE_PER_WH: f64 = 3600.0;

/// The examples are of trains, with forces for each tonne.
/// A model of one tonne has just these forces, in N.
const ONE_TONNE_KG: f64 = 1000.0;

/// Half charge: the ideal pack gives and takes alike.
const HALF: Option<f64> = Some(0.5);

/// Sine of a slope that pulls one tonne with a force in N.
fn slope_sin(newton_per_tonne: f64) -> f64 {
    newton_per_tonne / (ONE_TONNE_KG * STANDARD_GRAVITY_MPS2)
}

/// One tonne with a constant resistance and 10 % of turning mass.
fn train(resistance_n_per_t: f64, efficiency_frac: f64, regen_share: f64) -> Ideal {
    Ideal {
        mass_kg: ONE_TONNE_KG,
        turning_share: 0.1,
        road_load: [resistance_n_per_t, 0.0, 0.0],
        efficiency_frac,
        regen_share,
    }
}

/// Speed gained in a second by a force on one tonne with its turning mass, m/s².
fn drift_mps2(newton_per_tonne: f64) -> f64 {
    newton_per_tonne / (1.1 * ONE_TONNE_KG)
}

/// Watt-hours from the pack for a tonne and a kilometre.
fn specific_wh(run: &Run) -> f64 {
    run.balance.sum.from_pack_j / JOULE_PER_WH / (run.distance_m / 1000.0)
}

/// Source: Theraja and Theraja, Electrical Technology vol. III, example 43.13: accelerate 1.6 km/h/s
/// for 25 s, 50 s at speed, coast 30 s, brake 2.56 km/h/s; up 1 % (98 N/t), 50 N/t, efficiency 0.75.
#[test]
fn rl_14_accelerate_cruise_coast_brake() {
    let top_mps = 40.0 * MPS_PER_KMH;
    let coasted_mps = top_mps - drift_mps2(98.0 + 50.0) * 30.0;
    let braking_s = coasted_mps / (2.56 * MPS_PER_KMH);
    let points = [
        (0.0, 0.0),
        (25.0, top_mps),
        (75.0, top_mps),
        (105.0, coasted_mps),
        (105.0 + braking_s, 0.0),
    ];
    let run =
        run(&ideal(train(50.0, 0.75, 0.0)), &ideal_day(), &trace(&points, slope_sin(98.0)), HALF);
    expected("RL-14", "distance").check(run.distance_m / 1000.0);
    expected("RL-14", "energy").check(specific_wh(&run));
    // While coasting the motor neither pulls nor brakes.
    let coast = trace(&[(0.0, top_mps), (30.0, coasted_mps)], slope_sin(98.0));
    let coasting = self::run(&ideal(train(50.0, 0.75, 1.0)), &ideal_day(), &coast, HALF);
    expected("RL-14", "V_end_coast").check(coasting.end.speed_mps / MPS_PER_KMH);
    assert!(coasting.balance.scale_j() < 1.0, "{:?}", coasting.balance);
}

/// Accelerate 2 km/h/s for 30 s, coast 50 s, brake 15 s, stand 15 s, on a slope of `slope_n` N/t.
fn climb_and_stop(slope_n: f64) -> Run {
    let top_mps = 60.0 * MPS_PER_KMH;
    let coasted_mps = top_mps - drift_mps2(slope_n + 40.0) * 50.0;
    let points = [(0.0, 0.0), (30.0, top_mps), (80.0, coasted_mps), (95.0, 0.0), (110.0, 0.0)];
    run(&ideal(train(40.0, 0.75, 0.0)), &ideal_day(), &trace(&points, slope_sin(slope_n)), HALF)
}

/// Source: Theraja vol. III, example 43.15; 1 % is 98 N/t.
#[test]
fn rl_15_up_and_down_a_slope() {
    let (up, down) = (climb_and_stop(98.0), climb_and_stop(-98.0));
    let schedule_kmh = up.distance_m / up.duration_s / MPS_PER_KMH;
    expected("RL-15", "schedule_speed").check(schedule_kmh);
    expected("RL-15", "E_up").check(specific_wh(&up));
    expected("RL-15", "E_down").check(specific_wh(&down));
}

/// Source: Dubey, Fundamentals of Electrical Drives, example 10.4: 500 t down 20 per mille with 25
/// N/t. The book misprints one force; these are the recomputed numbers. Divide by the efficiency
/// when driving, multiply when taking back.
#[test]
fn rl_16_down_hill_with_regeneration() {
    let (tonnes, top_mps) = (500.0, 150.0 * MPS_PER_KMH);
    let sin = slope_sin(-0.02 * ONE_TONNE_KG * 9.81);
    let parts = [
        trace(&[(0.0, 0.0), (50.0, top_mps)], sin),
        trace(&[(0.0, top_mps), (600.0, top_mps)], sin),
        trace(&[(0.0, top_mps), (60.0, 0.0)], sin),
    ];
    let drive = |efficiency: f64| {
        let car = ideal(train(25.0, efficiency, 1.0));
        parts.each_ref().map(|part| run(&car, &ideal_day(), part, HALF))
    };
    let wh = |run: &Run| tonnes * run.balance.sum.from_pack_j / JOULE_PER_WH;
    let at_wheels = drive(1.0);
    expected("RL-16", "E_acc").check(wh(&at_wheels[0]));
    expected("RL-16", "E_cruise").check(wh(&at_wheels[1]));
    expected("RL-16", "E_brake").check(wh(&at_wheels[2]));
    let at_pack = drive(0.8);
    let net_wh: f64 = at_pack.iter().map(wh).sum();
    let distance_km = at_pack.iter().map(|run| run.distance_m).sum::<f64>() / 1000.0;
    expected("RL-16", "net").check(net_wh);
    expected("RL-16", "distance").check(distance_km);
    expected("RL-16", "specific").check(net_wh / tonnes / distance_km);
}

/// Source: UN Regulation 83, part two of the European cycle, break points in `eudc.csv`; energies
/// by piecewise integration with the sign change of the force located (scipy 1.17.1).
#[test]
fn rl_17_energy_over_the_extra_urban_cycle() {
    let table = Table::read(include_str!("../../../data/eudc.csv"));
    let points: Vec<(f64, f64)> =
        table.rows().map(|row| (row.number("t_s"), row.number("v_km_h") * MPS_PER_KMH)).collect();
    let weight_n = 1500.0 * 9.81;
    let car = ideal(Ideal {
        mass_kg: 1500.0,
        turning_share: 0.0,
        road_load: [0.012 * weight_n, 0.0, 0.5 * 1.2 * 0.7],
        efficiency_frac: 1.0,
        regen_share: 1.0,
    });
    // Short legs, so that the change of sign within a leg does not matter.
    let cycle = trace(&points, 0.0).refined(200);
    let run = run(&car, &ideal_day(), &cycle, HALF);
    expected("RL-17", "distance").check(run.distance_m);
    expected("RL-17", "mean_speed").check(run.distance_m / run.duration_s / MPS_PER_KMH);
    expected("RL-17", "E_positive").check(run.taken_j);
    expected("RL-17", "E_negative").check(run.given_back_j);
    let use_wh_per_km = run.taken_j / JOULE_PER_WH / (run.distance_m / 1000.0);
    expected("RL-17", "Wh_per_km").check(use_wh_per_km);
}
