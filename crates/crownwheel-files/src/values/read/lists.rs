//! Values that are lists: gear ratios, and the rows of a small table.

use crownwheel::keys::GEAR_RATIOS as RATIOS;

use super::OneValue;
use crate::cold_capacity_file::{TEMPERATURES, TEMPERATURES_K};
use crate::document::{At, Node, NodeKind};
use crate::explain;
use crate::keys::KeyRow;
use crate::message::{Problem, ProblemKind, printable};
use crate::quantity;
use crate::units::Dimension;
use crate::values::Value;

/// Most gears of a gearbox.
const MOST_GEARS: usize = 12;
/// Most rows of a table in the build; a longer one belongs in a file.
const MOST_ROWS: usize = 100;
/// How a row of cold capacity is written.
const COLD_ROW: &str = "write for example cold_capacity = [{ temperature = \"-20 °C\", \
capacity = \"70 %\" }, { temperature = \"25 °C\", capacity = \"100 %\" }]";

impl OneValue<'_> {
    /// `[3.64, 2.16, 1.48, 1.0]`: gears from first to top.
    pub(super) fn ratios(
        &self,
        path: &str,
        row: &KeyRow,
        items: &[Node],
        list: &Node,
    ) -> Result<Value, Box<Problem>> {
        if items.is_empty() || items.len() > MOST_GEARS {
            let what = format!("`{path}` has {} gears", items.len());
            return Err(self.in_list(path, row, &list.at, what));
        }
        let mut ratios: Vec<f64> = Vec::new();
        for item in items {
            let ratio = match &item.kind {
                NodeKind::Number(text) | NodeKind::Text(text) => text.trim().parse().ok(),
                _ => None,
            };
            let Some(ratio) = ratio.filter(|ratio| RATIOS.allows(*ratio)) else {
                let shown = printable(self.document.text_at(&item.at));
                let what = format!("`{path}`: `{shown}` is not a gear ratio from {RATIOS}");
                return Err(self.in_list(path, row, &item.at, what));
            };
            if let Some(before) = ratios.last().filter(|before| **before <= ratio) {
                let what = format!("`{path}`: {ratio} comes after {before} and is not below it");
                return Err(self.in_list(path, row, &item.at, what));
            }
            ratios.push(ratio);
        }
        Ok(Value::Ratios(ratios))
    }

    /// `[{ temperature = "-20 °C", capacity = "70 %" }, ...]`.
    pub(super) fn cold_rows(
        &self,
        path: &str,
        row: &KeyRow,
        items: &[Node],
        list: &Node,
    ) -> Result<Value, Box<Problem>> {
        let refuse = |at: &At, what: String| {
            let problem = self.in_list(path, row, at, what);
            Box::new(problem.hint(COLD_ROW))
        };
        if !(2..=MOST_ROWS).contains(&items.len()) {
            let what = format!("`{path}`: 2 to {MOST_ROWS} rows are wanted, not {}", items.len());
            return Err(refuse(&list.at, what));
        }
        let mut rows: Vec<(f64, f64)> = Vec::new();
        for item in items {
            let (temperature_k, share) =
                cold_row(item).map_err(|what| refuse(&item.at, format!("`{path}`: {what}")))?;
            if rows.last().is_some_and(|before| before.0 >= temperature_k) {
                let what = format!("`{path}`: temperature does not rise from row to row");
                return Err(refuse(&item.at, what));
            }
            rows.push((temperature_k, share));
        }
        Ok(Value::ColdRows(rows))
    }

    /// A problem with a list or a part of it.
    fn in_list(&self, path: &str, row: &KeyRow, at: &At, what: String) -> Box<Problem> {
        let problem = self.document.problem(ProblemKind::WrongKind, at, what);
        let problem = problem.key(path).value(self.document.text_at(at));
        Box::new(problem.allowed(row.allowed()).hint(explain::example(row)))
    }
}

/// Temperature, K, and usable share of capacity of a row.
fn cold_row(item: &Node) -> Result<(f64, f64), String> {
    let NodeKind::Table(entries) = &item.kind else {
        return Err("a row is { temperature, capacity }".to_owned());
    };
    let (mut temperature_k, mut share) = (None, None);
    for entry in entries {
        let (NodeKind::Text(text) | NodeKind::Number(text)) = &entry.node.kind else {
            return Err(format!("`{}` is no number with its unit", printable(&entry.key)));
        };
        let read = |dimension| {
            quantity::parse(text, dimension)
                .map(|spread| spread.nominal)
                .map_err(|error| format!("{}: {error}", entry.key))
        };
        match entry.key.as_str() {
            "temperature" => temperature_k = Some(read(Dimension::Temperature)?),
            "capacity" => share = Some(read(Dimension::Ratio)?),
            other => return Err(format!("`{}` is not known in a row", printable(other))),
        }
    }
    if temperature_k.is_some_and(|temperature_k| !TEMPERATURES_K.contains(&temperature_k)) {
        return Err(format!("packs are tested at {TEMPERATURES}"));
    }
    match (temperature_k, share) {
        (Some(temperature_k), Some(share)) if share > 0.0 && share <= 1.0 => {
            Ok((temperature_k, share))
        }
        (Some(_), Some(_)) => Err("capacity is more than 0 % and at most 100 %".to_owned()),
        (None, _) => Err("a row lacks its temperature".to_owned()),
        (_, None) => Err("a row lacks its capacity".to_owned()),
    }
}
