//! The motor and its inverter: torque curves that follow the voltage, and losses.

use crate::spec::{FallingPart, InverterSpec, LossMap, MotorCurve, MotorLossSpec, MotorSpec};
use crate::table::{Grid, Pair, Table, common_cells, count, straight};

/// How far beyond the last speed of the sheet the peak curve is carried on, as a share of it.
const BEYOND_THE_SHEET: f64 = 0.5;

/// Shares of the loss without torque at a best point that grow with speed and with its cube; see
/// [`best_point_polynomial`].
const IDLE_IRON_SHARE: f64 = 0.5;
const IDLE_WINDAGE_SHARE: f64 = 0.2;

/// Coefficients of the loss formula `copper T² + share T ω + iron ω + windage ω³ + fixed`.
///
/// # Source
/// Larminie and Lowry, Electric Vehicle Technology Explained, electric motor efficiency (eq. 7.23
/// of the first edition).
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct LossPolynomial {
    /// W per (N m)².
    pub copper_w_per_nm2: f64,
    /// Share of the power at the shaft.
    pub share_of_power: f64,
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
    /// let motor = LossPolynomial { copper_w_per_nm2: 0.3, share_of_power: 0.0, iron_w_per_radps: 0.01,
    ///     windage_w_per_radps3: 5e-6, fixed_w: 600.0 };
    /// assert!((motor.loss_w(400.0, 50.0) - 1674.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn loss_w(&self, speed_radps: f64, torque_nm: f64) -> f64 {
        self.copper_w_per_nm2 * torque_nm * torque_nm
            + self.share_of_power * (speed_radps * torque_nm).abs()
            + self.iron_w_per_radps * speed_radps
            + self.windage_w_per_radps3 * speed_radps.powi(3)
            + self.fixed_w
    }
}

/// Efficiency of a machine that gives `power_w` and loses `loss_w`: `P / (P + loss)`.
///
/// By definition; the sum is not 0.
///
/// ```
/// assert!((crownwheel::motor::efficiency_frac(9_200.0, 800.0) - 0.92).abs() < 1e-12);
/// ```
#[must_use]
pub fn efficiency_frac(power_w: f64, loss_w: f64) -> f64 {
    power_w / (power_w + loss_w)
}

/// Mechanical power, W: torque times speed.
///
/// `P = T ω`, by definition, N m and rad/s.
///
/// ```
/// assert!((crownwheel::motor::power_w(100.0, 300.0) - 30_000.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn power_w(torque_nm: f64, speed_radps: f64) -> f64 {
    torque_nm * speed_radps
}

/// The best point on a motor's sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestPoint {
    /// Best efficiency, 0..1.
    pub efficiency_frac: f64,
    /// Its speed, rad/s.
    pub speed_radps: f64,
    /// Its torque, N m.
    pub torque_nm: f64,
    /// Share of the loss there that is left without torque, up to a half.
    pub light_load_share: f64,
}

/// The loss formula that has its best efficiency at a given point.
///
/// The loss at the point is a share without torque, as much again that grows with torque squared (so the loss per watt is
/// least at this torque), and the rest in proportion to power. Of the loss without torque half grows with speed, a fifth
/// with its cube, and the rest is fixed: at twice the speed that makes 2.9 times as much (engineering judgement; a motor of
/// 125 kW in a small car had 0.3 to 0.5 kW at light load and 1.3 kW near its highest speed, doi 10.21227/6jr9-5235).
///
/// Efficiency is between 0 and 1, speed and torque more than 0.
///
/// ```
/// // 20 kW at 0.8 lose 5 kW, a fifth of it in copper: 1,000 W / (50 N m)².
/// use crownwheel::motor::{BestPoint, best_point_polynomial};
/// let best = BestPoint {
///     efficiency_frac: 0.8, speed_radps: 400.0, torque_nm: 50.0, light_load_share: 0.2,
/// };
/// let loss = best_point_polynomial(best);
/// assert!((loss.copper_w_per_nm2 - 0.4).abs() < 1e-12);
/// assert!((loss.loss_w(400.0, 50.0) - 5_000.0).abs() < 1e-9);
/// assert!((loss.loss_w(400.0, 0.0) - 1_000.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn best_point_polynomial(best: BestPoint) -> LossPolynomial {
    let BestPoint { efficiency_frac, speed_radps, torque_nm, light_load_share } = best;
    let power_w = power_w(torque_nm, speed_radps);
    let loss_w = power_w * (1.0 / efficiency_frac - 1.0);
    let idle_w = light_load_share * loss_w;
    LossPolynomial {
        copper_w_per_nm2: idle_w / (torque_nm * torque_nm),
        share_of_power: (loss_w - 2.0 * idle_w) / power_w,
        iron_w_per_radps: IDLE_IRON_SHARE * idle_w / speed_radps,
        windage_w_per_radps3: IDLE_WINDAGE_SHARE * idle_w / speed_radps.powi(3),
        fixed_w: (1.0 - IDLE_IRON_SHARE - IDLE_WINDAGE_SHARE) * idle_w,
    }
}

/// What feeds a motor, and what fed it when its sheet was made; both under load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SupplyVoltage {
    /// Voltage now, V, more than 0.
    pub now_v: f64,
    /// Voltage of the sheet's test, V, more than 0.
    pub at_test_v: f64,
}

/// Highest speed of the constant-torque part, rad/s, at another voltage: `n_base U / U_test`.
///
/// The voltage-limited part of the curve moves along the speed axis (equal phase current, winding
/// drop neglected).
///
/// ```
/// use crownwheel::motor::{SupplyVoltage, base_speed_radps};
/// let supply = SupplyVoltage { now_v: 100.0, at_test_v: 120.0 };
/// assert!((base_speed_radps(300.0, supply) - 250.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn base_speed_radps(at_test_radps: f64, supply: SupplyVoltage) -> f64 {
    at_test_radps * supply.now_v / supply.at_test_v
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
    ///
    /// ```
    /// use crownwheel::spec::MotorCurve;
    /// let curve = MotorCurve { speed_radps: vec![0.0, 300.0, 600.0], peak_torque_nm: vec![150.0, 150.0, 75.0],
    ///     continuous_torque_nm: vec![70.0, 70.0, 60.0] };
    /// assert!((curve.corner_speed_radps() - 300.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn corner_speed_radps(&self) -> f64 {
        let greatest = self.greatest_torque_nm();
        let last = self.peak_torque_nm.iter().rposition(|torque| *torque >= 0.995 * greatest);
        last.map_or(0.0, |i| self.speed_radps[i])
    }
}

/// What a motor loses: a formula, or a map (the other is zero).
#[derive(Clone, Debug, PartialEq)]
pub struct MotorLoss {
    /// The formula.
    pub formula: LossPolynomial,
    /// The map, W, against speed, rad/s, and absolute torque, N m.
    pub map: Option<Grid>,
}

impl MotorLoss {
    /// Loss, W, at a speed, rad/s, and an absolute torque, N m, before `losses_scale`.
    ///
    /// ```
    /// // 0.2 · 50² + 1.2 · 400 + 1e-6 · 400³ + 60.
    /// let spec = crownwheel::example::small_saloon().motor;
    /// let tables = crownwheel::motor::MotorTables::new(&spec, false);
    /// assert!((tables.loss.at(400.0, 50.0) - 1_104.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn at(&self, speed_radps: f64, torque_nm: f64) -> f64 {
        let by_map_w = self.map.as_ref().map_or(0.0, |map| map.at(speed_radps, torque_nm));
        by_map_w + self.formula.loss_w(speed_radps, torque_nm)
    }

    /// From a description. `drag_counted_elsewhere`: the loss without torque is left out.
    fn new(losses: &MotorLossSpec, drag_counted_elsewhere: bool) -> MotorLoss {
        let nothing = LossPolynomial {
            copper_w_per_nm2: 0.0,
            share_of_power: 0.0,
            iron_w_per_radps: 0.0,
            windage_w_per_radps3: 0.0,
            fixed_w: 0.0,
        };
        let (formula, map) = match *losses {
            MotorLossSpec::Map(ref map) => (nothing, Some(loss_grid(map, drag_counted_elsewhere))),
            MotorLossSpec::Polynomial {
                copper_w_per_nm2,
                iron_w_per_radps,
                windage_w_per_radps3,
                fixed_w,
            } => {
                let formula = LossPolynomial {
                    copper_w_per_nm2,
                    share_of_power: 0.0,
                    iron_w_per_radps,
                    windage_w_per_radps3,
                    fixed_w,
                };
                (formula, None)
            }
            MotorLossSpec::BestPoint {
                efficiency_frac,
                speed_radps,
                torque_nm,
                light_load_share,
            } => {
                let best = BestPoint { efficiency_frac, speed_radps, torque_nm, light_load_share };
                (best_point_polynomial(best), None)
            }
        };
        if !drag_counted_elsewhere {
            return MotorLoss { formula, map };
        }
        let LossPolynomial { copper_w_per_nm2, share_of_power, .. } = formula;
        let formula = LossPolynomial { copper_w_per_nm2, share_of_power, ..nothing };
        MotorLoss { formula, map }
    }
}

/// The map as a grid, whole or less its loss without torque.
fn loss_grid(map: &LossMap, without_base: bool) -> Grid {
    let LossMap { speed_radps, torque_nm, loss_w } = map;
    if !without_base {
        return Grid::through(speed_radps, torque_nm, loss_w);
    }
    let rows = loss_w.chunks_exact(torque_nm.len());
    let above: Vec<f64> = rows.flat_map(|row| row.iter().map(|loss| loss - row[0])).collect();
    Grid::through(speed_radps, torque_nm, &above)
}

/// Torque curves and losses laid out for the step. All scaled, voltage still free.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorTables {
    /// Peak torque, N m, against speed at the test voltage, rad/s; beyond the sheet at constant
    /// power.
    pub peak_nm: Table,
    /// Continuous torque, N m, against speed, rad/s.
    pub continuous_nm: Table,
    /// Continuous torque again, with one over the loss at it, 1/W (after `losses_scale`).
    pub continuous: Pair,
    /// Loss.
    pub loss: MotorLoss,
    /// Greatest peak torque, N m.
    pub greatest_nm: f64,
    /// The peak curve at this phase current, before `curve_scale`.
    sheet_peak_nm: Table,
    /// The continuous curve, before `curve_scale`.
    sheet_continuous_nm: Table,
}

/// Least loss at continuous torque, W, that heat is compared with; keeps the ratio finite where a
/// sheet gives no loss.
const LEAST_LOSS_W: f64 = 1.0;

/// Cells, at least, of one over the loss at continuous torque.
const HEAT_CELLS: usize = 256;

impl MotorTables {
    /// Lays out a checked description.
    ///
    /// `drag_counted_elsewhere`: the rotor turned during the coast-down that the road load is from,
    /// so its loss without torque is inside those coefficients and is left out here.
    ///
    /// ```
    /// use std::sync::Arc;
    /// use crownwheel::{motor::MotorTables, spec::MotorCurve};
    /// let mut spec = crownwheel::example::small_saloon().motor;
    /// spec.curve = Arc::new(MotorCurve { speed_radps: vec![0.0, 300.0, 600.0],
    ///     peak_torque_nm: vec![150.0, 150.0, 75.0], continuous_torque_nm: vec![70.0, 70.0, 60.0] });
    /// let tables = MotorTables::new(&spec, false);
    /// // Half way down the falling part; beyond the sheet at its last 45 kW.
    /// assert!((tables.peak_nm.at(450.0) - 112.5).abs() < 1e-9);
    /// assert!((tables.peak_nm.at(900.0) - 50.0).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn new(spec: &MotorSpec, drag_counted_elsewhere: bool) -> MotorTables {
        let curve = &spec.curve;
        let ratio = spec.phase_current_ratio;
        let peak_nm = carried_on(
            &curve.speed_radps,
            |radps| sheet_peak_nm(curve, ratio, radps),
            is_whole(ratio),
        );
        let continuous_nm = Table::through(&curve.speed_radps, &curve.continuous_torque_nm);
        let loss = MotorLoss::new(&spec.losses, drag_counted_elsewhere);
        MotorTables::of_sheet(spec, peak_nm, continuous_nm, loss)
    }

    /// The same as [`MotorTables::new`] for a motor of the same sheet, loss and phase current, with
    /// other factors on them: what was laid out once is shared.
    #[must_use]
    pub(crate) fn rescaled(&self, spec: &MotorSpec) -> MotorTables {
        let (peak_nm, continuous_nm) = (&self.sheet_peak_nm, &self.sheet_continuous_nm);
        MotorTables::of_sheet(spec, peak_nm.clone(), continuous_nm.clone(), self.loss.clone())
    }

    fn of_sheet(
        spec: &MotorSpec,
        sheet_peak_nm: Table,
        sheet_continuous_nm: Table,
        loss: MotorLoss,
    ) -> MotorTables {
        let continuous_nm = sheet_continuous_nm.scaled(spec.curve_scale);
        let own = continuous_nm.cell_count();
        let span = (0.0, spec.curve.last_speed_radps());
        let continuous = Pair::sampled(span, own * HEAT_CELLS.div_ceil(own), |radps| {
            let torque_nm = continuous_nm.at(radps);
            let loss_w = loss.at(radps, torque_nm) * spec.losses_scale;
            (torque_nm, 1.0 / loss_w.max(LEAST_LOSS_W))
        });
        let greatest_nm = spec.phase_current_ratio * spec.curve.greatest_torque_nm();
        MotorTables {
            peak_nm: sheet_peak_nm.scaled(spec.curve_scale),
            continuous_nm,
            continuous,
            loss,
            greatest_nm: spec.curve_scale * greatest_nm,
            sheet_peak_nm,
            sheet_continuous_nm,
        }
    }
}

impl MotorTables {
    /// Continuous torque, N m, and one over its loss, 1/W, when the motor may lose only a share of
    /// its usual continuous heat: the torque whose loss is that share of the loss at continuous
    /// torque, 0 if turning alone loses more.
    ///
    /// `share` is more than 0; speeds in rad/s. Source: equal heat, as in [`crate::heat::derating`].
    ///
    /// ```
    /// use crownwheel::motor::MotorTables;
    /// let mut spec = crownwheel::example::small_saloon().motor;
    /// spec.losses = crownwheel::spec::MotorLossSpec::Polynomial { copper_w_per_nm2: 0.2,
    ///     iron_w_per_radps: 0.0, windage_w_per_radps3: 0.0, fixed_w: 0.0 };
    /// // Loss grows with torque squared alone: a quarter of the heat is half of the 75 N m.
    /// let (torque_nm, _) = MotorTables::new(&spec, false).continuous_when_derated(0.25, 800.0).at(100.0);
    /// assert!((torque_nm - 37.5).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn continuous_when_derated(&self, share: f64, max_speed_radps: f64) -> Pair {
        if share >= 1.0 {
            return self.continuous.clone();
        }
        Pair::sampled((0.0, max_speed_radps), DERATED_CELLS, |radps| {
            let (usual_nm, per_loss) = self.continuous.at(radps);
            let allowed_w = share * self.loss.at(radps, usual_nm);
            let (mut low, mut high) = (0.0, usual_nm);
            for _ in 0..BISECTIONS {
                let middle = 0.5 * (low + high);
                if self.loss.at(radps, middle) > allowed_w { high = middle } else { low = middle }
            }
            (low, per_loss / share)
        })
    }
}

/// Cells of a derated continuous curve, and halvings for each of its nodes.
const DERATED_CELLS: usize = 256;
const BISECTIONS: usize = 40;

/// Whether the curve keeps its nodes.
fn is_whole(phase_current_ratio: f64) -> bool {
    (phase_current_ratio - 1.0).abs() < 1e-12
}

/// Peak torque of the sheet at another phase current, N m, at the sheet's voltage.
///
/// With less current the flat part scales: `min(c T_0, T(n))`. With more it rises only until it
/// meets the falling part, which below the corner is carried on at the corner's power:
/// `min(c T_0, T_0 n_0 / n)`. Saturation is not counted; give the ratio a band.
///
/// `phase_current_ratio` is more than 0. The hyperbola is our own reading of a sheet, engineer's judgement.
///
/// ```
/// use crownwheel::{motor::sheet_peak_nm, spec::MotorCurve};
/// let curve = MotorCurve { speed_radps: vec![0.0, 300.0, 600.0], peak_torque_nm: vec![150.0, 150.0, 75.0],
///     continuous_torque_nm: vec![70.0, 70.0, 60.0] };
/// // Half the current: 75 N m. Half as much again: at 250 rad/s the corner's 45 kW allow 180 N m.
/// assert!((sheet_peak_nm(&curve, 0.5, 100.0) - 75.0).abs() < 1e-9);
/// assert!((sheet_peak_nm(&curve, 1.5, 250.0) - 180.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn sheet_peak_nm(curve: &MotorCurve, phase_current_ratio: f64, radps: f64) -> f64 {
    let sheet_nm = straight(&curve.speed_radps, &curve.peak_torque_nm, radps);
    let greatest_nm = curve.greatest_torque_nm();
    let corner_radps = curve.corner_speed_radps();
    let flat_nm = phase_current_ratio * greatest_nm;
    if phase_current_ratio <= 1.0 {
        return sheet_nm.min(flat_nm);
    }
    if radps < corner_radps {
        flat_nm.min(greatest_nm * corner_radps / radps.max(f64::MIN_POSITIVE))
    } else {
        sheet_nm
    }
}

/// The peak curve, and beyond its last speed the hyperbola of constant power through its end.
/// `on_nodes`: it is straight between the speeds of the sheet.
fn carried_on(speed_radps: &[f64], peak_nm: impl Fn(f64) -> f64, on_nodes: bool) -> Table {
    let finest = crate::table::FINEST;
    let cells = if on_nodes { common_cells(speed_radps, finest) } else { finest };
    let end_radps = speed_radps[speed_radps.len() - 1];
    let end_w = end_radps * peak_nm(end_radps);
    let more = (1..=cells).find(|n| count(*n) >= BEYOND_THE_SHEET * count(cells)).unwrap_or(cells);
    let span_radps = end_radps * count(cells + more) / count(cells);
    Table::sampled((0.0, span_radps), cells + more, |radps| {
        if radps <= end_radps { peak_nm(radps) } else { end_w / radps }
    })
}

/// Peak torque, N m, at a shaft speed when the supply is `k` times the test voltage.
///
/// `T'(n) = T(n/k)` where the voltage shaped the falling part; where the battery current did,
/// `T'(n) = min(T_greatest, k T(n))`.
///
/// `k` is more than 0. Source: equal phase current, winding drop neglected, common practice.
///
/// ```
/// use std::sync::Arc;
/// use crownwheel::motor::{MotorTables, peak_torque_nm};
/// use crownwheel::spec::{FallingPart, MotorCurve};
/// let mut spec = crownwheel::example::small_saloon().motor;
/// spec.curve = Arc::new(MotorCurve { speed_radps: vec![0.0, 300.0, 600.0],
///     peak_torque_nm: vec![150.0, 150.0, 75.0], continuous_torque_nm: vec![70.0, 70.0, 60.0] });
/// let tables = MotorTables::new(&spec, false);
/// // 405 rad/s at 0.9 of the voltage read the sheet at 450 rad/s.
/// let torque_nm = peak_torque_nm(&tables, FallingPart::Voltage, 405.0, 0.9);
/// assert!((torque_nm - 112.5).abs() < 1e-9);
/// ```
#[must_use]
pub fn peak_torque_nm(tables: &MotorTables, falling: FallingPart, speed_radps: f64, k: f64) -> f64 {
    match falling {
        FallingPart::Voltage => tables.peak_nm.at(speed_radps / k),
        FallingPart::BatteryCurrent => (k * tables.peak_nm.at(speed_radps)).min(tables.greatest_nm),
    }
}

/// Loss of the inverter, W: a fixed part and a share of the passing power.
///
/// `P_0 + s |P|`, either way; common practice.
///
/// ```
/// // 60 W and 3 % of 10 kW.
/// let inverter = crownwheel::example::small_saloon().inverter;
/// assert!((crownwheel::motor::inverter_loss_w(&inverter, -10_000.0) - 360.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn inverter_loss_w(inverter: &InverterSpec, passing_w: f64) -> f64 {
    inverter.fixed_loss_w + inverter.loss_share * passing_w.abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    #[test]
    fn the_corner_moves_with_voltage() {
        // Equal phase current: 300 rad/s at 100 V are 240 rad/s at 80 V.
        let supply = SupplyVoltage { now_v: 80.0, at_test_v: 100.0 };
        assert!((base_speed_radps(300.0, supply) - 240.0).abs() < 1e-12);
    }

    #[test]
    fn only_the_sheet_s_own_phase_current_keeps_the_nodes() {
        assert!(is_whole(1.0));
        assert!(!is_whole(0.99) && !is_whole(1.01));
    }

    fn spec() -> MotorSpec {
        MotorSpec {
            curve: Arc::new(MotorCurve {
                speed_radps: vec![0.0, 300.0, 600.0],
                peak_torque_nm: vec![150.0, 150.0, 75.0],
                continuous_torque_nm: vec![70.0, 70.0, 60.0],
            }),
            curve_scale: 1.0,
            phase_current_ratio: 1.0,
            armature_ohm: 0.0,
            back_emf_v_per_radps: None,
            max_winding_k: 428.15,
            test_voltage_v: 120.0,
            falling_part: FallingPart::Voltage,
            max_speed_radps: 600.0,
            rotor_inertia_kgm2: 0.04,
            losses: MotorLossSpec::BestPoint {
                efficiency_frac: 0.92,
                speed_radps: 400.0,
                torque_nm: 60.0,
                light_load_share: 0.2,
            },
            losses_scale: 1.0,
            peak_seconds: Some(60.0),
            long_rating: None,
        }
    }

    #[test]
    fn another_phase_current_moves_the_flat_part_only() {
        let curve = &spec().curve;
        assert!((sheet_peak_nm(curve, 0.8, 100.0) - 120.0).abs() < 1e-9);
        assert!((sheet_peak_nm(curve, 0.8, 600.0) - 75.0).abs() < 1e-9);
        assert!((sheet_peak_nm(curve, 1.5, 100.0) - 225.0).abs() < 1e-9);
        // At 250 rad/s the corner's 45 kW allow 180 N m.
        assert!((sheet_peak_nm(curve, 1.5, 250.0) - 180.0).abs() < 1e-9);
        assert!((sheet_peak_nm(curve, 1.5, 450.0) - 112.5).abs() < 1e-9);
    }

    #[test]
    fn loss_without_torque_can_be_counted_elsewhere() {
        let (whole, above) = (MotorTables::new(&spec(), false), MotorTables::new(&spec(), true));
        assert!(whole.loss.at(400.0, 0.0) > 50.0);
        assert!(above.loss.at(400.0, 0.0).abs() < 1e-9);
        let copper = whole.loss.at(400.0, 60.0) - whole.loss.at(400.0, 0.0);
        assert!((above.loss.at(400.0, 60.0) - copper).abs() < 1e-9);
    }

    #[test]
    fn the_falling_part_moves_with_the_voltage() {
        let tables = MotorTables::new(&spec(), false);
        let at = |speed, k| peak_torque_nm(&tables, FallingPart::Voltage, speed, k);
        assert!((at(450.0, 1.0) - 112.5).abs() < 1e-9);
        assert!((at(405.0, 0.9) - 112.5).abs() < 1e-9);
        assert!((at(290.0, 0.9) - 150.0).abs() < 12.0 && at(250.0, 0.9) > 149.999);
        let current = |speed, k| peak_torque_nm(&tables, FallingPart::BatteryCurrent, speed, k);
        assert!((current(450.0, 0.9) - 101.25).abs() < 1e-9);
    }

    #[test]
    fn beyond_the_sheet_power_is_held() {
        let tables = MotorTables::new(&spec(), false);
        let torque = tables.peak_nm.at(900.0);
        assert!((torque - 50.0).abs() < 1e-6, "{torque}");
    }

    #[test]
    fn the_best_point_is_best() {
        let best = BestPoint {
            efficiency_frac: 0.92,
            speed_radps: 400.0,
            torque_nm: 60.0,
            light_load_share: 0.2,
        };
        let poly = best_point_polynomial(best);
        let efficiency = |w: f64, t: f64| efficiency_frac(w * t, poly.loss_w(w, t));
        assert!((efficiency(400.0, 60.0) - 0.92).abs() < 1e-12);
        for torque_nm in [50.0, 55.0, 65.0, 70.0] {
            assert!(efficiency(400.0, torque_nm) < 0.92);
        }
        // Over speed it is a plateau: half a point more at most, and less far beyond.
        for speed_radps in [300.0, 500.0, 600.0] {
            assert!(efficiency(speed_radps, 60.0) < 0.925, "{speed_radps}");
        }
        assert!(efficiency(1_200.0, 60.0) < 0.92);
    }
}
