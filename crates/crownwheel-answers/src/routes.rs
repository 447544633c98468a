//! Routes that are driven once.

use crownwheel::name::Name;
use crownwheel_quantities::rows;
use serde::Serialize;

use crate::{Band, Question, Unit, Units};

/// A route driven once on one day.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RouteResult {
    /// Name of the route.
    pub cycle: String,
    /// Name of the day.
    pub day: Name,
    /// State of charge at its start, %.
    pub from_pct: f64,
    /// State of charge left at its end, %; that of the empty pack where it does not last.
    pub charge_left_pct: Band,
    /// Distance driven, km.
    pub distance_km: f64,
    /// Time driven, s.
    pub duration_s: f64,
    /// How it ended: `arrived`, `empty`, `stands`.
    pub end: String,
    /// What was missed of the way that was asked for, %.
    pub missed_pct: f64,
    /// Energy at the pack's terminals, net, Wh/km. Not a number, null in JSON, if the car never moved.
    pub use_wh_per_km: f64,
}

impl RouteResult {
    /// The charge left as the worlds name it.
    #[must_use]
    pub fn name(&self) -> Question {
        Question::of(&rows::CHARGE_LEFT)
            .on_cycle(self.cycle.as_str())
            .from_pct(self.from_pct)
            .on_day(&self.day)
    }

    /// Whether it was driven to its end.
    #[must_use]
    pub fn arrived(&self) -> bool {
        self.end == "arrived"
    }

    /// `with 90 % at the start 62 % (60 to 64) is left behind moor-round (winter)`.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let from = units.text_to(self.from_pct, Unit::Pct, 0);
        let place = format!("{} ({})", self.cycle, self.day);
        if self.arrived() {
            let left = self.charge_left_pct.text(units, Unit::Pct, 0);
            return format!("with {from} at the start {left} is left behind {place}");
        }
        let km = units.text(self.distance_km, Unit::Km);
        let ends = if self.end == "empty" { "the pack is empty" } else { "the car stands" };
        format!("with {from} at the start {ends} after {km} of {place}")
    }
}
