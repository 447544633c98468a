//! Charging: constant power, then constant voltage, and what it takes from the wall.

use crate::car::Car;
use crate::cell::resistance_factor;
use crate::constants::{JOULE_PER_WH, ZERO_CELSIUS_K};
use crate::day::Day;
use crate::pack::{FULL_CHARGE_ABOVE_FREEZING_K, Source, resistance_by_charge};
use crate::table::count;

/// Pieces of charge over which a charge is summed.
const PIECES: usize = 1000;

/// Current over capacity at which charging at constant voltage ends, 1/h (C/20, common practice).
pub const CUT_OFF_PER_H: f64 = 1.0 / 20.0;

/// A pack at a socket.
#[derive(Clone, Copy, Debug)]
pub struct Socket<'a> {
    car: &'a Car,
    /// Power into the pack while it is constant, W.
    power_w: f64,
    cells_ohm: f64,
    warm_up_j: f64,
}

/// A moment of a charge.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct ChargePoint {
    /// Time from the start of charging, s.
    pub time_s: f64,
    /// State of charge.
    pub charge_frac: f64,
    /// Power into the pack, W.
    pub power_w: f64,
    /// Current into the pack, A.
    pub current_a: f64,
    /// Voltage at the pack's terminals, V.
    pub voltage_v: f64,
}

/// A whole charge.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Charge {
    /// Time, s, without warming up.
    pub duration_s: f64,
    /// State of charge at the end: what was asked for, or where the current fell to C/20.
    pub end_charge_frac: f64,
    /// Energy into the pack's terminals, J.
    pub into_pack_j: f64,
    /// Energy from the wall, J, warming up included.
    pub wall_j: f64,
    /// Energy that warms a pack below freezing before it takes any charge, J into the pack.
    pub warm_up_j: f64,
    /// State of charge from which power falls, if it does.
    pub taper_from_frac: Option<f64>,
    /// Points at the ends of the pieces, the start first.
    pub points: Vec<ChargePoint>,
}

impl<'a> Socket<'a> {
    /// A car on a day at a supply that gives at most `supply_w` from the wall, W.
    ///
    /// The charger passes on `min(supply · η, charger power)`. A pack colder than 5 °C is warmed to
    /// that first: below freezing it may not be charged at all.
    ///
    /// `supply_w` is at least 0. Engineer's judgement: the 5 °C.
    ///
    /// ```
    /// use crownwheel::charger::Socket;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // 2.3 kW at the wall are 2,116 W into the pack.
    /// let first = Socket::new(&car, &day, 2_300.0).charge(0.2, 0.8).points[0];
    /// assert!((first.power_w - 2_116.0).abs() < 1e-6);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn new(car: &'a Car, day: &Day, supply_w: f64) -> Socket<'a> {
        let (pack, charger) = (&car.spec().pack, &car.spec().charger);
        let warm_k = ZERO_CELSIUS_K + FULL_CHARGE_ABOVE_FREEZING_K;
        let pack_k = day.pack_temperature_k();
        let warming_k = if pack_k < ZERO_CELSIUS_K { warm_k - pack_k } else { 0.0 };
        let charging_k = pack_k.max(warm_k);
        Socket {
            car,
            power_w: charger.power_w.min(supply_w * charger.efficiency_frac),
            cells_ohm: pack.cells_resistance_ohm()
                * resistance_factor(charging_k, pack.resistance_b_k),
            warm_up_j: warming_k * pack.specific_heat_jpkgk * pack.modules_kg(),
        }
    }

    /// The charger's own power, without a limit by the supply.
    #[must_use]
    pub fn unlimited(car: &'a Car, day: &Day) -> Socket<'a> {
        Socket::new(car, day, f64::MAX)
    }

    /// Current into the pack, A, and the source that it flows into, at a state of charge: the least
    /// of constant power, the cells' charging current, and constant highest voltage.
    fn current_a(&self, charge_frac: f64) -> (f64, Source) {
        let pack = &self.car.spec().pack;
        let inverter = &self.car.spec().inverter;
        let source = Source {
            open_circuit_v: pack.open_circuit_v(charge_frac),
            resistance_ohm: self.cells_ohm * resistance_by_charge(charge_frac)
                + pack.harness_resistance_ohm,
        };
        let by_power = source.current_a(-self.power_w).map_or(0.0, |current| -current);
        let headroom_v = (pack.max_voltage_v(inverter) - source.open_circuit_v).max(0.0);
        let by_voltage = headroom_v / source.resistance_ohm;
        (by_power.min(pack.max_charge_a()).min(by_voltage), source)
    }

    /// Charges from one state of charge to a higher one.
    ///
    /// `dt = Q dz / I`, with the least current that power, cells and highest voltage allow, down to C/20; in 1,000 pieces.
    /// Both states are 0..1. Source: constant current and voltage, common practice.
    ///
    /// ```
    /// use crownwheel::charger::Socket;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // Half of 156 Ah, and what the charger takes for itself.
    /// let charge = Socket::unlimited(&car, &day).charge(0.2, 0.7);
    /// let mean_v = charge.into_pack_j / (0.5 * 156.0 * 3_600.0);
    /// assert!(mean_v > 36.0 * 3.4 && mean_v < 36.0 * 4.1);
    /// assert!((charge.wall_j * 0.92 / charge.into_pack_j - 1.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn charge(&self, from_frac: f64, to_frac: f64) -> Charge {
        let pack = &self.car.spec().pack;
        let cut_off_a = CUT_OFF_PER_H * pack.rated_capacity_c() / JOULE_PER_WH;
        let piece_frac = (to_frac - from_frac).max(0.0) / count(PIECES);
        let mut charge = Charge {
            duration_s: 0.0,
            end_charge_frac: from_frac,
            into_pack_j: 0.0,
            wall_j: 0.0,
            warm_up_j: self.warm_up_j,
            taper_from_frac: None,
            points: vec![self.point(0.0, from_frac)],
        };
        for i in 0..PIECES {
            let start_frac = from_frac + piece_frac * count(i);
            let share = self.share_above(cut_off_a, start_frac, piece_frac);
            if share > 0.0 {
                self.add_piece(&mut charge, start_frac, share * piece_frac);
            }
            if share < 1.0 {
                break;
            }
        }
        let efficiency = self.car.spec().charger.efficiency_frac;
        charge.wall_j = (charge.into_pack_j + self.warm_up_j) / efficiency;
        charge
    }

    /// Share of a piece of charge until the current falls to the cut-off; all of it if the supply
    /// is so weak that its current is below the cut-off anyway, none if it gives nothing.
    fn share_above(&self, cut_off_a: f64, start_frac: f64, piece_frac: f64) -> f64 {
        let above = |share: f64| {
            let (current_a, source) = self.current_a(start_frac + share * piece_frac);
            let by_power_a = source.current_a(-self.power_w).map_or(0.0, |current| -current);
            current_a > 0.0 && current_a >= cut_off_a.min(by_power_a) * (1.0 - 1e-9)
        };
        if above(1.0) {
            return 1.0;
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..30 {
            let middle = 0.5 * (low + high);
            if above(middle) { low = middle } else { high = middle }
        }
        low
    }

    fn add_piece(&self, charge: &mut Charge, start_frac: f64, piece_frac: f64) {
        let (current_a, source) = self.current_a(start_frac + 0.5 * piece_frac);
        let power_w = current_a * source.terminal_v(-current_a);
        if charge.taper_from_frac.is_none() && power_w < self.power_w * (1.0 - 1e-6) {
            charge.taper_from_frac = Some(start_frac);
        }
        let seconds = piece_frac * self.car.spec().pack.capacity_c() / current_a;
        charge.duration_s += seconds;
        charge.into_pack_j += power_w * seconds;
        charge.end_charge_frac = start_frac + piece_frac;
        charge.points.push(self.point(charge.duration_s, charge.end_charge_frac));
    }

    fn point(&self, time_s: f64, charge_frac: f64) -> ChargePoint {
        let (current_a, source) = self.current_a(charge_frac);
        let voltage_v = source.terminal_v(-current_a);
        ChargePoint { time_s, charge_frac, power_w: current_a * voltage_v, current_a, voltage_v }
    }

    /// Energy from the wall, J, that a charge takes, however slow its end: the sum over pieces of
    /// `(E + I R) Q Δz / η`, without warming up.
    ///
    /// ```
    /// use crownwheel::charger::Socket;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let socket = Socket::unlimited(&car, &day);
    /// assert!((socket.wall_j(0.2, 0.7) / socket.charge(0.2, 0.7).wall_j - 1.0).abs() < 1e-6);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn wall_j(&self, from_frac: f64, to_frac: f64) -> f64 {
        let piece_frac = (to_frac - from_frac) / count(PIECES);
        let piece_c = piece_frac * self.car.spec().pack.capacity_c();
        let piece_j = |i: usize| {
            let (current_a, source) = self.current_a(from_frac + piece_frac * (count(i) + 0.5));
            source.terminal_v(-current_a) * piece_c
        };
        (0..PIECES).map(piece_j).sum::<f64>() / self.car.spec().charger.efficiency_frac
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{mild_day, small_saloon, winter_day};
    use crate::spec::{OpenCircuitTable, SpecError};
    use std::sync::Arc;

    /// One cell with a straight open-circuit line, charged at 1 C by its own limit.
    fn one_cell() -> Result<(Car, Day), SpecError> {
        let mut spec = small_saloon();
        let pack = &mut spec.pack;
        pack.open_circuit =
            Arc::new(OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.4, 4.2] });
        (pack.cells_in_series, pack.cells_in_parallel) = (1, 1);
        (pack.modules_in_series, pack.modules_in_parallel) = (1, 1);
        pack.cell_capacity_c = 50.0 * 3600.0;
        pack.cell_resistance_ohm = 2e-3;
        pack.resistance_b_k = 0.0;
        pack.harness_resistance_ohm = 0.0;
        pack.max_charge_per_h = 1.0;
        (pack.usable_from_frac, pack.usable_to_frac) = (0.0, 1.0);
        (spec.inverter.min_voltage_v, spec.inverter.max_voltage_v) = (1.0, 5.0);
        Ok((Car::new(&spec)?, Day::new(&mild_day())?))
    }

    #[test]
    fn constant_current_then_voltage_follows_the_closed_form_above_a_fifth() -> Result<(), SpecError>
    {
        let (car, day) = one_cell()?;
        // Resistance is constant above a fifth of charge. From there at 50 A: the voltage is
        // reached at (4.2 - 0.1 - 3.4) / 0.8 = 0.875; then I = 50 e^(-t/τ), τ = R Q / 0.8 V = 450 s,
        // down to 2.5 A: 450 s · ln 20, at 1 - 2.5 A · 2 mΩ / 0.8 V = 0.99375.
        let charge = Socket::unlimited(&car, &day).charge(0.2, 1.0);
        let expected_s = (0.875 - 0.2) * 3600.0 + 450.0 * libm::log(20f64);
        assert!((charge.duration_s / expected_s - 1.0).abs() < 5e-4, "{}", charge.duration_s);
        assert!((charge.end_charge_frac - 0.993_75).abs() < 1e-6, "{}", charge.end_charge_frac);
        Ok(())
    }

    #[test]
    fn a_weak_socket_takes_longer_and_the_same_energy() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let strong = Socket::new(&car, &day, 7400.0).charge(0.1, 0.9);
        let weak = Socket::new(&car, &day, 2300.0).charge(0.1, 0.9);
        assert!(weak.duration_s > 2.0 * strong.duration_s);
        assert!((weak.wall_j / strong.wall_j - 1.0).abs() < 0.01);
        assert!(weak.taper_from_frac.is_none() && weak.warm_up_j == 0.0);
        // 2.3 kW · 0.92 into 0.8 of 20.9 kWh.
        let hours = weak.duration_s / 3600.0;
        assert!(hours > 7.5 && hours < 8.5, "{hours}");
        Ok(())
    }

    #[test]
    fn a_dead_socket_charges_nothing() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let charge = Socket::new(&car, &day, 0.0).charge(0.1, 0.9);
        assert!(charge.duration_s == 0.0 && charge.into_pack_j == 0.0 && charge.wall_j == 0.0);
        assert!((charge.end_charge_frac - 0.1).abs() < 1e-12 && charge.points.len() == 1);
        Ok(())
    }

    #[test]
    fn a_frozen_pack_is_warmed_first() -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&winter_day())?);
        let charge = Socket::new(&car, &day, 7400.0).charge(0.1, 0.9);
        // 7 K in 102.6 kg of 1 kJ/(kg K).
        assert!((charge.warm_up_j - 7.0 * 102.6 * 1000.0).abs() < 1.0, "{}", charge.warm_up_j);
        assert!(charge.wall_j > (charge.into_pack_j + 7e5) / 0.92);
        Ok(())
    }
}
