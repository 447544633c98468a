//! Charging: what it takes to bring the pack back to where it was.

use crate::car::Car;
use crate::cell::resistance_factor;
use crate::day::Day;
use crate::pack::Source;

/// Pieces of charge over which energy from the wall is summed.
const PIECES: u32 = 200;

/// Energy from the wall, J, that brings a car's pack from one state of charge to a higher one.
///
/// Sum over pieces of charge of `(E + I R) Q Δz / η`, with the current `I` of the charger's power
/// into the pack, held to the cells' charging current, and resistance at the day's temperature but
/// not below freezing, since a colder pack is warmed first.
#[must_use]
pub fn wall_energy_j(car: &Car, day: &Day, from_frac: f64, to_frac: f64) -> f64 {
    let pack = &car.spec().pack;
    let charger = &car.spec().charger;
    let pack_k = day.pack_temperature_k().max(crate::constants::ZERO_CELSIUS_K);
    let resistance_ohm = pack.cells_resistance_ohm()
        * resistance_factor(pack_k, pack.resistance_b_k)
        + pack.harness_resistance_ohm;
    let piece_c = (to_frac - from_frac) / f64::from(PIECES) * pack.capacity_c();
    let mut into_pack_j = 0.0;
    for i in 0..PIECES {
        let middle = (f64::from(i) + 0.5) / f64::from(PIECES);
        let source = Source {
            open_circuit_v: pack.open_circuit_v(from_frac + (to_frac - from_frac) * middle),
            resistance_ohm,
        };
        let charging_a = source.current_a(-charger.power_w).map_or(0.0, |current| -current);
        into_pack_j += source.terminal_v(-charging_a.min(pack.max_charge_a())) * piece_c;
    }
    into_pack_j / charger.efficiency_frac
}
