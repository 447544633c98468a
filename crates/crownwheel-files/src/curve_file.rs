//! The motor's torque curve: `speed_rpm,peak_torque_nm,continuous_torque_nm`, or with power in place
//! of torque: `speed_rpm,peak_power_kw,continuous_power_kw`.

use crownwheel::spec::MotorCurve;

use crate::message::Report;
use crate::table_csv::{CsvTable, WantedColumn};
use crate::table_rules;
use crate::units::Dimension;

/// Most rows of a curve.
const MOST_ROWS: usize = 10_000;

const WANTED: &[WantedColumn] = &[
    WantedColumn::needed("speed", Dimension::ShaftSpeed, "speed_rpm"),
    WantedColumn::extra("peak_torque", Dimension::Torque, "peak_torque_nm"),
    WantedColumn::extra("continuous_torque", Dimension::Torque, "continuous_torque_nm"),
    WantedColumn::extra("peak_power", Dimension::Power, "peak_power_kw"),
    WantedColumn::extra("continuous_power", Dimension::Power, "continuous_power_kw"),
];

/// Reads a torque curve; `name` is for messages. The second part is what was taken for granted.
///
/// A speed that stands twice with the same values is kept once. Power says nothing at standstill:
/// there the torque of the next row is taken, and without a row at standstill that of the first.
///
/// # Errors
/// A [`Report`] if it is no such table, speed falls, a speed stands twice with different values, or
/// a torque is below zero or above the peak.
pub fn parse(name: &str, text: &str) -> Result<(MotorCurve, Vec<String>), Report> {
    let table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    let columns = [
        given_by(&table, "peak_torque", "peak_power")?,
        given_by(&table, "continuous_torque", "continuous_power")?,
    ];
    for column in columns {
        table_rules::not_negative(&table, column)?;
    }
    let mut notes = table.notes().to_vec();
    let rows = single_rows(&table, columns, &mut notes)?;
    if rows.len() < 2 {
        table_rules::at_least_rows(&table, 2)?;
        let what = "at least two speeds are wanted".to_owned();
        let hint = "a row at standstill and one at the highest speed will do";
        return Err(table.table_problem(what).hint(hint).into());
    }
    let speeds = table.column("speed").unwrap_or_default();
    let by_power = columns.map(|column| column.ends_with("power"));
    if by_power.contains(&false) {
        table_rules::starts_at_zero(&table, "speed", "speed")?;
    }
    let mut curve = MotorCurve {
        speed_radps: rows.iter().map(|row| speeds[*row]).collect(),
        peak_torque_nm: torques_nm(&table, columns[0], &rows)?,
        continuous_torque_nm: torques_nm(&table, columns[1], &rows)?,
    };
    continuous_below_peak(&table, &curve, columns[1], &rows)?;
    if by_power.contains(&true) {
        notes.push(format!("{name}: torque is power over speed, and flat from standstill on"));
    }
    if curve.speed_radps[0] > 0.0 {
        curve.speed_radps.insert(0, 0.0);
        curve.peak_torque_nm.insert(0, curve.peak_torque_nm[0]);
        curve.continuous_torque_nm.insert(0, curve.continuous_torque_nm[0]);
    }
    Ok((curve, notes))
}

/// The column that says a torque: itself, or a power.
fn given_by(
    table: &CsvTable<'_>,
    torque: &'static str,
    power: &'static str,
) -> Result<&'static str, Report> {
    match (table.column(torque), table.column(power)) {
        (Some(_), None) => Ok(torque),
        (None, Some(_)) => Ok(power),
        (Some(_), Some(_)) => {
            let what = format!("the table has both `{torque}` and `{power}`");
            let hint = "they say the same: leave one of the columns out";
            Err(table.table_problem(what).hint(hint).into())
        }
        (None, None) => {
            let what = format!("the table has no column `{torque}_nm`");
            let hint = format!(
                "the first line names the columns: speed_rpm,peak_torque_nm,continuous_torque_nm; \
                 a torque may be in lbf_ft, and a power such as {power}_kw may stand for it"
            );
            Err(table.table_problem(what).hint(hint).into())
        }
    }
}

/// Rows with rising speed; one that repeats the row before is left out.
fn single_rows(
    table: &CsvTable<'_>,
    columns: [&str; 2],
    notes: &mut Vec<String>,
) -> Result<Vec<usize>, Report> {
    let column = |name| table.column(name).unwrap_or_default();
    let (speeds, values) = (column("speed"), columns.map(column));
    let mut rows: Vec<usize> = Vec::new();
    for (row, speed) in speeds.iter().enumerate() {
        let Some(before) = rows.last().copied() else {
            rows.push(row);
            continue;
        };
        if *speed > speeds[before] {
            rows.push(row);
            continue;
        }
        let lines = (table.line_of(before), table.line_of(row));
        if *speed < speeds[before] {
            let what = "speed does not rise from the row before to this one".to_owned();
            let problem = table.cell_problem(row, "speed", what);
            let problem = problem.allowed("more than in the row before");
            return Err(problem.hint("sort the rows by speed").into());
        }
        if values.iter().any(|values| values[row].to_bits() != values[before].to_bits()) {
            let what = format!(
                "the lines {} and {} give different values for the same speed",
                lines.0, lines.1
            );
            let problem = table.cell_problem(row, "speed", what);
            let problem = problem.allowed("one row for each speed");
            return Err(problem.hint("keep the row that the sheet means").into());
        }
        notes.push(format!(
            "{}: line {} repeats line {} and is left out",
            table.name(),
            lines.1,
            lines.0
        ));
    }
    Ok(rows)
}

/// Torques of a column of torque or power, N m.
fn torques_nm(table: &CsvTable<'_>, column: &str, rows: &[usize]) -> Result<Vec<f64>, Report> {
    let values = table.column(column).unwrap_or_default();
    if !column.ends_with("power") {
        return Ok(rows.iter().map(|row| values[*row]).collect());
    }
    let speeds = table.column("speed").unwrap_or_default();
    let mut torques = Vec::with_capacity(rows.len());
    for (place, row) in rows.iter().enumerate() {
        let stands = speeds[*row] <= 0.0;
        if stands && values[*row] > 0.0 {
            let what = "there is a power at standstill".to_owned();
            let problem = table.cell_problem(*row, column, what).allowed("0 at standstill");
            return Err(problem.hint("power is torque times speed, and there is no speed").into());
        }
        let row = if stands { rows[(place + 1).min(rows.len() - 1)] } else { *row };
        torques.push(values[row] / speeds[row]);
    }
    Ok(torques)
}

fn continuous_below_peak(
    table: &CsvTable<'_>,
    curve: &MotorCurve,
    column: &str,
    rows: &[usize],
) -> Result<(), Report> {
    let mut pairs = curve.peak_torque_nm.iter().zip(&curve.continuous_torque_nm);
    // The last bits may differ where both columns say the same.
    match pairs.position(|(peak, continuous)| *continuous > peak * (1.0 + 1e-9)) {
        None => Ok(()),
        Some(place) => {
            let what = "the continuous torque is higher than the peak torque".to_owned();
            let problem = table.cell_problem(rows[place], column, what);
            Err(problem.allowed("the peak torque of the row, or less").into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "speed_rpm,peak_torque_nm,continuous_torque_nm\n";

    #[test]
    fn a_curve_comes_in_si() {
        let text = "speed_rpm;peak_torque (lbf ft);continuous_torque_nm\n0;100;75\n3000;100;75\n";
        let (curve, notes) = parse("c.csv", text).unwrap();
        assert!((curve.speed_radps[1] - 314.159_265).abs() < 1e-6);
        assert!((curve.peak_torque_nm[0] - 135.581_795).abs() < 1e-6);
        assert_eq!(curve.continuous_torque_nm, [75.0, 75.0]);
        assert!(notes[0].contains("semicolons"));
        let plain = "speed_rpm,peak_torque_lbf_ft,continuous_torque_nm\n0,100,75\n3000,100,75\n";
        assert_eq!(parse("c.csv", plain).unwrap().0, curve);
    }

    #[test]
    fn power_may_stand_for_torque() {
        let text = "speed_rpm,peak_power_hp,continuous_torque_nm\n0,0,60\n3000,60,60\n6000,60,30\n";
        let (curve, notes) = parse("c.csv", text).unwrap();
        // 60 hp of 745.6998716 W at 3,000 rpm.
        let torque_nm = 60.0 * 745.699_871_6 / 314.159_265_36;
        for (given, wanted) in curve.peak_torque_nm.iter().zip([1.0, 1.0, 0.5]) {
            assert!((given / torque_nm - wanted).abs() < 1e-9);
        }
        assert!(notes.iter().any(|note| note.contains("power over speed")));
        let short = "speed_rpm,peak_power_kw,continuous_power_kw\n3000,50,20\n6000,50,20\n";
        let curve = parse("c.csv", short).unwrap().0;
        assert_eq!(curve.speed_radps[0].to_bits(), 0.0_f64.to_bits());
        assert!((curve.peak_torque_nm[0] - 159.154_943).abs() < 1e-6);
        assert_eq!(curve.peak_torque_nm[0].to_bits(), curve.peak_torque_nm[1].to_bits());
    }

    #[test]
    fn a_row_that_repeats_the_one_before_is_left_out() {
        let rows = "0,9,5\n0,9,5\n# the corner\n2000,9,5\n2000,9,5\n3000,6,4\n";
        let (curve, notes) = parse("c.csv", &format!("{HEAD}{rows}")).unwrap();
        assert_eq!(curve.peak_torque_nm, [9.0, 9.0, 6.0]);
        assert!(notes.iter().any(|note| note.contains("line 6 repeats line 5")), "{notes:?}");
    }

    #[test]
    fn curves_that_cannot_be_are_refused() {
        for (rows, word) in [
            ("0,2,1\n2000,2,1\n2000,1,1\n", "the lines 3 and 4 give different values"),
            ("0,1,1\n0,1,1\n", "two speeds"),
            ("0,1,1\n2000,1,1\n1000,1,1\n", "does not rise"),
            ("100,1,1\n200,1,1\n", "starts at"),
            ("0,1,1\n", "two rows"),
            ("0,-1,1\n100,1,1\n", "below zero"),
            ("0,1,1\n100,1,1.1\n", "c.csv:3:7"),
        ] {
            let report = parse("c.csv", &format!("{HEAD}{rows}")).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
        for (text, word) in [
            ("speed_rpm,peak_torque_nm\n0,1\n9,1\n", "no column `continuous_torque_nm`"),
            (
                "speed_rpm,peak_torque_nm,peak_power_kw,continuous_torque_nm\n0,1,0,1\n",
                "both `peak_torque` and `peak_power`",
            ),
            (
                "speed_rpm,peak_power_kw,continuous_power_kw\n0,5,0\n9,5,1\n",
                "a power at standstill",
            ),
        ] {
            let report = parse("c.csv", text).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
    }
}
