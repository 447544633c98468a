//! `charge`: times and energy from the wall at each supply.

use std::num::NonZeroUsize;

use clap::Args as ClapArgs;

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::{day, load};
use crate::values::parse_worlds;

#[derive(Debug, ClapArgs)]
pub(crate) struct Charge {
    #[command(flatten)]
    pub(crate) common: Common,
    /// A day of the build; without it the first
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Option<String>,
    /// State of charge at the start: 10%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) from: Option<String>,
    /// State of charge that is asked for: 90%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) to: Option<String>,
    /// Worlds that bands are drawn from, 2000 without it; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
}

pub(crate) fn run(charge: &Charge) -> Result<Outcome, Failure> {
    let mut loaded = load(&charge.common)?;
    let place = day(&loaded.subject, charge.day.as_ref())?;
    let (floor_frac, top_frac) = loaded.usable_frac();
    let from_frac = match &charge.from {
        Some(text) => fraction("--from", text)?,
        None => floor_frac,
    };
    let to_frac = match &charge.to {
        Some(text) => fraction("--to", text)?,
        None => top_frac,
    };
    if from_frac >= to_frac {
        return Err(goes_down(charge, from_frac, to_frac));
    }
    let answer = loaded.charge(place, (from_frac, to_frac), charge.worlds.into())?;
    give("charge", &answer, &answer.sheet(), &charge.common.output)?;
    Ok(Outcome::new(charge.common.output.strict, answer.warnings.len()))
}

/// Where an end was not typed it is one of the pack's, and that is said.
fn goes_down(charge: &Charge, from_frac: f64, to_frac: f64) -> Failure {
    let end = |flag: &str, typed: bool, frac: f64, of_pack: &str| {
        let percent = 100.0 * frac;
        if typed { format!("{flag} {percent:.0}%") } else { format!("{percent:.0}%, {of_pack},") }
    };
    let from = end("--from", charge.from.is_some(), from_frac, "the pack's lowest");
    let to = end("--to", charge.to.is_some(), to_frac, "the pack's highest");
    Failure::Usage(format!(
        "charging goes up: {from} is not below {}; write for example --from 10% --to 90%",
        to.trim_end_matches(',')
    ))
}

/// A state of charge as people type it: `10%`, `10 %` or `0.1`.
pub(crate) fn fraction(flag: &str, text: &str) -> Result<f64, Failure> {
    let trimmed = text.trim();
    let value = match trimmed.strip_suffix('%') {
        Some(percent) => percent.trim().parse::<f64>().map(|percent| percent / 100.0),
        None => trimmed.parse::<f64>(),
    };
    match value {
        Ok(value) if (0.0..=1.0).contains(&value) => Ok(value),
        _ => Err(Failure::Usage(format!(
            "`{flag} {text}` is no state of charge: write 0% to 100%, for example {flag} 10%"
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_state_of_charge_is_read_as_people_type_it() {
        assert!((fraction("--from", "10%").unwrap() - 0.1).abs() < 1e-12);
        assert!((fraction("--from", " 10 % ").unwrap() - 0.1).abs() < 1e-12);
        assert!((fraction("--to", "0.9").unwrap() - 0.9).abs() < 1e-12);
        for wrong in ["90", "-1%", "101%", "half", "", "NaN"] {
            assert!(fraction("--to", wrong).is_err(), "{wrong}");
        }
    }
}
