//! `trip`: a log as a cycle.

use crate::sheet::{Look, Mark, Section, Sheet, sentences};
use crate::trip::{RepairLine, TripAnswer};
use crate::{Table, Unit, Units};

impl TripAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let cycle = self.cycle.iter().flat_map(|cycle| {
            [
                format!("The cycle is written to {cycle}."),
                format!("To drive it: crownwheel range my-car --cycle {cycle}"),
            ]
        });
        let section = Section::new("trip", "The trip")
            .drawn(&["trip"])
            .table(Look::Tight, self.table())
            .file(repairs_table("trip-repairs", &self.repairs))
            .shown(Look::Tight, short_repairs_table(&self.repairs))
            .list("The cycle", Mark::None, sentences(&cycle.collect::<Vec<_>>()))
            .file(self.points_table());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .warning(&self.warnings, &[])
    }

    /// The trip in one row.
    fn table(&self) -> Table {
        Table::of("trip", "The trip", self.units, [self])
            .col("distance_km", "way", Unit::Km, |it| it.distance_km)
            .to(2)
            .col("duration_s", "time", Unit::S, |it| it.duration_s)
            .col("standing_s", "standing", Unit::S, |it| it.standing_s)
            .col("mean_speed_kmh", "mean speed", Unit::Kmh, |it| it.mean_speed_kmh)
            .to(1)
            .col("top_speed_kmh", "top speed", Unit::Kmh, |it| it.top_speed_kmh)
            .to(1)
            .col("climb_m", "uphill", Unit::M, |it| it.climb_m)
            .to(0)
            .col("climb_raw_m", "uphill as read", Unit::M, |it| it.climb_raw_m)
            .to(0)
            .table()
    }

    /// Speed and height along the way.
    fn points_table(&self) -> Table {
        Table::of("trip-points", "Speed and height along the way", self.units, &self.points)
            .col("time_s", "time", Unit::S, |it| it.time_s)
            .col("distance_km", "way", Unit::Km, |it| it.distance_km)
            .to(3)
            .col("speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .to(1)
            .col("elevation_m", "height", Unit::M, |it| it.elevation_m)
            .to(1)
            .table()
    }
}

/// What was repaired in a log.
pub(super) fn repairs_table(name: &'static str, repairs: &[RepairLine]) -> Table {
    Table::of(name, "What was repaired in the log", Units::Metric, repairs)
        .words("kind", "kind", |it| it.kind.as_str())
        .words("count", "count", |it| it.count)
        .to(0)
        .words("what", "what was done", |it| it.what.as_str())
        .table()
}

pub(super) fn short_repairs_table(repairs: &[RepairLine]) -> Table {
    repairs_table("", repairs).pick(&["count", "what"])
}
