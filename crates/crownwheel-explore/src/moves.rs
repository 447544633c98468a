//! What the address of the page says: which controls were moved, and where to.

use crownwheel::constants::KMH_PER_MPS;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{Unit, Units};
use crownwheel_files::quantity;
use crownwheel_files::units::Dimension;

use crate::control::{Control, DAY, Kind, SPEED};
use crate::engine::{EngineRefusal, Message, Reading};
use crate::query;

/// What is asked of the build and not set over it.
const QUESTIONS: [&str; 2] = [SPEED, DAY];

/// Most settings of an address.
const MOST_SETS: usize = 64;

/// Longest value of a setting, bytes.
const LONGEST_VALUE: usize = 500;

/// Fastest steady speed that is asked for, km/h.
const FASTEST_KMH: f64 = 400.0;

/// Settings over the build, and questions.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Moves {
    /// `KEY=VALUE`, as `--set` takes them.
    pub(crate) sets: Vec<String>,
    pub(crate) speed_kmh: f64,
    /// Place of the day of pull, hills and limits.
    pub(crate) day: usize,
}

impl Moves {
    /// Reads a query for a build with these controls. Settings of anything else are refused: an address
    /// must not make the program read other files than the build's.
    pub(crate) fn read(
        query: &str,
        reading: &Reading,
        controls: &[Control],
    ) -> Result<Moves, EngineRefusal> {
        let pairs = query::pairs(query).ok_or_else(|| {
            EngineRefusal::of("", "The address holds settings that cannot be read.".to_owned())
        })?;
        if pairs.len() > MOST_SETS {
            return Err(EngineRefusal::of(
                "",
                format!("The address holds more than {MOST_SETS} settings."),
            ));
        }
        let own = |key: &str| {
            controls.iter().find(|known| known.key == key).map_or("", |known| known.own.as_str())
        };
        let said = |key: &str| pairs.iter().rev().find(|(known, _)| known == key);
        let value =
            |key: &'static str| said(key).map_or_else(|| own(key), |(_, value)| value.as_str());
        let mut messages = Vec::new();
        let mut take = |result: Result<f64, Message>| result.map_err(|why| messages.push(why)).ok();
        let speed_kmh = take(speed(value(SPEED), reading.subject.units));
        let day = day(value(DAY), reading).map_err(|why| messages.push(why)).ok();
        let mut sets = Vec::new();
        for (key, value) in pairs.iter().filter(|(key, _)| !QUESTIONS.contains(&key.as_str())) {
            match allowed(key, value, controls) {
                Ok(()) => sets.push(format!("{key}={value}")),
                Err(text) => messages.push(Message::new(key, text)),
            }
        }
        match (speed_kmh, day) {
            (Some(speed_kmh), Some(day)) if messages.is_empty() => {
                Ok(Moves { sets, speed_kmh, day })
            }
            _ => Err(EngineRefusal { messages }),
        }
    }
}

/// What the address sets, as `--set` takes it, whether it stands or not.
pub(crate) fn typed_sets(query: &str) -> Vec<String> {
    let pairs = query::pairs(query).unwrap_or_default();
    let sets = pairs.iter().filter(|(key, _)| !QUESTIONS.contains(&key.as_str()));
    sets.take(MOST_SETS).map(|(key, value)| format!("{key}={value}")).collect()
}

fn allowed(key: &str, value: &str, controls: &[Control]) -> Result<(), String> {
    if value.len() > LONGEST_VALUE {
        return Err(format!("A value of more than {LONGEST_VALUE} bytes is not taken."));
    }
    match controls.iter().find(|control| control.key == key).map(|control| &control.kind) {
        Some(Kind::Missing(why)) => Err(why.clone()),
        Some(_) => Ok(()),
        None => {
            let known: Vec<&str> = controls.iter().map(|control| control.key.as_str()).collect();
            Err(format!(
                "`{key}` is not moved on this page, which moves {}. Start the page with --set {key}=... instead.",
                known.join(", ")
            ))
        }
    }
}

fn speed(text: &str, units: Units) -> Result<f64, Message> {
    let message = |text: String| Message::new(SPEED, text);
    let example = units.text(80.0, Unit::Kmh);
    let read = quantity::parse(text, Dimension::Speed).map_err(|error| {
        message(format!("The steady speed `{text}`: {error}. Write for example {example}."))
    })?;
    let kmh = KMH_PER_MPS * read.nominal;
    if read.is_exact() && kmh > 0.0 && kmh <= FASTEST_KMH {
        // What a conversion leaves behind the ninth digit is nobody's speed.
        return Ok(digits(kmh, 9).parse().unwrap_or(kmh));
    }
    let most = units.text(FASTEST_KMH, Unit::Kmh);
    Err(message(format!(
        "The steady speed is `{text}`; allowed is one speed, more than nothing and at most {most}. Write for example {example}."
    )))
}

/// Place of a day; the first where the build has but one, and nothing is said.
fn day(name: &str, reading: &Reading) -> Result<usize, Message> {
    let days = &reading.build.days;
    if name.is_empty() {
        return Ok(0);
    }
    days.iter().position(|day| *day.name == *name).ok_or_else(|| {
        let known: Vec<&str> = days.iter().map(|day| &*day.name).collect();
        let text = format!("The build has no day `{name}`; it has {}.", known.join(", "));
        Message::new(DAY, text)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::demo;
    use crate::control::controls;

    fn read(query: &str) -> Result<Moves, EngineRefusal> {
        let reading = demo("dunlin");
        Moves::read(query, &reading, &controls(&reading, &[]))
    }

    #[test]
    fn settings_and_questions_are_told_apart() {
        let query = "driveline.axle.ratio=3.89&speed=50+mph&day=winter&pack.modules_in_series=8";
        let moves = read(query).unwrap();
        assert_eq!(moves.sets, ["driveline.axle.ratio=3.89", "pack.modules_in_series=8"]);
        assert_eq!(typed_sets(query), moves.sets);
        assert!((moves.speed_kmh - 80.467_2).abs() < 1e-9 && moves.day == 1);
        let usual = read("").unwrap();
        assert!((usual.speed_kmh - 112.0).abs() < 1e-9 && usual.day == 0 && usual.sets.is_empty());
    }

    #[test]
    fn everything_that_is_wrong_is_said_at_once() {
        let refused = read("speed=fast&day=autumn&motor.curve=x.csv&pack.modules_in_series=8");
        let keys: Vec<String> =
            refused.unwrap_err().messages.into_iter().map(|it| it.key).collect();
        assert_eq!(keys, ["speed", "day", "motor.curve"]);
    }

    #[test]
    fn endless_addresses_are_refused() {
        let many = "driveline.axle.ratio=4&".repeat(MOST_SETS + 1);
        assert!(read(&many).unwrap_err().messages[0].text.contains("64 settings"));
        let long = format!("tyres.size={}", "1".repeat(LONGEST_VALUE + 1));
        assert!(read(&long).unwrap_err().messages[0].text.contains("500 bytes"));
        assert!(read("a=%zz").unwrap_err().messages[0].text.contains("cannot be read"));
        for wrong in ["speed=0+km/h", "speed=401+km/h", "speed=90+%C2%B1+5+km/h", "speed=90+kg"] {
            assert_eq!(read(wrong).unwrap_err().messages[0].key, "speed", "{wrong}");
        }
    }
}
