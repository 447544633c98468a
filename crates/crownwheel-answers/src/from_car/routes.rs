//! Routes driven once, from runs of the model.

use crownwheel::cycle::Cycle;
use crownwheel::range::once;
use crownwheel::{Car, Day};

use super::wh_per_km;
use crate::{Band, RouteResult};

/// A route that is driven once.
#[derive(Clone, Debug)]
pub struct AskedRoute {
    /// Its speeds and heights.
    pub route: Cycle,
    /// State of charge at its start.
    pub from_frac: f64,
}

pub(super) fn route_result(car: &Car, day: &Day, asked: &AskedRoute) -> RouteResult {
    let done = once(car, day, &asked.route, asked.from_frac);
    RouteResult {
        cycle: asked.route.name().to_owned(),
        day: day.name().clone(),
        from_pct: 100.0 * asked.from_frac,
        charge_left_pct: Band::only(100.0 * done.end_charge_frac),
        distance_km: done.distance_m / 1000.0,
        duration_s: done.first.duration_s,
        end: done.end.name().to_owned(),
        missed_pct: 100.0 * done.missed.whole_frac,
        use_wh_per_km: wh_per_km(done.balance.sum.terminals_j, done.distance_m),
    }
}
