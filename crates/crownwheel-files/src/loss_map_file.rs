//! Motor losses on a full grid, in long form: `speed_rpm,torque_nm,loss_w`, or with `efficiency_pct`
//! in place of the loss.
//!
//! Efficiency says nothing at standstill and without torque, where the loss is what counts. Such a
//! row needs its loss (a table may have both columns, with an empty cell in one of them), or is left
//! out: the losses at the edge of the grid then hold beyond it.

use std::collections::BTreeMap;

use crownwheel::spec::LossMap;

use crate::message::Report;
use crate::table_csv::{CsvTable, WantedColumn};
use crate::table_rules;
use crate::units::Dimension;

/// Lowest best efficiency that a motor has.
const LOWEST_BEST: f64 = 0.3;
/// Most rows of a map.
const MOST_ROWS: usize = 250_000;

const WANTED: &[WantedColumn] = &[
    WantedColumn::needed("speed", Dimension::ShaftSpeed, "speed_rpm"),
    WantedColumn::needed("torque", Dimension::Torque, "torque_nm"),
    WantedColumn::sparse("loss", Dimension::Power, "loss_w"),
    WantedColumn::sparse("efficiency", Dimension::Ratio, "efficiency_pct"),
];

/// Reads a loss map; `name` is for messages. Rows may stand in any order, but every speed must be
/// there at every torque. The second part of the result is what was taken for granted.
///
/// # Errors
/// A [`Report`] if it is no such table, a value is below zero, a point stands twice or is missing,
/// or an efficiency is none or says nothing.
pub fn parse(name: &str, text: &str) -> Result<(LossMap, Vec<String>), Report> {
    let table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    for column in ["speed", "torque", "loss"] {
        table_rules::not_negative(&table, column)?;
    }
    let column = |name| table.column(name).unwrap_or_default();
    let (speeds, torques) = (column("speed"), column("torque"));
    let mut notes = table.notes().to_vec();
    let losses = &losses_w(&table, &mut notes)?;
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
            .hint("a sheet with one best point goes into losses = { best_efficiency, ... }")
            .into());
    }
    if speed_radps[0] > 0.0 || torque_nm[0] > 0.0 {
        let what = "the grid does not begin at standstill without torque: the losses of its edge \
            are taken below it";
        notes.push(format!("{name}: {what}"));
    }
    Ok((LossMap { speed_radps, torque_nm, loss_w }, notes))
}

/// Loss of each row, W: as given, else by the efficiency.
fn losses_w(table: &CsvTable<'_>, notes: &mut Vec<String>) -> Result<Vec<f64>, Report> {
    let (losses, efficiencies) = (table.column("loss"), table.column("efficiency"));
    if losses.is_none() && efficiencies.is_none() {
        let what = "the table has no column `loss_w`".to_owned();
        let hint = "the first line names the columns: speed_rpm,torque_nm,loss_w; efficiency_pct \
            may stand in place of the loss";
        return Err(table.table_problem(what).hint(hint).into());
    }
    let cell = |column: Option<&[f64]>, row: usize| {
        column.and_then(|values| values.get(row).copied()).filter(|value| !value.is_nan())
    };
    if let Some(efficiencies) = efficiencies {
        best_is_a_motors(table, efficiencies)?;
        let name = table.name();
        notes.push(format!("{name}: a loss that is not given is power x (1 / efficiency - 1)"));
    }
    (0..table.row_count())
        .map(|row| match (cell(losses, row), cell(efficiencies, row)) {
            (Some(loss_w), None) => Ok(loss_w),
            (Some(_), Some(_)) => {
                let what = "the row has both a loss and an efficiency".to_owned();
                let hint = "they say the same: leave one of the two cells empty";
                Err(table.cell_problem(row, "efficiency", what).hint(hint).into())
            }
            (None, Some(efficiency_frac)) => loss_by_efficiency_w(table, row, efficiency_frac),
            (None, None) => {
                let what = "the row has neither a loss nor an efficiency".to_owned();
                let column = if losses.is_some() { "loss" } else { "efficiency" };
                let hint = "give one of them, or leave this speed and torque out";
                Err(table.cell_problem(row, column, what).hint(hint).into())
            }
        })
        .collect()
}

/// A share under a heading of percent makes a motor of under 1 %.
fn best_is_a_motors(table: &CsvTable<'_>, efficiencies: &[f64]) -> Result<(), Report> {
    let best = efficiencies.iter().copied().fold(0.0, f64::max);
    if !(best > 0.0 && best < LOWEST_BEST) {
        return Ok(());
    }
    let row = efficiencies.iter().position(|value| *value >= best).unwrap_or_default();
    let what =
        format!("no motor is so poor: {:.2} % is the best efficiency of the table", 100.0 * best);
    let hint = "are these shares from 0 to 1? then the heading is efficiency_frac";
    Err(table
        .cell_problem(row, "efficiency", what)
        .allowed("a best of 30 % or more")
        .hint(hint)
        .into())
}

fn loss_by_efficiency_w(
    table: &CsvTable<'_>,
    row: usize,
    efficiency_frac: f64,
) -> Result<f64, Report> {
    let at = |name| table.column(name).and_then(|values| values.get(row).copied());
    let power_w = at("speed").unwrap_or_default() * at("torque").unwrap_or_default();
    if !(efficiency_frac > 0.0 && efficiency_frac < 1.0) && power_w > 0.0 {
        let what = "no motor has this efficiency".to_owned();
        let problem = table.cell_problem(row, "efficiency", what);
        return Err(problem.allowed("more than 0 % and less than 100 %").into());
    }
    if power_w <= 0.0 {
        let what = "efficiency says nothing at standstill or without torque".to_owned();
        let hint = "add a column loss_w with the loss of this row, or leave out the rows at \
            standstill and those without torque: the losses next to them are then taken";
        return Err(table.cell_problem(row, "efficiency", what).hint(hint).into());
    }
    Ok(power_w * (1.0 / efficiency_frac - 1.0))
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
    fn efficiency_may_stand_in_place_of_loss() {
        let text = "speed_rpm,torque_nm,efficiency_pct\n1000,10,80\n1000,50,90\n3000,10,80\n\
            3000,50,92\n";
        let (map, notes) = parse("m.csv", text).unwrap();
        // 314.159 rad/s times 50 N m, of which 8 parts are lost for 92 given.
        assert!((map.loss_w[3] - 15_707.963_27 * 8.0 / 92.0).abs() < 1e-4);
        assert!(notes.iter().any(|note| note.contains("does not begin at standstill")));
        let mixed = "speed_rpm,torque_nm,efficiency_pct,loss_w\n0,0,,60\n0,50,,300\n3000,0,,150\n\
            3000,50,92,\n";
        let (mixed, notes) = parse("m.csv", mixed).unwrap();
        assert!((mixed.loss_w[1] - 300.0).abs() < 1e-12);
        assert!((mixed.loss_w[3] - map.loss_w[3]).abs() < 1e-9);
        assert!(!notes.iter().any(|note| note.contains("does not begin")));
    }

    #[test]
    fn efficiencies_that_say_nothing_are_refused() {
        let head = "speed_rpm,torque_nm,efficiency_pct,loss_w\n";
        for (rows, word) in [
            ("0,0,90,\n", "says nothing at standstill"),
            ("1000,0,0,\n", "m.csv:2:8"),
            ("1000,10,101,\n", "no motor has"),
            ("1000,10,0,\n", "no motor has"),
            ("1000,10,,\n", "neither a loss nor"),
        ] {
            let rows = format!("{head}{rows}0,10,90,5\n0,20,90,5\n1000,20,90,5\n");
            let report = parse("m.csv", &rows).unwrap_err();
            assert!(report.to_string().contains(word), "{report}");
        }
        let report = parse("m.csv", "speed_rpm,torque_nm\n0,0\n").unwrap_err();
        assert!(report.to_string().contains("no column `loss_w`"), "{report}");
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
