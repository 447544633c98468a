//! The traction battery: series and parallel, current from power, limits.

use crate::constants::{CELL_REFERENCE_TEMPERATURE_K, JOULE_PER_WH, ZERO_CELSIUS_K};
use crate::lane::Lane;
use crate::spec::{InverterSpec, PackSpec};

/// Most of its capacity that cold takes from a pack.
const MOST_COLD_LOSS: f64 = 0.8;

impl PackSpec {
    /// Modules in all.
    #[must_use]
    pub fn module_count(&self) -> u32 {
        self.modules_in_series.saturating_mul(self.modules_in_parallel)
    }

    /// Cells in series, as a number.
    #[must_use]
    pub fn series_cells(&self) -> f64 {
        f64::from(self.cells_in_series) * f64::from(self.modules_in_series)
    }

    /// Cells in parallel, as a number.
    #[must_use]
    pub fn parallel_cells(&self) -> f64 {
        f64::from(self.cells_in_parallel) * f64::from(self.modules_in_parallel)
    }

    /// Capacity when new, C.
    #[must_use]
    pub fn rated_capacity_c(&self) -> f64 {
        self.cell_capacity_c * self.parallel_cells()
    }

    /// Capacity now, C: rated capacity times state of health times [`PackSpec::weakest_frac`].
    ///
    /// ```
    /// let mut pack = crownwheel::example::small_saloon().pack;
    /// pack.state_of_health_frac = 0.8;
    /// // 2 · 78 Ah · 0.8.
    /// assert!((pack.capacity_c() / 3_600.0 - 124.8).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn capacity_c(&self) -> f64 {
        self.rated_capacity_c() * self.state_of_health_frac * self.weakest_frac()
    }

    /// Expected capacity of the weakest group in series over the mean:
    /// `1 - sd · E[greatest of N standard normals]`, at least 0.5.
    ///
    /// Order statistics; the least of 0.5 keeps a wild spread finite.
    ///
    /// ```
    /// let mut pack = crownwheel::example::small_saloon().pack;
    /// pack.module_spread = 0.05;
    /// // Nine in series: 1 - 0.05 · 1.485.
    /// assert!((pack.weakest_frac() - 0.925_75).abs() < 1e-5);
    /// ```
    #[must_use]
    pub fn weakest_frac(&self) -> f64 {
        (1.0 - self.module_spread * expected_greatest_normal(self.modules_in_series)).max(0.5)
    }

    /// Lowest state of charge in use with a pack at a temperature: the usable part, the cells'
    /// lowest voltage, and what cold takes of the capacity, by a sheet or by `cold_loss_frac (25 °C - T) / 25 K`, all bind.
    ///
    /// ```
    /// let pack = crownwheel::example::small_saloon().pack;
    /// assert!((pack.floor_at_frac(298.15) - 0.08).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn floor_at_frac(&self, pack_k: f64) -> f64 {
        let colder_k = (CELL_REFERENCE_TEMPERATURE_K - pack_k).max(0.0);
        let usual =
            self.cold_loss_frac * colder_k / (CELL_REFERENCE_TEMPERATURE_K - ZERO_CELSIUS_K);
        let cold = self.cold_capacity.as_ref().map_or(usual.min(MOST_COLD_LOSS), |table| {
            1.0 - crate::table::straight(&table.temperature_k, &table.capacity_frac, pack_k)
        });
        self.floor_frac().max(cold)
    }

    /// Prospective short-circuit current, A, of a full pack at 25 °C: `E / (R_pack + R_harness)`.
    ///
    /// ```
    /// let pack = crownwheel::example::small_saloon().pack;
    /// // 36 · 4.2 V over 14.4 mΩ of cells and 3 mΩ of cables.
    /// assert!((pack.short_circuit_a() - 151.2 / 0.0174).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn short_circuit_a(&self) -> f64 {
        self.open_circuit_v(1.0) / (self.cells_resistance_ohm() + self.harness_resistance_ohm)
    }

    /// Resistance of the cells at 25 °C, Ω, without the harness: `R n_s / n_p`.
    ///
    /// ```
    /// let pack = crownwheel::example::small_saloon().pack;
    /// // 0.8 mΩ · 36 / 2.
    /// assert!((pack.cells_resistance_ohm() - 14.4e-3).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn cells_resistance_ohm(&self) -> f64 {
        self.cell_resistance_ohm * self.series_cells() / self.parallel_cells()
    }

    /// Voltage at full charge, V: highest cell voltage times cells in series.
    #[must_use]
    pub fn full_voltage_v(&self) -> f64 {
        self.cell_max_voltage_v * self.series_cells()
    }

    /// Voltage at which the cells are empty, V.
    #[must_use]
    pub fn empty_voltage_v(&self) -> f64 {
        self.cell_min_voltage_v * self.series_cells()
    }

    /// Open-circuit voltage of the pack, V.
    ///
    /// Voltage of a cell times cells in series; `charge_frac` 0..1.
    ///
    /// ```
    /// let pack = crownwheel::example::small_saloon().pack;
    /// assert!((pack.open_circuit_v(0.452_3) - 36.0 * 3.694_1).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn open_circuit_v(&self, charge_frac: f64) -> f64 {
        self.open_circuit.voltage_at(charge_frac) * self.series_cells()
    }

    /// Stored energy, J, between two states of charge: `Q ∫ E dz`.
    ///
    /// ```
    /// use std::sync::Arc;
    /// use crownwheel::spec::OpenCircuitTable;
    /// let mut pack = crownwheel::example::small_saloon().pack;
    /// let line = OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.2, 4.2] };
    /// pack.open_circuit = Arc::new(line);
    /// // 36 cells of 3.7 V on the mean, 156 Ah.
    /// assert!((pack.stored_j(0.0, 1.0) / 3_600.0 - 36.0 * 3.7 * 156.0).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn stored_j(&self, from_frac: f64, to_frac: f64) -> f64 {
        self.open_circuit.integral_v(from_frac, to_frac) * self.series_cells() * self.capacity_c()
    }

    /// Stored energy, kWh, from the lowest cell voltage at rest to full.
    ///
    /// ```
    /// use std::sync::Arc;
    /// use crownwheel::spec::OpenCircuitTable;
    /// let mut pack = crownwheel::example::small_saloon().pack;
    /// pack.open_circuit =
    ///     Arc::new(OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.0, 4.2] });
    /// // 36 cells of 3.6 V on the mean, 156 Ah.
    /// assert!((pack.energy_kwh() - 36.0 * 3.6 * 0.156).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn energy_kwh(&self) -> f64 {
        let empty = self.open_circuit.charge_at(self.cell_min_voltage_v);
        self.stored_j(empty, 1.0) / JOULE_PER_WH / 1000.0
    }

    /// Mass of all modules, kg.
    #[must_use]
    pub fn modules_kg(&self) -> f64 {
        f64::from(self.module_count()) * self.module_mass_kg
    }

    /// Heat capacity of the modules, J/K: their mass times their specific heat. No pack holds more than
    /// [`MOST_WH_PER_KG`], so where less mass is given than that takes, that mass counts.
    ///
    /// ```
    /// let mut pack = crownwheel::example::small_saloon().pack;
    /// // 9 modules of 11.4 kg, 1,000 J/(kg K).
    /// assert!((pack.heat_capacity_jpk() - 102_600.0).abs() < 1e-6);
    /// pack.module_mass_kg = 1.0;
    /// let least_kg = 1_000.0 * pack.energy_kwh() / crownwheel::pack::MOST_WH_PER_KG;
    /// assert!((pack.heat_capacity_jpk() - 1_000.0 * least_kg).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn heat_capacity_jpk(&self) -> f64 {
        let least_kg = 1000.0 * self.energy_kwh() / MOST_WH_PER_KG;
        self.specific_heat_jpkgk * self.modules_kg().max(least_kg)
    }

    /// Lowest state of charge that may be used: the usable part and the cells' lowest voltage at
    /// rest both bind.
    #[must_use]
    pub fn floor_frac(&self) -> f64 {
        self.usable_from_frac.max(self.open_circuit.charge_at(self.cell_min_voltage_v))
    }

    /// Highest discharge current of the cells, A.
    ///
    /// ```
    /// let pack = crownwheel::example::small_saloon().pack;
    /// // 4 an hour of 156 Ah.
    /// assert!((pack.max_discharge_a() - 624.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn max_discharge_a(&self) -> f64 {
        self.max_discharge_per_h * self.rated_capacity_c() / JOULE_PER_WH
    }

    /// Highest charging current of the cells, A.
    ///
    /// ```
    /// let pack = crownwheel::example::small_saloon().pack;
    /// // 1 an hour of 156 Ah.
    /// assert!((pack.max_charge_a() - 156.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn max_charge_a(&self) -> f64 {
        self.max_charge_per_h * self.rated_capacity_c() / JOULE_PER_WH
    }

    /// Lowest terminal voltage, V: cells and controller both bind.
    ///
    /// ```
    /// let car = crownwheel::example::small_saloon();
    /// // 36 cells of 3 V are 108 V, above the controller's 90 V.
    /// assert!((car.pack.min_voltage_v(&car.inverter) - 108.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn min_voltage_v(&self, inverter: &InverterSpec) -> f64 {
        self.empty_voltage_v().max(inverter.min_voltage_v)
    }

    /// Highest terminal voltage, V: cells and controller both bind.
    ///
    /// ```
    /// let car = crownwheel::example::small_saloon();
    /// // 36 cells of 4.2 V are 151.2 V, below the controller's 156 V.
    /// assert!((car.pack.max_voltage_v(&car.inverter) - 151.2).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn max_voltage_v(&self, inverter: &InverterSpec) -> f64 {
        self.full_voltage_v().min(inverter.max_voltage_v)
    }
}

/// Most energy that a kilogram of modules holds, Wh/kg. Engineer's judgement: good cells hold 280, bare.
pub const MOST_WH_PER_KG: f64 = 350.0;

/// Expected greatest of `n` standard normal draws, interpolated in the logarithm of `n`.
///
/// # Source
/// Harter, Expected values of normal order statistics, Biometrika 48 (1961) 151-165 (from memory).
///
/// `n` from 1; beyond 1,000 the last value holds.
///
/// ```
/// // The greater of two: 1/√π.
/// let of_two = crownwheel::pack::expected_greatest_normal(2);
/// assert!((of_two - 1.0 / std::f64::consts::PI.sqrt()).abs() < 1e-5);
/// ```
#[must_use]
pub fn expected_greatest_normal(n: u32) -> f64 {
    const ROWS: [(f64, f64); 18] = [
        (1.0, 0.0),
        (2.0, 0.564_19),
        (3.0, 0.846_28),
        (4.0, 1.029_38),
        (5.0, 1.162_96),
        (6.0, 1.267_21),
        (7.0, 1.352_18),
        (8.0, 1.423_60),
        (9.0, 1.485_01),
        (10.0, 1.538_75),
        (15.0, 1.735_91),
        (20.0, 1.867_48),
        (30.0, 2.042_76),
        (50.0, 2.249_07),
        (100.0, 2.507_59),
        (200.0, 2.746_04),
        (500.0, 3.036_70),
        (1000.0, 3.241_44),
    ];
    let at = libm::log(f64::from(n.max(1)));
    let x = ROWS.map(|row| libm::log(row.0));
    let y = ROWS.map(|row| row.1);
    crate::table::straight(&x, &y, at)
}

/// Charge over which charging fades out below the top of the usable part. Assumed: a controller
/// that stops at once would chatter.
pub const TOP_TAPER_FRAC: f64 = 0.002;

/// Share of the charging current that is allowed near the top of the usable part: it falls to
/// nothing over the last [`TOP_TAPER_FRAC`].
///
/// Both are 0..1. Assumed, see [`TOP_TAPER_FRAC`].
///
/// ```
/// assert!((crownwheel::pack::top_taper(0.959_f64, 0.96) - 0.5).abs() < 1e-9);
/// ```
#[inline(always)]
pub fn top_taper<L: Lane>(charge_frac: L, top_frac: L) -> L {
    let left = (top_frac - charge_frac) * L::splat(1.0 / TOP_TAPER_FRAC);
    left.max(L::splat(0.0)).min(L::splat(1.0))
}

/// Pack temperature from which full charging current is allowed, K above freezing. Engineer's
/// judgement.
pub const FULL_CHARGE_ABOVE_FREEZING_K: f64 = 5.0;

/// Share of the charging current that a cold pack allows: none below freezing, all from
/// [`FULL_CHARGE_ABOVE_FREEZING_K`] above it, linear between.
///
/// `pack_k` in K. Engineer's judgement.
///
/// ```
/// assert!((crownwheel::pack::charge_when_cold(275.65_f64) - 0.5).abs() < 1e-9);
/// ```
#[inline(always)]
pub fn charge_when_cold<L: Lane>(pack_k: L) -> L {
    let above = (pack_k - L::splat(ZERO_CELSIUS_K)) * L::splat(1.0 / FULL_CHARGE_ABOVE_FREEZING_K);
    above.max(L::splat(0.0)).min(L::splat(1.0))
}

/// Resistance of an empty cell over that at half charge, less 1. Engineer's judgement.
pub const EMPTY_RESISTANCE_RISE: f64 = 0.5;

/// State of charge below which resistance rises. Engineer's judgement.
pub const RESISTANCE_RISES_BELOW_FRAC: f64 = 0.2;

/// Factor on resistance at a state of charge: 1, rising linearly towards empty below
/// [`RESISTANCE_RISES_BELOW_FRAC`].
///
/// `charge_frac` 0..1. Engineer's judgement.
///
/// ```
/// assert!((crownwheel::pack::resistance_by_charge(0.1_f64) - 1.25).abs() < 1e-12);
/// ```
#[inline(always)]
pub fn resistance_by_charge<L: Lane>(charge_frac: L) -> L {
    let below = (L::splat(RESISTANCE_RISES_BELOW_FRAC) - charge_frac).max(L::splat(0.0));
    L::splat(1.0) + below * L::splat(EMPTY_RESISTANCE_RISE / RESISTANCE_RISES_BELOW_FRAC)
}

/// A source with an inner resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Source {
    /// Voltage without current, V.
    pub open_circuit_v: f64,
    /// Inner resistance, Ω, more than 0.
    pub resistance_ohm: f64,
}

impl Source {
    /// Current, A, at which the terminals give `power_w` (negative: take it).
    ///
    /// `I = 2 P / (E + √(E² - 4 R P))`; `None` above `E²/4R`, the most that the source can give.
    ///
    /// ```
    /// use crownwheel::pack::Source;
    /// let source = Source { open_circuit_v: 100.0, resistance_ohm: 0.1 };
    /// let current_a = source.current_a(9_000.0).unwrap();
    /// assert!((current_a - 100.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn current_a(&self, power_w: f64) -> Option<f64> {
        let Source { open_circuit_v: e, resistance_ohm: r } = *self;
        let square = e * e - 4.0 * r * power_w;
        (square >= 0.0).then(|| 2.0 * power_w / (e + square.sqrt()))
    }

    /// Terminal voltage, V, at a current: `E - I R`.
    ///
    /// Ohm's law.
    ///
    /// ```
    /// let source = crownwheel::pack::Source { open_circuit_v: 100.0, resistance_ohm: 0.1 };
    /// assert!((source.terminal_v(50.0) - 95.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn terminal_v(&self, current_a: f64) -> f64 {
        self.open_circuit_v - current_a * self.resistance_ohm
    }

    /// Most power, W, at a given lowest terminal voltage: `U (E - U) / R`.
    ///
    /// Ohm's law.
    ///
    /// ```
    /// let source = crownwheel::pack::Source { open_circuit_v: 100.0, resistance_ohm: 0.1 };
    /// // 100 A at 90 V.
    /// assert!((source.power_at_voltage_w(90.0) - 9_000.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn power_at_voltage_w(&self, terminal_v: f64) -> f64 {
        terminal_v * (self.open_circuit_v - terminal_v) / self.resistance_ohm
    }

    /// Power, W, at a given current: `I (E - I R)`.
    ///
    /// Ohm's law.
    ///
    /// ```
    /// let source = crownwheel::pack::Source { open_circuit_v: 100.0, resistance_ohm: 0.1 };
    /// assert!((source.power_at_current_w(100.0) - 9_000.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn power_at_current_w(&self, current_a: f64) -> f64 {
        current_a * self.terminal_v(current_a)
    }

    /// End of the formula, W: `E² / 4R`. Never a usable power.
    ///
    /// Ohm's law.
    ///
    /// ```
    /// let source = crownwheel::pack::Source { open_circuit_v: 100.0, resistance_ohm: 0.1 };
    /// assert!((source.greatest_power_w() - 25_000.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn greatest_power_w(&self) -> f64 {
        self.open_circuit_v * self.open_circuit_v / (4.0 * self.resistance_ohm)
    }
}

/// Hours to charge at constant power: energy over power from the wall times efficiency.
///
/// # Units
/// `energy_j` into the pack; `wall_power_w` from the wall; `efficiency_frac` of the charger.
///
/// ```
/// // 20 kWh at 7.4 kW and 0.92: 20 / 6.808.
/// let hours = crownwheel::pack::constant_power_charge_h(20.0 * 3.6e6, 7_400.0, 0.92);
/// assert!((hours - 2.937_7).abs() < 1e-4);
/// ```
#[must_use]
pub fn constant_power_charge_h(energy_j: f64, wall_power_w: f64, efficiency_frac: f64) -> f64 {
    energy_j / (wall_power_w * efficiency_frac) / JOULE_PER_WH
}

#[cfg(test)]
mod tests {
    use crate::example::small_saloon;

    /// Ohm's law: what stands between the poles of a full pack is its cells and its harness.
    #[test]
    fn a_short_circuit_is_voltage_over_cells_and_harness() {
        let mut pack = small_saloon().pack;
        let voltage_v = pack.series_cells() * pack.open_circuit.voltage_at(1.0);
        pack.harness_resistance_ohm = pack.cells_resistance_ohm();
        let wanted_a = voltage_v / (2.0 * pack.harness_resistance_ohm);
        assert!((pack.short_circuit_a() / wanted_a - 1.0).abs() < 1e-9);
    }
}
