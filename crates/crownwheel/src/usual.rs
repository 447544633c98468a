//! What is usual of parts by their kind: values that stand in where nothing is said, with their sources.
//!
//! What is usual of a key whatever else is written stands in its row of [`crate::keys`]; this is what depends on
//! another key.

use crate::keys::unit::{
    A, AH, C, CELSIUS, J_PER_KG_K, K, KG, KG_M2, KJ_PER_K, KM_PER_H, KPA, KW, M, MIN, N, N_M, OHM,
    ONE, RPM, S, V, W_PER_K,
};
use crate::keys::{Dimension, Unit};
use crate::spec::MotorLossSpec;

/// A value as it would be written in a build, and where it is from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Usual {
    /// The value with its band.
    pub text: &'static str,
    /// Where it is from.
    pub source: &'static str,
}

const fn usual(text: &'static str, source: &'static str) -> Usual {
    Usual { text, source }
}

/// What is usual of a gear stage by its kind: efficiency, drag torque at 3,000 rpm.
#[derive(Clone, Copy, Debug)]
pub struct Gears {
    /// How it is written.
    pub kind: &'static str,
    /// 1 less the share lost by load.
    pub efficiency: Usual,
    /// Drag torque without load.
    pub drag_torque: Usual,
}

const fn gears(
    kind: &'static str,
    source: &'static str,
    efficiency: &'static str,
    drag_torque: &'static str,
) -> Gears {
    Gears { kind, efficiency: usual(efficiency, source), drag_torque: usual(drag_torque, source) }
}

/// The sliding of a worm costs most, then that of hypoid teeth; a belt has no oil to stir.
#[rustfmt::skip]
pub const GEARS: [Gears; 7] = [
    gears("hypoid", "a hypoid gear (engineering judgement)", "0.96 ± 0.015", "1.2 N m ± 40 %"),
    gears("spiral bevel", "a spiral bevel gear (engineering judgement)", "0.97 ± 0.01", "0.8 N m ± 40 %"),
    gears("worm", "a worm gear (engineering judgement)", "0.90 ± 0.04", "1.0 N m ± 50 %"),
    gears("helical", "a helical gear (engineering judgement)", "0.98 ± 0.01", "0.4 N m ± 50 %"),
    gears("spur", "a spur gear (engineering judgement)", "0.98 ± 0.01", "0.4 N m ± 50 %"),
    gears("planetary", "a planetary gear (engineering judgement)", "0.98 ± 0.01", "0.4 N m ± 50 %"),
    gears("belt", "a belt gear (engineering judgement)", "0.97 ± 0.015", "0.2 N m ± 50 %"),
];

/// How the kinds are written.
pub const GEAR_KINDS: [&str; GEARS.len()] = {
    let mut kinds = [""; GEARS.len()];
    let mut place = 0;
    while place < kinds.len() {
        kinds[place] = GEARS[place].kind;
        place += 1;
    }
    kinds
};

/// Gears of a kind; hypoid if it is none that is known.
#[must_use]
pub fn gears_of(kind: &str) -> &'static Gears {
    GEARS.iter().find(|gears| gears.kind == kind).unwrap_or(&GEARS[0])
}

/// What a motor loses without torque, of the loss at its best point: magnets need no current, a field winding or a
/// cage does, and brushes rub.
#[must_use]
pub fn light_load(motor_kind: Option<&str>) -> Usual {
    match motor_kind {
        Some("induction" | "brushed") => {
            usual("30 % ± 10 %", "usual for its kind (engineering judgement)")
        }
        _ => usual("20 % ± 8 %", "usual with magnets (engineering judgement)"),
    }
}

/// Factor on the losses; one point on the sheet says less than a table.
#[must_use]
pub fn losses_scale(losses: &MotorLossSpec) -> Usual {
    match losses {
        MotorLossSpec::BestPoint { .. } => {
            usual("1 ± 30 %", "losses fitted to one point of the sheet (engineering judgement)")
        }
        _ => usual("1 ± 15 %", "as on the sheet; motors of a kind differ (engineering judgement)"),
    }
}

/// Highest supply voltage from which an inverter is of the upper class, V.
const UPPER_CLASS_V: f64 = 200.0;

/// Fixed loss and share of the passing power of an inverter by its highest supply voltage: at low voltage the same
/// power is more current, and the units are older.
#[must_use]
pub fn inverter_losses(max_voltage_v: f64) -> (Usual, Usual) {
    let (fixed, share, source) = if max_voltage_v < UPPER_CLASS_V {
        ("60 W ± 50 %", "0.03 ± 0.015", "an inverter below 200 V (engineering judgement)")
    } else {
        ("100 W ± 50 %", "0.02 ± 0.01", "an inverter of 200 V or more (engineering judgement)")
    };
    (usual(fixed, source), usual(share, source))
}

/// Temperature coefficient of a cell's resistance. Measured on a pack of 96 cells in series between -3 and 31 °C:
/// 3,150 ± 70 K.
pub const RESISTANCE_B: Usual = usual(
    "3000 K ± 1000 K",
    "one pack measured 3,150 K (doi 10.21227/6jr9-5235); the band is engineering judgement",
);

/// Share of the capacity that cells do not give at 0 °C.
#[must_use]
pub fn cold_loss(chemistry: Option<&str>) -> Usual {
    match chemistry {
        Some("lfp") => usual("10 % ± 5 %", "usual lfp cells (engineering judgement)"),
        Some("lead") => usual("20 % ± 8 %", "usual lead-acid cells (engineering judgement)"),
        _ => usual("4.5 % ± 2 %", "usual nmc cells (engineering judgement)"),
    }
}

/// Lowest and highest cell voltage.
#[must_use]
pub fn cell_window(chemistry: Option<&str>) -> (Usual, Usual) {
    let (low, high, source) = match chemistry {
        Some("lead") => ("1.75 V", "2.4 V", "usual lead-acid sheets"),
        Some("lfp") => ("2.5 V", "3.65 V", "usual lfp cell sheets"),
        _ => ("3.0 V", "4.2 V", "usual nmc cell sheets"),
    };
    (usual(low, source), usual(high, source))
}

/// Height of the centre of gravity of a car on its scales.
pub const CENTRE_OF_GRAVITY_HEIGHT: Usual =
    usual("0.54 m ± 0.06 m", "engineering judgement: usual range of saloons");

/// What stands for the loads of a car for which none is named.
pub const BASE_LOAD: Usual =
    usual("180 W ± 80 W", "lights, wipers, pumps, controller (engineering judgement)");

/// From a label's drum value to the road: asphalt costs more than a drum.
pub const DRUM_TO_ROAD: Usual =
    usual("1.08 ± 0.08", "a label class holds on a smooth drum (engineering judgement)");

/// Units that usual values are written in, beside those of ranges.
const OTHERS: [Unit; 3] = [
    Unit::new("%", Dimension::Ratio, 0.01),
    Unit::new("W", Dimension::Power, 1.0),
    Unit::new("mohm", Dimension::Resistance, 1e-3),
];
const UNITS: [Unit; 22] = [
    ONE, C, KG, M, KM_PER_H, RPM, S, MIN, N, N_M, KW, A, AH, V, OHM, KPA, CELSIUS, KG_M2, W_PER_K,
    KJ_PER_K, J_PER_KG_K, K,
];

/// The number that a usual value is about, in SI. `None`: it is a word.
#[must_use]
pub fn nominal_si(text: &str) -> Option<f64> {
    let value = text.split(['±']).next().unwrap_or(text).trim();
    let (number, name) = value.split_once(' ').unwrap_or((value, ""));
    let unit = UNITS.iter().chain(&OTHERS).find(|unit| unit.name == name.trim())?;
    Some(unit.to_si(number.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::{self, Need};

    #[test]
    fn usual_values_are_read_with_their_units() {
        for (text, si) in [
            ("0.33 ± 0.1", 0.33),
            ("25 min ± 5 min", 1500.0),
            ("155 °C", 428.15),
            ("3 mohm ± 50 %", 0.003),
            ("25 % ± 15 %", 0.25),
        ] {
            assert!((nominal_si(text).unwrap() - si).abs() < 1e-12 * si, "{text}");
        }
        assert_eq!(nominal_si("calm"), None);
    }

    #[test]
    fn every_number_that_a_row_assumes_is_one_of_its_range() {
        for key in keys::all() {
            let Need::Assumed { text, .. } = key.need else { continue };
            let (low, high) = key.ends_si();
            let Some(si) = nominal_si(text) else {
                assert!(!text.starts_with(|c: char| c.is_ascii_digit()), "{}: {text}", key.path);
                continue;
            };
            assert!((low..=high).contains(&si), "{}: {si} from {low} to {high}", key.path);
        }
    }
}
