//! The generic car with the weight and the road load of a row.

use std::path::{Path, PathBuf};

use crownwheel_files::{Build, Report, Set, load};

use super::rows::Row;

/// Test weight that the numbers of the generic powertrain belong to, kg.
const GENERIC_KG: f64 = 2000.0;

/// Kilograms in a pound. Source: International Yard and Pound Agreement, 1959 (exact).
const POUND_KG: f64 = 0.453_592_37;

/// What the pack of the generic car weighs, kg. The test weight holds it.
const PACK_KG: f64 = 1.0;

/// Numbers of the build that grow in proportion to the test weight: key, value at 2,000 kg, unit.
const GROWING: [(&str, f64, &str); 5] = [
    ("motor.curve_scale", 1.0, ""),
    ("motor.rotor_inertia", 0.05, " kg m2"),
    ("inverter.max_battery_current", 700.0, " A"),
    ("pack.cell_capacity", 200.0, " Ah"),
    ("charger.power", 7.2, " kW"),
];

/// Numbers that fall with it, with what follows them in the text.
const FALLING: [(&str, f64, &str); 3] = [
    ("motor.losses.copper", 0.09, " W/(N m)^2"),
    ("pack.cell_resistance", 0.5, " mohm"),
    ("pack.harness_resistance", 5.0, " mohm"),
];

/// Folder of the generic car.
#[must_use]
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/certification")
}

/// The generic car for a row.
///
/// # Errors
/// What is wrong with a number of the row, in the words of the build's reader.
pub fn build(row: &Row) -> Result<Build, Report> {
    let set = |key: &str, value: String| Set { key: key.to_owned(), value };
    let text = |number: &str, unit: &str| format!("\"{number} {unit}\"");
    let weight_kg = row.etw_lb.parse().map_or(f64::NAN, |lb: f64| lb * POUND_KG);
    let size = weight_kg / GENERIC_KG;
    let mut sets = vec![
        set("car.road_load.f0", text(&row.coef_a_lbf, "lbf")),
        set("car.road_load.f1", text(&row.coef_b_lbf_mph, "lbf/mph")),
        set("car.road_load.f2", text(&row.coef_c_lbf_mph2, "lbf/mph2")),
        set("car.road_load.mass", text(&row.etw_lb, "lb")),
    ];
    for corner in ["front_left", "front_right", "rear_left", "rear_right"] {
        let quarter = text(&((weight_kg - PACK_KG) / 4.0).to_string(), "kg");
        sets.push(set(&format!("corner_weights.{corner}"), quarter));
    }
    let growing = GROWING.map(|(key, value, rest)| (key, value * size, rest));
    let falling = FALLING.map(|(key, value, rest)| (key, value / size, rest));
    for (key, value, rest) in growing.into_iter().chain(falling) {
        sets.push(set(key, format!("\"{value}{rest}\"")));
    }
    load(&folder().join("generic.toml"), &sets)
}
