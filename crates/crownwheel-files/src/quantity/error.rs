//! What can be wrong with a quantity.

use std::fmt;

use crate::units::Dimension;

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing there.
    Empty,
    /// It is not a number, nor a number with a unit.
    NotANumber {
        /// The part that was read.
        text: String,
    },
    /// A comma inside a number: a thousands mark to some, a decimal mark to others.
    Comma {
        /// The number if the comma marks thousands, where that is possible.
        thousands: Option<String>,
        /// The number if the comma is the decimal mark.
        decimal: String,
        /// Unit after the number.
        unit: String,
    },
    /// Several numbers with commas between them.
    Several,
    /// Blanks inside a number.
    Blank {
        /// The number without them.
        joined: String,
        /// Unit after the number.
        unit: String,
    },
    /// A number without the unit that it needs.
    MissingUnit {
        /// The number.
        number: String,
    },
    /// A unit that nobody knows.
    UnknownUnit {
        /// As written.
        unit: String,
        /// A known spelling that looks like it.
        nearest: Option<&'static str>,
    },
    /// A known unit of another quantity.
    WrongDimension {
        /// As written.
        unit: String,
        /// What it measures.
        found: Dimension,
    },
    /// A percentage of a temperature means nothing: 8 % of 15 °C is not 8 % of 59 °F.
    PercentOfTemperature,
    /// A half-width below zero.
    NegativeHalfWidth {
        /// As written.
        text: String,
    },
    /// The first end of a range lies above the second.
    Backwards {
        /// First end, as written.
        low: String,
        /// Second end, as written.
        high: String,
    },
    /// More than one `±` or `..`.
    TooManyParts,
    /// Not a voltage at a shaft speed, both above zero.
    NotAtSpeed {
        /// As written.
        text: String,
    },
    /// Too large for a number.
    NotFinite {
        /// As written.
        text: String,
    },
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "there is no number"),
            Self::NotANumber { text } => write!(f, "`{text}` is not a number"),
            Self::Comma { thousands: Some(thousands), decimal, .. } => {
                write!(f, "a comma can be read two ways: {thousands} or {decimal}")
            }
            Self::Comma { decimal, .. } => {
                write!(f, "a comma is not a decimal mark here: is {decimal} meant?")
            }
            Self::Several => write!(f, "several numbers stand here, and one is wanted"),
            Self::Blank { joined, .. } => {
                write!(f, "there are blanks inside the number: is {joined} meant?")
            }
            Self::MissingUnit { number } => write!(f, "{number} has no unit"),
            Self::UnknownUnit { unit, .. } => write!(f, "`{unit}` is not a known unit"),
            Self::WrongDimension { unit, found } => {
                write!(f, "`{unit}` is the unit of {}", found.words())
            }
            Self::PercentOfTemperature => write!(f, "a percentage of a temperature has no meaning"),
            Self::NegativeHalfWidth { text } => write!(f, "the half-width `{text}` is below zero"),
            Self::Backwards { low, high } => {
                write!(f, "the range runs backwards, from {low} to {high}")
            }
            Self::TooManyParts => write!(f, "there is more than one `±` or `..`"),
            Self::NotAtSpeed { text } => {
                write!(f, "`{text}` does not say a voltage at a shaft speed")
            }
            Self::NotFinite { text } => write!(f, "`{text}` is too large"),
        }
    }
}

impl std::error::Error for QuantityError {}
