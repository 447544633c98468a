//! A key for programs.

use crownwheel_files::keys::{KeyKind, KeyRow, Need};
use crownwheel_files::units;
use serde_json::{Value, json};

/// Everything that the key table says about a key.
pub(super) fn entry(row: &KeyRow) -> Value {
    let (default, source) = match row.need {
        Need::Assumed { text, source } => (Some(text), Some(source)),
        Need::Derived { rule } => (None, Some(rule)),
        _ => (None, None),
    };
    json!({
        "key": row.path,
        "words": row.title,
        "kind": kind(row.kind),
        "units": units_of(row.kind),
        "choices": choices(row.kind),
        "allowed": row.allowed(),
        "limits": row.limits().map(|limits| json!({
            "low": limits.low,
            "low_itself": !limits.above_low,
            "high": limits.high,
            "unit": limits.unit.name,
        })),
        "required": row.need == Need::Required,
        "default": default,
        "default_source": source,
        "takes_spread": row.takes_band(),
        "example": row.example,
        "matters": row.advice.map(|advice| advice.matters),
        "find_out": row.advice.map(|advice| advice.find_out),
    })
}

/// What may stand after a key, in a word.
fn kind(kind: KeyKind) -> &'static str {
    match kind {
        KeyKind::Number(_) => "number",
        KeyKind::Whole => "whole number",
        KeyKind::Flag => "flag",
        KeyKind::Choice(_) => "choice",
        KeyKind::Words(_) => "words",
        KeyKind::TableFile => "table file",
        KeyKind::Cycle => "cycle",
        KeyKind::TyreMark => "tyre mark",
        KeyKind::Wind => "wind",
        KeyKind::PowerLimit => "power limit",
        KeyKind::Ratios => "ratios",
        KeyKind::Gear => "gear",
        KeyKind::VoltageAtSpeed => "voltage at speed",
        KeyKind::ColdCapacity => "cold capacity",
        KeyKind::Several(_) => "several",
        _ => "text",
    }
}

/// The spellings of units that a number may have; a number of a ratio may stand without.
fn units_of(kind: KeyKind) -> Vec<&'static str> {
    let KeyKind::Number(dimension) = kind else { return Vec::new() };
    units::all().filter(|unit| unit.dimension == dimension).map(|unit| unit.name).collect()
}

fn choices(kind: KeyKind) -> Vec<&'static str> {
    match kind {
        KeyKind::Choice(words) | KeyKind::Words(words) => words.to_vec(),
        _ => Vec::new(),
    }
}
