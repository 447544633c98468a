//! The mark on a tyre's side wall: `155/80 R13 79T`, or without aspect as on older tyres,
//! `165 SR 13` and `5.60-13`.

mod nearest;

use std::fmt;

use crownwheel::constants::METRE_PER_INCH as INCH_M;
use crownwheel::spec::TyreMark;

pub use nearest::nearest;

/// Section height over width of radial tyres without an aspect on the mark: the standard series.
/// From memory; no standard was opened.
const OLD_RADIAL_ASPECT: f64 = 0.82;
/// The same of cross-ply tyres marked in inches, on rims of 15 inches and under and wider than
/// 5 inches. From memory.
const LOW_CROSS_PLY_ASPECT: f64 = 0.95;
/// The same of older narrow ones, or on larger rims. From memory.
const HIGH_CROSS_PLY_ASPECT: f64 = 1.0;
/// Rims above this have the high section, inches.
const LARGEST_LOW_RIM_IN: u32 = 15;
/// Widths up to this have the high section, inches.
const WIDEST_HIGH_IN: f64 = 5.0;

/// A tyre mark that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TyreMarkText {
    /// The mark.
    pub mark: TyreMark,
    /// The mark names no aspect: its standard's section is taken.
    pub aspect_assumed: bool,
    /// The mark of a van's tyre, `185 R14C`.
    pub van: bool,
}

/// Why a text is not a tyre mark.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TyreMarkError {
    /// It does not look like `155/80 R13`, `165 R13` or `5.60-13`.
    Shape {
        /// As written.
        text: String,
    },
    /// A figure that no tyre has.
    Impossible {
        /// Which figure: `section width`.
        what: &'static str,
        /// As written.
        value: String,
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
            Self::Shape { text } => write!(f, "`{text}` is not a tyre mark"),
            Self::Impossible { what, value, lowest, highest, unit } => {
                let space = if unit.is_empty() { "" } else { " " };
                let article = if *what == "aspect" { "an" } else { "a" };
                write!(f, "no tyre has {article} {what} of {value}{space}{unit}: ")?;
                write!(f, "{lowest} to {highest}{space}{unit} are possible")
            }
        }
    }
}

impl std::error::Error for TyreMarkError {}

/// Reads a tyre mark.
///
/// Metric: section width in mm, aspect in % if it is marked, `R` (radial) or `-` (cross-ply), rim
/// in inches, `C` on a van's tyre, then load index and speed symbol if they are given. In inches: section width with
/// two decimals, `-`, rim, and a ply rating if it is given; such tyres are cross-ply.
///
/// # Errors
/// [`TyreMarkError`] if it is no such mark or its figures are impossible; [`nearest`] may know what
/// is meant.
///
/// # Examples
/// ```
/// let mark = crownwheel_files::tyre_mark::parse("155/80 R13 79T")?.mark;
/// assert_eq!(mark.load_index, Some(79));
/// assert_eq!(mark.rim_diameter_m, 13.0 * 0.0254);
/// # Ok::<(), crownwheel_files::tyre_mark::TyreMarkError>(())
/// ```
pub fn parse(text: &str) -> Result<TyreMarkText, TyreMarkError> {
    let upper = text.trim().to_uppercase();
    let shape = || TyreMarkError::Shape { text: text.trim().to_owned() };
    // A leading P marks a passenger tyre in US practice and changes nothing here.
    let rest = upper.strip_prefix('P').unwrap_or(&upper);
    let (width, rest) = whole(rest).ok_or_else(shape)?;
    if rest.starts_with('.') {
        return in_inches(rest, width).ok_or_else(shape)?;
    }
    let (aspect, rest) = match rest.trim_start().strip_prefix('/') {
        Some(rest) => whole(rest).map(|(aspect, rest)| (Some(aspect), rest)).ok_or_else(shape)?,
        None => (None, rest),
    };
    let (radial, rest) = construction(rest.trim_start()).ok_or_else(shape)?;
    // Without aspect and not radial, no standard says how high the section is.
    if aspect.is_none() && !radial {
        return Err(shape());
    }
    let (rim, rest) = rim(rest.trim_start()).ok_or_else(shape)?;
    // A van's tyre: the letter follows the rim, and a second load index is that of twin wheels.
    let van = rest.trim_start().strip_prefix('C');
    let rest = van.unwrap_or(rest);
    let (load, rest) = whole(rest).map_or((None, rest), |(load, rest)| (Some(load), rest));
    let rest = rest
        .strip_prefix('/')
        .and_then(whole)
        .filter(|_| van.is_some())
        .map_or(rest, |(_, rest)| rest);
    let speed_symbol = speed(rest.trim_start()).ok_or_else(shape)?;
    let width = possible("section width", width, 95..=355, "mm")?;
    let aspect = aspect.map(|aspect| possible("aspect", aspect, 25..=100, "%")).transpose()?;
    let rim = possible("rim diameter", rim, 8..=24, "in")?;
    let load_index = load
        .map(|load| possible("load index", load, 40..=130, ""))
        .transpose()?
        .and_then(|load| u16::try_from(load).ok());
    Ok(TyreMarkText {
        mark: TyreMark {
            section_width_m: f64::from(width) * 1e-3,
            aspect_frac: aspect.map_or(OLD_RADIAL_ASPECT, |aspect| f64::from(aspect) * 1e-2),
            rim_diameter_m: f64::from(rim) * INCH_M,
            radial,
            load_index,
            speed_symbol,
        },
        aspect_assumed: aspect.is_none(),
        van: van.is_some(),
    })
}

/// The rest of a mark in inches, from the point of its width on. `None`: it is of another shape.
fn in_inches(rest: &str, inches: u32) -> Option<Result<TyreMarkText, TyreMarkError>> {
    let (hundredths, rest) = hundredths(rest.strip_prefix('.')?)?;
    let rest = rest.trim_start().strip_prefix(['-', 'X', '×'])?;
    let (rim, rest) = rim(rest.trim_start())?;
    if !is_ply_rating(rest.trim()) {
        return None;
    }
    Some(inch_mark(inches, hundredths, rim))
}

fn inch_mark(inches: u32, hundredths: u32, rim: u32) -> Result<TyreMarkText, TyreMarkError> {
    if !(3..=9).contains(&inches) {
        let value = format!("{inches}.{hundredths:02}");
        let (what, unit) = ("section width", "in");
        return Err(TyreMarkError::Impossible { what, value, lowest: 3, highest: 9, unit });
    }
    let rim = possible("rim diameter", rim, 8..=24, "in")?;
    let width_in = f64::from(inches) + f64::from(hundredths) * 1e-2;
    let low = rim <= LARGEST_LOW_RIM_IN && width_in > WIDEST_HIGH_IN;
    Ok(TyreMarkText {
        mark: TyreMark {
            section_width_m: width_in * INCH_M,
            aspect_frac: if low { LOW_CROSS_PLY_ASPECT } else { HIGH_CROSS_PLY_ASPECT },
            rim_diameter_m: f64::from(rim) * INCH_M,
            radial: false,
            load_index: None,
            speed_symbol: None,
        },
        aspect_assumed: true,
        van: false,
    })
}

/// Hundredths of an inch: `60` and `6` are the same after the point.
fn hundredths(text: &str) -> Option<(u32, &str)> {
    let (digits, rest) = text.split_at(text.bytes().take_while(u8::is_ascii_digit).count());
    let value: u32 = digits.parse().ok()?;
    match digits.len() {
        1 => Some((10 * value, rest)),
        2 => Some((value, rest)),
        _ => None,
    }
}

/// Nothing, or a ply rating such as `4PR` or `4 PLY`.
fn is_ply_rating(text: &str) -> bool {
    let plies = text.trim_start_matches(|c: char| c.is_ascii_digit()).trim_start();
    text.is_empty() || (plies.len() < text.len() && matches!(plies, "PR" | "PLY"))
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
        return Ok(value);
    }
    let (value, lowest, highest) = (value.to_string(), *range.start(), *range.end());
    Err(TyreMarkError::Impossible { what, value, lowest, highest, unit })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_in_every_spelling() {
        let wanted = parse("155/80 R13 79T").unwrap();
        assert!(!wanted.aspect_assumed);
        let mark = wanted.mark;
        assert!((mark.section_width_m - 0.155).abs() < 1e-15);
        assert!((mark.aspect_frac - 0.80).abs() < 1e-15);
        assert!((mark.rim_diameter_m - 0.3302).abs() < 1e-15);
        assert!(mark.radial);
        assert_eq!((mark.load_index, mark.speed_symbol), (Some(79), Some('T')));
        for same in ["155/80R13 79T", " 155 / 80 r 13 79t ", "P155/80R1379T"] {
            assert_eq!(parse(same).unwrap(), wanted, "{same}");
        }
    }

    #[test]
    fn load_index_and_speed_symbol_may_be_missing() {
        let mark = |text: &str| parse(text).unwrap().mark;
        let bare = mark("145/80 R12");
        assert_eq!((bare.load_index, bare.speed_symbol), (None, None));
        assert_eq!(mark("175/70 SR13").load_index, None);
        assert_eq!(mark("205/55 R16 91V").load_index, Some(91));
        assert_eq!(mark("245/70 R16 107").load_index, Some(107));
        assert!(!mark("155/80 - 13").radial);
        assert!((mark("145/70 R8 54S").rim_diameter_m - 8.0 * INCH_M).abs() < 1e-15);
    }

    #[test]
    fn old_radials_have_the_section_of_their_series() {
        let wanted = parse("165 R13").unwrap();
        assert!(wanted.aspect_assumed && wanted.mark.radial);
        // 330.2 mm rim and twice 82 % of 165 mm.
        let diameter_m = crownwheel::tyre::overall_diameter_m(&wanted.mark);
        assert!((diameter_m - 0.6008).abs() < 1e-12);
        for same in ["165 SR 13", "165R13", "165SR13", "165 HR 13"] {
            assert_eq!(parse(same).unwrap(), wanted, "{same}");
        }
        assert_eq!(parse("165 R13 83S").unwrap().mark.load_index, Some(83));
    }

    #[test]
    fn tyres_of_vans_have_a_letter_and_two_load_indices() {
        for text in ["185/80 R14C 102/100R", "185/80R14 C 102/100 R", "185/80 R14C 102R"] {
            let read = parse(text).unwrap();
            assert!(read.van, "{text}");
            assert_eq!((read.mark.load_index, read.mark.speed_symbol), (Some(102), Some('R')));
        }
        assert!(parse("185 R14C").unwrap().van && !parse("185 R14").unwrap().van);
        assert!(parse("185/80 R14 102/100R").is_err());
    }

    #[test]
    fn cross_ply_tyres_are_marked_in_inches() {
        for (text, width_in, aspect, rim_in) in [
            ("5.60-13", 5.6, 0.95, 13.0),
            ("5.20-13", 5.2, 0.95, 13.0),
            ("5.00-15", 5.0, 1.0, 15.0),
            ("4.50-17", 4.5, 1.0, 17.0),
            ("6.00-16", 6.0, 1.0, 16.0),
            ("5.60 x 13 4PR", 5.6, 0.95, 13.0),
            ("5.6 - 13 4 ply", 5.6, 0.95, 13.0),
        ] {
            let TyreMarkText { mark, aspect_assumed, .. } = parse(text).unwrap();
            assert!(aspect_assumed && !mark.radial, "{text}");
            assert!((mark.section_width_m - width_in * INCH_M).abs() < 1e-12, "{text}");
            assert!((mark.aspect_frac - aspect).abs() < 1e-12, "{text}");
            assert!((mark.rim_diameter_m - rim_in * INCH_M).abs() < 1e-12, "{text}");
        }
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
            "165-13",
            "5.60",
            "5.60-",
            "5.605-13",
            "5.60-13 T",
            "5.60-13 PR",
        ] {
            assert!(matches!(parse(text), Err(TyreMarkError::Shape { .. })), "{text}");
        }
        for (text, figure) in [
            ("1555/80 R13", "section width"),
            ("155/8 R13", "aspect"),
            ("155/80 R93 79T", "rim diameter"),
            ("155/80 R13 7T", "load index"),
            ("56.0-13", "section width"),
            ("5.60-31", "rim diameter"),
        ] {
            match parse(text) {
                Err(TyreMarkError::Impossible { what, .. }) => assert_eq!(what, figure),
                other => panic!("{text}: {other:?}"),
            }
        }
        assert!(parse("99999999999/80 R13").is_err());
    }
}
