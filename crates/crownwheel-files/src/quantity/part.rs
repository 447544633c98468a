//! A number and the unit after it.

use super::QuantityError;
use crate::units::{self, Dimension, Unit};

/// A number and the text after it.
pub(super) struct Part<'t> {
    pub(super) value: f64,
    number: &'t str,
    pub(super) unit: &'t str,
}

impl<'t> Part<'t> {
    pub(super) fn read(text: &'t str) -> Result<Self, QuantityError> {
        let text = text.trim();
        if text.contains('±') || text.contains("..") {
            return Err(QuantityError::TooManyParts);
        }
        let (number, rest) = text.split_at(number_length(text));
        let unit = rest.trim();
        let Ok(value) = number.parse::<f64>() else {
            return Err(QuantityError::NotANumber { text: text.to_owned() });
        };
        if unit.starts_with([',', '\'']) && unit[1..].starts_with(|c: char| c.is_ascii_digit()) {
            return Err(comma(number, unit));
        }
        if unit.starts_with(|c: char| c.is_ascii_digit()) && !unit.starts_with("1/") {
            return Err(blank(number, unit));
        }
        finite(value, number)?;
        Ok(Self { value, number, unit })
    }

    /// The unit of this part, else `fallback`, else none for a pure number.
    pub(super) fn unit_or(
        &self,
        fallback: Option<&'static Unit>,
        dimension: Dimension,
    ) -> Result<&'static Unit, QuantityError> {
        if self.unit.is_empty() && dimension != Dimension::Ratio {
            return fallback
                .ok_or_else(|| QuantityError::MissingUnit { number: self.number.to_owned() });
        }
        if self.unit.is_empty()
            && let Some(unit) = fallback
        {
            return Ok(unit);
        }
        match units::find_for(self.unit, dimension) {
            Some(unit) if unit.dimension == dimension => Ok(unit),
            Some(unit) => Err(QuantityError::WrongDimension {
                unit: self.unit.to_owned(),
                found: unit.dimension,
            }),
            None => Err(QuantityError::UnknownUnit {
                unit: self.unit.to_owned(),
                nearest: units::nearest(self.unit, dimension),
            }),
        }
    }
}

/// Bytes of the number that `text` starts with.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    at += digits(at);
    if bytes.get(at) == Some(&b'.') {
        at += 1 + digits(at + 1);
    }
    if matches!(bytes.get(at), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        let exponent = digits(at + 1 + sign);
        if exponent > 0 {
            at += 1 + sign + exponent;
        }
    }
    at
}

/// `1,180 kg`: both readings, so that the writer can choose.
fn comma(number: &str, rest: &str) -> QuantityError {
    let end = rest
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, ',' | '.' | '\'')))
        .unwrap_or(rest.len());
    let (tail, unit) = rest.split_at(end);
    let groups: Vec<&str> = tail[1..].split([',', '\'']).collect();
    let by_three = groups.iter().enumerate().all(|(i, group)| {
        let whole =
            if i + 1 == groups.len() { group.split('.').next().unwrap_or(group) } else { group };
        whole.len() == 3 && whole.bytes().all(|b| b.is_ascii_digit())
    });
    let thousands =
        (by_three && !number.contains('.')).then(|| format!("{number}{}", groups.concat()));
    // `3.6,3.9` and `1,2,3` can be read in neither way.
    if thousands.is_none() && (groups.len() > 1 || number.contains('.') || groups[0].contains('.'))
    {
        return QuantityError::Several;
    }
    let decimal = format!("{number}.{}", groups.concat().replace('.', ""));
    let decimal = decimal.trim_end_matches('0').trim_end_matches('.').to_owned();
    QuantityError::Comma { thousands, decimal, unit: unit.trim().to_owned() }
}

/// `1 180 kg`: the number without its blanks.
fn blank(number: &str, rest: &str) -> QuantityError {
    let end =
        rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ' '))).unwrap_or(rest.len());
    let (tail, unit) = rest.split_at(end);
    QuantityError::Blank {
        joined: format!("{number}{}", tail.replace(' ', "")),
        unit: unit.trim().to_owned(),
    }
}

/// Refuses what is too large for a number.
pub(super) fn finite(value: f64, text: &str) -> Result<f64, QuantityError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite { text: text.trim().to_owned() })
    }
}
