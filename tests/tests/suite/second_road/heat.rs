//! Used heat under a torque that changes all the time: `du/dt = (P_loss/P_c - u)/τ` by the adaptive
//! method along the trace, with oil, pack and charge beside it, against the library's steps.

use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::spec::{CarSpec, RatingSpec};
use crownwheel::step::State;
use crownwheel::{Car, Day};
use crownwheel_testkit::{assert_close, assert_same_bits};

use super::own::{Now, Oils, Own};
use super::solver::solve;
use crate::run::{run, trace};

const SOLVED: f64 = 1e-10;

/// Sine of a slope steep enough that the motor pulls even while the car slows down.
const SLOPE: f64 = 0.05;

/// A long rating of the motor: 95 N m for half an hour.
const LONG: RatingSpec = RatingSpec { torque_nm: 95.0, seconds: 1800.0 };

/// Speeds that rise and fall on the slope, never past what the motor can do: `(s, m/s)`.
fn points() -> Vec<(f64, f64)> {
    let speeds = [6.0, 14.0, 9.0, 17.0, 12.0, 19.0, 16.0, 8.0, 15.0, 10.0];
    (0..).zip(speeds).map(|(i, speed)| (f64::from(i) * 25.0, speed)).collect()
}

/// Charge, used heat, used heat of the long rating, oil of gearbox and axle, and pack after the trace.
fn own_end(car: &CarSpec, start_frac: f64) -> [f64; 7] {
    let (car, day) = (Car::new(car).unwrap(), Day::new(&mild_day()).unwrap());
    let own = Own::new(&car, &day);
    let air_k = day.air().temperature_k;
    let (short_share, taus_s) = nodes(&own);
    let mut state = [start_frac, 0.0, 0.0, air_k, air_k, air_k, air_k];
    for pair in points().windows(2) {
        let ((from_s, from_mps), (to_s, to_mps)) = (pair[0], pair[1]);
        let accel = (to_mps - from_mps) / (to_s - from_s);
        state = solve((from_s, to_s), state, SOLVED, |t, y| {
            let v = from_mps + accel * (t - from_s);
            let oils = Oils { gearbox_k: y[3], axle_k: y[4] };
            let now = Now { z: y[0], u: y[1], oils, pack_k: y[5], tyre_k: y[6] };
            let force_n = own.road.all_n(v, SLOPE, y[6]) + own.rolling_kg() * accel;
            let torque_nm = own.torque_for(v, force_n, accel, oils);
            let (_, geared_w) = own.tyre(v, torque_nm, accel, oils);
            let omega = own.omega(v);
            let [z, _, gearbox, axle, tyre, pack] = own.changes(v, torque_nm, geared_w, &now);
            let ratio = own.heat_ratio(omega, torque_nm);
            let short = (ratio * short_share - y[1]) / taus_s[0];
            [z, short, (ratio - y[2]) / taus_s[1], gearbox, axle, pack, tyre]
        });
    }
    state
}

/// What the short node may hold for ever, as a share of the continuous loss, turned over; and the
/// time constants of both: `t / ln(U / (U - 1))` at the corner of the peak curve, 2,500 rpm.
fn nodes(own: &Own) -> (f64, [f64; 2]) {
    let corner_radps = 2500.0 * std::f64::consts::PI / 30.0;
    let peak = own.heat_ratio(corner_radps, 165.0);
    let tau_s = |seconds: f64, ratio: f64| seconds / (ratio / (ratio - 1.0)).ln();
    let Some(rating) = own.spec.motor.long_rating else {
        return (1.0, [tau_s(60.0, peak), f64::INFINITY]);
    };
    let long = own.heat_ratio(corner_radps, rating.torque_nm);
    (1.0 / long, [tau_s(60.0, peak / long), tau_s(rating.seconds, long)])
}

fn library_end(car: &CarSpec, cycle: &Cycle, start_frac: f64) -> State<f64> {
    run(car, &mild_day(), cycle, Some(start_frac)).end
}

/// Legs of a second agree to the first digits beside each name, legs of an eighth to the second: torque
/// and speed of the middle stand for a leg, oil and tyres at its start for all of it. What is left is how tables
/// are laid out: one over the loss at continuous torque on 256 pieces, cold oil and resistance a
/// kelvin wide.
fn assert_same_heat(car: &CarSpec) {
    let start_frac = 0.8;
    let own = own_end(car, start_frac);
    let cycle = trace(&points(), SLOPE);
    for (parts, finer) in [(1, false), (8, true)] {
        let end = library_end(car, &cycle.refined(parts), start_frac);
        assert_close!(end.speed_mps, 10.0, abs = 1e-12, rel = 0.0, "no limit binds");
        let air_k = 288.15;
        let compared = [
            ("charge taken", start_frac - end.charge_frac, start_frac - own[0], 6e-5, 2e-5),
            ("used heat", end.heat_used, own[1], 5e-5, 2e-5),
            ("long used heat", end.long_heat_used, own[2], 5e-5, 2e-5),
            ("gearbox above the air", end.gearbox_oil_k - air_k, own[3] - air_k, 1e-3, 2e-4),
            ("axle above the air", end.axle_oil_k - air_k, own[4] - air_k, 1e-3, 2e-4),
            ("pack above the air", end.pack_k - air_k, own[5] - air_k, 2e-4, 1e-4),
            ("tyres above the air", end.tyre_k - air_k, own[6] - air_k, 2e-4, 2e-5),
        ];
        for (name, library, own, whole_rel, eighth_rel) in compared {
            let rel = if finer { eighth_rel } else { whole_rel };
            assert_close!(library, own, abs = 0.0, rel = rel, "{name} in {parts} parts");
        }
    }
}

#[test]
fn heat_follows_a_torque_that_changes() {
    assert_same_heat(&small_saloon());
    let end = library_end(&small_saloon(), &trace(&points(), SLOPE), 0.8);
    assert!(end.heat_used > 0.3 && end.heat_used < 0.95, "{end:?}");
    assert_same_bits!(end.long_heat_used, 0.0);
}

#[test]
fn both_ratings_follow_a_torque_that_changes() {
    let mut car = small_saloon();
    car.motor.long_rating = Some(LONG);
    assert_same_heat(&car);
}
