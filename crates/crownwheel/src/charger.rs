//! Charging: constant power, then constant voltage, and what it takes from the wall.

use crate::car::Car;
use crate::cell::resistance_factor;
use crate::constants::{JOULE_PER_WH, ZERO_CELSIUS_K};
use crate::day::Day;
use crate::pack::{FULL_CHARGE_ABOVE_FREEZING_K, Source, resistance_by_charge};
use crate::spec::ChargerSpec;
use crate::table::count;

/// Pieces of charge in which a charge is stepped.
const PIECES: usize = 1000;

/// Pieces over which the energy of a charge at one temperature is summed: it changes little from one to the next.
const WALL_PIECES: usize = 100;

/// Most that the pack's temperature changes in one step of a charge, K.
const STEP_K: f64 = 0.1;

/// Temperature from which a pack takes its full current, and to which it is warmed, K.
const WARM_K: f64 = ZERO_CELSIUS_K + FULL_CHARGE_ABOVE_FREEZING_K;

/// Difference that counts as none, K.
const SAME_K: f64 = 1e-3;

/// Current over capacity at which charging at constant voltage ends, 1/h (C/20, common practice).
pub const CUT_OFF_PER_H: f64 = 1.0 / 20.0;

/// A pack at a socket.
#[derive(Clone, Copy, Debug)]
pub struct Socket<'a> {
    car: &'a Car,
    /// Power into pack and heater while it is constant, W.
    power_w: f64,
    /// The supply gives less than the charger always loses.
    too_weak: bool,
    /// Temperature of the pack at the start, and of the air, K.
    pack_k: f64,
    air_k: f64,
    /// Of the pack: worked out once, since the steps ask for them thousands of times.
    capacity_c: f64,
    heat_capacity_jpk: f64,
}

/// A moment of a charge.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct ChargePoint {
    /// Time from the start, s.
    pub time_s: f64,
    /// State of charge.
    pub charge_frac: f64,
    /// Power into the pack, W, without what warms it.
    pub power_w: f64,
    /// Current into the pack, A.
    pub current_a: f64,
    /// Voltage at the pack's terminals, V.
    pub voltage_v: f64,
    /// Temperature of the pack, K.
    pub pack_k: f64,
}

/// A whole charge.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Charge {
    /// Time, s, warming included. Infinite: the supply never warms the pack enough.
    pub duration_s: f64,
    /// State of charge at the end: what was asked for, or where the current fell to C/20.
    pub end_charge_frac: f64,
    /// Energy into the pack's terminals, J.
    pub into_pack_j: f64,
    /// Energy from the wall, J, warming included.
    pub wall_j: f64,
    /// Energy that warms a cold pack and holds it warm, J out of the charger.
    pub warming_j: f64,
    /// Time until the first charge goes in, s.
    pub before_charging_s: f64,
    /// State of charge from which power falls, if it does, other than by cold.
    pub taper_from_frac: Option<f64>,
    /// Points at the ends of the steps, the start first.
    pub points: Vec<ChargePoint>,
}

/// What flows at one moment of a charge.
#[derive(Clone, Copy, Debug)]
struct Flow {
    current_a: f64,
    voltage_v: f64,
    /// Power that warms the pack, W.
    warming_w: f64,
    /// Heat into the pack, from its cells and from what warms it, W.
    heat_w: f64,
    /// The current is less than the supply's power would give, and not by cold.
    tapers: bool,
    /// Whether charging ends here.
    at_cut_off: bool,
}

/// Charge and temperature of a pack that is charged.
#[derive(Clone, Copy, Debug)]
struct PackState {
    charge_frac: f64,
    pack_k: f64,
}

impl ChargerSpec {
    /// Loss that is always there, W, and loss in proportion to the power that it gives.
    ///
    /// Of the loss `P (1/η - 1)` at the highest power `P` a share is fixed. By definition of efficiency.
    fn losses(&self) -> (f64, f64) {
        let share = 1.0 / self.efficiency_frac - 1.0;
        (self.fixed_share * share * self.power_w, (1.0 - self.fixed_share) * share)
    }

    /// Power that it gives, W, from a power at the wall, W: not capped at its own.
    #[must_use]
    pub fn given_w(&self, wall_w: f64) -> f64 {
        let (fixed_w, share) = self.losses();
        ((wall_w - fixed_w) / (1.0 + share)).max(0.0)
    }

    /// Energy from the wall, J, for what it gives in a time: at part load its fixed loss counts more.
    ///
    /// ```
    /// // 5 kW for an hour at 92 %; in three hours as much takes two more hours of 109 W.
    /// let charger = crownwheel::example::small_saloon().charger;
    /// let (quick, slow) = (charger.wall_j(18e6, 3_600.0), charger.wall_j(18e6, 10_800.0));
    /// assert!((quick * 0.92 / 18e6 - 1.0).abs() < 1e-12);
    /// assert!(((slow - quick) / 7_200.0 - 108.7).abs() < 0.1);
    /// ```
    #[must_use]
    pub fn wall_j(&self, given_j: f64, seconds: f64) -> f64 {
        let (fixed_w, share) = self.losses();
        // A charge that never ends takes no more than its loss for ever: what was given counts.
        let always_j = if seconds.is_finite() { fixed_w * seconds } else { 0.0 };
        given_j * (1.0 + share) + always_j
    }
}

impl<'a> Socket<'a> {
    /// A car on a day at a supply that gives at most `supply_w` from the wall, W.
    ///
    /// The charger passes on what [`ChargerSpec::given_w`] says, at most its power. All of that warms a pack that is colder than 5 °C, below
    /// which it does not take its full current, and below freezing none; from then on as much of it as is needed holds the
    /// pack there.
    ///
    /// `supply_w` is at least 0. Engineer's judgement: the 5 °C, and that something warms the pack.
    ///
    /// ```
    /// use crownwheel::charger::Socket;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // 435 W are lost at 5 kW, a quarter of it always: 2.3 kW at the wall are 2,057 W into the pack.
    /// let first = Socket::new(&car, &day, 2_300.0).charge(0.2, 0.8).points[0];
    /// assert!((first.power_w - 2_057.0).abs() < 1.0);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn new(car: &'a Car, day: &Day, supply_w: f64) -> Socket<'a> {
        let charger = &car.spec().charger;
        let given_w = charger.given_w(supply_w);
        Socket {
            car,
            power_w: charger.power_w.min(given_w),
            too_weak: supply_w > 0.0 && given_w <= 0.0,
            pack_k: day.pack_temperature_k(),
            air_k: day.air().temperature_k,
            capacity_c: car.spec().pack.capacity_c(),
            heat_capacity_jpk: car.spec().pack.heat_capacity_jpk(),
        }
    }

    /// The charger's own power, without a limit by the supply.
    #[must_use]
    pub fn unlimited(car: &'a Car, day: &Day) -> Socket<'a> {
        Socket::new(car, day, f64::MAX)
    }

    /// Heat that brings a cold pack to the temperature at which it takes its full current, J, without what leaks away
    /// meanwhile: `C (5 °C - T)`; 0 for a warmer one.
    #[must_use]
    pub fn warm_up_j(&self) -> f64 {
        self.heat_capacity_jpk * (WARM_K - self.pack_k).max(0.0)
    }

    /// Resistance of the cells, Ω, and with it the source that the current flows into.
    fn source(&self, now: PackState) -> (f64, Source) {
        let pack = &self.car.spec().pack;
        let cells_ohm = pack.cells_resistance_ohm()
            * resistance_factor(now.pack_k, pack.resistance_b_k)
            * resistance_by_charge(now.charge_frac);
        let source = Source {
            open_circuit_v: pack.open_circuit_v(now.charge_frac),
            resistance_ohm: cells_ohm + pack.harness_resistance_ohm,
        };
        (cells_ohm, source)
    }

    /// Current by a power into the pack, and by the cells' own current and highest voltage, A.
    fn limits_a(&self, source: &Source, power_w: f64) -> (f64, f64) {
        let (pack, inverter) = (&self.car.spec().pack, &self.car.spec().inverter);
        let by_power = source.current_a(-power_w).map_or(0.0, |current| -current);
        let headroom_v = (pack.max_voltage_v(inverter) - source.open_circuit_v).max(0.0);
        (by_power, pack.max_charge_a().min(headroom_v / source.resistance_ohm))
    }

    /// The least of constant power, what the cells take at their temperature, and constant highest voltage;
    /// and what goes into warming.
    fn flow(&self, now: PackState) -> Flow {
        let pack = &self.car.spec().pack;
        let (cells_ohm, source) = self.source(now);
        let lost_w = pack.conductance_wpk * (now.pack_k - self.air_k);
        // The current at the highest voltage has fallen to its end; never where the supply is so weak that its current is
        // below that anyway.
        let (most_by_power, most_by_cells) = self.limits_a(&source, self.power_w);
        let rated_ah = pack.rated_capacity_c() / JOULE_PER_WH;
        let cut_off_a = (CUT_OFF_PER_H * rated_ah).min(most_by_power);
        let current = |power_w: f64| {
            let (by_power, by_cells) = self.limits_a(&source, power_w);
            (by_power.min(by_cells), by_cells < by_power * (1.0 - 1e-6))
        };
        let (mut current_a, mut tapers, mut warming_w) = (0.0, false, self.power_w);
        if now.pack_k >= WARM_K - SAME_K {
            (current_a, tapers) = current(self.power_w);
            // Only where it is just warm anything must hold it there.
            let needed_w = lost_w - current_a * current_a * cells_ohm;
            let held = now.pack_k <= WARM_K + SAME_K;
            warming_w = if held { needed_w.max(0.0).min(self.power_w) } else { 0.0 };
            if warming_w > 0.0 {
                (current_a, tapers) = current(self.power_w - warming_w);
            }
        }
        // What holds the pack warm is regulated: its temperature stays.
        let regulated = warming_w > 0.0 && warming_w < self.power_w;
        let given_w = warming_w + current_a * current_a * cells_ohm;
        let heat_w = if regulated { lost_w } else { given_w };
        let voltage_v = source.terminal_v(-current_a);
        Flow {
            current_a,
            voltage_v,
            warming_w,
            heat_w,
            tapers,
            at_cut_off: most_by_cells <= cut_off_a * (1.0 - 1e-9),
        }
    }

    /// Charges from one state of charge to a higher one.
    ///
    /// `dt = Q dz / I` with the least current that power, cells, cold and highest voltage allow, down to C/20; the pack's
    /// temperature goes along, `C dT/dt = P_warming + I² R_cells - G (T - T_air)`. By the middle of each step, in a thousand
    /// pieces of charge or a tenth of a kelvin. Both states are 0..1. Source: constant current and voltage, common practice.
    ///
    /// ```
    /// use crownwheel::charger::Socket;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // Half of 156 Ah, and what the charger takes for itself.
    /// let charge = Socket::unlimited(&car, &day).charge(0.2, 0.7);
    /// let mean_v = charge.into_pack_j / (0.5 * 156.0 * 3_600.0);
    /// assert!(mean_v > 36.0 * 3.4 && mean_v < 36.0 * 4.1);
    /// assert!((charge.wall_j * 0.92 / charge.into_pack_j - 1.0).abs() < 1e-3);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn charge(&self, from_frac: f64, to_frac: f64) -> Charge {
        let piece_frac = (to_frac - from_frac).max(0.0) / count(PIECES);
        let mut now = PackState { charge_frac: from_frac, pack_k: self.pack_k };
        let mut here = self.flow(now);
        let mut charge = Charge {
            duration_s: 0.0,
            end_charge_frac: from_frac,
            into_pack_j: 0.0,
            wall_j: 0.0,
            warming_j: 0.0,
            before_charging_s: 0.0,
            taper_from_frac: None,
            points: vec![point(0.0, now, here)],
        };
        let done = |now: &PackState| now.charge_frac >= to_frac - 1e-12;
        while self.power_w > 0.0 && !done(&now) && !here.at_cut_off {
            let piece_frac = piece_frac.min(to_frac - now.charge_frac);
            let Some(end) = self.add_step(&mut charge, &mut now, here, piece_frac) else {
                charge.duration_s = f64::INFINITY;
                break;
            };
            here = end;
        }
        if self.too_weak && !done(&now) {
            charge.duration_s = f64::INFINITY;
        }
        charge.end_charge_frac = now.charge_frac;
        let given_j = charge.into_pack_j + charge.warming_j;
        charge.wall_j = self.car.spec().charger.wall_j(given_j, charge.duration_s);
        charge
    }

    /// One step of at most a piece of charge from where `here` flows; what flows at its end. `None`: the pack is frozen and
    /// gets no warmer.
    fn add_step(
        &self,
        charge: &mut Charge,
        now: &mut PackState,
        here: Flow,
        piece_frac: f64,
    ) -> Option<Flow> {
        let capacity_c = self.capacity_c;
        let (node, rise) = (self.node(), |flow: &Flow| self.kelvin_per_s(flow, now.pack_k));
        // What holds the pack warm begins where it is warm, or where it has cooled down to that.
        let off_k = WARM_K - now.pack_k;
        let to_warm_s =
            if off_k.abs() > SAME_K { node.time_s(rise(&here), off_k) } else { f64::INFINITY };
        if here.current_a <= 0.0 && to_warm_s.is_infinite() {
            return None;
        }
        let by_charge = piece_frac * capacity_c / here.current_a.max(f64::MIN_POSITIVE);
        let by_heat = node.time_s(rise(&here), STEP_K.copysign(rise(&here)));
        let mut dt_s = by_charge.min(by_heat).min(to_warm_s);
        let at = |flow: &Flow, dt_s: f64| PackState {
            charge_frac: now.charge_frac + flow.current_a * dt_s / capacity_c,
            pack_k: now.pack_k + node.gained_k(rise(flow), dt_s),
        };
        let middle = self.flow(at(&here, 0.5 * dt_s));
        let reaches = |dt_s: f64| !self.flow(at(&middle, dt_s)).at_cut_off;
        if !reaches(dt_s) {
            dt_s = last_that(reaches, dt_s);
        }
        let mut end = at(&middle, dt_s);
        if dt_s >= to_warm_s {
            end.pack_k = WARM_K;
        }
        charge.into_pack_j += middle.current_a * middle.voltage_v * dt_s;
        charge.warming_j += middle.warming_w * dt_s;
        if charge.taper_from_frac.is_none() && middle.tapers {
            charge.taper_from_frac = Some(now.charge_frac);
        }
        charge.duration_s += dt_s;
        if end.charge_frac <= charge.end_charge_frac {
            charge.before_charging_s = charge.duration_s;
        }
        *now = end;
        let there = self.flow(end);
        charge.points.push(point(charge.duration_s, end, there));
        Some(there)
    }

    /// Change of the pack's temperature at a temperature, K/s.
    fn kelvin_per_s(&self, flow: &Flow, pack_k: f64) -> f64 {
        let pack = &self.car.spec().pack;
        (flow.heat_w - pack.conductance_wpk * (pack_k - self.air_k)) / self.heat_capacity_jpk
    }

    fn node(&self) -> Node {
        let pack = &self.car.spec().pack;
        Node { rate_per_s: pack.conductance_wpk / self.heat_capacity_jpk }
    }

    /// Energy from the wall, J, that a charge takes with the pack at the temperature at which it begins, or at that from
    /// which it takes its full current if it is colder, however slow its end: the sum over pieces of `(E + I R) Q Δz `
    /// and the charger's loss, without warming.
    ///
    /// ```
    /// use crownwheel::charger::Socket;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let socket = Socket::unlimited(&car, &day);
    /// // The pack warms a little while it is charged.
    /// assert!((socket.wall_j(0.2, 0.7) / socket.charge(0.2, 0.7).wall_j - 1.0).abs() < 1e-3);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn wall_j(&self, from_frac: f64, to_frac: f64) -> f64 {
        let piece_frac = (to_frac - from_frac) / count(WALL_PIECES);
        let piece_c = piece_frac * self.capacity_c;
        let pack_k = self.pack_k.max(WARM_K);
        let piece_j = |i: usize| {
            let charge_frac = from_frac + piece_frac * (count(i) + 0.5);
            let (_, source) = self.source(PackState { charge_frac, pack_k });
            let (by_power, by_cells) = self.limits_a(&source, self.power_w);
            source.terminal_v(-by_power.min(by_cells)) * piece_c
        };
        let given_j: f64 = (0..WALL_PIECES).map(piece_j).sum();
        self.car.spec().charger.wall_j(given_j, given_j / self.power_w.max(f64::MIN_POSITIVE))
    }
}

fn point(time_s: f64, now: PackState, flow: Flow) -> ChargePoint {
    let Flow { current_a, voltage_v, .. } = flow;
    let PackState { charge_frac, pack_k } = now;
    ChargePoint {
        time_s,
        charge_frac,
        power_w: current_a * voltage_v,
        current_a,
        voltage_v,
        pack_k,
    }
}

/// A body that gives heat off: what it gains at a rate falls off by `e^(-t/τ)`.
#[derive(Clone, Copy, Debug)]
struct Node {
    /// One over its time constant, 1/s.
    rate_per_s: f64,
}

impl Node {
    /// Temperature gained in a time that begins at a rate, K: `k (1 - e^(-r t)) / r`.
    fn gained_k(self, kelvin_per_s: f64, seconds: f64) -> f64 {
        let x = self.rate_per_s * seconds;
        let lasting_s = if x < 1e-9 { seconds } else { (1.0 - libm::exp(-x)) / self.rate_per_s };
        kelvin_per_s * lasting_s
    }

    /// Time in which it gains so much, s; infinite if it never does.
    fn time_s(self, kelvin_per_s: f64, gain_k: f64) -> f64 {
        let lasting_s = gain_k / kelvin_per_s;
        let x = self.rate_per_s * lasting_s;
        if lasting_s.is_nan() || lasting_s <= 0.0 || x >= 1.0 {
            f64::INFINITY
        } else if x < 1e-9 {
            lasting_s
        } else {
            -libm::log(1.0 - x) / self.rate_per_s
        }
    }
}

/// The longest time up to `most` for which something still holds, by bisection.
fn last_that(holds: impl Fn(f64) -> bool, most: f64) -> f64 {
    let (mut low, mut high) = (0.0, most);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if holds(middle) { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{mild_day, small_saloon};
    use crate::spec::{DaySpec, OpenCircuitTable, SpecError};
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
    fn a_weak_socket_takes_longer_and_its_charger_s_fixed_loss_counts_longer()
    -> Result<(), SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&mild_day())?);
        let strong = Socket::new(&car, &day, 7400.0).charge(0.1, 0.9);
        let weak = Socket::new(&car, &day, 2300.0).charge(0.1, 0.9);
        assert!(weak.duration_s > 2.0 * strong.duration_s);
        // 109 W for nearly five hours more, of 18 kWh.
        let more = weak.wall_j / strong.wall_j - 1.0;
        assert!(more > 0.02 && more < 0.035, "{more}");
        assert!(weak.taper_from_frac.is_none() && weak.warming_j == 0.0);
        // 2.06 kW into 0.8 of 20.9 kWh.
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

    fn charged_at(degc: f64, supply_w: f64) -> Result<Charge, SpecError> {
        let day = DaySpec { temperature_k: ZERO_CELSIUS_K + degc, ..mild_day() };
        let (car, day) = (Car::new(&small_saloon())?, Day::new(&day)?);
        Ok(Socket::new(&car, &day, supply_w).charge(0.1, 0.9))
    }

    #[test]
    fn a_frozen_pack_is_warmed_first_and_that_takes_its_time() -> Result<(), SpecError> {
        let (warm, cold) = (charged_at(15.0, 7400.0)?, charged_at(-2.0, 7400.0)?);
        assert!(warm.warming_j == 0.0 && warm.before_charging_s == 0.0);
        // 7 K in 102.6 kg of 1 kJ/(kg K), with all 5 kW, and what leaks away meanwhile.
        let least_s = 7.0 * 102.6e3 / 5e3;
        assert!(
            cold.before_charging_s > least_s && cold.before_charging_s < 1.05 * least_s,
            "{}",
            cold.before_charging_s
        );
        assert!(cold.warming_j > 0.99 * 7.0 * 102.6e3, "{}", cold.warming_j);
        assert!(cold.wall_j > (cold.into_pack_j + 7e5) / 0.92);
        assert!(cold.duration_s > warm.duration_s);
        Ok(())
    }

    /// At -25 °C warming takes its energy over the supply's power, and the pack is held warm while it charges: `G ΔT` for the
    /// hours that that takes, less what the cells warm themselves.
    #[test]
    fn deep_cold_costs_the_time_of_warming_and_the_heat_of_holding() -> Result<(), SpecError> {
        let (mild, deep) = (charged_at(-2.0, 7400.0)?, charged_at(-25.0, 7400.0)?);
        let more_j = 23.0 * 102.6e3;
        assert!(
            deep.duration_s - mild.duration_s > more_j / 5e3,
            "{}",
            deep.duration_s - mild.duration_s
        );
        let spec = small_saloon();
        let held_j = spec.pack.conductance_wpk * 30.0 * (deep.duration_s - deep.before_charging_s);
        let holding_j = deep.warming_j - 30.0 * 102.6e3;
        assert!(holding_j > 0.4 * held_j && holding_j < 1.2 * held_j, "{holding_j} of {held_j}");
        Ok(())
    }

    /// Around freezing, around 5 °C and far from both: a tenth of a kelvin moves the time by less than a hundredth.
    #[test]
    fn a_tenth_of_a_kelvin_moves_little() -> Result<(), SpecError> {
        for supply_w in [600.0, 2300.0, 7400.0] {
            for degc in [-20.0, -0.05, 0.0, 0.4, 2.5, 4.95, 5.0, 15.0] {
                let (one, other) = (charged_at(degc, supply_w)?, charged_at(degc + 0.1, supply_w)?);
                let off = one.duration_s / other.duration_s - 1.0;
                assert!(off.abs() < 0.01, "{degc} °C, {supply_w} W: {off}");
            }
        }
        Ok(())
    }

    #[test]
    fn a_supply_that_cannot_warm_the_pack_never_charges_it() -> Result<(), SpecError> {
        assert!(charged_at(-30.0, 40.0)?.duration_s.is_infinite());
        Ok(())
    }

    /// In steps of a tenth of a kelvin and a thousandth of the charge, against the closed form of a body that is warmed
    /// with constant power: `T = T_air + P/G (1 - e^(-G t / C))`.
    #[test]
    fn warming_follows_the_closed_form() -> Result<(), SpecError> {
        let cold = charged_at(-25.0, 2300.0)?;
        let spec = small_saloon();
        let (g, c, p) = (
            spec.pack.conductance_wpk,
            spec.pack.heat_capacity_jpk(),
            spec.charger.given_w(2300.0),
        );
        let expected_s = -c / g * libm::log(1.0 - 30.0 * g / p);
        assert!(
            (cold.before_charging_s / expected_s - 1.0).abs() < 2e-3,
            "{} {expected_s}",
            cold.before_charging_s
        );
        Ok(())
    }
}
