//! What a heading means: trade words, with a unit in the heading or below it.

mod words;

use super::units::{self, Kind, LogUnit};
use crate::log::Quantity;
use words::{BY_UNIT, CABIN_LOADS, DECORATION, FIELDS, OTHERS, OUTSIDE, PACK, PARTS};

/// What a column is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Time,
    Date,
    Run,
    Direction,
    Value(Quantity),
}

/// A heading that was understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Heading {
    pub(super) field: Field,
    pub(super) unit: Option<LogUnit>,
    /// Among columns for the same thing the highest is taken.
    pub(super) score: i32,
}

impl Field {
    /// What its numbers measure. `None`: words.
    pub(super) const fn kind(self) -> Option<Kind> {
        Some(match self {
            Field::Time => Kind::Time,
            Field::Date | Field::Run | Field::Direction => return None,
            Field::Value(quantity) => match quantity {
                Quantity::Speed => Kind::Speed,
                Quantity::Latitude | Quantity::Longitude => Kind::Angle,
                Quantity::Elevation | Quantity::Distance => Kind::Length,
                Quantity::Grade | Quantity::Charge => Kind::Ratio,
                Quantity::Voltage => Kind::Voltage,
                Quantity::Current => Kind::Current,
                Quantity::Temperature => Kind::Temperature,
                Quantity::Heater | Quantity::AirConditioning => Kind::Power,
            },
        })
    }
}

/// Understands a heading; `None` if it means nothing to us.
pub(super) fn understand(text: &str) -> Option<Heading> {
    let (body, bracketed) = take_bracket(text);
    let mut words = words_of(body);
    if words.is_empty() || words.len() > 8 {
        return None;
    }
    if let Some(heading) = cabin_load(body, bracketed, &mut words.clone()) {
        return Some(heading);
    }
    if let Some(heading) = by_unit(body, &words, bracketed) {
        return Some(heading);
    }
    if let Some(field) = unit_alone(body) {
        let unit = field.kind().and_then(|kind| units::find(body, kind));
        return Some(Heading { field, unit, score: 5 });
    }
    let field = field_of(&words, bracketed)?;
    let kind = field.kind();
    let from_bracket = bracketed.and_then(|text| units::find(text, kind?));
    let unit = from_bracket.or_else(|| unit_at_end(body, &mut words, kind?));
    // What stands in brackets and is no unit is a remark.
    if bracketed.is_some() && from_bracket.is_none() {
        words.extend(words_of(bracketed.unwrap_or_default()));
    }
    if words.iter().any(|word| OTHERS.contains(&word.as_str())) {
        return None;
    }
    if field == Field::Value(Quantity::Temperature) && !is_outside(&words) {
        return None;
    }
    let own: &[&str] = FIELDS.iter().find(|(known, _)| *known == field).map_or(&[], |(_, own)| own);
    let strange = words
        .iter()
        .filter(|word| !own.contains(&word.as_str()) && !DECORATION.contains(&word.as_str()))
        .count();
    let pack = words.iter().any(|word| PACK.contains(&word.as_str()));
    let elapsed = words.iter().any(|w| matches!(w.as_str(), "elapsed" | "timestamp" | "stamp"));
    let strange = i32::try_from(strange).unwrap_or(i32::MAX).min(8);
    let score = 10 - 2 * strange + i32::from(pack) + i32::from(elapsed) + i32::from(unit.is_some());
    Some(Heading { field, unit, score })
}

/// `heater_w`, `Heating power [kW]`, `aircon_w`.
fn cabin_load(body: &str, bracketed: Option<&str>, words: &mut Vec<String>) -> Option<Heading> {
    let has = |own: &[&str]| words.iter().any(|word| own.contains(&word.as_str()));
    let (quantity, _) = CABIN_LOADS.into_iter().find(|(_, own)| has(own))?;
    let from_bracket = bracketed.and_then(|text| units::find(text, Kind::Power));
    let unit = from_bracket.or_else(|| unit_at_end(body, words, Kind::Power))?;
    Some(Heading { field: Field::Value(quantity), unit: Some(unit), score: 10 })
}

/// A cell of a row of units: `km/h`, `(V)`, `[deg]`.
pub(super) fn unit_of_cell(text: &str, field: Field) -> Option<LogUnit> {
    units::find(text, field.kind()?)
}

/// The temperature of the outside air, not of some part.
fn is_outside(words: &[String]) -> bool {
    let any = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
    any(OUTSIDE) || !(any(PARTS) || any(PACK))
}

/// A letter or word that only its unit explains: `I (A)`, `v_kmh`, `Tempo [km/h]`.
fn by_unit(body: &str, words: &[String], bracketed: Option<&str>) -> Option<Heading> {
    let [word, rest @ ..] = words else { return None };
    let said = match (bracketed, rest) {
        (Some(text), []) => text,
        (None, [_, ..]) => body.get(body.find([' ', '_', ',', ':', ';'])? + 1..)?,
        _ => return None,
    };
    let found = BY_UNIT.iter().find_map(|(known, kind, field)| {
        let unit = units::find(said, *kind).filter(|_| known == word)?;
        Some((*field, unit))
    });
    found.map(|(field, unit)| Heading { field, unit: Some(unit), score: 8 })
}

/// The first field that has one of the words and whose kind is not denied by the unit in brackets.
fn field_of(words: &[String], bracketed: Option<&str>) -> Option<Field> {
    let has = |names: &[&str]| words.iter().any(|word| names.contains(&word.as_str()));
    let fits = |field: Field| {
        let denied = |kind: Kind| bracketed.is_some_and(|text| units::is_of_other_kind(text, kind));
        !field.kind().is_some_and(denied)
    };
    let named = |field: Field| FIELDS.iter().any(|(known, names)| *known == field && has(names));
    if named(Field::Date) && named(Field::Time) {
        return Some(Field::Time);
    }
    let listed = FIELDS.iter().find(|(field, names)| has(names) && fits(*field));
    let level = has(PACK) && has(&["level"]);
    // `pack_v` and `battery A`: the unit says what of the pack is meant.
    let by_unit = || match words.last().map(String::as_str) {
        Some("v") => Some(Field::Value(Quantity::Voltage)),
        Some("a") => Some(Field::Value(Quantity::Current)),
        _ => None,
    };
    let of_pack = has(PACK).then(by_unit).flatten();
    listed.map(|(field, _)| *field).or(level.then_some(Field::Value(Quantity::Charge))).or(of_pack)
}

/// A heading that is only a unit: `mph`, `volts`, `seconds`.
fn unit_alone(text: &str) -> Option<Field> {
    const KINDS: [(Kind, Field); 4] = [
        (Kind::Speed, Field::Value(Quantity::Speed)),
        (Kind::Voltage, Field::Value(Quantity::Voltage)),
        (Kind::Current, Field::Value(Quantity::Current)),
        (Kind::Time, Field::Time),
    ];
    let found = KINDS.iter().find(|(kind, _)| units::find(text, *kind).is_some());
    found.map(|(_, field)| *field)
}

/// `Speed (km/h)` is `Speed` and `km/h`; so with square and curly brackets.
fn take_bracket(text: &str) -> (&str, Option<&str>) {
    let text = text.trim().trim_start_matches('#').trim();
    let open = text.find(['(', '[', '{']);
    let close = text.rfind([')', ']', '}']);
    match (open, close) {
        (Some(open), Some(close)) if open < close => {
            (text[..open].trim(), Some(text[open + 1..close].trim()))
        }
        _ => (text, None),
    }
}

/// The unit that ends a heading: `speed_kmh`, `Speed km/h`, `speed, m/s`.
fn unit_at_end(body: &str, words: &mut Vec<String>, kind: Kind) -> Option<LogUnit> {
    let last = body.rsplit([' ', '_', ',', ':', ';']).next()?;
    let from_text = units::find(last, kind);
    if from_text.is_some() && last.len() < body.len() {
        // `km/h` was cut into two words.
        let parts = words_of(last).len();
        words.truncate(words.len().saturating_sub(parts).max(1));
        return from_text;
    }
    // `speedKmh` has no mark before its unit.
    let found = words.last().and_then(|word| units::find(word, kind));
    if found.is_some() && words.len() > 1 {
        words.pop();
        return found;
    }
    None
}

/// Small words without accents; a capital after a small letter begins one, unless the whole is a
/// word that is known (`SoC`).
fn words_of(text: &str) -> Vec<String> {
    let marks = |c: char| !(c.is_alphanumeric() || words::without_accent(c).is_some());
    let mut all = Vec::new();
    for token in text.split(marks).filter(|token| !token.is_empty()) {
        let whole = plain(token);
        if words::is_known(&whole) {
            all.push(whole);
        } else {
            all.extend(at_capitals(token).into_iter().map(plain));
        }
    }
    all.retain(|word| !word.is_empty());
    all
}

/// In small letters without accents.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        match words::without_accent(c) {
            Some(letters) => out.push_str(letters),
            None => out.push(c),
        }
    }
    out
}

/// Pieces that begin with a capital behind a small letter.
fn at_capitals(token: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let (mut start, mut before_small) = (0, false);
    for (at, c) in token.char_indices() {
        if c.is_uppercase() && before_small {
            pieces.push(&token[start..at]);
            start = at;
        }
        before_small = c.is_lowercase();
    }
    pieces.push(&token[start..]);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use Quantity::{
        AirConditioning, Charge, Current, Distance, Elevation, Grade, Heater, Latitude, Longitude,
        Speed, Temperature, Voltage,
    };

    fn field(text: &str) -> Option<Field> {
        understand(text).map(|heading| heading.field)
    }

    #[test]
    fn trade_words_are_understood() {
        for (text, quantity) in [
            ("speed_kmh", Speed),
            ("GPS Speed (m/s)", Speed),
            ("gpsSpeed", Speed),
            ("Current speed [mph]", Speed),
            ("mph", Speed),
            ("pack_v", Voltage),
            ("Battery A", Current),
            ("Lat", Latitude),
            ("longitude (deg)", Longitude),
            ("Altitude, m", Elevation),
            ("grade_pct", Grade),
            ("Pack Voltage", Voltage),
            ("Volts", Voltage),
            ("battery_current_a", Current),
            ("SOC %", Charge),
            ("State of charge", Charge),
            ("Battery level", Charge),
            ("Outside temperature (°C)", Temperature),
            ("heater_w", Heater),
            ("Heating power [kW]", Heater),
            ("aircon_w", AirConditioning),
            ("SoC", Charge),
            ("SoC [%]", Charge),
            ("I(A)", Current),
            ("I [A]", Current),
            ("U_V", Voltage),
            ("v (km/h)", Speed),
            ("Elv", Elevation),
            ("h (m)", Elevation),
            ("odometer (km)", Distance),
            ("Geschwindigkeit [km/h]", Speed),
            ("GPS-Geschwindigkeit", Speed),
            ("Tempo (km/h)", Speed),
            ("Vitesse (km/h)", Speed),
            ("Velocidad", Speed),
            ("Velocità (km/h)", Speed),
            ("snelheid_kmh", Speed),
            ("Hastighet (km/h)", Speed),
            ("Spannung (V)", Voltage),
            ("Batteriespannung", Voltage),
            ("Tension batterie (V)", Voltage),
            ("Strom (A)", Current),
            ("Courant batterie", Current),
            ("Corriente (A)", Current),
            ("Höhe (m)", Elevation),
            ("Ho\u{308}he (m)", Elevation),
            ("Altitud", Elevation),
            ("quota", Elevation),
            ("hoogte_m", Elevation),
            ("Breite", Latitude),
            ("Länge", Longitude),
            ("Ladezustand %", Charge),
            ("Außentemperatur", Temperature),
        ] {
            assert_eq!(field(text), Some(Field::Value(quantity)), "{text}");
        }
        for text in [
            "time_s",
            "Time (ms)",
            "Date/Time",
            "Timestamp",
            "elapsed s",
            "# time",
            "seconds",
            "Zeit",
            "Temps (s)",
            "Tiempo",
            "tempo (s)",
            "tijd",
            "tid_s",
            "t (s)",
            "Date et heure",
            "Uhrzeit",
        ] {
            assert_eq!(field(text), Some(Field::Time), "{text}");
        }
        assert_eq!(field("Run no."), Some(Field::Run));
        assert_eq!(field("direction"), Some(Field::Direction));
        assert_eq!(field("Date"), Some(Field::Date));
    }

    #[test]
    fn readings_of_something_else_are_left_alone() {
        for text in [
            "",
            "motor speed (rpm)",
            "Speed accuracy",
            "max speed",
            "cell voltage min",
            "12V voltage",
            "motor temperature",
            "pack temperature",
            "wind speed",
            "phase current",
            "colour",
            "battery power kW",
            "heater temperature",
            "AC line frequency",
            "Vitesse du vent",
            "Akkutemperatur (V)",
            "Strom (kWh)",
            "slope (deg)",
            "a b c d e f g h i",
        ] {
            assert_eq!(field(text), None, "{text}");
        }
    }

    #[test]
    fn units_are_found_in_brackets_behind_marks_and_in_one_word() {
        for (text, factor) in [
            ("speed_kmh", 1.0 / 3.6),
            ("Speed (km/h)", 1.0 / 3.6),
            ("Speed km/h", 1.0 / 3.6),
            ("speedKmh", 1.0 / 3.6),
            ("speed_mps", 1.0),
            ("Speed; knots", 1852.0 / 3600.0),
            ("time_ms", 1e-3),
            ("Time (min)", 60.0),
            ("SOC %", 0.01),
        ] {
            let unit = understand(text).and_then(|heading| heading.unit);
            let found = unit.unwrap_or_else(|| panic!("{text}")).factor;
            assert!((found - factor).abs() < 1e-12, "{text}");
        }
        assert_eq!(understand("Speed").unwrap().unit, None);
        assert_eq!(understand("Speed (vehicle)").unwrap().unit, None);
    }

    #[test]
    fn the_pack_goes_before_other_batteries() {
        let score = |text| understand(text).unwrap().score;
        assert!(score("Pack voltage") > score("Voltage"));
        assert!(score("Speed (km/h)") > score("Speed sensor two (km/h)"));
    }
}
