//! Every quantity, a row each, in the order in which they are offered.

use std::f64::consts::PI;

use crownwheel::Car;
use crownwheel::charger::{Charge, Socket};
use crownwheel::constants::{JOULE_PER_WH, KMH_PER_MPS, METRE_PER_MILE};
use crownwheel::hold::HoldTime;
use crownwheel::pull::{FullThrottle, Throttle};
use crownwheel::range::{CarOnDay, ShortRange};
use crownwheel::spec::CornersKg;
use crownwheel::spec::RoadLoadSpec;
use crownwheel::weights::loaded;

use crate::quantity::{Quantity, Reading};
use crate::{Question, Unit};

/// Spans of speed that every car is timed over, km/h; the third is 0 to 60 mph.
pub const SPANS_KMH: [(f64, f64); 5] =
    [(0.0, 50.0), (0.0, 100.0), (0.0, 60.0 * METRE_PER_MILE / 1000.0), (50.0, 80.0), (80.0, 120.0)];

/// All of them.
pub static ALL: [&Quantity; 31] = [
    &MASS,
    &FRONT_AXLE,
    &REAR_AXLE,
    &EFFECTIVE_MASS,
    &ROLLING_RADIUS,
    &OVERALL_RATIO,
    &ROAD_LOAD,
    &DRAG_AREA,
    &ROLLING_RESISTANCE,
    &AIR_DENSITY,
    &MOTOR_SPEED,
    &PACK_ENERGY,
    &PACK_FULL_VOLTAGE,
    &RANGE,
    &KEEPS_UP,
    &RANGE_WITH_RESERVE,
    &USE,
    &WALL_USE,
    &SHORTFALL,
    &CHARGE_LEFT,
    &ROUTE_USE,
    &TOP_SPEED,
    &TIME,
    &START_GRADE,
    &HOLD_GRADE,
    &CRUISE_MINUTES,
    &HOLD_MINUTES,
    &HILL_SPEED,
    &HILL_SPEED_HOT,
    &CHARGE_HOURS,
    &PRICE,
];

/// The quantity of a word: the first part of its key, or another word for it.
#[must_use]
pub fn find(word: &str) -> Option<&'static Quantity> {
    ALL.into_iter().find(|row| row.name() == word || row.words.contains(&word))
}

/// Mass of the car, kg.
pub static MASS: Quantity = Quantity::row(
    "mass_kg.{case}",
    "mass, {case}",
    (Unit::Kg, 1),
    Reading::Car(|car, of| corners(car, of).total_kg()),
)
.said("weighs {much} more", "weighs {much} less")
.asked_as(&["mass", "weight"]);

/// Load of the front axle, kg.
pub static FRONT_AXLE: Quantity = Quantity::row(
    "front_axle_kg.{case}",
    "front axle, {case}",
    (Unit::Kg, 1),
    Reading::Car(|car, of| corners(car, of).front_axle_kg()),
)
.said("puts {much} more on the front axle ({case})", "takes {much} off the front axle ({case})")
.asked_as(&["axle_load.front", "front_axle"]);

/// Load of the rear axle, kg.
pub static REAR_AXLE: Quantity = Quantity::row(
    "rear_axle_kg.{case}",
    "rear axle, {case}",
    (Unit::Kg, 1),
    Reading::Car(|car, of| corners(car, of).rear_axle_kg()),
)
.said("puts {much} more on the rear axle ({case})", "takes {much} off the rear axle ({case})")
.asked_as(&["axle_load.rear", "rear_axle"]);

/// Mass and what turns with it, kg.
pub static EFFECTIVE_MASS: Quantity = Quantity::row(
    "effective_mass_kg",
    "effective mass",
    (Unit::Kg, 1),
    Reading::Car(|car, _| car.effective_mass_kg()),
)
.asked_as(&["effective_mass"]);

/// Rolling radius, m.
pub static ROLLING_RADIUS: Quantity = Quantity::row(
    "rolling_radius_m",
    "rolling radius",
    (Unit::M, 3),
    Reading::Car(|car, _| car.rolling_radius_m()),
)
.asked_as(&["rolling_radius"]);

/// Motor speed over wheel speed.
pub static OVERALL_RATIO: Quantity = Quantity::row(
    "overall_ratio",
    "overall ratio",
    (Unit::None, 2),
    Reading::Car(|car, _| car.overall_ratio()),
);

/// Force that holds a speed on the flat, N.
pub static ROAD_LOAD: Quantity = Quantity::row(
    "road_load_n.{speed}[.{day}]",
    "road load at {speed}[ ({day})]",
    (Unit::N, 0),
    Reading::Moment(|throttle, of| throttle.road_load_n(of.mps(), 0.0)),
)
.usually_at(80.0)
.asked_as(&["drag", "road_load"]);

/// Drag area, m²; not known of a car that is described by its road load.
pub static DRAG_AREA: Quantity = Quantity::row(
    "drag_area_m2",
    "drag area",
    (Unit::M2, 3),
    Reading::Car(|car, _| match car.spec().road_load {
        RoadLoadSpec::Terms { .. } => car.drag_area_m2(),
        RoadLoadSpec::Coefficients { .. } => f64::NAN,
    }),
)
.asked_as(&["drag_area"]);

/// Coefficient of rolling resistance.
pub static ROLLING_RESISTANCE: Quantity = Quantity::row(
    "rolling_resistance",
    "rolling resistance",
    (Unit::None, 4),
    Reading::Car(|car, _| car.spec().tyres.rolling_resistance),
);

/// Density of the air, kg/m³.
pub static AIR_DENSITY: Quantity = Quantity::row(
    "air_density_kgpm3[.{day}]",
    "air density[ ({day})]",
    (Unit::Kgpm3, 3),
    Reading::Day(|day| day.air_density_kgpm3()),
)
.asked_as(&["air_density"]);

/// Motor speed at a road speed, rpm.
pub static MOTOR_SPEED: Quantity = Quantity::row(
    "cruise_motor_speed_rpm.{speed}",
    "motor speed at {speed}",
    (Unit::Rpm, 0),
    Reading::Car(|car, of| car.motor_radps_per_mps() * of.kmh() / KMH_PER_MPS * 30.0 / PI),
)
.said("turns {much} faster at {speed}", "turns {much} slower at {speed}")
.usually_at(112.0)
.asked_as(&["motor_speed", "motor_speed_rpm"]);

/// Energy of the pack, kWh.
pub static PACK_ENERGY: Quantity = Quantity::row(
    "pack_energy_kwh",
    "energy of the pack",
    (Unit::Kwh, 1),
    Reading::Car(|car, _| car.spec().pack.energy_kwh()),
)
.asked_as(&["pack_energy"]);

/// Open-circuit voltage of the full pack, V.
pub static PACK_FULL_VOLTAGE: Quantity = Quantity::row(
    "pack_full_voltage_v",
    "voltage of the full pack",
    (Unit::V, 1),
    Reading::Car(|car, _| car.spec().pack.full_voltage_v()),
)
.asked_as(&["pack_full_voltage"]);

/// Range to empty, km.
pub static RANGE: Quantity = Quantity::row(
    "range_km.{cycle}.{day}",
    "range on {cycle} ({day})",
    (Unit::Km, 0),
    Reading::Range(|_, run| run.range_m() / 1000.0),
)
.said("goes {much} farther on {cycle} ({day})", "goes {much} less far on {cycle} ({day})")
.more_is_better()
.asked_as(&["range"]);

/// How far the car keeps up with the cycle, km: to where it has missed half a per cent of its range.
pub static KEEPS_UP: Quantity = Quantity::row(
    "keeps_up_km.{cycle}.{day}",
    "range keeping up on {cycle} ({day})",
    (Unit::Km, 0),
    Reading::Range(|_, run| run.keeps_up_m() / 1000.0),
)
.said("keeps up {much} farther on {cycle} ({day})", "keeps up {much} less far on {cycle} ({day})")
.more_is_better();

/// Range with the reserve kept back, km.
pub static RANGE_WITH_RESERVE: Quantity = Quantity::row(
    "range_with_reserve_km.{cycle}.{day}",
    "range with reserve on {cycle} ({day})",
    (Unit::Km, 0),
    Reading::Range(|_, run| run.range_with_reserve_m() / 1000.0),
)
.said(
    "goes {much} farther with the reserve kept back on {cycle} ({day})",
    "goes {much} less far with the reserve kept back on {cycle} ({day})",
)
.more_is_better();

/// Energy at the pack's terminals, Wh/km.
pub static USE: Quantity = Quantity::row(
    "use_wh_per_km.{cycle}.{day}",
    "use on {cycle} ({day})",
    (Unit::WhPerKm, 0),
    Reading::Range(|_, run| run.use_j / JOULE_PER_WH / (run.distance_m / 1000.0)),
)
.said("uses {much} more on {cycle} ({day})", "uses {much} less on {cycle} ({day})")
.asked_as(&["use"]);

/// Energy from the wall that puts back what was used, Wh/km.
pub static WALL_USE: Quantity = Quantity::row(
    "wall_wh_per_km.{cycle}.{day}",
    "use at the wall on {cycle} ({day})",
    (Unit::WhPerKm, 0),
    Reading::Range(wall_wh_per_km),
)
.said(
    "takes {much} more from the wall on {cycle} ({day})",
    "takes {much} less from the wall on {cycle} ({day})",
);

/// Time behind the target in one cycle from full, s.
pub static SHORTFALL: Quantity = Quantity::row(
    "shortfall_s.{cycle}.{day}",
    "time behind on {cycle} ({day})",
    (Unit::S, 1),
    Reading::Range(|_, run| run.shortfall_s),
)
.said(
    "falls {much} further behind on {cycle} ({day})",
    "falls {much} less far behind on {cycle} ({day})",
);

/// State of charge left behind a route driven once, %.
pub static CHARGE_LEFT: Quantity = Quantity::row(
    "charge_left_pct.{cycle}.{day}.from_{from}_pct",
    "charge left behind {cycle} ({day}), {from} % at its start",
    (Unit::Pct, 0),
    Reading::Once(|run| 100.0 * run.end_charge_frac),
)
.said("has {much} more left behind {cycle} ({day})", "has {much} less left behind {cycle} ({day})")
.more_is_better();

/// Energy at the pack's terminals on a route driven once, Wh/km.
pub static ROUTE_USE: Quantity = Quantity::row(
    "route_use_wh_per_km.{cycle}.{day}.from_{from}_pct",
    "use on {cycle} ({day}), {from} % at its start",
    (Unit::WhPerKm, 0),
    Reading::Once(|run| run.use_j / JOULE_PER_WH / (run.distance_m / 1000.0)),
)
.said("uses {much} more on {cycle} ({day})", "uses {much} less on {cycle} ({day})");

/// Top speed on the flat, km/h.
pub static TOP_SPEED: Quantity = Quantity::row(
    "top_speed_kmh[.{day}]",
    "top speed[ ({day})]",
    (Unit::Kmh, 1),
    Reading::Moment(|throttle, _| throttle.top_speed().0 * KMH_PER_MPS),
)
.more_is_better()
.asked_as(&["top_speed"]);

/// Time between two speeds at full throttle, s; infinite if the second is not reached.
pub static TIME: Quantity = Quantity::row(
    "times_s.{span}[.{day}]",
    "time from {span}[ ({day})]",
    (Unit::S, 1),
    Reading::Throttle(time_s),
)
.said("gives up {much} {stretch}", "gains {much} {stretch}")
.endless("not reached", "reaches {speed}", "does not reach {speed}")
.usually_at(100.0)
.asked_as(&["time", "times"]);

/// Steepest grade that the car starts on, %; minus infinity where it does not start on the flat either.
pub static START_GRADE: Quantity = Quantity::row(
    "start_grade_pct[.{day}]",
    "steepest start[ ({day})]",
    (Unit::Pct, 0),
    Reading::Moment(grade_pct),
)
.said("starts on {much} steeper", "starts on {much} less steep")
.endless("does not start", "starts", "does not start")
.more_is_better()
.asked_as(&["start_grade"]);

/// Steepest grade on which a speed is held, %; minus infinity where it is not held on the flat either.
pub static HOLD_GRADE: Quantity = Quantity::row(
    "hold_grade_pct.{speed}[.{day}]",
    "steepest grade at {speed}[ ({day})]",
    (Unit::Pct, 1),
    Reading::Moment(grade_pct),
)
.said("climbs {much} steeper at {speed}", "climbs {much} less steep at {speed}")
.endless("not held", "holds {speed}", "does not hold {speed}")
.more_is_better()
.usually_at(80.0)
.asked_as(&["hold_grade"]);

/// Time until the motor cuts back at a road speed on the flat, min; infinite if it never does.
pub static CRUISE_MINUTES: Quantity = Quantity::row(
    "cruise_minutes_to_cut_back.{speed}[.{day}]",
    "minutes to cut-back at {speed}[ ({day})]",
    (Unit::None, 0),
    Reading::Climb(minutes),
)
.said("holds {speed} {much} min longer", "holds {speed} {much} min less long")
.endless("no cut-back", "cuts back at {speed} after {much} min", "holds {speed} without cut-back")
.more_is_better();

/// Time until the motor cuts back on a grade, min; infinite if it never does.
pub static HOLD_MINUTES: Quantity = Quantity::row(
    "hold_minutes_to_cut_back.{speed}.{grade}_pct[.{day}]",
    "minutes to cut-back at {speed} on {grade} %[ ({day})]",
    (Unit::None, 0),
    Reading::Climb(minutes),
)
.said(
    "climbs {grade} % at {speed} {much} min longer",
    "climbs {grade} % at {speed} {much} min less long",
)
.endless(
    "no cut-back",
    "cuts back on {grade} % at {speed} after {much} min",
    "climbs {grade} % at {speed} without cut-back",
)
.more_is_better();

/// Highest steady speed on a grade with a cold motor, km/h; minus infinity where none is held.
pub static HILL_SPEED: Quantity = Quantity::row(
    "hill_speed_kmh.{grade}_pct[.{day}]",
    "fastest held on {grade} %[ ({day})]",
    (Unit::Kmh, 1),
    Reading::Moment(|throttle, of| hill_speed_kmh(throttle, of, 0.0)),
)
.said("climbs {grade} % {much} faster", "climbs {grade} % {much} slower")
.endless("not held", "climbs {grade} %", "does not climb {grade} %")
.more_is_better();

/// The same with a hot motor, which gives what it gives for good, km/h.
pub static HILL_SPEED_HOT: Quantity = Quantity::row(
    "hill_speed_hot_kmh.{grade}_pct[.{day}]",
    "fastest held hot on {grade} %[ ({day})]",
    (Unit::Kmh, 1),
    Reading::Moment(|throttle, of| hill_speed_kmh(throttle, of, 1.0)),
)
.said("climbs {grade} % {much} faster when hot", "climbs {grade} % {much} slower when hot")
.endless("not held", "climbs {grade} % when hot", "does not climb {grade} % when hot")
.more_is_better();

/// Time to charge, h; infinite if it never gets there.
pub static CHARGE_HOURS: Quantity = Quantity::row(
    "charge_hours.{supply}.{from}_to_{to}_pct[.{day}]",
    "hours to charge at {supply}, {from} to {to} %[ ({day})]",
    (Unit::None, 1),
    Reading::Charge(hours),
)
.said("charges {much} h longer at {supply}", "charges {much} h less long at {supply}")
.endless("never", "charges to {to} % at {supply}", "does not charge to {to} % at {supply}")
.asked_as(&["charge_hours", "charge_time", "charge"]);

/// What the choices cost, in the currency of the sweep.
pub static PRICE: Quantity = Quantity::row("price", "price", (Unit::None, 0), Reading::Price)
    .said("costs {much} more", "costs {much} less");

impl Question {
    /// Whether it is a distance from full on a cycle, with nothing kept back.
    #[must_use]
    pub fn is_range(&self) -> bool {
        self.is(&RANGE) || self.is(&KEEPS_UP)
    }
}

fn corners(car: &Car, of: &Question) -> CornersKg {
    loaded(&car.spec().weights, &car.spec().pack, of.case()).corners
}

fn wall_wh_per_km(of: &CarOnDay<'_>, run: &ShortRange) -> f64 {
    let full_frac = of.car.spec().pack.usable_to_frac;
    let socket = Socket::unlimited(of.car, of.day);
    socket.wall_j(run.end_charge_frac, full_frac) / JOULE_PER_WH / (run.distance_m / 1000.0)
}

fn time_s(run: &FullThrottle, of: &Question) -> f64 {
    run.time_between_s(of.from_kmh() / KMH_PER_MPS, of.mps()).unwrap_or(f64::INFINITY)
}

/// Steepest grade on which a speed is held for the moment.
fn grade_pct(throttle: &Throttle<'_>, of: &Question) -> f64 {
    let held = throttle.row(of.mps()).and_then(|row| throttle.grade_held(row.pull_n, of.mps()));
    held.map_or(f64::NEG_INFINITY, |grade| grade * 100.0)
}

fn hill_speed_kmh(throttle: &Throttle<'_>, of: &Question, heat_used: f64) -> f64 {
    let held = throttle.fastest_on(of.grade_pct() / 100.0, heat_used);
    held.map_or(f64::NEG_INFINITY, |(speed_mps, _)| speed_mps * KMH_PER_MPS)
}

fn minutes(held: HoldTime) -> f64 {
    match held {
        HoldTime::Always => f64::INFINITY,
        HoldTime::CutBackAfter(seconds) | HoldTime::EmptyAfter(seconds) => seconds / 60.0,
        HoldTime::NotAtAll(_) => 0.0,
        HoldTime::HeatNotKnown => f64::NAN,
    }
}

fn hours(done: &Charge, of: &Question) -> f64 {
    let there = done.end_charge_frac >= of.to_frac() - 1e-6 || done.taper_from_frac.is_some();
    if there && done.duration_s.is_finite() { done.duration_s / 3600.0 } else { f64::INFINITY }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_stands_once_and_is_found_by_each_of_its_words() {
        for row in ALL {
            assert!(find(row.name()).is_some_and(|found| found == row), "{}", row.key);
            assert!(row.words.iter().all(|word| find(word).is_some_and(|found| found == row)));
            assert!(row.changes.is_none_or(|texts| texts.iter().all(|it| it.contains("{much}"))));
        }
    }
}
