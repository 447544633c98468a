//! Cells that you measured yourself: rest voltages and one resistance make a pack, and the pack a car.

use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel::pack::Source;
use crownwheel::range::range;
use crownwheel::spec::{CarSpec, OpenCircuitTable, SpecError};
use crownwheel::{Car, Day, example};

/// Used cells: 3.2 V empty and 4.1 V full at rest with a straight line between, 60 Ah, 1.1 mΩ.
fn with_own_cells() -> CarSpec {
    let mut spec = example::small_saloon();
    let rest = OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.2, 4.1] };
    spec.pack.open_circuit = Arc::new(rest);
    spec.pack.cell_capacity_c = 60.0 * 3600.0;
    spec.pack.cell_resistance_ohm = 1.1e-3;
    spec.pack.cell_max_voltage_v = 4.1;
    (spec.pack.usable_from_frac, spec.pack.usable_to_frac) = (0.1, 0.9);
    spec
}

/// The pack at a state of charge as a voltage behind a resistance, cables and all, at 25 °C.
fn source(spec: &CarSpec, charge_frac: f64) -> Source {
    let pack = &spec.pack;
    Source {
        open_circuit_v: pack.open_circuit_v(charge_frac),
        resistance_ohm: pack.cells_resistance_ohm() + pack.harness_resistance_ohm,
    }
}

#[allow(clippy::print_stdout, reason = "a program that answers on the terminal")]
fn main() -> Result<(), SpecError> {
    let spec = with_own_cells();
    let (car, day) = (Car::new(&spec)?, Day::new(&example::mild_day())?);
    let half = source(&spec, 0.5);
    println!("The pack stores {:.1} kWh.", spec.pack.energy_kwh());
    if let Some(current_a) = half.current_a(40e3) {
        let volts = half.terminal_v(current_a);
        println!("Half full it gives 40 kW at {current_a:.0} A and {volts:.1} V.");
    }
    let cycle = Cycle::udds();
    let run = range(&car, &day, &cycle);
    println!("In town it goes {:.0} km.", run.distance_m / 1e3);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn energy_is_charge_times_mean_voltage() {
        // 36 cells of 3.65 V on the mean, 120 Ah: 15.768 kWh.
        let kwh = with_own_cells().pack.energy_kwh();
        assert!((kwh - 36.0 * 3.65 * 120.0 / 1000.0).abs() < 1e-9, "{kwh}");
    }

    #[test]
    fn voltage_sags_by_ohm_s_law_and_power_is_their_product() {
        let half = source(&with_own_cells(), 0.5);
        // 36 · 1.1 mΩ / 2 and 3 mΩ of cables: 22.8 mΩ behind 131.4 V.
        assert!((half.resistance_ohm - 0.0228).abs() < 1e-12);
        assert!((half.open_circuit_v - 131.4).abs() < 1e-9);
        // 300 A leave 131.4 - 6.84 = 124.56 V, 37.368 kW.
        assert!((half.terminal_v(300.0) - 124.56).abs() < 1e-9);
        assert!((half.current_a(37_368.0).unwrap() - 300.0).abs() < 1e-6);
    }

    #[test]
    fn a_steady_drive_takes_the_charge_that_its_power_takes() -> Result<(), SpecError> {
        let spec = with_own_cells();
        let (car, day) = (Car::new(&spec)?, Day::new(&example::mild_day())?);
        let run = range(&car, &day, &Cycle::steady(70.0 / 3.6));
        // From 0.9 to 0.1 of 432,000 C, at a mean of 131.4 V at rest: 45.4 MJ.
        let stored_j = 0.8 * 120.0 * 3600.0 * 131.4;
        // A step reads the voltage at its start: half of what it falls by within a second too much.
        let over = run.balance.sum.from_pack_j / stored_j - 1.0;
        let fall_v = 36.0 * 0.9 * 0.8 / run.duration_s;
        assert!((over - 0.5 * fall_v / 131.4).abs() < 2e-6, "{over}");
        assert!((run.end_charge_frac - 0.1).abs() < 1e-12);
        Ok(())
    }

    #[test]
    fn a_curve_that_falls_is_refused_by_its_key() {
        let mut spec = with_own_cells();
        let falling = OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![4.1, 3.2] };
        spec.pack.open_circuit = Arc::new(falling);
        let refused = Car::new(&spec).unwrap_err();
        assert!(refused.key().starts_with("pack."), "{refused}");
    }
}
