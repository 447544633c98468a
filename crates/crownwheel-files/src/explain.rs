//! The words of the messages about keys and values.

use crate::document::{At, Document};
use crate::keys::{self, KeyKind, KeyRow, NearKey, Need};
use crate::message::{Problem, ProblemKind, printable};
use crate::quantity::QuantityError;
use crate::units::{self, Dimension};
use crate::wind::WindError;

/// How to write the value of a row: `write mass = "148 kg"`.
pub(crate) fn example(row: &KeyRow) -> String {
    format!("write for example {} = {}", row.name(), row.example)
}

/// What is wanted, with its article.
pub(crate) fn wanted(row: &KeyRow) -> String {
    match row.kind {
        KeyKind::Number(dimension) => dimension.words().to_owned(),
        KeyKind::Choice(_) => "one of the known words".to_owned(),
        KeyKind::Words(_) => "a list of the known words".to_owned(),
        KeyKind::Wind => "a wind".to_owned(),
        KeyKind::PowerLimit => "a power limit".to_owned(),
        KeyKind::TableFile => "the name of a file".to_owned(),
        KeyKind::Cycle => "the name of a cycle".to_owned(),
        _ => row.allowed(),
    }
}

/// A key that nobody knows, with the nearest one.
pub(crate) fn unknown_key(document: &Document, path: &str, near: &NearKey, at: &At) -> Problem {
    let what = format!("`{}` is not a known key", printable(path));
    let problem = document.problem(ProblemKind::UnknownKey, at, what).key(printable(path));
    match near {
        NearKey::NotModelled(would_be) => {
            let what = format!("`{}` is not modelled yet: {would_be}", printable(path));
            let problem = document.problem(ProblemKind::UnknownKey, at, what);
            problem.key(printable(path)).hint("leave it out")
        }
        NearKey::Ends(table) => {
            problem.hint(format!("`{table}` has two keys, `from` (lower end) and `to` (upper end)"))
        }
        NearKey::Key(nearest) => problem.hint(format!("the nearest known key is `{nearest}`")),
        NearKey::Nothing => problem.hint("`crownwheel keys` lists the known ones"),
    }
}

/// A value where a table is wanted.
pub(crate) fn not_a_table(document: &Document, path: &str, at: &At) -> Problem {
    let mut examples: Vec<&KeyRow> = keys::all()
        .filter(|row| {
            let table = row.path.rsplit_once('.').map_or("", |(table, _)| table);
            keys::matches(table, path)
        })
        .collect();
    // What must be there comes first, and the rest only if nothing must.
    let required = examples.iter().filter(|row| row.need == Need::Required).count();
    examples.sort_by_key(|row| row.need != Need::Required);
    examples.truncate(if required > 0 { required.min(3) } else { 3 });
    let inner = examples
        .iter()
        .map(|row| format!("{} = {}", row.name(), row.example))
        .collect::<Vec<_>>()
        .join(", ");
    let what = format!("`{}` is a table, not a single value", printable(path));
    let hint = if inner.is_empty() {
        format!("write a table with a name for each: [{path}.NAME]")
    } else {
        format!("write for example {} = {{ {inner} }}", path.rsplit('.').next().unwrap_or(path))
    };
    document
        .problem(ProblemKind::WrongKind, at, what)
        .key(path)
        .value(document.text_at(at))
        .hint(hint)
}

/// A number that is not a number with the right unit.
pub(crate) fn quantity(
    document: &Document,
    path: &str,
    row: &KeyRow,
    dimension: Dimension,
    error: &QuantityError,
    at: &At,
) -> Problem {
    let name = row.name();
    let spellings = units::spellings(dimension);
    let (what, hint) = match error {
        QuantityError::MissingUnit { number } => {
            return missing_unit(document, path, row, dimension, number, at);
        }
        QuantityError::UnknownUnit { unit, nearest: Some(nearest) } => (
            format!("`{path}`: `{}` is not a known unit", printable(unit)),
            format!("did you mean `{nearest}`?"),
        ),
        QuantityError::UnknownUnit { unit, nearest: None } => (
            format!("`{path}`: `{}` is not a known unit", printable(unit)),
            unit_hint(row, unit, dimension, &spellings),
        ),
        QuantityError::WrongDimension { unit, found } => (
            format!(
                "`{path}` is {}, and `{unit}` is the unit of {}",
                dimension.words(),
                found.words()
            ),
            example(row),
        ),
        QuantityError::Comma { thousands, decimal, unit } => {
            let space = if unit.is_empty() { "" } else { " " };
            let written = |number: &str| format!("{name} = \"{number}{space}{unit}\"");
            let hint = match thousands {
                Some(thousands) => format!("write {} or {}", written(thousands), written(decimal)),
                None => format!("write {}", written(decimal)),
            };
            (format!("`{path}`: {error}"), hint)
        }
        QuantityError::Blank { joined, unit } => {
            (format!("`{path}`: {error}"), format!("write {name} = \"{joined} {unit}\""))
        }
        QuantityError::PercentOfTemperature => (
            format!("`{path}`: {error}"),
            format!("write the band in degrees: {name} = \"15 ± 3 °C\""),
        ),
        _ => (format!("`{path}`: {}", printable(&error.to_string())), example(row)),
    };
    document
        .problem(ProblemKind::WrongKind, at, what)
        .key(path)
        .value(document.text_at(at))
        .allowed(row.allowed())
        .hint(hint)
}

/// What to do about a unit that is not known: some people write units that can be turned by hand.
fn unit_hint(row: &KeyRow, unit: &str, dimension: Dimension, spellings: &str) -> String {
    let by_hand = match unit.to_lowercase().as_str() {
        "st" | "stone" => "1 st is 14 lb",
        "cwt" => "1 cwt is 112 lb, or 50.8 kg",
        "oz" => "16 oz are 1 lb",
        "inhg" => "1 inHg is 3.386 kPa",
        "n/kn" | "kg/t" => "divide by 1000 and write the number alone",
        "knots" | "kn" | "kt" => "1 knot is 1.852 km/h",
        _ => "",
    };
    if dimension == Dimension::Ratio && (unit.starts_with(':') || unit.starts_with("to ")) {
        return format!("write the number alone: {} = {}", row.name(), row.example);
    }
    if unit.contains(|c: char| c.is_ascii_digit()) && !unit.contains(['^', '/']) {
        return format!("write one number with one unit: {} = {}", row.name(), row.example);
    }
    match (by_hand, dimension) {
        ("", Dimension::Ratio) => "write the number alone, or in %".to_owned(),
        ("", _) => format!("known units are {spellings}"),
        (by_hand, Dimension::Ratio) => by_hand.to_owned(),
        (by_hand, _) => format!("{by_hand}; known units are {spellings}"),
    }
}

/// A bare number where a unit is needed.
pub(crate) fn missing_unit(
    document: &Document,
    path: &str,
    row: &KeyRow,
    dimension: Dimension,
    number: &str,
    at: &At,
) -> Problem {
    let (units, unit) = (units::spellings(dimension), units::usual(dimension));
    let what = format!("`{path}` has no unit");
    document
        .problem(ProblemKind::WrongKind, at, what)
        .key(path)
        .value(document.text_at(at))
        .allowed(format!("{} in {units}", dimension.words()))
        .hint(format!(
            "write the unit with the number, in quotes: {} = \"{} {unit}\"",
            row.name(),
            printable(number)
        ))
}

/// A number outside of its limits.
pub(crate) fn out_of_range(
    document: &Document,
    path: &str,
    row: &KeyRow,
    text: &str,
    at: &At,
) -> Problem {
    let what = format!("`{path}` is {}: {}", printable(text), row.title);
    document
        .problem(ProblemKind::OutOfRange, at, what)
        .key(path)
        .value(text)
        .allowed(allowed_as_written(row, text))
        .hint(example(row))
}

/// What a row allows, in the unit that the number was written in.
pub(crate) fn allowed_as_written(row: &KeyRow, text: &str) -> String {
    limits_as_written(row, text).unwrap_or_else(|| row.allowed())
}

/// The limits of a row in the unit that the number was written in, to four digits.
fn limits_as_written(row: &KeyRow, text: &str) -> Option<String> {
    let KeyKind::Number(dimension) = row.kind else { return None };
    let limits = row.range?;
    let tail = text.trim_end().trim_start_matches(|c: char| {
        c.is_ascii_digit() || c.is_whitespace() || matches!(c, '.' | '-' | '+' | '\u{2212}')
    });
    let written = units::find_for(tail, dimension).filter(|unit| unit.dimension == dimension)?;
    let turned = |end: f64| {
        let value = written.value_of(limits.unit.to_si(end));
        format!("{value:.3e}").parse().unwrap_or(value)
    };
    let ends = (turned(limits.low), turned(limits.high));
    // A thousandth of an hour says less than 5 s.
    if [ends.0, ends.1].iter().any(|end| end.abs() > 0.0 && end.abs() < 0.01) {
        return None;
    }
    Some(keys::Range { low: ends.0, high: ends.1, unit: *written, ..limits }.to_string())
}

/// How to put right what the car as a whole refuses; empty if what is allowed says it.
pub(crate) fn cure(key: &str, unit: &str) -> &'static str {
    match (key, unit) {
        ("pack.modules_in_series", "modules") => "take fewer modules, or give the boxes more room",
        ("pack.modules_in_series", _) => {
            "take fewer modules in series, or an inverter with a higher voltage_window"
        }
        ("pack.usable.to" | "pack.cell_voltage.to" | "inverter.voltage_window.to", _) => {
            "`from` is the lower end and `to` the upper"
        }
        ("inverter.voltage_window.from", _) => {
            "take more modules in series, or an inverter whose window begins lower: as it is, it never \
             runs"
        }
        ("taken_out" | "taken_out.*.mass", _) => {
            "check the masses and places in [taken_out] and [put_in]"
        }
        ("motor.peak_seconds", _) => {
            "check the losses and both torques at that speed, or leave peak_seconds out: then no \
             heat is computed"
        }
        ("motor.max_speed", _) => "take the last speed of the curve, or carry the curve on",
        ("motor.long_rating.torque", _) => {
            "check the rating and the continuous torque, or leave long_rating out"
        }
        ("driveline.gearbox.gear", _) => "or write gear = \"best\"",
        _ => "",
    }
}

/// What is wrong with a wind.
pub(crate) fn wind(error: &WindError) -> String {
    match error {
        WindError::Direction => "the wind has no known direction".to_owned(),
        WindError::Speed(error) => error.to_string(),
        WindError::Negative => {
            "the wind speed is below zero; turn the direction round instead".to_owned()
        }
    }
}
