//! Latitudes and longitudes as receivers write them: degrees, degrees and minutes, with or without
//! the letter of the hemisphere.

/// An angle in degrees as read from a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Angle {
    pub(super) degrees: f64,
    /// It was written with minutes.
    pub(super) with_minutes: bool,
}

/// Reads `51°30.1234'N`, `N 51 30 12.3`, `51:30:12`, `5130.1234N` and `51.5 N`. A plain number is
/// none of these.
pub(super) fn parse(cell: &str) -> Option<Angle> {
    let (sign, rest) = take_hemisphere(cell.trim());
    let rest = rest.trim();
    let mark =
        |c: char| matches!(c, '°' | 'º' | '\'' | '′' | '"' | '″' | '’' | ':' | ' ' | '\u{a0}');
    let parts: Vec<&str> = rest.split(mark).filter(|part| !part.is_empty()).collect();
    if sign.is_none() && !rest.contains(mark) {
        return None;
    }
    let mut numbers = Vec::new();
    for part in &parts {
        numbers.push(part.replace(',', ".").parse::<f64>().ok().filter(|value| value.is_finite())?);
    }
    let angle = match numbers.as_slice() {
        [degrees] if has_minute_digits(parts[0]) => Angle::of_packed(*degrees)?,
        [degrees] => Angle { degrees: *degrees, with_minutes: false },
        [degrees, minutes] => Angle::of_parts(*degrees, *minutes, 0.0)?,
        [degrees, minutes, seconds] => Angle::of_parts(*degrees, *minutes, *seconds)?,
        _ => return None,
    };
    Some(Angle { degrees: angle.degrees * sign.unwrap_or(1.0), ..angle })
}

/// The sign of a cell that holds only the letter of a hemisphere.
pub(super) fn hemisphere(cell: &str) -> Option<f64> {
    match take_hemisphere(cell.trim()) {
        (Some(sign), "") => Some(sign),
        _ => None,
    }
}

impl Angle {
    /// `5130.1234` is 51 degrees and 30.1234 minutes, as receivers send them.
    pub(super) fn of_packed(value: f64) -> Option<Angle> {
        let size = value.abs();
        let minutes = size % 100.0;
        Angle::of_parts(((size - minutes) / 100.0).copysign(value), minutes, 0.0)
    }

    fn of_parts(degrees: f64, minutes: f64, seconds: f64) -> Option<Angle> {
        let inside = |part: f64| (0.0..60.0).contains(&part);
        let size = degrees.abs() + minutes / 60.0 + seconds / 3600.0;
        (inside(minutes) && inside(seconds))
            .then_some(Angle { degrees: size.copysign(degrees), with_minutes: true })
    }
}

/// Four or five digits before the point: two of them are minutes.
fn has_minute_digits(text: &str) -> bool {
    let whole = text.split(['.', ',']).next().unwrap_or_default();
    matches!(whole.trim_start_matches(['+', '-']).len(), 4 | 5)
}

/// Takes the letter of the hemisphere from the start or the end.
fn take_hemisphere(text: &str) -> (Option<f64>, &str) {
    let sign = |c: char| match c.to_ascii_uppercase() {
        'N' | 'E' => Some(1.0),
        'S' | 'W' => Some(-1.0),
        _ => None,
    };
    if let Some(found) = text.chars().next_back().and_then(sign) {
        return (Some(found), &text[..text.len() - 1]);
    }
    if let Some(found) = text.chars().next().and_then(sign) {
        return (Some(found), &text[1..]);
    }
    (None, text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_read_as_receivers_write_them() {
        for (text, degrees, with_minutes) in [
            ("51°30.1234'N", 51.502_056_666_666_67, true),
            ("51° 30' 7.404\" N", 51.502_056_666_666_67, true),
            ("N 51 30.1234", 51.502_056_666_666_67, true),
            ("5130.1234N", 51.502_056_666_666_67, true),
            ("00030.6W", -0.51, true),
            ("0°30.6'W", -0.51, true),
            ("-0:30.6", -0.51, true),
            ("51.5 N", 51.5, false),
            ("51,5°", 51.5, false),
        ] {
            let read = parse(text).unwrap_or_else(|| panic!("{text}"));
            assert!((read.degrees - degrees).abs() < 1e-12, "{text}: {read:?}");
            assert_eq!(read.with_minutes, with_minutes, "{text}");
        }
        for text in ["51.5", "", "N", "51°61'N", "1 2 3 4", "abc", "ü N"] {
            assert_eq!(parse(text), None, "{text}");
        }
        assert_eq!(hemisphere(" w "), Some(-1.0));
        assert_eq!(hemisphere("51 N"), None);
    }
}
