//! The step and the range run as a whole: balance, limits, and one source for any width.
#![allow(clippy::print_stdout, reason = "x")]
use crownwheel::{Car, Day};
use crownwheel::cycle::{BUILTIN_NAMES, Cycle};
use crownwheel::example::*;
use crownwheel::range::range;
use crownwheel::limit::LIMITS;

#[test]
fn look() {
    let car = Car::new(&small_saloon()).unwrap();
    println!("mass {} eff {} r {} cap {} kWh {} tau {:?}", car.mass_kg(), car.effective_mass_kg(), car.rolling_radius_m(), car.speed_cap_mps()*3.6, car.spec().pack.energy_kwh(), car.spec().motor.peak_seconds);
    for day in [mild_day(), winter_day()] {
        let day = Day::new(&day).unwrap();
        for name in BUILTIN_NAMES {
            let c = Cycle::builtin(name).unwrap();
            let t = std::time::Instant::now();
            let r = range(&car, &day, &c);
            let el = t.elapsed();
            let e = &r.balance.sum;
            let km = r.distance_m / 1e3;
            let w = |j: f64| j / 3600.0 / km;
            println!("{name:7} {:6} {km:6.1} km (res {:.1}) use {:.1} wall {:.1} imb {:.1e} short {:.0}s {:.1}m end {:?} z {:.3} heat {:?} rpm {:.0} {:?}",
                day.name(), r.distance_with_reserve_m/1e3, w(e.terminals_j), w(r.wall_j), r.balance.imbalance_j() / r.balance.scale_j(), r.first.shortfall_s, r.first.shortfall_m, r.end, r.end_charge_frac, r.motor.heat_used_max, r.motor.max_speed_radps*9.5493, el);
            println!("   air {:.1} roll {:.1} kin {:.2} bd {:.1} dl {:.1} mot {:.1} inv {:.1} dcdc {:.1} pack {:.1} anc {:.1} fric {:.1} = {:.1}; offer {:.1} back {:.1}",
              w(e.air_j), w(e.rolling_j), w(e.kinetic_j), w(e.brake_drag_j), w(e.driveline_j), w(e.motor_j), w(e.inverter_j), w(e.dcdc_j), w(e.pack_j), w(e.ancillaries_j), w(e.friction_j), w(e.from_pack_j), w(e.braking_offer_j), w(e.taken_back_j));
            for (i,l) in LIMITS.iter().enumerate() { if r.first.binding_s[i] > 0.0 { print!("   {} {:.0}s", l.name(), r.first.binding_s[i]); } }
            println!();
        }
    }
}
