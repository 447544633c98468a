//! An answer as JSON in the units that it is shown in.
//!
//! The metric JSON is the serialised answer. In other units every number is converted and every
//! key that ends in a unit ends in the other unit: `mass_kg` becomes `mass_lb`, `range_km.nominal`
//! becomes `range_miles.nominal`. A number without a unit of its own has that of the nearest key
//! above it that ends in one; a `value` beside a `unit` has the unit that is written there. Of the
//! names of answers (`range_km.moor-round.winter`) only the first part is a quantity; the keys of
//! choices stay as they are. Estimates keep the digits that their `standard_error` allows.

use std::fmt::Write as _;

use crownwheel_quantities::unit::{STANDARD_ERROR, Unit, Units, stem};
use crownwheel_quantities::worth::{rounded, two_digits};
use serde::Serialize;
use serde_json::{Map, Number, Value};

use crate::text::is_hidden;

/// Keys of numbers that are no better known than the `standard_error` beside them.
const ESTIMATES: [&str; 4] = ["p10", "p50", "p90", "share"];

/// The answer as JSON, in `units`. Keys stay in the order of the fields.
///
/// # Errors
/// The answer does not serialise, which plain data with string keys always does.
pub fn value(answer: &impl Serialize, units: Units) -> Result<Value, serde_json::Error> {
    let metric = serde_json::to_value(answer)?;
    let mut shown = match units {
        Units::Metric => metric,
        Units::Us => converted(metric, Unit::None, units),
    };
    round_estimates(&mut shown);
    Ok(shown)
}

/// The same as indented text with a line end.
///
/// # Errors
/// As for [`value`].
pub fn text(answer: &impl Serialize, units: Units) -> Result<String, serde_json::Error> {
    Ok(escaped(format!("{:#}\n", value(answer, units)?)))
}

/// Rounds every estimate in a JSON value that has a `standard_error` beside it, and the error itself
/// to two digits.
fn round_estimates(value: &mut Value) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(round_estimates),
        Value::Object(map) => {
            map.values_mut().for_each(round_estimates);
            let Some(error) = map.get("standard_error").and_then(Value::as_f64) else { return };
            for key in ESTIMATES {
                if let Some(estimate) = map.get_mut(key)
                    && let Some(number) = estimate.as_f64()
                {
                    *estimate = Value::from(rounded(number, error));
                }
            }
            map.insert("standard_error".to_owned(), Value::from(two_digits(error)));
        }
        _ => {}
    }
}

/// Characters that JSON lets stand and a terminal obeys, written by their numbers: the same text to a
/// reader.
fn escaped(json: String) -> String {
    let obeyed = |c: char| c != '\n' && is_hidden(c);
    if !json.contains(obeyed) {
        return json;
    }
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        if obeyed(c) {
            // All of them have four digits; writing to a `String` cannot fail.
            let _ = write!(out, "\\u{:04x}", u32::from(c));
        } else {
            out.push(c);
        }
    }
    out
}

/// A key, or a path of keys with dots, as it is in `units`.
#[must_use]
pub fn key(metric: &str, units: Units) -> String {
    let segment = |segment: &str| match Unit::of_key(segment) {
        Some(unit) => {
            let error = if segment.ends_with(STANDARD_ERROR) { STANDARD_ERROR } else { "" };
            let value = segment.strip_suffix(error).unwrap_or(segment);
            let before = stem(value, unit.look(Units::Metric).suffix).unwrap_or_default();
            format!("{before}_{}{error}", unit.look(units).suffix)
        }
        None => segment.to_owned(),
    };
    // Behind the name of an answer or of a choice stand names of cycles and days and keys of a build.
    if let Some(name) = metric.strip_prefix("answers.") {
        return format!("answers.{}", answer_name(name, units));
    }
    if metric.starts_with("choices.") || metric.starts_with("demands.") {
        return metric.to_owned();
    }
    metric.split('.').map(segment).collect::<Vec<_>>().join(".")
}

/// The name of an answer, `range_km.moor-round.winter`, as it is in `units`: only its first part may
/// end in a unit, the others are names.
#[must_use]
pub fn answer_name(metric: &str, units: Units) -> String {
    match metric.split_once('.') {
        Some((quantity, of)) => format!("{}.{of}", key(quantity, units)),
        None => key(metric, units),
    }
}

fn converted(metric: Value, unit: Unit, units: Units) -> Value {
    match metric {
        Value::Object(map) => Value::Object(converted_map(map, unit, units)),
        Value::Array(list) => {
            Value::Array(list.into_iter().map(|item| converted(item, unit, units)).collect())
        }
        Value::Number(number) => converted_number(number, unit, units),
        other => other,
    }
}

fn converted_map(map: Map<String, Value>, unit: Unit, units: Units) -> Map<String, Value> {
    let named = map.get("unit").and_then(Value::as_str).and_then(Unit::of_symbol);
    let entry = |(name, value): (String, Value)| match (name.as_str(), named) {
        ("unit", Some(named)) => (name, Value::from(units.symbol(named))),
        ("value", Some(named)) => (name, converted(value, named, units)),
        ("choices", _) => (name, value),
        ("answer", _) => (name, converted_name(value, units)),
        ("answers" | "bands", _) => (name, converted_answers(value, units)),
        _ => {
            let unit = Unit::of_key(&name).unwrap_or(unit);
            (key(&name, units), converted(value, unit, units))
        }
    };
    map.into_iter().map(entry).collect()
}

/// An answer's name that stands as a value.
fn converted_name(value: Value, units: Units) -> Value {
    match value {
        Value::String(name) => Value::from(answer_name(&name, units)),
        other => other,
    }
}

/// A map from names of answers; a number inside has the unit that the name begins with.
fn converted_answers(value: Value, units: Units) -> Value {
    let Value::Object(map) = value else { return converted(value, Unit::None, units) };
    let entry = |(name, value): (String, Value)| {
        let quantity = name.split('.').next().unwrap_or_default();
        let unit = Unit::of_key(quantity).unwrap_or(Unit::None);
        (answer_name(&name, units), converted(value, unit, units))
    };
    Value::Object(map.into_iter().map(entry).collect())
}

fn converted_number(number: Number, unit: Unit, units: Units) -> Value {
    if unit.look(units) == unit.look(Units::Metric) {
        return Value::Number(number);
    }
    // A number too large for a double, or a value that conversion makes so, is missing.
    let value = number.as_f64().and_then(|metric| Number::from_f64(units.value(metric, unit)));
    value.map_or(Value::Null, Value::Number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Band, Deciles};
    use serde_json::json;

    #[test]
    fn numbers_and_keys_change_together_and_order_stays() {
        let metric = json!({
            "mass_kg": 453.592_37,
            "range_km": {"nominal": 160.934_4},
            "balance_wh_per_km": {"air": 100.0, "imbalance": 0.0},
            "windows": [{"quantity": "motor_torque_rms", "unit": "N m", "window_s": 10, "value": 135.581_794_833_140_04}],
            "seats": 4,
            "day": "mild",
            "missing_m": null,
        });
        let text = value(&metric, Units::Us).unwrap().to_string();
        assert_eq!(
            text,
            r#"{"mass_lb":1000.0,"range_miles":{"nominal":100.0},"balance_wh_per_mile":{"air":160.9344,"imbalance":0.0},"windows":[{"quantity":"motor_torque_rms","unit":"lbf ft","window_s":10,"value":100.0}],"seats":4,"day":"mild","missing_ft":null}"#
        );
        assert_eq!(value(&metric, Units::Metric).unwrap(), metric);
    }

    #[test]
    fn keys_with_dots_change_in_every_part() {
        assert_eq!(key("range_km.p10", Units::Us), "range_miles.p10");
        assert_eq!(key("braking.on_offer_wh_per_km", Units::Us), "braking.on_offer_wh_per_mile");
        assert_eq!(key("motor.heat_used_max", Units::Us), "motor.heat_used_max");
        assert_eq!(key("mass_kg", Units::Metric), "mass_kg");
        assert_eq!(key("f0_n_se", Units::Us), "f0_lbf_se");
        assert_eq!(key("f2_n_per_mps2", Units::Us), "f2_lbf_per_mph2");
    }

    #[test]
    fn names_behind_a_quantity_are_no_units() {
        let metric = json!({
            "id": "a",
            "choices": {"put_in.box_m": "as it is"},
            "answers": {
                "range_km.loop_km.wet_s": {"nominal": 160.934_4, "p10": 150.0, "standard_error": 0.5},
                "hold_minutes_to_cut_back.112_kmh": {"nominal": 12.0},
                "price": {"nominal": 310.0},
            },
            "measure_next": [{"answer": "range_km.loop_km.wet_s", "share": 0.123_4, "standard_error": 0.02}],
        });
        assert_eq!(
            value(&metric, Units::Us).unwrap().to_string(),
            r#"{"id":"a","choices":{"put_in.box_m":"as it is"},"answers":{"range_miles.loop_km.wet_s":{"nominal":100.0,"p10":93.0,"standard_error":0.31},"hold_minutes_to_cut_back.112_kmh":{"nominal":12.0},"price":{"nominal":310.0}},"measure_next":[{"answer":"range_miles.loop_km.wet_s","share":0.12,"standard_error":0.02}]}"#
        );
        assert_eq!(
            key("answers.range_km.loop_km.wet.p10", Units::Us),
            "answers.range_miles.loop_km.wet.p10"
        );
        assert_eq!(key("choices.put_in.box_m", Units::Us), "choices.put_in.box_m");
    }

    #[test]
    fn estimates_of_an_answer_are_rounded_and_nothing_else() {
        let mut value = json!({"options": [{"nominal": 118.337, "p10": 108.337, "p50": 117.42,
            "p90": null, "standard_error": 0.3123}], "p10": 1.2345});
        round_estimates(&mut value);
        assert_eq!(
            value.to_string(),
            r#"{"options":[{"nominal":118.337,"p10":108.0,"p50":117.0,"p90":null,"standard_error":0.31}],"p10":1.2345}"#
        );
    }

    #[test]
    fn a_band_is_there_only_when_it_is_real() {
        let shown = |band: Band| value(&band, Units::Metric).unwrap().to_string();
        assert_eq!(shown(Band::only(118.0)), r#"{"nominal":118.0}"#);
        let deciles = Deciles { p10: 108.31, p50: 117.42, p90: 128.9, standard_error: Some(0.31) };
        assert_eq!(
            shown(Band::with(118.3, deciles)),
            r#"{"nominal":118.3,"p10":108.0,"p50":117.0,"p90":129.0,"standard_error":0.31}"#
        );
    }
}
