//! Rows of the certification file.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;

/// Test of a row.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
pub enum Test {
    /// Urban cycle.
    #[serde(rename = "UDDS")]
    Urban,
    /// Highway cycle.
    #[serde(rename = "HWFET")]
    Highway,
    /// Any other.
    #[serde(other)]
    Other,
}

/// What the program reads of a row.
#[derive(Clone, Debug, Deserialize)]
pub struct Row {
    /// Name of the test.
    pub record_id: String,
    /// Name of the car.
    pub vehicle_id: String,
    /// Equivalent test weight, lb, as written.
    pub etw_lb: String,
    /// Constant part of the road load, lbf, as written.
    pub coef_a_lbf: String,
    /// Part that grows with speed, lbf/mph, as written.
    pub coef_b_lbf_mph: String,
    /// Part that grows with speed squared, lbf/mph², as written.
    pub coef_c_lbf_mph2: String,
    /// Test.
    pub test: Test,
    /// Energy at the wall, Wh/mile.
    pub energy_wh_per_mi: f64,
    flag: String,
}

/// A car with its tests.
#[derive(Clone, Debug)]
pub struct Vehicle {
    /// The rows, which share weight and road load. At least one.
    pub rows: Vec<Row>,
    /// Group of cars whose road loads are equal, numbered as they come in the file.
    pub group: usize,
}

impl Vehicle {
    /// Rows of a test.
    pub fn of(&self, test: Test) -> impl Iterator<Item = &Row> {
        self.rows.iter().filter(move |row| row.test == test)
    }

    /// Mean energy of a test, Wh/mile. `None`: it was not driven.
    #[must_use]
    pub fn mean_wh_per_mi(&self, test: Test) -> Option<f64> {
        let all: Vec<f64> = self.of(test).map(|row| row.energy_wh_per_mi).collect();
        (!all.is_empty()).then(|| all.iter().sum::<f64>() / count(all.len()))
    }

    /// Whether the car is of the half that the powertrain was set from.
    #[must_use]
    pub fn is_of_set_half(&self) -> bool {
        self.group.is_multiple_of(2)
    }
}

pub(crate) fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// Reads the cars whose rows have nothing against them, in file order, with their urban and highway
/// tests.
///
/// # Errors
/// The file cannot be read, or a row is not as it should be.
pub fn read(path: &Path) -> Result<Vec<Vehicle>, csv::Error> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path)?;
    let mut vehicles: Vec<Vehicle> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    let mut groups: BTreeMap<[String; 3], usize> = BTreeMap::new();
    for row in reader.deserialize() {
        let row: Row = row?;
        if !row.flag.is_empty() || row.test == Test::Other {
            continue;
        }
        let road_load =
            [&row.coef_a_lbf, &row.coef_b_lbf_mph, &row.coef_c_lbf_mph2].map(String::clone);
        let next = groups.len();
        let group = *groups.entry(road_load).or_insert(next);
        match places.get(&row.vehicle_id) {
            Some(place) => vehicles[*place].rows.push(row),
            None => {
                places.insert(row.vehicle_id.clone(), vehicles.len());
                vehicles.push(Vehicle { rows: vec![row], group });
            }
        }
    }
    Ok(vehicles)
}
