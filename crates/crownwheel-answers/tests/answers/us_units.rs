//! Answers in US units: the same answer, every unit-bearing key renamed, every value converted, and
//! the same words in JSON, CSV and text.

use crownwheel_answers::{CheckAnswer, RangeAnswer, RoadShares, Table, Units, WeighAnswer, json};
use serde::Serialize;
use serde_json::Value;

use crate::fixture;
use crate::same_words::{assert_range_words, assert_same_words, items};

/// Ends of keys that a unit stands in: metric, US, and how many US units make one metric unit.
/// Written out again here, from the definitions, so that the table of the crate is checked.
const ENDS: [(&str, &str, f64); 10] = [
    ("_wh_per_km", "_wh_per_mile", 1.609_344),
    ("_kgpm3", "_lb_per_ft3", 0.062_427_960_576_144_61),
    ("_kmh", "_mph", 1.0 / 1.609_344),
    ("_mm", "_in", 1.0 / 25.4),
    ("_m2", "_ft2", 1.0 / 0.092_903_04),
    ("_kg", "_lb", 1.0 / 0.453_592_37),
    ("_km", "_miles", 1.0 / 1.609_344),
    ("_nm", "_lbf_ft", 0.737_562_149_277_265_4),
    ("_m", "_ft", 1.0 / 0.3048),
    ("_degc", "_degf", f64::NAN),
];

/// Ends of keys that both systems share.
const SHARED_ENDS: [&str; 9] = ["_rpm", "_kwh", "_pct", "_kw", "_hz", "_s", "_v", "_a", "_w"];

/// Pure numbers.
const PURE: [&str; 9] = [
    "seats",
    "load_index",
    "overall_ratio",
    "rolling_resistance",
    "heat_used_max",
    "gear",
    "seed",
    "equivalent_mpg",
    "value",
];

/// Walks metric and US JSON side by side.
fn compare(path: &str, metric: &Value, us: &Value, factor: f64) {
    match (metric, us) {
        (Value::Object(metric), Value::Object(us)) => {
            assert_eq!(metric.len(), us.len(), "{path}");
            for ((key, value), (us_key, us_value)) in metric.iter().zip(us) {
                let path = format!("{path}.{key}");
                if ["unit", "units", "text", "plain"].contains(&key.as_str()) {
                    assert_eq!(key, us_key);
                    continue;
                }
                let factor = factor_of(&path, key, us_key, value, factor);
                compare(&path, value, us_value, factor);
            }
        }
        (Value::Array(metric), Value::Array(us)) => {
            assert_eq!(metric.len(), us.len(), "{path}");
            metric.iter().zip(us).for_each(|(m, u)| compare(path, m, u, factor));
        }
        (Value::Number(_), Value::Number(_)) => {
            let (metric, us) = (number(metric), number(us));
            let wanted = if factor.is_nan() { metric * 1.8 + 32.0 } else { metric * factor };
            assert!((us - wanted).abs() <= 1e-12 * wanted.abs(), "{path}: {us} for {wanted}");
        }
        _ => assert_eq!(metric, us, "{path}"),
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// The factor of a key, after a look at its name.
fn factor_of(path: &str, key: &str, us_key: &str, value: &Value, outer: f64) -> f64 {
    let of_end = |end: &&(&str, &str, f64)| key.ends_with(end.0);
    if let Some((end, us_end, factor)) = ENDS.iter().find(of_end) {
        assert_eq!(format!("{}{us_end}", key.trim_end_matches(end)), us_key, "{path}");
        return *factor;
    }
    assert_eq!(key, us_key, "{path}");
    let shared = SHARED_ENDS.iter().any(|end| key.ends_with(end));
    let inside = ["_per_km.", "_km.", "_degc.", "_pct."].iter().any(|part| path.contains(part));
    let seconds = path.contains(".binding.") || path.contains(".gear_s.");
    let known = shared || inside || seconds || PURE.contains(&key);
    assert!(known || !value.is_number(), "{path} is a number whose unit nobody knows");
    if shared || seconds { 1.0 } else { outer }
}

fn assert_same_answer(answer: &impl Serialize) {
    let metric = json::value(answer, Units::Metric).expect("plain data");
    let mut us = json::value(answer, Units::Us).expect("plain data");
    // The value of a window has the unit that stands beside it.
    restore_windows(&metric, &mut us);
    compare("", &metric, &us, 1.0);
}

fn restore_windows(metric: &Value, us: &mut Value) {
    for (i, result) in metric["results"].as_array().into_iter().flatten().enumerate() {
        for (j, window) in items(&result["windows"]).into_iter().enumerate() {
            let us = &mut us["results"][i]["windows"][j];
            let torque = window["unit"] == "N m";
            let unit = if torque { &Value::from("lbf ft") } else { &window["unit"] };
            assert_eq!(&us["unit"], unit);
            if let (true, Some(value)) = (torque, window["value"].as_f64()) {
                let got = number(&us["value"]);
                assert!((got - value * 0.737_562_149_277_265_4).abs() < 1e-9 * got, "{got}");
            }
            us["value"] = window["value"].clone();
        }
    }
}

#[test]
fn every_key_with_a_unit_is_renamed_and_its_value_converted() {
    assert_same_answer(&fixture::check());
    assert_same_answer(&fixture::weigh());
    assert_same_answer(&fixture::range());
    let mut coast_down = fixture::range();
    for result in &mut coast_down.results {
        result.balance_wh_per_km.road = RoadShares::Coefficients {
            road_load_constant: 31.0,
            road_load_linear: 2.0,
            road_load_square: 50.0,
        };
        result.range_km.p10 = Some(100.0);
    }
    assert_same_answer(&coast_down);
    assert_same_answer(&fixture::trace("moor-round.csv", "mild", 20));
    assert_same_answer(&fixture::motor_curves());
}

fn in_us() -> (CheckAnswer, WeighAnswer, RangeAnswer) {
    let (mut check, mut weigh, mut range) = (fixture::check(), fixture::weigh(), fixture::range());
    (check.units, weigh.units, range.units) = (Units::Us, Units::Us, Units::Us);
    for result in &mut range.results {
        result.equivalent_mpg = Some(140.0);
    }
    check.plain = check.plain_line();
    weigh.plain = weigh.plain_line();
    weigh.notes = weigh.payload_sentence().into_iter().collect();
    range.plain = range.plain_line();
    (check, weigh, range)
}

#[test]
fn csv_headers_are_the_json_keys_in_us_units_too() {
    let (check, weigh, range) = in_us();
    let check_json = json::value(&check, check.units).unwrap();
    assert_eq!(check_json["units"], "us");
    assert_same_words(&check.table(), &[&check_json]);
    assert_same_words(&check.days_table(), &items(&check_json["days"]));
    assert_same_words(&check.gears_table(), &items(&check_json["gears"]));
    assert_same_words(&check.stages_table(), &items(&check_json["stages"]));
    let weigh_json = json::value(&weigh, weigh.units).unwrap();
    assert_same_words(&weigh.table(), &items(&weigh_json["cases"]));
    assert_same_words(&weigh.limits_table(), &[&weigh_json["limits"]]);
    let range_json = json::value(&range, range.units).unwrap();
    assert_range_words(&range, &range_json);
}

fn all_tables() -> Vec<Table> {
    let (check, weigh, range) = in_us();
    vec![
        check.table(),
        check.days_table(),
        check.gears_table(),
        check.stages_table(),
        weigh.table(),
        weigh.limits_table(),
        range.table(),
        range.balance_table(),
        range.binding_table(),
        range.gears_table(),
        range.steady_table(),
        range.windows_table(),
        fixture::trace("moor-round.csv", "mild", 20).table(Units::Us),
        crownwheel_answers::MotorCurve::table(&fixture::motor_curves(), Units::Us),
    ]
}

#[test]
fn no_table_keeps_a_metric_word() {
    for table in all_tables() {
        let provenance = fixture::provenance();
        let csv = table.csv(&provenance);
        assert!(csv.contains("\n# units us\n"), "{csv}");
        for column in &table.columns {
            for (end, ..) in ENDS {
                assert!(!column.key.ends_with(end), "{}: {}", table.name, column.key);
            }
            let heading = column.heading(table.units);
            for word in [", kg", ", km", ", m", ", m²", ", N m", ", Wh/km", ", °C"] {
                assert!(!heading.ends_with(word), "{}: {heading}", table.name);
            }
        }
    }
}

#[test]
fn no_sentence_keeps_a_metric_unit() {
    let (check, weigh, range) = in_us();
    // Assumed values stand as a build would write them.
    let (mut check, mut range) = (check, range);
    check.assumed.clear();
    range.assumed.clear();
    check.lines_to_add.clear();
    for text in [check.sheet().text(), weigh.sheet().text(), range.sheet().text()] {
        let words: Vec<&str> = text
            .split(|c: char| c.is_whitespace() || "().,;".contains(c))
            .filter(|word| !word.is_empty())
            .collect();
        for unit in ["kg", "km", "km/h", "Wh/km", "m²", "°C", "mm"] {
            assert!(!words.contains(&unit), "{unit} in {text}");
        }
    }
    assert!(range.sheet().text().contains("MPGe"));
    assert!(!fixture::range().sheet().text().contains("MPGe"));
    assert!(weigh.plain.contains("lb over its plate"), "{}", weigh.plain);
    assert!(range.plain.contains("miles on udds (summer)"), "{}", range.plain);
}

#[test]
fn steady_speeds_are_round_in_the_units_that_are_shown() {
    let (_, _, mut range) = in_us();
    let mut at = range.steady[0].clone();
    range.steady = Units::Us
        .steady_speeds_kmh()
        .map(|speed_kmh| {
            at.speed_kmh = speed_kmh;
            at.keeps_up_km = crownwheel_answers::Band::only(160.934_4);
            at.clone()
        })
        .to_vec();
    let grid = range.held_table().grid();
    assert_eq!(grid.head, ["day", "30 mph", "50 mph", "60 mph", "70 mph"]);
    assert_eq!(grid.rows[0], ["mild", "100", "100", "100", "100"]);
}
