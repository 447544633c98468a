//! What a log holds once it is read: columns of equal length in SI, and how they came about.

use std::ops::Range;

use crate::repairs::Repairs;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Quantity {
    /// Road speed, m/s.
    Speed,
    /// Latitude on WGS84, degrees north.
    Latitude,
    /// Longitude on WGS84, degrees east.
    Longitude,
    /// Height above the sea or the ellipsoid, m.
    Elevation,
    /// Gradient, rise over run.
    Grade,
    /// Pack voltage, V.
    Voltage,
    /// Pack current, A, with the sign that the logger gave it.
    Current,
    /// State of charge, 0..1.
    Charge,
    /// Temperature of the outside air, K.
    Temperature,
    /// Power that the heater of the cabin takes from the pack, W.
    Heater,
    /// Power that the air conditioning takes from the pack, W.
    AirConditioning,
    /// What an odometer or a counter of the way shows, m.
    Distance,
}

impl Quantity {
    /// All quantities.
    pub const ALL: [Quantity; 12] = [
        Quantity::Speed,
        Quantity::Latitude,
        Quantity::Longitude,
        Quantity::Elevation,
        Quantity::Grade,
        Quantity::Voltage,
        Quantity::Current,
        Quantity::Charge,
        Quantity::Temperature,
        Quantity::Heater,
        Quantity::AirConditioning,
        Quantity::Distance,
    ];

    /// Place among [`Quantity::ALL`].
    pub(crate) const fn place(self) -> usize {
        self as usize
    }
}

/// Which clock the times are from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Clock {
    /// There are no times: the log is a route.
    None,
    /// Counted from a start.
    Elapsed,
    /// Time of day, or milliseconds of the day.
    OfDay,
    /// Date and time.
    Stamp,
}

/// Consecutive rows of one run, track segment or clock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Rows of the log.
    pub rows: Range<usize>,
    /// What the column of runs says, as written.
    pub run: Option<String>,
    /// What the column of directions says, as written.
    pub direction: Option<String>,
    /// Times do not follow on from those of the part before: the clock started again.
    pub clock_restarted: bool,
}

/// A log that was read. A missing value is NaN; a column that the log does not have is `None`.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// File, for messages.
    pub name: String,
    /// Which clock the times are from.
    pub clock: Clock,
    /// Time since the first row of the log, s; rising within a part. Without a clock all 0.
    pub time_s: Vec<f64>,
    /// Time of the first row, s since 1970-01-01 UTC (or local, without a zone); only with stamps.
    pub start_unix_s: Option<f64>,
    /// Line in the file that each row comes from, from 1.
    pub line: Vec<u32>,
    /// Parts in order; together they are all rows.
    pub parts: Vec<Part>,
    /// What was repaired.
    pub repairs: Repairs,
    /// What was taken for granted, a sentence each.
    pub notes: Vec<String>,
    pub(crate) columns: [Option<Vec<f64>>; Quantity::ALL.len()],
}

impl Log {
    /// Number of rows.
    #[must_use]
    pub fn len(&self) -> usize {
        self.time_s.len()
    }

    /// Whether there are no rows; [`crate::read::read_log`] refuses such a log.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.time_s.is_empty()
    }

    /// A column in SI, as long as the log. `None`: the log does not have it.
    #[must_use]
    pub fn column(&self, quantity: Quantity) -> Option<&[f64]> {
        self.columns[quantity.place()].as_deref()
    }

    /// Speed, m/s. `None`: the log has none (it may have fixes).
    #[must_use]
    pub fn speed_mps(&self) -> Option<&[f64]> {
        self.column(Quantity::Speed)
    }

    /// Latitude and longitude, degrees. `None`: the log has no fixes.
    #[must_use]
    pub fn fixes_deg(&self) -> Option<(&[f64], &[f64])> {
        Some((self.column(Quantity::Latitude)?, self.column(Quantity::Longitude)?))
    }
}
