//! Cells: open-circuit voltage against state of charge, and resistance against temperature.

use crate::constants::CELL_REFERENCE_TEMPERATURE_K;
use crate::spec::OpenCircuitTable;
use crate::table::straight;

/// Source of the built-in open-circuit tables.
pub const OPEN_CIRCUIT_SOURCE: &str = "Sunil, Pattipati, Balasingam: Piecewise linear approximation \
of battery open-circuit voltage characteristics using dynamic programming, IEEE Trans. Instrum. \
Meas. 2025 (mean of slow charge and discharge at room temperature; cells differ by 10 mV)";

/// A nickel-based (NMC) cell: state of charge and volts. Cell C of [`OPEN_CIRCUIT_SOURCE`],
/// 4.0 Ah, C/20.
const NMC: [(f64, f64); 10] = [
    (0.0, 2.5),
    (0.005, 2.808),
    (0.035_2, 3.117_9),
    (0.085_4, 3.318_2),
    (0.135_7, 3.419_3),
    (0.291_5, 3.582_6),
    (0.452_3, 3.694_1),
    (0.839_2, 4.066_4),
    (0.954_8, 4.112_1),
    (1.0, 4.2),
];

/// An iron-phosphate (LFP) cell. Cell B of [`OPEN_CIRCUIT_SOURCE`], 1.2 Ah, C/32.
const LFP: [(f64, f64); 10] = [
    (0.0, 2.010_2),
    (0.003_3, 2.417_7),
    (0.011_7, 2.740_5),
    (0.026_7, 2.929_9),
    (0.053_4, 3.087_2),
    (0.088_5, 3.194_2),
    (0.297_2, 3.277_2),
    (0.983_3, 3.351_1),
    (0.995, 3.418),
    (1.0, 3.598_1),
];

/// Open-circuit table of a nickel-based (NMC) cell, 2.5 to 4.2 V.
///
/// Cell C of [`OPEN_CIRCUIT_SOURCE`].
///
/// ```
/// assert!((crownwheel::cell::nmc().voltage_at(0.452_3) - 3.694_1).abs() < 1e-12);
/// ```
#[must_use]
pub fn nmc() -> OpenCircuitTable {
    table(&NMC)
}

/// Open-circuit table of an iron-phosphate (LFP) cell, 2.0 to 3.6 V.
///
/// Cell B of [`OPEN_CIRCUIT_SOURCE`].
///
/// ```
/// assert!((crownwheel::cell::lfp().voltage_at(0.297_2) - 3.277_2).abs() < 1e-12);
/// ```
#[must_use]
pub fn lfp() -> OpenCircuitTable {
    table(&LFP)
}

fn table(rows: &[(f64, f64)]) -> OpenCircuitTable {
    OpenCircuitTable {
        charge_frac: rows.iter().map(|row| row.0).collect(),
        voltage_v: rows.iter().map(|row| row.1).collect(),
    }
}

impl OpenCircuitTable {
    /// Voltage at rest, V, at a state of charge, 0..1.
    ///
    /// ```
    /// assert!((crownwheel::cell::lfp().voltage_at(0.5) - 3.299_04).abs() < 1e-5);
    /// ```
    #[must_use]
    pub fn voltage_at(&self, charge_frac: f64) -> f64 {
        straight(&self.charge_frac, &self.voltage_v, charge_frac)
    }

    /// State of charge at a voltage at rest: the highest at which the cell is not above it.
    ///
    /// 0 below the table, 1 above it.
    ///
    /// ```
    /// use crownwheel::spec::OpenCircuitTable;
    /// let line = OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.2, 4.2] };
    /// assert!((line.charge_at(3.7) - 0.5).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn charge_at(&self, voltage_v: f64) -> f64 {
        let above = self.voltage_v.partition_point(|v| *v <= voltage_v);
        if above == 0 || above == self.voltage_v.len() {
            return if above == 0 { 0.0 } else { 1.0 };
        }
        let (v0, v1) = (self.voltage_v[above - 1], self.voltage_v[above]);
        let (z0, z1) = (self.charge_frac[above - 1], self.charge_frac[above]);
        z0 + (z1 - z0) * (voltage_v - v0) / (v1 - v0)
    }

    /// Integral of voltage over state of charge, V: energy per charge between two states.
    ///
    /// Trapezium rule between the nodes, exact for straight pieces; 0..1 both.
    ///
    /// ```
    /// use crownwheel::spec::OpenCircuitTable;
    /// let line = OpenCircuitTable { charge_frac: vec![0.0, 1.0], voltage_v: vec![3.2, 4.2] };
    /// // From a half to full, 3.95 V on the mean.
    /// assert!((line.integral_v(0.5, 1.0) - 1.975).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn integral_v(&self, from_frac: f64, to_frac: f64) -> f64 {
        let inside = |z: &f64| *z > from_frac && *z < to_frac;
        let mut nodes = vec![from_frac];
        nodes.extend(self.charge_frac.iter().copied().filter(inside));
        nodes.push(to_frac);
        let trapezium = |pair: &[f64]| {
            0.5 * (self.voltage_at(pair[0]) + self.voltage_at(pair[1])) * (pair[1] - pair[0])
        };
        nodes.windows(2).map(trapezium).sum()
    }
}

/// Factor on resistance at a temperature: `exp(B (1/T - 1/298.15 K))`, held between -40 and 80 °C.
///
/// The exponential (Arrhenius) form is common practice for lithium cells; `b_k` is about 2,000 K.
///
/// ```
/// // exp(2,000 (1/273.15 - 1/298.15)) = exp(0.613 95).
/// assert!((crownwheel::cell::resistance_factor(273.15, 2_000.0) - 1.847_7).abs() < 1e-4);
/// ```
#[must_use]
pub fn resistance_factor(temperature_k: f64, b_k: f64) -> f64 {
    let held_k = temperature_k.clamp(233.15, 353.15);
    libm::exp(b_k * (1.0 / held_k - 1.0 / CELL_REFERENCE_TEMPERATURE_K))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn charge_at_is_the_inverse_of_voltage_at() {
        for table in [nmc(), lfp()] {
            for z in [0.01, 0.2, 0.5, 0.93] {
                assert!((table.charge_at(table.voltage_at(z)) - z).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn the_integral_of_a_straight_line_is_its_middle_times_its_length() {
        let table =
            OpenCircuitTable { charge_frac: vec![0.0, 0.5, 1.0], voltage_v: vec![3.0, 3.5, 4.0] };
        assert!((table.integral_v(0.0, 1.0) - 3.5).abs() < 1e-12);
        // From 3.2 V to 3.7 V over half of the charge, across a node.
        assert!((table.integral_v(0.2, 0.7) - 0.5 * 3.45).abs() < 1e-12);
    }

    #[test]
    fn cold_cells_resist_more() {
        assert!((resistance_factor(298.15, 2000.0) - 1.0).abs() < 1e-12);
        let freezing = resistance_factor(273.15, 2000.0);
        assert!(freezing > 1.7 && freezing < 2.0, "{freezing}");
    }
}
