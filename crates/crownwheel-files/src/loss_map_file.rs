//! Motor losses on a full grid, in long form: `speed_rpm,torque_nm,loss_w`.

use std::collections::BTreeMap;

use crownwheel::spec::LossMap;

use crate::message::Report;
use crate::table_csv::{CsvTable, Wanted};
use crate::table_rules;
use crate::units::Dimension;

/// Most rows of a map.
const MOST_ROWS: usize = 250_000;

const WANTED: &[Wanted] = &[
    Wanted { name: "speed", dimension: Dimension::ShaftSpeed, needed: true, example: "speed_rpm" },
    Wanted { name: "torque", dimension: Dimension::Torque, needed: true, example: "torque_nm" },
    Wanted { name: "loss", dimension: Dimension::Power, needed: true, example: "loss_w" },
];

/// Reads a loss map; `name` is for messages. Rows may stand in any order, but every speed must be
/// there at every torque. The second part of the result is what was taken for granted.
///
/// # Errors
/// A [`Report`] if it is no such table, a value is below zero, a point stands twice or is missing.
pub fn parse(name: &str, text: &str) -> Result<(LossMap, Vec<String>), Report> {
    let table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    for column in ["speed", "torque", "loss"] {
        table_rules::not_negative(&table, column)?;
    }
    let column = |name| table.column(name).unwrap_or_default();
    let (speeds, torques, losses) = (column("speed"), column("torque"), column("loss"));
    let (speed_radps, torque_nm) = (distinct(speeds), distinct(torques));
    table_rules::at_least_rows(&table, 4)?;
    let points = points(&table, speeds, torques, losses)?;
    let mut loss_w = Vec::with_capacity(points.len());
    for speed in &speed_radps {
        for torque in &torque_nm {
            match points.get(&(speed.to_bits(), torque.to_bits())) {
                Some(loss) => loss_w.push(*loss),
                None => return Err(hole(&table, *speed, *torque)),
            }
        }
    }
    if speed_radps.len() < 2 || torque_nm.len() < 2 {
        return Err(table
            .table_problem("at least two speeds and two torques are wanted".to_owned())
            .into());
    }
    Ok((LossMap { speed_radps, torque_nm, loss_w }, table.notes().to_vec()))
}

/// Losses by the bits of speed and torque: equal numbers in a table are equal to the last bit.
fn points(
    table: &CsvTable<'_>,
    speeds: &[f64],
    torques: &[f64],
    losses: &[f64],
) -> Result<BTreeMap<(u64, u64), f64>, Report> {
    let mut points = BTreeMap::new();
    for (row, ((speed, torque), loss)) in speeds.iter().zip(torques).zip(losses).enumerate() {
        // Zero below zero has other bits than zero.
        let key = ((speed + 0.0).to_bits(), (torque + 0.0).to_bits());
        if points.insert(key, *loss).is_some() {
            let what = "this speed and torque stand in an earlier row, too".to_owned();
            return Err(table
                .cell_problem(row, "speed", what)
                .hint("keep one of the two rows")
                .into());
        }
    }
    Ok(points)
}

fn hole(table: &CsvTable<'_>, speed_radps: f64, torque_nm: f64) -> Report {
    let rpm = speed_radps * 30.0 / std::f64::consts::PI;
    let what =
        format!("the grid has a hole: there is no row for {rpm:.0} rpm and {torque_nm:.1} N m");
    let hint = "every speed must be there at every torque; beyond the curve carry the losses on";
    table.table_problem(what).hint(hint).into()
}

fn distinct(values: &[f64]) -> Vec<f64> {
    let mut sorted: Vec<f64> = values.iter().map(|value| value + 0.0).collect();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup_by(|a, b| a.to_bits() == b.to_bits());
    sorted
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "speed_rpm,torque_nm,loss_w\n";

    #[test]
    fn rows_in_any_order_make_a_grid() {
        let text = format!("{HEAD}1000,50,300\n0,0,10\n1000,0,90\n0,50,200\n");
        let (map, _) = parse("m.csv", &text).unwrap();
        assert_eq!(map.torque_nm, [0.0, 50.0]);
        assert_eq!(map.loss_w, [10.0, 200.0, 90.0, 300.0]);
    }

    #[test]
    fn grids_with_holes_and_repeats_are_refused() {
        for (rows, word) in [
            ("0,0,1\n0,5,1\n9,0,1\n8,5,1\n", "a hole"),
            ("0,0,1\n0,5,1\n9,0,1\n9,0,1\n9,5,1\n", "earlier row"),
            ("0,0,1\n0,5,1\n9,0,-1\n9,5,1\n", "below zero"),
            ("0,0,1\n0,1,1\n0,2,1\n0,3,1\n", "two speeds"),
            ("0,0,1\n", "4 rows"),
        ] {
            let report = parse("m.csv", &format!("{HEAD}{rows}")).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
    }
}
