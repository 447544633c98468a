//! A log made into a drive cycle.

use serde::Serialize;

use crate::{Provenance, Unit, Units, Warning};

/// The answer of `trip`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TripAnswer {
    /// Program and inputs.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence, see [`TripAnswer::plain_line`].
    pub plain: String,
    /// The log, as it was named.
    pub log: String,
    /// The cycle file that was written. `None`: none was asked for.
    pub cycle: Option<String>,
    /// Way, km.
    pub distance_km: f64,
    /// Time, s.
    pub duration_s: f64,
    /// Time standing, s.
    pub standing_s: f64,
    /// Mean speed with stops, km/h.
    pub mean_speed_kmh: f64,
    /// Highest speed, km/h.
    pub top_speed_kmh: f64,
    /// Uphill after heights were smoothed, m. `None`: the log has no heights.
    pub climb_m: Option<f64>,
    /// Uphill of the heights as they were read, m.
    pub climb_raw_m: Option<f64>,
    /// The log has no times, or they were not used: the speed was given.
    pub is_route: bool,
    /// Every repair.
    pub repairs: Vec<RepairLine>,
    /// Speed and height along the way.
    #[serde(skip)]
    pub points: Vec<TripPoint>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
}

/// One kind of repair.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RepairLine {
    /// Short name, `duplicate_times`.
    pub kind: String,
    /// How often.
    pub count: u64,
    /// What was done.
    pub what: String,
}

/// A row of the trip.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TripPoint {
    /// Time, s.
    pub time_s: f64,
    /// Way, km.
    pub distance_km: f64,
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Smoothed height, m.
    pub elevation_m: Option<f64>,
}

impl TripAnswer {
    /// Way, time, climb and how much was repaired, in a sentence or two.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let minutes = crate::unit::digits(self.duration_s / 60.0, 0);
        let way = self.units.text_to(self.distance_km, Unit::Km, 1);
        let climb = match (self.climb_m, self.climb_raw_m) {
            (Some(climb_m), Some(raw_m)) => format!(
                ", {} uphill ({} before heights were smoothed)",
                self.units.text_to(climb_m, Unit::M, 0),
                self.units.text_to(raw_m, Unit::M, 0)
            ),
            _ => ", taken as flat".to_owned(),
        };
        let repairs = match self.repairs.len() {
            0 => "Nothing had to be repaired.".to_owned(),
            1 => "One kind of repair was needed.".to_owned(),
            kinds => {
                format!("{} kinds of repair were needed.", crate::words::capital(&words(kinds)))
            }
        };
        format!("{way} in {minutes} min{climb}. {repairs}")
    }
}

fn words(count: usize) -> String {
    crate::words::count_word(u32::try_from(count).unwrap_or(u32::MAX))
}
