//! Charge and voltage at constant and stepped power to empty: `dz/dt = -I(P, z)/Q` with the pack's
//! own warming, by the adaptive method, against the library's legs of a second.

use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::range::{RangeEnd, range};
use crownwheel::spec::{CarSpec, RoadLoadSpec, TurningParts};
use crownwheel::{Car, Day};
use crownwheel_testkit::assert_close;

use super::own::{Now, Oils, Own};
use super::solver::{crossing, solve};
use crate::run::watch;

const SOLVED: f64 = 1e-10;

/// Steady speed, m/s: power changes only with the slope.
const SPEED_MPS: f64 = 20.0;

/// A saloon whose power at the terminals is constant at a steady speed: no oil that thins, no motor
/// that gets hot, no tyres that get warm.
fn car() -> CarSpec {
    let mut car = small_saloon();
    car.road_load = RoadLoadSpec::Coefficients {
        f0_n: 115.0,
        f1_n_per_mps: 1.0,
        f2_n_per_mps2: 0.44,
        mass_kg: 900.0,
        temperature_k: mild_day().temperature_k,
        pressure_pa: 101_325.0,
        turning: TurningParts { axle: true, gearbox: true, motor: false },
        road_factor: 1.0,
    };
    car.driveline.axle.drag_torque_nm = 0.0;
    if let crownwheel::spec::FirstStage::Reduction(stage) = &mut car.driveline.first {
        stage.drag_torque_nm = 0.0;
    }
    car.motor.peak_seconds = None;
    car.tyres.temperature_rise_k = 0.0;
    car
}

/// Seconds and slope (rise over run) of the stretches that repeat.
type Stretches = &'static [(f64, f64)];

const STEADY: Stretches = &[(600.0, 0.0)];
const STEPPED: Stretches = &[(300.0, 0.0), (120.0, 0.05), (240.0, 0.01), (60.0, 0.07)];

fn cycle(stretches: Stretches) -> Cycle {
    let (mut time_s, mut grades) = (vec![0.0], vec![0.0]);
    for (seconds, grade) in stretches {
        time_s.push(time_s[time_s.len() - 1] + seconds);
        grades.push(*grade);
    }
    let speed_mps = vec![SPEED_MPS; time_s.len()];
    let samples = Samples::ByTime { time_s, speed_mps, grade: Grade::Frac(grades) };
    Cycle::new("stretches", &samples).unwrap()
}

/// The pack on the way: charge and temperature.
#[derive(Clone, Copy, Debug)]
struct Pack {
    z: f64,
    pack_k: f64,
}

struct Discharge {
    own: Own,
    oils: Oils,
}

impl Discharge {
    fn new() -> Discharge {
        let (car, day) = (Car::new(&car()).unwrap(), Day::new(&mild_day()).unwrap());
        Discharge { own: Own::new(&car, &day), oils: Oils::both(day.air().temperature_k) }
    }

    fn now(&self, pack: Pack) -> Now {
        Now { z: pack.z, u: 0.0, oils: self.oils, pack_k: pack.pack_k, tyre_k: self.oils.axle_k }
    }

    fn torque_nm(&self, grade: f64) -> f64 {
        let sin = grade / f64::hypot(1.0, grade);
        let force_n = self.own.road.all_n(SPEED_MPS, sin, self.oils.axle_k);
        self.own.torque_for(SPEED_MPS, force_n, 0.0, self.oils)
    }

    fn voltage_v(&self, pack: Pack, grade: f64) -> f64 {
        let omega = self.own.omega(SPEED_MPS);
        self.own.flow(omega, self.torque_nm(grade), &self.now(pack)).voltage_v
    }

    fn after(&self, pack: Pack, seconds: f64, grade: f64) -> Pack {
        let torque_nm = self.torque_nm(grade);
        let [z, pack_k] = solve((0.0, seconds), [pack.z, pack.pack_k], SOLVED, |_, [z, pack_k]| {
            let now = self.now(Pack { z: *z, pack_k: *pack_k });
            let [z, .., pack_k] = self.own.changes(SPEED_MPS, torque_nm, [0.0; 2], &now);
            [z, pack_k]
        });
        Pack { z, pack_k }
    }

    /// Seconds until `floor`, the stretches repeating.
    fn to_floor_s(&self, stretches: Stretches, floor: f64) -> f64 {
        let mut pack = self.full();
        let mut gone_s = 0.0;
        loop {
            for (seconds, grade) in stretches {
                let next = self.after(pack, *seconds, *grade);
                if next.z <= floor {
                    let above = |part_s: f64| self.after(pack, part_s, *grade).z - floor;
                    return gone_s + crossing((1e-3, *seconds), above);
                }
                pack = next;
                gone_s += seconds;
            }
        }
    }

    fn full(&self) -> Pack {
        Pack { z: self.own.spec.pack.usable_to_frac, pack_k: mild_day().temperature_k }
    }
}

/// Time to empty: the library takes the charge at the start of a leg for all of it, which is of first
/// order: 3e-5 of the time. It lays the voltage curve out on 1,024 pieces, which rounds its corners by
/// less.
#[test]
fn the_pack_is_empty_at_the_same_moment() {
    let discharge = Discharge::new();
    for (name, stretches) in [("steady", STEADY), ("stepped", STEPPED)] {
        let (car, day) = (Car::new(&car()).unwrap(), Day::new(&mild_day()).unwrap());
        let found = range(&car, &day, &cycle(stretches));
        assert_eq!(found.end, RangeEnd::Empty);
        let own_s = discharge.to_floor_s(stretches, 0.08);
        assert!(own_s > 3600.0, "{own_s}");
        assert_close!(found.duration_s, own_s, abs = 0.0, rel = 5e-5, "{name}");
        // Constant speed: distance is time.
        assert_close!(found.distance_m, own_s * SPEED_MPS, abs = 0.0, rel = 5e-5, "{name}");
    }
}

/// Charge and voltage at the end of every stretch of one pass from full, and of one near empty, where
/// resistance rises.
#[test]
fn charge_and_voltage_agree_along_the_way() {
    let discharge = Discharge::new();
    for start in [0.96, 0.25] {
        let mut steps = Vec::new();
        watch(&car(), &mild_day(), &cycle(STEPPED), Some(start), |driven| steps.push(*driven.step));
        let mut pack = Pack { z: start, ..discharge.full() };
        let (mut ends_s, mut time_s, mut steps) = (0.0, 0.0, steps.into_iter());
        for (seconds, grade) in STEPPED {
            // A leg of a second has the voltage of its start.
            let before = discharge.after(pack, seconds - 1.0, *grade);
            pack = discharge.after(pack, *seconds, *grade);
            ends_s += seconds;
            let step = loop {
                let step = steps.next().unwrap();
                time_s += step.duration_s;
                if time_s > ends_s - 1e-6 {
                    break step;
                }
            };
            let volts = discharge.voltage_v(before, *grade);
            assert_close!(step.voltage_v, volts, abs = 5e-4, rel = 0.0, "{start}, {ends_s} s");
            let taken = start - step.state.charge_frac;
            assert_close!(taken, start - pack.z, abs = 0.0, rel = 5e-5, "{start}, {ends_s} s");
        }
    }
}
