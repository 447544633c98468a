//! Energy at the wheels over whole cycles: every row by Gauss's quadrature within each leg, on the
//! force law itself, against the rows of the library's balance.

use crownwheel::balance::Energies;
use crownwheel::cycle::{Cycle, Span};
use crownwheel::example::mild_day;
use crownwheel::spec::{CarSpec, DaySpec, RoadLoadSpec, TurningParts, Wind};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use super::own::{Own, Road};
use super::solver::{crossing, gauss};
use crate::demo::DUNLIN;
use crate::run::{run, watch};

/// Cycles that a car of fifty kilowatts is driven over here.
const CYCLES: [&str; 3] = ["udds", "hwfet", "wltc3b"];

/// Where each sum has an exact counterpart only rounding is left: of some thousand additions.
const SUMS_REL: f64 = 1e-12;

/// A leg as it was driven: constant acceleration from one speed to another.
#[derive(Clone, Copy, Debug)]
struct Piece {
    seconds: f64,
    from_mps: f64,
    to_mps: f64,
    sin: f64,
}

impl Piece {
    fn speed(&self, t: f64) -> f64 {
        self.from_mps + (self.to_mps - self.from_mps) * t / self.seconds
    }

    fn accel(&self) -> f64 {
        (self.to_mps - self.from_mps) / self.seconds
    }

    /// `∫ F v dt` of a force that depends on speed.
    fn work_j(&self, force_n: impl Fn(f64) -> f64) -> f64 {
        gauss((0.0, self.seconds), |t| force_n(self.speed(t)) * self.speed(t))
    }
}

/// The legs of a cycle, its targets met.
fn targets(cycle: &Cycle) -> Vec<Piece> {
    let mut from_mps = cycle.start_mps();
    let piece = |leg: &crownwheel::cycle::Leg| {
        let to_mps = leg.target_mps;
        let seconds = match leg.span {
            Span::Time(seconds) => seconds,
            Span::Distance(metres) => 2.0 * metres / (from_mps + to_mps),
        };
        let piece = Piece { seconds, from_mps, to_mps, sin: leg.sin };
        from_mps = to_mps;
        piece
    };
    cycle.legs().iter().map(piece).collect()
}

/// The legs as a car drove them, for cycles that ask too much of it.
fn driven(car: &CarSpec, day: &DaySpec, cycle: &Cycle) -> Vec<Piece> {
    let mut pieces = Vec::new();
    watch(car, day, cycle, None, |driven| {
        pieces.push(Piece {
            seconds: driven.step.duration_s,
            from_mps: driven.before.speed_mps,
            to_mps: driven.step.state.speed_mps,
            sin: driven.leg.sin,
        });
    });
    pieces
}

impl Own {
    /// Temperature of the tyres at the start of each leg, K: cold at first.
    fn tyres_k(&self, pieces: &[Piece]) -> Vec<f64> {
        let mut tyre_k = self.air_k;
        let each = |piece: &Piece| {
            let before_k = tyre_k;
            let mean_mps = f64::midpoint(piece.from_mps, piece.to_mps);
            let end_k = self.tyres_end_k(mean_mps);
            tyre_k = end_k + (before_k - end_k) * (-piece.seconds / 1_020.0).exp();
            before_k
        };
        pieces.iter().map(each).collect()
    }
}

/// Work by row: air, rolling, linear, brake drag, climbing, kinetic without the rotor.
fn work_j(pieces: &[Piece], own: &Own) -> [f64; 6] {
    let road = &own.road;
    let mut sums = [0.0; 6];
    for (piece, tyre_k) in pieces.iter().zip(own.tyres_k(pieces)) {
        let cos = (1.0 - piece.sin * piece.sin).sqrt();
        let rows = [
            piece.work_j(|v| road.air_n(v)),
            piece.work_j(|_| road.rolling_n * cos * road.warmth(tyre_k)),
            piece.work_j(|v| road.linear * v * road.warmth(tyre_k)),
            piece.work_j(|_| road.brakes_n),
            piece.work_j(|_| road.weight_n * piece.sin),
            piece.work_j(|_| own.rolling_kg() * piece.accel()),
        ];
        for (sum, row) in sums.iter_mut().zip(rows) {
            *sum += row;
        }
    }
    sums
}

fn rows(sum: &Energies<f64>) -> [f64; 5] {
    [sum.air_j, sum.rolling_j, sum.linear_j, sum.brake_drag_j, sum.climbing_j]
}

fn ready(car: &CarSpec, day: &DaySpec) -> Own {
    Own::new(&Car::new(car).unwrap(), &Day::new(day).unwrap())
}

/// The Dunlin by coast-down coefficients with a linear term, of another mass and at 20 °C.
fn coasted() -> (CarSpec, DaySpec) {
    let mut car = DUNLIN.build().car;
    car.road_load = RoadLoadSpec::Coefficients {
        f0_n: 118.0,
        f1_n_per_mps: 1.9,
        f2_n_per_mps2: 0.43,
        mass_kg: 905.0,
        temperature_k: 293.15,
        pressure_pa: 101_325.0,
        turning: TurningParts { axle: true, gearbox: true, motor: true },
        road_factor: 1.0,
    };
    (car, DaySpec { temperature_k: 293.15, ..mild_day() })
}

/// Asserts that all rows agree; `air_rel` for the first.
fn assert_rows(name: &str, found: &Energies<f64>, own_j: [f64; 6], air_rel: f64) {
    let scale_j = found.air_j.abs();
    assert!(scale_j > 1e5, "{name}: {scale_j} J");
    for (place, (row_j, own_j)) in rows(found).into_iter().zip(own_j).enumerate() {
        let rel = if place == 0 { air_rel } else { SUMS_REL };
        assert_close!(row_j, own_j, abs = SUMS_REL * scale_j, rel = rel, "{name}, row {place}");
    }
}

/// Calm air: the power of every row is a cubic of time within a leg, which both roads sum exactly.
#[test]
fn rows_of_a_calm_day_agree_to_rounding() {
    let build = DUNLIN.build();
    let calm = build.days.iter().filter(|day| day.wind == Wind::Calm);
    let mut cases: Vec<(CarSpec, DaySpec)> =
        calm.map(|day| (build.car.clone(), day.clone())).collect();
    assert_eq!(cases.len(), 2, "mild and summer");
    cases.push(coasted());
    for (car, day) in cases {
        let own = ready(&car, &day);
        for name in CYCLES {
            let cycle = Cycle::builtin(name).unwrap();
            let pieces = driven(&car, &day, &cycle);
            let found = run(&car, &day, &cycle, None);
            let name = format!("{name} on a {} day", day.name);
            assert_rows(&name, &found.balance.sum, work_j(&pieces, &own), SUMS_REL);
        }
    }
}

/// Where the car follows, the trace that it drove is the published one, so the agreement above is
/// with the cycle and not with whatever the car did.
#[test]
fn the_trace_that_is_driven_is_the_published_one() {
    let build = DUNLIN.build();
    for name in ["udds", "hwfet"] {
        let cycle = Cycle::builtin(name).unwrap();
        let pairs = driven(&build.car, &build.days[0], &cycle).into_iter().zip(targets(&cycle));
        for (driven, target) in pairs {
            assert_close!(driven.to_mps, target.to_mps, abs = 1e-12, rel = 0.0, "{name}");
        }
    }
}

/// Over a hilly round given by distance: the square of speed is a straight line in distance, which is
/// constant acceleration; rolling resistance takes `cos θ`, climbing `sin θ`.
#[test]
fn rows_of_a_hilly_round_agree_to_rounding() {
    let build = DUNLIN.build();
    let cycle = DUNLIN.own_cycles().remove(0);
    let pieces = driven(&build.car, &build.days[0], &cycle);
    let found = run(&build.car, &build.days[0], &cycle, None);
    let own = ready(&build.car, &build.days[0]);
    assert_rows("round", &found.balance.sum, work_j(&pieces, &own), SUMS_REL);
    let uphill = pieces.iter().filter(|piece| piece.sin > 0.07).count();
    assert!(uphill > 100, "{uphill} legs are steep");
}

/// Wind from all round on a wet winter's day: the library reads what wind adds at the mean speed of
/// a leg from a table of 480 pieces, the quadrature averages 720 headings at every point. They
/// part by less than 1e-5 of the air's work.
#[test]
fn wind_from_all_round_agrees_to_five_digits() {
    let build = DUNLIN.build();
    let winter = &build.days[1];
    assert!(matches!(winter.wind, Wind::AllRound { .. }));
    let own = ready(&build.car, winter);
    for name in CYCLES {
        let cycle = Cycle::builtin(name).unwrap();
        let pieces = driven(&build.car, winter, &cycle);
        let found = run(&build.car, winter, &cycle, None);
        assert_rows(name, &found.balance.sum, work_j(&pieces, &own), 1e-5);
    }
}

/// Braking energy at the wheels: the library asks of each leg as a whole whether it brakes, the
/// quadrature finds the moment within a leg at which the force changes its sign. A leg that does both
/// counts for its net, so the library's sum is the smaller, by less than 5e-5; with legs of an eighth of a second by
/// less than a tenth of that. Tyres do not warm here: their temperature at the start of a leg stands for all of it.
#[test]
fn braking_energy_differs_by_the_legs_that_change_sign() {
    let mut build = DUNLIN.build();
    build.car.tyres.temperature_rise_k = 0.0;
    let own = ready(&build.car, &build.days[0]);
    for name in CYCLES {
        let cycle = Cycle::builtin(name).unwrap();
        let pieces = driven(&build.car, &build.days[0], &cycle);
        let offered = pieces.iter().zip(own.tyres_k(&pieces));
        let exact_j: f64 = offered.map(|(piece, tyre_k)| offered_j(piece, &own, tyre_k)).sum();
        let short = |parts| {
            let found = run(&build.car, &build.days[0], &cycle.refined(parts), None);
            1.0 - found.balance.sum.braking_offer_j / exact_j
        };
        let (whole, eighth) = (short(1), short(8));
        assert!((0.0..5e-5).contains(&whole), "{name}: {whole}");
        assert!(eighth.abs() < whole / 10.0, "{name}: {whole} {eighth}");
    }
}

/// `-∫ min(F, 0) v dt` over a leg.
fn offered_j(piece: &Piece, own: &Own, tyre_k: f64) -> f64 {
    let at_tyre_n =
        |v: f64| own.road.all_n(v, piece.sin, tyre_k) + own.rolling_kg() * piece.accel();
    let force_n = |t: f64| at_tyre_n(piece.speed(t));
    let whole = (0.0, piece.seconds);
    let ends = (force_n(whole.0), force_n(whole.1));
    if piece.from_mps + piece.to_mps <= 0.0 || (ends.0 >= 0.0 && ends.1 >= 0.0) {
        return 0.0;
    }
    let power_w = |t: f64| -force_n(t) * piece.speed(t);
    if ends.0 < 0.0 && ends.1 < 0.0 {
        return gauss(whole, power_w);
    }
    let turn = crossing(whole, force_n);
    let part = if ends.0 < 0.0 { (whole.0, turn) } else { (turn, whole.1) };
    gauss(part, power_w)
}

/// Headwind and tailwind along the road: the library takes what wind adds, `(v + w)|v + w| - v²`, at
/// the mean speed of a leg, so legs that start or stop in a wind are a little off: 3e-4 in town.
#[test]
fn wind_along_the_road_agrees_to_three_digits() {
    let build = DUNLIN.build();
    for wind_mps in [8.0, -8.0] {
        let wind = Wind::AlongRoad { speed_mps: wind_mps, height_m: 10.0 };
        let day = DaySpec { wind, ..build.days[0].clone() };
        let own = ready(&build.car, &day);
        let cycle = Cycle::builtin("udds").unwrap();
        let found = run(&build.car, &day, &cycle, None);
        let own_j = work_j(&driven(&build.car, &day, &cycle), &own);
        assert_close!(found.balance.sum.air_j, own_j[0], abs = 0.0, rel = 3e-4, "{wind_mps}");
    }
}

/// The road load that is used here is no copy: its parts against the library's at a steady speed.
#[test]
fn the_two_road_loads_are_the_same_law() {
    let build = DUNLIN.build();
    let (car, day) = (Car::new(&build.car).unwrap(), Day::new(&build.days[0]).unwrap());
    let throttle = crownwheel::pull::Throttle::new(&car, &day, 0.9);
    let road = Road::new(&car, &day);
    for (kmh, grade) in [(10.0, 0.0), (50.0, 0.08), (112.0, -0.05)] {
        let v = kmh / 3.6;
        let sin = grade / f64::hypot(1.0, grade);
        let theirs_n = throttle.road_load_n(v, grade);
        assert_close!(
            road.all_n(v, sin, day.air().temperature_k + 22.0),
            theirs_n,
            abs = 0.0,
            rel = 1e-13,
            "{kmh} {grade}"
        );
    }
}
