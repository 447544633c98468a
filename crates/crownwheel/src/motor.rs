//! The motor and its inverter: torque curves that follow the voltage, and losses.

use crate::spec::{FallingPart, InverterSpec, LossMap, MotorCurve, MotorLossSpec, MotorSpec};
use crate::table::{Grid, Table, common_cells, count, straight};

/// Cells along each side when a loss formula is laid out as a grid.
const FORMULA_CELLS: usize = 120;

/// How far beyond the last speed of the sheet the peak curve is carried on, as a share of it.
const BEYOND_THE_SHEET: f64 = 0.5;

/// Share of `best-point` losses that grow with speed alone; see [`best_point_polynomial`].
const BEST_POINT_IRON_SHARE: f64 = 1.0 / 8.0;

/// Coefficients of the loss formula `copper T² + iron ω + windage ω³ + fixed`.
///
/// # Source
/// Larminie and Lowry, Electric Vehicle Technology Explained, electric motor efficiency (eq. 7.23
/// of the first edition).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LossPolynomial {
    /// W per (N m)².
    pub copper_w_per_nm2: f64,
    /// W per rad/s.
    pub iron_w_per_radps: f64,
    /// W per (rad/s)³.
    pub windage_w_per_radps3: f64,
    /// W.
    pub fixed_w: f64,
}

impl LossPolynomial {
    /// Loss, W, at a speed and a torque.
    ///
    /// ```
    /// use crownwheel::motor::LossPolynomial;
    /// let motor = LossPolynomial { copper_w_per_nm2: 0.3, iron_w_per_radps: 0.01,
    ///     windage_w_per_radps3: 5e-6, fixed_w: 600.0 };
    /// assert!((motor.loss_w(400.0, 50.0) - 1674.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn loss_w(&self, speed_radps: f64, torque_nm: f64) -> f64 {
        self.copper_w_per_nm2 * torque_nm * torque_nm
            + self.iron_w_per_radps * speed_radps
            + self.windage_w_per_radps3 * speed_radps.powi(3)
            + self.fixed_w
    }
}

/// Efficiency of a machine that gives `power_w` and loses `loss_w`: `P / (P + loss)`.
#[must_use]
pub fn efficiency_frac(power_w: f64, loss_w: f64) -> f64 {
    power_w / (power_w + loss_w)
}

/// Mechanical power, W: torque times speed.
#[must_use]
pub fn power_w(torque_nm: f64, speed_radps: f64) -> f64 {
    torque_nm * speed_radps
}

/// The loss formula that has its best efficiency at a given point.
///
/// At the best point the loss per watt is least, so loss grows there as fast as torque and as fast
/// as speed: `2 copper T² = loss` and `iron ω + 3 windage ω³ = loss`. One freedom is left; an
/// eighth of the loss is taken to grow with speed itself (engineer's judgement; the fixed part is
/// then a twelfth).
#[must_use]
pub fn best_point_polynomial(efficiency: f64, speed_radps: f64, torque_nm: f64) -> LossPolynomial {
    let loss_w = power_w(torque_nm, speed_radps) * (1.0 / efficiency - 1.0);
    let iron_w = BEST_POINT_IRON_SHARE * loss_w;
    let windage_w = (loss_w - iron_w) / 3.0;
    LossPolynomial {
        copper_w_per_nm2: 0.5 * loss_w / (torque_nm * torque_nm),
        iron_w_per_radps: iron_w / speed_radps,
        windage_w_per_radps3: windage_w / speed_radps.powi(3),
        fixed_w: 0.5 * loss_w - iron_w - windage_w,
    }
}

/// Highest speed of the constant-torque part, rad/s, at another voltage: `n_base U / U_test`.
///
/// The voltage-limited part of the curve moves along the speed axis (equal phase current, winding
/// drop neglected).
#[must_use]
pub fn base_speed_radps(at_test_radps: f64, voltage_v: f64, test_voltage_v: f64) -> f64 {
    at_test_radps * voltage_v / test_voltage_v
}

impl MotorCurve {
    /// Greatest torque on the peak curve, N m.
    #[must_use]
    pub fn greatest_torque_nm(&self) -> f64 {
        self.peak_torque_nm.iter().copied().fold(0.0, f64::max)
    }

    /// Last speed on the sheet, rad/s.
    #[must_use]
    pub fn last_speed_radps(&self) -> f64 {
        self.speed_radps.last().copied().unwrap_or(0.0)
    }

    /// Speed of the last node that still gives the greatest torque (to 0.5 %), rad/s.
    #[must_use]
    pub fn corner_speed_radps(&self) -> f64 {
        let greatest = self.greatest_torque_nm();
        let last = self.peak_torque_nm.iter().rposition(|torque| *torque >= 0.995 * greatest);
        last.map_or(0.0, |i| self.speed_radps[i])
    }
}

/// Torque curves and losses laid out for the step. All scaled, voltage still free.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorTables {
    /// Peak torque, N m, against speed at the test voltage, rad/s; beyond the sheet at constant
    /// power.
    pub peak_nm: Table,
    /// Continuous torque, N m, against speed, rad/s.
    pub continuous_nm: Table,
    /// Loss, W, against speed, rad/s, and absolute torque, N m, before `losses_scale`.
    pub loss_w: Grid,
    /// Greatest peak torque, N m.
    pub greatest_nm: f64,
}

impl MotorTables {
    /// Lays out a checked description.
    #[must_use]
    pub fn new(spec: &MotorSpec) -> MotorTables {
        let curve = &spec.curve;
        let scaled = |torques: &[f64]| -> Vec<f64> {
            torques.iter().map(|torque| torque * spec.curve_scale).collect()
        };
        let peak_nm = scaled(&curve.peak_torque_nm);
        let greatest_nm = spec.curve_scale * curve.greatest_torque_nm();
        MotorTables {
            peak_nm: carried_on(&curve.speed_radps, &peak_nm),
            continuous_nm: Table::through(&curve.speed_radps, &scaled(&curve.continuous_torque_nm)),
            loss_w: loss_grid(spec, greatest_nm),
            greatest_nm,
        }
    }
}

/// The peak curve, and beyond its last speed the hyperbola of constant power through its end.
fn carried_on(speed_radps: &[f64], peak_nm: &[f64]) -> Table {
    let cells = common_cells(speed_radps, crate::table::FINEST);
    let end_radps = speed_radps[speed_radps.len() - 1];
    let end_w = end_radps * peak_nm[peak_nm.len() - 1];
    let more = (1..=cells).find(|n| count(*n) >= BEYOND_THE_SHEET * count(cells)).unwrap_or(cells);
    let span_radps = end_radps * count(cells + more) / count(cells);
    Table::sampled((0.0, span_radps), cells + more, |radps| {
        if radps <= end_radps { straight(speed_radps, peak_nm, radps) } else { end_w / radps }
    })
}

fn loss_grid(spec: &MotorSpec, greatest_nm: f64) -> Grid {
    let formula = |polynomial: LossPolynomial| {
        let speeds = ((0.0, spec.max_speed_radps), FORMULA_CELLS);
        let torques = ((0.0, greatest_nm), FORMULA_CELLS);
        Grid::sampled(speeds, torques, |speed, torque| polynomial.loss_w(speed, torque))
    };
    match &spec.losses {
        MotorLossSpec::Map(map) => {
            let LossMap { speed_radps, torque_nm, loss_w } = map.as_ref();
            Grid::through(speed_radps, torque_nm, loss_w)
        }
        MotorLossSpec::Polynomial {
            copper_w_per_nm2,
            iron_w_per_radps,
            windage_w_per_radps3,
            fixed_w,
        } => formula(LossPolynomial {
            copper_w_per_nm2: *copper_w_per_nm2,
            iron_w_per_radps: *iron_w_per_radps,
            windage_w_per_radps3: *windage_w_per_radps3,
            fixed_w: *fixed_w,
        }),
        MotorLossSpec::BestPoint { efficiency_frac, speed_radps, torque_nm } => {
            formula(best_point_polynomial(*efficiency_frac, *speed_radps, *torque_nm))
        }
    }
}

/// Peak torque, N m, at a shaft speed when the supply is `k` times the test voltage.
///
/// `T'(n) = T(n/k)` where the voltage shaped the falling part; where the battery current did,
/// `T'(n) = min(T_greatest, k T(n))`.
#[must_use]
pub fn peak_torque_nm(tables: &MotorTables, falling: FallingPart, speed_radps: f64, k: f64) -> f64 {
    match falling {
        FallingPart::Voltage => tables.peak_nm.at(speed_radps / k),
        FallingPart::BatteryCurrent => (k * tables.peak_nm.at(speed_radps)).min(tables.greatest_nm),
    }
}

/// Loss of the inverter, W: a fixed part and a share of the passing power.
#[must_use]
pub fn inverter_loss_w(inverter: &InverterSpec, passing_w: f64) -> f64 {
    inverter.fixed_loss_w + inverter.loss_share * passing_w.abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    fn spec() -> MotorSpec {
        MotorSpec {
            curve: Arc::new(MotorCurve {
                speed_radps: vec![0.0, 300.0, 600.0],
                peak_torque_nm: vec![150.0, 150.0, 75.0],
                continuous_torque_nm: vec![70.0, 70.0, 60.0],
            }),
            curve_scale: 1.0,
            test_voltage_v: 120.0,
            falling_part: FallingPart::Voltage,
            max_speed_radps: 600.0,
            rotor_inertia_kgm2: 0.04,
            losses: MotorLossSpec::BestPoint {
                efficiency_frac: 0.92,
                speed_radps: 400.0,
                torque_nm: 60.0,
            },
            losses_scale: 1.0,
            peak_seconds: Some(60.0),
        }
    }

    #[test]
    fn the_falling_part_moves_with_the_voltage() {
        let tables = MotorTables::new(&spec());
        let at = |speed, k| peak_torque_nm(&tables, FallingPart::Voltage, speed, k);
        assert!((at(450.0, 1.0) - 112.5).abs() < 1e-9);
        assert!((at(405.0, 0.9) - 112.5).abs() < 1e-9);
        assert!((at(290.0, 0.9) - 150.0).abs() < 12.0 && at(250.0, 0.9) > 149.999);
        let current = |speed, k| peak_torque_nm(&tables, FallingPart::BatteryCurrent, speed, k);
        assert!((current(450.0, 0.9) - 101.25).abs() < 1e-9);
    }

    #[test]
    fn beyond_the_sheet_power_is_held() {
        let tables = MotorTables::new(&spec());
        let torque = tables.peak_nm.at(900.0);
        assert!((torque - 50.0).abs() < 1e-6, "{torque}");
    }

    #[test]
    fn the_best_point_is_best() {
        let poly = best_point_polynomial(0.92, 400.0, 60.0);
        let efficiency = |w: f64, t: f64| efficiency_frac(w * t, poly.loss_w(w, t));
        assert!((efficiency(400.0, 60.0) - 0.92).abs() < 1e-12);
        for (w, t) in [(380.0, 60.0), (420.0, 60.0), (400.0, 55.0), (400.0, 65.0)] {
            assert!(efficiency(w, t) < 0.92);
        }
    }

    #[test]
    fn the_grid_of_a_formula_is_close_to_it() {
        let tables = MotorTables::new(&spec());
        let poly = best_point_polynomial(0.92, 400.0, 60.0);
        for (w, t) in [(10.0, 3.0), (333.0, 77.0), (590.0, 20.0)] {
            let (grid, exact) = (tables.loss_w.at(w, t), poly.loss_w(w, t));
            assert!((grid - exact).abs() < 1e-3 * exact + 0.2, "{grid} {exact}");
        }
    }
}
