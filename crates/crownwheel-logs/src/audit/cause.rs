//! The usual causes of a difference between a finished car and its build.

use crownwheel::knob::Knob;
use crownwheel::spec::{CabinSpec, CarSpec, DaySpec, RoadLoadSpec};
use crownwheel_files::usual_cabin;

/// What may differ from the build.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// More or less constant power, W.
    StandingLoads,
    /// More or less heat in the cabin, as a part of what an assumed one takes: much while it warms, then less.
    Heater,
    /// More or less force that does not change with speed, N.
    ConstantForce,
    /// More or less drag area, as a part of the build's.
    DragArea,
    /// More or less of the braking taken back, as a share.
    Regeneration,
    /// More or less resistance of the cells, as a part of the build's.
    PackResistance,
}

impl Cause {
    /// All causes.
    pub const ALL: [Cause; 6] = [
        Cause::StandingLoads,
        Cause::Heater,
        Cause::ConstantForce,
        Cause::DragArea,
        Cause::Regeneration,
        Cause::PackResistance,
    ];

    /// How far it may lie off when it is the cause, one standard deviation, in its own unit
    /// (engineer's judgement).
    #[must_use]
    pub const fn size(self) -> f64 {
        match self {
            Cause::StandingLoads => 400.0,
            Cause::Heater => 1.0,
            Cause::ConstantForce => 100.0,
            Cause::DragArea => 0.25,
            Cause::Regeneration => 0.3,
            Cause::PackResistance => 0.8,
        }
    }

    /// Belief in it before the log, when a workshop asks (engineer's judgement): brakes that drag, bearings and tyres come
    /// first, then what was left switched on.
    pub(super) const fn belief(self) -> f64 {
        match self {
            Cause::ConstantForce => 0.35,
            Cause::StandingLoads => 0.08,
            Cause::Heater => 0.08,
            Cause::DragArea | Cause::Regeneration | Cause::PackResistance => 0.05,
        }
    }

    /// The sign of its amount in a car with a fault; the other sign is a car that is better than its build.
    pub(super) const fn fault_sign(self) -> f64 {
        if matches!(self, Cause::Regeneration) { -1.0 } else { 1.0 }
    }

    /// The car and the day with the cause at work. `None`: no car can be so.
    pub(super) fn apply(self, amount: f64, car: &mut CarSpec, day: &mut DaySpec) -> Option<()> {
        match self {
            Cause::StandingLoads => day.extra_load_w += amount,
            Cause::Heater => heat(amount, car, day)?,
            Cause::ConstantForce => force(amount, car)?,
            Cause::DragArea => drag_area(1.0 + amount, car)?,
            Cause::Regeneration => car.regen.share = (car.regen.share + amount).clamp(0.0, 1.0),
            Cause::PackResistance => car.pack.cell_resistance_ohm *= (1.0 + amount).max(0.05),
        }
        Some(())
    }
}

/// A part of an assumed cabin that is none.
const LEAST_HEAT: f64 = 1e-9;

/// More heat than the build's own cabin takes, by a part of an assumed one.
fn heat(amount: f64, car: &mut CarSpec, day: &mut DaySpec) -> Option<()> {
    if amount.abs() < LEAST_HEAT {
        return Some(());
    }
    let usual = usual_cabin();
    let own = car.cabin.filter(|_| !day.cabin_off);
    let base = own.unwrap_or(CabinSpec {
        conductance_wpk: 0.0,
        heat_capacity_jpk: 0.0,
        max_w: 0.0,
        ..usual
    });
    let more = amount * base.performance;
    let cabin = CabinSpec {
        conductance_wpk: base.conductance_wpk + more * usual.conductance_wpk,
        heat_capacity_jpk: base.heat_capacity_jpk + more * usual.heat_capacity_jpk,
        max_w: base.max_w + amount * usual.max_w,
        ..base
    };
    let least = cabin.conductance_wpk.min(cabin.heat_capacity_jpk).min(cabin.max_w);
    (car.cabin, day.cabin_off) = (Some(cabin), false);
    (least > 0.0).then_some(())
}

/// A force below zero is less rolling resistance: the loaded weight turns one into the other.
fn force(amount: f64, car: &mut CarSpec) -> Option<()> {
    if matches!(car.road_load, RoadLoadSpec::Coefficients { .. }) {
        return add(car, "car.road_load.f0", amount);
    }
    let drag_n = Knob::find("car.brake_drag", car).ok()?.get(car)?;
    let brakes_n = amount.max(-drag_n);
    let weight_n =
        crownwheel::constants::STANDARD_GRAVITY_MPS2 * crownwheel::Car::new(car).ok()?.mass_kg();
    add(car, "car.brake_drag", brakes_n)?;
    car.tyres.rolling_resistance += (amount - brakes_n) / weight_n / car.tyres.drum_to_road;
    Some(())
}

fn drag_area(factor: f64, car: &mut CarSpec) -> Option<()> {
    let paths = ["car.drag_area", "car.drag_coefficient", "car.road_load.f2"];
    let knob = paths.into_iter().find_map(|path| Knob::find(path, car).ok())?;
    let value = knob.get(car)?;
    knob.set(car, value * factor).ok()
}

/// Adds to a number of a car. `None`: the car does not have it.
fn add(car: &mut CarSpec, path: &str, amount: f64) -> Option<()> {
    let knob = Knob::find(path, car).ok()?;
    let value = knob.get(car)?;
    knob.set(car, value + amount).ok()
}
