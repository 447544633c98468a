//! What a tyre mark that cannot be was probably meant to be.

use super::parse;

/// Section widths of car tyres, mm, the most usual first.
const WIDTHS: [&str; 23] = [
    "155", "165", "145", "175", "185", "135", "125", "195", "205", "215", "225", "235", "245",
    "255", "265", "275", "285", "295", "305", "315", "325", "335", "345",
];
/// Aspects, %, the most usual first.
const ASPECTS: [&str; 12] =
    ["80", "70", "65", "60", "55", "75", "50", "45", "40", "35", "30", "25"];
/// Rims, inches, the most usual first.
const RIMS: [&str; 14] =
    ["13", "14", "15", "12", "16", "10", "17", "18", "19", "20", "21", "22", "23", "24"];
/// Texts longer than this are no tyre marks, not even nearly.
const LONGEST: usize = 40;

/// The sensible tyre mark that looks most like this text, if one can be told.
///
/// ```
/// use crownwheel_files::tyre_mark::nearest;
/// assert_eq!(nearest("155/8 R13").as_deref(), Some("155/80 R13"));
/// ```
#[must_use]
pub fn nearest(text: &str) -> Option<String> {
    if text.len() > LONGEST {
        return None;
    }
    let point = text.replace(',', ".");
    let numbers: Vec<&str> = point
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter(|part| part.bytes().any(|byte| byte.is_ascii_digit()))
        .collect();
    let mark = match numbers.as_slice() {
        [width, rim] if width.contains('.') => inches(width, rim)?,
        [rim, width] if width.contains('.') => inches(width, rim)?,
        [width, rim]
            if width.len() == 3
                && width.ends_with('0')
                && width.starts_with(['4', '5', '6', '7']) =>
        {
            inches(width, rim)?
        }
        [width, aspect] if text.contains('/') => {
            format!("{}/{} R13", closest(width, &WIDTHS)?, closest(aspect, &ASPECTS)?)
        }
        [width, rim] => format!("{} R{}", closest(width, &WIDTHS)?, closest(rim, &RIMS)?),
        // More figures than these are load index and speed: they are left out of a guess.
        [width, aspect, rim, ..] => format!(
            "{}/{} R{}",
            closest(width, &WIDTHS)?,
            closest(aspect, &ASPECTS)?,
            closest(rim, &RIMS)?
        ),
        _ => return None,
    };
    parse(&mark).is_ok().then_some(mark)
}

/// A mark in inches: the figures of the width are kept, the point is set after the first.
fn inches(width: &str, rim: &str) -> Option<String> {
    let mut digits = width.chars().filter(char::is_ascii_digit);
    let first = digits.next().filter(|digit| ('3'..='9').contains(digit))?;
    let hundredths: String = digits.chain("00".chars()).take(2).collect();
    Some(format!("{first}.{hundredths}-{}", closest(rim, &RIMS)?))
}

/// The usual figure that looks most like a written one: it begins alike, or is a slip away.
fn closest<'u>(written: &str, usual: &[&'u str]) -> Option<&'u str> {
    let distance = |figure: &&str| {
        let begins = figure.starts_with(written) || written.starts_with(*figure);
        // A missing or an extra figure at the end is the likelier slip.
        2 * crownwheel::alike::slips(written, figure) - usize::from(begins && *figure != written)
    };
    let best = usual.iter().min_by_key(|figure| distance(figure))?;
    // One figure alone fits too many.
    let furthest = if written.len() < 2 { 1 } else { 3 };
    (distance(best) <= furthest).then_some(*best)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_find_what_was_meant() {
        for (wrong, right) in [
            ("155/8 R13", "155/80 R13"),
            ("15/80 R13", "155/80 R13"),
            ("155/80 R31", "155/80 R13"),
            ("1555/80 R13", "155/80 R13"),
            ("155/80 R93 79T", "155/80 R13"),
            ("155/80 13", "155/80 R13"),
            ("155/80 R13 7T", "155/80 R13"),
            ("165-13", "165 R13"),
            ("165 SR 31", "165 R13"),
            ("175/700 R14", "175/70 R14"),
            ("56.0-13", "5.60-13"),
            ("5.60-31", "5.60-13"),
            ("5.605-13", "5.60-13"),
            ("5,60-13", "5.60-13"),
            ("13-5.60", "5.60-13"),
            ("560-13", "5.60-13"),
            ("155/80", "155/80 R13"),
        ] {
            assert_eq!(nearest(wrong).as_deref(), Some(right), "{wrong}");
        }
    }

    #[test]
    fn what_is_no_tyre_mark_at_all_is_not_guessed() {
        for text in ["", "big", "13", "1/2/3", "0.0-0", &"9".repeat(50), "99999/99999 R99999"] {
            assert_eq!(nearest(text), None, "{text}");
        }
    }
}
