//! Motor heat in closed form: two ratings, what a hot or high day takes away, and where it settles.
//!
//! The motor loses only with the square of torque, so every ratio of losses is one of torques.

use std::sync::Arc;

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::heat::{Heating, derating};
use crownwheel::limit::Limit;
use crownwheel::motor::MotorTables;
use crownwheel::spec::{CarSpec, DaySpec, MotorCurve, MotorLossSpec, RatingSpec};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use crate::fixture::{Ideal, ideal, ideal_day};
use crate::run::{run, trace, watch};

const PEAK_NM: f64 = 150.0;
const CONTINUOUS_NM: f64 = 70.0;
const PEAK_SECONDS: f64 = 60.0;
const LONG: RatingSpec = RatingSpec { torque_nm: 90.0, seconds: 1800.0 };

/// Wheel force over motor torque, 1/m: ratio 4 on wheels of 0.3 m.
const NEWTON_PER_NM: f64 = 4.0 / 0.3;

const HALF: Option<f64> = Some(0.5);

/// A car with such a motor and two ratings.
fn car(road_load: [f64; 3]) -> CarSpec {
    let mut car = ideal(Ideal {
        mass_kg: 1000.0,
        turning_share: 0.0,
        road_load,
        efficiency_frac: 1.0,
        regen_share: 1.0,
    });
    car.motor.curve = Arc::new(MotorCurve {
        speed_radps: vec![0.0, car.motor.max_speed_radps],
        peak_torque_nm: vec![PEAK_NM; 2],
        continuous_torque_nm: vec![CONTINUOUS_NM; 2],
    });
    car.motor.losses = MotorLossSpec::Polynomial {
        copper_w_per_nm2: 0.4,
        iron_w_per_radps: 0.0,
        windage_w_per_radps3: 0.0,
        fixed_w: 0.0,
    };
    car.motor.peak_seconds = Some(PEAK_SECONDS);
    car.motor.long_rating = Some(LONG);
    car
}

/// Loss at a torque over loss at the continuous torque.
fn loss_ratio(torque_nm: f64) -> f64 {
    (torque_nm / CONTINUOUS_NM).powi(2)
}

/// Loss at a torque over what each node may hold for ever: the long rating's torque for the short
/// node, the continuous torque for the long one.
fn ratios(torque_nm: f64) -> [f64; 2] {
    let long = loss_ratio(torque_nm);
    [long / loss_ratio(LONG.torque_nm), long]
}

/// `τ = t / ln(U / (U - 1))` of both ratings, s.
fn time_constants_s() -> [f64; 2] {
    let tau_s = |ratio: f64, seconds: f64| seconds / (ratio / (ratio - 1.0)).ln();
    [tau_s(ratios(PEAK_NM)[0], PEAK_SECONDS), tau_s(ratios(LONG.torque_nm)[1], LONG.seconds)]
}

/// Time until either node is used up, s: the least of `τ ln(q / (q - 1))`, where `q > 1`.
fn until_s(torque_nm: f64) -> f64 {
    let times = ratios(torque_nm).into_iter().zip(time_constants_s());
    times
        .filter(|(ratio, _)| *ratio > 1.0)
        .map(|(ratio, tau_s)| tau_s * (ratio / (ratio - 1.0)).ln())
        .fold(f64::INFINITY, f64::min)
}

fn steady(speed_mps: f64, seconds: f64) -> Cycle {
    trace(&[(0.0, speed_mps), (seconds, speed_mps)], 0.0)
}

/// Torque is eased so that no step carries a node beyond 1; as loss bends upwards with torque that begins up to two
/// steps of a second before.
const EASED_BEFORE_S: f64 = 2.0;

/// Both nodes follow `u = q (1 - e^(-t/τ))` until the controller eases off.
#[test]
fn each_rating_heats_by_its_own_time_constant() {
    let [short_s, long_s] = time_constants_s();
    for torque_nm in [80.0, 110.0, 149.0] {
        let car = car([torque_nm * NEWTON_PER_NM, 0.0, 0.0]);
        let [short_ratio, long_ratio] = ratios(torque_nm);
        let (mut time_s, mut compared, mut eased) = (0.0, 0, false);
        watch(&car, &ideal_day(), &steady(15.0, 1000.0), HALF, |driven| {
            time_s += driven.step.duration_s;
            let state = driven.step.state;
            eased |= Limit::from_code(driven.step.limit) == Limit::Heat;
            if !eased {
                compared += 1;
                let short = short_ratio * (1.0 - (-time_s / short_s).exp());
                let long = long_ratio * (1.0 - (-time_s / long_s).exp());
                assert_close!(state.heat_used, short, abs = 5e-5, rel = 0.0, "{time_s} s");
                assert_close!(state.long_heat_used, long, abs = 5e-5, rel = 0.0, "{time_s} s");
            }
        });
        let before_s = until_s(torque_nm).min(1000.0) - f64::from(compared);
        assert!((-1e-9..EASED_BEFORE_S + 1.0).contains(&before_s), "{torque_nm}: {before_s} s");
    }
}

/// Whichever node is hotter cuts back; without the long rating the controller's minute stands for the
/// whole motor and cuts back far too early.
#[test]
fn the_earlier_of_two_ratings_cuts_back() {
    let torque_nm = 110.0;
    let first_hot_s = |change: fn(&mut CarSpec)| {
        let mut car = car([torque_nm * NEWTON_PER_NM, 0.0, 0.0]);
        change(&mut car);
        let (mut time_s, mut found) = (0.0, None);
        watch(&car, &ideal_day(), &steady(15.0, 1000.0), HALF, |driven| {
            if found.is_none() && Limit::from_code(driven.step.limit) == Limit::Heat {
                found = Some(time_s);
            }
            time_s += driven.step.duration_s;
        });
        found.unwrap()
    };
    let both_s = first_hot_s(|_| {});
    assert_close!(both_s, until_s(torque_nm), abs = EASED_BEFORE_S, rel = 0.0);
    let short_alone_s = first_hot_s(|car| car.motor.long_rating = None);
    assert!(short_alone_s < 0.9 * both_s, "{short_alone_s} {both_s}");
}

/// Continuous torque may be held for ever: the motor's heat tends to exactly 1 and never beyond, the
/// controller's stays below, and the speed is kept.
#[test]
fn continuous_torque_tends_to_one() {
    let car = car([CONTINUOUS_NM * NEWTON_PER_NM, 0.0, 0.0]);
    let seconds = 20.0 * time_constants_s()[1];
    let end = watch(&car, &ideal_day(), &steady(15.0, seconds.ceil()), HALF, |driven| {
        let (step, state) = (driven.step, driven.step.state);
        assert_eq!(Limit::from_code(step.limit), Limit::None, "{state:?}");
        assert!(state.heat_used <= 1.0 + 1e-9 && state.long_heat_used <= 1.0 + 1e-9, "{state:?}");
    });
    assert_close!(end.speed_mps, 15.0, abs = 1e-9, rel = 0.0);
    assert_close!(end.heat_used, ratios(CONTINUOUS_NM)[0], abs = 1e-7, rel = 0.0);
    assert_close!(end.long_heat_used, 1.0, abs = 1e-7, rel = 0.0);
}

/// Flat out against drag for hours: the torque settles at the continuous torque and the heat at 1.
#[test]
fn asked_for_more_a_hot_motor_settles_at_continuous_torque() {
    let (end, torque_nm) = settled(&ideal_day());
    assert_close!(torque_nm, CONTINUOUS_NM, abs = 0.0, rel = 1e-4);
    assert_close!(end, (CONTINUOUS_NM * NEWTON_PER_NM).sqrt(), abs = 0.0, rel = 1e-4);
}

/// Speed and torque after six hours of wanting 60 m/s against `1 N / (m/s)²`.
fn settled(day: &DaySpec) -> (f64, f64) {
    let cycle = trace(&[(0.0, 0.0), (10.0, 60.0), (21_600.0, 60.0)], 0.0);
    let mut torque_nm = 0.0;
    let end = watch(&car([0.0, 0.0, 1.0]), day, &cycle, HALF, |driven| {
        torque_nm = driven.step.torque_nm;
    });
    assert_close!(end.long_heat_used, 1.0, abs = 1e-4, rel = 0.0);
    (end.speed_mps, torque_nm)
}

#[test]
fn a_rating_that_could_be_held_for_ever_is_refused() {
    let mut no_peak = car([0.0; 3]);
    no_peak.motor.curve = Arc::new(MotorCurve {
        peak_torque_nm: vec![CONTINUOUS_NM; 2],
        ..(*no_peak.motor.curve).clone()
    });
    assert_eq!(Car::new(&no_peak).unwrap_err().key(), "motor.peak_seconds");
    let mut too_little = car([0.0; 3]);
    too_little.motor.long_rating = Some(RatingSpec { torque_nm: CONTINUOUS_NM, ..LONG });
    assert_eq!(Car::new(&too_little).unwrap_err().key(), "motor.long_rating.torque");
    let mut too_much = car([0.0; 3]);
    too_much.motor.long_rating = Some(RatingSpec { torque_nm: PEAK_NM, ..LONG });
    assert_eq!(Car::new(&too_much).unwrap_err().key(), "motor.long_rating.torque");
}

fn day(celsius: f64, altitude_m: f64) -> DaySpec {
    DaySpec { temperature_k: ZERO_CELSIUS_K + celsius, altitude_m, ..mild_day() }
}

/// `(θ_max - θ) / (θ_max - 40 °C)` above 40 °C, 1 % for every 100 m above 1,000 m.
#[test]
fn a_hot_or_high_day_allows_less_heat() {
    let motor = small_saloon().motor;
    let at = |celsius, altitude_m| derating(&motor, &Day::new(&day(celsius, altitude_m)).unwrap());
    assert_close!(motor.max_winding_k, ZERO_CELSIUS_K + 155.0, abs = 1e-9, rel = 0.0);
    for (celsius, altitude_m, share) in [
        (40.0, 1000.0, 1.0),
        (20.0, 0.0, 1.0),
        // No bonus for the cold, nor for the sea.
        (-30.0, -100.0, 1.0),
        (55.0, 0.0, 100.0 / 115.0),
        (20.0, 2500.0, 0.85),
        (55.0, 2500.0, 0.85 * 100.0 / 115.0),
    ] {
        assert_close!(at(celsius, altitude_m), share, abs = 1e-12, rel = 0.0, "{celsius} °C");
    }
}

/// The continuous torque of a 55 °C day loses just the share that is allowed, at every speed; where
/// turning alone loses more, there is none.
#[test]
fn the_derated_torque_loses_what_is_allowed() {
    let spec = small_saloon().motor;
    let tables = MotorTables::new(&spec, false);
    let share = derating(&spec, &Day::new(&day(55.0, 0.0)).unwrap());
    let derated = tables.continuous_when_derated(share, spec.max_speed_radps);
    // Nodes of the derated curve, so that nothing is read between two of them.
    for node in [10, 60, 128, 200] {
        let radps = spec.max_speed_radps * f64::from(node) / 256.0;
        let (usual_nm, found_nm) = (tables.continuous_nm.at(radps), derated.at(radps).0);
        let allowed_w = share * tables.loss.at(radps, usual_nm);
        assert!(found_nm < usual_nm);
        assert_close!(tables.loss.at(radps, found_nm), allowed_w, abs = 0.0, rel = 1e-6);
    }
    // At top speed the rotor's turning alone takes more than the share that is left.
    let last_radps = spec.max_speed_radps * 255.0 / 256.0;
    assert!(tables.loss.at(last_radps, 0.0) > share * tables.loss.at(last_radps, 32.0));
    assert_close!(derated.at(last_radps).0, 0.0, abs = 1e-9, rel = 0.0);
    let hardly_any = tables.continuous_when_derated(0.05, spec.max_speed_radps);
    assert_close!(hardly_any.at(spec.max_speed_radps).0, 0.0, abs = 1e-9, rel = 0.0);
    let whole = tables.continuous_when_derated(1.0, spec.max_speed_radps);
    assert_eq!(whole, tables.continuous);
}

/// On a 55 °C day the motor settles where it loses the allowed share: with copper losses alone at
/// the square root of it.
#[test]
fn a_hot_day_settles_at_less_torque() {
    let hot = DaySpec { temperature_k: ZERO_CELSIUS_K + 55.0, ..ideal_day() };
    let exact_nm = CONTINUOUS_NM * (100.0f64 / 115.0).sqrt();
    assert_close!(settled(&hot).1, exact_nm, abs = 0.0, rel = 1e-3);
    let cold = DaySpec { temperature_k: ZERO_CELSIUS_K - 10.0, ..ideal_day() };
    assert_close!(settled(&cold).1, CONTINUOUS_NM, abs = 0.0, rel = 1e-4);
}

/// A motor without ratings knows no heat.
#[test]
fn without_a_rating_nothing_heats() {
    let mut car = car([140.0 * NEWTON_PER_NM, 0.0, 0.0]);
    car.motor.peak_seconds = None;
    let end = run(&car, &ideal_day(), &steady(15.0, 3600.0), HALF).end;
    assert_close!(end.speed_mps, 15.0, abs = 1e-9, rel = 0.0);
    assert_close!(
        end.heat_used,
        Heating { loss_ratio: 0.0, time_constant_s: 1.0 }.used_after(0.0, 1.0),
        abs = 0.0,
        rel = 0.0
    );
}
