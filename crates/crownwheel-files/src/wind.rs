//! The wind of a day: `calm`, `5 m/s all round`, `5 m/s headwind`, `20 km/h tailwind`.

use crate::quantity::{self, QuantityError, Spread, SpreadKind};
use crate::units::Dimension;

/// A wind as written; speeds in m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WindText {
    /// No wind.
    Calm,
    /// Along the road; a headwind is positive.
    AlongRoad(Spread),
    /// From all round, as on a round trip.
    AllRound(Spread),
}

impl WindText {
    /// Speed in m/s, signed along the road; none when calm.
    #[must_use]
    pub const fn speed_mps(&self) -> Option<Spread> {
        match self {
            Self::Calm => None,
            Self::AlongRoad(speed) | Self::AllRound(speed) => Some(*speed),
        }
    }
}

/// Why a text is not a wind.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum WindError {
    /// The direction is missing or unknown.
    Direction,
    /// The speed cannot be read.
    Speed(QuantityError),
    /// A speed below zero: turn the direction round instead.
    Negative,
}

/// Reads a wind.
///
/// # Errors
/// [`WindError`] if direction or speed cannot be read.
pub fn parse(text: &str) -> Result<WindText, WindError> {
    let lower = text.trim().to_lowercase();
    if lower == "calm" {
        return Ok(WindText::Calm);
    }
    // The unit keeps its case: only the direction is compared without it.
    let speed_before = |direction: &str| -> Option<&str> {
        lower.strip_suffix(direction).and_then(|before| text.trim().get(..before.len()))
    };
    let (speed, sign, all_round) = if let Some(speed) = speed_before("all round") {
        (speed, 1.0, true)
    } else if let Some(speed) = speed_before("headwind") {
        (speed, 1.0, false)
    } else if let Some(speed) = speed_before("tailwind") {
        (speed, -1.0, false)
    } else {
        return Err(WindError::Direction);
    };
    let speed = quantity::parse(speed, Dimension::Speed).map_err(WindError::Speed)?;
    if speed.nominal < 0.0 {
        return Err(WindError::Negative);
    }
    Ok(if all_round { WindText::AllRound(speed) } else { WindText::AlongRoad(signed(speed, sign)) })
}

fn signed(speed: Spread, sign: f64) -> Spread {
    if sign > 0.0 {
        return speed;
    }
    let kind = match speed.kind {
        SpreadKind::Uniform { low, high } => SpreadKind::Uniform { low: -high, high: -low },
        other => other,
    };
    Spread { nominal: -speed.nominal, kind }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn winds_in_every_direction() {
        assert_eq!(parse("calm"), Ok(WindText::Calm));
        assert_eq!(parse("5 m/s all round"), Ok(WindText::AllRound(Spread::exact(5.0))));
        assert_eq!(parse("5 m/s Headwind"), Ok(WindText::AlongRoad(Spread::exact(5.0))));
        assert_eq!(parse("18 km/h tailwind"), Ok(WindText::AlongRoad(Spread::exact(-5.0))));
        let unsure = parse("4 .. 6 m/s tailwind").unwrap().speed_mps().unwrap();
        assert_eq!(unsure.kind, SpreadKind::Uniform { low: -6.0, high: -4.0 });
    }

    #[test]
    fn other_texts_are_refused() {
        assert_eq!(parse("5 m/s"), Err(WindError::Direction));
        assert_eq!(parse("5 m/s from the west"), Err(WindError::Direction));
        assert_eq!(parse("-5 m/s headwind"), Err(WindError::Negative));
        assert!(matches!(
            parse("5 headwind"),
            Err(WindError::Speed(QuantityError::MissingUnit { .. }))
        ));
        assert!(matches!(parse("İall round"), Err(WindError::Speed(_) | WindError::Direction)));
    }
}
