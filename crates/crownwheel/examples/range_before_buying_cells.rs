//! How far the car goes with 7, 8 or 9 modules, on a mild and on a winter's day, before any is bought.

use std::error::Error;

use crownwheel::cycle::Cycle;
use crownwheel::range::{RangeRun, range};
use crownwheel::spec::CarSpec;
use crownwheel::{Car, Day, example};

/// The saloon with so many modules in series.
fn with_modules(modules: u32) -> Result<CarSpec, Box<dyn Error>> {
    Ok(example::small_saloon().with("pack.modules_in_series", f64::from(modules))?)
}

/// The car, and its runs to empty on both days.
fn found(modules: u32) -> Result<(Car, [RangeRun; 2]), Box<dyn Error>> {
    let car = Car::new(&with_modules(modules)?)?;
    let cycle = Cycle::udds();
    let run = |day: &Day| range(&car, day, &cycle);
    let mild = run(&Day::new(&example::mild_day())?);
    let winter = run(&Day::new(&example::winter_day())?);
    Ok((car, [mild, winter]))
}

#[allow(clippy::print_stdout, reason = "a program that answers on the terminal")]
fn main() -> Result<(), Box<dyn Error>> {
    println!("modules  stored kWh  mass kg  mild km  winter km (15 % kept back)");
    for modules in [7, 8, 9] {
        let (car, [mild, winter]) = found(modules)?;
        println!(
            "{modules:7} {:11.1} {:8.1} {:8.0} {:10.0}",
            car.spec().pack.energy_kwh(),
            car.mass_kg(),
            mild.distance_with_reserve_m / 1e3,
            winter.distance_with_reserve_m / 1e3
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_module_brings_its_own_mass_and_energy() -> Result<(), Box<dyn Error>> {
        let (eight, nine) = (Car::new(&with_modules(8)?)?, Car::new(&with_modules(9)?)?);
        assert!((nine.mass_kg() - eight.mass_kg() - 11.4).abs() < 1e-9);
        let energies = nine.spec().pack.energy_kwh() / eight.spec().pack.energy_kwh();
        assert!((energies - 9.0 / 8.0).abs() < 1e-12);
        Ok(())
    }

    /// What left the pack is the charge that is gone, each part of it at its voltage at rest: the area
    /// under the cell's curve, by the trapezium rule between its nodes.
    #[test]
    fn what_was_used_is_what_was_stored() -> Result<(), Box<dyn Error>> {
        let (car, [mild, _]) = found(9)?;
        let pack = &car.spec().pack;
        let (from, to) = (mild.end_charge_frac, pack.usable_to_frac);
        let nodes = &pack.open_circuit.charge_frac;
        let mut at = vec![from];
        at.extend(nodes.iter().copied().filter(|node| *node > from && *node < to));
        at.push(to);
        let volts = |charge| pack.open_circuit.voltage_at(charge);
        let area: f64 =
            at.windows(2).map(|z| 0.5 * (volts(z[0]) + volts(z[1])) * (z[1] - z[0])).sum();
        // 36 cells in series, 2 of 78 Ah side by side.
        let stored_j = area * 36.0 * 2.0 * 78.0 * 3600.0;
        assert!((mild.balance.sum.from_pack_j / stored_j - 1.0).abs() < 1e-3);
        assert!(mild.balance.imbalance_j().abs() < 1e-9 * mild.balance.scale_j());
        Ok(())
    }

    #[test]
    fn more_modules_go_farther_by_about_what_they_store() -> Result<(), Box<dyn Error>> {
        let (_, seven) = found(7)?;
        let (_, nine) = found(9)?;
        for (few, many) in seven.iter().zip(&nine) {
            let gain = many.distance_m / few.distance_m;
            // 9/7 of the energy, for a car that is 22.8 kg heavier: 2.5 % more to roll and to stop.
            let stored = 9.0 / 7.0;
            assert!(gain > stored / 1.03 && gain < stored * 1.03, "{gain}");
        }
        Ok(())
    }

    #[test]
    fn winter_costs_at_least_what_the_heater_takes() -> Result<(), Box<dyn Error>> {
        let (_, [mild, winter]) = found(9)?;
        let per_m = |run: &RangeRun| run.balance.sum.terminals_j / run.distance_m;
        // 1.2 kW for as long as the drive takes, besides colder air, wind and wet.
        let heater_j_per_m = 1200.0 * winter.duration_s / winter.distance_m;
        assert!(per_m(&winter) > per_m(&mild) + heater_j_per_m);
        Ok(())
    }
}
