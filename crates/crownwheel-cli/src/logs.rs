//! What the commands about logs share: options, provenance, and files that are written once.

use std::io;
use std::path::Path;

use crownwheel_answers::Provenance;
use crownwheel_files::units::{self, Dimension};
use crownwheel_logs::read::SpeedUnit;
use crownwheel_logs::{Log, ReadOptions, read_log_piped, read_log_watched};
use sha2::{Digest, Sha256};

use crate::outcome::{Failure, shown};
use crate::staging;
use crate::standard_input;
use crate::subject::hex;
use crate::values::is_dash;

/// The hash of what is read, while it is read: of the same bytes, and of a long log bit by bit.
#[derive(Default)]
pub(crate) struct Inputs(Sha256);

impl Inputs {
    /// Reads a log.
    pub(crate) fn log(&mut self, path: &Path, options: &ReadOptions) -> Result<Log, Failure> {
        let mut seen = |bytes: &[u8]| self.0.update(bytes);
        let log = if is_dash(path) {
            standard_input::say_if_typed("a log");
            read_log_piped(standard_input::NAME, &mut io::stdin().lock(), options, &mut seen)
        } else {
            read_log_watched(path, options, &mut seen)
        };
        self.0.update([0]);
        log.map_err(|error| Failure::Usage(error.to_string()))
    }

    /// Counts a file that was read before.
    pub(crate) fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
        self.0.update([0]);
    }

    /// Program and hash of what was read and what was asked.
    pub(crate) fn provenance(mut self, asked: &[String]) -> Provenance {
        for text in asked {
            self.0.update((text.len() as u64).to_le_bytes());
            self.0.update(text);
        }
        Provenance {
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            inputs_hash: hex(&self.0.finalize()),
            seed: None,
        }
    }
}

/// A log's name in an answer.
pub(crate) fn name(path: &Path) -> String {
    if is_dash(path) { standard_input::NAME.to_owned() } else { shown(path) }
}

/// Unit of speed as it was typed.
pub(crate) fn speed_unit(text: Option<&String>) -> Result<Option<SpeedUnit>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let known: Vec<&str> = SpeedUnit::ALL.iter().map(|(_, name)| *name).collect();
    match SpeedUnit::parse(text) {
        Some(unit) => Ok(Some(unit)),
        None => Err(Failure::Usage(format!(
            "`--speed-unit {text}` is no unit of speed: write one of {}",
            known.join(", ")
        ))),
    }
}

/// A speed as it was typed, m/s.
pub(crate) fn speed(text: &str) -> Result<f64, Failure> {
    let wrong = || {
        Failure::Usage(format!(
            "`--speed \"{text}\"` is no speed: write a number with its unit, for example --speed \"60 km/h\""
        ))
    };
    let text = text.trim();
    let end = text.find(|c: char| !matches!(c, '0'..='9' | '.')).ok_or_else(wrong)?;
    let value = text[..end].parse::<f64>().map_err(|_| wrong())?;
    let unit = units::find_for(&text[end..], Dimension::Speed).ok_or_else(wrong)?;
    if unit.dimension == Dimension::Speed { Ok(unit.to_si(value)) } else { Err(wrong()) }
}

/// Writes a file that must not be there yet, unless that is meant.
pub(crate) fn write_new(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    staging::refuse_unordinary(path)?;
    let about = path.symlink_metadata().ok();
    let same = || {
        about.as_ref().is_some_and(|about| about.is_file())
            && std::fs::read(path).is_ok_and(|old| old == bytes)
    };
    if about.is_some() && !force && !same() {
        return Err(Failure::Failed(format!(
            "nothing was written: `{}` is there already; name another file, or replace it with --force",
            shown(path)
        )));
    }
    staging::write_whole(path, bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speeds_are_read_with_their_unit() {
        assert!((speed("60 km/h").unwrap() - 60.0 / 3.6).abs() < 1e-12);
        assert!((speed(" 40mph ").unwrap() - 17.8816).abs() < 1e-12);
        for wrong in ["60", "fast", "", "60 kg", "km/h", "-5 km/h", "6.0.0 km/h"] {
            assert!(speed(wrong).is_err(), "{wrong}");
        }
        assert!(speed_unit(Some(&"kn".to_owned())).unwrap().is_some());
        assert!(speed_unit(Some(&"furlong".to_owned())).is_err());
    }
}
