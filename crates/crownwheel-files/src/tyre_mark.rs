//! The mark on a tyre's side wall, `155/80 R13 79T`.

use std::fmt;

use crownwheel::spec::TyreMark;

/// Metres in an inch: rim diameters are marked in inches.
const INCH_M: f64 = 0.0254;

/// Why a text is not a tyre mark.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TyreMarkError {
    /// It does not look like `155/80 R13`.
    Shape {
        /// As written.
        text: String,
    },
    /// A figure that no tyre has.
    Impossible {
        /// Which figure: `section width`.
        what: &'static str,
        /// As written.
        value: u32,
        /// Lowest that is accepted.
        lowest: u32,
        /// Highest that is accepted.
        highest: u32,
        /// Unit in words, `mm`.
        unit: &'static str,
    },
}

impl fmt::Display for TyreMarkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shape { text } => write!(f, "`{text}` is not a metric tyre mark"),
            Self::Impossible { what, value, lowest, highest, unit } => {
                let space = if unit.is_empty() { "" } else { " " };
                write!(f, "no tyre has a {what} of {value}{space}{unit}: ")?;
                write!(f, "{lowest} to {highest}{space}{unit} are possible")
            }
        }
    }
}

impl std::error::Error for TyreMarkError {}

/// Reads a metric tyre mark: section width in mm, aspect in %, `R` (radial) or `-` (cross-ply), rim
/// in inches, then load index and speed symbol if they are given.
///
/// # Errors
/// [`TyreMarkError`] if it is no such mark or its figures are impossible.
///
/// # Examples
/// ```
/// let mark = crownwheel_files::tyre_mark::parse("155/80 R13 79T")?;
/// assert_eq!(mark.load_index, Some(79));
/// assert_eq!(mark.rim_diameter_m, 13.0 * 0.0254);
/// # Ok::<(), crownwheel_files::tyre_mark::TyreMarkError>(())
/// ```
pub fn parse(text: &str) -> Result<TyreMark, TyreMarkError> {
    let upper = text.trim().to_uppercase();
    let shape = || TyreMarkError::Shape { text: text.trim().to_owned() };
    // A leading P marks a passenger tyre in US practice and changes nothing here.
    let rest = upper.strip_prefix('P').unwrap_or(&upper);
    let (width, rest) = whole(rest).ok_or_else(shape)?;
    let rest = rest.trim_start().strip_prefix('/').ok_or_else(shape)?;
    let (aspect, rest) = whole(rest).ok_or_else(shape)?;
    let (radial, rest) = construction(rest.trim_start()).ok_or_else(shape)?;
    let (rim, rest) = rim(rest.trim_start()).ok_or_else(shape)?;
    let (load, rest) = whole(rest).map_or((None, rest), |(load, rest)| (Some(load), rest));
    let speed_symbol = speed(rest.trim_start()).ok_or_else(shape)?;
    let width = possible("section width", width, 95..=355, "mm")?;
    let aspect = possible("aspect", aspect, 25..=90, "%")?;
    let rim = possible("rim diameter", rim, 8..=24, "in")?;
    let load_index = load
        .map(|load| possible("load index", load, 40..=130, ""))
        .transpose()?
        .and_then(|load| u16::try_from(load).ok());
    Ok(TyreMark {
        section_width_m: f64::from(width) * 1e-3,
        aspect_frac: f64::from(aspect) * 1e-2,
        rim_diameter_m: f64::from(rim) * INCH_M,
        radial,
        load_index,
        speed_symbol,
    })
}

/// Digits that a text starts with, as a number, and the rest.
fn whole(text: &str) -> Option<(u32, &str)> {
    let text = text.trim_start();
    let (digits, rest) = text.split_at(text.bytes().take_while(u8::is_ascii_digit).count());
    digits.parse().ok().map(|value| (value, rest))
}

/// `R` is radial, `-`, `D` and `B` are cross-ply; `SR`, `HR` and `VR` carry an old speed letter.
fn construction(text: &str) -> Option<(bool, &str)> {
    if let Some(rest) =
        text.strip_prefix(['S', 'H', 'V', 'Z']).and_then(|rest| rest.strip_prefix('R'))
    {
        return Some((true, rest));
    }
    if let Some(rest) = text.strip_prefix('R') {
        return Some((true, rest));
    }
    text.strip_prefix(['-', 'D', 'B']).map(|rest| (false, rest))
}

/// The rim, and the rest. Some write `R1379T`: then two digits are the rim, or one if it is 8 or 9.
fn rim(text: &str) -> Option<(u32, &str)> {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let length = match (digits, text.as_bytes().first()) {
        (..=2, _) => digits,
        (_, Some(b'8' | b'9')) => 1,
        _ => 2,
    };
    let (rim, rest) = text.split_at(length);
    rim.parse().ok().map(|rim| (rim, rest))
}

/// Nothing or one letter. `None`: something else follows.
fn speed(text: &str) -> Option<Option<char>> {
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (None, _) => Some(None),
        (Some(letter), None) if letter.is_ascii_uppercase() => Some(Some(letter)),
        _ => None,
    }
}

fn possible(
    what: &'static str,
    value: u32,
    range: std::ops::RangeInclusive<u32>,
    unit: &'static str,
) -> Result<u32, TyreMarkError> {
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(TyreMarkError::Impossible {
            what,
            value,
            lowest: *range.start(),
            highest: *range.end(),
            unit,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_in_every_spelling() {
        let wanted = parse("155/80 R13 79T").unwrap();
        assert!((wanted.section_width_m - 0.155).abs() < 1e-15);
        assert!((wanted.aspect_frac - 0.80).abs() < 1e-15);
        assert!((wanted.rim_diameter_m - 0.3302).abs() < 1e-15);
        assert!(wanted.radial);
        assert_eq!((wanted.load_index, wanted.speed_symbol), (Some(79), Some('T')));
        for same in ["155/80R13 79T", " 155 / 80 r 13 79t ", "P155/80R1379T"] {
            assert_eq!(parse(same).unwrap(), wanted, "{same}");
        }
    }

    #[test]
    fn load_index_and_speed_symbol_may_be_missing() {
        let bare = parse("145/80 R12").unwrap();
        assert_eq!((bare.load_index, bare.speed_symbol), (None, None));
        assert_eq!(parse("175/70 SR13").unwrap().load_index, None);
        assert_eq!(parse("205/55 R16 91V").unwrap().load_index, Some(91));
        assert_eq!(parse("245/70 R16 107").unwrap().load_index, Some(107));
        assert!(!parse("155/80 - 13").unwrap().radial);
        assert!((parse("145/70 R8 54S").unwrap().rim_diameter_m - 8.0 * INCH_M).abs() < 1e-15);
    }

    #[test]
    fn impossible_marks_are_refused() {
        for text in [
            "",
            "155",
            "155/80",
            "155/80 13",
            "155/80 R",
            "155/80 R13 79TT",
            "big",
            "155/80 R13/79",
            "R13",
        ] {
            assert!(matches!(parse(text), Err(TyreMarkError::Shape { .. })), "{text}");
        }
        for (text, figure) in [
            ("1555/80 R13", "section width"),
            ("155/8 R13", "aspect"),
            ("155/80 R93 79T", "rim diameter"),
            ("155/80 R13 7T", "load index"),
        ] {
            match parse(text) {
                Err(TyreMarkError::Impossible { what, .. }) => assert_eq!(what, figure),
                other => panic!("{text}: {other:?}"),
            }
        }
        assert!(parse("99999999999/80 R13").is_err());
    }
}
