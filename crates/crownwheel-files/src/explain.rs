//! The words of the messages about keys and values.

use crate::document::{At, Document};
use crate::keys::{self, KeyKind, KeyRow, Need};
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
pub(crate) fn unknown_key(
    document: &Document,
    path: &str,
    nearest: Option<&str>,
    at: &At,
) -> Problem {
    let what = format!("`{}` is not a known key", printable(path));
    let problem = document.problem(ProblemKind::UnknownKey, at, what).key(printable(path));
    match nearest {
        Some(nearest) => problem.hint(format!("the nearest known key is `{nearest}`")),
        None => problem.hint("`crownwheel keys` lists the known ones"),
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
            format!("known units are {spellings}"),
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
    let what = format!("`{path}` is {}: {}", printable(text), row.words);
    document
        .problem(ProblemKind::OutOfRange, at, what)
        .key(path)
        .value(text)
        .allowed(row.allowed())
        .hint(example(row))
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
