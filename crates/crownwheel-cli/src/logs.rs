//! What the commands about logs share: options, provenance, and files that are written once.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crownwheel_answers::Provenance;
use crownwheel_files::units::{self, Dimension};
use crownwheel_logs::read::SpeedUnit;
use crownwheel_logs::{Log, ReadOptions, read_log};
use sha2::{Digest, Sha256};

use crate::outcome::Failure;
use crate::results_folder;
use crate::subject::hex;

/// Reads a log and says whose bytes it was made from.
pub(crate) fn read(path: &Path, options: &ReadOptions) -> Result<Log, Failure> {
    read_log(path, options).map_err(|error| Failure::Usage(error.to_string()))
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

/// Program and hash of files and what was asked; a long log is hashed bit by bit.
pub(crate) fn provenance(paths: &[&Path], asked: &[String]) -> Result<Provenance, Failure> {
    let mut sha = Sha256::new();
    let mut buffer = vec![0; 1 << 16];
    for path in paths {
        let failed = |error: std::io::Error| Failure::file("read", path, &error);
        let mut file = File::open(path).map_err(failed)?;
        loop {
            let count = file.read(&mut buffer).map_err(failed)?;
            if count == 0 {
                break;
            }
            sha.update(&buffer[..count]);
        }
        sha.update([0]);
    }
    for text in asked {
        sha.update((text.len() as u64).to_le_bytes());
        sha.update(text);
    }
    Ok(Provenance {
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        inputs_hash: hex(&sha.finalize()),
        seed: None,
    })
}

/// Writes a file that must not be there yet, unless that is meant.
pub(crate) fn write_new(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    if path.is_dir() {
        return Err(Failure::Usage(format!("`{}` is a folder: name a file", path.display())));
    }
    let same = std::fs::read(path).is_ok_and(|old| old == bytes);
    if path.symlink_metadata().is_ok() && !same && !force {
        return Err(Failure::Failed(format!(
            "nothing was written: `{}` is there already; name another file, or replace it with --force",
            path.display()
        )));
    }
    results_folder::write_whole(path, bytes)
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
