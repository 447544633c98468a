//! The motor's torque curve: `speed_rpm,peak_torque_nm,continuous_torque_nm`.

use crownwheel::spec::MotorCurve;

use crate::message::Report;
use crate::table_csv::{CsvTable, Wanted};
use crate::table_rules;
use crate::units::Dimension;

/// Most rows of a curve.
const MOST_ROWS: usize = 10_000;

const WANTED: &[Wanted] = &[
    Wanted { name: "speed", dimension: Dimension::ShaftSpeed, needed: true, example: "speed_rpm" },
    Wanted {
        name: "peak_torque",
        dimension: Dimension::Torque,
        needed: true,
        example: "peak_torque_nm",
    },
    Wanted {
        name: "continuous_torque",
        dimension: Dimension::Torque,
        needed: true,
        example: "continuous_torque_nm",
    },
];

/// Reads a torque curve; `name` is for messages. The second part is what was taken for granted.
///
/// # Errors
/// A [`Report`] if it is no such table, speed does not rise from 0, or a torque is below zero.
pub fn parse(name: &str, text: &str) -> Result<(MotorCurve, Vec<String>), Report> {
    let mut table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    table_rules::rising(&table, "speed", "speed")?;
    table_rules::at_least_rows(&table, 2)?;
    table_rules::starts_at_zero(&table, "speed", "speed")?;
    table_rules::not_negative(&table, "peak_torque")?;
    table_rules::not_negative(&table, "continuous_torque")?;
    continuous_below_peak(&table)?;
    let notes = table.notes().to_vec();
    let mut take = |name| table.take(name).unwrap_or_default();
    let curve = MotorCurve {
        speed_radps: take("speed"),
        peak_torque_nm: take("peak_torque"),
        continuous_torque_nm: take("continuous_torque"),
    };
    Ok((curve, notes))
}

fn continuous_below_peak(table: &CsvTable<'_>) -> Result<(), Report> {
    let column = |name| table.column(name).unwrap_or_default();
    let mut pairs = column("peak_torque").iter().zip(column("continuous_torque"));
    // The last bits may differ where both columns say the same.
    match pairs.position(|(peak, continuous)| *continuous > peak * (1.0 + 1e-9)) {
        None => Ok(()),
        Some(row) => {
            let what = "the continuous torque is higher than the peak torque".to_owned();
            let problem = table.cell_problem(row, "continuous_torque", what);
            Err(problem.allowed("the peak torque of the row, or less").into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_comes_in_si() {
        let text = "speed_rpm;peak_torque (lbf ft);continuous_torque_nm\n0;100;75\n3000;100;75\n";
        let (curve, notes) = parse("c.csv", text).unwrap();
        assert!((curve.speed_radps[1] - 314.159_265).abs() < 1e-6);
        assert!((curve.peak_torque_nm[0] - 135.581_795).abs() < 1e-6);
        assert_eq!(curve.continuous_torque_nm, [75.0, 75.0]);
        assert!(notes[0].contains("semicolons"));
    }

    #[test]
    fn curves_that_cannot_be_are_refused() {
        let head = "speed_rpm,peak_torque_nm,continuous_torque_nm\n";
        for (rows, word) in [
            ("0,1,1\n0,1,1\n", "does not rise"),
            ("0,1,1\n2000,1,1\n1000,1,1\n", "does not rise"),
            ("100,1,1\n200,1,1\n", "starts at"),
            ("0,1,1\n", "two rows"),
            ("0,-1,1\n100,1,1\n", "below zero"),
            ("0,1,1\n100,1,1.1\n", "c.csv:3:7"),
        ] {
            let report = parse("c.csv", &format!("{head}{rows}")).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
    }
}
