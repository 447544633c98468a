//! Times as logs write them.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::log::Clock;

/// Seconds of a day.
pub(super) const DAY_S: f64 = 86_400.0;

/// A time as read, in seconds of its clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ReadTime {
    pub(super) clock: Clock,
    /// Seconds since midnight or since 1970-01-01.
    pub(super) seconds: f64,
    /// A stamp that says its zone.
    pub(super) zoned: bool,
}

/// Reads a time of day, `12:30:05.2`, or a stamp, `2024-05-18T12:30:05Z`, `18.05.2024 12:30:05`.
///
/// A date with slashes can be read two ways unless the year comes first: then its time of day is
/// what counts, which is followed over midnight.
pub(super) fn parse(text: &str) -> Option<ReadTime> {
    if !text.contains(':') {
        return compact(text);
    }
    if let Ok(stamp) = text.parse::<Timestamp>() {
        return Some(zoned(stamp));
    }
    let colon = text.find(':')?;
    match text[..colon].rfind([' ', 'T', 't', ',']) {
        None => of_day(text),
        Some(at) => {
            let (date, time) = (text[..at].trim().trim_end_matches(','), text[at + 1..].trim());
            with_date(date, time)
        }
    }
}

fn with_date(date: &str, time: &str) -> Option<ReadTime> {
    let Some(day) = day_of(date) else {
        // A weekday or a date with slashes: the time of day still counts.
        return of_day(time);
    };
    let iso = format!("{day}T{time}");
    if let Ok(stamp) = iso.parse::<Timestamp>() {
        return Some(zoned(stamp));
    }
    let seconds = of_day(time)?.seconds;
    let midnight = format!("{day}T00:00:00Z").parse::<Timestamp>().ok()?;
    Some(ReadTime { clock: Clock::Stamp, seconds: unix(midnight) + seconds, zoned: false })
}

fn zoned(stamp: Timestamp) -> ReadTime {
    ReadTime { clock: Clock::Stamp, seconds: unix(stamp), zoned: true }
}

/// Seconds since 1970-01-01 UTC; a double keeps them to less than a microsecond.
fn unix(stamp: Timestamp) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "whole seconds of a calendar fit a double")]
    let whole = stamp.as_second() as f64;
    whole + f64::from(stamp.subsec_nanosecond()) * 1e-9
}

/// `2024-05-18`, `2024/05/18`, `18.05.2024`.
fn day_of(text: &str) -> Option<Date> {
    let year_first = text.len() >= 8 && text.as_bytes()[..4].iter().all(u8::is_ascii_digit);
    let mark =
        if year_first { ['-', '/', '.'].into_iter().find(|c| text.contains(*c))? } else { '.' };
    let mut parts = text.split(mark).map(|part| part.trim().parse::<i16>());
    let mut next = || parts.next()?.ok();
    let (first, second, third) = (next()?, next()?, next()?);
    let (year, day) = if year_first { (first, third) } else { (third, first) };
    let year = if (0..100).contains(&year) { 2000 + year } else { year };
    Date::new(year, i8::try_from(second).ok()?, i8::try_from(day).ok()?).ok()
}

/// `20240518T123005Z`, an ISO stamp without marks.
fn compact(text: &str) -> Option<ReadTime> {
    let bytes = text.as_bytes();
    let digits = |range: std::ops::Range<usize>| {
        bytes.get(range).is_some_and(|part| part.iter().all(u8::is_ascii_digit))
    };
    if !(bytes.len() >= 15 && bytes[8] == b'T' && digits(0..8) && digits(9..15)) {
        return None;
    }
    // Only the places that were looked at are known to be ASCII.
    let (date, time, rest) = (text.get(..8)?, text.get(9..15)?, text.get(15..)?);
    parse(&format!(
        "{}-{}-{}T{}:{}:{}{rest}",
        &date[..4],
        &date[4..6],
        &date[6..],
        &time[..2],
        &time[2..4],
        &time[4..]
    ))
}

/// `12:30`, `12:30:05`, `12:30:05,2`, `1:30:05 PM`, with a zone at the end if it must be.
fn of_day(text: &str) -> Option<ReadTime> {
    let end = text.find(|c: char| !matches!(c, '0'..='9' | ':' | '.' | ',')).unwrap_or(text.len());
    let (clock, rest) = text.split_at(end);
    let rest = rest.trim();
    let half = match rest.get(..2) {
        Some(mark) if mark.eq_ignore_ascii_case("am") => Some(0.0),
        Some(mark) if mark.eq_ignore_ascii_case("pm") => Some(12.0),
        _ => None,
    };
    let zone = rest.is_empty() || rest.starts_with(['+', '-', 'Z', 'z', 'U', 'G']);
    if half.is_none() && !zone {
        return None;
    }
    let mut parts = clock.split(':');
    // An elapsed time may have more hours than a day, or be minutes and seconds.
    let hours = whole(parts.next()?, 99)?;
    let minutes = whole(parts.next()?, 59)?;
    let seconds = match parts.next() {
        None => 0.0,
        Some(text) => text.replace(',', ".").parse::<f64>().ok().filter(|s| *s < 61.0)?,
    };
    if parts.next().is_some() {
        return None;
    }
    let hours = match half {
        Some(add) if (1.0..=12.0).contains(&hours) => hours % 12.0 + add,
        Some(_) => return None,
        None => hours,
    };
    let seconds = hours * 3600.0 + minutes * 60.0 + seconds;
    Some(ReadTime { clock: Clock::OfDay, seconds, zoned: false })
}

fn whole(text: &str, most: u8) -> Option<f64> {
    let value = text.parse::<u8>().ok()?;
    (value <= most).then(|| f64::from(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stamps_with_and_without_zone() {
        // 2024-05-18T10:30:05Z is 1716028205 s after the epoch (19861 days of 86,400 s and 37,805 s).
        let expected = 19_861.0 * DAY_S + 37_805.0;
        for text in [
            "2024-05-18T10:30:05Z",
            "2024-05-18 12:30:05+02:00",
            "2024/05/18 10:30:05Z",
            "20240518T103005Z",
        ] {
            let time = parse(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(time, ReadTime { clock: Clock::Stamp, seconds: expected, zoned: true });
        }
        for text in [
            "2024-05-18T10:30:05",
            "2024-05-18 10:30:05.000",
            "18.05.2024 10:30:05",
            "18.05.24, 10:30:05 AM",
            "2024/05/18 10:30:05",
        ] {
            let time = parse(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(time, ReadTime { clock: Clock::Stamp, seconds: expected, zoned: false });
        }
    }

    #[test]
    fn times_of_day() {
        for (text, seconds) in [
            ("00:00:00", 0.0),
            ("23:59:59.5", 86_399.5),
            ("9:05", 32_700.0),
            ("1:30:05 PM", 48_605.0),
            ("12:00:01 am", 1.0),
            ("12:30:05,25", 45_005.25),
            ("05/06/2024 12:30:05", 45_005.0),
            ("Sat 12:30:05", 45_005.0),
        ] {
            let time = parse(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((time.clock, time.seconds), (Clock::OfDay, seconds), "{text}");
        }
    }

    #[test]
    fn what_is_no_time_is_none() {
        for text in [
            "",
            "12",
            ":",
            "::",
            "100:00",
            "12:61",
            "12:30:99",
            "1:2:3:4",
            "ü:12",
            "12:30 xx",
            "99.99.9999 1:00x",
        ] {
            assert_eq!(parse(text), None, "{text}");
        }
    }
}
